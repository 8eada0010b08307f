// Networks made by chance, the same for the same seed everywhere: a tree of two-way legs, so that every point can be
// fed, and more legs of all laws on top.
#pragma once
#include "laws.hpp"

#include <random>

namespace dripleg::networks::test {
class Chance {
 public:
  explicit Chance(u32 seed) : engine_(seed) {}
  double between(double low, double high) { return low + (high - low) * (engine_() / 4294967296.0); }
  u32 below(u32 count) { return static_cast<u32>(engine_() % count); }
  bool once_in(u32 times) { return below(times) == 0; }
  double spread(double low, double high) { return low * std::pow(high / low, between(0, 1)); }   // even on a logarithmic scale

 private:
  std::mt19937 engine_;
};

class ChanceNetwork {
 public:
  ChanceNetwork(u32 seed, bool falling) : chance_(seed), falling_(falling) {}

  Named make() {
    const u32 points = 3 + chance_.below(38);
    fixed_ = chance_.once_in(3) ? 1 + chance_.below(3) : 0;
    for (u32 i = 1; i < points; ++i) add(name(chance_.below(i)), name(i), false);
    const u32 more = 1 + chance_.below(points);
    for (u32 i = 0; i < more; ++i) add(name(chance_.below(points)), name(chance_.below(points)), true);
    for (u32 i = 0; i < fixed_; ++i) named_.fix(name(chance_.below(points)), chance_.between(0, 60));
    if (chance_.once_in(3)) take(points);
    named_.complete();
    return std::move(named_);
  }

 private:
  static std::string name(u32 point) { return "p" + std::to_string(point); }

  void add(const std::string& from, const std::string& to, bool extra) {
    const std::string leg = "l" + std::to_string(named_.net.legs.size());
    bool one_way = false;
    const Drop drop = law(extra, one_way);
    named_.add(leg, from, to, drop, one_way, extra && chance_.once_in(15));
  }

  Drop law(bool extra, bool& one_way) {
    const u32 kind = chance_.below(extra ? 12 : 6);
    const double cv = chance_.spread(0.5, 40);
    switch (kind) {
      case 0: case 1: case 2: return pipe();
      case 3: return cv_law(cv);
      case 4: return extra && fixed_ <= 1 ? Drop([](double) { return 0.0; }) : cv_law(cv);   // between fixed heads it would have no end
      case 5: return limiting_law(cv, chance_.spread(0.5, 20));
      case 6: case 7: return pump();
      case 8: return one_way = true, cv_law(cv);
      case 9: return one_way = true, [opens = chance_.between(0.2, 2), k = chance_.spread(0.001, 1)](double q) { return opens + k * q * q; };
      case 10: return one_way = true, [opens = chance_.between(2, 20), slope = chance_.spread(0.01, 1)](double q) { return opens + slope * q; };
      default: break;
    }
    if (fixed_ > 1) return pump();                        // a flat law between fixed heads may have no end
    const double head = chance_.between(3, 20);
    const Points curve = points_curve(head * 2, chance_.spread(4, 60));
    return falling_ ? proportional_law(curve, head, curve.back().first) : capped_law(curve, head);
  }
  Drop pipe() {
    const double bores[] = {0.475, 0.569, 0.811, 1.055, 1.291, 2.009, 3.068};
    return pipe_law(chance_.once_in(6) ? Friction::jump : Friction::blend,
                    {chance_.spread(1, 300), bores[chance_.below(7)] / 12, 5e-6, chance_.between(0, 20)},
                    us_units(3.82107e-6, 32.174049, 448.8311688));
  }
  Drop pump() { return curve_law(points_curve(chance_.between(5, 40), chance_.spread(4, 60))); }
  Points points_curve(double head, double flow) { return {{0, head}, {flow / 3, head * 0.93}, {2 * flow / 3, head * 0.75}, {flow, head * 0.35}}; }

  void take(u32 points) {
    double sum = 0;
    for (u32 i = 1; i < points; ++i) {
      if (!chance_.once_in(4)) continue;
      const double flow = chance_.between(-6, 4);
      named_.supply(name(i), flow);
      sum += flow;
    }
    named_.supply(name(0), -sum);
  }

  Chance chance_;
  bool falling_;
  u32 fixed_ = 0;
  Named named_;
};
}  // namespace dripleg::networks::test
