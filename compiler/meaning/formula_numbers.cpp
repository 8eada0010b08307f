// Arithmetic under the rules of quantities: sums of like things, levels and their differences, products
// with read-outs (R7), powers in whole exponents.
#include "meaning/formula.hpp"

#include <cmath>
#include <fmt/format.h>

namespace dripleg::meaning {
using quantities::Level;

bool Formula::given(Typed& typed, Cursor where) {
  if (typed.type.failed) return false;
  if (typed.type.keyed) {
    c.fail(Code::wrong_type, where, "this field has a value for each of several; say for which in [ ]");
    typed.type.failed = true;
    return false;
  }
  if (!typed.type.type.or_none && typed.type.type.kind != TypeKind::nothing) return true;
  c.fail(Code::may_be_none, where, "this may be none").cures.push_back(
      "guard it: `where … is given`, `… is given and …` or `if … is given then …`");
  typed.type.failed = true;
  return false;
}

bool Formula::need_number(Typed& typed, Cursor where) {
  if (!given(typed, where)) return false;
  if (typed.type.quantity()) return true;
  c.fail(Code::wrong_type, where, fmt::format("a number is wanted, and this is {}", c.describe(typed.type)));
  typed.type.failed = true;
  return false;
}

// R6, R8, R9 where two quantities meet: a literal is read in the dimension of the other side.
void Formula::meet(Typed& left, Typed& right, Cursor left_where, Cursor right_where) {
  const auto read = [&](Typed& literal, const Typed& other, Cursor where) {
    if (other.type.level != Level::no) return;
    if (literal.type.bare && literal.type.zero) {
      literal.type.vector = other.type.vector;
      literal.type.type.of = other.type.type.of;
      return;
    }
    if (literal.type.bare && other.type.share && std::fabs(literal.type.bare_value) > 1) {
      c.fail(Code::not_a_share, where, fmt::format("{} stands beside a share of a whole", where.text()))
          .cures.push_back(fmt::format("write {} %", where.text()));
      literal.type.failed = true;
      return;
    }
    if (literal.type.literal.given() && !(literal.type.vector == other.type.vector)) read_in(literal, other.type);
    else if (literal.type.bare && !(literal.type.vector == other.type.vector)) coerce(literal, other.type, where, true);
  };
  const bool left_literal = left.type.literal.given() || left.type.bare;
  const bool right_literal = right.type.literal.given() || right.type.bare;
  if (left_literal && !right_literal) read(left, right, left_where);
  else if (right_literal && !left_literal) read(right, left, right_where);
  else if (left_literal && right_literal) {
    if (left.type.zero) read(left, right, left_where);
    else if (right.type.zero) read(right, left, right_where);
  }
}

Typed Formula::add(Typed left, Typed right, bool minus, Cursor where) {
  Etype type = left.type;
  type.literal = {};
  type.bare = type.zero = type.pure_literal = false;
  if (!(left.type.vector == right.type.vector)) {
    auto& notice = c.fail(Code::type_mismatch, where,
                          fmt::format("{} {} {}", c.describe(left.type), minus ? "-" : "+", c.describe(right.type)));
    notice.labels.push_back({c.program.expr_notes[left.expr.value].place, c.describe(left.type)});
    notice.labels.push_back({c.program.expr_notes[right.expr.value].place, c.describe(right.type)});
    return failed(where);
  }
  const bool left_level = left.type.level != Level::no, right_level = right.type.level != Level::no;
  if (left_level && right_level) {
    if (!minus)
      return wrong(Code::level_in_product, where, "two readings on a scale are added",
                   "add a difference to a reading, or take mean(a, b)");
    if (left.type.level != right.type.level) return wrong(Code::type_mismatch, where, "readings on two different scales");
    type = quantity(left.type.vector);
  } else if (right_level) {
    if (minus) return wrong(Code::level_in_product, where, "a reading is taken from a difference");
    type = right.type;
    type.literal = {};
    type.pure_literal = false;
  } else if (!left_level && left.type.type.of == 0xFFFFFFFFu) {
    type.type.of = right.type.type.of;
  }
  if (type.share && right.type.share && minus == false) type.share = true;
  const Op op = minus ? Op::subtract : Op::add;
  return {c.push({.op = op, .a = left.expr.value, .b = right.expr.value}, type, where), type};
}

// From one day to another, or from one time of day to another: a time, of the dimension of that name.
std::optional<Typed> Formula::time_between(const Typed& later, const Typed& earlier, Cursor where) {
  const TypeKind kind = later.type.type.kind;
  if ((kind != TypeKind::date && kind != TypeKind::clock) || earlier.type.type.kind != kind) return std::nullopt;
  if (later.type.type.or_none || earlier.type.type.or_none)
    return wrong(Code::may_be_none, where, "one of these may be none", "guard it with `… is given`");
  const auto time = program.catalogue.find_dimension(c.name("time"));
  if (!time.given()) return std::nullopt;
  const Etype type = c.etype({TypeKind::quantity, false, 0, time.value});
  const ExprId apart = c.push({.op = Op::subtract, .a = later.expr.value, .b = earlier.expr.value}, number_type(), where);
  constexpr double seconds_a_day = 86400, seconds_a_minute = 60;
  const ExprId unit = c.constant(Value::number(kind == TypeKind::date ? seconds_a_day : seconds_a_minute), number_type(), where);
  return Typed{c.push({.op = Op::multiply, .a = apart.value, .b = unit.value}, type, where), type};
}

Typed Formula::sum(Cursor node) {
  const auto kids = node.children();
  Typed total = at(kids[0], nullptr);
  const bool instant = total.type.type.kind == TypeKind::date || total.type.type.kind == TypeKind::clock;
  if (!(instant && kids.size() == 3) && !need_number(total, kids[0])) total.type.failed = true;
  for (std::size_t next = 2; next < kids.size(); next += 2) {
    const bool minus = kids[next - 1].text() == "-";
    Typed term = at(kids[next], nullptr);
    if (minus && next == 2 && kids.size() == 3)
      if (const auto between = time_between(total, term, node)) return *between;
    if (instant && next == 2 && kids.size() == 3 && !need_number(total, kids[0])) total.type.failed = true;
    if (!need_number(term, kids[next])) term.type.failed = true;
    if (total.type.failed || term.type.failed) {
      total.type.failed = true;
      continue;
    }
    meet(total, term, kids[next - 2], kids[next]);
    if (total.type.failed || term.type.failed) {
      total.type.failed = true;
      continue;
    }
    total = add(total, term, minus, node);
  }
  return total;
}

Typed Formula::compound(Cursor node) {
  const auto kids = node.parts();
  Typed total = at(kids[0], nullptr);
  for (std::size_t next = 1; next < kids.size(); ++next) {
    Typed term = at(kids[next], nullptr);
    if (total.type.failed || term.type.failed) return failed(node);
    total = add(total, term, false, node);
  }
  return total;
}

Typed Formula::product(Cursor node) {
  const auto kids = node.children();
  struct Factor {
    Typed typed;
    Cursor where;
    bool divides = false;
    bool paired = false;
  };
  std::vector<Factor> factors;
  bool any_failed = false;
  for (std::size_t next = 0; next < kids.size(); next += 2) {
    Factor factor{at(kids[next], nullptr), kids[next], next != 0 && kids[next - 1].text() == "/", false};
    if (!need_number(factor.typed, factor.where)) any_failed = true;
    factors.push_back(factor);
  }
  if (any_failed) return failed(node);
  // R7: each dividing literal reads out the nearest factor to its left.
  for (std::size_t at_factor = 1; at_factor < factors.size(); ++at_factor) {
    Factor& divisor = factors[at_factor];
    // A literal alone, or times plain numbers in brackets.
    const bool literal = divisor.typed.type.pure_literal || (divisor.typed.type.literal.given() && divisor.typed.type.level == Level::no);
    if (!divisor.divides || !literal || divisor.typed.type.bare) continue;
    const auto pairable = [&](const Factor& factor) {
      return !factor.divides && !factor.paired && !factor.typed.type.literal.given() && !factor.typed.type.bare;
    };
    Factor* chosen = nullptr;
    for (std::size_t back = at_factor; back-- > 0 && chosen == nullptr;)
      if (pairable(factors[back]) && factors[back].typed.type.vector == divisor.typed.type.vector &&
          (factors[back].typed.type.level == divisor.typed.type.level))
        chosen = &factors[back];
    for (std::size_t back = at_factor; back-- > 0 && chosen == nullptr;) {
      if (!pairable(factors[back])) continue;
      Etype& factor = factors[back].typed.type;
      if (divisor.typed.type.level != Level::no) {
        // A level's unit measures a difference of that scale.
        if (factor.level == Level::no && factor.vector == divisor.typed.type.vector &&
            divisor.typed.type.level == Level::level) {
          chosen = &factors[back];
        }
      } else if (factor.level == Level::no) {
        Typed trial = divisor.typed;
        if (read_in(trial, factor)) {
          divisor.typed = trial;
          chosen = &factors[back];
        }
      }
    }
    if (chosen == nullptr) {
      // A difference is not measured by the unit of a scale, though the number would be right.
      for (std::size_t back = at_factor; divisor.typed.type.level != Level::no && back-- > 0;)
        if (pairable(factors[back]) && factors[back].typed.type.level == Level::no &&
            factors[back].typed.type.vector == divisor.typed.type.vector)
          return wrong(Code::level_in_product, divisor.where, fmt::format("{} is divided by a reading on a scale", c.describe(factors[back].typed.type)),
                       "divide by a unit of the difference");
      continue;
    }
    scope.empirical = true;
    Typed& value = chosen->typed;
    Typed unit = divisor.typed;
    if (unit.type.level != Level::no) {
      quantities::Problem problem;
      const auto reading = quantities::read_measure(divisor.where.text(), problem);
      const auto measure = reader.read(reading ? reading->unit : std::string_view{}, problem);
      if (measure && value.type.level != Level::no && value.type.level == unit.type.level) {
        if (unit.type.level == Level::level) {
          if (reading->number.value != 1)
            return wrong(Code::level_in_product, divisor.where, "a reading is divided by another",
                         "divide by 1 of the scale for its reading, or by a difference");
          const ExprId zero = c.constant(Value::number(measure->zero), unit.type, divisor.where);
          const Etype difference = quantity(value.type.vector);
          const ExprId above = c.push({.op = Op::subtract, .a = value.expr.value, .b = zero.value}, difference, chosen->where);
          value.expr = above;
          unit.expr = c.constant(Value::number(measure->factor), difference, divisor.where);
        }
      } else if (measure) {
        unit.expr = c.constant(Value::number(reading->number.value * measure->factor), quantity(unit.type.vector), divisor.where);
      }
    }
    value.expr = c.push({.op = Op::divide, .a = value.expr.value, .b = unit.expr.value}, number_type(), node);
    value.type = number_type();
    chosen->paired = true;
    factors.erase(factors.begin() + static_cast<std::ptrdiff_t>(at_factor));
    --at_factor;
  }
  // What is left is multiplied as usual.
  Typed total = factors[0].typed;
  Cursor total_where = factors[0].where;
  for (std::size_t next = 1; next < factors.size(); ++next) {
    Factor& factor = factors[next];
    Etype& a = total.type;
    Etype& b = factor.typed.type;
    for (const auto& [side, where] : {std::pair{&a, total_where}, std::pair{&b, factor.where}})
      if (side->level == Level::level)
        return wrong(Code::level_in_product, where, fmt::format("{} stands in a product", c.describe(*side)),
                     "say the difference, mean … by …, from_zero(t), or t / 1 UNIT for its reading");
    const auto vector = factor.divides ? quantities::quotient(a.vector, b.vector) : quantities::product(a.vector, b.vector);
    if (!vector) return wrong(Code::bad_power, node, "the powers of the bases grow too large");
    Etype type = quantity(*vector);
    // R5: a reading from a true zero times a number stays one.
    const bool b_plain = b.vector.plain() && b.level == Level::no;
    const bool a_plain = a.vector.plain() && a.level == Level::no;
    if (a.level == Level::true_zero && b_plain) type.level = Level::true_zero, type.type.of = a.type.of;
    if (b.level == Level::true_zero && a_plain && !factor.divides) type.level = Level::true_zero, type.type.of = b.type.of;
    if (a.share && b.share && !factor.divides) type.share = true;
    // R6: a literal times plain numbers is still read by what it meets.
    if (a.literal.given() && b_plain && !b.literal.given()) type.literal = a.literal, type.literal_text = a.literal_text;
    else if (b.literal.given() && a_plain && !a.literal.given() && !factor.divides) type.literal = b.literal, type.literal_text = b.literal_text;
    if (type.level != Level::no) type.literal = {};
    const Op op = factor.divides ? Op::divide : Op::multiply;
    total = {c.push({.op = op, .a = total.expr.value, .b = factor.typed.expr.value}, type, node), type};
  }
  return total;
}

Typed Formula::minus(Cursor node, const Etype* expected) {
  const auto parts = node.parts();
  if (parts.empty()) return failed(node);
  Typed value = at(parts.front(), expected);
  if (!need_number(value, parts.front())) return failed(node);
  if (value.type.level != Level::no)
    return wrong(Code::level_in_product, node, "a reading on a scale is negated", "negate the difference of two readings");
  Etype type = value.type;
  type.bare_value = -type.bare_value;
  type.pure_literal = false;
  return {c.push({.op = Op::negate, .a = value.expr.value}, type, node), type};
}

Typed Formula::power(Cursor node) {
  const auto kids = node.children();
  std::vector<Cursor> operands;
  bool negative = false;
  for (const Cursor kid : kids) {
    if (kid.is(Node::op) && kid.text() == "-") negative = true;
    if (!is_leaf(kid.kind()) || kid.is(Node::measure) || kid.is(Node::path) || kid.is(Node::text)) operands.push_back(kid);
  }
  if (operands.size() != 2) return failed(node);
  Typed base = at(operands[0], nullptr);
  Typed exponent = at(operands[1], nullptr);
  if (!need_number(base, operands[0]) || !need_number(exponent, operands[1])) return failed(node);
  if (!exponent.type.vector.plain() || exponent.type.level != Level::no)
    return wrong(Code::bad_power, operands[1], "an exponent is a plain number");
  if (negative) exponent.expr = c.push({.op = Op::negate, .a = exponent.expr.value}, exponent.type, operands[1]);
  if (base.type.level == Level::level)
    return wrong(Code::level_in_product, operands[0], fmt::format("{} is raised to a power", c.describe(base.type)),
                 "say from_zero(t), or t / 1 UNIT for its reading");
  // The exponent's value, if it is written out: 2, -4, (1 / 0.541), (16 / 3).
  std::optional<double> written;
  const auto fixed = [&](auto&& self, ExprId id) -> std::optional<double> {
    const Expr& e = program.exprs[id.value];
    if (e.op == Op::constant) return program.constants[e.a].number();
    if (e.op == Op::negate) {
      const auto a = self(self, ExprId{e.a});
      return a ? std::optional(-*a) : std::nullopt;
    }
    if (e.op == Op::divide || e.op == Op::multiply) {
      const auto a = self(self, ExprId{e.a}), b = self(self, ExprId{e.b});
      if (a && b) return e.op == Op::divide ? *a / *b : *a * *b;
    }
    return std::nullopt;
  };
  written = fixed(fixed, exponent.expr);
  Etype type = number_type();
  if (!base.type.vector.plain()) {
    if (!written) return wrong(Code::bad_power, operands[1], "the exponent of a quantity is written out", "read the base out first: X / 1 UNIT");
    for (std::size_t at_power = 0; at_power < base.type.vector.power.size(); ++at_power) {
      const double power = base.type.vector.power[at_power] * *written;
      if (std::fabs(power - std::round(power)) > 1e-9 || std::fabs(power) > quantities::most_power)
        return wrong(Code::bad_power, node, fmt::format("{} to the power {} has no whole powers of its bases", c.describe(base.type), operands[1].text()),
                     "read the base out first: X / 1 UNIT");
      type.vector.power[at_power] = static_cast<i8>(std::lround(power));
    }
  }
  if (base.type.bare && base.type.bare_value < 0)
    return wrong(Code::bad_power, operands[0], "a negative number as a base wants brackets");
  if (written && *written == std::floor(*written) && std::fabs(*written) <= 64)
    return {c.push({.op = Op::power_whole, .a = base.expr.value, .b = static_cast<u32>(static_cast<i32>(*written))}, type, node), type};
  return {c.push({.op = Op::power, .a = base.expr.value, .b = exponent.expr.value}, type, node), type};
}
}  // namespace dripleg::meaning
