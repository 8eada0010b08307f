#include "evaluate/interval_math.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::evaluate::boxed {
namespace {
// Bounds stand for finite numbers, so nothing times a bound without end is nothing.
double times(double a, double b) { return a == 0 || b == 0 ? 0 : a * b; }

struct Pair { double low, high; };
Pair product(Pair a, Pair b) {
  const double corners[] = {times(a.low, b.low), times(a.low, b.high), times(a.high, b.low), times(a.high, b.high)};
  return {*std::min_element(corners, corners + 4), *std::max_element(corners, corners + 4)};
}
Slope cleaned(double low, double high) {
  return {std::isnan(low) ? -infinity : low, std::isnan(high) ? infinity : high};
}
template <class Make>
void each_side(Interval& result, Make make) {
  for (u32 i = 0; i < most_box_variables; ++i) result.slopes[i] = make(i);
}
Slope hull(Slope a, Slope b) { return {std::fmin(a.low, b.low), std::fmax(a.high, b.high)}; }
}  // namespace

bool finite(const Interval& a) { return std::isfinite(a.low) && std::isfinite(a.high); }
bool depends(const Interval& a, u32 side) { return a.slopes[side].low != 0 || a.slopes[side].high != 0; }

Interval add(const Interval& a, const Interval& b) {
  Interval r{a.low + b.low, a.high + b.high, {}};
  each_side(r, [&](u32 i) { return cleaned(a.slopes[i].low + b.slopes[i].low, a.slopes[i].high + b.slopes[i].high); });
  return r;
}
Interval negate(const Interval& a) { return scale(a, -1); }
Interval subtract(const Interval& a, const Interval& b) { return add(a, negate(b)); }

Interval scale(const Interval& a, double factor) {
  Interval r{times(factor, factor < 0 ? a.high : a.low), times(factor, factor < 0 ? a.low : a.high), {}};
  each_side(r, [&](u32 i) {
    const Slope s = a.slopes[i];
    return factor < 0 ? Slope{times(factor, s.high), times(factor, s.low)} : Slope{times(factor, s.low), times(factor, s.high)};
  });
  return r;
}

Interval multiply(const Interval& a, const Interval& b) {
  const Pair value = product({a.low, a.high}, {b.low, b.high});
  Interval r{value.low, value.high, {}};
  each_side(r, [&](u32 i) {
    const Pair one = product({a.slopes[i].low, a.slopes[i].high}, {b.low, b.high});
    const Pair other = product({a.low, a.high}, {b.slopes[i].low, b.slopes[i].high});
    return cleaned(one.low + other.low, one.high + other.high);
  });
  return r;
}

std::optional<Interval> divide(const Interval& a, const Interval& b) {
  if (b.low <= 0 && b.high >= 0) return {};
  const Pair inverse{1 / b.high, 1 / b.low};
  const Pair value = product({a.low, a.high}, inverse);
  Interval r{value.low, value.high, {}};
  each_side(r, [&](u32 i) {                                   // (a' - a/b * b') / b
    const Pair pull = product(value, {b.slopes[i].low, b.slopes[i].high});
    const Slope top = cleaned(a.slopes[i].low - pull.high, a.slopes[i].high - pull.low);
    const Pair s = product({top.low, top.high}, inverse);
    return Slope{s.low, s.high};
  });
  return r;
}

Interval through(const Interval& inner, double low, double high, Slope slope) {
  Interval r{low, high, {}};
  each_side(r, [&](u32 i) {
    const Pair s = product({slope.low, slope.high}, {inner.slopes[i].low, inner.slopes[i].high});
    return Slope{s.low, s.high};
  });
  return r;
}

std::optional<Interval> power(const Interval& a, double exponent) {
  if (exponent == 0) return point(1);
  if (exponent == 1) return a;
  const bool whole = exponent == std::floor(exponent);
  if (a.low < 0 && !whole) return {};
  if (a.low <= 0 && a.high >= 0 && exponent < 0) return {};
  // Where the base keeps its sign, value and slope run one way each; else zero is an inner turning point.
  const double one = std::pow(a.low, exponent), other = std::pow(a.high, exponent);
  double low = std::fmin(one, other), high = std::fmax(one, other);
  const double d_one = exponent * std::pow(a.low, exponent - 1), d_other = exponent * std::pow(a.high, exponent - 1);
  Slope slope{std::fmin(d_one, d_other), std::fmax(d_one, d_other)};
  if (a.low < 0 && a.high > 0) {
    low = std::fmin(low, 0);
    slope = hull(slope, {0, 0});
  }
  return through(a, low, high, cleaned(slope.low, slope.high));
}

