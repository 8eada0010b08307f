// Time of a balance of large networks, cold and from the neighbouring case, and of settling the larger one's temperatures.
#include "../unit/networks/plant.hpp"

#include <benchmark/benchmark.h>

using namespace dripleg;
using namespace dripleg::networks;
using namespace dripleg::networks::test;

namespace {
struct Case {
  Named named;
  std::vector<u32> shut;
  Json settles;
  explicit Case(const char* id) {
    const Json extra = facts("networks_extra.json");
    for (const Json& network : extra["networks"]) {
      if (network["id"] != id) continue;
      named = extra_network(network, Friction::blend);
      for (const Json& leg : network["world_2"]["shut"]) shut.push_back(named.legs.at(leg));
    }
    for (const Json& one : extra["settle"])
      if (one.contains("network") && one["network"] == id) settles = one;
  }
  void set_shut(bool yes) {
    for (const u32 leg : shut) named.net.legs[leg].shut = yes;
  }
};

void count(benchmark::State& state, const Named& named, const Balance& result) {
  u32 rounds = 0;
  for (const PieceResult& piece : result.pieces) rounds = std::max(rounds, piece.rounds);
  state.counters["rounds"] = rounds;
  state.counters["calls_a_leg"] = static_cast<double>(result.law_calls) / static_cast<double>(named.net.legs.size());
  for (const PieceResult& piece : result.pieces)
    if (!has_flows(piece.outcome)) state.SkipWithError("no balance");
}

void cold(benchmark::State& state, const char* id, bool some_shut) {
  Case one(id);
  one.set_shut(some_shut);
  Balance result;
  for (auto _ : state) result = balance(one.named.net, one.named, within(0.001));
  count(state, one.named, result);
}

void warm(benchmark::State& state, const char* id) {
  Case one(id);
  const Balance open = balance(one.named.net, one.named, within(0.001));
  one.set_shut(true);
  Balance result;
  for (auto _ : state) result = balance(one.named.net, one.named, within(0.001), open.flows);
  count(state, one.named, result);
}

void settling(benchmark::State& state, const char* id) {
  const Case one(id);
  Case solved(id);
  Plant plant;
  plant.flows = balance(solved.named.net, solved.named, within(0.001)).flows;
  for (u32 leg = 0; leg < one.named.net.legs.size(); ++leg) {
    const std::string& name = one.named.leg_names[leg];
    const Leg& ends = one.named.net.legs[leg];
    plant.ways.push_back({ends.from, ends.to, one.settles["parts"].contains(name) ? read_part(one.settles["parts"][name]) : Part{}});
  }
  plant.join(one.named.net.points);
  Settlement result;
  for (auto _ : state) result = settle(plant.cells(one.named.net.points, 70, 0.02), plant);
  state.counters["rounds"] = result.rounds;
  state.counters["calls_a_cell"] = static_cast<double>(result.formula_calls) / static_cast<double>(result.values.size());
}
}  // namespace

BENCHMARK_CAPTURE(cold, circuits_200, "L1_direct_200", false)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(cold, circuits_200_some_shut, "L1_direct_200", true)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(warm, circuits_200_some_shut, "L1_direct_200")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(cold, circuits_360, "L3_plant_2500", false)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(warm, circuits_360_some_shut, "L3_plant_2500")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(settling, circuits_360, "L3_plant_2500")->Unit(benchmark::kMillisecond);
