#include "quantities/decimal.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace dripleg::quantities {
namespace {
constexpr int clean_digits = 12;

void trim(Decimal& number) {
  while (!number.digits.empty() && number.digits.back() == '0') number.digits.pop_back();
  const auto first = number.digits.find_first_not_of('0');
  if (first == std::string::npos) {
    number = {};
    return;
  }
  number.digits.erase(0, first);
  number.point -= static_cast<int>(first);
}

// The digit that stands for ten to the power `place`.
char digit_at(const Decimal& number, int place) {
  const int at = number.point - 1 - place;
  return at >= 0 && at < static_cast<int>(number.digits.size()) ? number.digits[static_cast<std::size_t>(at)] : '0';
}
}  // namespace

Decimal shortest(double number) {
  std::array<char, 40> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), std::fabs(number), std::chars_format::scientific).ptr;
  const std::string_view all(text.data(), static_cast<std::size_t>(end - text.data()));
  const auto e = all.find('e');
  Decimal result;
  for (const char byte : all.substr(0, e))
    if (byte != '.') result.digits += byte;
  int power = 0;
  const char* const begin = text.data() + e + (all[e + 1] == '+' ? 2 : 1);
  std::from_chars(begin, end, power);
  result.point = power + 1;
  result.negative = std::signbit(number);
  trim(result);
  return result;
}

Decimal dusted(double number) {
  const Decimal exact = shortest(number);
  return rounded(exact, clean_digits - exact.point);
}

Decimal rounded(const Decimal& number, int decimals) {
  const int keep = number.point + decimals;     // digits that stay
  if (number.zero() || keep >= static_cast<int>(number.digits.size())) return number;
  if (keep < 0) return {};
  Decimal result = number;
  const bool up = number.digits[static_cast<std::size_t>(keep)] >= '5';
  result.digits.resize(static_cast<std::size_t>(keep));
  if (up) {
    int at = keep - 1;
    while (at >= 0 && result.digits[static_cast<std::size_t>(at)] == '9') result.digits[static_cast<std::size_t>(at--)] = '0';
    if (at >= 0) {
      ++result.digits[static_cast<std::size_t>(at)];
    } else {
      result.digits.insert(result.digits.begin(), '1');
      ++result.point;
    }
  }
  trim(result);
  return result;
}

std::string written(const Decimal& number, int decimals) {
  std::string text;
  if (number.negative && !number.zero()) text += '-';
  for (int place = std::max(number.point - 1, 0); place >= 0; --place) text += digit_at(number, place);
  if (decimals > 0) text += '.';
  for (int place = -1; place >= -decimals; --place) text += digit_at(number, place);
  return text;
}

Decimal difference(const Decimal& a, const Decimal& b) {
  const auto last = [](const Decimal& number) { return number.zero() ? 0 : number.point - static_cast<int>(number.digits.size()); };
  const int lowest = std::min(last(a), last(b));
  const int highest = std::max(a.zero() ? 0 : a.point, b.zero() ? 0 : b.point);
  __extension__ __int128 total = 0;
  const auto whole = [&](const Decimal& number) {
    __extension__ __int128 value = 0;
    for (int place = highest - 1; place >= lowest; --place) value = value * 10 + (digit_at(number, place) - '0');
    return number.negative ? -value : value;
  };
  total = whole(a) - whole(b);
  if (total < 0) total = -total;
  Decimal result;
  result.point = lowest;
  while (total != 0) {
    result.digits.insert(result.digits.begin(), static_cast<char>('0' + static_cast<int>(total % 10)));
    total /= 10;
    ++result.point;
  }
  trim(result);
  return result;
}
}  // namespace dripleg::quantities
