// Plants with mixing valves for the tests: positions settle with the temperatures, and the flows depend on them.
#pragma once
#include "plant.hpp"

#include <doctest/doctest.h>

#include <memory>
#include <numeric>
#include <random>

namespace dripleg::networks::test {
inline Drop copper_pipe(double length, double bore, double k) {
  return pipe_law(Friction::blend, {length, bore / 12, 5e-6, k}, us_units(3.82107e-6, 32.174049, 448.8311688));
}

// A valve has a hot way and a way back, each open as far as the other is shut, but for a leak.
struct Mixing : Plant {
  Named named;
  std::vector<double> set;
  double swing = 20;                                       // degF that would move a valve from end to end
  std::vector<u32> mixed_point;
  std::vector<double> balanced_at;                         // positions of the flows kept
  u32 balances = 0, temperatures = 0;
  u64 balance_rounds = 0;

  Mixing() = default;
  Mixing(const Mixing&) = delete;                          // the laws know where they are
  Mixing& operator=(const Mixing&) = delete;

  Drop way_of(u32 index, bool hot, double cv, double leak) {
    return [this, index, hot, cv, leak](double q) {
      const double x = std::clamp(position_[index], 0.0, 1.0), open = cv * std::max(leak, hot ? x : 1 - x);
      return 2.31 * q * std::fabs(q) / (open * open);
    };
  }
  void built(const std::function<Part(const std::string&)>& part_of) {
    temperatures = named.net.points;
    position_.assign(set.size(), 0.5);
    for (u32 leg = 0; leg < named.net.legs.size(); ++leg)
      ways.push_back({named.net.legs[leg].from, named.net.legs[leg].to, part_of(named.leg_names[leg])});
    join(temperatures);
  }
  std::vector<SettleCell> all_cells(double start, double position, double within, double within_position) const {
    std::vector<SettleCell> all = cells(temperatures, start, within);
    all.insert(all.end(), set.size(), SettleCell{position, 0, 1, within_position});
    return all;
  }

  bool dense(u32 cell) const override { return cell >= temperatures; }
  double value(u32 cell, const std::vector<double>& values, ReadSet* reads) override {
    if (cell >= temperatures) {
      const u32 i = cell - temperatures;
      if (reads) reads->add(cell), reads->add(mixed_point[i]);
      return std::clamp(values[cell] + (set[i] - values[mixed_point[i]]) / swing, 0.0, 1.0);
    }
    rebalance(values);
    return mixed(cell, values, reads);
  }
  void rebalance(const std::vector<double>& values) {
    const std::vector<double> now(values.begin() + temperatures, values.end());
    if (now == balanced_at) return;
    balanced_at = position_ = now;
    ++balances;
    const Balance result = balance(named.net, named, within(1e-5), flows);
    for (const PieceResult& piece : result.pieces) {
      CHECK(piece.outcome == Outcome::solved);
      balance_rounds += piece.rounds;
    }
    flows = result.flows;
  }
  // Sweeps until nothing moves, for positions as they are; what the valve would then mix to. No slopes, no steps.
  double mixes_at_rest(std::vector<double>& values, u32 valve) {
    rebalance(values);
    double moved = 1;
    for (u32 turn = 0; turn < 200000 && moved > 1e-11; ++turn) {
      moved = 0;
      for (u32 cell = 0; cell < temperatures; ++cell) {
        const double now = mixed(cell, values, nullptr);
        moved = std::max(moved, std::fabs(now - values[cell]));
        values[cell] = now;
      }
    }
    return values[mixed_point[valve]];
  }

