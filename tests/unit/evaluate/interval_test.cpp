#include "builder.hpp"
#include "evaluate/interval.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using doctest::Approx;
using evaluate::BoxSide;
using evaluate::Interval;
using evaluate::margin_over;
using evaluate::nominal_world;

namespace {
// Three ranges of one part, and formulas over them.
struct Boxes : Builder {
  ConditionId outdoor = condition("outdoor", n(40));
  KindId part = kind("part", {{"x"}, {"y"}, {"z"}, {"double", Role::gives}, {"switched", Role::gives}});
  ThingId p = add(part, "p");
  std::vector<VariableId> sides;
  ExprId it, x, y, z, sky;
  Boxes() {
    formula(part, 3, op(Op::multiply, n(2), mine(0)));
    formula(part, 4, op(Op::choice, op(Op::less, mine(0), n(2)), mine(0), op(Op::multiply, n(10), mine(0))));
    for (u32 slot = 0; slot < 3; ++slot) sides.push_back(ranged(p, slot, 1, 3));
    it = value(Value::index(p.value), TypeKind::thing);
    x = get(it, 0), y = get(it, 1), z = get(it, 2);
    sky = push({.op = Op::condition, .a = outdoor.value}, number);
  }
  VariableId sky_side() { return program.conditions[outdoor.value].variable; }
};
std::optional<Interval> over(Run& run, ExprId left, ExprId right, std::vector<BoxSide> box) {
  return margin_over(run.evaluation, left, right, {{}, run.locals}, nominal_world, box);
}
}  // namespace

TEST_CASE("bounds and slopes of plain arithmetic") {
  Boxes b;
  const ExprId left = b.op(Op::subtract, b.op(Op::multiply, b.x, b.n(3)), b.y), right = b.n(1);
  const ExprId doubled = b.get(b.it, 3);
  const ExprId cancel = b.op(Op::subtract, b.op(Op::multiply, b.n(2), b.x), doubled);
  Run run(b.program);
  const auto margin = over(run, left, right, {{b.sides[0], 1, 2}, {b.sides[1], 0, 1}});
  REQUIRE(margin);
  CHECK(margin->low == Approx(1));
  CHECK(margin->high == Approx(5));
  CHECK(margin->slopes[0].low == 3);
  CHECK(margin->slopes[1].high == -1);
  const auto zero = over(run, cancel, b.n(0), {{b.sides[0], 1, 3}});
  REQUIRE(zero);
  CHECK(zero->low == Approx(0));                     // the slopes cancel, so the middle says it all
  CHECK(zero->high == Approx(0));
}

TEST_CASE("a switch between two formulas is the hull of both, with any slope") {
  Boxes b;
  const ExprId switched = b.get(b.it, 4), zero = b.n(0);
  Run run(b.program);
  const auto jump = over(run, switched, zero, {{b.sides[0], 1.5, 2.5}});
  REQUIRE(jump);
  CHECK(jump->low <= 1.5);
  CHECK(jump->high >= 25);
  CHECK(std::isinf(jump->slopes[0].high));
  const auto above = over(run, switched, zero, {{b.sides[0], 2.1, 2.5}});
  REQUIRE(above);
  CHECK(above->low == Approx(21));
  CHECK(above->slopes[0].low == 10);
}

