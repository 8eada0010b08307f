#include "quantities/reading.hpp"

#include "quantities/terms.hpp"

#include <charconv>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::quantities {
namespace {
using notices::Code;

bool digit(char byte) { return byte >= '0' && byte <= '9'; }

// A whole number of at most 126 bits; none if it is longer or has no digits.
std::optional<u128> read_whole(std::string_view text) {
  if (text.empty()) return std::nullopt;
  u128 value = 0;
  for (const char byte : text) {
    if (!digit(byte) || value > (largest_part - 9) / 10) return std::nullopt;
    value = value * 10 + static_cast<u128>(byte - '0');
  }
  return value;
}

std::optional<u128> power_of_ten(int exponent) {
  if (exponent > 37) return std::nullopt;
  u128 value = 1;
  for (int i = 0; i < exponent; ++i) value *= 10;
  return value;
}

// `3/4` or `1-1/4`, without a sign.
std::optional<Number> read_fraction(std::string_view text) {
  const auto stroke = text.find('/');
  const auto dash = text.find('-');
  const bool mixed = dash != std::string_view::npos;
  if (mixed && dash > stroke) return std::nullopt;
  const auto whole = mixed ? read_whole(text.substr(0, dash)) : std::optional<u128>(0);
  const std::size_t top_at = mixed ? dash + 1 : 0;
  const auto top = read_whole(text.substr(top_at, stroke - top_at));
  const auto bottom = read_whole(text.substr(stroke + 1));
  static constexpr u128 most = u128{1} << 62;
  if (!whole || !top || !bottom || *bottom == 0 || *whole >= most || *top >= most || *bottom >= most) return std::nullopt;
  Number number;
  number.exact = make_rational(*whole * *bottom + *top, *bottom);
  number.value = to_double(number.exact);
  number.fraction = true;
  return number;
}

std::optional<Number> read_decimal(std::string_view text) {
  std::string clean;
  u128 digits = 0;
  bool fits = true, point = false, significant = false;
  int exponent = 0, count = 0, decimals = 0;
  std::size_t at = 0;
  for (; at < text.size() && (digit(text[at]) || text[at] == '_' || text[at] == '.'); ++at) {
    if (text[at] == '_') {
      if (point || at == 0) return std::nullopt;
      continue;
    }
    clean += text[at];
    if (text[at] == '.') {
      if (point || at == 0) return std::nullopt;
      point = true;
      continue;
    }
    significant = significant || text[at] != '0';
    if (significant) ++count;
    if (point) ++decimals;
    if (digits > (largest_part - 9) / 10) fits = false;
    if (fits) digits = digits * 10 + static_cast<u128>(text[at] - '0');
  }
  if (clean.empty() || clean.back() == '.') return std::nullopt;
  if (at < text.size()) {
    if (text[at] != 'e' && text[at] != 'E') return std::nullopt;
    clean += text.substr(at);
    std::string_view power = text.substr(at + 1);
    const bool minus = power.starts_with('-');
    if (minus || power.starts_with('+')) power.remove_prefix(1);
    if (power.empty() || power.size() > 6) return std::nullopt;
    for (const char byte : power) {
      if (!digit(byte)) return std::nullopt;
      exponent = exponent * 10 + (byte - '0');
    }
    if (minus) exponent = -exponent;
  }
  // from_chars wants no plus sign, reads all else that got here.
  if (const auto plus = clean.find('+'); plus != std::string::npos) clean.erase(plus, 1);
  Number number;
  const auto [end, error] = std::from_chars(clean.data(), clean.data() + clean.size(), number.value);
  if (error != std::errc{} || end != clean.data() + clean.size()) return std::nullopt;   // beyond all doubles, too
  exponent -= decimals;
  const auto scale = power_of_ten(exponent < 0 ? -exponent : exponent);
  std::optional<Rational> exact;
  if (fits && scale) {
    if (exponent < 0)
      exact = make_rational(digits, *scale);
    else
      exact = product(make_rational(digits, 1), make_rational(*scale, 1));
  }
  number.is_exact = exact.has_value();
  if (exact) number.exact = *exact;
  number.digits = static_cast<u8>(count > 255 ? 255 : count);
  number.decimals = static_cast<u8>(decimals > 255 ? 255 : decimals);
  return number;
}

std::optional<int> read_digits(std::string_view text) {
  int value = 0;
  for (const char byte : text) {
    if (!digit(byte)) return std::nullopt;
    value = value * 10 + (byte - '0');
  }
  return text.empty() ? std::nullopt : std::optional<int>(value);
}

bool leap(int year) { return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0; }

int month_length(int year, int month) {
  static constexpr int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  return month == 2 && leap(year) ? 29 : lengths[month - 1];
}

bool looks_like_date(std::string_view text) {
  return text.size() == 10 && text[4] == '-' && text[7] == '-' && read_digits(text.substr(0, 4)) && read_digits(text.substr(5, 2)) &&
         read_digits(text.substr(8, 2));
}

bool looks_like_clock(std::string_view text) {
  const auto colon = text.find(':');
  return (colon == 1 || colon == 2) && text.size() == colon + 3 && read_digits(text.substr(0, colon)) && read_digits(text.substr(colon + 1));
}

std::optional<Measure> read_date(std::string_view text, Problem& problem) {
  const int year = *read_digits(text.substr(0, 4)), month = *read_digits(text.substr(5, 2)), day = *read_digits(text.substr(8, 2));
  const auto days = days_of(year, month, day);
  if (!days) {
    problem = {Code::unit_date, {0, static_cast<u32>(text.size())}, fmt::format("there is no day {}", text), {}};
    if (month >= 1 && month <= 12 && day > month_length(year, month))
      problem.cures.push_back(fmt::format("that month ends with {:04}-{:02}-{:02}", year, month, month_length(year, month)));
    else if (month > 12 && month <= 31 && day >= 1 && day <= 12)
      problem.cures.push_back(fmt::format("year, month, day: did you mean {:04}-{:02}-{:02}", year, day, month));
    return std::nullopt;
  }
  Measure measure;
  measure.kind = MeasureKind::date;
  measure.number_text = text;
  measure.number.value = *days;
  measure.number.negative = *days < 0;
  measure.number.exact = make_rational(static_cast<u128>(*days < 0 ? -*days : *days), 1);
  return measure;
}

std::optional<Measure> read_clock(std::string_view text, Problem& problem) {
  const auto colon = text.find(':');
  const int hour = *read_digits(text.substr(0, colon)), minute = *read_digits(text.substr(colon + 1));
  if (hour > 23 || minute > 59) {
    problem = {Code::unit_clock, {0, static_cast<u32>(text.size())}, fmt::format("there is no time of day {}", text), {}};
    if (hour == 24 && minute == 0) problem.cures.emplace_back("midnight is 0:00");
    return std::nullopt;
  }
  Measure measure;
  measure.kind = MeasureKind::clock;
  measure.number_text = text;
  measure.number.value = hour * 60 + minute;
  measure.number.exact = make_rational(static_cast<u128>(hour * 60 + minute), 1);
  return measure;
}
}  // namespace

