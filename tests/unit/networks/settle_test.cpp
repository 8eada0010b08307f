// Settling against temperatures computed elsewhere, and circles that have no answer.
#include "plant.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace dripleg;
using namespace dripleg::networks;
using namespace dripleg::networks::test;
using doctest::Approx;

namespace {
const Json& extra() { static const Json read = facts("networks_extra.json"); return read; }

struct NamedPlant : Plant {
  Named names;
  explicit NamedPlant(const Json& json) {
    if (json.contains("network")) large(json);
    else small(json);
    cold = json["start"];
    join(names.net.points);
  }
  void small(const Json& json) {
    for (const Json& leg : json["legs"]) {
      const u32 a = names.point(leg[1]), b = names.point(leg[2]);
      ways.push_back({a, b, part_of(json, leg[0])});
      flows.push_back(leg[3]);
    }
  }
  void large(const Json& json) {
    for (const Json& network : extra()["networks"])
      if (network["id"] == json["network"]) names = extra_network(network, Friction::blend);
    flows = balance(names.net, names, within(0.001)).flows;
    for (u32 leg = 0; leg < names.net.legs.size(); ++leg)
      ways.push_back({names.net.legs[leg].from, names.net.legs[leg].to, part_of(json, names.leg_names[leg])});
  }
  static Part part_of(const Json& json, const std::string& leg) {
    return json["parts"].contains(leg) ? read_part(json["parts"][leg]) : Part{};
  }
};

// A formula of any shape for a few cells.
struct Few : Formulas {
  using Formula = std::function<double(const std::function<double(u32)>&)>;
  std::vector<Formula> formulas;
  std::vector<char> are_dense;
  double value(u32 cell, const std::vector<double>& values, ReadSet* reads) override {
    return formulas[cell]([&](u32 other) {
      if (reads) reads->add(other);
      return values[other];
    });
  }
  bool dense(u32 cell) const override { return cell < are_dense.size() && are_dense[cell]; }
};
using Read = const std::function<double(u32)>&;
const SettleCell warm{70, 32, 300, 0.02};
}  // namespace

TEST_CASE("plants: temperatures and gains as computed elsewhere") {
  u32 most_rounds = 0;
  double worst = 0;
  for (const Json& json : extra()["settle"]) {
    CAPTURE(json["title"].get<std::string>());
    NamedPlant plant(json);
    const double starts[] = {json["start"].get<double>(), 32.0, 200.0};
    for (const double start : starts) {
      CAPTURE(start);
      const Settlement result = settle(plant.cells(plant.names.net.points, start, 0.02), plant);
      CHECK(result.outcome == SettleOutcome::settled);
      for (const auto& [point, expected] : json["temperature"].items()) {
        const double got = result.values[plant.names.points.at(point)];
        CAPTURE(point);
        CHECK(std::fabs(got - expected.get<double>()) <= 0.02);
        if (start == starts[0]) worst = std::max(worst, std::fabs(got - expected.get<double>()));
      }
      double gain = 0;
      for (const SettlePart& part : result.parts) gain = std::max(gain, part.gain);
      CHECK(gain == Approx(json["gain"].get<double>()).epsilon(0.02));
      if (start != starts[0]) continue;
      CHECK(result.rounds <= json["rounds_from_start"].get<u32>() + 2);
      most_rounds = std::max(most_rounds, result.rounds);
    }
  }
  MESSAGE(extra()["settle"].size(), " plants, rounds at most ", most_rounds, ", largest error ", worst, " degF");
}

TEST_CASE("a boiler in a ring that gives nothing off: nothing holds its temperature") {
  Few few;
  few.formulas = {[](Read x) { return std::max(x(1), std::min(180.0, x(1) + 12)); }, [](Read x) { return x(0); }};
  const Settlement result = settle({warm, warm}, few);
  CHECK(result.outcome == SettleOutcome::nothing_holds);
  CHECK(result.cells.size() == 2);
  CHECK(result.amount > 1);
}

TEST_CASE("heat that is given off whatever the temperature, and more than comes in: runs away") {
  Few few;
  few.formulas = {[](Read x) { return x(1) + 5; }, [](Read x) { return x(0) - 9; }};
  const Settlement result = settle({warm, warm}, few);
  CHECK(result.outcome == SettleOutcome::runs_away);
  CHECK_FALSE(result.cells.empty());
  few.formulas = {[](Read x) { return 0.9 * x(1) + 60; }, [](Read x) { return x(0); }};       // its answer, 600, is out of range
  const Settlement beyond = settle({warm, warm}, few);
  CHECK(beyond.outcome == SettleOutcome::runs_away);
  CHECK(beyond.values[0] == 300);
}

TEST_CASE("a formula that jumps over its answer") {
  Few few;
  few.formulas = {[](Read x) { return x(1) < 160 ? x(1) + 20 : x(1); }, [](Read x) { return 70 + 0.9 * (x(0) - 70); }};
  const Settlement result = settle({warm, warm}, few);
  CHECK(result.outcome == SettleOutcome::jumps);
  REQUIRE(result.cells.size() == 2);
  CHECK(result.cells[0] == 0);
  CHECK(result.cells[1] == 1);
  CHECK(result.amount == Approx(160).epsilon(0.001));
  CHECK(std::fabs(result.from - result.to) == Approx(20).epsilon(0.01));
}

