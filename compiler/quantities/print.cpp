#include "quantities/print.hpp"

#include "quantities/comparison.hpp"
#include "quantities/decimal.hpp"
#include "quantities/terms.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::quantities {
namespace {
constexpr std::string_view not_a_number = "?";
constexpr int whole_below = 4;         // digits in front of the point that are never rounded away
constexpr int plain_from = -4, plain_to = 9;   // powers of ten between which no power is written

// Decimals with which a number is shown by itself; may be below zero. Whole numbers, and those that are
// told in one digit more than asked, are as somebody stated them and stay so.
int natural_decimals(const Decimal& number, int digits) {
  if (number.decimals() <= 0) return 0;
  if (static_cast<int>(number.digits.size()) <= digits + 1) return number.decimals();
  const int whole = number.point;
  const int decimals = (whole >= 1 && whole <= whole_below ? std::max(digits, whole) : digits) - whole;
  // Rounding up to the next power of ten brings one more digit in front.
  const int after = rounded(number, decimals).point;
  return after > whole && (decimals > 0 || after > whole_below) ? decimals - 1 : decimals;
}

bool shown_whole(const Decimal& number, int decimals) { return number.decimals() <= decimals; }

std::string with_power(const Decimal& number, int digits) {
  const Decimal once = rounded(number, digits - number.point);
  Decimal front = once;
  front.point = 1;
  const int decimals = shown_whole(number, digits - number.point) ? front.decimals() : digits - 1;
  return fmt::format("{}e{}", written(front, std::max(decimals, 0)), once.point - 1);
}
}  // namespace

std::string format_decimals(double number, int decimals) {
  if (!std::isfinite(number)) return std::string(not_a_number);
  return written(rounded(dusted(number), decimals), decimals);
}

std::string format_number(double number, int digits) {
  if (!std::isfinite(number)) return std::string(not_a_number);
  const Decimal clean = dusted(number);
  if (clean.zero()) return "0";
  if (clean.point <= plain_from || clean.point > plain_to) return with_power(clean, digits);
  const int decimals = natural_decimals(clean, digits);
  const Decimal once = rounded(clean, decimals);
  return written(once, shown_whole(clean, decimals) ? std::max(once.decimals(), 0) : decimals);
}

std::string format_shortest(double number) {
  if (!std::isfinite(number)) return std::string(not_a_number);
  const Decimal exact = shortest(number);
  if (exact.zero()) return "0";
  if (exact.point <= plain_from || exact.point > 15) return with_power(exact, static_cast<int>(exact.digits.size()));
  return written(exact, std::max(exact.decimals(), 0));
}

std::string format_date(double days) {
  if (!(std::fabs(days) < 1e7)) return std::string(not_a_number);
  // Eras of 400 years of 146 097 days; years begin in March.
  const i64 from_start = static_cast<i64>(std::floor(days)) + 719468;
  const i64 era = (from_start >= 0 ? from_start : from_start - 146096) / 146097;
  const i64 day_of_era = from_start - era * 146097;
  const i64 year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
  const i64 day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  const i64 from_march = (5 * day_of_year + 2) / 153;
  const i64 day = day_of_year - (153 * from_march + 2) / 5 + 1;
  const i64 month = from_march < 10 ? from_march + 3 : from_march - 9;
  return fmt::format("{:04}-{:02}-{:02}", year_of_era + era * 400 + (month <= 2 ? 1 : 0), month, day);
}

std::string format_clock(double minutes) {
  if (!(minutes >= 0 && minutes < 1e9)) return std::string(not_a_number);
  const i64 whole = static_cast<i64>(std::floor(minutes + 0.5));
  return fmt::format("{:02}:{:02}", whole / 60, whole % 60);
}

std::string join(std::string_view number, std::string_view unit) {
  return unit.empty() ? std::string(number) : fmt::format("{} {}", number, unit);
}

// ---- units -------------------------------------------------------------------------------------------
std::string Printer::unit_text(std::string_view unit) const {
  static constexpr std::array<std::string_view, 10> raised = {"\u2070", "\u00B9", "\u00B2", "\u00B3", "\u2074",
                                                              "\u2075", "\u2076", "\u2077", "\u2078", "\u2079"};
  std::string text;
  for (std::size_t at = 0; at < unit.size();) {
    if (is_word_byte(unit[at], true)) {
      const std::size_t begin = at;
      while (at < unit.size() && is_word_byte(unit[at], false)) ++at;
      const std::string_view word = unit.substr(begin, at - begin);
      const UnitId known = catalogue_.find_unit(names_.find(word));
      const bool own = known.given() && catalogue_[known].prints.given();
      text += own ? names_.text(catalogue_[known].prints) : known.given() ? names_.text(catalogue_[known].name) : word;
    } else if (unit[at] == '^') {
      ++at;
      if (at < unit.size() && unit[at] == '-') {
        text += "\u207B";
        ++at;
      }
      for (; at < unit.size() && unit[at] >= '0' && unit[at] <= '9'; ++at) text += raised[static_cast<std::size_t>(unit[at] - '0')];
    } else {
      if (unit[at] == '*')
        text += "\u00B7";
      else
        text += unit[at];
      ++at;
    }
  }
  return text;
}

namespace {
Display display_of(const Printer& printer, const base::Names& names, const Catalogue& catalogue, const UnitExpression& measure,
                   std::string text) {
  Display display{measure.factor, measure.zero, std::move(text), {}};
  display.difference = display.unit;
  if (measure.is_level())
    if (const NameId step = catalogue[measure.level].step; step.given()) display.difference = printer.unit_text(names.text(step));
  return display;
}
}  // namespace

