// Formulas: the dispatcher over the tree, literals, and what a value is turned into where it is wanted.
// Names stand in formula_names.cpp, arithmetic in formula_numbers.cpp, folds and worlds in formula_folds.cpp.
#include "meaning/formula.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
Etype Checker::etype(const Type& type) const {
  Etype result;
  result.type = type;
  if (type.kind == TypeKind::quantity && type.of != 0xFFFFFFFFu) {
    const auto& dimension = program.catalogue[quantities::DimensionId{type.of}];
    result.vector = dimension.vector;
    result.level = dimension.level;
    result.share = dimension.share;
  }
  return result;
}

std::string Checker::describe(const Etype& type) const {
  const auto of_kind = [&](u32 kind) {
    return kind < program.kinds.size() ? std::string(name_text(program.kinds[kind].name)) : std::string("thing");
  };
  std::string words;
  switch (type.type.kind) {
    case TypeKind::quantity:
      words = type.type.of != 0xFFFFFFFFu
                  ? program.catalogue.describe(program.names, quantities::DimensionId{type.type.of})
                  : program.catalogue.describe(program.names, type.vector, type.level);
      if (type.level != quantities::Level::no) words = "a level (" + words + ")";
      break;
    case TypeKind::yes_no: words = "yes or no"; break;
    case TypeKind::text: words = "a text"; break;
    case TypeKind::date: words = "a date"; break;
    case TypeKind::clock: words = "a time of day"; break;
    case TypeKind::size: words = "a size"; break;
    case TypeKind::choice: words = "a word of its list"; break;
    case TypeKind::thing: words = "a " + of_kind(type.type.of); break;
    case TypeKind::list: words = "a list"; break;
    case TypeKind::range: words = "a range"; break;
    case TypeKind::table: words = "a table"; break;
    case TypeKind::row: words = "a row of a table"; break;
    case TypeKind::nothing: words = "none"; break;
  }
  return type.type.or_none ? words + " or none" : words;
}

ExprId Checker::push(const Expr& expr, const Etype& type, Cursor where) {
  Type noted = type.type;
  if (type.quantity()) {
    if (noted.of == 0xFFFFFFFFu) {
      const auto dimension = program.catalogue.dimension_for(type.vector, type.level);
      noted.of = dimension.value;
    }
  }
  const ExprId id{program.exprs.push(expr)};
  program.expr_notes.push({where.place(), type_id(noted)});
  return id;
}

ExprId Checker::constant(Value value, const Etype& type, Cursor where) {
  return push({.op = Op::constant, .a = program.constants.push(value)}, type, where);
}

Slice Checker::expr_list(const std::vector<ExprId>& items) {
  return {program.expr_lists.append(items), static_cast<u32>(items.size())};
}

namespace {
Etype quantity_of(quantities::Vector vector, quantities::Level level = quantities::Level::no) {
  Etype type;
  type.type = {TypeKind::quantity, false, 0, 0xFFFFFFFFu};
  type.vector = vector;
  type.level = level;
  return type;
}
}  // namespace

Etype Formula::number_type() const { return quantity_of({}); }
Etype Formula::yes_no_type() const {
  Etype type;
  type.type.kind = TypeKind::yes_no;
  return type;
}
Etype Formula::quantity(quantities::Vector vector, quantities::Level level) const { return quantity_of(vector, level); }

Typed Formula::failed(Cursor where) {
  return {c.constant(Value::none(), failed_type(), where), failed_type()};
}
Typed Formula::wrong(Code code, Cursor where, std::string words, std::string cure) {
  auto& notice = c.fail(code, where, std::move(words));
  if (!cure.empty()) notice.cures.push_back(std::move(cure));
  return failed(where);
}

