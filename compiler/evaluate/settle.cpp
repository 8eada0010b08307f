// Values that depend on themselves through others: who belongs to the ring is found by asking, then all are
// solved for together, from where a cold start would bring them.
#include "evaluate/solving.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::evaluate {
using notices::Code;

Solving::Ring* Solving::ring_in(WorldId world) {
  for (std::size_t i = settlings_.size(); i-- > 0;)
    if (settlings_[i]->world == world) return settlings_[i];
  return nullptr;
}

// Gives the cell a number in the ring, with its ends and its start; its start is odd if they are not known.
u32 Solving::join_ring(Ring& ring, u32 cell, ThingId thing, u32 slot, const Field& field) {
  const auto [at, fresh] = ring.number.emplace(cell, static_cast<u32>(ring.cells.size()));
  if (!fresh) return at->second;
  const u32 number = at->second;
  const meaning::Settling& record = s_.program.settlings[field.settling - 1];
  networks::SettleCell ends;
  ends.tolerance = record.within;
  const auto read = [&](ExprId expr, double& into) {
    const Value value = s_.run(expr, thing);
    if (value.known()) into = value.number();
    else if (!ring.odd.is(ValueState::failed)) ring.odd = value;
  };
  read(record.low, ends.low);
  read(record.high, ends.high);
  read(record.start, ends.start);
  ends.start = std::clamp(ends.start, std::min(ends.low, ends.high), std::max(ends.low, ends.high));
  ring.cells.push_back({cell, s_.world, thing, slot});
  ring.ends.push_back(ends);
  ring.values.push_back(ends.start);
  return number;
}

// Inside a ring: what is tried for the cell now.
Value Solving::tried(Ring& ring, u32 cell, ThingId thing, u32 slot, const Field& field) {
  const auto known = ring.number.find(cell);
  const bool fresh = known == ring.number.end();
  const u32 number = fresh ? join_ring(ring, cell, thing, slot, field) : known->second;
  if (fresh) ring.grown = true;
  if (ring.met != nullptr) ring.met->push_back(number);
  else if (!fresh && ring.reading != nullptr) ring.reading->add(number);
  for (std::size_t i = settlings_.size(); i-- > 0 && settlings_[i] != &ring;) settlings_[i]->leans_out = true;
  s_.reads |= settling_bit;
  return Value::number(ring.values[number]);
}

// Of a formula that has no number, as what all of the ring come to: the bounds were of that formula alone.
Value Solving::shared(Value odd) { return s_.blend(ExprId{}, {&odd, 1}); }

Value Solving::formula_value(Ring& ring, u32 at) {
  const auto cell = ring.cells[at];
  bool of_owner = false;
  const ExprId formula = s_.formula_of(s_.program.things[cell.thing.value], cell.slot, of_owner);
  if (!formula.given()) return Value::none();
  s_.active.push_back(cell);
  const Value value = s_.run(formula, of_owner ? s_.program.things[cell.thing.value].owner : cell.thing);
  s_.active.pop_back();
  return value;
}

struct CellFormulas : networks::Formulas {
  CellFormulas(Solving& solving_given, Solving::Ring& ring_given) : solving(solving_given), ring(ring_given) {}
  double value(u32 cell, const std::vector<double>& values, networks::ReadSet* reads) override {
    if (ring.grown || !ring.odd.is(ValueState::none) || solving.s_.suspending) return std::nan("");
    std::copy(values.begin(), values.end(), ring.values.begin());
    ring.reading = reads;
    const Value value = solving.formula_value(ring, cell);
    ring.reading = nullptr;
    ++solving.s_.solver_work;
    if (value.known()) return value.number();
    ring.odd = value;
    return std::nan("");
  }
  bool dense(u32 cell) const override {
    return ring.passing && std::any_of(ring.passing->stood.begin(), ring.passing->stood.end(), [&](const auto& one) { return one.first == cell; });
  }
  Solving& solving;
  Solving::Ring& ring;
};

