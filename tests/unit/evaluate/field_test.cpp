#include "builder.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using evaluate::nominal_world;
using notices::Code;

TEST_CASE("what is not stated: not known, none, or its formula") {
  Builder b;
  const KindId part = b.kind("part", {{"needed"}, {"maybe", Role::may}, {"usual", Role::may}, {"port", Role::port, TypeKind::thing},
                                      {"several", Role::may, TypeKind::list, Holding::many}, {"made", Role::gives}});
  b.formula(part, 2, b.n(12));
  b.formula(part, 5, b.op(Op::add, b.mine(0), b.mine(2)));
  const ThingId p = b.add(part, "p"), q = b.add(part, "q", {{0, num(1)}, {2, num(5)}, {1, Value::none()}});
  Run run(b.program);
  auto& e = run.evaluation;
  const Value needed = e.field(p, 0, nominal_world);
  REQUIRE(unknown(needed));
  REQUIRE(run.holes(needed).size() == 1);
  const Hole& hole = e.hole(HoleId{run.holes(needed)[0]});
  CHECK(hole.thing == p);
  CHECK(hole.slot == 0);
  CHECK_FALSE(hole.written);
  CHECK(e.field(p, 0, nominal_world) == needed);
  CHECK(e.hole_count() == 1);
  CHECK(e.field(p, 1, nominal_world).is(State::none));
  CHECK(e.field(p, 2, nominal_world) == num(12));
  CHECK(unknown(e.field(p, 3, nominal_world)));
  CHECK(e.items(e.field(p, 4, nominal_world), nominal_world).empty());
  CHECK(run.holes(e.field(p, 5, nominal_world)) == run.holes(needed));
  CHECK(e.field(q, 5, nominal_world) == num(6));
  CHECK(run.notices.size() == 0);
}

TEST_CASE("a class replaces a formula, and may speak as the owner") {
  Builder b;
  const KindId owner = b.kind("owner", {{"own"}, {"port", Role::port, TypeKind::thing}});
  const KindId point = b.kind("point", {{"x", Role::gives}});
  b.formula(point, 0, b.n(1));
  const ExprId owned = b.mine(0);
  const ClassId joined = b.variant(point, {{0, {owned, true}}});
  const ThingId o = b.add(owner, "o", {{0, num(42)}}), plain = b.add(point, "plain"), port = b.add(point, "");
  b.program.things.edit(port.value).cls = joined;
  b.program.things.edit(port.value).owner = o;
  b.state(o, 1, Value::index(port.value));
  Run run(b.program);
  CHECK(run.evaluation.field(plain, 0, nominal_world) == num(1));
  CHECK(run.evaluation.field(port, 0, nominal_world) == num(42));
  CHECK(run.evaluation.name_of(port) == "o.port");
}

TEST_CASE("entries by key") {
  Builder b;
  const KindId key = b.kind("fuel", {{"x", Role::may}});
  const ThingId one = b.add(key, "one"), two = b.add(key, "two"), three = b.add(key, "three");
  const KindId entry = b.kind("part.rate", {{"fuel", Role::needs, TypeKind::thing}, {"rate"}, {"order", Role::built_in}});
  const KindId wide = b.kind("part.limit", {{"fuel", Role::needs, TypeKind::thing}, {"low"}, {"high"}, {"order", Role::built_in}});
  const KindId part = b.kind("part", {{"rate", Role::needs, TypeKind::list, Holding::keyed}, {"limit", Role::may, TypeKind::list, Holding::keyed}});
  const ThingId for_one = b.add(entry, "", {{0, Value::index(one.value)}, {1, num(10)}});
  const ThingId for_all = b.add(entry, "", {{0, Value::none()}, {1, num(5)}});
  const ThingId limits = b.add(wide, "", {{0, Value::index(one.value)}, {1, num(1)}, {2, num(2)}});
  const ThingId p = b.add(part, "p", {{0, b.list_of({Value::index(for_one.value)})}, {1, b.list_of({Value::index(limits.value)})}});
  const ThingId q = b.add(part, "q", {{0, b.list_of({Value::index(for_all.value), Value::index(for_one.value)})}});
  const ThingId bare = b.add(part, "bare");
  const auto ask = [&](ThingId of, u32 slot, ThingId by) {
    return b.push({.op = Op::keyed, .a = b.value(Value::index(of.value), TypeKind::thing).value, .b = slot,
                   .c = b.value(Value::index(by.value), TypeKind::thing).value}, b.number);
  };
  const ExprId found = ask(p, 0, one), lacking = ask(p, 0, two), other = ask(p, 0, three), record = ask(p, 1, one), absent = ask(p, 1, two);
  const ExprId general = ask(q, 0, two), special = ask(q, 0, one), none_at_all = ask(bare, 0, one), not_there = ask(bare, 1, one);
  Run run(b.program);
  CHECK(run.number(found) == 10);
  REQUIRE(unknown(run.expr(lacking)));
  const Hole& hole = run.evaluation.hole(HoleId{run.holes(run.expr(lacking))[0]});
  CHECK(hole.keyed);
  CHECK(hole.key == Value::index(two.value));
  CHECK(hole.thing == p);
  CHECK(run.holes(run.expr(other)) != run.holes(run.expr(lacking)));
  CHECK(run.expr(record).index() == limits.value);
  CHECK(run.expr(absent).is(State::none));
  CHECK(run.number(general) == 5);
  CHECK(run.number(special) == 10);
  CHECK(unknown(run.expr(none_at_all)));
  CHECK(run.expr(not_there).is(State::none));
}

