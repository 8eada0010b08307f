// The public side: every question is asked of the state in a world, from a fresh start.
#include "evaluate/evaluation.hpp"

#include "evaluate/solving.hpp"

#include <algorithm>

namespace dripleg::evaluate {
Evaluation::Evaluation(const meaning::Program& program, notices::Notices& notices, Budget budget)
    : state_(std::make_unique<State>(program, notices, budget)) {}
Evaluation::~Evaluation() = default;

Value Evaluation::field(ThingId thing, u32 slot, WorldId world) {
  return state_->ask(world, [&] { return state_->field(thing, slot); });
}

Value Evaluation::expr(ExprId expr, const Scope& scope, WorldId world) {
  return state_->ask(world, [&] { return state_->walk_in(expr, scope); });
}

Value Evaluation::condition(ConditionId condition, WorldId world) {
  return state_->ask(world, [&] { return state_->condition(condition); });
}

Reads Evaluation::reads() const { return state_->reads; }

std::vector<VariableId> Evaluation::variables_in(Reads reads) const {
  std::vector<VariableId> found;
  for (u32 i = 0; i < variable_count(); ++i)
    if (state_->worlds.bit(VariableId{i}) & reads) found.push_back(VariableId{i});
  return found;
}

// An expression in a scope from outside. Its own bound names stand in its owner's locals if there is room for
// them, else in a copy.
Value Evaluation::State::walk_in(ExprId expr, const Scope& scope) {
  const u32 size = frame_size(expr);
  if (scope.locals.size() >= size) {
    Frame frame{scope.self, scope.locals.data(), nullptr};
    return walk(expr, frame);
  }
  const Locals locals(*this, size);
  if (!locals.get()) return fail_too_deep(expr);
  std::copy(scope.locals.begin(), scope.locals.end(), locals.get());
  Frame frame{scope.self, locals.get(), nullptr};
  return walk(expr, frame);
}

namespace {
// The binders of a rule or a family, one value after another, each question asked from a fresh start.
struct Enumeration {
  Evaluation& evaluation;
  Evaluation::State& state;
  Slice binders;
  ExprId where;
  const Scope& scope;
  WorldId world;
  const std::function<bool(Value)>& each;
  Reads reads = 0;
  Value result = Value::yes_no(true);
  bool stopped = false;

  void odd(Value value) {
    if (result.is(ValueState::failed) && (!value.is(ValueState::failed) || value.payload() >= result.payload())) return;
    if (result.is(ValueState::unknown) && value.is(ValueState::unknown)) {
      const Value both[] = {result, value};
      value = state.unknowns.merged(both);
    }
    result = value;
  }