// A number with or without a unit, a date, a clock.
Typed Formula::literal(Cursor leaf, const Etype* expected) {
  quantities::Problem problem;
  const auto measure = quantities::read_measure(leaf.text(), problem);
  if (!measure) {
    c.fail(problem.code, leaf, problem.headline).cures = problem.cures;
    return failed(leaf);
  }
  Etype type;
  switch (measure->kind) {
    case quantities::MeasureKind::date:
      type.type.kind = TypeKind::date;
      return {c.constant(Value::number(measure->number.value), type, leaf), type};
    case quantities::MeasureKind::clock:
      type.type.kind = TypeKind::clock;
      return {c.constant(Value::number(measure->number.value), type, leaf), type};
    case quantities::MeasureKind::hole:
      return wrong(Code::value_wrong, leaf, "a hole `?` has no place in a formula");
    case quantities::MeasureKind::plain:
    case quantities::MeasureKind::percent:
    case quantities::MeasureKind::with_unit: break;
  }
  if (expected != nullptr && expected->type.kind == TypeKind::size) {
    const auto label = quantities::size_label(program.names, program.catalogue, *measure);
    if (!label) return wrong(Code::value_wrong, leaf, fmt::format("{} is no size", leaf.text()));
    type.type.kind = TypeKind::size;
    return {c.constant(Value::index(c.name(*label).value), type, leaf), type};
  }
  type = number_type();
  type.literal_text = leaf.span();
  type.pure_literal = true;
  double value = measure->number.value;
  if (measure->kind == quantities::MeasureKind::plain) {
    type.bare = true;
    type.bare_value = value;
    type.zero = value == 0;
    if (measure->number.value != std::floor(measure->number.value)) scope.empirical = true;
  } else if (measure->kind == quantities::MeasureKind::with_unit) {
    const auto unit = reader.read(measure->unit, problem);
    if (!unit) {
      auto& notice = c.fail(problem.code, leaf, problem.headline);
      notice.cures = problem.cures;
      return failed(leaf);
    }
    value = quantities::value_of(measure->number, *unit);
    type.vector = unit->vector;
    if (unit->is_level()) {
      const auto& level = program.catalogue[unit->level];
      type.level = program.catalogue[level.dimension].level;
      type.type.of = level.dimension.value;
    }
  }
  const ExprId id = c.constant(Value::number(value), type, leaf);
  if (measure->kind != quantities::MeasureKind::plain) type.literal = id;
  return {id, type};
}

// R6: a literal read in the dimension that it meets. True if it now has that dimension.
bool Formula::read_in(Typed& typed, const Etype& wanted) {
  Etype& type = typed.type;
  if (!type.literal.given() || type.level != quantities::Level::no || wanted.level != quantities::Level::no) return false;
  if (type.vector == wanted.vector) {
    type.share = wanted.share;
    type.type.of = wanted.type.of;
    return true;
  }
  if (program.catalogue.readable_in(type.vector, wanted.vector)) {
    type.vector = wanted.vector;
    type.type.of = wanted.type.of;
    type.share = wanted.share;
    return true;
  }
  // The dimension reads some unit words otherwise.
  auto dimension = wanted.type.of != 0xFFFFFFFFu ? quantities::DimensionId{wanted.type.of}
                                                 : program.catalogue.dimension_of(wanted.vector, wanted.level);
  if (!dimension.given()) return false;
  quantities::Problem problem;
  const std::string_view spelling = file_text.substr(type.literal_text.begin, type.literal_text.size());
  const auto measure = quantities::read_measure(spelling, problem);
  if (!measure || measure->kind != quantities::MeasureKind::with_unit) return false;
  std::optional<quantities::Problem> trouble;
  const auto unit = reader.read_in(measure->unit, dimension, quantities::Where::formula, trouble);
  if (!unit) return false;
  const Expr& node = program.exprs[type.literal.value];
  program.constants.edit(node.a) = Value::number(quantities::value_of(measure->number, *unit));
  type.vector = wanted.vector;
  type.type.of = wanted.type.of;
  type.share = wanted.share;
  return true;
}

