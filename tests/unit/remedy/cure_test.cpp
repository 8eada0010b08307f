// Next sizes as cures: the smallest that cures and turns nothing else, alone or together.
#include "remedy/cure.hpp"

#include "tests/unit/judge/judging.hpp"

using namespace dripleg;
using judge::Outcome;
using judge::test::Judged;
using remedy::Cure;
using remedy::Search;

namespace {
std::string rule(std::string_view name, std::string_view lines) {
  return "rule hall." + std::string(name) + " {\n  says \"So.\"\n  per practice \"as is done\"\n  weight fault\n  " + std::string(lines) +
         "\n  otherwise \"{l} is thin.\"\n}\n";
}
// Every cord at least so thick.
std::string thick(std::string_view least) {
  return rule("thick", "for l in lamp\n  require l.thick >= " + std::string(least) + "\n  remedy l.size for m in lamp where m == l");
}

struct Curing {
  Judged judged;
  Search search;
  Curing(std::string_view rules, std::string_view job) : judged(rules, job), search(*judged.judgement) {}
  std::optional<Cure> cure(std::string_view id) { return search.find(judged.finding(id)); }
  // "A 1/2 in, B 3/4 in"
  std::string changes(std::string_view id) {
    const auto found = cure(id);
    if (!found) return "none";
    std::string all;
    for (const remedy::Change& change : found->changes) {
      const meaning::Program& program = judged.compiled.program;
      CHECK(change.slot == judged.compiled.slot(change.thing, "size").value());
      all += (all.empty() ? "" : ", ") + std::string(program.text(program.things[change.thing.value].name)) + " " +
             std::string(program.text(NameId{change.value.index()}));
    }
    return all;
  }
};
}  // namespace

TEST_CASE("the next size that cures is the cure, with the margin that it leaves") {
  Curing one(thick("3 mm"), "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(one.judged.outcome("hall.thick @ A") == Outcome::breaks);
  CHECK(one.changes("hall.thick @ A") == "A 1/2 in");
  const auto cure = one.cure("hall.thick @ A");
  REQUIRE(cure.has_value());
  CHECK(cure->margin.found == doctest::Approx(0.004));
  CHECK(cure->margin.limit == doctest::Approx(0.003));
  CHECK(cure->turns.empty());
}

TEST_CASE("two sizes up where one is not enough") {
  Curing one(thick("5 mm"), "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(one.changes("hall.thick @ A") == "A 3/4 in");
}

TEST_CASE("beyond the last size there is no cure") {
  Curing last(thick("10 mm"), "lamp A { reach 5 ft, socket pin, size 1 in, cord plain_cord }\n");
  CHECK(last.changes("hall.thick @ A") == "none");
  Curing none(thick("20 mm"), "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(none.changes("hall.thick @ A") == "none");
}

TEST_CASE("a size that turns another finding is no cure") {
  const std::string thin = rule("thin", "for l in lamp\n  require l.thick <= 3.5 mm");
  Curing one(thick("3 mm") + thin, "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(one.judged.outcome("hall.thin @ A") == Outcome::holds);
  CHECK(one.changes("hall.thick @ A") == "none");
  const std::string wide = rule("thin", "for l in lamp\n  require l.thick <= 5 mm");
  Curing other(thick("3 mm") + wide, "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(other.changes("hall.thick @ A") == "A 1/2 in");
}

TEST_CASE("what it cures besides is told") {
  const std::string also = rule("also", "for l in lamp\n  require l.thick >= 2.5 mm");
  Curing one(thick("3 mm") + also, "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  const auto cure = one.cure("hall.thick @ A");
  REQUIRE(cure.has_value());
  REQUIRE(cure->turns.size() == 1);
  CHECK(cure->turns[0] == "hall.also @ A");
}

TEST_CASE("several together where none cures alone") {
  const std::string sum = rule("sum", "for l in lamp where l.hood\n  require (sum of m.thick for m in lamp) >= 12 mm\n  remedy m.size for m in lamp");
  Curing one(sum,
             "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord, hood yes }\n"
             "lamp B { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n"
             "lamp C { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(one.changes("hall.sum @ A") == "A 1/2 in, B 1/2 in, C 1/2 in");
}

TEST_CASE("the one that cures alone goes before all together, the first that does") {
  const std::string sum = rule("sum", "for l in lamp where l.hood\n  require (sum of m.thick for m in lamp) >= 6 mm\n  remedy m.size for m in lamp where not m.hood");
  Curing one(sum,
             "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord, hood yes }\n"
             "lamp B { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n"
             "lamp C { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(one.judged.outcome("hall.sum @ A") == Outcome::holds);
  Curing more(sum, "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord, hood yes }\nlamp B { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(more.changes("hall.sum @ A") == "B 1/2 in");
}

TEST_CASE("a rule without a remedy, and a finding that holds, have no cure") {
  Curing none(rule("thick", "for l in lamp\n  require l.thick >= 3 mm"), "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(none.changes("hall.thick @ A") == "none");
  Curing holds(thick("1 mm"), "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  CHECK(holds.changes("hall.thick @ A") == "none");
}

TEST_CASE("searching changes nothing in the judgement") {
  Curing one(thick("3 mm"), "lamp A { reach 5 ft, socket pin, size 1/4 in, cord plain_cord }\n");
  const std::string before = one.judged.all();
  CHECK(one.changes("hall.thick @ A") == "A 1/2 in");
  CHECK(one.changes("hall.thick @ A") == "A 1/2 in");
  CHECK(one.judged.all() == before);
}