std::optional<i32> days_of(int year, int month, int day) {
  if (year < 1 || year > 9999 || month < 1 || month > 12 || day < 1 || day > month_length(year, month)) return std::nullopt;
  // Years that begin in March, so that the odd day is the last one.
  const int from_march = month > 2 ? month - 3 : month + 9;
  const int years = month > 2 ? year : year - 1;
  const int day_of_year = (153 * from_march + 2) / 5 + day - 1;
  return 365 * years + years / 4 - years / 100 + years / 400 + day_of_year - 719468;
}

std::optional<Number> read_number(std::string_view text) {
  const bool negative = text.starts_with('-');
  if (negative) text.remove_prefix(1);
  if (text.empty() || !digit(text[0])) return std::nullopt;
  auto number = text.find('/') != std::string_view::npos ? read_fraction(text) : read_decimal(text);
  if (!number) return std::nullopt;
  number->negative = negative && number->value != 0;
  if (number->negative) number->value = -number->value;
  return number;
}

std::optional<Measure> read_measure(std::string_view text, Problem& problem) {
  if (looks_like_date(text)) return read_date(text, problem);
  if (looks_like_clock(text)) return read_clock(text, problem);
  Measure measure;
  std::size_t end = 0;
  while (end < text.size() && text[end] != ' ' && text[end] != '\t' && text[end] != '%') ++end;
  measure.number_text = text.substr(0, end);
  std::size_t unit = end;
  while (unit < text.size() && (text[unit] == ' ' || text[unit] == '\t')) ++unit;
  measure.unit = text.substr(unit);
  if (measure.number_text == "?") {
    measure.kind = MeasureKind::hole;
    return measure;
  }
  const auto number = read_number(measure.number_text);
  if (!number) {
    problem = {Code::unit_number, {0, static_cast<u32>(end)}, fmt::format("`{}` cannot be read as a number", measure.number_text), {}};
    if (measure.number_text.find("/0") != std::string_view::npos) problem.headline = fmt::format("`{}` divides by zero", measure.number_text);
    return std::nullopt;
  }
  measure.number = *number;
  if (measure.unit.empty()) return measure;
  if (measure.unit != "%") {
    measure.kind = MeasureKind::with_unit;
    return measure;
  }
  measure.kind = MeasureKind::percent;
  measure.unit = {};
  measure.number.value /= 100;
  if (measure.number.is_exact) {
    const auto part = quotient(measure.number.exact, make_rational(100, 1));
    measure.number.is_exact = part.has_value();
    if (part) {
      measure.number.exact = *part;
      measure.number.value = to_double(*part) * (measure.number.negative ? -1 : 1);
    }
  }
  return measure;
}