 private:
  std::vector<double> position_;
};

// The circuit that is described beside the data.
inline std::unique_ptr<Mixing> mixing_of(const Json& json) {
  auto plant = std::make_unique<Mixing>();
  Named& named = plant->named;
  plant->cold = 70;
  named.add("PP", "PR", "PB", curve_law({{0, 12}, {7, 10}, {12, 8}, {24, 0}}));
  named.add("BLR", "PB", "T", cv_law(14));
  named.add("SEP", "T", "U", [](double) { return 0.0; });
  named.add("PRT", "U", "PR", copper_pipe(20, 1.291, 4));
  for (const Json& one : json["set"]) plant->set.push_back(one);
  for (u32 i = 0; i < plant->set.size(); ++i) {
    const std::string at = std::to_string(i);
    named.add("hot" + at, "T", "m" + at, plant->way_of(i, true, 8, 0.002));
    named.add("by" + at, "r" + at, "m" + at, plant->way_of(i, false, 8, 0.002));
    named.add("mp" + at, "m" + at, "s" + at, curve_law({{0, 14}, {5, 11}, {9, 6}, {12, 0}}));
    named.add("slab" + at, "s" + at, "r" + at, copper_pipe(300, 0.811, 10));
    named.add("ret" + at, "r" + at, "U", cv_law(10));
    plant->mixed_point.push_back(named.points.at("m" + at));
  }
  named.add("zp", "T", "zs", curve_law({{0, 14}, {5, 11}, {9, 6}, {12, 0}}));
  named.add("zone", "zs", "U", copper_pipe(200, 0.811, 10));
  plant->built([&](const std::string& leg) { return json["parts"].contains(leg) ? read_part(json["parts"][leg]) : Part{}; });
  for (Way& way : plant->ways) way.part.below_air = true;  // the data have an outlet at 60 degF in a room of 68
  return plant;
}

// A boiler of 65 100 Btu/h at 170 degF, a separator, and behind it valves of Cv 4 that mix to some degF, each for a slab.
inline std::unique_ptr<Mixing> valves_behind_separator(std::vector<double> set, double swing, double emitted = 80000) {
  auto plant = std::make_unique<Mixing>();
  Named& named = plant->named;
  plant->set = std::move(set), plant->swing = swing, plant->cold = 5;
  const Drop pump = curve_law({{0, 18}, {8, 14}, {16, 2}});
  named.add("primary", "r", "pd", pump);
  named.add("to boiler", "pd", "bi", copper_pipe(6, 1.055, 5));
  named.add("boiler", "bi", "bo", [](double q) { return 6 * q * std::fabs(q) / 36; });
  named.add("to top", "bo", "top", copper_pipe(8, 1.055, 5));
  named.add("body", "top", "bottom", [](double q) { return 1e-4 * q * std::fabs(q); });
  named.add("from bottom", "bottom", "r", copper_pipe(1, 1.055, 1));
  for (u32 i = 0; i < plant->set.size(); ++i) {
    const std::string at = std::to_string(i);
    named.add("to hot" + at, "top", "h" + at, copper_pipe(3, 1.055, 1));
    named.add("hot" + at, "h" + at, "mh" + at, plant->way_of(i, true, 4, 0.02));
    named.add("hot out" + at, "mh" + at, "p" + at, copper_pipe(1, 1.055, 0.5));
    named.add("to back" + at, "t" + at, "b" + at, copper_pipe(3, 1.055, 1));
    named.add("back" + at, "b" + at, "mb" + at, plant->way_of(i, false, 4, 0.02));
    named.add("back out" + at, "mb" + at, "p" + at, copper_pipe(1, 1.055, 0.5));
    named.add("load pump" + at, "p" + at, "ld" + at, pump);
    named.add("to load" + at, "ld" + at, "l" + at, copper_pipe(60, 1.055, 10));
    named.add("load" + at, "l" + at, "t" + at, [](double q) { return 4 * q * std::fabs(q) / 16; });
    named.add("return" + at, "t" + at, "bottom", copper_pipe(3, 1.055, 1));
    plant->mixed_point.push_back(named.points.at("p" + at));
  }
  plant->built([&](const std::string& leg) {
    Part part;
    if (leg == "boiler") part.kind = Part::Kind::boiler, part.target = 170, part.out = 65100;
    if (!leg.starts_with("load") || leg.starts_with("load pump")) return part;
    part.kind = Part::Kind::emitter, part.air = 70, part.n = 1.1, part.log_mean = true;
    part.k = emitted / std::pow(90.0, 1.1);
    return part;
  });
  return plant;
}

// The same cells in another order.
struct Reordered : Formulas {
  Formulas& inner;
  std::vector<u32> given, mine;                            // mine[i]: where cell i of the caller is in the order given
  std::vector<double> values_;
  ReadSet seen;
  Reordered(Formulas& formulas, u32 size, u32 seed) : inner(formulas), given(size), mine(size), values_(size), seen(size) {
    std::iota(mine.begin(), mine.end(), 0u);
    std::mt19937 engine(seed);
    for (u32 i = size; i > 1; --i) std::swap(mine[i - 1], mine[engine() % i]);
    for (u32 i = 0; i < size; ++i) given[mine[i]] = i;
  }
  bool dense(u32 cell) const override { return inner.dense(mine[cell]); }
  double value(u32 cell, const std::vector<double>& values, ReadSet* reads) override {
    for (u32 i = 0; i < values.size(); ++i) values_[mine[i]] = values[i];
    seen.clear();
    const double result = inner.value(mine[cell], values_, reads ? &seen : nullptr);
    if (reads)
      for (const u32 one : seen.cells()) reads->add(given[one]);
    return result;
  }
  std::vector<SettleCell> cells(const std::vector<SettleCell>& all) const {
    std::vector<SettleCell> result;
    for (const u32 one : mine) result.push_back(all[one]);
    return result;
  }
  // What was found, in the order of the formulas inside.
  std::vector<double> back(const std::vector<double>& found) const {
    std::vector<double> result(found.size());
    for (u32 i = 0; i < found.size(); ++i) result[mine[i]] = found[i];
    return result;
  }
};
}  // namespace dripleg::networks::test
