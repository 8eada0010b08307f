// Small checked programs made by hand, so that evaluation is tested without the phases below it.
// Every formula's node is made after its parts, as the checker makes them.
#pragma once
#include "evaluate/evaluation.hpp"

#include <initializer_list>
#include <string_view>

namespace dripleg::evaluate::test {
using namespace dripleg::meaning;

struct FieldSpec {
  std::string_view name;
  Role role = Role::needs;
  TypeKind type = TypeKind::quantity;
  Holding holding = Holding::one;
};

struct Builder {
  Program program;
  TypeId number, yes_no, a_thing, a_list, a_table, a_range;

  Builder() {
    number = type({TypeKind::quantity, false, 0, program.catalogue.plain().value});
    yes_no = type({TypeKind::yes_no});
    a_thing = type({TypeKind::thing});
    a_list = type({TypeKind::list, false, 0, number.value});
    a_table = type({TypeKind::table});
    a_range = type({TypeKind::range, false, 0, program.catalogue.plain().value});
  }
  TypeId type(Type made) { return TypeId{program.types.push(made)}; }
  TypeId type_of(TypeKind kind) const {
    return kind == TypeKind::yes_no ? yes_no : kind == TypeKind::thing ? a_thing : kind == TypeKind::list ? a_list
         : kind == TypeKind::table ? a_table : kind == TypeKind::range ? a_range : number;
  }
  NameId name(std::string_view spelling) { return program.names.intern(spelling); }

  // ---- kinds and things ----
  KindId kind(std::string_view spelling, std::initializer_list<FieldSpec> fields, NetworkId network = {}) {
    std::vector<Field> made;
    for (const FieldSpec& spec : fields) {
      Field field;
      field.name = name(spec.name);
      field.role = spec.role;
      field.type = type_of(spec.type);
      field.holding = spec.holding;
      made.push_back(field);
    }
    Kind record;
    record.name = name(spelling);
    record.fields = {program.fields.append(made), static_cast<u32>(made.size())};
    record.network = network;
    const KindId kind{program.kinds.push(record)};
    std::vector<SlotFormula> formulas(made.size());
    Class plain{kind, {program.slot_formulas.append(formulas), static_cast<u32>(made.size())}};
    program.kinds.edit(kind.value).plain = ClassId{program.classes.push(plain)};
    return kind;
  }
  // A class of the kind in which some slots have formulas of their own.
  ClassId variant(KindId kind, std::initializer_list<std::pair<u32, SlotFormula>> changes) {
    const Slice plain = program.classes[program.kinds[kind.value].plain.value].formulas;
    std::vector<SlotFormula> formulas;
    for (u32 i = 0; i < plain.count; ++i) formulas.push_back(program.slot_formulas[plain.first + i]);
    for (const auto& [slot, formula] : changes) formulas[slot] = formula;
    return ClassId{program.classes.push({kind, {program.slot_formulas.append(formulas), plain.count}})};
  }
  Field& field(KindId kind, u32 slot) { return program.fields.edit(program.kinds[kind.value].fields.first + slot); }
  void formula(KindId kind, u32 slot, ExprId expr) {
    field(kind, slot).formula = expr;
    const Slice plain = program.classes[program.kinds[kind.value].plain.value].formulas;
    program.slot_formulas.edit(plain.first + slot).formula = expr;
  }
  ThingId add(KindId kind, std::string_view spelling, std::initializer_list<std::pair<u32, Value>> stated = {}) {
    Thing made;
    made.kind = kind;
    made.cls = program.kinds[kind.value].plain;
    if (!spelling.empty()) made.name = name(spelling);
    made.first_slot = program.inputs.size();
    made.slots = static_cast<u16>(program.kinds[kind.value].fields.count);
    made.in_job = true;
    for (u32 i = 0; i < made.slots; ++i) {
      program.inputs.push(Value::unstated());
      program.stated.push({});
    }
    for (const auto& [slot, value] : stated) program.inputs.edit(made.first_slot + slot) = value;
    return ThingId{program.things.push(made)};
  }
  void state(ThingId thing, u32 slot, Value value) {
    program.inputs.edit(program.things[thing.value].first_slot + slot) = value;
  }
  Value list_of(std::initializer_list<Value> items) { return list_of(std::vector<Value>(items)); }
  Value list_of(const std::vector<Value>& items) {
    List made;
    made.items = {program.list_items.append(items), static_cast<u32>(items.size())};
    return Value::index(program.lists.push(made));
  }
  Value hole(ThingId thing, u32 slot) {
    Hole made;
    made.thing = thing;
    made.slot = slot;
    made.written = true;
    return Value::unknown(program.holes.push(made));
  }
  VariableId ranged(ThingId thing, u32 slot, double low, double high) {
    Variable made;
    made.kind = VariableKind::range;
    made.thing = thing;
    made.slot = static_cast<u16>(slot);
    made.low = low;
    made.high = high;
    made.nominal = (low + high) / 2;
    const VariableId variable{program.variables.push(made)};
    state(thing, slot, Value::variable(variable.value));
    return variable;
  }
  ConditionId condition(std::string_view spelling, ExprId usual, TypeKind kind = TypeKind::quantity) {
    Variable made;
    made.kind = VariableKind::condition;
    made.condition = ConditionId{program.conditions.size()};
    Condition record;
    record.name = name(spelling);
    record.type = type_of(kind);
    record.formula = usual;
    record.variable = VariableId{program.variables.push(made)};
    return ConditionId{program.conditions.push(record)};
  }

