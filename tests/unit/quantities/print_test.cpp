#include "library_reader.hpp"
#include "quantities/comparison.hpp"
#include "quantities/print.hpp"

#include <doctest/doctest.h>
#include <cmath>
#include <random>

using namespace dripleg;
using namespace dripleg::quantities;
using test::library;

namespace {
Printer us() { return Printer(library().names, library().catalogue, System::us); }
Printer si() { return Printer(library().names, library().catalogue, System::si); }
double value_in(double number, std::string_view unit, DimensionId as = {}) {
  Problem problem;
  const auto measure = read_unit(library().names, library().catalogue, unit, problem, as);
  INFO(unit);
  REQUIRE(measure);
  return number * measure->factor + measure->zero;
}
std::string shown(const Pair& pair) { return pair.found + " | " + pair.limit + " | " + pair.spare + " " + pair.spare_unit; }
}  // namespace

TEST_CASE("numbers by themselves") {
  CHECK(format_number(0) == "0");
  CHECK(format_number(-0.0) == "0");
  CHECK(format_number(3.5) == "3.5");
  CHECK(format_number(3.4999) == "3.50");
  CHECK(format_number(3.14159) == "3.14");
  CHECK(format_number(-3.14159) == "-3.14");
  CHECK(format_number(12.345678) == "12.3");
  CHECK(format_number(123.456) == "123");
  CHECK(format_number(1035.42) == "1035");
  CHECK(format_number(9999.62) == "10000");
  CHECK(format_number(12500) == "12500");
  CHECK(format_number(123456) == "123456");
  CHECK(format_number(98214.3) == "98200");
  CHECK(format_number(99960.2) == "100000");
  CHECK(format_number(0.6094) == "0.6094");
  CHECK(format_number(0.609444) == "0.609");
  CHECK(format_number(9.9962) == "10.0");
  CHECK(format_number(999.62) == "1000");
  CHECK(format_number(0.99962) == "1.00");
  CHECK(format_number(0.00012344) == "0.000123");
  CHECK(format_number(0.0001) == "0.0001");
  CHECK(format_number(0.00001234567) == "1.23e-5");
  CHECK(format_number(-0.00001) == "-1e-5");
  CHECK(format_number(999999999) == "999999999");
  CHECK(format_number(1234567890) == "1.23e9");
  CHECK(format_number(1e9) == "1e9");
  CHECK(format_number(std::nan("")) == "?");
  CHECK(format_number(3.14159265, 5) == "3.1416");
}

TEST_CASE("halves go away from zero, in decimal") {
  CHECK(format_decimals(0.125, 2) == "0.13");
  CHECK(format_decimals(-0.125, 2) == "-0.13");
  CHECK(format_decimals(2.675, 2) == "2.68");
  CHECK(format_decimals(1.005, 2) == "1.01");
  CHECK(format_decimals(0.12499999999999999, 2) == "0.13");
  CHECK(format_decimals(0.1249999, 2) == "0.12");
  CHECK(format_decimals(9.995, 2) == "10.00");
  CHECK(format_decimals(-0.001, 2) == "0.00");
  CHECK(format_decimals(1250, -2) == "1300");
  CHECK(format_decimals(49, -2) == "0");
  CHECK(format_decimals(50, -2) == "100");
  CHECK(format_decimals(3, 2) == "3.00");
}

TEST_CASE("shortest digits read back as the same double") {
  CHECK(format_shortest(0.1) == "0.1");
  CHECK(format_shortest(1e21) == "1e21");
  CHECK(format_shortest(1.5e-7) == "1.5e-7");
  CHECK(format_shortest(-0.0) == "0");
  CHECK(format_shortest(12345678.9) == "12345678.9");
  std::mt19937_64 random(3);
  for (int i = 0; i < 20000; ++i) {
    const double number = std::ldexp(static_cast<double>(random() >> 11), static_cast<int>(random() % 120) - 110);
    const std::string text = format_shortest(number);
    const auto read = read_number(text);
    REQUIRE_MESSAGE(read, text);
    REQUIRE_MESSAGE(read->value == number, text);
  }
}

