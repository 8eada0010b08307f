// The flows of a balanced network: its block as bare numbers, the law of each leg asked with trial flows, and
// what came out under the things that it is about.
#include "evaluate/solving.hpp"

#include "quantities/print.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::evaluate {
using meaning::Network;
using notices::Code;

// ---- the plan -------------------------------------------------------------------------------------------------
u32 Solving::plan_of(ThingId net) {
  const auto [at, fresh] = plan_index_.emplace(net.value, static_cast<u32>(plans_.size()));
  if (!fresh) return at->second;
  const Program& program = s_.program;
  Plan plan;
  plan.net = net;
  plan.network = &program.networks[program.kinds[program.things[net.value].kind.value].network.value];
  const auto mine = [&](Value thing, u32 net_slot) {
    return s_.inputs[cell_of(ThingId{thing.index()}, net_slot)] == Value::index(net.value);
  };
  for (const Value point : s_.all_of_kind(plan.network->point))
    if (mine(point, meaning::point_slot::net)) {
      plan.point_of.emplace(point.index(), static_cast<u32>(plan.points.size()));
      plan.points.push_back(ThingId{point.index()});
    }
  plan.legs_at.resize(plan.points.size());
  plan.form.points = static_cast<u32>(plan.points.size());
  for (const Value leg : s_.all_of_kind(plan.network->leg)) {
    if (!mine(leg, meaning::leg_slot::net)) continue;
    const ThingId id{leg.index()};
    networks::Leg form;
    form.from = plan.point_of.at(s_.inputs[cell_of(id, meaning::leg_slot::from)].index());
    form.to = plan.point_of.at(s_.inputs[cell_of(id, meaning::leg_slot::to)].index());
    const u32 number = static_cast<u32>(plan.legs.size());
    plan.legs_at[form.from].push_back(number);
    plan.legs_at[form.to].push_back(number);
    plan.leg_of.emplace(id.value, number);
    plan.legs.push_back(id);
    plan.form.legs.push_back(form);
  }
  plans_.push_back(std::move(plan));
  return at->second;
}

// ---- the fields -----------------------------------------------------------------------------------------------
std::optional<Value> Solving::solved_field(ThingId thing, u32 slot, const Field& field) {
  if (field.role != meaning::Role::built_in) return {};
  const meaning::Kind& kind = s_.program.kinds[s_.program.things[thing.value].kind.value];
  if (!kind.network.given()) return {};
  const Network& network = s_.program.networks[kind.network.value];
  if (!network.balanced()) return {};
  if (s_.program.is_a(s_.program.things[thing.value].kind, network.leg)) {
    if (slot == network.flow) return flow(thing, slot);
    if (slot != network.entering && slot != network.carried) return {};
    const Value carried = s_.field(thing, network.flow);
    if (!carried.known()) return carried;
    if (slot == network.carried) return Value::number(std::fabs(carried.number()));
    return s_.field(thing, carried.number() < 0 ? u32{meaning::leg_slot::to} : u32{meaning::leg_slot::from});
  }
  if (network.head != 0 && slot == network.head) return head(thing, slot);
  if (slot == network.arriving) return legs_by_flow(thing, network, true);
  if (slot == network.departing) return legs_by_flow(thing, network, false);
  return {};
}

// A flow below what the balance is good for is none.
Value Solving::legs_by_flow(ThingId point, const Network& network, bool arriving) {
  const Value net = s_.inputs[cell_of(point, meaning::point_slot::net)];
  if (!net.known()) return s_.empty_list();
  const u32 number = plan_of(ThingId{net.index()});
  std::vector<Value> found, odd;
  for (const u32 leg : plans_[number].legs_at[plans_[number].point_of.at(point.value)]) {
    const ThingId id = plans_[number].legs[leg];
    const Value carried = s_.field(id, network.flow);
    if (!carried.known()) {
      odd.push_back(carried);
      continue;
    }
    const bool outwards = plans_[number].points[plans_[number].form.legs[leg].from] == point;
    const double inward_flow = outwards ? -carried.number() : carried.number();
    if (arriving ? inward_flow > network.within : inward_flow < -network.within) found.push_back(Value::index(id.value));
  }
  return odd.empty() ? s_.lists.make(found) : s_.blend(ExprId{}, odd);
}