std::optional<Interval> power(const Interval& a, const Interval& exponent) {
  if (exponent.low == exponent.high) return power(a, exponent.low);
  const auto log = function(meaning::BuiltIn::ln, a);
  return log ? function(meaning::BuiltIn::exp, multiply(*log, exponent)) : std::nullopt;
}

std::optional<Interval> function(meaning::BuiltIn name, const Interval& a) {
  using meaning::BuiltIn;
  if (name == BuiltIn::from_zero) return a;
  if (name == BuiltIn::abs) {
    if (a.low >= 0) return a;
    if (a.high <= 0) return negate(a);
    return through(a, 0, std::fmax(-a.low, a.high), {-1, 1});
  }
  if (name == BuiltIn::sqrt) return a.low < 0 ? std::nullopt : power(a, 0.5);
  if (name == BuiltIn::cbrt) {
    const auto steep = [](double x) { return x == 0 ? infinity : 1 / (3 * std::cbrt(x) * std::cbrt(x)); };
    const bool inside = a.low <= 0 && a.high >= 0;
    return through(a, std::cbrt(a.low), std::cbrt(a.high),
                   {std::fmin(steep(a.low), steep(a.high)), inside ? infinity : std::fmax(steep(a.low), steep(a.high))});
  }
  if (name == BuiltIn::exp) return through(a, std::exp(a.low), std::exp(a.high), {std::exp(a.low), std::exp(a.high)});
  if (name == BuiltIn::ln || name == BuiltIn::log10) {
    if (a.low <= 0) return {};
    const double base = name == BuiltIn::ln ? 1 : std::log(10.0);
    return through(a, std::log(a.low) / base, std::log(a.high) / base, {1 / (a.high * base), 1 / (a.low * base)});
  }
  return {};
}

Interval least(const Interval& a, const Interval& b) {
  if (a.high <= b.low) return a;
  if (b.high <= a.low) return b;
  Interval r{std::fmin(a.low, b.low), std::fmin(a.high, b.high), {}};
  each_side(r, [&](u32 i) { return hull(a.slopes[i], b.slopes[i]); });
  return r;
}
Interval most(const Interval& a, const Interval& b) { return negate(least(negate(a), negate(b))); }

Interval either(const Interval& a, const Interval& b, u8 jumps) {
  Interval r{std::fmin(a.low, b.low), std::fmax(a.high, b.high), {}};
  each_side(r, [&](u32 i) { return (jumps >> i) & 1 ? any_slope : hull(a.slopes[i], b.slopes[i]); });
  return r;
}

Interval piecewise(std::span<const Knot> knots, const Interval& x, bool straight_on) {
  if (knots.size() == 1) return point(knots[0].y);
  const std::size_t last = knots.size() - 1;
  const auto rise = [&](std::size_t i) { return (knots[i + 1].y - knots[i].y) / (knots[i + 1].x - knots[i].x); };
  const auto value = [&](double at) {
    if (!straight_on && at <= knots[0].x) return knots[0].y;
    if (!straight_on && at >= knots[last].x) return knots[last].y;
    std::size_t i = 0;
    while (i + 1 < last && at > knots[i + 1].x) ++i;
    return knots[i].y + rise(i) * (at - knots[i].x);
  };
  double low = std::fmin(value(x.low), value(x.high)), high = std::fmax(value(x.low), value(x.high));
  Slope slope{infinity, -infinity};
  for (const Knot& knot : knots) {
    if (knot.x < x.low || knot.x > x.high) continue;
    low = std::fmin(low, knot.y);
    high = std::fmax(high, knot.y);
  }
  for (std::size_t i = 0; i < last; ++i) {
    const double from = i == 0 && straight_on ? -infinity : knots[i].x;
    const double to = i + 1 == last && straight_on ? infinity : knots[i + 1].x;
    if (x.low <= to && x.high >= from) slope = hull(slope, {rise(i), rise(i)});
  }
  if (!straight_on && (x.low <= knots[0].x || x.high >= knots[last].x)) slope = hull(slope, {0, 0});
  return through(x, low, high, slope);
}
}  // namespace dripleg::evaluate::boxed
