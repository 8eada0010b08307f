// A number as decimal digits, so that rounding is done in decimal. Inside the room only.
#pragma once
#include "base/ids.hpp"

#include <string>

namespace dripleg::quantities {
struct Decimal {
  std::string digits;      // no zeros at the front or end; empty: zero
  int point = 0;           // the value is 0.DIGITS times ten to this power
  bool negative = false;

  bool zero() const { return digits.empty(); }
  int decimals() const { return zero() ? 0 : static_cast<int>(digits.size()) - point; }   // needed to show it whole
};

// The shortest digits that read back as this double. It must be finite.
Decimal shortest(double number);
// The same rounded to twelve digits, which takes the dust of conversions away.
Decimal dusted(double number);
// Half away from zero; decimals may be below zero: -2 rounds to hundreds.
Decimal rounded(const Decimal& number, int decimals);
// With exactly so many decimals (none if below zero); no power of ten.
std::string written(const Decimal& number, int decimals);
// The size of a - b; both must have at most 36 digits between their ends.
Decimal difference(const Decimal& a, const Decimal& b);
}  // namespace dripleg::quantities