Display Printer::display(DimensionId dimension, double value) const {
  const Shown* shown = catalogue_.shown_for(dimension, value, system_ == System::si);
  if (shown == nullptr) return base_display(dimension);
  std::string text = shown->prints.given() ? std::string(names_.text(shown->prints)) : unit_text(names_.text(shown->spelling));
  return display_of(*this, names_, catalogue_, catalogue_.expression(shown->expression), std::move(text));
}

std::optional<Display> Printer::display_in(std::string_view unit, DimensionId dimension) const {
  UnitReader reader(names_, catalogue_);
  std::optional<Problem> problem;
  const auto measure = reader.read_in(unit, dimension, Where::entry, problem);
  if (!measure) return std::nullopt;
  return display_of(*this, names_, catalogue_, *measure, unit_text(unit));
}

Display Printer::base_display(DimensionId id) const {
  const Dimension& dimension = catalogue_[id];
  // The one unit that measures it in base units, if there is such a one; else base units with powers.
  for (u32 i = 0; i < catalogue_.unit_count(); ++i) {
    const Unit& unit = catalogue_[UnitId{i}];
    if (unit.measure.vector != dimension.vector || unit.measure.factor != 1 || unit.measure.zero != 0 || unit.dimension != id) continue;
    return display_of(*this, names_, catalogue_, unit.measure, unit_text(names_.text(unit.name)));
  }
  const auto base_unit = [&](u32 base) -> std::string_view {
    for (u32 i = 0; i < catalogue_.unit_count(); ++i) {
      const UnitExpression& measure = catalogue_[UnitId{i}].measure;
      if (measure.vector == catalogue_[catalogue_.bases()[base].dimension].vector && measure.factor == 1 && !measure.is_level())
        return names_.text(catalogue_[UnitId{i}].name);
    }
    return {};
  };
  std::string above, below;
  u32 divisors = 0;
  for (u32 i = 0; i < catalogue_.bases().size(); ++i) {
    const int power = dimension.vector.power[i];
    if (power == 0 || catalogue_.bases()[i].apart) continue;
    std::string& side = power > 0 ? above : below;
    if (!side.empty()) side += '*';
    side += base_unit(i);
    if (power != 1 && power != -1) side += fmt::format("^{}", std::abs(power));
    if (power < 0) ++divisors;
  }
  std::string text = above;
  if (divisors != 0) text = fmt::format("{}/{}", above.empty() ? "1" : above, divisors > 1 ? "(" + below + ")" : below);
  std::string printed = unit_text(text);
  return {1, 0, printed, printed};
}

std::string Printer::value(double value, DimensionId dimension, int digits) const {
  return value_in(value, display(dimension, value), digits);
}

std::string Printer::value_in(double value, const Display& display, int digits) const {
  return join(format_number((value - display.zero) / display.factor, digits), display.unit);
}

Pair Printer::pair(double found, double limit, DimensionId dimension) const {
  return pair_in(found, limit, display(dimension, limit));
}

Pair Printer::pair_in(double found, double limit, const Display& display) const {
  static constexpr int usual_digits = 3, most_more = 2, most_tries = 16;
  Pair pair;
  pair.unit = display.unit;
  pair.spare_unit = display.difference;
  pair.equal = equal(found, limit);
  const double in_found = (found - display.zero) / display.factor, in_limit = (limit - display.zero) / display.factor;
  if (!std::isfinite(in_found) || !std::isfinite(in_limit)) {
    pair.found = format_number(in_found);
    pair.limit = format_number(in_limit);
    pair.spare = std::string(not_a_number);
    return pair;
  }
  const Decimal limit_digits = dusted(in_limit);
  const Decimal found_digits = pair.equal ? limit_digits : dusted(in_found);
  const int for_limit = natural_decimals(limit_digits, usual_digits), for_found = natural_decimals(found_digits, usual_digits);
  int decimals = limit_digits.zero() ? for_found : std::min(std::max(for_limit, for_found), for_limit + most_more);
  const auto alike = [&] { return written(rounded(found_digits, decimals), decimals) == written(rounded(limit_digits, decimals), decimals); };
  for (int i = 0; !pair.equal && i < most_tries && alike(); ++i) ++decimals;
  // Zeros that all three end with go, if nothing is rounded away by that.
  decimals = std::min(decimals, std::max({0, found_digits.decimals(), limit_digits.decimals()}));
  const Decimal shown_found = rounded(found_digits, decimals), shown_limit = rounded(limit_digits, decimals);
  pair.found = written(shown_found, decimals);
  pair.limit = written(shown_limit, decimals);
  if (pair.equal) {
    pair.spare = "0";
    return pair;
  }
  const bool short_enough = std::max(shown_found.point, shown_limit.point) + std::max(decimals, 0) <= 36;
  pair.spare = short_enough ? written(difference(shown_found, shown_limit), decimals) : format_number(std::fabs(in_found - in_limit));
  return pair;
}

// ---- as typed ----------------------------------------------------------------------------------------
std::string Printer::as_typed(std::string_view text) const {
  Problem unused;
  const auto measure = read_measure(text, unused);
  if (!measure) return std::string(text);
  std::string number(measure->number_text);
  std::erase(number, '_');
  return join(number, measure->kind == MeasureKind::percent ? "%" : unit_text(measure->unit));
}

std::string Printer::size(std::string_view label) const {
  const auto blank = label.find(' ');
  if (blank == std::string_view::npos) return std::string(label);
  return join(label.substr(0, blank), unit_text(label.substr(blank + 1)));
}
}  // namespace dripleg::quantities