// Asks until no formula reads a value that is not among those of the ring, then solves.
Value Solving::solve_ring(Ring& ring) {
  constexpr u32 most_turns = 8;
  for (u32 turn = 0; turn < most_turns; ++turn) {
    for (u32 at = 0; at < ring.cells.size(); ++at) {
      const Value value = formula_value(ring, at);
      if (s_.suspending) return suspended;
      if (!value.known() && !ring.odd.is(ValueState::failed)) ring.odd = value;
    }
    ring.grown = false;
    if (!ring.odd.is(ValueState::none)) return shared(ring.odd);
    CellFormulas formulas(*this, ring);
    for (u32 at = 0; at < ring.cells.size(); ++at) ring.values[at] = ring.ends[at].start;
    const networks::Settlement found = networks::settle(ring.ends, formulas);
    if (s_.suspending) return suspended;
    if (s_.solver_work > s_.budget.solver_work)
      return s_.fail(Code::limit_steps, ExprId{}, fmt::format("solving takes more than {} calls of formulas; what was not reached is not judged", s_.budget.solver_work));
    if (ring.grown) continue;
    if (!ring.odd.is(ValueState::none)) return shared(ring.odd);
    if (found.outcome != networks::SettleOutcome::settled) return ring_failure(ring, found);
    ring.values = found.values;
    return Value::none();
  }
  return ring_failure(ring, {.outcome = networks::SettleOutcome::not_settled, .cells = {0}});
}

Value Solving::settled(u32 cell, ThingId thing, u32 slot, const Field& field) {
  if (Ring* const ring = ring_in(s_.world)) return tried(*ring, cell, thing, slot, field);
  if (const auto value = kept(cell)) return *value;
  // A law that rests on what settles: the settling is found first, with its own balances.
  if (std::any_of(trials_.begin(), trials_.end(), [&](const Trial& trial) { return trial.world == s_.world; }))
    return s_.suspend(cell, thing, slot);
  const Afresh afresh(s_);
  Ring ring;
  ring.world = s_.world;
  const Reads outer = std::exchange(s_.reads, 0);
  Recorder* const recording = std::exchange(s_.recorder, nullptr);
  settlings_.push_back(&ring);
  join_ring(ring, cell, thing, slot, field);
  const Value odd = solve_ring(ring);
  settlings_.pop_back();
  s_.recorder = recording;
  Reads reads = s_.reads;
  if (!ring.leans_out) reads &= ~settling_bit;
  s_.reads = outer | reads;
  if (s_.suspending) return suspended;
  const auto result = [&](u32 at) { return odd.is(ValueState::none) ? Value::number(ring.values[at]) : odd; };
  if (!(reads & (settling_bit | trial_bit)))
    for (u32 at = 0; at < ring.cells.size(); ++at) keep(ring.cells[at].cell, reads, result(at));
  return result(0);
}

Value Solving::ring_failure(const Ring& ring, const networks::Settlement& found) {
  using networks::SettleOutcome;
  const auto cell = ring.cells[found.cells.empty() ? 0 : found.cells.front()];
  const TypeId type = s_.program.field(s_.program.things[cell.thing.value].kind, cell.slot).type;
  const auto show = [&](double value) { return s_.show(Value::number(value), type); };
  const auto named = [&](u32 at) { return s_.cell_name(ring.cells[at].thing, ring.cells[at].slot); };
  std::string names;
  for (std::size_t i = 0; i < found.cells.size() && i < 4; ++i) names += (i == 0 ? "" : ", ") + named(found.cells[i]);
  switch (found.outcome) {
    case SettleOutcome::nothing_holds:
      return fail_about(Code::value_nothing_holds, cell.thing, fmt::format("nothing fixes {}: whatever comes in there, nothing gives off more when it rises", names));
    case SettleOutcome::jumps:
      return fail_about(Code::value_jumps, cell.thing,
                        fmt::format("{} jumps from {} to {} where {} passes {}; what settles must move without jumps", named(found.cells[0]), show(found.from),
                                    show(found.to), found.cells.size() > 1 ? named(found.cells[1]) : names, show(found.amount)));
    case SettleOutcome::runs_away:
      return fail_about(Code::value_not_settled, cell.thing, fmt::format("{} runs to the end of its range ({})", names, show(ring.values[found.cells.empty() ? 0 : found.cells.front()])));
    case SettleOutcome::settled: case SettleOutcome::not_settled: case SettleOutcome::not_a_number: break;
  }
  return fail_about(Code::value_not_settled, cell.thing, fmt::format("{} does not settle in {} rounds", names, networks::most_settle_rounds));
}
}  // namespace dripleg::evaluate