TEST_CASE("no number, and what depends on it; the rest settles") {
  Few few;
  few.formulas = {[](Read x) { return std::sqrt(x(1) - 100); }, [](Read x) { return 0.5 * x(0); }, [](Read x) { return x(0) + 1; },
                  [](Read x) { return 50 + 0.5 * x(4); }, [](Read x) { return x(3); }};
  const Settlement result = settle({warm, warm, warm, warm, warm}, few);
  CHECK(result.outcome == SettleOutcome::not_a_number);
  CHECK(result.cells == std::vector<u32>{0});
  CHECK(result.settled == std::vector<char>{0, 0, 0, 1, 1});
  CHECK(result.values[3] == Approx(100).epsilon(0.0002));
}

TEST_CASE("parts come in the order of reading, and what reads no circle is only evaluated") {
  Few few;
  few.formulas = {[](Read x) { return x(1) + 1; }, [](Read x) { return 40 + 0.5 * x(2); }, [](Read x) { return x(1); }, [](Read) { return 55.0; },
                  [](Read x) { return x(3) + x(0); }};
  const Settlement result = settle(std::vector<SettleCell>(5, warm), few);
  REQUIRE(result.outcome == SettleOutcome::settled);
  CHECK(result.values[1] == Approx(80).epsilon(1e-4));
  CHECK(result.values[4] == Approx(136).epsilon(1e-4));
  CHECK(result.parts.size() == 4);
  u32 solved = 0;
  for (const SettlePart& part : result.parts) solved += part.rounds > 0;
  CHECK(solved == 1);
}

TEST_CASE("readings that change on the way: parts are made anew") {
  // At the start cell 0 reads nothing else; once it is warm it reads cell 1, which reads it.
  Few few;
  few.formulas = {[](Read x) { return x(0) < 90 ? x(0) + 30 : 60 + 0.5 * x(1); }, [](Read x) { return x(0); }};
  const Settlement result = settle({warm, warm}, few);
  CHECK(result.outcome == SettleOutcome::settled);
  CHECK(result.values[0] == Approx(120).epsilon(0.0002));
  CHECK(result.values[1] == Approx(120).epsilon(0.0002));
}

TEST_CASE("the true error is bounded, not the last change: a circle that gives up a ten-thousandth a turn") {
  Few few;
  few.formulas = {[](Read x) { return x(1); }, [](Read x) { return x(0) + 1e-4 * (150 - x(0)) * (1 + 1e-3 * x(0)); }};
  const Settlement result = settle({warm, warm}, few);
  CHECK(result.outcome == SettleOutcome::settled);
  CHECK(std::fabs(result.values[0] - 150) <= 0.02);
  CHECK(result.rounds <= 10);
}

namespace {
// A main of circuits by chance: one to three boilers in series, emitters of all exponents, some ways that lose a share.
struct ChancePlant : Plant {
  explicit ChancePlant(u32 seed) {
    std::mt19937 engine(seed);
    const auto between = [&](double low, double high) { return low + (high - low) * (engine() / 4294967296.0); };
    const u32 circuits = 1 + engine() % 12, boilers = 1 + engine() % 3;
    std::vector<double> draws;
    double total = 0;
    for (u32 i = 0; i < circuits; ++i) draws.push_back(between(0.3, 8)), total += draws.back();
    u32 points = 0, at = points++;                         // supply points s0 .. sn, return points behind them
    const u32 back = at;
    for (u32 i = 0; i < boilers; ++i) {
      Part boiler;
      boiler.kind = Part::Kind::boiler, boiler.target = between(130, 200), boiler.out = between(20000, 200000);
      ways.push_back({at, points, boiler}), flows.push_back(total);
      at = points++;
    }
    u32 into = points++;                                   // the last return, nearest the boilers
    ways.push_back({into, back, {}}), flows.push_back(total);
    double left = total;
    for (u32 i = 0; i < circuits; ++i) {
      Part emitter;
      emitter.kind = Part::Kind::emitter, emitter.air = between(60, 75), emitter.n = between(1, 1.45), emitter.log_mean = engine() % 2;
      emitter.k = between(100, 12000) * draws[i] / std::pow(70.0, emitter.n) * 10;
      ways.push_back({at, into, emitter}), flows.push_back(draws[i]);
      left -= draws[i];
      if (i + 1 == circuits) break;
      ways.push_back({at, points, {}}), flows.push_back(left);
      at = points++;
      ways.push_back({points, into, {}}), flows.push_back(left);
      into = points++;
    }
    join(points);
  }
};
}  // namespace

TEST_CASE("plants by chance: one answer from wherever they start, and the bound of its error is kept") {
  u32 most_rounds = 0;
  double mean = 0;
  constexpr u32 count = 400;
  for (u32 seed = 1; seed <= count; ++seed) {
    CAPTURE(seed);
    ChancePlant plant(seed);
    const u32 points = static_cast<u32>(plant.at_point.size());
    const Settlement cold = settle(plant.cells(points, 70, 0.02), plant), fine = settle(plant.cells(points, 90, 1e-7), plant);
    REQUIRE(cold.outcome == SettleOutcome::settled);
    REQUIRE(fine.outcome == SettleOutcome::settled);
    for (u32 point = 0; point < points; ++point) {
      CHECK(std::fabs(cold.values[point] - fine.values[point]) <= 0.02);
      CHECK(std::fabs(plant.mixed(point, fine.values, nullptr) - fine.values[point]) <= 1e-7);
    }
    most_rounds = std::max(most_rounds, cold.rounds), mean += cold.rounds;
  }
  MESSAGE(count, " plants by chance: rounds ", mean / count, " mean, ", most_rounds, " at most");
}