  void run(u32 depth) {
    if (depth == binders.count) {
      Value test = Value::yes_no(true);
      if (where.given()) {
        test = evaluation.expr(where, scope, world);
        reads |= state.reads;
      }
      if (test.known() && !test.yes()) return;
      stopped = !each(test);
      return;
    }
    const meaning::Binder binder = state.program.binders[binders.first + depth];
    std::vector<Value> items;
    const Value known = state.ask(world, [&] {
      items.clear();
      Value why = Value::yes_no(true);
      // A copy, for the source may bind names of its own beyond the scope's.
      std::vector<Value> locals(scope.locals.begin(), scope.locals.end());
      locals.resize(std::max<std::size_t>(locals.size(), state.frame_size(binder.source)));
      Frame frame{scope.self, locals.data(), nullptr};
      const auto all = state.source(binder.source, frame, why);
      if (!all) return why;
      for (u32 i = 0; i < all->count; ++i) items.push_back(state.item(*all, i));
      return Value::yes_no(true);
    });
    reads |= state.reads;
    if (!known.known()) return odd(known);
    for (const Value item : items) {
      if (!state.count_step()) return odd(state.spent);
      scope.locals[binder.local] = item;
      run(depth + 1);
      if (stopped) return;
    }
  }
};
}  // namespace

Value Evaluation::each(Slice binders, ExprId where, const Scope& scope, WorldId world,
                       const std::function<bool(Value)>& each) {
  Enumeration all{*this, *state_, binders, where, scope, world, each};
  all.run(0);
  state_->reads = all.reads;
  return all.result;
}

// ---- worlds -------------------------------------------------------------------------------------------------
Worlds& Evaluation::worlds() { return state_->worlds; }

WorldId Evaluation::world(std::span<const WorldSetting> settings) { return state_->outer_world(WorldId{}, settings); }

WorldId Evaluation::with(WorldId base, VariableId variable, Value value) {
  const WorldSetting setting{variable, value};
  return state_->outer_world(base, {&setting, 1});
}

// What equals the usual value of a stated input is no setting, and lists are the same if their items are.
WorldId Evaluation::State::outer_world(WorldId base, std::span<const WorldSetting> settings) {
  std::vector<WorldSetting> wanted;
  if (base.given()) {
    const auto old = worlds.settings(base);
    wanted.assign(old.begin(), old.end());
  }
  for (WorldSetting setting : settings) {
    setting.value = settled(setting.variable, setting.value);
    std::erase_if(wanted, [&](const WorldSetting& old) { return old.variable == setting.variable; });
    if (setting.value != usual_of(setting.variable)) wanted.push_back(setting);
  }
  const WorldId made = worlds.world(wanted);
  world_nesting.resize(worlds.size(), 0);
  world_nesting[made.value] = 0;
  return made;
}

Value Evaluation::State::settled(VariableId variable, Value value) {
  if (!value.known() || variable.value >= program.variables.size()) return value;
  const meaning::Variable& record = program.variables[variable.value];
  if (record.kind != meaning::VariableKind::condition) return value;
  const TypeId type = program.conditions[record.condition.value].type;
  if (!type.given() || program.types[type.value].kind != TypeKind::list || lists.made_here(value)) return value;
  std::vector<Value> items;
  const LoopSource all = items_of(value);
  for (u32 i = 0; i < all.count; ++i) items.push_back(item(all, i));
  return lists.make(items);
}

Value Evaluation::State::usual_of(VariableId variable) const {
  const u32 own = program.variables.size();
  if (variable.value >= own) return opened[variable.value - own].usual;
  const meaning::Variable& record = program.variables[variable.value];
  switch (record.kind) {
    case meaning::VariableKind::range: case meaning::VariableKind::spread: case meaning::VariableKind::choice:
      return Value::number(record.nominal);
    case meaning::VariableKind::condition: case meaning::VariableKind::hole: break;
  }
  return Value::pending();
}

CaseWorlds Evaluation::case_worlds(CaseId asked, WorldId base) {
  const meaning::Case& record = state_->program.cases[asked.value];
  CaseWorlds found;
  std::vector<Value> locals(state_->case_frame(asked), Value::none());
  const Scope scope{ThingId{}, locals};
  Reads reads = 0;
  const Value listed = each(record.binders, record.where, scope, base, [&](Value where) {
    if (!where.known()) {
      found.state = where;
      return true;
    }
    CaseWorld one;
    std::vector<WorldSetting> settings;
    const Value state = state_->ask(base, [&] {
      settings.clear();
      one.sweeps.clear();
      Frame frame{ThingId{}, locals.data(), nullptr};
      return state_->settings_of(asked, frame, settings, &one.sweeps, ExprId{}).value_or(Value::yes_no(true));
    });
    reads |= state_->reads;
    if (!state.known()) {
      found.state = state;
      return true;
    }
    one.bound = locals;
    one.world = state_->outer_world(base, settings);
    found.worlds.push_back(std::move(one));
    return true;
  });
  if (!listed.known()) found.state = listed;
  state_->reads |= reads;
  return found;
}

Value Evaluation::variable(VariableId variable, WorldId world) {
  return state_->ask(world, [&] { return state_->variable_value(variable); });
}

meaning::Variable Evaluation::variable_record(VariableId variable) const {
  const u32 own = state_->program.variables.size();
  if (variable.value < own) return state_->program.variables[variable.value];
  const State::Opened& opened = state_->opened[variable.value - own];
  meaning::Variable record;
  record.kind = opened.usual.known() ? meaning::VariableKind::choice : meaning::VariableKind::hole;
  record.thing = opened.input.thing;
  record.slot = static_cast<u16>(opened.input.slot);
  record.nominal = opened.usual.known() ? opened.usual.number() : 0;
  record.low = record.high = record.nominal;
  record.place = state_->program.stated[state_->program.things[opened.input.thing.value].first_slot + opened.input.slot].place;
  return record;
}

u32 Evaluation::variable_count() const {
  return state_->program.variables.size() + static_cast<u32>(state_->opened.size());
}

std::vector<VariableId> Evaluation::open(std::span<const InputId> inputs) {
  std::vector<VariableId> made;
  bool changed = false;
  for (const InputId input : inputs) {
    Value& stated = state_->inputs[state_->program.things[input.thing.value].first_slot + input.slot];
    if (stated.is(ValueState::variable)) {
      made.push_back(VariableId{stated.payload()});
      continue;
    }
    const VariableId variable{variable_count()};
    state_->opened.push_back({input, stated});
    stated = Value::variable(variable.value);
    made.push_back(variable);
    changed = true;
  }
  if (changed) state_->forget();
  return made;
}

void Evaluation::choose_limit(LimitId limit, ExprId value) {
  if (state_->limit_values[limit.value] == value) return;
  state_->limit_values[limit.value] = value;
  state_->forget();
}

void Evaluation::State::forget() {
  cells.clear();
  worlds.set_variable_count(program.variables.size() + static_cast<u32>(opened.size()));
  worlds.forget_keys();
  solving->forget();
}

// ---- what values stand for ------------------------------------------------------------------------------------
const HoleSet& Evaluation::holes(Value unknown) const { return state_->unknowns.holes(unknown); }
Bounds Evaluation::bounds(Value value) const { return state_->unknowns.bounds(value); }
const meaning::Hole& Evaluation::hole(HoleId hole) const { return state_->hole(hole); }
u32 Evaluation::hole_count() const {
  return state_->program.holes.size() + static_cast<u32>(state_->holes.size());
}

std::vector<Value> Evaluation::items(Value list, WorldId world) {
  std::vector<Value> all;
  state_->ask(world, [&] {
    all.clear();
    const LoopSource source = state_->items_of(list);
    for (u32 i = 0; i < source.count; ++i) all.push_back(state_->item(source, i));
    return Value::none();
  });
  return all;
}

meaning::Range Evaluation::range(Value range, WorldId world) {
  meaning::Range ends;
  state_->ask(world, [&] {
    ends = state_->range_of(range);
    return Value::none();
  });
  return ends;
}

Value Evaluation::make_list(std::span<const Value> items) { return state_->lists.make(items); }
Value Evaluation::row_column(Value row, u32 column, WorldId world) {
  return state_->ask(world, [&] { return state_->row_cell(row, column); });
}
std::span<const Value> Evaluation::all_of_kind(KindId kind) { return state_->all_of_kind(kind); }
std::string Evaluation::name_of(ThingId thing) const { return state_->name_of(thing); }
u64 Evaluation::steps_used() const { return state_->steps; }
}  // namespace dripleg::evaluate
