// Which rules a job is held to, and which of a limit's values.
#include "tests/unit/judge/judging.hpp"

using namespace dripleg;
using namespace dripleg::judge;
using judge::test::Judged;

namespace {
constexpr std::string_view rules = R"(
rule hall.first  { says "One.",   per law_one "1", weight fault
  for l in lamp
  require l.reach >= 1 ft
  otherwise "{l} reaches {l.reach}." }
rule hall.second { says "Two.",   per law_two "2", weight fault
  for l in lamp
  require l.reach >= 1 ft
  otherwise "{l} reaches {l.reach}." }
rule hall.by     { says "Three.", per by_law "3", weight fault
  for l in lamp
  require l.reach >= 1 ft
  otherwise "{l} reaches {l.reach}." }
rule hall.usual  { says "Four.",  per practice "as is done", weight fault
  for l in lamp
  require l.reach >= 1 ft
  otherwise "{l} reaches {l.reach}." }
rule hall.either { says "Five.", weight fault
  per by_law "5"
  per law_one "5"
  limit least length = 2 ft   per law_one "5"
  limit least length = 3 ft   per law_two "5"
  limit least length = 4 ft   per by_law "5"
  for l in lamp
  require l.reach >= least
  otherwise "{l} reaches {l.reach}." }
code first   { "The first.", adopts [law_one] }
code second  { "The second.", adopts [law_two] }
code third   { "The third.", adopts [law_three] }
code by_first { "Another first.", adopts [by_law, law_one] }
code by_alone { "Another alone.", adopts [by_law] }
code town is second {
  "A town."
  drop hall.first per firm "the town, 1"
  amend hall.either { least 6 ft per firm "the town, 2" }
}
code village is town { "A village.", amend hall.either { least 7 ft per firm "the village, 1" } }
)";
std::string job_under(std::string_view code) {
  return "job \"Hall\" { " + (code.empty() ? std::string() : "code " + std::string(code)) + " }\nlamp A { reach 5 ft, socket pin }\n";
}
// The names of the rules that a job under the code is held to.
std::string in_force(std::string_view code, Options options = {}) {
  Judged judged(rules, job_under(code), options);
  std::string names;
  for (const Finding& finding : judged.judgement->findings()) {
    const std::string id = judged.judgement->id(finding);
    names += id.substr(5, id.find(' ') - 5) + " ";
  }
  return names;
}
double limit_under(std::string_view code) {
  Judged judged(rules, job_under(code));
  return judged.finding("hall.either @ A").margin.limit / test::foot;
}
}  // namespace

TEST_CASE("a rule is in force where a document that it cites is adopted, or when it needs none") {
  CHECK(in_force("first") == "first usual either ");
  CHECK(in_force("by_alone") == "by usual either ");
  CHECK(in_force("by_first") == "first by usual either ");
}

TEST_CASE("an edition that carries another on brings its clauses, and the other way it does not") {
  CHECK(in_force("second") == "first second usual either ");
  CHECK(in_force("third") == "first second usual either ");
}

TEST_CASE("a dropped rule is out, and what drops it can be named") {
  CHECK(in_force("town") == "second usual either ");
  CHECK(in_force("village") == "second usual either ");
  Judged judged(rules, job_under("town"));
  const meaning::Amendment* dropped = judged.judgement->in_force().dropped_by(meaning::RuleId{0});
  REQUIRE(dropped != nullptr);
  CHECK(judged.compiled.program.text(judged.compiled.program.rules[dropped->rule.value].name) == "hall.first");
  CHECK(judged.judgement->in_force().dropped_by(meaning::RuleId{1}) == nullptr);
}

TEST_CASE("without a code only what rests on no document, unless everything is asked") {
  CHECK(in_force("") == "usual ");
  Judged judged(rules, job_under(""));
  CHECK(judged.judgement->in_force().waiting_for_code() == 4);
  Options options;
  options.everything = true;
  CHECK(in_force("", options) == "first second by usual either ");
}

TEST_CASE("a limit is that of the nearest edition, then of the document adopted first") {
  CHECK(limit_under("first") == doctest::Approx(2));
  CHECK(limit_under("second") == doctest::Approx(3));
  CHECK(limit_under("third") == doctest::Approx(3));
  CHECK(limit_under("by_alone") == doctest::Approx(4));
  CHECK(limit_under("by_first") == doctest::Approx(4));
}

TEST_CASE("an amendment goes before the documents, the nearest overlay's first") {
  CHECK(limit_under("town") == doctest::Approx(6));
  CHECK(limit_under("village") == doctest::Approx(7));
  Judged judged(rules, job_under("village"));
  const ChosenLimit& chosen = judged.judgement->in_force().limit(meaning::LimitId{0});
  CHECK(chosen.amended);
  REQUIRE(chosen.citations.count == 1);
  CHECK(judged.compiled.program.text(judged.compiled.program.citations[chosen.citations.first].clause) == "the village, 1");
  CHECK(judged.outcome("hall.either @ A") == Outcome::breaks);
}

TEST_CASE("how near a document is to what is adopted") {
  Judged judged(rules, job_under("third"));
  const InForce& in_force_here = judged.judgement->in_force();
  CHECK(in_force_here.distance(meaning::DocumentId{2}) == 0u);
  CHECK(in_force_here.distance(meaning::DocumentId{1}) == 1u);
  CHECK(in_force_here.distance(meaning::DocumentId{0}) == 2u);
  CHECK_FALSE(in_force_here.distance(meaning::DocumentId{3}).has_value());
}