bool Formula::coerce(Typed& typed, const Etype& wanted, Cursor where, bool silent) {
  Etype& type = typed.type;
  if (type.failed || wanted.failed) return true;
  const auto say = [&](Code code, std::string words, std::string cure = {}) {
    if (!silent) {
      auto& notice = c.fail(code, where, std::move(words));
      if (!cure.empty()) notice.cures.push_back(std::move(cure));
      type.failed = true;
    }
    return false;
  };
  if (type.type.kind == TypeKind::nothing) {
    if (wanted.type.or_none) {
      type.type = wanted.type;
      type.vector = wanted.vector;
      return true;
    }
    return say(Code::may_be_none, fmt::format("none stands where {} is wanted", c.describe(wanted)));
  }
  if (type.type.or_none && !wanted.type.or_none)
    return say(Code::may_be_none, fmt::format("this may be none; {} is wanted", c.describe(wanted)),
               "guard it: `where … is given`, `… is given and …` or `if … is given then …`");
  if (wanted.quantity()) {
    if (!type.quantity()) return say(Code::wrong_type, fmt::format("this is {}, and {} is wanted", c.describe(type), c.describe(wanted)));
    if (type.bare && type.zero && wanted.level == quantities::Level::no) {
      type.vector = wanted.vector;
      type.type.of = wanted.type.of;
      return true;
    }
    if (type.bare && wanted.share && std::fabs(type.bare_value) > 1)
      return say(Code::not_a_share, fmt::format("{} stands where a share of a whole is wanted", where.text()),
                 fmt::format("write {} %", where.text()));
    if (type.bare && wanted.level == quantities::Level::no && !(type.vector == wanted.vector) &&
        program.catalogue.plain_vector(wanted.vector).plain() &&
        !(program.catalogue.angle().given() && wanted.vector == program.catalogue[program.catalogue.angle()].vector)) {
      type.vector = wanted.vector;
      type.type.of = wanted.type.of;
      return true;
    }
    if (type.vector == wanted.vector && type.level == wanted.level) {
      if (wanted.type.of != 0xFFFFFFFFu) type.type.of = wanted.type.of;
      type.share = type.share || wanted.share;
      type.type.or_none = type.type.or_none && wanted.type.or_none;
      return true;
    }
    if (read_in(typed, wanted)) return true;
    if (type.vector == wanted.vector) {
      if (wanted.level == quantities::Level::no)
        return say(Code::level_in_product, fmt::format("{} stands where {} is wanted", c.describe(type), c.describe(wanted)),
                   "say the difference of two readings, or from_zero(…)");
      return say(Code::level_in_product, fmt::format("{} stands where {} is wanted", c.describe(type), c.describe(wanted)),
                 "add it to a reading, as in `0 UNIT + …`");
    }
    return say(Code::type_mismatch, fmt::format("{} stands where {} is wanted", c.describe(type), c.describe(wanted)));
  }
  if (type.type.kind == TypeKind::list && wanted.type.kind == TypeKind::list) {
    if (type.type.of == wanted.type.of || type.type.of == 0xFFFFFFFFu) return true;
    const Type have = c.type_of(TypeId{type.type.of}), want = c.type_of(TypeId{wanted.type.of});
    if (have.kind == want.kind && have.kind == TypeKind::thing &&
        (want.of == 0xFFFFFFFFu || program.is_a(KindId{have.of}, KindId{want.of})))
      return true;
    if (have.kind == want.kind && have.kind == TypeKind::quantity && c.etype(have).vector == c.etype(want).vector) return true;
    return say(Code::wrong_type, "this is a list of other things than are wanted here");
  }
  if (type.type.kind == TypeKind::thing && wanted.type.kind == TypeKind::thing) {
    if (wanted.type.of == 0xFFFFFFFFu || type.type.of == wanted.type.of) return true;
    if (type.type.of != 0xFFFFFFFFu && program.is_a(KindId{type.type.of}, KindId{wanted.type.of})) return true;
    return say(Code::wrong_type, fmt::format("this is {}, and {} is wanted", c.describe(type), c.describe(wanted)));
  }
  if (type.type.kind != wanted.type.kind ||
      ((type.type.kind == TypeKind::choice || type.type.kind == TypeKind::table) && type.type.of != wanted.type.of))
    return say(Code::wrong_type, fmt::format("this is {}, and {} is wanted", c.describe(type), c.describe(wanted)));
  return true;
}

