#include "builder.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using doctest::Approx;
using notices::Code;

TEST_CASE("arithmetic on known numbers") {
  Builder b;
  const ExprId sum = b.op(Op::add, b.n(2), b.op(Op::multiply, b.n(3), b.n(4)));
  const ExprId power = b.op(Op::power, b.n(2), b.n(0.5));
  const ExprId cube = b.push({.op = Op::power_whole, .a = b.n(-2).value, .b = 3}, b.number);
  const ExprId inverse = b.push({.op = Op::power_whole, .a = b.n(4).value, .b = static_cast<u32>(-1)}, b.number);
  const ExprId minus = b.op(Op::negate, b.n(5));
  Run run(b.program);
  CHECK(run.number(sum) == 14);
  CHECK(run.number(power) == Approx(1.41421356));
  CHECK(run.number(cube) == -8);
  CHECK(run.number(inverse) == 0.25);
  CHECK(run.number(minus) == -5);
  CHECK(run.notices.size() == 0);
}

TEST_CASE("comparison forgives one part in ten to the ninth") {
  Builder b;
  const ExprId sum = b.op(Op::add, b.n(1 * 0.3048), b.n(6 * 0.3048));
  const ExprId limit = b.n(7 * 0.3048);
  REQUIRE(1 * 0.3048 + 6 * 0.3048 != 7 * 0.3048);
  const ExprId fits = b.op(Op::at_most, sum, limit), same = b.op(Op::equal, sum, limit), over = b.op(Op::greater, sum, limit);
  ExprId exact = b.op(Op::equal, sum, limit);
  b.program.exprs.edit(exact.value).flags = exact_compare;
  Run run(b.program);
  CHECK(run.expr(fits).yes());
  CHECK(run.expr(same).yes());
  CHECK_FALSE(run.expr(over).yes());
  CHECK_FALSE(run.expr(exact).yes());
}

TEST_CASE("failures are said once and carry the first notice on") {
  Builder b;
  const ExprId zero = b.op(Op::divide, b.n(1), b.n(0));
  const ExprId over = b.op(Op::add, zero, b.n(1));
  const ExprId root = b.built_in(BuiltIn::sqrt, {b.n(-1)});
  const ExprId both = b.op(Op::add, root, zero), other_way = b.op(Op::add, zero, root);
  const ExprId huge = b.op(Op::multiply, b.n(1e200), b.n(1e200));
  const ExprId negative = b.op(Op::power, b.n(-8), b.n(1.0 / 3));
  Run run(b.program);
  CHECK(failed(run.expr(zero)));
  CHECK(failed(run.expr(over)));
  CHECK(run.expr(over) == run.expr(zero));
  REQUIRE(run.notices.size() == 1);
  CHECK(run.notices.all()[0].code == Code::value_divides_by_zero);
  CHECK(run.expr(both) == run.expr(other_way));
  CHECK(run.expr(both).payload() == 0);
  CHECK(run.notices.all()[run.expr(root).payload()].code == Code::value_root_of_negative);
  CHECK(run.notices.all()[run.expr(huge).payload()].code == Code::value_overflow);
  CHECK(run.notices.all()[run.expr(negative).payload()].code == Code::value_root_of_negative);
  CHECK(run.notices.size() == 4);
}

TEST_CASE("and and or are three-valued and stop at what decides") {
  Builder b;
  const KindId kind = b.kind("valve", {{"open", Role::needs, TypeKind::yes_no}});
  const ThingId valve = b.add(kind, "v");
  const ExprId it = b.value(Value::index(valve.value), TypeKind::thing);
  const ExprId open = b.get(it, 0, TypeKind::yes_no);
  const ExprId yes = b.value(Value::yes_no(true), TypeKind::yes_no), no = b.value(Value::yes_no(false), TypeKind::yes_no);
  const ExprId bad = b.op(Op::less, b.op(Op::divide, b.n(1), b.n(0)), b.n(1));
  const ExprId and_no = b.many(Op::both, {open, no}), and_yes = b.many(Op::both, {open, yes});
  const ExprId or_yes = b.many(Op::either, {open, yes}), or_no = b.many(Op::either, {no, open});
  const ExprId guarded = b.many(Op::both, {no, bad}), unguarded = b.many(Op::both, {yes, bad});
  const ExprId turned = b.op(Op::negation, open);
  Run run(b.program);
  CHECK_FALSE(run.expr(and_no).yes());
  CHECK(unknown(run.expr(and_yes)));
  CHECK(run.expr(or_yes).yes());
  CHECK(unknown(run.expr(or_no)));
  CHECK(unknown(run.expr(turned)));
  CHECK_FALSE(run.expr(guarded).yes());
  CHECK(run.notices.size() == 0);
  CHECK(failed(run.expr(unguarded)));
}

