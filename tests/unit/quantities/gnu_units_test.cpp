// The library's units against the table of GNU units, an independent collection (Debian package `units`). The
// program must be there: without it this test fails.
#include "library_reader.hpp"

#include <cmath>
#include <cstdio>
#include <doctest/doctest.h>
#include <map>

using namespace dripleg;
using namespace dripleg::quantities;
using test::library;

namespace {
struct Theirs {
  std::string definition;      // in the program's words
  std::string base;            // base units of it
  double within = 1e-12;
  std::string reason = {};     // why wider than rounding
};

// Ours by name: the program's spelling, and what it is converted to. Names that are the same unit
// there need only the base units.
const std::map<std::string, Theirs> table = {
    {"m", {"m", "m"}}, {"in", {"inch", "m"}}, {"ft", {"foot", "m"}}, {"yd", {"yard", "m"}}, {"mi", {"mile", "m"}}, {"mm", {"mm", "m"}},
    {"cm", {"cm", "m"}}, {"km", {"km", "m"}}, {"mil", {"mil", "m"}}, {"ft_head", {"foot", "m"}}, {"m_head", {"m", "m"}},
    {"ft2", {"foot^2", "m^2"}}, {"in2", {"inch^2", "m^2"}}, {"m2", {"m^2", "m^2"}}, {"cm2", {"cm^2", "m^2"}}, {"mm2", {"mm^2", "m^2"}},
    {"ft3", {"foot^3", "m^3"}}, {"in3", {"inch^3", "m^3"}}, {"m3", {"m^3", "m^3"}}, {"L", {"liter", "m^3"}}, {"mL", {"milliliter", "m^3"}},
    {"gal", {"usgallon", "m^3"}}, {"gal_imp", {"brgallon", "m^3"}}, {"bbl", {"42 usgallon", "m^3"}},
    {"s", {"s", "s"}}, {"min", {"minute", "s"}}, {"h", {"hour", "s"}}, {"d", {"day", "s"}}, {"wk", {"week", "s"}}, {"yr", {"365 day", "s"}},
    {"ms", {"millisecond", "s"}},
    {"kg", {"kg", "kg"}}, {"g", {"gram", "kg"}}, {"mg", {"milligram", "kg"}}, {"t", {"tonne", "kg"}}, {"lb", {"pound", "kg"}},
    {"oz", {"ounce", "kg"}}, {"gr", {"grain", "kg"}}, {"ton_US", {"shortton", "kg"}},
    {"mol", {"mol", "mol"}}, {"kmol", {"kilomol", "mol"}}, {"lbmol", {"(pound/gram) mol", "mol"}},
    {"K", {"K", "K"}}, {"Fdeg", {"degF", "K"}}, {"degF", {"degF", "K"}}, {"degC", {"degC", "K"}}, {"degR", {"degR", "K"}}, {"K_abs", {"K", "K"}},
    {"gpm", {"usgallon/minute", "m^3/s"}}, {"gph", {"usgallon/hour", "m^3/s"}}, {"gpd", {"usgallon/day", "m^3/s"}},
    {"igpm", {"brgallon/minute", "m^3/s"}}, {"cfm", {"foot^3/minute", "m^3/s"}}, {"lps", {"liter/s", "m^3/s"}}, {"cfh", {"foot^3/hour", "m^3/s"}},
    {"ccf", {"100 foot^3", "m^3"}},
    {"N", {"newton", "kg m/s^2"}}, {"kN", {"kilonewton", "kg m/s^2"}}, {"lbf", {"lbf", "kg m/s^2"}}, {"kip", {"kip", "kg m/s^2"}},
    {"kgf", {"kgf", "kg m/s^2"}},
    {"Pa", {"pascal", "kg/(m s^2)"}}, {"hPa", {"hectopascal", "kg/(m s^2)"}}, {"kPa", {"kilopascal", "kg/(m s^2)"}},
    {"MPa", {"megapascal", "kg/(m s^2)"}}, {"mbar", {"millibar", "kg/(m s^2)"}}, {"bar", {"bar", "kg/(m s^2)"}}, {"psi", {"psi", "kg/(m s^2)"}},
    {"psf", {"lbf/foot^2", "kg/(m s^2)"}},
    {"inwc", {"inH2O", "kg/(m s^2)", 1e-7, "printed to eight digits here"}}, {"ftwc", {"12 inH2O", "kg/(m s^2)", 1e-7, "printed to nine digits here"}},
    {"mmwc", {"mmH2O", "kg/(m s^2)"}}, {"mwc", {"1000 mmH2O", "kg/(m s^2)"}}, {"ozin2", {"ounce force/inch^2", "kg/(m s^2)"}},
    {"inHg", {"inHg", "kg/(m s^2)", 1e-10, "told to a micropascal here"}}, {"mmHg", {"mmHg", "kg/(m s^2)", 1e-10, "told to a nanopascal here"}},
    {"torr", {"torr", "kg/(m s^2)"}}, {"atm", {"atm", "kg/(m s^2)"}},
    {"psia", {"psi", "kg/(m s^2)"}}, {"kPa_abs", {"kilopascal", "kg/(m s^2)"}}, {"mmHg_abs", {"mmHg", "kg/(m s^2)", 1e-10, "as mmHg"}},
    {"MPa_abs", {"megapascal", "kg/(m s^2)"}}, {"Pa_abs", {"pascal", "kg/(m s^2)"}}, {"bar_abs", {"bar", "kg/(m s^2)"}},
    {"mbar_abs", {"millibar", "kg/(m s^2)"}}, {"inHg_abs", {"inHg", "kg/(m s^2)", 1e-10, "as inHg"}}, {"atm_abs", {"atm", "kg/(m s^2)"}},
    {"J", {"joule", "kg m^2/s^2"}}, {"kJ", {"kilojoule", "kg m^2/s^2"}}, {"MJ", {"megajoule", "kg m^2/s^2"}}, {"GJ", {"gigajoule", "kg m^2/s^2"}},
    {"Wh", {"watt hour", "kg m^2/s^2"}}, {"kWh", {"kilowatt hour", "kg m^2/s^2"}}, {"MWh", {"megawatt hour", "kg m^2/s^2"}},
    {"Btu", {"btu_IT", "kg m^2/s^2"}}, {"kBtu", {"1000 btu_IT", "kg m^2/s^2"}}, {"MMBtu", {"1e6 btu_IT", "kg m^2/s^2"}},
    {"therm", {"1e5 btu_IT", "kg m^2/s^2"}}, {"therm_US", {"UStherm", "kg m^2/s^2"}}, {"quad", {"1e15 btu_IT", "kg m^2/s^2"}},
    {"kcal", {"kilocalorie_IT", "kg m^2/s^2"}}, {"ft_lbf", {"foot lbf", "kg m^2/s^2"}},
    {"Btu_gross", {"btu_IT", "kg m^2/s^2"}}, {"kBtu_gross", {"1000 btu_IT", "kg m^2/s^2"}}, {"MMBtu_gross", {"1e6 btu_IT", "kg m^2/s^2"}},
    {"therm_gross", {"1e5 btu_IT", "kg m^2/s^2"}}, {"kJ_gross", {"kilojoule", "kg m^2/s^2"}}, {"MJ_gross", {"megajoule", "kg m^2/s^2"}},
    {"kWh_gross", {"kilowatt hour", "kg m^2/s^2"}}, {"Btu_net", {"btu_IT", "kg m^2/s^2"}}, {"kJ_net", {"kilojoule", "kg m^2/s^2"}},
    {"MJ_net", {"megajoule", "kg m^2/s^2"}}, {"kWh_net", {"kilowatt hour", "kg m^2/s^2"}},
    {"W", {"watt", "kg m^2/s^3"}}, {"kW", {"kilowatt", "kg m^2/s^3"}}, {"MW", {"megawatt", "kg m^2/s^3"}}, {"Btuh", {"btu_IT/hour", "kg m^2/s^3"}},
    {"MBH", {"1000 btu_IT/hour", "kg m^2/s^3"}}, {"hp", {"horsepower", "kg m^2/s^3"}}, {"hp_electric", {"electrichorsepower", "kg m^2/s^3"}},
    {"hp_boiler", {"boilerhorsepower", "kg m^2/s^3"}}, {"hp_metric", {"metrichorsepower", "kg m^2/s^3"}},
    {"ton_ref", {"12000 btu_IT/hour", "kg m^2/s^3"}}, {"edr", {"240 btu_IT/hour", "kg m^2/s^3"}}, {"edr_hw", {"150 btu_IT/hour", "kg m^2/s^3"}},
    {"W_gross", {"watt", "kg m^2/s^3"}}, {"kW_gross", {"kilowatt", "kg m^2/s^3"}}, {"kW_net", {"kilowatt", "kg m^2/s^3"}},
    {"MBH_gross", {"1000 btu_IT/hour", "kg m^2/s^3"}},
    {"R_us", {"hour foot^2 degF/btu_IT", "s^3 K/kg"}}, {"RSI", {"m^2 K/watt", "s^3 K/kg"}}, {"U_us", {"btu_IT/(hour foot^2 degF)", "kg/(s^3 K)"}},
    {"cP", {"centipoise", "kg/(m s)"}}, {"cSt", {"centistokes", "m^2/s"}},
    {"A", {"A", "A"}}, {"mA", {"milliampere", "A"}}, {"V", {"volt", "kg m^2/(s^3 A)"}}, {"VA", {"volt ampere", "kg m^2/s^3"}},
    {"scf", {"foot^3 14.73 psi/(R tempF(60))", "mol", 1e-8, "the gas constant of the installed table"}},
    {"sm3", {"m^3 atm/(R tempC(15))", "mol", 1e-8, "the gas constant of the installed table"}},
    {"sL", {"liter atm/(R tempC(15))", "mol", 1e-8, "the gas constant of the installed table"}},
    {"nm3", {"m^3 atm/(R tempC(0))", "mol", 1e-8, "the gas constant of the installed table"}},
    {"rad", {"radian", "radian"}}, {"deg", {"degree", "radian"}}, {"rpm", {"1/minute", "1/s"}}, {"ppm", {"ppm", "1"}}, {"ppb", {"1e-9", "1"}},
    {"fpm", {"foot/minute", "m/s"}}, {"fps", {"foot/s", "m/s"}}, {"mph", {"mile/hour", "m/s"}},
    {"S", {"siemens", "A^2 s^3/(kg m^2)"}}, {"uS", {"microsiemens", "A^2 s^3/(kg m^2)"}},
    {"dH", {"17.848 milligram/liter", "kg/m^3"}},
};

// The program's answers to pairs of definition and base, one a line; it is started once.
std::vector<double> ask(const std::vector<const Theirs*>& questions) {
  std::string command = "printf '";
  for (const Theirs* one : questions) command += one->definition + "\\n" + one->base + "\\n";
  command += "' | LC_ALL=C units -q -t --digits 15";
  std::vector<double> answers;
  FILE* pipe = popen(command.c_str(), "r");
  REQUIRE(pipe != nullptr);
  char line[256];
  while (std::fgets(line, sizeof line, pipe) != nullptr) {
    double value = 0;
    REQUIRE_MESSAGE(std::sscanf(line, "%lf", &value) == 1, line);
    answers.push_back(value);
  }
  REQUIRE_MESSAGE(pclose(pipe) == 0, "the program `units` could not be run");
  return answers;
}
}  // namespace