TEST_CASE("values in the unit that their dimension is shown in") {
  const auto pressure = library().dimension("pressure");
  CHECK(us().value(value_in(3.31, "inwc"), pressure) == "3.31 in. w.c.");
  CHECK(us().value(value_in(1, "psi"), pressure) == "1 psi");
  CHECK(us().value(value_in(0.999, "psi"), pressure) == "27.7 in. w.c.");
  CHECK(us().value(value_in(-2, "psi"), pressure) == "-2 psi");
  CHECK(si().value(value_in(3.31, "mbar"), pressure) == "3.31 mbar");
  CHECK(us().value(value_in(180, "degF"), library().dimension("temperature")) == "180 \u00B0F");
  CHECK(si().value(value_in(180, "degF"), library().dimension("temperature")) == "82.2 \u00B0C");
  CHECK(us().value(value_in(20, "Fdeg"), library().dimension("temperature_difference")) == "20 \u00B0F");
  CHECK(us().value(value_in(96, "kBtu/h"), library().dimension("power")) == "96000 Btu/h");
  CHECK(us().value(value_in(240, "kBtu_gross/h"), library().dimension("gross_power")) == "240 MBH");
  CHECK(us().value(value_in(137.4, "scf/h"), library().dimension("gas_flow")) == "137.4 CFH");
  CHECK(us().value(value_in(18, "ft"), library().dimension("length")) == "18 ft");
  CHECK(us().value(value_in(0.622, "in"), library().dimension("length")) == "0.622 in.");
  CHECK(us().value(value_in(8.2, "ft_head"), library().dimension("head")) == "8.2 ft");
  CHECK(us().value(0.281, library().dimension("share")) == "28.1 %");
  CHECK(us().value(0.281, library().dimension("ratio")) == "0.281");
  CHECK(us().value(value_in(1035, "Btu_gross/scf"), library().dimension("gross_heating_value")) == "1035 Btu/ft\u00B3");
  CHECK(us().value(value_in(14.696, "psia"), library().dimension("absolute_pressure")) == "14.7 psia");
  CHECK(us().value(value_in(2, "h*ft2*degF/Btu"), library().dimension("resistance")) == "2 h\u00B7ft\u00B2\u00B7\u00B0F/Btu");
}

TEST_CASE("a dimension that says nothing is shown in base units") {
  auto copy = library();
  Problem problem;
  const auto odd = read_unit(copy.names, copy.catalogue, "kg*m/(s*K)", problem);
  REQUIRE(odd);
  const DimensionId unnamed = copy.catalogue.dimension_for(odd->vector);
  CHECK(Printer(copy.names, copy.catalogue).value(1.5, unnamed) == "1.5 m\u00B7kg/(s\u00B7K)");
  CHECK(Printer(copy.names, copy.catalogue).value(2, copy.dimension("amount")) == "2 mol");
}

TEST_CASE("an own unit for a field") {
  const auto volume = library().dimension("volume");
  const auto feet = us().display_in("ft3", volume);
  REQUIRE(feet);
  CHECK(us().value_in(value_in(7000, "ft3"), *feet) == "7000 ft\u00B3");
  CHECK(!us().display_in("psi", volume));
  CHECK(!us().display_in("nonsense", volume));
  CHECK(us().display_in("ft", library().dimension("head"))->unit == "ft");
  CHECK(us().display_in("kBtu/h", library().dimension("gross_power"))->factor == doctest::Approx(293.07107017222).epsilon(1e-12));
}