TEST_CASE("bounds of what is not known go through sums and products") {
  Builder b;
  const KindId part = b.kind("part", {{"length"}});
  b.field(part, 0).least_given = true;               // at least 0
  const ExprId length = b.get(b.value(Value::index(b.add(part, "p").value), TypeKind::thing), 0);
  struct Expected { ExprId expr; double low, high; };
  const double infinity = INFINITY;
  const Expected all[] = {
      {b.op(Op::add, length, b.n(3)), 3, infinity}, {b.op(Op::subtract, b.n(3), length), -infinity, 3},
      {b.op(Op::multiply, length, b.n(-2)), -infinity, 0}, {b.op(Op::divide, length, b.n(4)), 0, infinity},
      {b.op(Op::divide, b.n(6), b.op(Op::add, length, b.n(2))), 0, 3}, {b.op(Op::negate, length), -infinity, 0},
      {b.op(Op::power, b.op(Op::add, length, b.n(4)), b.n(0.5)), 2, infinity}, {b.op(Op::divide, b.n(1), b.op(Op::subtract, length, b.n(1))), -infinity, infinity},
      {b.built_in(BuiltIn::sqrt, {b.op(Op::add, length, b.n(9))}), 3, infinity}, {b.built_in(BuiltIn::least, {length, b.n(5)}), 0, 5},
      {b.built_in(BuiltIn::most, {length, b.n(5)}), 5, infinity}, {b.built_in(BuiltIn::clamp, {length, b.n(1), b.n(2)}), 1, 2},
      {b.built_in(BuiltIn::abs, {b.op(Op::negate, length)}), 0, infinity}, {b.push({.op = Op::power_whole, .a = length.value, .b = 2}, b.number), 0, infinity},
      {b.built_in(BuiltIn::exp, {b.op(Op::negate, length)}), 0, 1}, {b.built_in(BuiltIn::ln, {b.op(Op::add, length, b.n(1))}), 0, infinity},
  };
  Run run(b.program);
  for (const Expected& expected : all) {
    CAPTURE(&expected - all);
    const Value value = run.expr(expected.expr);
    REQUIRE(unknown(value));
    CHECK(run.evaluation.bounds(value).low == expected.low);
    CHECK(run.evaluation.bounds(value).high == expected.high);
  }
}

TEST_CASE("many holes: the first eight, and that there are more") {
  Builder b;
  const KindId part = b.kind("part", {{"length"}});
  for (int i = 0; i < 20; ++i) b.add(part, "p");
  const ExprId sum = b.fold(Op::fold_sum, 0, b.all(part), b.get(b.local(0, TypeKind::thing), 0));
  Run run(b.program);
  const auto& holes = run.evaluation.holes(run.expr(sum));
  CHECK(holes.count == 8);
  CHECK(holes.more);
}

TEST_CASE("a ring is an error that names it") {
  Builder b;
  const KindId part = b.kind("part", {{"other", Role::needs, TypeKind::thing}, {"x", Role::gives}});
  b.formula(part, 1, b.op(Op::add, b.get(b.mine(0, TypeKind::thing), 1), b.n(1)));
  const ThingId p = b.add(part, "p"), q = b.add(part, "q"), r = b.add(part, "r");
  b.state(p, 0, Value::index(q.value));
  b.state(q, 0, Value::index(p.value));
  b.state(r, 0, Value::index(p.value));
  Run run(b.program);
  REQUIRE(failed(run.evaluation.field(r, 1, nominal_world)));
  CHECK(failed(run.evaluation.field(q, 1, nominal_world)));
  REQUIRE(run.notices.size() == 1);
  CHECK(run.notices.all()[0].code == Code::value_cycle);
  CHECK(run.notices.all()[0].headline == "p.x needs itself: p.x -> q.x -> p.x");
}

