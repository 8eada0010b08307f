#include "builder.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using evaluate::Derivation;
using evaluate::How;
using evaluate::nominal_world;
using evaluate::Step;

namespace {
std::vector<const Step*> below(const Derivation& made, const Step& step) {
  std::vector<const Step*> found;
  for (const u32 at : step.from) found.push_back(&made.steps[at]);
  return found;
}
bool any(const Derivation& made, How how) {
  return std::ranges::any_of(made.steps, [&](const Step& step) { return step.how == how; });
}

// part { needs size, may usual = 2, gives x = twice(size) * usual * level + grid(size) + sum of sizes + maybe }
struct Plant : Builder {
  ConditionId level = condition("level", n(10));
  KindId part = kind("part", {{"size"}, {"usual", Role::may}, {"x", Role::gives}, {"y", Role::gives}, {"maybe", Role::may}});
  FunctionId twice;
  TableId grid;
  ThingId p, q;
  Plant() {
    Function f;
    f.name = name("twice");
    f.parameters = f.locals = 1;
    f.body = op(Op::multiply, n(2), push({.op = Op::parameter, .a = 0}, number));
    twice = FunctionId{program.functions.push(f)};
    grid = columns("grid", {{"size", true, LookUp::up}, {"v"}}, {{num(5), num(9)}, {num(100), num(200)}});
    formula(part, 1, n(2));
    const ExprId size = mine(0);
    const u32 argument = listed({size});
    const ExprId call = push({.op = Op::call, .n = 1, .a = argument, .b = twice.value}, number);
    const ExprId scaled = op(Op::multiply, op(Op::multiply, call, mine(1)), push({.op = Op::condition, .a = level.value}, number));
    formula(part, 2, op(Op::add, scaled, look_up(grid, {size})));
    const ExprId total = fold(Op::fold_sum, 0, all(part), get(local(0, TypeKind::thing), 0));
    formula(part, 3, op(Op::choice, op(Op::is_given, mine(4)), n(0), op(Op::add, mine(2), total)));
    p = add(part, "p", {{0, num(3)}});
    q = add(part, "q", {{0, num(4)}, {1, num(1)}});
  }
};
}  // namespace

TEST_CASE("a derivation tells every reading, absences and collections too") {
  Plant plant;
  Run run(plant.program);
  const Derivation made = run.evaluation.explain(plant.p, 3, nominal_world);
  REQUIRE(!made.steps.empty());
  CHECK_FALSE(made.cut);
  const Step& top = made.steps[0];
  CHECK(top.how == How::formula);
  CHECK(top.value == num(3 * 2 * 2 * 10 + 100 + 7));
  const auto parts = below(made, top);
  REQUIRE(parts.size() == 5);                       // maybe, x, the collection, p.size, q.size
  CHECK(parts[0]->how == How::not_stated);
  CHECK(parts[0]->value.is(State::none));
  CHECK(parts[1]->how == How::formula);
  CHECK(parts[2]->how == How::collection);
  CHECK(parts[3]->how == How::stated);
  const auto inner = below(made, *parts[1]);
  REQUIRE(inner.size() == 5);                       // twice, size (its argument), usual, level, grid
  CHECK(any(made, How::call));
  CHECK(any(made, How::usual));
  CHECK(any(made, How::condition));
  CHECK(any(made, How::table));
}

TEST_CASE("what a world sets is told as set") {
  Plant plant;
  Run run(plant.program);
  const auto world = run.evaluation.with(nominal_world, plant.program.conditions[plant.level.value].variable, num(1));
  const Derivation made = run.evaluation.explain(plant.p, 2, world);
  CHECK(any(made, How::condition_set));
  CHECK_FALSE(any(made, How::condition));
  CHECK(made.steps[0].value == num(112));
}

TEST_CASE("depth and count are limited, and say so") {
  Plant plant;
  Run run(plant.program);
  const Derivation shallow = run.evaluation.explain(plant.p, 3, nominal_world, {.levels = 1, .steps = 200});
  CHECK(shallow.steps.size() == 6);
  CHECK(std::ranges::any_of(shallow.steps, [](const Step& step) { return step.cut; }));
  const Derivation small = run.evaluation.explain(plant.p, 3, nominal_world, {.levels = 12, .steps = 4});
  CHECK(small.cut);
  CHECK(small.steps.size() <= 4);
  const evaluate::Evaluation::Depth usual;
  CHECK(usual.levels == base::limits::why_depth);
  CHECK(usual.steps == base::limits::why_nodes);
}

TEST_CASE("inputs behind an expression, each once") {
  Plant plant;
  const ExprId asked = plant.op(Op::greater, plant.get(plant.value(Value::index(plant.p.value), TypeKind::thing), 3), plant.n(5));
  Run run(plant.program);
  const auto read = run.evaluation.inputs_of(asked, {{}, run.locals}, nominal_world);
  CHECK_FALSE(read.cut);
  CHECK(std::ranges::count(read.inputs, evaluate::InputId{plant.p, 0}) == 1);
  CHECK(std::ranges::count(read.inputs, evaluate::InputId{plant.p, 4}) == 1);   // the absence
  CHECK(std::ranges::count(read.inputs, evaluate::InputId{plant.q, 0}) == 1);
  CHECK(std::ranges::count(read.inputs, evaluate::InputId{plant.q, 1}) == 0);
  CHECK(read.collections == std::vector<KindId>{plant.part});
  CHECK(read.tables == std::vector<TableId>{plant.grid});
}

TEST_CASE("an expression of its own is explained too") {
  Plant plant;
  const ExprId asked = plant.op(Op::add, plant.get(plant.value(Value::index(plant.q.value), TypeKind::thing), 0), plant.n(1));
  Run run(plant.program);
  const Derivation made = run.evaluation.explain(asked, {{}, run.locals}, nominal_world, {});
  CHECK(made.steps[0].how == How::expression);
  CHECK(made.steps[0].value == num(5));
  REQUIRE(made.steps[0].from.size() == 1);
  CHECK(made.steps[made.steps[0].from[0]].how == How::stated);
}