TEST_CASE("tables over a box, by their mode") {
  Boxes b;
  const auto column = [](std::initializer_list<double> all) {
    std::vector<Value> made;
    for (const double one : all) made.push_back(num(one));
    return made;
  };
  const TableId up = b.columns("up", {{"k", true, LookUp::up}, {"v"}}, {column({1, 2, 3}), column({10, 20, 40})});
  const TableId line = b.columns("line", {{"k", true, LookUp::between}, {"v"}}, {column({0, 2, 4}), column({0, 2, 10})});
  const TableId grid = b.two_way("grid", {"k", true, LookUp::up}, {"h", true, LookUp::exact}, {1, 2, 3}, {7, 8}, column({1, 9, 2, 5, 3, 4}));
  const ExprId stepped = b.look_up(up, {b.x}), straight = b.look_up(line, {b.x}), two = b.look_up(grid, {b.x, b.n(8)});
  const TableId wide = b.columns("wide", {{"k", true, LookUp::between}, {"a"}, {"v"}}, {column({0, 4}), column({9, 9}), column({0, 8})});
  const ExprId of_row = b.push({.op = Op::row_column, .a = b.look_up(wide, {b.x}).value, .b = 2}, b.number);
  const ExprId zero = b.n(0);
  Run run(b.program);
  const auto steps = over(run, stepped, zero, {{b.sides[0], 1.5, 2.5}});
  REQUIRE(steps);
  CHECK(steps->low == 20);
  CHECK(steps->high == 40);
  CHECK(steps->slopes[0].low == 0);
  const auto lines = over(run, straight, zero, {{b.sides[0], 1, 3}});
  REQUIRE(lines);
  CHECK(lines->low == Approx(1));
  CHECK(lines->high == Approx(6));
  CHECK(lines->slopes[0].low == 1);
  CHECK(lines->slopes[0].high == 4);
  const auto crossed = over(run, two, zero, {{b.sides[0], 0.5, 3}});
  REQUIRE(crossed);
  CHECK(crossed->low == 4);
  CHECK(crossed->high == 9);
  CHECK(crossed->slopes[0].high == 0);
  const auto row = over(run, of_row, zero, {{b.sides[0], 1, 3}});
  REQUIRE(row);
  CHECK(row->low == Approx(2));
  CHECK(row->slopes[0].high == Approx(2));
  CHECK_FALSE(over(run, stepped, zero, {{b.sides[0], 2.5, 3.5}}));   // leaves the table
}

TEST_CASE("folds, means and conditions over a box") {
  Boxes b;
  const ExprId items = b.all(b.part), local_x = b.get(b.local(0, TypeKind::thing), 0);
  const ExprId sum = b.fold(Op::fold_sum, 0, items, local_x), zero = b.n(0);
  const u32 terms = b.listed({b.get(b.local(0, TypeKind::thing), 1), local_x});
  const u32 binder = b.program.binders.push({0, items});
  const ExprId mean = b.push({.op = Op::fold_mean, .flags = weighted, .n = 1, .a = binder, .b = terms}, b.number);
  const ExprId line = b.op(Op::subtract, b.n(200), b.op(Op::multiply, b.n(2), b.sky));
  const ExprId elsewhere = b.when(line, b.outdoor, b.n(10));
  b.add(b.part, "q", {{0, num(2)}, {1, num(5)}, {2, num(0)}});
  Run run(b.program);
  const auto total = over(run, sum, zero, {{b.sides[0], 1, 3}});
  REQUIRE(total);
  CHECK(total->low == Approx(3));
  CHECK(total->high == Approx(5));
  const auto average = over(run, mean, zero, {{b.sides[0], 1, 3}});   // y of p is 2, of q 5: more weight on p pulls down
  REQUIRE(average);
  CHECK(average->slopes[0].high <= 0);
  CHECK(average->low <= (3 * 2 + 2 * 5) / 5.0);
  CHECK(average->high >= (1 * 2 + 2 * 5) / 3.0);
  const auto weather = over(run, line, zero, {{b.sky_side(), 0, 50}});
  REQUIRE(weather);
  CHECK(weather->low == Approx(100));
  CHECK(weather->high == Approx(200));
  const auto fixed = over(run, elsewhere, zero, {{b.sky_side(), 0, 50}});
  REQUIRE(fixed);
  CHECK(fixed->low == Approx(180));
  CHECK(fixed->high == Approx(180));
}

TEST_CASE("what cannot be bounded says so") {
  Boxes b;
  const ExprId zero = b.n(0);
  const ExprId pole = b.op(Op::divide, b.n(1), b.op(Op::subtract, b.x, b.n(2)));
  const ExprId root = b.built_in(BuiltIn::sqrt, {b.op(Op::subtract, b.x, b.n(2))});
  const ExprId search = b.push({.op = Op::find, .a = b.program.finds.push({0, zero, b.n(10), b.local(0), b.x, false})}, b.number);
  Run run(b.program);
  CHECK_FALSE(over(run, pole, zero, {{b.sides[0], 1, 3}}));
  CHECK_FALSE(over(run, root, zero, {{b.sides[0], 1, 3}}));
  CHECK_FALSE(over(run, search, zero, {{b.sides[0], 1, 3}}));
  CHECK(over(run, search, zero, {{b.sides[1], 1, 3}}));              // does not vary with y
}

