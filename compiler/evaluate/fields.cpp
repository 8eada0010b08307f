// Cells: fields of things and conditions, computed when asked and kept by what they depended on.
#include "evaluate/solving.hpp"

namespace dripleg::evaluate {
Evaluation::State::State(const Program& program_given, notices::Notices& notices_given, Budget budget_given)
    : program(program_given),
      notices(notices_given),
      budget(budget_given),
      lists(program_given),
      cells(program_given.inputs.size() + program_given.conditions.size()),
      frame_stack(static_cast<Value*>(std::malloc(Locals::capacity * sizeof(Value)))),
      frame_sizes(program_given.exprs.size(), 0) {
  inputs.reserve(program.inputs.size());
  for (u32 i = 0; i < program.inputs.size(); ++i) inputs.push_back(program.inputs[i]);
  worlds.set_variable_count(program.variables.size());
  limit_values.resize(program.limits.size());
  for (u32 i = 0; i < program.limits.size(); ++i) {
    const Slice choices = program.limits[i].choices;
    if (choices.count != 0) limit_values[i] = program.limit_choices[choices.first].value;
  }
  keyless_slots.assign(program.kinds.size(), 0);
  members.resize(program.kinds.size());
  active.reserve(most_active + 1);
  solving = std::make_unique<Solving>(*this);
  for (u32 i = 0; i < program.holes.size(); ++i) {
    const meaning::Hole& known = program.holes[i];
    if (!known.thing.given()) continue;
    hole_index.find_or_make(
        mix(mix(known.thing.value, known.slot), known.keyed ? known.key.bits() : 1),
        [&](u32 at) {
          const meaning::Hole& other = hole(HoleId{at});
          return other.thing == known.thing && other.slot == known.slot && other.keyed == known.keyed &&
                 (!known.keyed || other.key == known.key);
        },
        [&] { return i; });
  }
}

Evaluation::State::~State() = default;

bool Evaluation::State::low_on_stack() const {
  return static_cast<const char*>(__builtin_frame_address(0)) < stack_floor;
}

const meaning::Hole& Evaluation::State::hole(HoleId asked) const {
  const u32 count = program.holes.size();
  return asked.value < count ? program.holes[asked.value] : holes[asked.value - count];
}

Value Evaluation::State::empty_list() { return lists.make({}); }

// ---- inputs ----------------------------------------------------------------------------------------------
Value Evaluation::State::field_not_known(u32 cell, ThingId thing, u32 slot, Value stated) {
  switch (stated.state()) {
    case ValueState::known: case ValueState::none: case ValueState::failed: case ValueState::pending:
      return stated;
    case ValueState::unknown:
      return hole_value(HoleId{stated.payload()});
    case ValueState::variable: {
      const Value value = variable_value(VariableId{stated.payload()});
      return value.is(ValueState::unstated) ? derived(cell, thing, slot) : value;
    }
    case ValueState::unstated:
      return derived(cell, thing, slot);
  }
  return stated;
}

Value Evaluation::State::from_program(Value stored) {
  switch (stored.state()) {
    case ValueState::known: case ValueState::none: case ValueState::failed: case ValueState::pending:
      return stored;
    case ValueState::unknown:
      return hole_value(HoleId{stored.payload()});
    case ValueState::variable:
      return variable_value(VariableId{stored.payload()});
    case ValueState::unstated:
      return Value::none();
  }
  return stored;
}

// Unstated: what stands in its place has to be computed.
Value Evaluation::State::variable_value(VariableId variable) {
  using meaning::VariableKind;
  reads |= worlds.bit(variable);
  if (const Value* set = worlds.find(world, variable)) return *set;
  const u32 own = program.variables.size();
  if (variable.value >= own) {
    const Value usual = opened[variable.value - own].usual;
    return usual.is(ValueState::unknown) ? hole_value(HoleId{usual.payload()}) : usual;
  }
  const meaning::Variable& record = program.variables[variable.value];
  switch (record.kind) {
    case VariableKind::condition: return condition(record.condition);
    case VariableKind::range: case VariableKind::spread: case VariableKind::choice: return Value::number(record.nominal);
    case VariableKind::hole: return missing(record.thing, record.slot);
  }
  return Value::none();
}

Value Evaluation::State::hole_value(HoleId asked) {
  const meaning::Hole& record = hole(asked);
  Bounds bounds;
  if (record.thing.given() && !record.keyed) {
    const Field& field_record = program.field(program.things[record.thing.value].kind, record.slot);
    if (field_record.least_given) bounds.low = field_record.least;
    if (field_record.most_given) bounds.high = field_record.most;
  }
  if (record.bounded_low) bounds.low = std::fmax(bounds.low, record.low);
  if (record.bounded_high) bounds.high = std::fmin(bounds.high, record.high);
  return unknowns.make(asked, bounds);
}

Value Evaluation::State::missing(ThingId thing, u32 slot, std::optional<Value> key) {
  const u64 hash = mix(mix(thing.value, slot), key ? key->bits() : 1);
  const u32 number = hole_index.find_or_make(
      hash,
      [&](u32 at) {
        const meaning::Hole& other = hole(HoleId{at});
        return other.thing == thing && other.slot == slot && other.keyed == key.has_value() &&
               (!key || other.key == *key);
      },
      [&] {
        meaning::Hole made;
        made.thing = thing;
        made.slot = slot;
        made.keyed = key.has_value();
        if (key) made.key = *key;
        made.place = program.things[thing.value].place;
        holes.push_back(made);
        return program.holes.size() + static_cast<u32>(holes.size()) - 1;
      });
  return hole_value(HoleId{number});
}

// ---- cells -------------------------------------------------------------------------------------------------
Value Evaluation::State::condition(ConditionId asked) {
  const VariableId variable = program.conditions[asked.value].variable;
  if (variable.given()) {
    reads |= worlds.bit(variable);
    if (const Value* set = worlds.find(world, variable)) return *set;
  }
  return derived(static_cast<u32>(inputs.size()) + asked.value, ThingId{}, asked.value);
}

Value Evaluation::State::derived(u32 cell, ThingId thing, u32 slot) {
  if (const Cells::Entry* kept = cells.find(cell, world, worlds)) {
    reads |= worlds.reads_of_key(kept->key);
    return kept->value;
  }
  if (suspending) return suspended;
  if (thing.given() && solving->trying())
    if (const auto value = solving->being_tried(cell, thing, slot)) return *value;
  if (cells.busy(cell))
    for (std::size_t i = active.size(); i-- > cycle_floor;)
      if (active[i].cell == cell && active[i].world == world) return fail_cycle(i);
  if (active.size() >= most_active || (!active.empty() && low_on_stack())) return suspend(cell, thing, slot);

  const Reads outer = reads;
  Recorder* const recording = recorder;
  reads = 0;
  recorder = nullptr;
  const bool marked = cells.make_busy(cell);
  active.push_back({cell, world, thing, slot});
  const Value value = thing.given() ? compute(cell, thing, slot) : compute_condition(ConditionId{slot});
  active.pop_back();
  if (marked) cells.make_idle(cell);
  recorder = recording;
  if (!suspending && (reads & (trial_bit | settling_bit)) == 0) cells.keep(cell, worlds.key(world, reads), value);
  reads |= outer;
  return suspending ? suspended : value;
}

// Takes everything back that is being computed, so that this cell can be computed first, from a fresh start.
Value Evaluation::State::suspend(u32 cell, ThingId thing, u32 slot) {
  for (const Active& task : tasks)
    if (task.cell == cell && task.world == world) return fail_long_cycle(cell, thing, slot);
  tasks.push_back({cell, world, thing, slot});
  suspending = true;
  return suspended;
}

bool Evaluation::State::roomy() const {
  return active.size() < most_active / 2 && !solving->trying() &&
         static_cast<const char*>(__builtin_frame_address(0)) > stack_floor + stack_room / 2;
}

void Evaluation::State::run_tasks(std::size_t below) {
  while (tasks.size() > below) {
    const Active task = tasks.back();
    const std::size_t depth = tasks.size();
    suspending = false;
    const InWorld inside(*this, task.world);
    derived(task.cell, task.thing, task.slot);
    if (!suspending) tasks.resize(depth - 1);
  }
  suspending = false;
}

ExprId Evaluation::State::formula_of(const Thing& thing, u32 slot, bool& of_owner) const {
  of_owner = false;
  if (!thing.cls.given()) return program.field(thing.kind, slot).formula;
  const Slice formulas = program.classes[thing.cls.value].formulas;
  if (slot >= formulas.count) return {};
  const meaning::SlotFormula& found = program.slot_formulas[formulas.first + slot];
  of_owner = found.of_owner;
  return found.formula;
}

Value Evaluation::State::compute(u32 cell, ThingId thing, u32 slot) {
  using meaning::Holding;
  using meaning::Role;
  const Thing& record = program.things[thing.value];
  const Field& solved = program.field(record.kind, slot);
  if (solved.settling != 0) return solving->settled(cell, thing, slot, solved);
  if (solved.role == Role::built_in)
    if (const auto value = solving->solved_field(thing, slot, solved)) return *value;
  bool of_owner = false;
  const ExprId formula = formula_of(record, slot, of_owner);
  if (formula.given()) return run(formula, of_owner ? record.owner : thing);
  const Field& field_record = program.field(record.kind, slot);
  switch (field_record.role) {
    case Role::needs: case Role::port: return missing(thing, slot);
    case Role::may: case Role::gives: case Role::built_in: break;
  }
  const bool built_list = field_record.role == Role::built_in && program.types[field_record.type.value].kind == TypeKind::list;
  const bool several = built_list || field_record.holding == Holding::many || field_record.holding == Holding::keyed;
  return several ? empty_list() : Value::none();
}

Value Evaluation::State::compute_condition(ConditionId asked) {
  const ExprId formula = program.conditions[asked.value].formula;
  return formula.given() ? run(formula, ThingId{}) : Value::none();
}

// ---- entries by key ----------------------------------------------------------------------------------------
Value Evaluation::State::keyed(ThingId thing, u32 slot, Value key, ExprId at) {
  using meaning::Role;
  const Field& field_record = program.field(program.things[thing.value].kind, slot);
  const bool needed = field_record.role == Role::needs;
  const u32 cell = program.things[thing.value].first_slot + slot;
  const bool nothing_stated = inputs[cell].is(ValueState::unstated);
  const auto recorded = [&](ThingId of, u32 read_slot, Value value) {
    if (recorder) recorder->read({.how = How::stated, .thing = of, .slot = read_slot, .expr = at, .world = world, .value = value});
    return value;
  };
  if (nothing_stated && needed && key.known()) return recorded(thing, slot, missing(thing, slot, key));
  const Value list = field(thing, slot);
  if (list.is(ValueState::none)) return list;
  if (!list.known() || !key.known()) {
    const Value both[] = {list, key};
    return blend(at, both);
  }
  const Value found = entry_for(list, key);
  if (found.is(ValueState::unknown) || found.is(ValueState::failed)) return found;
  if (!found.known()) return recorded(thing, slot, needed ? missing(thing, slot, key) : Value::none());
  const ThingId entry{found.index()};
  return one_value(entry) ? recorded(entry, 1, field(entry, 1)) : found;
}

// The entry whose key it is, else the one that holds for every key, else none.
Value Evaluation::State::entry_for(Value list, Value key) {
  const LoopSource entries = items_of(list);
  Value general = Value::none();
  for (u32 i = 0; i < entries.count; ++i) {
    const Value entry = item(entries, i);
    if (!entry.known()) return entry;
    const Value its_key = field(ThingId{entry.index()}, 0);
    if (its_key == key) return entry;
    if (its_key.is(ValueState::none)) general = entry;
  }
  return general;
}

// Has the entry one slot beside its key (and what the compiler adds)?
bool Evaluation::State::one_value(ThingId entry) {
  const KindId kind = program.things[entry.value].kind;
  u32& known_slots = keyless_slots[kind.value];
  if (known_slots == 0) {
    const Slice fields = program.kinds[kind.value].fields;
    u32 count = 0;
    for (u32 i = 1; i < fields.count; ++i) count += program.fields[fields.first + i].role != meaning::Role::built_in;
    known_slots = 1 + count;
  }
  return known_slots == 2;
}

// Those that a line of the job names.
Value Evaluation::State::written_of_kind(KindId kind) {
  std::vector<Value> written;
  for (const Value thing : all_of_kind(kind))
    if (!program.things[thing.index()].implied) written.push_back(thing);
  return lists.make(written);
}

std::span<const Value> Evaluation::State::all_of_kind(KindId kind) {
  auto& known = members[kind.value];
  if (!known) {
    known = std::make_unique<Members>();
    known->kind = kind;
    for (u32 i = 0; i < program.things.size(); ++i) {
      const Thing& thing = program.things[i];
      if ((thing.in_job || thing.is_stock) && program.is_a(thing.kind, kind)) known->things.push_back(Value::index(i));
    }
  }
  return known->things;
}
}  // namespace dripleg::evaluate
