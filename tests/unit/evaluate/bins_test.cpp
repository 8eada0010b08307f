// Lines through points, bins, rows of tables, and loops that enter a world for each row: from text to values.
#include "evaluate/interval.hpp"
#include "job.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::evaluate::of_text;

namespace {
const std::string line_library = R"(
condition out temperature = 40 degF "Outdoors."
kind line {
  needs many point (outside temperature) out (water temperature) water
  gives target temperature = between(point, out)
  gives fixed  temperature = between(point, 20 degF)
}
)";
double fahrenheit(Value value) { return value.number() * 1.8 - 459.67; }
}  // namespace

TEST_CASE("between: straight between points, held beyond, in any order of writing") {
  Job job(line_library, "line a { point 50 degF out 150 degF water, point 20 degF out 180 degF water, point 60 degF out 100 degF water }\n");
  CHECK(job.said() == "");
  const auto at = [&](double degrees) {
    return fahrenheit(job.value("a", "target", job.evaluation->with(nominal_world, job.condition("out"), Value::number((degrees + 459.67) / 1.8))));
  };
  CHECK(fahrenheit(job.value("a", "fixed")) == doctest::Approx(180));
  CHECK(fahrenheit(job.value("a", "target")) == doctest::Approx(160));
  CHECK(at(20) == doctest::Approx(180));
  CHECK(at(35) == doctest::Approx(165));
  CHECK(at(55) == doctest::Approx(125));
  CHECK(at(-30) == doctest::Approx(180));
  CHECK(at(90) == doctest::Approx(100));
}

TEST_CASE("between: two points at one place are no line") {
  Job job(line_library, "line a { point 50 degF out 150 degF water, point 10 degC out 180 degF water }\n");
  CHECK(job.said() == "");
  CHECK(job.value("a", "target").is(State::failed));
  CHECK(job.said() == "value.same_point: the target of a goes through two points at 50 °F\n");
  Job one(line_library, "line a { point 50 degF out 150 degF water }\n");
  CHECK(fahrenheit(one.value("a", "target")) == doctest::Approx(150));
  Job open(line_library, "line a { point 50 degF out ? degF water, point 20 degF out 100 degF water }\n");
  CHECK(open.value("a", "target").is(State::unknown));
}

TEST_CASE("between: bounds over a range of what is asked for") {
  const std::string more = line_library + "kind limit { needs asked temperature\n  needs line line\n  gives got temperature = between(line.point, asked) }\n";
  Job job(more, "line a { point 50 degF out 150 degF water, point 20 degF out 180 degF water, point 60 degF out 100 degF water }\nlimit l { asked 10 degF .. 55 degF, line a }\n");
  CHECK(job.said() == "");
  const auto [thing, slot] = job.cell("l", "got");
  const auto [asked_of, asked_slot] = job.cell("l", "asked");
  const Value stated = job.program.inputs[job.program.things[asked_of.value].first_slot + asked_slot];
  REQUIRE(stated.is(State::variable));
  const Variable& record = job.program.variables[stated.payload()];
  const evaluate::BoxSide side{VariableId{stated.payload()}, record.low, record.high};
  const ExprId formula = job.program.field(job.program.things[thing.value].kind, slot).formula;
  const ExprId zero{job.program.exprs.push({.op = Op::constant, .a = job.program.constants.push(Value::number(0))})};
  job.program.expr_notes.push({{}, job.program.expr_notes[formula.value].type});
  evaluate::Evaluation fresh(job.program, job.notices);
  std::vector<Value> none;
  const auto margin = evaluate::margin_over(fresh, formula, zero, {thing, none}, nominal_world, {&side, 1});
  REQUIRE(margin);
  CHECK(margin->low * 1.8 - 459.67 == doctest::Approx(125));
  CHECK(margin->high * 1.8 - 459.67 == doctest::Approx(180));
}

TEST_CASE("between: what it refuses") {
  const auto said = [](const std::string& text) { return Job("condition out temperature = 40 degF \"x\"\n" + text, "").said(); };
  CHECK(said("kind a { needs x temperature\n gives y temperature = between(x, out) }\n") == "types.wrong_type: between goes through the points of a list, and this is none\n");
  CHECK(said("kind a { needs many p (x temperature)\n gives y temperature = between(p, out) }\n").starts_with("types.wrong_type: between wants points of two quantities"));
  CHECK(said("kind a { needs many p (x length) at (y number)\n gives y number = between(p, out) }\n").starts_with("types.mismatch"));
  CHECK(said("kind a { needs many p {\n needs x temperature\n needs y number\n may note text\n}\n gives y number = between(p, out) }\n") == "");
}