const Solving::Trial* Solving::trial_of(u32 plan) const {
  for (std::size_t i = trials_.size(); i-- > 0;)
    if (trials_[i].plan == plan && trials_[i].world == s_.world) return &trials_[i];
  return nullptr;
}

std::optional<Value> Solving::being_tried(u32 cell, ThingId thing, u32 slot) {
  const Field& field = s_.program.field(s_.program.things[thing.value].kind, slot);
  if (field.settling != 0) {
    Ring* const ring = ring_in(s_.world);
    return ring != nullptr ? std::optional(tried(*ring, cell, thing, slot, field)) : std::nullopt;
  }
  if (field.role != meaning::Role::built_in || trials_.empty()) return {};
  const u32 net_slot = meaning::point_slot::net;          // of a leg it stands elsewhere
  const meaning::Kind& kind = s_.program.kinds[s_.program.things[thing.value].kind.value];
  if (!kind.network.given()) return {};
  const Network& network = s_.program.networks[kind.network.value];
  const bool of_leg = s_.program.is_a(s_.program.things[thing.value].kind, network.leg);
  const Value net = s_.inputs[cell_of(thing, of_leg ? u32{meaning::leg_slot::net} : net_slot)];
  if (!network.balanced() || !net.known() || trial_of(plan_of(ThingId{net.index()})) == nullptr) return {};
  return solved_field(thing, slot, field);
}

Value Solving::flow(ThingId leg, u32 slot) {
  const Value net = s_.inputs[cell_of(leg, meaning::leg_slot::net)];
  if (!net.known()) return Value::number(0);
  const u32 plan = plan_of(ThingId{net.index()});
  if (const Trial* const trial = trial_of(plan)) {
    if (trial->leg == leg) {
      s_.reads |= trial_bit;
      return Value::number(trial->flow);
    }
    return fail_about(Code::value_law_reads_flow, trial->leg,
                      fmt::format("the law of {} reads the flow of {}, which is being looked for with it",
                                  s_.name_of(trial->leg), s_.name_of(leg)));
  }
  return from_balance(plan, leg, slot, false);
}

Value Solving::head(ThingId point, u32 slot) {
  const Value net = s_.inputs[cell_of(point, meaning::point_slot::net)];
  if (!net.known()) return Value::none();
  const u32 plan = plan_of(ThingId{net.index()});
  if (const Trial* const trial = trial_of(plan))
    return fail_about(Code::value_law_reads_flow, trial->leg,
                      fmt::format("the law of {} reads a head, which is being looked for with its flow", s_.name_of(trial->leg)));
  return from_balance(plan, point, slot, true);
}

Value Solving::from_balance(u32 plan, ThingId thing, u32 slot, bool of_point) {
  if (const auto value = kept(cell_of(thing, slot))) return *value;
  const auto pick = [&](const Passing& found) {
    s_.reads |= found.reads;
    return of_point ? found.heads[plans_[plan].point_of.at(thing.value)] : found.flows[plans_[plan].leg_of.at(thing.value)];
  };
  if (const Passing* const standing = passing_for(plan)) return pick(*standing);

  Passing found;
  found.plan = plan;
  found.world = s_.world;
  Ring* const ring = ring_in(s_.world);
  std::vector<u32> met;
  const Reads outer = s_.reads;
  Recorder* const recording = s_.recorder;
  s_.recorder = nullptr;
  s_.reads = 0;
  std::vector<u32>* const meeting = ring != nullptr ? std::exchange(ring->met, &met) : nullptr;
  find_flows(plan, found);
  if (ring != nullptr) ring->met = meeting;
  s_.recorder = recording;
  found.reads = s_.reads & ~trial_bit;
  s_.reads = outer;
  if (s_.suspending) return suspended;
  if (found.reads & settling_bit) {
    std::sort(met.begin(), met.end());
    met.erase(std::unique(met.begin(), met.end()), met.end());
    for (const u32 cell : met) found.stood.push_back({cell, ring->values[cell]});
    ring->passing = std::move(found);
    return pick(*ring->passing);
  }
  const Network& network = *plans_[plan].network;
  for (u32 i = 0; i < plans_[plan].legs.size(); ++i) keep(cell_of(plans_[plan].legs[i], network.flow), found.reads, found.flows[i]);
  if (network.head != 0)
    for (u32 i = 0; i < plans_[plan].points.size(); ++i) keep(cell_of(plans_[plan].points[i], network.head), found.reads, found.heads[i]);
  return pick(found);
}

