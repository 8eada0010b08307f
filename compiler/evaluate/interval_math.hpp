// Arithmetic on intervals that carry slopes: each operation gives bounds for every value in its operands
// and, for each side of the box, bounds for how steeply the result rises along that side. A slope that is
// not known is unbounded; a value that does not depend on a side has slope zero there.
#pragma once
#include "evaluate/interval.hpp"

#include <limits>

namespace dripleg::evaluate::boxed {
inline constexpr double infinity = std::numeric_limits<double>::infinity();
inline constexpr Slope any_slope{-infinity, infinity};

inline Interval point(double value) { return {value, value, {}}; }
bool finite(const Interval& a);
bool depends(const Interval& a, u32 side);

Interval add(const Interval& a, const Interval& b);
Interval subtract(const Interval& a, const Interval& b);
Interval negate(const Interval& a);
Interval multiply(const Interval& a, const Interval& b);
Interval scale(const Interval& a, double factor);
// None where the operation fails somewhere in the box.
std::optional<Interval> divide(const Interval& a, const Interval& b);
std::optional<Interval> power(const Interval& a, double exponent);
std::optional<Interval> power(const Interval& a, const Interval& exponent);
std::optional<Interval> function(meaning::BuiltIn name, const Interval& a);
Interval least(const Interval& a, const Interval& b);
Interval most(const Interval& a, const Interval& b);
// Either, with a jump from one to the other along the sides whose bit is set in `jumps`.
Interval either(const Interval& a, const Interval& b, u8 jumps);
// A function of one value, known by its bounds over the value's interval and the bounds of its slope.
Interval through(const Interval& inner, double low, double high, Slope slope);

struct Knot { double x, y; };
// Straight lines between knots, in rising x; beyond them held, or straight on.
Interval piecewise(std::span<const Knot> knots, const Interval& x, bool straight_on);
}  // namespace dripleg::evaluate::boxed
