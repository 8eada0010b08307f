// Lines through points and values sorted into bins: what is asked of the rows of a list or table.
#include "meaning/formula.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
// between(POINTS, X): each point is an entry with two quantities that it needs, the first along and the second up.
Typed Formula::between(Cursor callee, const std::vector<Cursor>& args) {
  Typed points = at(args[0], nullptr);
  if (points.type.failed || !given(points, args[0])) return failed(callee);
  const Type element = points.type.type.kind == TypeKind::list ? element_of(points) : Type{};
  if (element.kind != TypeKind::thing || element.of >= program.kinds.size())
    return wrong(Code::wrong_type, args[0], "between goes through the points of a list, and this is none", "hand it a field like `many point (x length) at (y number)`");
  const KindId kind{element.of};
  std::vector<u32> slots;
  for (u32 slot = 0; slot < program.kinds[kind.value].fields.count; ++slot) {
    const Field& field = program.field(kind, slot);
    const Type type = c.type_of(field.type);
    if (field.role == Role::needs && type.kind == TypeKind::quantity && !type.or_none && field.holding == Holding::one) slots.push_back(slot);
  }
  if (slots.size() != 2)
    return wrong(Code::wrong_type, args[0], fmt::format("between wants points of two quantities, and {} needs {}", c.name_text(program.kinds[kind.value].name), slots.size()),
                 "give its entries one quantity along and one up; what else they have is `may`");
  const Etype along = c.etype(c.type_of(program.field(kind, slots[0]).type)), up = c.etype(c.type_of(program.field(kind, slots[1]).type));
  Typed wanted = at(args[1], &along);
  if (wanted.type.failed || !coerce(wanted, along, args[1])) return failed(callee);
  const Slice list_of = c.expr_list({points.expr, wanted.expr});
  return {c.push({.op = Op::built_in, .n = 2, .a = list_of.first, .b = static_cast<u32>(BuiltIn::between_points), .c = slots[0] | slots[1] << 16}, up, callee), up};
}

namespace {
TypeId quantity_id(Checker& c, Program& program, const Etype& type) {
  Type made = type.type;
  made.or_none = false;
  if (made.of == 0xFFFFFFFFu) made.of = program.catalogue.dimension_for(type.vector, type.level).value;
  return c.type_id(made);
}
}  // namespace

// The columns of bins: the field's own if it declares them, else low, high, middle and how much.
std::optional<Etype> Formula::bin_columns(const Etype& value, const Etype& amount, bool counted, const Etype* expected, Cursor callee) {
  const TypeId along = quantity_id(c, program, value), much = quantity_id(c, program, amount);
  Etype type;
  type.type.kind = TypeKind::table;
  if (expected != nullptr && expected->type.kind == TypeKind::table && program.shapes[expected->type.of].columns.count != 0) {
    const Shape& shape = program.shapes[expected->type.of];
    bool fits = shape.keys == 0 && shape.columns.count == 4;
    for (u32 at_column = 0; fits && at_column < 4; ++at_column) {
      const Etype own = c.etype(c.type_of(program.columns[shape.columns.first + at_column].type)), needed = at_column < 3 ? value : amount;
      fits = own.quantity() && !own.type.or_none && own.vector == needed.vector && own.level == needed.level;
    }
    if (!fits) {
      wrong(Code::wrong_type, callee, "bins have four columns: from, to, the middle, and how much lies there",
            fmt::format("the first three are {}, the fourth is {}", c.describe(value), c.describe(amount)));
      return std::nullopt;
    }
    type.type.of = expected->type.of;
    return type;
  }
  std::vector<Column> columns(4);
  const std::string_view words[] = {"low", "high", "middle", counted ? "count" : "amount"};
  for (u32 at_column = 0; at_column < 4; ++at_column) {
    columns[at_column].name = c.name(words[at_column]);
    columns[at_column].type = at_column < 3 ? along : much;
  }
  const bool waiting = expected != nullptr && expected->type.kind == TypeKind::table;      // a field that takes its columns from here
  for (u32 known = 0; !waiting && known < program.shapes.size(); ++known) {
    const Shape& shape = program.shapes[known];
    bool same = shape.keys == 0 && shape.columns.count == 4;
    for (u32 n = 0; same && n < 4; ++n) {
      const Column& own = program.columns[shape.columns.first + n];
      same = own.name == columns[n].name && own.type == columns[n].type;
    }
    if (same) {
      type.type.of = known;
      return type;
    }
  }
  Shape shape;
  shape.columns = {program.columns.append(columns), 4};
  if (waiting) {
    program.shapes.edit(expected->type.of) = shape;
    type.type.of = expected->type.of;
  } else {
    type.type.of = program.shapes.push(shape);
  }
  return type;
}