TEST_CASE("if with a test that is not known") {
  Builder b;
  const KindId kind = b.kind("valve", {{"open", Role::needs, TypeKind::yes_no}});
  const ExprId open = b.get(b.value(Value::index(b.add(kind, "v").value), TypeKind::thing), 0, TypeKind::yes_no);
  const ExprId alike = b.op(Op::choice, open, b.n(3), b.n(3)), unlike = b.op(Op::choice, open, b.n(3), b.n(5));
  const ExprId above = b.op(Op::greater, unlike, b.n(2)), between = b.op(Op::greater, unlike, b.n(4));
  Run run(b.program);
  CHECK(run.expr(alike) == num(3));
  const Value value = run.expr(unlike);
  REQUIRE(unknown(value));
  CHECK(run.evaluation.bounds(value).low == 3);
  CHECK(run.evaluation.bounds(value).high == 5);
  CHECK(run.expr(above).yes());
  CHECK(unknown(run.expr(between)));
}

TEST_CASE("functions compute local names when they are first read") {
  Builder b;
  // f(x, y) { a = x / y   d = x * 2   = if y == 0 then d else a + d + d }
  Function f;
  f.name = b.name("f");
  f.parameters = 2;
  f.locals = 4;
  const ExprId x = b.push({.op = Op::parameter, .a = 0}, b.number), y = b.push({.op = Op::parameter, .a = 1}, b.number);
  const ExprId names[] = {b.op(Op::divide, x, y), b.op(Op::multiply, x, b.n(2))};
  f.local_names = {b.program.local_names.append(names), 2};
  f.body = b.op(Op::choice, b.op(Op::equal, y, b.n(0)), b.local(3),
                b.op(Op::add, b.op(Op::add, b.local(2), b.local(3)), b.local(3)));
  const u32 function = b.program.functions.push(f);
  const auto call = [&](ExprId p, ExprId q) {
    const u32 first = b.listed({p, q});
    return b.push({.op = Op::call, .n = 2, .a = first, .b = function}, b.number);
  };
  const ExprId one = call(b.n(6), b.n(3)), zero = call(b.n(6), b.n(0));
  const ExprId nested = call(call(b.n(6), b.n(3)), b.n(2));
  Run run(b.program);
  CHECK(run.number(one) == 26);
  CHECK(run.number(zero) == 12);
  CHECK(run.notices.size() == 0);          // the division by zero was never asked for
  CHECK(run.number(nested) == 13 + 104);
  CHECK(run.evaluation.steps_used() == 4);
}

