#include "quantities/rational.hpp"

#include <bit>
#include <cmath>

namespace dripleg::quantities {
namespace {
int bit_length(u128 value) {
  const u64 high = static_cast<u64>(value >> 64);
  return high != 0 ? 128 - std::countl_zero(high) : 64 - std::countl_zero(static_cast<u64>(value));
}

u128 common_divisor(u128 a, u128 b) {
  while (b != 0) {
    if (bit_length(a) <= 64 && bit_length(b) <= 64) {
      u64 x = static_cast<u64>(a), y = static_cast<u64>(b);
      while (y != 0) {
        const u64 rest = x % y;
        x = y;
        y = rest;
      }
      return x;
    }
    const u128 rest = a % b;
    a = b;
    b = rest;
  }
  return a;
}

std::optional<u128> times(u128 a, u128 b) {
  if (bit_length(a) + bit_length(b) <= 126) return a * b;
  if (a == 0 || b == 0) return u128{0};
  if (a > largest_part / b) return std::nullopt;
  return a * b;
}

}  // namespace

Rational make_rational(u128 top, u128 bottom) {
  return {static_cast<u64>(top), static_cast<u64>(top >> 64), static_cast<u64>(bottom), static_cast<u64>(bottom >> 64)};
}

Rational reduced(const Rational& value) {
  const u128 divisor = common_divisor(value.top(), value.bottom());
  return divisor <= 1 ? value : make_rational(value.top() / divisor, value.bottom() / divisor);
}

bool same(const Rational& a, const Rational& b) {
  const Rational x = reduced(a), y = reduced(b);
  return x.top() == y.top() && x.bottom() == y.bottom();
}

std::optional<Rational> product(const Rational& a, const Rational& b) {
  auto top = times(a.top(), b.top());
  auto bottom = times(a.bottom(), b.bottom());
  if (top && bottom) return make_rational(*top, *bottom);
  const Rational left = reduced(make_rational(a.top(), b.bottom()));
  const Rational right = reduced(make_rational(b.top(), a.bottom()));
  top = times(left.top(), right.top());
  bottom = times(left.bottom(), right.bottom());
  if (!top || !bottom) return std::nullopt;
  return make_rational(*top, *bottom);
}

std::optional<Rational> quotient(const Rational& a, const Rational& b) {
  if (b.zero()) return std::nullopt;
  return product(a, make_rational(b.bottom(), b.top()));
}

std::optional<Rational> sum(const Rational& a, const Rational& b) {
  const auto total = sum(Signed{a, false}, Signed{b, false});
  if (!total) return std::nullopt;
  return total->size;
}

std::optional<Signed> sum(const Signed& a, const Signed& b) {
  const Rational x = reduced(a.size), y = reduced(b.size);
  const u128 shared = common_divisor(x.bottom(), y.bottom());
  const auto left = times(x.top(), y.bottom() / shared);
  const auto right = times(y.top(), x.bottom() / shared);
  const auto bottom = times(x.bottom(), y.bottom() / shared);
  if (!left || !right || !bottom) return std::nullopt;
  if (a.negative == b.negative) {
    const u128 top = *left + *right;
    if (top > largest_part) return std::nullopt;
    return Signed{make_rational(top, *bottom), a.negative && top != 0};
  }
  const bool left_wins = *left >= *right;
  const u128 top = left_wins ? *left - *right : *right - *left;
  return Signed{make_rational(top, *bottom), top != 0 && (left_wins ? a.negative : b.negative)};
}

std::optional<Rational> power(const Rational& a, int exponent) {
  const Rational base = reduced(a);
  Rational result;
  result.top_low = 1;
  for (int i = 0; i < (exponent < 0 ? -exponent : exponent); ++i) {
    const auto next = exponent < 0 ? quotient(result, base) : product(result, base);
    if (!next) return std::nullopt;
    result = *next;
  }
  return result;
}

double to_double(const Rational& value) {
  const u128 top = value.top(), bottom = value.bottom();
  if (top == 0) return 0;
  if (bit_length(top) <= 53 && bit_length(bottom) <= 53)
    return static_cast<double>(static_cast<u64>(top)) / static_cast<double>(static_cast<u64>(bottom));

  // A quotient of 55 or 56 bits, then whatever is left over as one sticky bit.
  const int shift = 55 - (bit_length(top) - bit_length(bottom));
  u128 whole = top / bottom;
  u128 rest = top % bottom;
  bool sticky = false;
  for (int i = 0; i < shift; ++i) {
    rest <<= 1;
    whole <<= 1;
    if (rest >= bottom) {
      rest -= bottom;
      whole |= 1;
    }
  }
  if (shift < 0) {
    sticky = (whole & ((static_cast<u128>(1) << -shift) - 1)) != 0;
    whole >>= -shift;
  }
  sticky = sticky || rest != 0;
  u64 bits = static_cast<u64>(whole);
  const int extra = std::bit_width(bits) - 53;
  const u64 cut = bits & ((u64{1} << extra) - 1);
  const u64 half = u64{1} << (extra - 1);
  bits >>= extra;
  if (cut > half || (cut == half && (sticky || (bits & 1)))) ++bits;
  return std::ldexp(static_cast<double>(bits), extra - shift);
}
}  // namespace dripleg::quantities
