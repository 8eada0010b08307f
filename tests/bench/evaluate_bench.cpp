// Time of evaluation: a kept value looked up, a plain formula, and a tree of 500 runs in twelve worlds.
#include "../unit/evaluate/builder.hpp"

#include <benchmark/benchmark.h>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using evaluate::nominal_world;
using evaluate::WorldId;

namespace {
// A binary tree: flow goes up, pressure, reach and the longest way down, with a two-way table and a power law.
struct Tree : Builder {
  static constexpr u32 demand = point_slot::first_own, flow = demand + 1, pressure = demand + 2, reach = demand + 3, farthest = demand + 4;
  static constexpr u32 length = leg_slot::first_own, size = length + 1, bore = length + 2, effective = length + 3, drop = length + 4,
                       capacity = length + 5, leg_flow = length + 6, fits = length + 7;
  ConditionId fire = condition("fire", n(1));
  std::vector<ThingId> points, runs;

  explicit Tree(u32 count) {
    const NetworkId network{0};
    const KindId point = kind("point", {{"from", Role::built_in, TypeKind::thing}, {"inward", Role::built_in, TypeKind::thing},
        {"onward", Role::built_in, TypeKind::list}, {"net", Role::built_in}, {"root", Role::built_in}, {"thing", Role::built_in}, {"arrivals", Role::built_in},
        {"demand"}, {"flow", Role::gives}, {"pressure", Role::gives}, {"reach", Role::gives}, {"farthest", Role::gives}}, network);
    const KindId leg = kind("leg", {{"from", Role::built_in, TypeKind::thing}, {"to", Role::built_in, TypeKind::thing}, {"net", Role::built_in},
        {"root", Role::built_in}, {"thing", Role::built_in}, {"length"}, {"size"}, {"bore", Role::gives}, {"effective", Role::gives},
        {"drop", Role::gives}, {"capacity", Role::gives}, {"flow", Role::gives}, {"fits", Role::gives}}, network);
    Network made;
    made.point = point;
    made.leg = made.run = leg;
    program.networks.push(made);

    std::vector<double> lengths, sizes;
    std::vector<Value> cells, bores, size_keys;
    for (int i = 1; i <= 30; ++i) lengths.push_back(10.0 * i);
    for (int i = 1; i <= 8; ++i) sizes.push_back(i), size_keys.push_back(num(i)), bores.push_back(num(0.4 + 0.2 * i));
    for (int i = 1; i <= 30; ++i)
      for (int k = 1; k <= 8; ++k) cells.push_back(num(2000.0 * k * k / i));
    const TableId capacities = two_way("capacities", {"length", true, LookUp::up, Beyond::held}, {"size", true, LookUp::exact}, lengths, sizes, cells);
    const TableId bore_table = columns("bores", {{"size", true}, {"bore"}}, {size_keys, bores});

    const auto from = [&] { return mine(point_slot::from, TypeKind::thing); };
    const auto is_root = [&] { return op(Op::is_none, from()); };
    const auto inward = [&](u32 slot) { return get(mine(point_slot::inward, TypeKind::thing), slot); };
    const auto onward = [&] { return mine(point_slot::onward, TypeKind::list); };
    const auto each = [&] { return local(0, TypeKind::thing); };
    const auto at_end = [&](u32 slot) { return get(get(each(), leg_slot::to, TypeKind::thing), slot); };
    const auto to = [&](u32 slot) { return get(mine(leg_slot::to, TypeKind::thing), slot); };
    const ExprId fired = push({.op = Op::condition, .a = fire.value}, number);
    formula(point, flow, op(Op::add, op(Op::multiply, mine(demand), fired), fold(Op::fold_sum, 0, onward(), get(each(), leg_flow))));
    formula(point, pressure, op(Op::choice, is_root(), n(7), op(Op::subtract, get(from(), pressure), inward(drop))));
    formula(point, reach, op(Op::choice, is_root(), n(0), op(Op::add, get(from(), reach), inward(effective))));
    formula(point, farthest, op(Op::choice, op(Op::is_empty, onward()), mine(reach), fold(Op::fold_max, 0, onward(), at_end(farthest))));
    formula(leg, bore, look_up(bore_table, {mine(size)}));
    formula(leg, effective, op(Op::add, mine(length), op(Op::multiply, n(2.5), mine(bore))));
    formula(leg, leg_flow, to(flow));
    formula(leg, drop, op(Op::multiply, op(Op::multiply, n(1e-9), mine(effective)),
                          op(Op::divide, op(Op::power, mine(leg_flow), n(1.848)), op(Op::power, mine(bore), n(4.848)))));
    formula(leg, capacity, look_up(capacities, {to(farthest), mine(size)}));
    formula(leg, fits, op(Op::at_most, mine(leg_flow), mine(capacity)));

    std::vector<std::vector<Value>> leaving(count + 1);
    for (u32 i = 0; i <= count; ++i) points.push_back(add(point, "p", {{demand, num(i % 2 ? 40 : 0)}}));
    for (u32 i = 1; i <= count; ++i) {
      const u32 parent = (i - 1) / 2;
      const ThingId run = add(leg, "r", {{leg_slot::from, Value::index(points[parent].value)}, {leg_slot::to, Value::index(points[i].value)},
                                         {length, num(3 + i % 7)}, {size, num(1 + i % 8)}});
      runs.push_back(run);
      state(points[i], point_slot::from, Value::index(points[parent].value));
      state(points[i], point_slot::inward, Value::index(run.value));
      leaving[parent].push_back(Value::index(run.value));
    }
    for (u32 i = 0; i <= count; ++i) state(points[i], point_slot::onward, list_of(leaving[i]));
  }
};

void kept_value(benchmark::State& state) {
  Tree tree(500);
  Run run(tree.program);
  const ExprId asked = tree.get(tree.value(Value::index(tree.runs[250].value), TypeKind::thing), Tree::drop);
  Run other(tree.program);
  other.number(asked);
  for (auto _ : state) benchmark::DoNotOptimize(other.evaluation.field(tree.runs[250], Tree::drop, nominal_world));
}
BENCHMARK(kept_value);

void kept_values_in_a_sum(benchmark::State& state) {
  Tree tree(1000);
  const KindId leg = tree.program.things[tree.runs[0].value].kind;
  const ExprId sum = tree.fold(Op::fold_sum, 0, tree.all(leg), tree.get(tree.local(0, TypeKind::thing), Tree::bore));
  Run run(tree.program, {.steps = 1ull << 60});
  for (auto _ : state) benchmark::DoNotOptimize(run.expr(sum));
  state.SetItemsProcessed(static_cast<int64_t>(state.iterations()) * 1000);
}
BENCHMARK(kept_values_in_a_sum);

void tree_in_twelve_worlds(benchmark::State& state) {
  Tree tree(static_cast<u32>(state.range(0)));
  const VariableId fire = tree.program.conditions[tree.fire.value].variable;
  for (auto _ : state) {
    Run run(tree.program);
    for (int world = 0; world < 12; ++world) {
      const WorldId here = run.evaluation.with(nominal_world, fire, num(0.5 + 0.1 * world));
      for (const ThingId leg : tree.runs) benchmark::DoNotOptimize(run.evaluation.field(leg, Tree::fits, here));
      for (const ThingId point : tree.points) benchmark::DoNotOptimize(run.evaluation.field(point, Tree::pressure, here));
    }
  }
}
BENCHMARK(tree_in_twelve_worlds)->Arg(500)->Arg(10'000)->Unit(benchmark::kMillisecond);

void plain_formula(benchmark::State& state) {
  Builder b;
  ExprId sum = b.n(1);
  for (int i = 0; i < 10; ++i) sum = b.op(Op::add, b.op(Op::multiply, sum, b.n(0.5)), b.n(i));
  Run run(b.program);
  for (auto _ : state) benchmark::DoNotOptimize(run.number(sum));
}
BENCHMARK(plain_formula);
}  // namespace

BENCHMARK_MAIN();