namespace {
const std::string year_library = R"(
condition out temperature = 40 degF "Outdoors."
kind year one {
  may hourly table {
    outdoor temperature
  }
  gives bins table or none {
    low    temperature
    high   temperature
    middle temperature
    hours  time
  } = if hourly is given then binned(hourly, 5 Fdeg, 0 degF, 1 h) else none
  gives counted table or none = if hourly is given then binned(hourly, 5 Fdeg) else none
  gives rows     number = if hourly is given then count of r for r in hourly else 0
  gives mean     temperature = if hourly is given then mean of r.outdoor for r in hourly else 0 degF
  gives warm     number = if hourly is given then count of r for r in hourly where r.outdoor > 50 degF else 0
  gives total    time = if bins is given then sum of h.hours for h in bins else 0 h
  gives lowest   temperature or none = if bins is given then min of h.low for h in bins else none
  gives binned_5 number = if counted is given then sum of c.count for c in counted else 0
}
)";
}  // namespace

TEST_CASE("bins: rows sorted by steps from an edge") {
  Job job(year_library, "year { hourly { outdoor\n 2 degF\n 4.9 degF\n 5 degF\n 9 degF\n 17 degF\n } }\n");
  CHECK(job.said() == "");
  const Value bins = job.value("year", "bins");
  REQUIRE(bins.known());
  CHECK(job.value("year", "rows").number() == 5);
  CHECK(fahrenheit(job.value("year", "mean")) == doctest::Approx((2 + 4.9 + 5 + 9 + 17) / 5));
  CHECK(job.value("year", "warm").number() == 0);
  CHECK(job.value("year", "total").number() == doctest::Approx(5 * 3600));
  CHECK(fahrenheit(job.value("year", "lowest")) == doctest::Approx(0));
  CHECK(job.value("year", "binned_5").number() == 5);
  CHECK(job.said() == "");
}

TEST_CASE("bins: one row each for a bin without values, edges to the bin that begins there") {
  const std::string library = year_library + R"(
kind probe {
  gives lows   list of number = if year.bins is given then list of (h.low - 0 degF) / 1 Fdeg for h in year.bins else []
  gives hours  list of number = if year.bins is given then list of h.hours / 1 h for h in year.bins else []
  gives own    list of number = list of c.low for c in binned([1, 2.5, 7], 2)
  gives counts list of number = list of c.count for c in binned([1, 2.5, 7], 2)
}
)";
  Job job(library, "year { hourly { outdoor\n 2 degF\n 4.9 degF\n 5 degF\n 9 degF\n 17 degF\n } }\nprobe p\n");
  CHECK(job.said() == "");
  const auto numbers = [&](std::string_view field) {
    std::string all;
    for (const Value value : job.evaluation->items(job.value("p", field), nominal_world)) all += std::to_string(static_cast<int>(std::lround(value.number()))) + ' ';
    return all;
  };
  CHECK(numbers("lows") == "0 5 10 15 ");
  CHECK(numbers("hours") == "2 2 0 1 ");
  CHECK(numbers("own") == "1 3 5 7 ");
  CHECK(numbers("counts") == "2 0 0 1 ");
}

TEST_CASE("bins: stated ones, else those of the rows") {
  const std::string library = R"(
kind year one {
  may hourly table { outdoor temperature }
  may stated table {
    low  temperature
    high temperature
    mid  temperature
    held time
  }
  gives bins table or none {
    low  temperature
    high temperature
    mid  temperature
    held time
  } = if stated is given then stated else if hourly is given then binned(hourly, 5 Fdeg, 0 degF, 1 h) else none
  gives total time = if bins is given then sum of b.held for b in bins else 0 h
  gives other table or none { x number } = none
  gives wrong number = if stated is given and hourly is given then count of r for r in (if 1 > 2 then stated else hourly) else 0
}
)";
  Job stated(library, "year { stated {\n low  high  mid  held\n 0 degF  5 degF  2 degF  7 h\n 5 degF  10 degF  8 degF  11 h\n } }\n");
  CHECK(stated.said() == "types.mismatch: the two sides of `if` are a table and a table\n");
  CHECK(stated.value("year", "total").number() == doctest::Approx(18 * 3600));
  Job rows(library, "year { hourly { outdoor\n 1 degF\n 2 degF\n } }\n");
  CHECK(rows.value("year", "total").number() == doctest::Approx(2 * 3600));
}

TEST_CASE("bins: what cannot be sorted") {
  Job open(year_library, "year { hourly { outdoor\n 2 degF\n ?\n 4 degF\n } }\n");
  CHECK(open.value("year", "bins").is(State::unknown));
  CHECK(open.value("year", "total").is(State::unknown));
  Job none(year_library, "");
  CHECK(none.value("year", "bins").is(State::none));
  const std::string probe = "kind probe { gives a number = count of c for c in binned([1, 2], 0)\n gives b number = count of c for c in binned([1, 1000000], 1)\n gives c number = count of c for c in binned(list of x for x in [1] where x > 3, 1) }\n";
  Job bad(probe, "probe p\n");
  CHECK(bad.said() == "");
  CHECK(bad.value("p", "a").is(State::failed));
  CHECK(bad.value("p", "b").is(State::failed));
  CHECK(bad.value("p", "c").number() == 0);
  CHECK(bad.said().find("value.bin_step: the a of p sorts into bins whose width is not above zero\n") != std::string::npos);
  CHECK(bad.said().find("value.too_many: the b of p sorts into more than 10000 bins\n") != std::string::npos);
}