  // ---- formulas ----
  ExprId push(Expr expr, TypeId result) {
    program.expr_notes.push({{}, result});
    return ExprId{program.exprs.push(expr)};
  }
  ExprId value(Value constant, TypeKind kind = TypeKind::quantity) {
    return push({.op = Op::constant, .a = program.constants.push(constant)}, type_of(kind));
  }
  ExprId n(double constant) { return value(Value::number(constant)); }
  ExprId self() { return push({.op = Op::self}, a_thing); }
  ExprId get(ExprId of, u32 slot, TypeKind kind = TypeKind::quantity) {
    return push({.op = Op::field, .a = of.value, .b = slot}, type_of(kind));
  }
  ExprId mine(u32 slot, TypeKind kind = TypeKind::quantity) { return get(self(), slot, kind); }
  ExprId local(u32 index, TypeKind kind = TypeKind::quantity) { return push({.op = Op::local, .a = index}, type_of(kind)); }
  ExprId op(Op op, ExprId a, ExprId b = {}, ExprId c = {}) {
    const bool test = op >= Op::equal && op <= Op::negation;
    return push({.op = op, .a = a.value, .b = b.value, .c = c.value}, test ? yes_no : number);
  }
  u32 listed(std::initializer_list<ExprId> items) { return program.expr_lists.append(items); }
  ExprId many(Op op, std::initializer_list<ExprId> parts) {
    const u32 first = listed(parts);
    return push({.op = op, .n = static_cast<u16>(parts.size()), .a = first}, op == Op::list ? a_list : yes_no);
  }
  ExprId built_in(BuiltIn function, std::initializer_list<ExprId> arguments) {
    const u32 first = listed(arguments);
    return push({.op = Op::built_in, .n = static_cast<u16>(arguments.size()), .a = first, .b = static_cast<u32>(function)}, number);
  }
  ExprId all(KindId kind) { return push({.op = Op::all_of_kind, .b = kind.value}, a_list); }
  ExprId fold(Op op, u32 local_index, ExprId source, ExprId body, ExprId where = {}) {
    const u32 binder = program.binders.push({local_index, source});
    const bool test = op == Op::fold_all || op == Op::fold_any;
    return push({.op = op, .n = 1, .a = binder, .b = body.value, .c = where.value}, test ? yes_no : op == Op::fold_list ? a_list : number);
  }
  ExprId count_up(double from, double to) { return op(Op::count_up, n(from), n(to)); }
  ExprId when(ExprId asked, ConditionId condition, ExprId set) {
    return push({.op = Op::when, .a = asked.value, .b = condition.value, .c = set.value}, number);
  }
  ExprId look_up(TableId asked, std::initializer_list<ExprId> keys, u32 column = 0) {
    const ExprId of = value(Value::index(asked.value), TypeKind::table);
    const u32 first = listed(keys);
    return push({.op = Op::table_value, .n = static_cast<u16>(keys.size()), .a = of.value, .b = first, .c = column}, number);
  }

