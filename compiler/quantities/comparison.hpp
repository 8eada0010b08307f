// The one way in which numbers are compared, in rules, formulas and table look-up alike: equal within one
// part in 10^9 of the larger, and within 10^-12 in base units around zero.
#pragma once
#include <cmath>

namespace dripleg::quantities {
inline double slack(double a, double b) {
  if (!(std::fabs(a) <= 1.7976931348623157e308) || !(std::fabs(b) <= 1.7976931348623157e308)) return 0;   // bounds without end
  return std::fmax(1e-9 * std::fmax(std::fabs(a), std::fabs(b)), 1e-12);
}
inline bool at_least(double a, double b) { return a >= b || a >= b - slack(a, b); }
inline bool at_most(double a, double b) { return at_least(b, a); }
inline bool equal(double a, double b) { return at_least(a, b) && at_least(b, a); }
inline bool less(double a, double b) { return !at_least(a, b); }
inline bool greater(double a, double b) { return !at_least(b, a); }
}  // namespace dripleg::quantities
