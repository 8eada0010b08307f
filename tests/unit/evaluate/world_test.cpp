#include "builder.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using evaluate::nominal_world;
using evaluate::WorldId;
using evaluate::WorldSetting;
using notices::Code;

namespace {
// Kind part { needs size, gives double = 2 * size, gives mixed = if mode == 0 then size else double * level }
struct Plant : Builder {
  ConditionId mode = condition("mode", n(0)), level = condition("level", n(10));
  KindId part = kind("part", {{"size"}, {"double", Role::gives}, {"mixed", Role::gives}});
  ThingId p, q;
  VariableId size_of_q;
  ExprId get_mode() { return push({.op = Op::condition, .a = mode.value}, number); }
  ExprId get_level() { return push({.op = Op::condition, .a = level.value}, number); }
  Plant() {
    formula(part, 1, op(Op::multiply, n(2), mine(0)));
    formula(part, 2, op(Op::choice, op(Op::equal, get_mode(), n(0)), mine(0), op(Op::multiply, mine(1), get_level())));
    p = add(part, "p", {{0, num(3)}});
    q = add(part, "q");
    size_of_q = ranged(q, 0, 1, 5);
  }
  VariableId variable(ConditionId of) { return program.conditions[of.value].variable; }
};
}  // namespace

TEST_CASE("a value is computed once for all worlds that agree on what it read") {
  Plant plant;
  Run run(plant.program);
  auto& e = run.evaluation;
  const WorldId other = e.with(nominal_world, plant.variable(plant.mode), num(1));
  const WorldId higher = e.with(nominal_world, plant.variable(plant.level), num(20));
  CHECK(e.field(plant.p, 1, nominal_world) == num(6));
  CHECK(e.reads() == 0);
  CHECK(e.field(plant.p, 2, nominal_world) == num(3));
  CHECK(e.variables_in(e.reads()) == std::vector<VariableId>{plant.variable(plant.mode)});
  CHECK(e.field(plant.p, 2, higher) == num(3));
  CHECK(e.field(plant.p, 2, other) == num(60));
  CHECK(e.variables_in(e.reads()) == std::vector<VariableId>{plant.variable(plant.mode), plant.variable(plant.level)});
  const WorldId both = e.with(other, plant.variable(plant.level), num(20));
  CHECK(e.field(plant.p, 2, both) == num(120));
  CHECK(e.field(plant.p, 2, nominal_world) == num(3));
}

TEST_CASE("equal settings are one world, and the usual value is no setting") {
  Plant plant;
  Run run(plant.program);
  auto& e = run.evaluation;
  const WorldSetting one[] = {{plant.variable(plant.mode), num(1)}, {plant.variable(plant.level), num(2)}};
  const WorldSetting turned[] = {{plant.variable(plant.level), num(2)}, {plant.variable(plant.mode), num(1)}};
  CHECK(e.world(one) == e.world(turned));
  CHECK(e.with(nominal_world, plant.size_of_q, num(3)) == nominal_world);
  CHECK(e.with(e.with(nominal_world, plant.size_of_q, num(4)), plant.size_of_q, num(3)) == nominal_world);
}

TEST_CASE("ranges read their own variable") {
  Plant plant;
  Run run(plant.program);
  auto& e = run.evaluation;
  CHECK(e.field(plant.q, 1, nominal_world) == num(6));
  CHECK(e.variables_in(e.reads()) == std::vector<VariableId>{plant.size_of_q});
  CHECK(e.field(plant.q, 1, e.with(nominal_world, plant.size_of_q, num(5))) == num(10));
  CHECK(e.field(plant.q, 1, nominal_world) == num(6));
}

TEST_CASE("more worlds than are kept still give the right values") {
  Plant plant;
  Run run(plant.program);
  for (int round = 0; round < 3; ++round)
    for (int i = 0; i < 40; ++i) {
      const WorldId world = run.evaluation.with(nominal_world, plant.size_of_q, num(i));
      REQUIRE(run.evaluation.field(plant.q, 1, world) == num(2 * i));
    }
}

TEST_CASE("a formula in another world does not depend on what it sets") {
  Plant plant;
  const ExprId mixed = plant.get(plant.value(Value::index(plant.p.value), TypeKind::thing), 2);
  const ExprId in_other = plant.when(mixed, plant.mode, plant.n(1));
  const ExprId twice = plant.when(plant.when(mixed, plant.mode, plant.n(1)), plant.level, plant.n(7));
  Run run(plant.program);
  CHECK(run.number(in_other) == 60);
  CHECK(run.evaluation.variables_in(run.evaluation.reads()) == std::vector<VariableId>{plant.variable(plant.level)});
  CHECK(run.number(twice) == 42);
  CHECK(run.evaluation.reads() == 0);
  const WorldId higher = run.evaluation.with(nominal_world, plant.variable(plant.level), num(100));
  CHECK(run.number(in_other, higher) == 600);
}

TEST_CASE("a condition without end of worlds fails instead of hanging") {
  Builder b;
  const ConditionId level = b.condition("level", b.n(0));
  const KindId part = b.kind("part", {{"x", Role::gives}});
  const ExprId next = b.op(Op::add, b.push({.op = Op::condition, .a = level.value}, b.number), b.n(1));
  b.formula(part, 0, b.when(b.mine(0), level, next));
  const ThingId p = b.add(part, "p");
  Run run(b.program);
  const Value value = run.evaluation.field(p, 0, nominal_world);
  REQUIRE(failed(value));
  CHECK(run.notices.all()[value.payload()].code == Code::value_too_deep);
}

