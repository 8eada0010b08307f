// What could not be computed, in words: one notice for each place and thing, however many worlds meet it.
#include "evaluate/state.hpp"
#include "quantities/print.hpp"

#include <fmt/format.h>

namespace dripleg::evaluate {
using notices::Code;
using notices::Label;

Value Evaluation::State::fail(Code code, ExprId at, std::string headline, std::vector<Label> labels,
                              std::vector<std::string> cures) {
  if (suspending) return suspended;
  if (code == Code::value_outside_table && unsure.is(ValueState::unknown)) return unknowns.merged({&unsure, 1});
  const ThingId self = active.empty() ? ThingId{} : active.back().thing;
  const u32 number = failure_index.find_or_make(
      mix(mix(at.value, self.value), static_cast<u64>(code)),
      [&](u32 known) { return failures[known].at == at && failures[known].self == self && failures[known].code == code; },
      [&] {
        const base::Place place = at.given() ? program.expr_notes[at.value].place : base::Place{};
        notices::Notice& made = notices.add(code, place, std::move(headline));
        made.labels = std::move(labels);
        made.cures = std::move(cures);
        failures.push_back({at, self, code, notices.size() - 1});
        return static_cast<u32>(failures.size() - 1);
      });
  return Value::failed(failures[number].notice);
}

Value Evaluation::State::fail_none_used(ExprId at, ExprId which) {
  const base::Place place = which.given() ? program.expr_notes[which.value].place : base::Place{};
  return fail(Code::value_none_used, at, here() + " uses something that is not there", {{place, "there is none"}},
              {"guard it: `if … is given then … else …`"});
}

Value Evaluation::State::fail_outside(ExprId at, TableId asked, u32 key, Value wanted, std::span<const Value> keys,
                                      bool absent) {
  const meaning::Table& table = program.tables[asked.value];
  const meaning::Column& column = program.columns[program.shapes[table.shape.value].columns.first + key];
  const std::string name = table.name.given() ? fmt::format("table {}", program.text(table.name)) : "the table";
  const std::string asked_for = show(wanted, column.type);
  std::string headline;
  if (keys.empty()) {
    headline = fmt::format("{} has no rows; {} asks it for {}", name, here(), asked_for);
  } else if (absent) {
    headline = fmt::format("{} has no {} {}; {} asks for it", name, program.text(column.name), asked_for, here());
  } else {
    headline = fmt::format("{} goes from {} to {}; {} asks it for {} {}", name, show(keys.front(), column.type),
                           show(keys.back(), column.type), here(), program.text(column.name), asked_for);
  }
  std::vector<Label> labels;
  if (table.place.given()) labels.push_back({table.place, "this table"});
  const Expr& node = program.exprs[at.value];
  if (at.given() && node.op == Op::table_value && key < node.n) {
    // The key is an input as it was typed: point at it.
    const Expr& key_expr = program.exprs[program.expr_lists[node.b + key].value];
    if (key_expr.op == Op::field && program.exprs[key_expr.a].op == Op::self && !active.empty() && active.back().thing.given()) {
      const Thing& thing = program.things[active.back().thing.value];
      if (key_expr.b < thing.slots && inputs[thing.first_slot + key_expr.b].known())
        labels.push_back({program.stated[thing.first_slot + key_expr.b].place, "this is what it is asked for"});
    }
  }
  return fail(Code::value_outside_table, at, std::move(headline), std::move(labels));
}

Value Evaluation::State::fail_cycle(std::size_t first_active) {
  constexpr std::size_t most_named = 12;
  std::string chain;
  std::vector<Label> labels;
  for (std::size_t i = first_active; i < active.size(); ++i) {
    if (i - first_active == most_named) {
      chain += fmt::format(" -> … {} more", active.size() - i);
      break;
    }
    if (i != first_active) chain += " -> ";
    chain += cell_name(active[i].thing, active[i].slot);
  }
  const Active& first = active[first_active];
  chain += " -> " + cell_name(first.thing, first.slot);
  // Whoever reads what is on the ring depends on everything that decides whether the ring is closed.
  reads = reads_everything;
  bool of_owner = false;
  const ExprId at = first.thing.given() ? formula_of(program.things[first.thing.value], first.slot, of_owner)
                                        : program.conditions[first.slot].formula;
  const base::Place place = first.thing.given() ? program.things[first.thing.value].place : base::Place{};
  if (place.given()) labels.push_back({place, "of this"});
  return fail(Code::value_cycle, at, fmt::format("{} needs itself: {}", cell_name(first.thing, first.slot), chain),
              std::move(labels));
}

Value Evaluation::State::fail_long_cycle(u32, ThingId thing, u32 slot) {
  reads = reads_everything;
  bool of_owner = false;
  const ExprId at = thing.given() ? formula_of(program.things[thing.value], slot, of_owner) : program.conditions[slot].formula;
  std::string chain;
  for (std::size_t i = tasks.size(); i-- > 0 && !(tasks[i].thing == thing && tasks[i].slot == slot);)
    if (tasks.size() - i <= 4) chain = " -> … -> " + cell_name(tasks[i].thing, tasks[i].slot) + chain;
  return fail(Code::value_cycle, at,
              fmt::format("{0} needs itself, through many others: {0}{1} -> … -> {0}", cell_name(thing, slot), chain));
}

Value Evaluation::State::fail_steps() {
  reads = reads_everything;
  return fail(Code::limit_steps, ExprId{},
              fmt::format("judging takes more than {} steps; what was not reached is not judged", budget.steps), {},
              {"look for a loop over a long list inside another"});
}

Value Evaluation::State::fail_too_deep(ExprId at) {
  reads = reads_everything;
  return fail(Code::value_too_deep, at, here() + " needs more functions or worlds inside one another than can be followed");
}

// ---- names ------------------------------------------------------------------------------------------------
std::string Evaluation::State::here() const {
  if (active.empty()) return "this formula";
  const Active& top = active.back();
  if (!top.thing.given()) return fmt::format("the condition {}", program.text(program.conditions[top.slot].name));
  const Thing& thing = program.things[top.thing.value];
  return fmt::format("the {} of {}", program.text(program.field(thing.kind, top.slot).name), name_of(top.thing));
}

std::string Evaluation::State::cell_name(ThingId thing, u32 slot) const {
  if (!thing.given()) return std::string(program.text(program.conditions[slot].name));
  return fmt::format("{}.{}", name_of(thing), program.text(program.field(program.things[thing.value].kind, slot).name));
}

// The name of the port whose point it is; none if it is not one.
NameId Evaluation::State::port_of(ThingId point) const {
  const Thing& owner = program.things[program.things[point.value].owner.value];
  for (u32 slot = 0; slot < owner.slots; ++slot) {
    const Field& field_record = program.field(owner.kind, slot);
    if (field_record.role == meaning::Role::port && program.inputs[owner.first_slot + slot] == Value::index(point.value)) return field_record.name;
  }
  return {};
}

std::string Evaluation::State::name_of(ThingId asked) const {
  const Thing& thing = program.things[asked.value];
  const bool of_port = thing.owner.given() && port_of(asked).given();
  if (thing.name.given()) {
    std::string name(program.text(thing.name));
    if (thing.number != 0) name += fmt::format("[{}]", thing.number);
    return of_port ? fmt::format("{}.{}", name, program.text(port_of(asked))) : name;
  }
  if (!thing.owner.given()) return std::string(program.text(program.kinds[thing.kind.value].name));
  // A port or an entry: by the field of the owner in which it stands.
  const Thing& owner = program.things[thing.owner.value];
  for (u32 slot = 0; slot < owner.slots; ++slot) {
    const Value stated = program.inputs[owner.first_slot + slot];
    if (!stated.known()) continue;
    const Field& field_record = program.field(owner.kind, slot);
    if (!field_record.type.given()) continue;
    const meaning::Type type = program.types[field_record.type.value];
    const bool here_alone = type.kind == TypeKind::thing && stated.index() == asked.value;
    bool listed = false;
    u32 place = 0;
    if (type.kind == TypeKind::list && stated.index() < program.lists.size()) {
      const Slice items = program.lists[stated.index()].items;
      for (u32 i = 0; i < items.count && !listed; ++i) {
        listed = program.list_items[items.first + i] == Value::index(asked.value);
        place = i + 1;
      }
    }
    if (here_alone) return fmt::format("{}.{}", name_of(thing.owner), program.text(field_record.name));
    if (listed) return fmt::format("{}.{}[{}]", name_of(thing.owner), program.text(field_record.name), place);
  }
  return name_of(thing.owner);
}

std::string Evaluation::State::show(Value value, TypeId type_asked) const {
  if (!value.known()) return value.is(ValueState::none) ? "none" : "?";
  if (!type_asked.given()) return quantities::format_number(value.number());
  const meaning::Type type = program.types[type_asked.value];
  switch (type.kind) {
    case TypeKind::quantity:
      return quantities::Printer(program.names, program.catalogue).value(value.number(), quantities::DimensionId{type.of}, 4);
    case TypeKind::yes_no: return value.yes() ? "yes" : "no";
    case TypeKind::text: case TypeKind::choice: case TypeKind::size: return std::string(program.text(NameId{value.index()}));
    case TypeKind::date: return quantities::format_date(value.number());
    case TypeKind::clock: return quantities::format_clock(value.number());
    case TypeKind::thing: return name_of(ThingId{value.index()});
    case TypeKind::list: case TypeKind::range: case TypeKind::table: case TypeKind::row: case TypeKind::nothing: break;
  }
  return "this";
}
}  // namespace dripleg::evaluate
