// An exact positive fraction (or zero) of 126-bit numbers, plain data so that an image can hold it.
// Operations say when the result does not fit; nothing is ever rounded here but in to_double, which
// gives the double nearest to the fraction, ties to even.
#pragma once
#include "base/ids.hpp"

#include <optional>

namespace dripleg::quantities {
__extension__ using u128 = unsigned __int128;

struct Rational {
  u64 top_low = 0, top_high = 0;
  u64 bottom_low = 1, bottom_high = 0;

  u128 top() const { return (static_cast<u128>(top_high) << 64) | top_low; }
  u128 bottom() const { return (static_cast<u128>(bottom_high) << 64) | bottom_low; }
  bool zero() const { return top_low == 0 && top_high == 0; }
};

inline constexpr u128 largest_part = (static_cast<u128>(1) << 126) - 1;

Rational make_rational(u128 top, u128 bottom);   // as given, not reduced; bottom is not 0
Rational reduced(const Rational& value);
bool same(const Rational& a, const Rational& b); // as numbers, reduced or not

// None: does not fit, even reduced (or division by zero).
std::optional<Rational> product(const Rational& a, const Rational& b);
std::optional<Rational> quotient(const Rational& a, const Rational& b);
std::optional<Rational> sum(const Rational& a, const Rational& b);
std::optional<Rational> power(const Rational& a, int exponent);

// A fraction with a sign, for sums in which a part may be negative.
struct Signed {
  Rational size;
  bool negative = false;
};
std::optional<Signed> sum(const Signed& a, const Signed& b);

double to_double(const Rational& value);
}  // namespace dripleg::quantities