TEST_CASE("cases: settings, families and sweeps") {
  Plant plant;
  Case family;                                       // for s in [4, 6] { mode 1, level s }
  family.name = plant.name("each");
  family.locals = 1;
  family.binders = {plant.program.binders.push({0, plant.many(Op::list, {plant.n(4), plant.n(6)})}), 1};
  const Setting settings[] = {{plant.mode, plant.n(1), {}}, {plant.level, plant.local(0), {}}};
  family.settings = {plant.program.settings.append(settings), 2};
  const CaseId each{plant.program.cases.push(family)};
  Case sweep;                                        // { level 0 .. 10 by 2.5 }
  sweep.name = plant.name("season");
  const Setting swept[] = {{plant.level, plant.op(Op::range, plant.n(0), plant.n(10)), plant.n(2.5)}};
  sweep.settings = {plant.program.settings.append(swept), 1};
  const CaseId season{plant.program.cases.push(sweep)};
  const ExprId mixed = plant.get(plant.value(Value::index(plant.p.value), TypeKind::thing), 2);
  const ExprId during = plant.push({.op = Op::during, .a = mixed.value, .b = season.value}, plant.number);

  Run run(plant.program);
  const auto worlds = run.evaluation.case_worlds(each, nominal_world);
  CHECK(worlds.state.known());
  REQUIRE(worlds.worlds.size() == 2);
  CHECK(worlds.worlds[1].bound[0] == num(6));
  CHECK(run.number(mixed, worlds.worlds[0].world) == 24);
  CHECK(run.number(mixed, worlds.worlds[1].world) == 36);
  const auto swept_worlds = run.evaluation.case_worlds(season, nominal_world);
  REQUIRE(swept_worlds.worlds.size() == 1);
  REQUIRE(swept_worlds.worlds[0].sweeps.size() == 1);
  CHECK(swept_worlds.worlds[0].sweeps[0].high == 10);
  CHECK(swept_worlds.worlds[0].sweeps[0].step == 2.5);
  CHECK(failed(run.expr(during)));
  CHECK(run.notices.all()[0].code == Code::value_no_one_world);
}

TEST_CASE("inputs opened for trials keep their usual value") {
  Plant plant;
  plant.state(plant.p, 0, plant.hole(plant.p, 0));
  const ThingId r = plant.add(plant.part, "r", {{0, num(8)}});
  const ThingId s = plant.add(plant.part, "s");
  Run run(plant.program);
  auto& e = run.evaluation;
  CHECK(unknown(e.field(plant.p, 1, nominal_world)));
  CHECK(e.field(r, 1, nominal_world) == num(16));
  const evaluate::InputId inputs[] = {{plant.p, 0}, {r, 0}, {plant.q, 0}, {s, 0}};
  const auto opened = e.open(inputs);
  REQUIRE(opened.size() == 4);
  CHECK(opened[2] == plant.size_of_q);
  CHECK(unknown(e.field(plant.p, 1, nominal_world)));
  CHECK(unknown(e.field(s, 1, nominal_world)));
  CHECK(e.field(r, 1, nominal_world) == num(16));
  CHECK(e.variables_in(e.reads()) == std::vector<VariableId>{opened[1]});
  const WorldId trial = e.with(e.with(nominal_world, opened[0], num(5)), opened[1], num(9));
  CHECK(e.field(plant.p, 1, trial) == num(10));
  CHECK(e.field(r, 1, trial) == num(18));
  CHECK(e.field(s, 1, e.with(trial, opened[3], num(1))) == num(2));
  CHECK(e.with(nominal_world, opened[1], num(8)) == nominal_world);
}

TEST_CASE("a hundred and more variables share bits and are still told apart") {
  Builder b;
  const KindId part = b.kind("part", {{"size"}, {"double", Role::gives}});
  b.formula(part, 1, b.op(Op::multiply, b.n(2), b.mine(0)));
  std::vector<ThingId> parts;
  std::vector<VariableId> variables;
  for (int i = 0; i < 150; ++i) {
    parts.push_back(b.add(part, "p"));
    variables.push_back(b.ranged(parts.back(), 0, 0, 2));
  }
  Run run(b.program);
  for (int i = 0; i < 150; ++i) {
    const WorldId world = run.evaluation.with(nominal_world, variables[i], num(i + 7));
    for (int j = 0; j < 150; j += 7) REQUIRE(run.evaluation.field(parts[j], 1, world) == num(i == j ? 2 * (i + 7) : 2));
    REQUIRE(run.evaluation.field(parts[i], 1, world) == num(2 * (i + 7)));
  }
}

TEST_CASE("going through combinations from outside") {
  Plant plant;
  const ExprId parts = plant.all(plant.part);
  const Binder binders[] = {{0, parts}, {1, plant.count_up(1, 2)}};
  const Slice both{plant.program.binders.append(binders), 2};
  const ExprId where = plant.op(Op::less, plant.get(plant.local(0, TypeKind::thing), 0), plant.op(Op::add, plant.local(1), plant.n(1.5)));
  Run run(plant.program);
  std::vector<std::pair<u32, double>> met;
  const Value state = run.evaluation.each(both, where, {{}, run.locals}, nominal_world, [&](Value) {
    met.push_back({run.locals[0].index(), run.locals[1].number()});
    return true;
  });
  CHECK(state.known());
  CHECK(met == std::vector<std::pair<u32, double>>{{plant.p.value, 2}, {plant.q.value, 2}});
  CHECK(run.evaluation.variables_in(run.evaluation.reads()) == std::vector<VariableId>{plant.size_of_q});
}