namespace {
double rounded(const Signed& value) { return value.negative ? -to_double(value.size) : to_double(value.size); }

// Number times unit plus zero, exactly; none if it does not fit.
std::optional<Signed> exact_value(const Number& number, const UnitExpression& unit) {
  if (!number.is_exact || !unit.is_exact) return std::nullopt;
  const auto size = product(number.exact, unit.exact);
  if (!size) return std::nullopt;
  const Signed steps{*size, number.negative};
  return unit.exact_zero.zero() ? steps : sum(steps, Signed{unit.exact_zero, false});
}
}  // namespace

double value_of(const Number& number, const UnitExpression& unit) {
  if (const auto exact = exact_value(number, unit)) return rounded(*exact);
  return number.value * unit.factor + unit.zero;
}

double value_of(std::span<const Part> parts) {
  if (parts.empty()) return 0;
  const bool negative = parts[0].number.negative;
  std::optional<Signed> exact = Signed{make_rational(0, 1), false};
  double total = 0;
  for (const Part& part : parts) {
    const auto one = exact_value(part.number, part.unit);
    if (exact && one) {
      exact = sum(*exact, Signed{one->size, negative});
    } else {
      exact = std::nullopt;
    }
    const double size = std::fabs(value_of(part.number, part.unit));
    total += negative ? -size : size;
  }
  return exact ? rounded(*exact) : total;
}

double in_unit(double value, const UnitExpression& unit) { return (value - unit.zero) / unit.factor; }

std::optional<std::string> size_label(const base::Names& names, const Catalogue& catalogue, const Measure& measure) {
  if (measure.kind != MeasureKind::with_unit || !measure.number.is_exact || measure.number.negative) return std::nullopt;
  const Rational size = reduced(measure.number.exact);
  static constexpr u128 most = u128{1} << 62;
  if (size.zero() || size.top() >= most || size.bottom() >= most) return std::nullopt;
  for (std::size_t i = 0; i < measure.unit.size(); ++i)
    if (!is_word_byte(measure.unit[i], i == 0)) return std::nullopt;
  std::string_view word = measure.unit;
  const UnitId unit = catalogue.find_unit(names.find(word));
  if (unit.given()) word = names.text(catalogue[unit].name);
  const u64 top = static_cast<u64>(size.top()), bottom = static_cast<u64>(size.bottom());
  if (bottom == 1) return fmt::format("{} {}", top, word);
  if (top < bottom) return fmt::format("{}/{} {}", top, bottom, word);
  return fmt::format("{}-{}/{} {}", top / bottom, top % bottom, bottom, word);
}
}  // namespace dripleg::quantities
