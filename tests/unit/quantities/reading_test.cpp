#include "quantities/print.hpp"
#include "quantities/reading.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::quantities;

namespace {
Problem failing(std::string_view text) {
  Problem problem;
  CHECK(!read_measure(text, problem));
  CHECK(problem.within.size() > 0);
  return problem;
}
Measure reading(std::string_view text) {
  Problem problem;
  const auto measure = read_measure(text, problem);
  INFO(text, ": ", problem.headline);
  REQUIRE(measure);
  return *measure;
}
}  // namespace

TEST_CASE("numbers") {
  CHECK(read_number("20.9")->value == 20.9);
  CHECK(same(read_number("20.9")->exact, make_rational(209, 10)));
  CHECK(read_number("20.90")->digits == 4);
  CHECK(read_number("20.90")->decimals == 2);
  CHECK(read_number("0.0012")->digits == 2);
  CHECK(read_number("21_400")->value == 21400);
  CHECK(read_number("1-1/4")->value == 1.25);
  CHECK(read_number("3/4")->value == 0.75);
  CHECK(same(read_number("5/9")->exact, make_rational(5, 9)));
  CHECK(read_number("5/9")->value == 5.0 / 9);
  CHECK(read_number("-5")->value == -5);
  CHECK(read_number("-5")->negative);
  CHECK(same(read_number("-5")->exact, make_rational(5, 1)));
  CHECK(read_number("-1-1/2")->value == -1.5);
  CHECK(!read_number("-0")->negative);
  CHECK(read_number("1e-6")->value == 1e-6);
  CHECK(read_number("1e-6")->is_exact);
  CHECK(read_number("2.5e+3")->value == 2500);
  CHECK(same(read_number("2.5e3")->exact, make_rational(2500, 1)));
  CHECK(!read_number("1e200")->is_exact);
  CHECK(read_number("1e200")->value == 1e200);
  CHECK(read_number("0.017453292519943295")->value == 0.017453292519943295);
  CHECK(read_number("123456789012345678901234567890123456789012345")->value == 123456789012345678901234567890123456789012345.0);
}

TEST_CASE("texts that are no number") {
  for (const char* text : {"", "-", ".5", "5.", "1..2", "1e", "1e+", "1/0", "1-", "1-2", "/2", "1/2/3", "1-1/0", "1.5/2", "0x10", "1_000.0_1", "_1",
                           "1e999", "1e9999999", "one", "1,5", "+5", "--5", "1e-400"})
    CHECK_MESSAGE(!read_number(text), text);
}

TEST_CASE("a decimal is the nearest double, whichever way it is read") {
  for (const char* text : {"0.1", "0.7", "1.1", "9007199254740993", "0.30000000000000004", "4.4482216152605", "1055.05585262", "1e22", "1.7976931348623157e308"}) {
    const auto number = read_number(text);
    REQUIRE(number);
    if (number->is_exact) CHECK(to_double(number->exact) == number->value);
    CHECK(read_number(format_shortest(number->value))->value == number->value);
  }
}

TEST_CASE("measures") {
  CHECK(reading("12").kind == MeasureKind::plain);
  CHECK(reading("12 ft").kind == MeasureKind::with_unit);
  CHECK(reading("12 ft").unit == "ft");
  CHECK(reading("12 Btu/(h*ft2)").unit == "Btu/(h*ft2)");
  CHECK(reading("0.4 /h").unit == "/h");
  CHECK(reading("25 %").kind == MeasureKind::percent);
  CHECK(reading("25%").number.value == 0.25);
  CHECK(reading("20.95 %").number.value == 0.2095);
  CHECK(same(reading("20.95 %").number.exact, make_rational(2095, 10000)));
  CHECK(reading("-5 %").number.value == -0.05);
  CHECK(reading("?").kind == MeasureKind::hole);
  CHECK(reading("? ft").kind == MeasureKind::hole);
  CHECK(reading("? ft").unit == "ft");
  CHECK(reading("1-1/4 in").number_text == "1-1/4");
  CHECK(failing("1/0 ft").headline == "`1/0` divides by zero");
  CHECK(failing("1.2.3 ft").headline == "`1.2.3` cannot be read as a number");
}

TEST_CASE("dates") {
  CHECK(reading("1970-01-01").kind == MeasureKind::date);
  CHECK(reading("1970-01-01").number.value == 0);
  CHECK(reading("1969-12-31").number.value == -1);
  CHECK(reading("2000-03-01").number.value == 11017);
  CHECK(reading("2024-02-29").number.value == 19782);
  CHECK(reading("2026-01-20").number.value == 20473);
  CHECK(reading("2000-02-29").number.value == 11016);
  CHECK(failing("2026-02-29").headline == "there is no day 2026-02-29");
  CHECK(failing("2026-02-29").cures.at(0) == "that month ends with 2026-02-28");
  CHECK(failing("1900-02-29").code == notices::Code::unit_date);
  CHECK(failing("2026-04-31").cures.at(0) == "that month ends with 2026-04-30");
  CHECK(failing("2026-13-01").cures.at(0) == "year, month, day: did you mean 2026-01-13");
  CHECK(failing("2026-00-10").cures.empty());
  CHECK(failing("2026-01-00").cures.empty());
  CHECK(failing("0000-01-01").cures.empty());
}

TEST_CASE("every day of nine hundred years is written as it was read") {
  i32 expected = *days_of(1600, 1, 1);
  for (int year = 1600; year < 2500; ++year)
    for (int month = 1; month <= 12; ++month)
      for (int day = 1; day <= 31; ++day) {
        const auto days = days_of(year, month, day);
        if (!days) {
          REQUIRE(day > 28);
          continue;
        }
        REQUIRE(*days == expected++);
        const std::string text = format_date(*days);
        REQUIRE(reading(text).number.value == *days);
      }
}

TEST_CASE("times of day") {
  CHECK(reading("7:30").kind == MeasureKind::clock);
  CHECK(reading("7:30").number.value == 450);
  CHECK(reading("07:30").number.value == 450);
  CHECK(reading("0:00").number.value == 0);
  CHECK(reading("23:59").number.value == 1439);
  CHECK(failing("24:00").cures.at(0) == "midnight is 0:00");
  CHECK(failing("12:60").headline == "there is no time of day 12:60");
  CHECK(format_clock(450) == "07:30");
}
