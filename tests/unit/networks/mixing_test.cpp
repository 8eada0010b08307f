// Positions of valves and temperatures that depend on one another through the flows; and that the order in which
// cells are given is no matter.
#include "mixing.hpp"

using namespace dripleg;
using namespace dripleg::networks;
using namespace dripleg::networks::test;
using doctest::Approx;

namespace {
constexpr u32 orders = 50;
const Json& extra() { static const Json read = facts("networks_extra.json"); return read; }

u32 inner_rounds(const Settlement& found) {
  u32 most = 0;
  for (const SettlePart& part : found.parts) most = std::max(most, part.rest_rounds);
  return most;
}
void like(const Settlement& one, const std::vector<double>& values, const std::vector<SettleCell>& cells) {
  for (u32 i = 0; i < cells.size(); ++i) {
    CAPTURE(i);
    CHECK(std::fabs(one.values[i] - values[i]) <= 2 * cells[i].tolerance);
  }
}
}  // namespace

TEST_CASE("mixing valves: positions and temperatures that depend on one another through the flows") {
  for (const Json& json : extra()["mixing"]) {
    CAPTURE(json["set"].dump());
    const auto plant = mixing_of(json);
    const Settlement result = settle(plant->all_cells(70, 0.5, 0.02, 0.0005), *plant);
    CHECK(result.outcome == SettleOutcome::settled);
    CHECK(result.rounds <= 8);
    for (u32 i = 0; i < plant->set.size(); ++i)
      CHECK(std::fabs(result.values[plant->temperatures + i] - json["position"][i].get<double>()) <= 0.0005);
    for (const auto& [point, expected] : json["temperature"].items()) {
      CAPTURE(point);
      CHECK(std::fabs(result.values[plant->named.points.at(point)] - expected.get<double>()) <= 0.02);
    }
    plant->rebalance(result.values);
    for (const auto& [leg, expected] : json["flow"].items()) {
      CAPTURE(leg);
      CHECK(std::fabs(plant->flows[plant->named.legs.at(leg)] - expected.get<double>()) <= 0.01);
    }
    MESSAGE(plant->set.size(), " valves: rounds ", result.rounds, " and ", inner_rounds(result), " of temperatures, balances ", plant->balances,
            ", rounds a balance ", static_cast<double>(plant->balance_rounds) / plant->balances);
  }
}

TEST_CASE("mixing valves: any order of the cells, any start of the positions") {
  u32 most = 0, most_inner = 0, most_balances = 0;
  for (const Json& json : extra()["mixing"])
    for (const double position : {0.5, 0.0, 1.0})
      for (u32 seed = 1; seed <= (position == 0.5 ? orders : 4); ++seed) {
        CAPTURE(json["set"].dump());
        CAPTURE(position);
        CAPTURE(seed);
        const auto plant = mixing_of(json);
        const auto cells = plant->all_cells(70, position, 0.02, 0.0005);
        Reordered other(*plant, static_cast<u32>(cells.size()), seed);
        const Settlement found = settle(other.cells(cells), other);
        REQUIRE(found.outcome == SettleOutcome::settled);
        const auto values = other.back(found.values);
        for (u32 i = 0; i < plant->set.size(); ++i)
          CHECK(std::fabs(values[plant->temperatures + i] - json["position"][i].get<double>()) <= 0.0005);
        for (const auto& [point, expected] : json["temperature"].items())
          CHECK(std::fabs(values[plant->named.points.at(point)] - expected.get<double>()) <= 0.02);
        most = std::max(most, found.rounds), most_inner = std::max(most_inner, inner_rounds(found)), most_balances = std::max(most_balances, plant->balances);
      }
  CHECK(most < 12);
  MESSAGE("rounds at most ", most, ", of temperatures ", most_inner, ", balances ", most_balances);
}

TEST_CASE("plants without valves: any order of the cells") {
  u32 most = 0;
  for (const Json& json : extra()["settle"]) {
    if (json.contains("network")) continue;
    CAPTURE(json["title"].get<std::string>());
    Plant plant;
    Named named;
    for (const Json& leg : json["legs"]) {
      const std::string name = leg[0];
      const u32 from = named.point(leg[1]), to = named.point(leg[2]);
      plant.ways.push_back({from, to, json["parts"].contains(name) ? read_part(json["parts"][name]) : Part{}});
      plant.flows.push_back(leg[3]);
    }
    plant.cold = json["start"];
    plant.join(named.net.points);
    const auto cells = plant.cells(named.net.points, plant.cold, 0.02);
    for (u32 seed = 1; seed <= orders; ++seed) {
      CAPTURE(seed);
      Reordered other(plant, named.net.points, seed);
      const Settlement found = settle(other.cells(cells), other);
      REQUIRE(found.outcome == SettleOutcome::settled);
      const auto values = other.back(found.values);
      for (const auto& [point, expected] : json["temperature"].items()) CHECK(std::fabs(values[named.points.at(point)] - expected.get<double>()) <= 0.02);
      CHECK(found.rounds <= json["rounds_from_start"].get<u32>() + 3);
      most = std::max(most, found.rounds);
    }
  }
  MESSAGE("rounds at most ", most);
}