Typed Formula::at(Cursor node, const Etype* expected) {
  switch (node.kind()) {
    case Node::measure: return literal(node, expected);
    case Node::text: {
      Etype type;
      type.type.kind = TypeKind::text;
      return {c.constant(Value::index(c.text(plain_text(node)).value), type, node), type};
    }
    case Node::keyword:
      if (node.text() == "none") {
        Etype type;
        return {c.constant(Value::none(), type, node), type};
      }
      return named(node, expected);
    case Node::path: return named(node, expected);
    case Node::paren: return paren(node, expected);
    case Node::postfix: return postfix(node, expected);
    case Node::compound: return compound(node);
    case Node::sum: return sum(node);
    case Node::product: return product(node);
    case Node::minus: return minus(node, expected);
    case Node::power: return power(node);
    case Node::comparison: return comparison(node);
    case Node::is_test: return is_test(node);
    case Node::negation: return negation(node);
    case Node::both: return logic(node, Op::both);
    case Node::either: return logic(node, Op::either);
    case Node::choice: return choice(node, expected);
    case Node::list: return list(node, expected);
    case Node::fold: return fold(node, expected);
    case Node::first: return first(node);
    case Node::find: return find(node, expected);
    case Node::carry: return carry(node);
    case Node::range: return range(node, expected);
    case Node::range_value: return range(node, expected);
    case Node::phrase:
    case Node::call_value:
    case Node::place: return phrase(node, expected);
    case Node::junk: case Node::missing: case Node::digits: case Node::op: case Node::punct:
    case Node::file: case Node::use: case Node::language: case Node::decl_rule: case Node::decl_layout:
    case Node::decl_lib: case Node::decl_job: case Node::d_gives: case Node::d_is: case Node::d_from:
    case Node::d_for: case Node::keys: case Node::key: case Node::params: case Node::param: case Node::agrees:
    case Node::block: case Node::field: case Node::shape: case Node::slot: case Node::settles: case Node::joins:
    case Node::balance: case Node::datum: case Node::shut: case Node::one_way: case Node::rises:
    case Node::section: case Node::grid: case Node::findings: case Node::say: case Node::figure:
    case Node::column: case Node::mark: case Node::require: case Node::for_line: case Node::during:
    case Node::remedy: case Node::says: case Node::weight: case Node::was: case Node::unknown:
    case Node::accepts: case Node::example: case Node::run: case Node::chain: case Node::length:
    case Node::run_as: case Node::run_like: case Node::fittings: case Node::link: case Node::entry:
    case Node::row: case Node::bind: case Node::equals: case Node::per: case Node::prose:
    case Node::spread_value: case Node::member: case Node::args: case Node::index: case Node::world_when:
    case Node::world_during: case Node::binders: case Node::binder: case Node::where: case Node::per_line:
    case Node::count: break;
  }
  return failed(node);   // the parser spoke of it
}

Typed Checker::formula(Cursor node, Scope& scope, const Etype* expected) {
  Formula formula(*this, scope, node.file_text());
  return formula.at(node, expected);
}

Typed Checker::formula_as(Cursor node, Scope& scope, const Type& wanted) {
  Formula formula(*this, scope, node.file_text());
  const Etype expected = etype(wanted);
  Typed typed = formula.at(node, &expected);
  formula.coerce(typed, expected, node);
  return typed;
}

bool Checker::coerce_in(Typed& typed, const Etype& wanted, Cursor where, Scope& scope) {
  Formula formula(*this, scope, where.file_text());
  return formula.coerce(typed, wanted, where);
}

void Checker::read_pending_formulas() {
  for (const PendingFormula& pending : formulas) {
    if (pending.where != PendingFormula::Where::field || pending.done) continue;
    Scope scope;
    scope.self = pending.self;
    Field field = program.fields[pending.index];
    field.formula = formula_as(pending.expr, scope, type_of(field.type)).expr;
    program.fields.edit(pending.index) = field;
  }
  // Children that did not say a field anew have their parent's formula.
  for (u32 at = first_kind; at < program.kinds.size(); ++at) {
    const Kind& kind = program.kinds[at];
    if (!kind.parent.given()) continue;
    std::vector<KindId> line;
    for (KindId up = kind.parent; up.given() && line.size() < 64; up = program.kinds[up.value].parent) line.push_back(up);
    for (u32 slot = 0; slot < kind.fields.count; ++slot) {
      Field& field = program.fields.edit(kind.fields.first + slot);
      if (field.formula.given()) continue;
      for (const KindId up : line) {
        if (slot >= program.kinds[up.value].fields.count) break;
        const Field& parent = program.field(up, slot);
        if (!(parent.place == field.place)) break;     // said anew without a formula
        if (parent.formula.given()) {
          field.formula = parent.formula;
          break;
        }
      }
    }
  }
}
}  // namespace dripleg::meaning
