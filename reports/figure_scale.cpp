#include "reports/figure_scale.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace dripleg::reports {
namespace {
double power_of_ten(int exponent) {
  double value = 1;
  for (int i = 0; i < std::abs(exponent); ++i) value *= 10;
  return exponent < 0 ? 1 / value : value;
}

int magnitude_of(double value) {
  return value > 0 && std::isfinite(value) ? static_cast<int>(std::floor(std::log10(value))) : 0;
}

// k steps of m · 10^e, formed so that a tick at a round number is that number exactly.
double multiple(double k, double m, int exponent) {
  return exponent < 0 ? k * m / power_of_ten(-exponent) : k * m * power_of_ten(exponent);
}
}  // namespace

Ticks choose_ticks(double low, double high, std::size_t wanted) {
  if (!std::isfinite(low) || !std::isfinite(high)) low = 0, high = 1;
  if (low > high) std::swap(low, high);
  const double size = std::max(std::fabs(low), std::fabs(high));
  if (high - low <= size * 1e-9 || high == low) {
    const double spread = size > 0 ? size * 0.1 : 1;
    low -= spread;
    high += spread;
  }
  wanted = std::clamp<std::size_t>(wanted, 2, 20);
  const double rough = (high - low) / static_cast<double>(wanted);
  int exponent = magnitude_of(rough);
  const double lead = rough / power_of_ten(exponent);
  double m = lead <= 1.0000001 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10;
  if (m == 10) m = 1, ++exponent;
  Ticks ticks;
  ticks.step = multiple(1, m, exponent);
  ticks.decimals = std::max(0, -exponent);
  const double slack = 1e-9;
  const double first = std::floor(low / ticks.step + slack);
  const double last = std::ceil(high / ticks.step - slack);
  for (double k = first; k <= last && ticks.at.size() < 64; k += 1) ticks.at.push_back(multiple(k, m, exponent));
  ticks.begin = ticks.at.front();
  ticks.end = ticks.at.back();
  return ticks;
}

std::string fixed_text(double value, int decimals) {
  if (!std::isfinite(value)) return "";
  decimals = std::clamp(decimals, 0, 9);
  const double scale = power_of_ten(decimals);
  if (std::fabs(value) * scale >= 9e15) {
    char digits[40];
    return std::string(digits, std::to_chars(digits, digits + sizeof digits, value).ptr);
  }
  const long long scaled = std::llround(value * scale);
  const unsigned long long size = static_cast<unsigned long long>(scaled < 0 ? -scaled : scaled);
  std::string digits = std::to_string(size);
  const auto places = static_cast<std::size_t>(decimals);
  if (digits.size() <= places) digits.insert(0, places + 1 - digits.size(), '0');
  if (places > 0) digits.insert(digits.size() - places, 1, '.');
  if (scaled < 0) digits.insert(digits.begin(), '-');
  return digits;
}

int decimals_for(double low, double high) {
  const double range = std::fabs(high - low);
  if (!(range > 0) || !std::isfinite(range)) return 2;
  return std::clamp(3 - magnitude_of(range), 0, 9);
}
}  // namespace dripleg::reports