TEST_CASE("a valve behind a separator: where halving of the position finds it, with temperatures by sweeps only") {
  u32 most = 0, most_inner = 0, most_balances = 0;
  for (const double target : {60.0, 75.0, 85.0, 95.0, 110.0, 125.0, 140.0, 160.0}) {
    CAPTURE(target);
    double low = 0, high = 1;
    const auto reference = valves_behind_separator({target}, 100);
    std::vector<double> at(reference->temperatures + 1, 70.0);
    const auto mixes = [&](double position) {
      at.back() = position;
      return reference->mixes_at_rest(at, 0);
    };
    while (high - low > 1e-9) {
      const double middle = (low + high) / 2;
      (mixes(middle) < target ? low : high) = middle;
    }
    const double position = high < 1e-8 ? 0 : low > 1 - 1e-8 ? 1 : (low + high) / 2;
    mixes(position);
    for (const double swing : {5.0, 20.0, 100.0, 400.0})
      for (const double start : {0.5, 0.0, 1.0})
        for (u32 seed = 1; seed <= (start == 0.5 ? orders : 5); ++seed) {
          CAPTURE(swing);
          CAPTURE(start);
          CAPTURE(seed);
          const auto plant = valves_behind_separator({target}, swing);
          const auto cells = plant->all_cells(70, start, 0.02, 0.001);
          Reordered other(*plant, static_cast<u32>(cells.size()), seed);
          const Settlement found = settle(other.cells(cells), other);
          REQUIRE(found.outcome == SettleOutcome::settled);
          const auto values = other.back(found.values);
          CHECK(std::fabs(values.back() - position) <= 0.001);
          for (u32 i = 0; i < plant->temperatures; ++i) CHECK(std::fabs(values[i] - at[i]) <= 0.02);
          most = std::max(most, found.rounds), most_inner = std::max(most_inner, inner_rounds(found)), most_balances = std::max(most_balances, plant->balances);
        }
  }
  CHECK(most < 12);
  MESSAGE("rounds at most ", most, ", of temperatures ", most_inner, ", balances ", most_balances);
}

TEST_CASE("two and four valves behind a separator: one answer in any order and from any start, each valve at rest") {
  u32 most = 0, most_inner = 0, most_balances = 0;
  const std::vector<std::vector<double>> sets = {{110, 130}, {90, 165}, {100, 60}, {95, 105, 115, 125}, {85, 110, 140, 169}, {150, 150, 150, 150}};
  for (const auto& set : sets)
    for (const double swing : {20.0, 100.0, 400.0}) {
      CAPTURE(set[0]);
      CAPTURE(set[1]);
      CAPTURE(swing);
      const auto first = valves_behind_separator(set, swing, 30000);
      const auto cells = first->all_cells(70, 0.5, 0.02, 0.001);
      const Settlement fine = settle(first->all_cells(70, 0.5, 1e-4, 1e-5), *first);
      REQUIRE(fine.outcome == SettleOutcome::settled);
      for (u32 i = 0; i < set.size(); ++i) {               // mixed to what is asked, or at an end and pushing on
        const double x = fine.values[first->temperatures + i], off = fine.values[first->mixed_point[i]] - set[i];
        CHECK((std::fabs(off) < 0.02 || (x < 1e-5 && off > 0) || (x > 1 - 1e-5 && off < 0)));
      }
      for (const double start : {0.5, 0.0, 1.0})
        for (u32 seed = 1; seed <= (start == 0.5 ? 20 : 3); ++seed) {
          CAPTURE(start);
          CAPTURE(seed);
          const auto plant = valves_behind_separator(set, swing, 30000);
          const auto from = plant->all_cells(70, start, 0.02, 0.001);
          Reordered other(*plant, static_cast<u32>(cells.size()), seed);
          Settlement found = settle(other.cells(from), other);
          REQUIRE(found.outcome == SettleOutcome::settled);
          found.values = other.back(found.values);
          like(found, fine.values, cells);
          most = std::max(most, found.rounds), most_inner = std::max(most_inner, inner_rounds(found)), most_balances = std::max(most_balances, plant->balances);
        }
    }
  CHECK(most < 20);
  MESSAGE("rounds at most ", most, ", of temperatures ", most_inner, ", balances ", most_balances);
}