Solving::Passing* Solving::passing_for(u32 plan) {
  Ring* const ring = ring_in(s_.world);
  if (ring == nullptr || !ring->passing || ring->passing->plan != plan) return nullptr;
  for (const auto& [cell, value] : ring->passing->stood)
    if (ring->values[cell] != value) return nullptr;
  return &*ring->passing;
}

// ---- solving --------------------------------------------------------------------------------------------------
// The law of a leg: its drop with a trial flow, or one number if it does not read the flow.
struct LegLaw : networks::Law {
  LegLaw(Solving& solving_given, u32 plan_given)
      : solving(solving_given), s(solving_given.s_), afresh(solving_given.s_), plan(plan_given) {
    const auto count = solving.plans_[plan].legs.size();
    still.assign(count, 0);
    fixed.assign(count, 0);
    solving.trials_.push_back({plan, s.world, ThingId{}, 0});
  }
  ~LegLaw() override { solving.trials_.pop_back(); }
  LegLaw(const LegLaw&) = delete;
  LegLaw& operator=(const LegLaw&) = delete;

  Value ask(u32 leg, double flow) {
    const ThingId id = solving.plans_[plan].legs[leg];
    const u32 drop = solving.plans_[plan].network->drop;
    solving.trials_.back().leg = id;
    solving.trials_.back().flow = flow;
    const Value stated = s.inputs[solving.cell_of(id, drop)];
    if (stated.known()) return stated;
    bool of_owner = false;
    const ExprId formula = s.formula_of(s.program.things[id.value], drop, of_owner);
    return formula.given() ? s.run(formula, of_owner ? s.program.things[id.value].owner : id) : s.field(id, drop);
  }
  // Whether the law can be asked at all; at rest, and whether the flow counts.
  Value probe(u32 leg) {
    const Reads before = std::exchange(s.reads, 0);
    const Value value = ask(leg, 0);
    fixed[leg] = (s.reads & trial_bit) == 0;
    s.reads |= before;
    if (value.known()) still[leg] = value.number();
    return value;
  }
  double drop(u32 leg, double flow) override {
    if (fixed[leg] || flow == 0) return still[leg];
    if (!odd.is(ValueState::none) || s.suspending) return std::nan("");
    const Value value = ask(leg, flow);
    if (value.known()) return value.number();
    odd = value;
    return std::nan("");
  }

  Solving& solving;
  Evaluation::State& s;
  Solving::Afresh afresh;
  u32 plan;
  std::vector<double> still;
  std::vector<char> fixed;
  Value odd = Value::none();
};

// Which legs are shut and which let through one way; what cannot be told of a leg is its `odd`.
bool Solving::read_forms(Plan& plan, networks::Net& net, std::vector<Value>& odd) {
  const Network& network = *plan.network;
  const auto test = [&](ExprId expr, u32 leg, bool& into) {
    if (!expr.given()) return;
    const Value value = s_.run(expr, plan.legs[leg]);
    if (value.known()) into = value.yes();
    else odd[leg] = value;
  };
  for (u32 leg = 0; leg < plan.legs.size() && !s_.suspending; ++leg) {
    test(network.shut, leg, net.legs[leg].shut);
    if (!net.legs[leg].shut) test(network.one_way, leg, net.legs[leg].one_way);
  }
  return !s_.suspending;
}

