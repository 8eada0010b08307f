#include "builder.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using doctest::Approx;
using notices::Code;

namespace {
struct Tables : Builder {
  std::vector<Value> numbers(std::initializer_list<double> all) {
    std::vector<Value> made;
    for (const double one : all) made.push_back(num(one));
    return made;
  }
  TableId steps(LookUp mode, Beyond beyond = Beyond::refused) {
    return columns("steps", {{"length", true, mode, beyond}, {"size"}}, {numbers({10, 20, 40}), numbers({1, 2, 4})});
  }
  ExprId at(TableId table, double key, u32 column = 0) { return look_up(table, {n(key)}, column); }
};
}  // namespace

TEST_CASE("stepped, straight and exact look-up") {
  Tables t;
  const TableId up = t.steps(LookUp::up), down = t.steps(LookUp::down), line = t.steps(LookUp::between), exact = t.steps(LookUp::exact);
  struct Expected { ExprId expr; double value; };
  const Expected all[] = {
      {t.at(up, 5), 1}, {t.at(up, 10), 1}, {t.at(up, 10.1), 2}, {t.at(up, 20 * (1 + 1e-12)), 2}, {t.at(up, 40), 4},
      {t.at(down, 10), 1}, {t.at(down, 19.9), 1}, {t.at(down, 20 * (1 - 1e-12)), 2}, {t.at(down, 1000), 4},
      {t.at(line, 15), 1.5}, {t.at(line, 20), 2}, {t.at(line, 30), 3}, {t.at(line, 40), 4}, {t.at(exact, 20), 2},
  };
  const ExprId beyond[] = {t.at(up, 41), t.at(down, 9), t.at(line, 9), t.at(line, 41), t.at(exact, 21)};
  Run run(t.program);
  for (const Expected& expected : all) CHECK(run.number(expected.expr) == Approx(expected.value));
  for (const ExprId expr : beyond) {
    const Value value = run.expr(expr);
    REQUIRE(failed(value));
    CHECK(run.notices.all()[value.payload()].code == Code::value_outside_table);
  }
  CHECK(run.notices.all()[0].headline == "table steps goes from 10 to 40; this formula asks it for length 41");
  CHECK(run.notices.all()[4].headline == "table steps has no length 21; this formula asks for it");
}

TEST_CASE("beyond the ends, where the table says so") {
  Tables t;
  const TableId held = t.steps(LookUp::between, Beyond::held), straight = t.steps(LookUp::between, Beyond::straight), up = t.steps(LookUp::up, Beyond::held);
  const ExprId low = t.at(held, 1), high = t.at(held, 100), line_low = t.at(straight, 0), line_high = t.at(straight, 60), stepped = t.at(up, 100);
  Run run(t.program);
  CHECK(run.number(low) == 1);
  CHECK(run.number(high) == 4);
  CHECK(run.number(line_low) == Approx(0));
  CHECK(run.number(line_high) == Approx(6));
  CHECK(run.number(stepped) == 4);
}

TEST_CASE("two-way tables") {
  Tables t;
  const TableId stepped = t.two_way("grid", {"length", true, LookUp::up}, {"size", true, LookUp::exact}, {10, 20}, {1, 2, 3},
                                    {num(11), num(12), Value::none(), num(21), num(22), t.hole({}, 0)});
  const TableId line = t.two_way("plane", {"x", true, LookUp::between}, {"y", true, LookUp::between}, {0, 10}, {0, 10}, {num(0), num(10), num(20), num(30)});
  const auto ask = [&](TableId table, double row, double head) { return t.look_up(table, {t.n(row), t.n(head)}); };
  const ExprId plain = ask(stepped, 15, 2), none = ask(stepped, 5, 3), open = ask(stepped, 20, 3), no_head = ask(stepped, 20, 4), far = ask(stepped, 21, 1);
  const ExprId middle = ask(line, 5, 2.5);
  Run run(t.program);
  CHECK(run.number(plain) == 22);
  CHECK(run.expr(none).is(State::none));
  CHECK(unknown(run.expr(open)));
  CHECK(failed(run.expr(no_head)));
  CHECK(failed(run.expr(far)));
  CHECK(run.number(middle) == Approx(12.5));
}