namespace {
// Boilers in series, each with an output that settles at what holds its target; a share of the heat over 70 degF is given off.
struct Modulating : Formulas {
  std::vector<double> targets, rises;
  double swing = 20, given_off = 0.2;                      // degF from no output to full; share in one turn
  bool follows = true;                                     // its own last output; else that is in proportion to what is missing
  double value(u32 cell, const std::vector<double>& values, ReadSet* reads) override {
    const u32 boilers = static_cast<u32>(targets.size()), i = cell / 2;
    const auto read = [&](u32 one) {
      if (reads) reads->add(one);
      return values[one];
    };
    if (cell == 2 * boilers) return 70 + (1 - given_off) * (read(2 * boilers - 2) - 70);
    if (cell % 2 == 0) return read(i == 0 ? 2 * boilers : cell - 2) + rises[i] * read(cell + 1);
    return std::clamp((follows ? read(cell) : 0) + (targets[i] - read(cell - 1)) / swing, 0.0, 1.0);
  }
  std::vector<SettleCell> cells(double output) const {
    std::vector<SettleCell> all;
    for (u32 i = 0; i < targets.size(); ++i) all.insert(all.end(), {SettleCell{70, 32, 400, 0.02}, SettleCell{output, 0, 1, 0.001}});
    all.push_back({70, 32, 400, 0.02});
    return all;
  }
};
}  // namespace

TEST_CASE("outputs that fall with the temperature they make, without any balance: targets held, in any order") {
  u32 most = 0;
  for (const double swing : {2.0, 20.0, 200.0})
    for (const double given_off : {0.2, 0.02})
      for (u32 seed = 1; seed <= orders; ++seed) {
        Modulating one;
        one.targets = {180}, one.rises = {30}, one.swing = swing, one.given_off = given_off;
        CAPTURE(swing);
        CAPTURE(given_off);
        CAPTURE(seed);
        Reordered other(one, 3, seed);
        const Settlement found = settle(other.cells(one.cells(0)), other);
        REQUIRE(found.outcome == SettleOutcome::settled);
        const auto values = other.back(found.values);      // 180 needs 110 x share = 30 x output
        CHECK(std::fabs(values[0] - 180) <= 0.02);
        CHECK(std::fabs(values[1] - 110 * given_off / 30) <= 0.001);
        most = std::max(most, found.rounds);

        Modulating in_proportion = one;
        in_proportion.follows = false;
        Reordered third(in_proportion, 3, seed);
        const Settlement sagging = settle(third.cells(in_proportion.cells(0)), third);
        REQUIRE(sagging.outcome == SettleOutcome::settled);
        CHECK(std::fabs(third.back(sagging.values)[1] - 110 / (swing + 30 / given_off)) <= 0.001);
        most = std::max(most, sagging.rounds);

        // The first makes all it can and falls short, the second holds its target, the third has nothing to do.
        Modulating three;
        three.targets = {179, 160, 100}, three.rises = {8 * given_off, 100 * given_off, 50 * given_off};
        three.swing = swing, three.given_off = given_off;
        Reordered mixed(three, 7, seed);
        const Settlement all = settle(mixed.cells(three.cells(0.5)), mixed);
        REQUIRE(all.outcome == SettleOutcome::settled);
        const auto cascade = mixed.back(all.values);
        CHECK(std::fabs(cascade[1] - 1) <= 0.001);
        CHECK(std::fabs(cascade[2] - 160) <= 0.02);
        CHECK(std::fabs(cascade[3] - 0.82) <= 0.001);       // (90 - 8) / 100
        CHECK(cascade[5] <= 0.001);
        most = std::max(most, all.rounds);
      }
  CHECK(most <= 12);
  MESSAGE("rounds at most ", most);
}

TEST_CASE("sixteen valves behind a separator, half of them asking more than there is") {
  std::vector<double> set;
  for (u32 i = 0; i < 16; ++i) set.push_back(i % 2 ? 90 + 2 * i : 150 + i);
  std::vector<double> first;
  for (u32 seed = 1; seed <= 4; ++seed) {
    const auto plant = valves_behind_separator(set, 100, 4000);
    const auto cells = plant->all_cells(70, 0.5, 0.02, 0.001);
    Reordered other(*plant, static_cast<u32>(cells.size()), seed);
    Settlement found = settle(other.cells(cells), other);
    REQUIRE(found.outcome == SettleOutcome::settled);
    CHECK(found.rounds < 20);
    found.values = other.back(found.values);
    for (u32 i = 0; i < 16; ++i) {
      const double x = found.values[plant->temperatures + i], off = found.values[plant->mixed_point[i]] - set[i];
      CHECK((std::fabs(off) < 0.1 || (x < 0.001 && off > 0) || (x > 0.999 && off < 0)));
    }
    if (seed == 1) first = found.values;
    like(found, first, cells);
    MESSAGE("rounds ", found.rounds, " and ", inner_rounds(found), " of temperatures, balances ", plant->balances, ", calls of formulas ", found.formula_calls);
  }
}