void Solving::find_flows(u32 number, Passing& found) {
  found.flows.assign(plans_[number].legs.size(), Value::number(0));
  found.heads.assign(plans_[number].points.size(), Value::none());
  networks::Net net = plans_[number].form;
  std::vector<Value> odd(plans_[number].legs.size(), Value::none());
  if (!read_forms(plans_[number], net, odd)) return;
  const networks::Pieces pieces = networks::connected_pieces(net);
  const Network& network = *plans_[number].network;
  if (network.datum.given()) {
    net.fixed.resize(net.points);
    std::vector<char> has(pieces.count(), 0);
    for (u32 i = 0; i < net.points; ++i) {
      const ThingId owner = s_.program.things[plans_[number].points[i].value].owner;
      if (!owner.given() || has[pieces.of_point[i]] || !s_.program.is_a(s_.program.things[owner.value].kind, network.datum)) continue;
      has[pieces.of_point[i]] = 1;
      net.fixed[i] = 0.0;
    }
  }
  for (u32 piece = 0; piece < pieces.count() && !s_.suspending; ++piece)
    if (!pieces.legs[piece].empty()) solve_piece(number, net, pieces, piece, odd, found);
  std::vector<double>& last = plans_[number].last;
  last.assign(found.flows.size(), 0);
  for (std::size_t i = 0; i < last.size(); ++i)
    if (found.flows[i].known()) last[i] = found.flows[i].number();
}

void Solving::solve_piece(u32 number, const networks::Net& net, const networks::Pieces& pieces, u32 piece,
                          std::span<const Value> odd, Passing& found) {
  LegLaw law(*this, number);
  std::vector<Value> unsaid;
  for (const u32 leg : pieces.legs[piece]) {
    if (!odd[leg].is(ValueState::none)) unsaid.push_back(odd[leg]);
    else if (const Value value = law.probe(leg); !value.known()) unsaid.push_back(value);
    if (s_.suspending) return;
  }
  const auto all = [&](Value value) {
    for (const u32 leg : pieces.legs[piece]) found.flows[leg] = value;
    for (const u32 point : pieces.points[piece]) found.heads[point] = value;
  };
  if (!unsaid.empty()) return all(s_.blend(ExprId{}, unsaid));
  networks::Balance balance = networks::no_balance_yet(net, pieces);
  // What settles takes differences of flows: there they must be better than is asked of them alone.
  constexpr double finer = 0.01;
  const networks::BalanceSettings settings{.tolerance = plans_[number].network->within * (ring_in(s_.world) != nullptr ? finer : 1.0)};
  const std::vector<double> last = plans_[number].last;
  networks::balance_piece(net, pieces, piece, law, settings, last, balance);
  if (settings.tolerance < plans_[number].network->within && balance.pieces[piece].outcome == networks::Outcome::no_balance) {
    const u64 calls = balance.law_calls;
    balance = networks::no_balance_yet(net, pieces);
    networks::balance_piece(net, pieces, piece, law, {.tolerance = plans_[number].network->within}, last, balance);
    balance.law_calls += calls;
  }
  s_.solver_work += balance.law_calls;
  if (s_.suspending) return;
  const networks::PieceResult& result = balance.pieces[piece];
  if (s_.solver_work > s_.budget.solver_work)
    return all(s_.fail(Code::limit_steps, ExprId{}, fmt::format("balancing takes more than {} calls of the legs' laws; what was not reached is not judged", s_.budget.solver_work)));
  if (!networks::has_flows(result.outcome)) return all(piece_failure(plans_[number], result, law.odd));
  if (result.outcome == networks::Outcome::solved) piece_notices(plans_[number], result);
  for (const u32 leg : pieces.legs[piece]) found.flows[leg] = Value::number(balance.flows[leg]);
  for (const u32 point : pieces.points[piece])
    found.heads[point] = std::isnan(balance.heads[point]) ? Value::none() : Value::number(balance.heads[point]);
}

// ---- words ----------------------------------------------------------------------------------------------------
std::string Solving::shown(const Network& network, u32 slot, double value) const {
  return s_.show(Value::number(value), s_.program.field(network.leg, slot).type);
}