TEST_CASE("built-in functions") {
  Builder b;
  const auto one = [&](BuiltIn f, double x) { return b.built_in(f, {b.n(x)}); };
  const auto two = [&](BuiltIn f, double x, double y) { return b.built_in(f, {b.n(x), b.n(y)}); };
  const ExprId none = b.value(Value::none());
  struct Expected { ExprId expr; double value; };
  const Expected all[] = {
      {one(BuiltIn::abs, -3), 3}, {one(BuiltIn::sqrt, 9), 3}, {one(BuiltIn::cbrt, -27), -3}, {one(BuiltIn::exp, 0), 1},
      {one(BuiltIn::ln, 1), 0}, {one(BuiltIn::log10, 1000), 3}, {one(BuiltIn::from_zero, 280), 280},
      {one(BuiltIn::normal_below, 0), 0.5}, {one(BuiltIn::normal_below, 1.96), 0.9750021},
      {one(BuiltIn::normal_density, 0), 0.3989423}, {two(BuiltIn::choose, 5, 2), 10}, {two(BuiltIn::choose, 3, 4), 0},
      {two(BuiltIn::least, 2, 1), 1}, {two(BuiltIn::most, 2, 1), 2}, {two(BuiltIn::mean, 2, 5), 3.5},
      {b.built_in(BuiltIn::least, {b.n(3), b.n(2), b.n(7)}), 2}, {b.built_in(BuiltIn::clamp, {b.n(9), b.n(0), b.n(5)}), 5},
      {b.built_in(BuiltIn::clamp, {b.n(-9), b.n(0), b.n(5)}), 0}, {b.built_in(BuiltIn::pi, {}), 3.14159265},
      {two(BuiltIn::round_up_to, 7.2, 5), 10}, {two(BuiltIn::round_up_to, 0.1 * 3, 0.1), 0.3}, {two(BuiltIn::round_down_to, 7.2, 5), 5},
      {two(BuiltIn::round_down_to, 0.3 - 1e-12, 0.1), 0.3}, {two(BuiltIn::round_to, 7.6, 5), 10},
      {b.built_in(BuiltIn::first_given, {none, b.n(4), b.n(5)}), 4},
      {b.built_in(BuiltIn::count_of, {b.many(Op::list, {b.n(4), b.n(5)})}), 2},
      {b.built_in(BuiltIn::last_of, {b.many(Op::list, {b.n(4), b.n(5)})}), 5},
      {b.built_in(BuiltIn::high_of, {b.op(Op::range, b.n(4), b.n(5))}), 5},
      {b.built_in(BuiltIn::low_of, {b.op(Op::range, b.n(4), b.n(5))}), 4},
  };
  const ExprId empty = b.built_in(BuiltIn::first_of, {b.many(Op::list, {})});
  const ExprId bad_step = two(BuiltIn::round_to, 1, 0);
  Run run(b.program);
  for (const Expected& expected : all) CHECK(run.number(expected.expr) == Approx(expected.value));
  CHECK(run.expr(empty).is(State::none));
  CHECK(failed(run.expr(bad_step)));
}

TEST_CASE("none where something is needed is a failure, and tests of it are not") {
  Builder b;
  const ExprId none = b.value(Value::none());
  const ExprId sum = b.op(Op::add, none, b.n(1)), is_none = b.op(Op::is_none, none), given = b.op(Op::is_given, none);
  const ExprId same = b.op(Op::same, none, b.n(1));
  Run run(b.program);
  REQUIRE(failed(run.expr(sum)));
  CHECK(run.notices.all()[0].code == Code::value_none_used);
  CHECK(run.expr(is_none).yes());
  CHECK_FALSE(run.expr(given).yes());
  CHECK_FALSE(run.expr(same).yes());
}

TEST_CASE("in a list and in a range") {
  Builder b;
  const ExprId list = b.many(Op::list, {b.n(1), b.n(0.1 + 0.2)});
  const ExprId in = b.op(Op::in_list, b.n(0.3), list), out = b.op(Op::in_list, b.n(2), list);
  const ExprId range = b.op(Op::range, b.n(1), b.n(2));
  const ExprId edge = b.op(Op::in_range, b.n(2), range), beyond = b.op(Op::in_range, b.n(2.1), range);
  Run run(b.program);
  CHECK(run.expr(in).yes());
  CHECK_FALSE(run.expr(out).yes());
  CHECK(run.expr(edge).yes());
  CHECK_FALSE(run.expr(beyond).yes());
}

TEST_CASE("equal lists made on the way are one list") {
  Builder b;
  ExprId inner = b.many(Op::list, {b.n(1), b.n(2)});
  b.program.exprs.edit(inner.value).flags = pours;
  const ExprId poured = b.many(Op::list, {inner, b.n(3)}), plain = b.many(Op::list, {b.n(1), b.n(2), b.n(3)});
  Run run(b.program);
  CHECK(run.expr(poured) == run.expr(plain));
  CHECK(run.evaluation.items(run.expr(plain), evaluate::nominal_world).size() == 3);
}
