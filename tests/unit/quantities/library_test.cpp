#include "library_reader.hpp"
#include "quantities/reading.hpp"
#include "quantities/unit_reader.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::quantities;
using test::library;

namespace {
UnitExpression read(std::string_view text, DimensionId as = {}) {
  Problem problem;
  const auto measure = read_unit(library().names, library().catalogue, text, problem, as);
  INFO(text, ": ", problem.headline);
  REQUIRE(measure);
  return *measure;
}
DimensionId named(std::string_view name) {
  const DimensionId id = library().dimension(name);
  INFO(name);
  REQUIRE(id.given());
  return id;
}
}  // namespace

TEST_CASE("the library's dimensions and units declare without a problem") {
  for (const auto& problem : library().problems) MESSAGE(problem);
  CHECK(library().problems.empty());
  CHECK(library().catalogue.unit_count() == 153);
  CHECK(library().catalogue.unit_names(library().names).size() == 192);
  CHECK(library().catalogue.bases().size() == 10);
}

TEST_CASE("every unit is exact") {
  for (u32 i = 0; i < library().catalogue.unit_count(); ++i) {
    const Unit& unit = library().catalogue[UnitId{i}];
    INFO(library().names.text(unit.name));
    CHECK(unit.measure.is_exact);
    CHECK(unit.measure.factor == to_double(unit.measure.exact));
    CHECK(unit.measure.zero == to_double(unit.measure.exact_zero));
  }
}

TEST_CASE("factors are the exact fractions of their definitions") {
  CHECK(same(library().unit("in").measure.exact, make_rational(254, 10000)));
  CHECK(same(library().unit("ft").measure.exact, make_rational(3048, 10000)));
  CHECK(same(library().unit("mi").measure.exact, make_rational(1609344, 1000)));
  CHECK(same(library().unit("gal").measure.exact, make_rational(3785411784ull, 1000000000000ull)));
  CHECK(same(library().unit("psi").measure.exact, make_rational(8896443230521ull, 1290320000ull)));
  CHECK(same(library().unit("Fdeg").measure.exact, make_rational(5, 9)));
  CHECK(same(library().unit("W").measure.exact, make_rational(1, 1)));
  CHECK(library().unit("ft").measure.factor == 0.3048);
  CHECK(library().unit("degF").measure.exact_zero.top() * 9 * 100 == library().unit("degF").measure.exact_zero.bottom() * 45967 * 5);
}

TEST_CASE("compounds") {
  CHECK(read("Btu/(h*ft2*degF)").vector == library().catalogue[named("transmittance")].vector);
  CHECK(read("Btu/(h*ft2*degF)").factor == library().unit("U_us").measure.factor);
  CHECK(read("Btu/(h*ft2*degF)").softened);
  CHECK(!read("Btu/(h*ft2*degF)").is_level());
  CHECK(read("Btu/h*ft2").vector == read("ft2*Btu/h").vector);
  CHECK(read("/h").factor == 1.0 / 3600);
  CHECK(read("/h").vector == library().catalogue[named("rate")].vector);
  CHECK(read("/degF").vector == library().catalogue[named("per_degree")].vector);
  CHECK(read("s^-1").vector == read("/s").vector);
  CHECK(read("m/s^2").vector == library().catalogue[named("acceleration")].vector);
  CHECK(read("ft/(s*(min/h))").factor == doctest::Approx(0.3048 * 60).epsilon(1e-15));
  const UnitExpression squared = read("psia^2");
  CHECK(!squared.is_level());
  CHECK(squared.softened);
  CHECK(squared.factor == doctest::Approx(6894.757293168361 * 6894.757293168361).epsilon(1e-15));
  CHECK(read("inwc*degR/ft").vector == *product(library().catalogue[named("pressure_gradient")].vector,
                                                library().catalogue[named("temperature_difference")].vector));
}

TEST_CASE("a level's unit alone is a level") {
  CHECK(read("degF").is_level());
  CHECK(read("\u00B0F").is_level());
  CHECK(read("psia").is_level());
  CHECK(!read("Fdeg").is_level());
  CHECK(!read("K").is_level());
}

TEST_CASE("apart dimensions have bases of their own") {
  const auto& catalogue = library().catalogue;
  CHECK(read("ft_head").vector != read("ft").vector);
  CHECK(catalogue.same_plain(read("ft_head").vector, read("ft").vector));
  CHECK(catalogue.bears_apart(read("Btu_gross/h").vector));
  CHECK(catalogue[named("gross_efficiency")].vector == *quotient(read("W").vector, read("W_gross").vector));
  CHECK(catalogue[named("head_gravity")].vector == *quotient(read("m^2/s^2").vector, read("m_head").vector));
  CHECK(catalogue[catalogue.angle()].name == library().names.find("angle"));
  CHECK(catalogue[catalogue.dimension_of(read("gpm").vector)].name == library().names.find("volume_flow"));
}