TEST_CASE("a ring that is closed in one world only") {
  Builder b;
  const ConditionId mode = b.condition("mode", b.n(0));
  const KindId part = b.kind("part", {{"other", Role::needs, TypeKind::thing}, {"x", Role::gives}});
  const ExprId closed = b.op(Op::equal, b.push({.op = Op::condition, .a = mode.value}, b.number), b.n(1));
  const ExprId other = b.get(b.mine(0, TypeKind::thing), 1);
  const ThingId p = b.add(part, "p"), q = b.add(part, "q");
  const ExprId at_p = b.op(Op::choice, closed, other, b.n(7));
  b.formula(part, 1, b.op(Op::add, other, b.n(1)));
  b.program.things.edit(p.value).cls = b.variant(part, {{1, {at_p, false}}});
  b.state(p, 0, Value::index(q.value));
  b.state(q, 0, Value::index(p.value));
  Run run(b.program);
  auto& e = run.evaluation;
  const auto there = e.with(nominal_world, b.program.conditions[mode.value].variable, num(1));
  CHECK(failed(e.field(q, 1, there)));
  CHECK(failed(e.field(p, 1, there)));
  CHECK(e.field(q, 1, nominal_world) == num(8));
  CHECK(e.field(p, 1, nominal_world) == num(7));
}

namespace {
// A tree network in one chain: point slots as the built-in ones, then reach (down) and flow (up).
struct Chain : Builder {
  static constexpr u32 reach = point_slot::first_own, flow = reach + 1, length = leg_slot::first_own;
  std::vector<ThingId> points;
  explicit Chain(u32 runs) {
    const NetworkId network{0};
    const KindId point = kind("point", {{"from", Role::built_in, TypeKind::thing}, {"inward", Role::built_in, TypeKind::thing},
                                        {"onward", Role::built_in, TypeKind::list}, {"net", Role::built_in}, {"root", Role::built_in},
                                        {"thing", Role::built_in}, {"arrivals", Role::built_in}, {"reach", Role::gives}, {"flow", Role::gives}}, network);
    const KindId leg = kind("leg", {{"from", Role::built_in, TypeKind::thing}, {"to", Role::built_in, TypeKind::thing},
                                    {"net", Role::built_in}, {"root", Role::built_in}, {"thing", Role::built_in}, {"length"}}, network);
    Network made;
    made.point = point;
    made.leg = made.run = leg;
    program.networks.push(made);
    formula(point, reach, op(Op::choice, op(Op::is_none, mine(point_slot::from, TypeKind::thing)), n(0),
                             op(Op::add, get(mine(point_slot::from, TypeKind::thing), reach), get(mine(point_slot::inward, TypeKind::thing), length))));
    formula(point, flow, op(Op::add, n(1), fold(Op::fold_sum, 0, mine(point_slot::onward, TypeKind::list),
                                                get(get(local(0, TypeKind::thing), leg_slot::to, TypeKind::thing), flow))));
    for (u32 i = 0; i <= runs; ++i) points.push_back(add(point, "p"));
    for (u32 i = 0; i < runs; ++i) {
      const ThingId run = add(leg, "r", {{leg_slot::from, Value::index(points[i].value)}, {leg_slot::to, Value::index(points[i + 1].value)}, {length, num(2)}});
      state(points[i + 1], point_slot::from, Value::index(points[i].value));
      state(points[i + 1], point_slot::inward, Value::index(run.value));
      state(points[i], point_slot::onward, list_of({Value::index(run.value)}));
    }
  }
};
}  // namespace

TEST_CASE("a chain of a hundred thousand runs takes no deep stack") {
  Chain chain(100'000);
  Run run(chain.program);
  CHECK(run.evaluation.field(chain.points.back(), Chain::reach, nominal_world) == num(200'000));
  CHECK(run.evaluation.field(chain.points.front(), Chain::flow, nominal_world) == num(100'001));
  CHECK(run.evaluation.steps_used() < 300'000);
  CHECK(run.notices.size() == 0);
}

TEST_CASE("a ring longer than the stack is found") {
  Chain chain(1'000);
  chain.state(chain.points[0], point_slot::from, Value::index(chain.points.back().value));
  chain.state(chain.points[0], point_slot::inward, Value::index(chain.points.back().value + 1));
  Run run(chain.program);
  const Value value = run.evaluation.field(chain.points[500], Chain::reach, nominal_world);
  REQUIRE(failed(value));
  CHECK(run.notices.all()[value.payload()].code == Code::value_cycle);
  CHECK(failed(run.evaluation.field(chain.points.back(), Chain::reach, nominal_world)));
}

TEST_CASE("runs on the path and below") {
  Chain chain(5);
  const ExprId at = chain.value(Value::index(chain.points[3].value), TypeKind::thing);
  const ExprId path = chain.built_in(BuiltIn::path, {at}), below = chain.built_in(BuiltIn::downstream, {at});
  Run run(chain.program);
  const auto runs = run.evaluation.items(run.expr(path), nominal_world);
  REQUIRE(runs.size() == 3);
  CHECK(run.evaluation.field(ThingId{runs[0].index()}, leg_slot::from, nominal_world).index() == chain.points[0].value);
  CHECK(run.evaluation.field(ThingId{runs[2].index()}, leg_slot::to, nominal_world).index() == chain.points[3].value);
  CHECK(run.evaluation.items(run.expr(below), nominal_world).size() == 2);
}