TEST_CASE("rows, columns by name, and rows between rows") {
  Tables t;
  const TableId wide = t.columns("wide", {{"t", true, LookUp::between}, {"a"}, {"b"}}, {t.numbers({0, 10}), t.numbers({1, 3}), t.numbers({5, 9})});
  const ExprId row = t.at(wide, 5), second = t.at(wide, 5, 3);
  const ExprId a = t.push({.op = Op::row_column, .a = row.value, .b = 1}, t.number);
  const ExprId rows = t.push({.op = Op::all_of_table, .a = t.value(Value::index(wide.value), TypeKind::table).value}, t.a_list);
  const ExprId sum = t.fold(Op::fold_sum, 0, rows, t.push({.op = Op::row_column, .a = t.local(0).value, .b = 2}, t.number));
  Run run(t.program);
  CHECK(run.number(a) == Approx(2));
  CHECK(run.number(second) == Approx(7));
  CHECK(run.number(sum) == 14);
}

TEST_CASE("several keys down the rows") {
  Tables t;
  const TableId table = t.columns("list", {{"length", true, LookUp::up}, {"size", true, LookUp::exact}, {"value"}},
                                  {t.numbers({10, 10, 20, 20}), t.numbers({1, 2, 1, 2}), t.numbers({11, 12, 21, 22})});
  const ExprId found = t.look_up(table, {t.n(11), t.n(2)}), missing = t.look_up(table, {t.n(11), t.n(3)});
  Run run(t.program);
  CHECK(run.number(found) == 22);
  CHECK(failed(run.expr(missing)));
}

TEST_CASE("a column for each member; a member without one is a question to the owner") {
  Tables t;
  const KindId fitting = t.kind("fitting", {{"x", Role::may}});
  const ThingId elbow = t.add(fitting, "elbow"), wye = t.add(fitting, "wye");
  const TableId limits = t.columns("", {{"size", true}, {"length"}, {"elbow", false, LookUp::exact, Beyond::refused, TypeKind::quantity, 1, Value::index(elbow.value)}},
                                   {t.numbers({2, 3}), t.numbers({38, 84}), t.numbers({6, 4.5})});
  const KindId part = t.kind("part", {{"limits", Role::needs, TypeKind::table}});
  const ThingId owner = t.add(part, "owner", {{0, Value::index(limits.value)}});
  const ExprId row = t.at(limits, 3);
  const auto ask = [&](ThingId of) {
    return t.push({.op = Op::index_column, .a = row.value, .b = 0, .c = t.value(Value::index(of.value), TypeKind::thing).value}, t.number);
  };
  const ExprId known = ask(elbow), open = ask(wye);
  Run run(t.program);
  CHECK(run.number(known) == 4.5);
  REQUIRE(unknown(run.expr(open)));
  const Hole& hole = run.evaluation.hole(HoleId{run.holes(run.expr(open))[0]});
  CHECK(hole.thing == owner);
  CHECK(hole.key == Value::index(wye.value));
}

TEST_CASE("a key that is not known") {
  Tables t;
  const KindId part = t.kind("part", {{"length"}});
  const ExprId length = t.get(t.value(Value::index(t.add(part, "p").value), TypeKind::thing), 0);
  const ExprId asked = t.look_up(t.steps(LookUp::up), {length});
  Run run(t.program);
  CHECK(unknown(run.expr(asked)));
  CHECK(run.notices.size() == 0);
}

TEST_CASE("straight lines between entries") {
  Tables t;
  const KindId point = t.kind("reset.point", {{"x"}, {"y"}});
  const auto entry = [&](double x, double y) { return Value::index(t.add(point, "", {{0, num(x)}, {1, num(y)}}).value); };
  const Value list = t.list_of({entry(50, 110), entry(-10, 170)});
  const auto ask = [&](double x) {
    const ExprId made = t.built_in(BuiltIn::between_points, {t.value(list, TypeKind::list), t.n(x)});
    t.program.exprs.edit(made.value).c = 0 | 1u << 16;      // slot 0 along, slot 1 up
    return made;
  };
  const ExprId middle = ask(20), low = ask(-40), high = ask(70);
  Run run(t.program);
  CHECK(run.number(middle) == Approx(140));
  CHECK(run.number(low) == 170);
  CHECK(run.number(high) == 110);
}
