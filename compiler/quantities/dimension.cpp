#include "quantities/dimension.hpp"

namespace dripleg::quantities {
namespace {
std::optional<Vector> combined(const Vector& a, const Vector& b, int sign) {
  Vector result;
  for (u32 i = 0; i < most_bases; ++i) {
    const int power = a.power[i] + sign * b.power[i];
    if (power > most_power || power < -most_power) return std::nullopt;
    result.power[i] = static_cast<i8>(power);
  }
  return result;
}
}  // namespace

std::optional<Vector> product(const Vector& a, const Vector& b) { return combined(a, b, 1); }
std::optional<Vector> quotient(const Vector& a, const Vector& b) { return combined(a, b, -1); }

std::optional<Vector> power(const Vector& a, int exponent) {
  Vector result;
  for (u32 i = 0; i < most_bases; ++i) {
    if (a.power[i] == 0) continue;
    const i64 power = static_cast<i64>(a.power[i]) * exponent;
    if (power > most_power || power < -most_power) return std::nullopt;
    result.power[i] = static_cast<i8>(power);
  }
  return result;
}

std::optional<Vector> root(const Vector& a, int degree) {
  if (degree == 0) return std::nullopt;
  Vector result;
  for (u32 i = 0; i < most_bases; ++i) {
    if (a.power[i] % degree != 0) return std::nullopt;
    result.power[i] = static_cast<i8>(a.power[i] / degree);
  }
  return result;
}

bool add_trait(Traits& traits, std::string_view word) {
  if (word == "level") {
    if (traits.level == Level::no) traits.level = Level::level;
  } else if (word == "true_zero") {
    traits.level = Level::true_zero;
  } else if (word == "apart") {
    traits.apart = true;
  } else if (word == "share") {
    traits.share = true;
  } else if (word == "angle") {
    traits.angle = true;
  } else {
    return false;
  }
  return true;
}
}  // namespace dripleg::quantities
