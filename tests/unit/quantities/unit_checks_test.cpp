// The library's units against tabulated and recomputed values (tests/facts/unit_checks.csv, each row with its
// source). Spellings of the table are turned into ours; rows about other units are listed with the reason.
#include "library_reader.hpp"
#include "quantities/reading.hpp"
#include "quantities/unit_reader.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>

using namespace dripleg;
using namespace dripleg::quantities;
using test::library;

namespace {
constexpr double within = 2e-6;   // the tables print seven digits

struct Row {
  double from_value = 0, value = 0;
  std::string from, to, source;
};

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (const char byte : line) {
    if (byte == '"') quoted = !quoted;
    else if (byte == ',' && !quoted) cells.emplace_back();
    else if (byte != '\r') cells.back() += byte;
  }
  return cells;
}

std::vector<Row> rows() {
  std::istringstream lines(test::file_text("tests/facts/unit_checks.csv"));
  std::vector<Row> all;
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line)) {
    const auto cells = cells_of(line);
    REQUIRE(cells.size() >= 5);
    all.push_back({std::stod(cells[0]), std::stod(cells[3]), cells[1], cells[2], cells[4]});
  }
  return all;
}

// Units of the table that are none of ours.
const std::map<std::string, std::string> others = {
    {"Btu_59F", "a Btu of water at 59 degF; ours is the IT Btu"},
    {"Btu_60F", "a Btu of water at 60 degF; ours is the IT Btu"},
    {"[Btu_th] (UCUM)", "the thermochemical Btu; ours is the IT Btu"},
    {"inH2O_39.2F", "a water column at 39.2 degF; ours is the conventional one"},
    {"inH2O_60F", "a water column at 60 degF; ours is the conventional one"},
    {"inH2O_68F", "a water column at 68 degF; ours is the conventional one"},
    {"ftH2O_39.2F", "a water column at 39.2 degF; ours is the conventional one"},
    {"inHg_32F", "rounded to six digits there, from another density of mercury; ours is 3386.388640341 Pa"},
    {"m[Hg] (UCUM)", "rounded to 133.322 Pa a millimetre there"},
    {"therm_EC", "the European therm; ours are the trade's 100 000 Btu and the legal US one"},
    {"hp_water", "the water horsepower, which the trade does not write"},
    {"ton_long", "the long ton, which the trade does not write"},
    {"perm_0C", "vapour permeance, which no part of the library needs"},
    {"g_n", "standard gravity, a constant and no unit"},
};

// Spellings of the table: what they are called here.
const std::map<std::string, std::string> words = {
    {"ton_refrigeration", "ton_ref"}, {"gal_imperial", "gal_imp"}, {"kW.h", "kWh"}, {"ft.lbf", "ft*lbf"},
    {"ftH2O_conv", "ftwc"}, {"inH2O_conv", "inwc"}, {"inH2O_conv gauge", "inwc"}, {"Pa gauge", "Pa"}, {"Pa absolute", "Pa_abs"},
    {"kPa absolute", "kPa_abs"}, {"degR (interval)", "Fdeg"}, {"degF (interval)", "Fdeg"}, {"degC (interval)", "K"},
    {"[Btu_IT] (UCUM)", "Btu"}, {"[in_i'H2O] (UCUM)", "inwc"}, {"[HP] (UCUM)", "hp"}, {"[ft_i].[lbf_av]/s", "ft_lbf/s"},
};

std::string ours(const std::string& spelling) {
  if (const auto found = words.find(spelling); found != words.end()) return found->second;
  std::string text = spelling;
  std::replace(text.begin(), text.end(), '.', '*');
  for (const auto& [from, to] : std::map<std::string, std::string>{{"Btu_IT", "Btu"}, {"gal_imperial", "gal_imp"}})
    for (auto at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) text.replace(at, from.size(), to);
  return text;
}

UnitExpression read(const std::string& text) {
  Problem problem;
  const auto measure = read_unit(library().names, library().catalogue, text, problem);
  INFO(text, ": ", problem.headline);
  REQUIRE(measure);
  return *measure;
}

// Gauge and absolute differ by one standard atmosphere in the table's own examples.
bool gauge_row(const Row& row) { return row.from.find("psig(1 atm)") == 0 || row.to.find("psig(1 atm)") == 0; }

void check_close(double found, double wanted) {
  CHECK(std::fabs(found - wanted) <= within * std::fmax(std::fabs(wanted), 1e-12) + (wanted == 0 ? 1e-9 : 0));
}
}  // namespace

TEST_CASE("unit_checks: rows agree, or are named as other units") {
  u32 agree = 0, other = 0, gauge = 0;
  for (const Row& row : rows()) {
    INFO(row.from_value, " ", row.from, " in ", row.to, ": ", row.value, " (", row.source, ")");
    if (others.contains(row.from) || others.contains(row.to)) {
      ++other;
      continue;
    }
    if (gauge_row(row)) {
      // 0 psig is one atmosphere: the difference to it in psi.
      const double air = read("atm").factor, psi = read("psi").factor;
      if (row.from == "psia") check_close((row.from_value * psi - air) / psi, row.value);
      else check_close((row.from_value * psi + air) / read(ours(row.to)).factor, row.value);
      ++gauge;
      continue;
    }
    const UnitExpression from = read(ours(row.from));
    UnitExpression to = read(ours(row.to));
    // `K` of a reading is the absolute scale.
    if (from.is_level() && row.to == "K") to = read("K_abs");
    CHECK(from.vector == to.vector);
    CHECK(from.is_level() == to.is_level());
    check_close(in_unit(row.from_value * from.factor + from.zero, to), row.value);
    ++agree;
  }
  CHECK(agree >= 87);
  CHECK(gauge == 3);
  CHECK(agree + other + gauge == 117);
  MESSAGE(agree, " rows agree, ", other, " are other units, ", gauge, " gauge and absolute");
}

TEST_CASE("unit_checks: every reason is about a row that is there") {
  const auto all = rows();
  for (const auto& [name, reason] : others) {
    INFO(name, ": ", reason);
    CHECK(std::any_of(all.begin(), all.end(), [&](const Row& row) { return row.from == name || row.to == name; }));
  }
}

TEST_CASE("other units differ from ours by more than rounding") {
  for (const Row& row : rows()) {
    if (row.from == "Btu_59F" || row.from == "Btu_60F") CHECK(std::fabs(row.value / read("Btu").factor - 1) > 1e-4);
    if (row.from == "inH2O_60F") CHECK(std::fabs(row.value / read("inwc").factor - 1) > 5e-4);
    if (row.from == "inHg_32F") CHECK(std::fabs(row.value / read("inHg").factor - 1) > within);
  }
}
