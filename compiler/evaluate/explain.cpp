// How a value was made. The asked cell's formula is walked once more with everything that it reads written
// down; then each field or condition that it read in the same way, down to the depth asked for.
#include "evaluate/state.hpp"

#include <algorithm>
#include <array>
#include <set>

namespace dripleg::evaluate {
namespace {
class Explainer {
 public:
  Explainer(Evaluation::State& state, Evaluation::Depth depth) : state_(state), program_(state.program), depth_(depth) {}

  Derivation field(ThingId thing, u32 slot, WorldId world) {
    Step asked;
    asked.thing = thing;
    asked.slot = slot;
    asked.world = world;
    asked.value = state_.ask(world, [&] { return state_.field(thing, slot); });
    asked.how = How::formula;
    made_.steps.push_back(asked);
    waiting_.push_back({0, depth_.levels});
    explain_waiting();
    return std::move(made_);
  }

  Derivation expression(ExprId expr, const Scope& scope, WorldId world) {
    Step asked;
    asked.expr = expr;
    asked.world = world;
    made_.steps.push_back(asked);
    std::vector<Value> locals(scope.locals.begin(), scope.locals.end());
    record(0, depth_.levels, world, [&] { return state_.walk_in(expr, Scope{scope.self, locals}); });
    explain_waiting();
    return std::move(made_);
  }

 private:
  // Nearest steps first, so that a limit cuts off what is furthest down.
  void explain_waiting() {
    for (std::size_t i = 0; i < waiting_.size(); ++i) explain(waiting_[i].first, waiting_[i].second);
  }

  // Names the step for what it is, and puts below it what its formula reads.
  void explain(u32 at, u32 levels) {
    Step& step = made_.steps[at];
    if (step.how == How::condition || step.how == How::condition_set) return explain_condition(at, levels);
    if (!step.thing.given()) return;
    const Thing& thing = program_.things[step.thing.value];
    const Field& field_record = program_.field(thing.kind, step.slot);
    const Value stated = state_.inputs[thing.first_slot + step.slot];
    if (!stated.is(ValueState::unstated)) {
      const bool joined = field_record.role == meaning::Role::built_in || field_record.role == meaning::Role::port;
      const bool varies = stated.is(ValueState::variable) && stated.payload() < program_.variables.size();
      step.how = joined ? How::built_in : varies ? How::range : How::stated;
      const Value usual = stated.is(ValueState::variable) && !varies
                              ? state_.opened[stated.payload() - program_.variables.size()].usual : Value::none();
      if (!usual.is(ValueState::unstated) || !step.value.is(ValueState::unknown)) return;
    }
    bool of_owner = false;
    const ExprId formula = state_.formula_of(thing, step.slot, of_owner);
    if (!formula.given()) {
      const bool built_in = field_record.role == meaning::Role::built_in;
      step.how = !built_in ? How::not_stated : balanced(thing, step.slot) ? How::balanced : How::built_in;
      return;
    }
    step.how = field_record.settling != 0 ? How::settled : field_record.role == meaning::Role::may ? How::usual : How::formula;
    step.expr = formula;
    const ThingId self = of_owner ? thing.owner : step.thing;
    go_below(at, levels, {step.thing.value, step.slot}, [this, formula, self] { return state_.run(formula, self); });
  }

  bool balanced(const Thing& thing, u32 slot) const {
    const meaning::NetworkId network = program_.kinds[thing.kind.value].network;
    if (!network.given() || !program_.networks[network.value].balanced()) return false;
    const meaning::Network& record = program_.networks[network.value];
    if (program_.is_a(thing.kind, record.leg)) return slot == record.flow || slot == record.entering || slot == record.carried;
    return slot == record.arriving || slot == record.departing || (record.head != 0 && slot == record.head);
  }

  void explain_condition(u32 at, u32 levels) {
    Step& step = made_.steps[at];
    const meaning::Condition& record = program_.conditions[step.condition.value];
    if (record.variable.given() && state_.worlds.find(step.world, record.variable)) {
      step.how = How::condition_set;
      return;
    }
    step.how = How::condition;
    step.expr = record.formula;
    if (!record.formula.given()) return;
    go_below(at, levels, {0xFFFFFFFFu, step.condition.value}, [this, formula = record.formula] { return state_.run(formula, ThingId{}); });
  }

  // What was explained once is not explained again further down.
  template <class Compute>
  void go_below(u32 at, u32 levels, std::pair<u32, u32> cell, Compute compute) {
    const WorldId world = made_.steps[at].world;
    if (levels == 0 || !done_.insert({cell.first, cell.second, world.value}).second) {
      made_.steps[at].cut = levels == 0;
      return;
    }
    record(at, levels, world, compute);
  }

  template <class Compute>
  void record(u32 at, u32 levels, WorldId world, Compute compute) {
    const u32 room = depth_.steps > made_.steps.size() ? depth_.steps - static_cast<u32>(made_.steps.size()) : 0;
    if (room == 0) {
      made_.steps[at].cut = made_.cut = true;
      return;
    }
    Recorder recorder(room);
    const Value value = state_.ask(world, [&] {
      recorder = Recorder(room);
      state_.recorder = &recorder;
      const Value computed = compute();
      state_.recorder = nullptr;
      return computed;
    });
    if (!made_.steps[at].thing.given() && !made_.steps[at].condition.given()) made_.steps[at].value = value;
    made_.cut = made_.cut || recorder.full();
    made_.steps[at].cut = made_.steps[at].cut || recorder.full();
    const u32 first = static_cast<u32>(made_.steps.size());
    for (Step& step : recorder.steps()) {
      for (u32& below : step.from) below += first;
      made_.steps.push_back(std::move(step));
    }
    for (const u32 root : recorder.roots()) made_.steps[at].from.push_back(first + root);
    const u32 end = static_cast<u32>(made_.steps.size());
    for (u32 i = first; i < end; ++i) waiting_.push_back({i, levels - 1});
  }

  Evaluation::State& state_;
  const Program& program_;
  Evaluation::Depth depth_;
  Derivation made_;
  std::set<std::array<u32, 3>> done_;            // cell and world
  std::vector<std::pair<u32, u32>> waiting_;     // steps to explain, and how many levels below them
};
}  // namespace

Derivation Evaluation::explain(ThingId thing, u32 slot, WorldId world, Depth depth) {
  return Explainer(*state_, depth).field(thing, slot, world);
}

Derivation Evaluation::explain(ExprId expr, const Scope& scope, WorldId world, Depth depth) {
  return Explainer(*state_, depth).expression(expr, scope, world);
}

Evaluation::InputsRead Evaluation::inputs_of(ExprId expr, const Scope& scope, WorldId world, u32 most) {
  const Derivation made = Explainer(*state_, Depth{most, most}).expression(expr, scope, world);
  InputsRead read;
  read.cut = made.cut;
  std::set<std::array<u32, 3>> known;
  const auto fresh = [&](u32 what, u32 number, u32 slot = 0) { return known.insert({what, number, slot}).second; };
  for (const Step& step : made.steps) {
    const bool input = step.how == How::stated || step.how == How::range || step.how == How::not_stated;
    if (input && fresh(1, step.thing.value, step.slot)) read.inputs.push_back({step.thing, step.slot});
    if (step.how == How::usual && fresh(1, step.thing.value, step.slot)) read.inputs.push_back({step.thing, step.slot});
    if (step.how == How::collection && fresh(2, step.kind.value)) read.collections.push_back(step.kind);
    if (step.how == How::table && fresh(3, step.table.value)) read.tables.push_back(step.table);
  }
  return read;
}
}  // namespace dripleg::evaluate