// binned(ROWS, STEP [, EDGE [, EACH]]): how many rows lie in each stretch of a step, or how much if each stands for
// an amount. The stretches begin at the least value, or at whole steps from an edge.
Typed Formula::binned(Cursor callee, const std::vector<Cursor>& args, const Etype* expected) {
  Typed rows = at(args[0], nullptr);
  if (rows.type.failed || !given(rows, args[0])) return failed(callee);
  Etype value;
  if (rows.type.type.kind == TypeKind::table) {
    const Shape& shape = program.shapes[rows.type.type.of];
    if (shape.columns.count == 0) return wrong(Code::wrong_type, args[0], "the columns of this table are not known yet", "say them in its block, or declare it before what is made of it");
    if (!shape.two_way) value = c.etype(c.type_of(program.columns[shape.columns.first].type));
    Etype list;
    list.type = {TypeKind::list, false, 0, c.type_id({TypeKind::row, false, 0, rows.type.type.of}).value};
    rows = {c.push({.op = Op::all_of_table, .a = rows.expr.value}, list, args[0]), list};
  } else if (rows.type.type.kind == TypeKind::list) {
    value = c.etype(element_of(rows));
  }
  if (!value.quantity() || value.type.or_none)
    return wrong(Code::wrong_type, args[0], "binned sorts numbers: a list of them, or a table by its first column", "hand it `list of r.COLUMN for r in TABLE`");
  std::vector<ExprId> exprs{rows.expr};
  Etype step_type = value;
  step_type.level = quantities::Level::no;
  if (value.level != quantities::Level::no && value.type.of != 0xFFFFFFFFu)
    step_type = c.etype({TypeKind::quantity, false, 0, program.catalogue.difference_of(quantities::DimensionId{value.type.of}).value});
  Typed step = at(args[1], &step_type);
  if (step.type.failed || !coerce(step, step_type, args[1])) return failed(callee);
  exprs.push_back(step.expr);
  Etype amount = number_type();
  if (args.size() > 2) {
    Typed edge = at(args[2], &value);
    if (edge.type.failed || !coerce(edge, value, args[2])) return failed(callee);
    exprs.push_back(edge.expr);
  }
  if (args.size() > 3) {
    Typed each = at(args[3], nullptr);
    if (each.type.failed || !need_number(each, args[3])) return failed(callee);
    if (each.type.level != quantities::Level::no) return wrong(Code::level_in_product, args[3], "a reading on a scale is no amount");
    amount = each.type;
    exprs.push_back(each.expr);
  }
  amount.literal = {};
  amount.bare = amount.zero = amount.pure_literal = false;
  const auto type = bin_columns(value, amount, args.size() < 4, expected, callee);
  if (!type) return failed(callee);
  const Slice list_of = c.expr_list(exprs);
  return {c.push({.op = Op::built_in, .n = static_cast<u16>(list_of.count), .a = list_of.first, .b = static_cast<u32>(BuiltIn::binned)}, *type, callee), *type};
}

// `gives bins table = …` without columns takes those of its formula, which is read before all others.
void Checker::read_bare_tables() {
  for (PendingFormula& pending : formulas) {
    if (pending.where != PendingFormula::Where::field || !pending.expr.given()) continue;
    Field field = program.fields[pending.index];
    const Type type = type_of(field.type);
    if (type.kind != TypeKind::table || program.shapes[type.of].columns.count != 0) continue;
    Scope scope;
    scope.self = pending.self;
    field.formula = formula_as(pending.expr, scope, type).expr;
    program.fields.edit(pending.index) = field;
    pending.done = true;
    if (program.shapes[type.of].columns.count == 0)
      fail(Code::bad_declaration, pending.expr, fmt::format("the columns of {} are not known", name_text(field.name))).cures.push_back("say them in a block, or make it by binned(…)");
  }
}
}  // namespace dripleg::meaning