std::string Solving::names_of(std::span<const ThingId> things) const {
  constexpr std::size_t most_named = 6;
  std::string names;
  for (std::size_t i = 0; i < things.size() && i < most_named; ++i) {
    const std::string name = s_.name_of(things[i]);
    if (i != 0 && names.ends_with(name)) continue;
    names += (i == 0 ? "" : ", ") + name;
  }
  if (things.size() > most_named) names += fmt::format(" and {} more", things.size() - most_named);
  return names;
}

Value Solving::piece_failure(const Plan& plan, const networks::PieceResult& result, Value law) {
  using networks::Outcome;
  const Network& network = *plan.network;
  std::vector<ThingId> legs, points;
  for (const u32 leg : result.legs) legs.push_back(plan.legs[leg]);
  for (const u32 point : result.points) points.push_back(plan.points[point]);
  const ThingId about = !legs.empty() ? legs.front() : !points.empty() ? points.front() : plan.net;
  if (result.outcome == Outcome::not_a_number && !law.is(ValueState::none)) return law;     // told of where it failed
  if (result.outcome == Outcome::unbounded)
    return fail_about(Code::value_no_balance, about, fmt::format("the flow through {} has no limit: nothing there resists", names_of(legs)));
  return fail_about(Code::value_no_balance, about,
                    fmt::format("no balance in {} rounds; {} still moves by {}", networks::most_balance_rounds, names_of(legs.empty() ? points : legs),
                                shown(network, network.flow, std::fabs(result.amount))));
}

void Solving::piece_notices(const Plan& plan, const networks::PieceResult& result) {
  const Network& network = *plan.network;
  for (const auto& ring : result.cannot_tell) {
    std::vector<ThingId> legs;
    for (const u32 leg : ring) legs.push_back(plan.legs[leg]);
    if (!legs.empty())
      fail_about(Code::value_cannot_tell, legs.front(), fmt::format("how the flow divides between {} cannot be told: none of them resists", names_of(legs)));
  }
  for (const networks::Several& other : result.several) {
    std::string one, two;
    for (std::size_t i = 0; i < other.legs.size() && i < 4; ++i) {
      const std::string name = s_.name_of(plan.legs[other.legs[i]]);
      one += fmt::format("{}{} {}", i == 0 ? "" : ", ", name, shown(network, network.flow, other.given[i]));
      two += fmt::format("{}{} {}", i == 0 ? "" : ", ", name, shown(network, network.flow, other.passing[i]));
    }
    if (!other.legs.empty())
      fail_about(Code::value_several, plan.legs[other.legs.front()], fmt::format("two balances: {}, or {}; the second does not last", one, two));
  }
}

// One notice for each thing and code, whatever world meets it.
Value Solving::fail_about(Code code, ThingId about, std::string headline, std::vector<std::string> cures) {
  if (s_.suspending) return suspended;
  const auto [at, fresh] = told_.emplace((static_cast<u64>(code) << 32) | about.value, s_.notices.size());
  if (fresh) s_.notices.add(code, s_.program.things[about.value].place, std::move(headline)).cures = std::move(cures);
  return Value::failed(at->second);
}

// ---- kept solutions -------------------------------------------------------------------------------------------
std::optional<Value> Solving::kept(u32 cell) {
  for (const Reads reads : kept_reads_) {
    const u32 key = s_.worlds.key(s_.world, reads);
    if (key == Worlds::no_key) continue;
    const auto at = kept_.find((static_cast<u64>(cell) << 32) | key);
    if (at == kept_.end()) continue;
    s_.reads |= reads;
    return at->second;
  }
  return {};
}

void Solving::keep(u32 cell, Reads reads, Value value) {
  const u32 key = s_.worlds.key(s_.world, reads);
  if (key == Worlds::no_key) return;
  if (std::find(kept_reads_.begin(), kept_reads_.end(), reads) == kept_reads_.end()) kept_reads_.push_back(reads);
  kept_.insert_or_assign((static_cast<u64>(cell) << 32) | key, value);
}

void Solving::forget_keys_from(u32 projection) {
  std::erase_if(kept_, [&](const auto& kept) { return (kept.first & ((1u << Worlds::set_shift) - 1)) >= projection; });
}

void Solving::forget() {
  kept_.clear();
  kept_reads_.clear();
}
}  // namespace dripleg::evaluate