TEST_CASE("literals where a dimension is wanted") {
  UnitReader reader(library().names, library().catalogue);
  std::optional<Problem> problem;
  const auto in = [&](std::string_view unit, std::string_view dimension, Where where = Where::entry) {
    problem.reset();
    return reader.read_in(unit, named(dimension), where, problem);
  };
  const double scf = library().unit("scf").measure.factor;

  SUBCASE("by the plain vector") {
    REQUIRE(in("ft", "head"));
    CHECK(in("ft", "head")->vector == library().catalogue[named("head")].vector);
    CHECK(in("ft", "head")->factor == 0.3048);
    CHECK(in("Btu/h", "gross_power"));
    CHECK(in("MBH", "gross_power"));
    CHECK(in("", "gross_efficiency"));
    CHECK(in("%", "gross_efficiency")->factor == 0.01);
    CHECK(!in("ft_head", "length"));
    CHECK(!in("Btu_net", "gross_heat"));
    CHECK(!in("W_gross", "power"));
    CHECK(!problem);
  }
  SUBCASE("by what the dimension reads") {
    REQUIRE(in("ft3/h", "gas_flow"));
    CHECK(in("ft3/h", "gas_flow")->factor == doctest::Approx(scf / 3600).epsilon(1e-15));
    CHECK(in("cfh", "gas_flow")->factor == in("ft3/h", "gas_flow")->factor);
    CHECK(in("CFH", "gas_flow")->factor == in("ft3/h", "gas_flow")->factor);
    CHECK(in("m3/h", "gas_flow")->factor == doctest::Approx(library().unit("sm3").measure.factor / 3600).epsilon(1e-15));
    REQUIRE(in("Btu/ft3", "gross_heating_value"));
    CHECK(in("Btu/ft3", "gross_heating_value")->factor == doctest::Approx(1055.05585262 / scf).epsilon(1e-15));
    CHECK(in("ft3/h", "volume_flow")->vector == read("cfm").vector);
    CHECK(!in("gpm", "gas_flow"));
    CHECK(!problem);
  }
  SUBCASE("levels") {
    CHECK(in("degF", "temperature")->is_level());
    CHECK(!in("Fdeg", "temperature"));
    CHECK(!in("psi", "absolute_pressure"));
    CHECK(!in("psia", "pressure"));
    CHECK(in("psia", "absolute_pressure"));
    CHECK(!in("degF", "temperature_difference", Where::formula));
    REQUIRE(in("degF", "temperature_difference"));
    CHECK(!in("degF", "temperature_difference")->is_level());
    CHECK(in("degF", "temperature_difference")->zero == 0);
  }
  SUBCASE("a bare number is never an angle") {
    CHECK(!in("", "angle"));
    CHECK(in("deg", "angle"));
    CHECK(in("", "ratio"));
    CHECK(!in("", "length"));
  }
  SUBCASE("an unknown word is a problem, another dimension is none") {
    CHECK(!in("flurb", "length"));
    REQUIRE(problem);
    CHECK(problem->headline == "no unit is called `flurb`");
    CHECK(!in("psi", "length"));
    CHECK(!problem);
    const Problem wrong = wrong_dimension(library().names, library().catalogue, "psi", read("psi"), named("length"));
    CHECK(wrong.headline == "`psi` is a unit of pressure, where length is wanted");
    REQUIRE(wrong.cures.size() == 1);
    CHECK(wrong.cures[0] == "write it in `in`, `ft`, `mm` or `m`");
    CHECK(wrong_dimension(library().names, library().catalogue, "psi", read("psi"), named("absolute_pressure")).headline ==
          "`psi` measures a difference (pressure), where absolute_pressure is wanted");
    CHECK(wrong_dimension(library().names, library().catalogue, "psia", read("psia"), named("pressure")).headline ==
          "`psia` reads a scale (absolute_pressure), where pressure is wanted");
    CHECK(wrong_dimension(library().names, library().catalogue, "", UnitExpression{}, named("pressure")).headline ==
          "a number without a unit, where pressure is wanted");
  }
}

TEST_CASE("reading twice gives the same, however many spellings were read") {
  UnitReader reader(library().names, library().catalogue);
  Problem problem;
  const auto words = library().catalogue.unit_names(library().names);
  for (int round = 0; round < 2; ++round)
    for (const auto word : words) {
      INFO(word);
      const auto once = reader.read(word, problem);
      REQUIRE(once);
      CHECK(once->factor == read(word).factor);
      CHECK(once->vector == read(word).vector);
      const auto gas = reader.read_as(word, named("gas_flow"), problem);
      REQUIRE(gas);
      CHECK(gas->factor == read(word, named("gas_flow")).factor);
    }
}

