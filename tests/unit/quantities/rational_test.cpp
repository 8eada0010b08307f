#include "quantities/comparison.hpp"
#include "quantities/rational.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <random>

using namespace dripleg;
using namespace dripleg::quantities;

TEST_CASE("fractions are exact") {
  const auto third = make_rational(1, 3), half = make_rational(1, 2);
  CHECK(same(*sum(third, half), make_rational(5, 6)));
  CHECK(same(*product(third, half), make_rational(1, 6)));
  CHECK(same(*quotient(third, half), make_rational(2, 3)));
  CHECK(same(*power(third, 4), make_rational(1, 81)));
  CHECK(same(*power(third, -2), make_rational(9, 1)));
  CHECK(same(*power(third, 0), make_rational(1, 1)));
  CHECK(!quotient(third, make_rational(0, 1)));
  CHECK(!power(make_rational(0, 1), -1));
  const auto difference = sum(Signed{third, false}, Signed{half, true});
  CHECK(difference->negative);
  CHECK(same(difference->size, make_rational(1, 6)));
  CHECK(!sum(Signed{half, true}, Signed{half, false})->negative);
}

TEST_CASE("what does not fit is said, not wrapped") {
  const auto huge = make_rational(largest_part, 1), tiny = make_rational(1, largest_part);
  CHECK(!product(huge, make_rational(3, 2)));
  CHECK(!sum(huge, huge));
  CHECK(!sum(tiny, make_rational(1, 5)));
  CHECK(same(*product(huge, tiny), make_rational(1, 1)));
  CHECK(!power(make_rational(10, 1), 38));
  CHECK(power(make_rational(10, 1), 37));
}

TEST_CASE("rounding to a double is to nearest, ties to even") {
  const u128 two53 = static_cast<u128>(1) << 53;
  CHECK(to_double(make_rational(two53 + 1, 1)) == 9007199254740992.0);
  CHECK(to_double(make_rational(two53 + 3, 1)) == 9007199254740996.0);
  CHECK(to_double(make_rational((two53 + 1) * 1000 + 1, 1000)) == 9007199254740994.0);
  CHECK(to_double(make_rational((two53 + 1) * 1000 - 1, 1000)) == 9007199254740992.0);
  CHECK(to_double(make_rational(largest_part, 1)) == std::ldexp(1.0, 126));
  CHECK(to_double(make_rational(1, largest_part)) == std::ldexp(1.0, -126));
  CHECK(to_double(make_rational(0, 5)) == 0);
  // A double over a power of two is itself, whatever common factor both are blown up by.
  std::mt19937_64 random(7);
  for (int i = 0; i < 20000; ++i) {
    const u64 top = random() >> 11, factor = random() >> 30;
    const int shift = static_cast<int>(random() % 30);
    const auto blown = make_rational(static_cast<u128>(top) * factor, (static_cast<u128>(1) << shift) * factor);
    CHECK(to_double(blown) == std::ldexp(static_cast<double>(top), -shift));
    const u64 a = (random() >> 11) | 1, b = (random() >> 11) | 1, c = (random() >> 12) | 1;
    if (static_cast<u128>(b) * c <= largest_part) {
      const double quick = static_cast<double>(a) / static_cast<double>(b);
      CHECK(to_double(make_rational(static_cast<u128>(a) * c, static_cast<u128>(b) * c)) == quick);
    }
  }
}

TEST_CASE("comparison is forgiving by one part in a thousand million") {
  CHECK(at_least(1.0, 1.0 + 0.9e-9));
  CHECK(!at_least(1.0, 1.0 + 1.1e-9));
  CHECK(equal(1e6, 1e6 + 0.9e-3));
  CHECK(less(1e6, 1e6 + 1.1e-3));
  CHECK(equal(0, 0.9e-12));
  CHECK(greater(1.1e-12, 0));
  CHECK(at_most(-1.0, -1.0 - 0.9e-9));
  CHECK(!at_most(-1.0, -1.0 - 1.1e-9));
}