  // ---- tables: column by column ----
  struct ColumnSpec {
    std::string_view name;
    bool key = false;
    LookUp mode = LookUp::exact;
    Beyond beyond = Beyond::refused;
    TypeKind type = TypeKind::quantity;
    u32 each = 0;
    Value each_key{};
  };
  TableId columns(std::string_view spelling, std::initializer_list<ColumnSpec> specs, const std::vector<std::vector<Value>>& cells) {
    std::vector<Column> made;
    u16 keys = 0;
    for (const ColumnSpec& spec : specs) {
      keys = static_cast<u16>(keys + (spec.key ? 1 : 0));
      made.push_back({name(spec.name), type_of(spec.type), spec.key, spec.mode, spec.beyond, spec.each, spec.each_key});
    }
    Shape shape;
    shape.columns = {program.columns.append(made), static_cast<u32>(made.size())};
    shape.keys = keys;
    Table record;
    record.name = name(spelling);
    record.shape = ShapeId{program.shapes.push(shape)};
    record.rows = static_cast<u32>(cells.front().size());
    std::vector<Value> flat;
    for (const auto& column : cells) flat.insert(flat.end(), column.begin(), column.end());
    record.first_cell = program.table_cells.append(flat);
    return TableId{program.tables.push(record)};
  }
  TableId two_way(std::string_view spelling, const ColumnSpec& down, const ColumnSpec& across, const std::vector<double>& rows,
                  const std::vector<double>& heads, const std::vector<Value>& cells) {
    const std::vector<Column> made = {{name(down.name), number, true, down.mode, down.beyond, 0, {}},
                                      {name(across.name), number, true, across.mode, across.beyond, 0, {}}};
    Shape shape;
    shape.columns = {program.columns.append(made), 2};
    shape.keys = 2;
    shape.two_way = true;
    shape.value = number;
    Table record;
    record.name = name(spelling);
    record.shape = ShapeId{program.shapes.push(shape)};
    record.rows = static_cast<u32>(rows.size());
    record.across = static_cast<u32>(heads.size());
    std::vector<Value> flat;
    for (const double row : rows) flat.push_back(Value::number(row));
    for (const double head : heads) flat.push_back(Value::number(head));
    flat.insert(flat.end(), cells.begin(), cells.end());
    record.first_cell = program.table_cells.append(flat);
    return TableId{program.tables.push(record)};
  }
};

// A formula alone, in the nominal world or another.
struct Run {
  notices::Notices notices;
  Evaluation evaluation;
  std::vector<Value> locals = std::vector<Value>(8, Value::none());
  explicit Run(const Program& program, Budget budget = {}) : evaluation(program, notices, budget) {}
  Value expr(ExprId asked, WorldId world = nominal_world) { return evaluation.expr(asked, {{}, locals}, world); }
  double number(ExprId asked, WorldId world = nominal_world) { return expr(asked, world).number(); }
  std::vector<u32> holes(Value unknown) const {
    std::vector<u32> found;
    for (const HoleId hole : evaluation.holes(unknown).given()) found.push_back(hole.value);
    return found;
  }
};
inline Value num(double value) { return Value::number(value); }
inline bool unknown(Value value) { return value.is(State::unknown); }
inline bool failed(Value value) { return value.is(State::failed); }
}  // namespace dripleg::evaluate::test