// Random formulas over random boxes: every sampled value lies in the bounds, and every sampled slope along
// an axis lies between the slopes.
TEST_CASE("bounds and slopes hold for random formulas") {
  std::mt19937 random(20'260'731);
  const auto uniform = [&](double low, double high) { return low + (high - low) * (random() / 4294967296.0); };
  u32 bounded = 0, samples = 0;
  for (int round = 0; round < 300; ++round) {
    Boxes b;
    std::vector<ExprId> pool = {b.x, b.y, b.z, b.n(uniform(0.2, 3)), b.n(uniform(-2, -0.2)), b.get(b.it, 3)};
    const auto pick = [&] { return pool[random() % pool.size()]; };
    for (int i = 0; i < 7; ++i) {
      const ExprId one = pick(), two = pick();
      switch (random() % 13) {
        case 0: pool.push_back(b.op(Op::add, one, two)); break;
        case 1: pool.push_back(b.op(Op::subtract, one, two)); break;
        case 2: pool.push_back(b.op(Op::multiply, one, two)); break;
        case 3: pool.push_back(b.op(Op::divide, one, two)); break;
        case 4: pool.push_back(b.op(Op::negate, one)); break;
        case 5: pool.push_back(b.push({.op = Op::power_whole, .a = one.value, .b = static_cast<u32>(2 + random() % 2)}, b.number)); break;
        case 6: pool.push_back(b.op(Op::power, one, b.n(uniform(-2, 2)))); break;
        case 7: pool.push_back(b.built_in(BuiltIn::least, {one, two})); break;
        case 8: pool.push_back(b.built_in(BuiltIn::most, {one, two})); break;
        case 9: pool.push_back(b.built_in(BuiltIn::abs, {one})); break;
        case 10: pool.push_back(b.built_in(random() % 2 ? BuiltIn::exp : BuiltIn::ln, {one})); break;
        case 11: pool.push_back(b.op(Op::choice, b.op(Op::less, one, two), pick(), pick())); break;
        case 12: pool.push_back(b.built_in(random() % 2 ? BuiltIn::sqrt : BuiltIn::cbrt, {one})); break;
      }
    }
    const ExprId left = pool.back(), right = pick();
    std::vector<BoxSide> box;
    for (u32 i = 0; i < 3; ++i) {
      const double low = uniform(0.3, 2);
      box.push_back({b.sides[i], low, low + uniform(0.01, 1.5)});
    }
    Run run(b.program);
    const auto margin = over(run, left, right, box);
    if (!margin) continue;
    ++bounded;
    const auto value_at = [&](const double* at) -> std::optional<double> {
      evaluate::WorldId world = nominal_world;
      for (u32 i = 0; i < 3; ++i) world = run.evaluation.with(world, b.sides[i], num(at[i]));
      const Value a = run.expr(left, world), c = run.expr(right, world);
      REQUIRE(a.known());
      REQUIRE(c.known());
      return a.number() - c.number();
    };
    for (int i = 0; i < 25; ++i) {
      double at[3];
      for (u32 k = 0; k < 3; ++k) at[k] = i == 0 ? box[k].low : i == 1 ? box[k].high : uniform(box[k].low, box[k].high);
      const double here = *value_at(at), slack = 1e-7 * (1 + std::fabs(here));
      ++samples;
      CHECK(here >= margin->low - slack);
      CHECK(here <= margin->high + slack);
      const u32 axis = random() % 3;
      const double before = at[axis];
      at[axis] = uniform(box[axis].low, box[axis].high);
      const double run_length = at[axis] - before, rise = *value_at(at) - here;
      if (std::fabs(run_length) < 1e-3) continue;
      const double slope = rise / run_length, room = 1e-6 * (1 + std::fabs(slope));
      CHECK(slope >= margin->slopes[axis].low - room);
      CHECK(slope <= margin->slopes[axis].high + room);
    }
  }
  CHECK(bounded > 150);
  CHECK(samples > 3000);
}