TEST_CASE("GNU units: every unit of the library but those named is there and agrees") {
  std::vector<const Theirs*> questions;
  std::vector<const Unit*> units;
  for (u32 i = 0; i < library().catalogue.unit_count(); ++i) {
    const Unit& unit = library().catalogue[UnitId{i}];
    const std::string name(library().names.text(unit.name));
    const auto found = table.find(name);
    REQUIRE_MESSAGE(found != table.end(), name);
    questions.push_back(&found->second);
    units.push_back(&unit);
  }
  const auto answers = ask(questions);
  REQUIRE(answers.size() == units.size());
  for (std::size_t i = 0; i < units.size(); ++i) {
    INFO(library().names.text(units[i]->name), " = ", questions[i]->definition, ": ours ", units[i]->measure.factor, ", theirs ", answers[i], " ",
         questions[i]->reason);
    CHECK(std::fabs(units[i]->measure.factor / answers[i] - 1) <= questions[i]->within);
  }
}

TEST_CASE("GNU units: zeros of the temperature scales") {
  const Theirs fahrenheit{"tempF(0)", "K", 0, {}}, celsius{"tempC(0)", "K", 0, {}};
  const auto answers = ask({&fahrenheit, &celsius});
  REQUIRE(answers.size() == 2);
  CHECK(std::fabs(library().unit("degF").measure.zero - answers[0]) < 1e-9);
  CHECK(std::fabs(library().unit("degC").measure.zero - answers[1]) < 1e-9);
}