TEST_CASE("bins: what is refused where it is written") {
  const auto said = [](const std::string& text) { return Job("kind a {\n may t table {\n  x temperature\n }\n " + text + "\n}\n", "").said(); };
  CHECK(said("gives b table = binned(t, 5 Fdeg)").starts_with("types.may_be_none"));
  CHECK(said("gives b number = t(3)").starts_with("types.may_be_none"));
  CHECK(said("gives b table or none = if t is given then binned(t, 5 m) else none").find("types.mismatch") != std::string::npos);
  CHECK(said("gives b table or none {\n  x temperature\n } = if t is given then binned(t, 5 Fdeg) else none").find("types.wrong_type: bins have four columns") != std::string::npos);
  CHECK(said("gives b table = 7").find("columns of b are not known") != std::string::npos);
  CHECK(said("gives b number = if t is given then t() else 0").find("types.not_callable: the table has no key") != std::string::npos);
  CHECK(said("gives b number = count of r for r in t").starts_with("types.may_be_none: t may be none"));
}

namespace {
// A chain of fields, most of which rest on the condition: what a loop over rows makes anew for each of them.
std::string chain_library(u32 length) {
  std::string text = "condition out temperature = 40 degF \"Outdoors.\"\nkind wall { needs area number\n gives fixed number = area * 2 }\n";
  text += "kind year one {\n  may hourly table {\n    outdoor temperature\n  }\n  gives v0 number = (70 degF - out) / 1 Fdeg + sum of w.fixed for w in wall\n";
  for (u32 at = 1; at < length; ++at) text += "  gives v" + std::to_string(at) + " number = v" + std::to_string(at - 1) + " + (v" + std::to_string(at - 1) + " - v" + std::to_string(at / 2) + ") * 0\n";
  const std::string last = "v" + std::to_string(length - 1);
  text += "  gives sum_rows number = if hourly is given then sum of (" + last + " when out = r.outdoor) for r in hourly else 0\n";
  text += "  gives nested number = if hourly is given then sum of (sum_short when out = r.outdoor) for r in hourly else 0\n";
  text += "  gives sum_short number = sum of (" + last + " when out = 30 degF + n * 1 Fdeg) - " + last + " for n in 1 .. 70\n}\n";
  return text;
}
std::string rows_job(u32 rows) {
  std::string text = "wall a { area 1 }\nwall b { area 2 }\nyear { hourly { outdoor\n";
  for (u32 at = 0; at < rows; ++at) text += "  " + std::to_string(at % 977) + "." + std::to_string(at) + " degF\n";
  return text + "} }\n";
}
double expected_sum(u32 rows) {
  double sum = 0;
  for (u32 at = 0; at < rows; ++at) sum += 70 - std::stod(std::to_string(at % 977) + "." + std::to_string(at)) + 6;
  return sum;
}
}  // namespace

TEST_CASE("a world for each of many rows: the same values, and nothing that grows with the rows") {
  for (const u32 rows : {10u, 65u, 600u, 8760u}) {
    CAPTURE(rows);
    Job job(chain_library(40), rows_job(rows));
    REQUIRE(job.said() == "");
    const double before = job.value("year", "v39").number();
    CHECK(job.value("year", "sum_rows").number() == doctest::Approx(expected_sum(rows)));
    CHECK(job.evaluation->worlds().size() < 70);
    CHECK(job.value("year", "v39").number() == before);
    CHECK(job.value("year", "v39", job.evaluation->with(nominal_world, job.condition("out"), Value::number(300))).number() ==
          doctest::Approx(70 - (300 * 1.8 - 459.67) + 6));
  }
}

TEST_CASE("a loop of worlds inside a loop of worlds") {
  const u32 rows = 700;
  Job job(chain_library(5), rows_job(rows));
  REQUIRE(job.said() == "");
  // In each row: the sum over 70 fixed worlds, less 70 times the value of the row's own.
  double expected = 0;
  for (u32 at = 0; at < rows; ++at) {
    const double out = std::stod(std::to_string(at % 977) + "." + std::to_string(at));
    for (u32 n = 1; n <= 70; ++n) expected += (70 - (30.0 + n)) - (70 - out);
  }
  CHECK(job.value("year", "nested").number() == doctest::Approx(expected));
  CHECK(job.evaluation->worlds().size() < 70);
  CHECK(job.value("year", "sum_rows").number() == doctest::Approx(expected_sum(rows)));
}

TEST_CASE("a chain too deep to be followed at once, within a row's world") {
  const u32 rows = 300;
  Job job(chain_library(900), rows_job(rows));
  REQUIRE(job.said() == "");
  CHECK(job.value("year", "sum_rows").number() == doctest::Approx(expected_sum(rows)));
  CHECK(job.evaluation->explain(job.cell("year", "sum_rows").first, job.cell("year", "sum_rows").second, nominal_world).steps.size() > 3);
  CHECK(job.value("year", "sum_rows").number() == doctest::Approx(expected_sum(rows)));
}