TEST_CASE("found and limit are told apart on the verdict's side") {
  const auto pressure = library().dimension("pressure");
  const auto pair = [&](double found, double limit) { return us().pair(value_in(found, "inwc"), value_in(limit, "inwc"), pressure); };
  CHECK(shown(pair(3.31, 3.5)) == "3.31 | 3.50 | 0.19 in. w.c.");
  CHECK(shown(pair(4, 7)) == "4 | 7 | 3 in. w.c.");
  CHECK(shown(pair(3.4999, 3.5)) == "3.4999 | 3.5000 | 0.0001 in. w.c.");
  CHECK(shown(pair(3.496789, 3.5)) == "3.497 | 3.500 | 0.003 in. w.c.");
  CHECK(shown(pair(3.5000001, 3.5)) == "3.5000001 | 3.5000000 | 0.0000001 in. w.c.");
  CHECK(shown(pair(3.5000000001, 3.5)) == "3.5 | 3.5 | 0 in. w.c.");
  CHECK(pair(3.5000000001, 3.5).equal);
  CHECK(shown(pair(0.125, 0.1249999999999)) == "0.125 | 0.125 | 0 in. w.c.");
  CHECK(shown(pair(0, 0.5)) == "0.0 | 0.5 | 0.5 in. w.c.");
  CHECK(shown(pair(0.1234567, 0)) == "0.123 | 0.000 | 0.123 in. w.c.");
  CHECK(shown(pair(-0.3, 0.5)) == "-0.3 | 0.5 | 0.8 in. w.c.");
  CHECK(shown(pair(0.001234567, 50 / 2.0)) == "0.00 | 25.00 | 25.00 in. w.c.");
}

TEST_CASE("large numbers, levels and plain numbers in pairs") {
  const auto power = library().dimension("power");
  const auto pair = us().pair(value_in(98214.3, "Btu/h"), value_in(96000, "Btu/h"), power);
  CHECK(shown(pair) == "98214 | 96000 | 2214 Btu/h");
  const auto warm = us().pair(value_in(176.27, "degF"), value_in(180, "degF"), library().dimension("temperature"));
  CHECK(shown(warm) == "176 | 180 | 4 \u00B0F");
  CHECK(warm.unit == "\u00B0F");
  const auto absolute = us().pair(value_in(14.2, "psia"), value_in(14.7, "psia"), library().dimension("absolute_pressure"));
  CHECK(absolute.unit == "psia");
  CHECK(absolute.spare_unit == "psi");
  CHECK(shown(us().pair(2, 3, library().catalogue.dimension_of(Vector{}))) == "2 | 3 | 1 ");
}

TEST_CASE("shown pairs agree with the verdict and add up, whatever the values") {
  std::mt19937_64 random(11);
  const auto pressure = library().dimension("pressure");
  for (int i = 0; i < 20000; ++i) {
    const double limit = std::ldexp(static_cast<double>(random() >> 11), -53) * std::pow(10.0, static_cast<double>(random() % 9)) - 5;
    const double found = limit * (1 + std::pow(10.0, -static_cast<double>(random() % 13)) * (static_cast<double>(random() % 200) - 100) / 100);
    const Pair pair = us().pair(found, limit, pressure);
    const double a = read_number(pair.found)->value, b = read_number(pair.limit)->value, spare = read_number(pair.spare)->value;
    REQUIRE(pair.equal == equal(found, limit));
    if (pair.equal)
      REQUIRE(pair.found == pair.limit);
    else
      REQUIRE((found < limit) == (a < b));
    REQUIRE(std::fabs(std::fabs(a - b) - spare) <= 1e-9 * std::fmax(std::fabs(a), std::fabs(b)));
  }
}

TEST_CASE("stated values are shown as typed") {
  CHECK(us().as_typed("3.50 inwc") == "3.50 in. w.c.");
  CHECK(us().as_typed("21_400 Btu/h") == "21400 Btu/h");
  CHECK(us().as_typed("1-1/4 in") == "1-1/4 in.");
  CHECK(us().as_typed("25%") == "25 %");
  CHECK(us().as_typed("70 degF") == "70 \u00B0F");
  CHECK(us().as_typed("0.2 Btu/(h*ft2*degF)") == "0.2 Btu/(h\u00B7ft\u00B2\u00B7\u00B0F)");
  CHECK(us().as_typed("9.8 m/s^2") == "9.8 m/s\u00B2");
  CHECK(us().as_typed("2026-01-20") == "2026-01-20");
  CHECK(us().as_typed("7:30") == "7:30");
  CHECK(us().as_typed("? ft") == "? ft");
  CHECK(us().as_typed("25 ehd") == "25 ehd");
  CHECK(us().unit_text("s^-1") == "s\u207B\u00B9");
  CHECK(us().size("1-1/4 in") == "1-1/4 in.");
}