TEST_CASE("unknown units and near spellings") {
  const auto failing = [](std::string_view text) {
    Problem problem;
    CHECK(!read_unit(library().names, library().catalogue, text, problem));
    return problem;
  };
  const auto cures = [&](std::string_view text) {
    std::string all;
    for (const auto& cure : failing(text).cures) all += cure + ";";
    return all;
  };
  CHECK(failing("pssi").headline == "no unit is called `pssi`");
  CHECK(cures("pssi").find("did you mean `psi`") != std::string::npos);
  CHECK(cures("PSI").find("did you mean `psi`;") == 0);
  CHECK(cures("kw").find("did you mean `kW`;") == 0);
  CHECK(cures("btu").find("did you mean `Btu`;") == 0);
  CHECK(cures("inwx").find("did you mean `inwc`") != std::string::npos);
  CHECK(cures("yd3") == "write `yd^3`;");
  CHECK(cures("in\u00B3") == "write `in^3`;");
  CHECK(cures("qqqqqqqq").empty());
  const Problem inside = failing("Btu/(h*fft2)");
  CHECK(inside.within == base::Span{7, 11});
  CHECK(inside.code == notices::Code::unit_unknown);
}

TEST_CASE("texts that are no unit") {
  const auto headline = [](std::string_view text) {
    Problem problem;
    CHECK(!read_unit(library().names, library().catalogue, text, problem));
    CHECK(problem.within.end <= text.size());
    return problem.headline;
  };
  CHECK(headline("") == "a unit is missing here");
  CHECK(headline("ft/") == "a unit is missing here");
  CHECK(headline("Btu/(h*ft") == "this bracket is not closed in the unit");
  CHECK(headline("ft)") == "`)` has nothing to do in a unit");
  CHECK(headline("ft^") == "a whole number belongs behind `^`");
  CHECK(headline("ft^12") == "a power in a unit is at most 9");
  CHECK(headline("((((((((((ft))))))))))") == "brackets in this unit go too deep");
  CHECK(headline("W^9*W^9*W^9*W^9*W^9*W^9*W^9") == "the powers in `W^9*W^9*W^9*W^9*W^9*W^9*W^9` are too big");
  std::string many = "m";
  for (int i = 0; i < 40; ++i) many += "/m";
  CHECK(headline(many) == "this unit has more than 32 words");
}

TEST_CASE("values are rounded once") {
  const auto value = [](std::string_view text) {
    Problem problem;
    const auto measure = read_measure(text, problem);
    REQUIRE(measure);
    return value_of(measure->number, measure->unit.empty() ? UnitExpression{} : read(measure->unit));
  };
  CHECK(value("12 in") == 0.3048);
  CHECK(value("1-1/4 in") == 0.03175);
  CHECK(value("0.1 ft") == 0.03048);
  CHECK(value("32 degF") == 273.15);
  CHECK(value("212 degF") == 373.15);
  CHECK(value("0 degC") == 273.15);
  CHECK(value("-40 degF") == 233.15);
  CHECK(value("-40 degC") == 233.15);
  CHECK(value("-459.67 degF") == 0);
  CHECK(value("-460 degF") < 0);
  CHECK(value("1 atm_abs") == 101325);
  CHECK(value("30 psi") == 206842.71879505084);
  CHECK(value("25 %") == 0.25);
  CHECK(value("150 ppm") == 0.00015);
  CHECK(in_unit(273.15, read("degF")) == doctest::Approx(32).epsilon(1e-14));
  const Part parts[] = {{*read_number("5"), read("ft")}, {*read_number("4"), read("in")}};
  CHECK(value_of(parts) == 1.6256);
  const Part below[] = {{*read_number("-5"), read("ft")}, {*read_number("4"), read("in")}};
  CHECK(value_of(below) == -1.6256);
}

TEST_CASE("sizes are labels") {
  const auto label = [](std::string_view text) -> std::string {
    Problem problem;
    const auto measure = read_measure(text, problem);
    REQUIRE(measure);
    return size_label(library().names, library().catalogue, *measure).value_or("none");
  };
  CHECK(label("1-1/4 in") == "1-1/4 in");
  CHECK(label("1.25 inch") == "1-1/4 in");
  CHECK(label("5/4 in") == "1-1/4 in");
  CHECK(label("2/4 in") == "1/2 in");
  CHECK(label("32 mm") == "32 mm");
  CHECK(label("25 ehd") == "25 ehd");
  CHECK(label("0 in") == "none");
  CHECK(label("-1 in") == "none");
  CHECK(label("2 Btu/h") == "none");
  CHECK(label("2") == "none");
}

TEST_CASE("describing what has no name") {
  const auto& catalogue = library().catalogue;
  CHECK(catalogue.describe(library().names, read("Btu/h").vector) == "power");
  CHECK(catalogue.describe(library().names, read("m^3*K").vector) == "length^3 * temperature_difference");
  CHECK(catalogue.describe(library().names, read("m/(s*K*A)").vector) == "length / (time * temperature_difference * current)");
  CHECK(catalogue.describe(library().names, read("kg*ft_head").vector) == "head * mass");
  CHECK(catalogue.describe(library().names, read("/s^3").vector) == "1 / time^3");
  CHECK(catalogue.describe(library().names, Vector{}) == "number");
}
