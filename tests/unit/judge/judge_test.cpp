// Verdicts: the worst case and its margin, ranges, what is open and what is certain anyway, sweeps.
#include "tests/unit/judge/judging.hpp"

using namespace dripleg;
using namespace dripleg::judge;
using judge::test::foot;
using judge::test::Judged;

namespace {
// One rule on lamps, with these lines between its basis and its sentence.
std::string rule(std::string_view lines, std::string_view weight = "fault") {
  return "rule hall.r {\n  says \"So.\"\n  per practice \"as is done\"\n  weight " + std::string(weight) + "\n  " + std::string(lines) +
         "\n  otherwise \"{l} reaches {l.reach}.\"\n}\n";
}
constexpr std::string_view lamps = "lamp A { reach 5 ft, socket pin }\nlamp B { reach 8 ft, socket screw }\n";
const std::string at_least_six = "for l in lamp\n  require l.reach >= 6 ft";
}  // namespace

TEST_CASE("a rule is asked of each thing that it binds, in the order of the job") {
  Judged judged(rule(at_least_six), lamps);
  CHECK(judged.all() == "hall.r @ A breaks\nhall.r @ B holds\n");
  CHECK(judged.finding("hall.r @ A").sentence == "A reaches 5 ft.");
  CHECK(judged.finding("hall.r @ B").sentence == "");
}

TEST_CASE("a rule on two things binds every pair that is not left out") {
  Judged judged(rule("for l in lamp, m in lamp where l != m\n  require l.reach >= m.reach"), lamps);
  CHECK(judged.outcome("hall.r @ A, B") == Outcome::breaks);
  CHECK(judged.outcome("hall.r @ B, A") == Outcome::holds);
  CHECK(judged.outcome("hall.r @ A, A") == Outcome::does_not_apply);
}

TEST_CASE("a margin is what is left before the test turns") {
  Judged judged(rule(at_least_six), lamps);
  const Finding& breaks = judged.finding("hall.r @ A");
  REQUIRE(breaks.margin.numeric);
  CHECK(breaks.margin.found == doctest::Approx(5 * foot));
  CHECK(breaks.margin.limit == doctest::Approx(6 * foot));
  CHECK(breaks.margin.spare() == doctest::Approx(-foot));
  CHECK(judged.finding("hall.r @ B").margin.spare() == doctest::Approx(2 * foot));
  CHECK(judged.finding("hall.r @ B").margin.relative() == doctest::Approx(1.0 / 3));
}

TEST_CASE("a margin of `at most` counts the other way, and what is equal holds") {
  Judged judged(rule("for l in lamp\n  require l.reach <= 5 ft"), lamps);
  CHECK(judged.outcome("hall.r @ A") == Outcome::holds);
  CHECK(judged.finding("hall.r @ A").margin.spare() == doctest::Approx(0));
  CHECK(judged.finding("hall.r @ B").margin.spare() == doctest::Approx(-3 * foot));
}

TEST_CASE("of tests joined by and the tightest is shown, by or the best, of a range the nearer end") {
  Judged both(rule("for l in lamp\n  require l.reach >= 1 ft and l.reach <= 9 ft"), lamps);
  CHECK(both.finding("hall.r @ B").margin.limit == doctest::Approx(9 * foot));
  Judged either(rule("for l in lamp\n  require l.reach >= 7 ft or l.reach <= 4 ft"), lamps);
  CHECK(either.finding("hall.r @ B").margin.limit == doctest::Approx(7 * foot));
  CHECK(either.outcome("hall.r @ A") == Outcome::breaks);
  Judged range(rule("for l in lamp\n  require l.reach in l.span"), "lamp A { reach 5 ft, socket pin, span 4 ft .. 20 ft }\n");
  CHECK(range.finding("hall.r @ A").margin.limit == doctest::Approx(4 * foot));
  CHECK(range.finding("hall.r @ A").margin.range_low);
}

TEST_CASE("of several requirements the one that breaks decides, and an advice does not outweigh a fault") {
  Judged judged(rule("for l in lamp\n  require l.reach >= 6 ft\n  advise l.reach >= 10 ft"), lamps);
  CHECK(judged.outcome("hall.r @ A") == Outcome::breaks);
  CHECK_FALSE(judged.finding("hall.r @ A").advises);
  CHECK(judged.outcome("hall.r @ B") == Outcome::breaks);
  CHECK(judged.finding("hall.r @ B").advises);
  Judged advice(rule(at_least_six, "advice"), lamps);
  CHECK(advice.finding("hall.r @ A").advises);
}

TEST_CASE("what its where leaves out does not apply") {
  Judged judged(rule("for l in lamp where l.socket is screw\n  require l.reach >= 20 ft"), lamps);
  CHECK(judged.all() == "hall.r @ A does not apply\nhall.r @ B breaks\n");
}

TEST_CASE("the worst of the cases is shown by its name") {
  Judged judged(rule("during all_lit, none_lit\n  for l in lamp\n  require l.lit <= 6 ft"), lamps);
  const Finding& worst = judged.finding("hall.r @ B");
  CHECK(worst.outcome == Outcome::breaks);
  CHECK(worst.case_name == "all lit");
  Judged least(rule("during all_lit, none_lit\n  for l in lamp\n  require l.lit >= 1 ft"), lamps);
  CHECK(least.finding("hall.r @ B").case_name == "none lit");
}

TEST_CASE("among cases that all hold the tightest is the worst") {
  Judged judged(rule("during none_lit, all_lit\n  for l in lamp\n  require l.lit <= 9 ft"), lamps);
  const Finding& worst = judged.finding("hall.r @ B");
  CHECK(worst.outcome == Outcome::holds);
  CHECK(worst.case_name == "all lit");
  CHECK(worst.margin.spare() == doctest::Approx(foot));
}

TEST_CASE("a family is a case for each of its things") {
  Judged judged(rule("during one_lit\n  for l in lamp\n  require l.lit <= 6 ft"), lamps);
  CHECK(judged.finding("hall.r @ B").case_name == "one lit: B");
  CHECK(judged.outcome("hall.r @ A") == Outcome::holds);
}

TEST_CASE("a range that holds throughout is proved") {
  Judged judged(rule(at_least_six), "lamp A { reach 7 ft .. 9 ft, socket pin }\n");
  const Finding& one = judged.finding("hall.r @ A");
  CHECK(one.outcome == Outcome::holds);
  CHECK(one.sureness == Sureness::every_value);
  CHECK(one.margin.spare() == doctest::Approx(foot));
}

TEST_CASE("a range that breaks at one end is shown there") {
  Judged judged(rule(at_least_six), "lamp A { reach 5 ft .. 9 ft, socket pin }\n");
  const Finding& one = judged.finding("hall.r @ A");
  CHECK(one.outcome == Outcome::breaks);
  CHECK(one.margin.found < 6 * foot);
  CHECK(one.margin.found >= 5 * foot * (1 - 1e-12));
}

TEST_CASE("a break inside a range, where both ends hold, is found") {
  Judged judged(rule("for l in lamp\n  require (l.reach - 7 ft)^2 >= 0.01 ft2"), "lamp A { reach 5 ft .. 8 ft, socket pin }\n");
  const Finding& one = judged.finding("hall.r @ A");
  CHECK(one.outcome == Outcome::breaks);
  CHECK(one.margin.found < 0.01 * foot * foot);
}

TEST_CASE("what cannot be bounded is judged at points, and says so") {
  Judged judged(rule("for l in lamp\n  require not (l.reach == 7.123 ft)"), "lamp A { reach 5 ft .. 8 ft, socket pin }\n");
  const Finding& one = judged.finding("hall.r @ A");
  CHECK(one.outcome == Outcome::holds);
  CHECK(one.sureness == Sureness::sampled);
  CHECK(one.points > 2);
}

TEST_CASE("a rule that reads no range is exact although the job has some") {
  Judged judged(rule("for l in lamp\n  require l.hood == no"), "lamp A { reach 5 ft .. 8 ft, socket pin }\n");
  CHECK(judged.finding("hall.r @ A").sureness == Sureness::exact);
}

TEST_CASE("about is judged over its spread") {
  Judged judged(rule(at_least_six), "lamp A { reach about 6.4 ft, socket pin }\nlamp B { reach about 7 ft, socket pin }\n");
  CHECK(judged.outcome("hall.r @ A") == Outcome::breaks);
  CHECK(judged.finding("hall.r @ B").sureness == Sureness::every_value);
}

TEST_CASE("what is not known leaves open what it decides, and names what is missing") {
  Judged judged(rule(at_least_six), "lamp A { reach ? ft, socket pin }\nlamp B { reach 8 ft, socket pin }\nlamp C { socket pin }\n");
  CHECK(judged.all() == "hall.r @ A open\nhall.r @ B holds\nhall.r @ C open\n");
  const Finding& one = judged.finding("hall.r @ A");
  REQUIRE(one.holes.size() == 1);
  const meaning::Hole hole = judged.judgement->evaluation().hole(one.holes[0]);
  CHECK(hole.thing == judged.compiled.thing("A"));
  CHECK(hole.slot == judged.compiled.slot(hole.thing, "reach").value());
}

TEST_CASE("what decides by itself is not left open by what is missing") {
  Judged judged(rule("for l in lamp\n  require l.hood or l.reach >= 6 ft"), "lamp A { reach ? ft, socket pin, hood yes }\n");
  CHECK(judged.outcome("hall.r @ A") == Outcome::holds);
}

TEST_CASE("an answer that cannot matter is not waited for") {
  const std::string same = rule("for l in lamp\n  require l.socket is screw and l.reach >= 6 ft or l.socket is pin and l.reach >= 7 ft");
  Judged holds(same, "lamp A { reach 8 ft, socket ? }\n");
  CHECK(holds.outcome("hall.r @ A") == Outcome::holds);
  CHECK(holds.finding("hall.r @ A").sureness == Sureness::certain);
  Judged breaks(same, "lamp A { reach 5 ft, socket ? }\n");
  CHECK(breaks.outcome("hall.r @ A") == Outcome::breaks);
  CHECK(breaks.finding("hall.r @ A").sentence == "A reaches 5 ft.");
  Judged matters(same, "lamp A { reach 6.5 ft, socket ? }\n");
  CHECK(matters.outcome("hall.r @ A") == Outcome::open);
}

TEST_CASE("of two values that it may have, both decide alike") {
  const std::string same = rule("for l in lamp\n  require (if l.socket is screw then l.reach else l.reach - 1 ft) >= 6 ft");
  CHECK(Judged(same, "lamp A { reach 8 ft, socket ? }\n").outcome("hall.r @ A") == Outcome::holds);
  CHECK(Judged(same, "lamp A { reach 5 ft, socket ? }\n").outcome("hall.r @ A") == Outcome::breaks);
  CHECK(Judged(same, "lamp A { reach 6.5 ft, socket ? }\n").outcome("hall.r @ A") == Outcome::open);
}

TEST_CASE("a bound of what is not known can decide") {
  Judged judged(rule("for l in lamp\n  require l.reach + 7 ft >= 6 ft"), "lamp A { reach ? ft, socket pin }\n");
  CHECK(judged.outcome("hall.r @ A") == Outcome::holds);
  Judged breaks(rule("for l in lamp\n  require l.reach + 7 ft <= 6 ft"), "lamp A { reach ? ft, socket pin }\n");
  CHECK(breaks.outcome("hall.r @ A") == Outcome::breaks);
}

TEST_CASE("unknown breaks, where the rule says so") {
  const std::string_view dark = "lamp A { reach ? ft, socket pin, hood yes }\nlamp B { reach ? ft, socket pin }\n";
  Judged all(rule(at_least_six + "\n  unknown breaks"), dark);
  CHECK(all.outcome("hall.r @ A") == Outcome::breaks);
  CHECK_FALSE(all.finding("hall.r @ A").holes.empty());
  Judged some(rule(at_least_six + "\n  unknown breaks where l.hood"), dark);
  CHECK(some.outcome("hall.r @ A") == Outcome::breaks);
  CHECK(some.outcome("hall.r @ B") == Outcome::open);
}

TEST_CASE("a sweep tells from where to where it breaks") {
  Judged judged(rule("during evening\n  for l in lamp\n  require l.reach >= dusk"), lamps);
  const Finding& one = judged.finding("hall.r @ A");
  CHECK(one.outcome == Outcome::breaks);
  CHECK(one.sureness == Sureness::swept);
  CHECK(one.margin.limit == doctest::Approx(10 * foot));
  CHECK(one.first_uncovered == "6 ft");
  CHECK(one.last_uncovered == "10 ft");
  Judged holds(rule("during evening\n  for l in lamp\n  require l.reach + 6 ft >= dusk"), lamps);
  CHECK(holds.finding("hall.r @ A").outcome == Outcome::holds);
  CHECK(holds.finding("hall.r @ A").sureness == Sureness::swept);
  CHECK(holds.finding("hall.r @ A").first_uncovered == "");
}

TEST_CASE("what cannot be computed fails, with a notice, and fails nothing else") {
  Judged judged(rule("for l in lamp\n  require l.reach / (l.reach - 5 ft) >= 1"), lamps);
  CHECK(judged.all() == "hall.r @ A failed\nhall.r @ B holds\n");
  REQUIRE(judged.notices.size() == 1);
  CHECK(judged.notices.all()[0].code == notices::Code::value_divides_by_zero);
}

TEST_CASE("a change under trial is judged as if it stood in the job") {
  Judged plain(rule(at_least_six), lamps);
  const meaning::ThingId lamp = plain.compiled.thing("A");
  Options options;
  options.changes.push_back({lamp, *plain.compiled.slot(lamp, "reach"), meaning::Value::number(7 * foot)});
  Judgement again(plain.compiled.program, plain.notices, options);
  again.run();
  REQUIRE(again.findings().size() == 2);
  CHECK(again.findings()[0].outcome == Outcome::holds);
  CHECK(again.findings()[0].margin.found == doctest::Approx(7 * foot));
  CHECK(plain.outcome("hall.r @ A") == Outcome::breaks);
}

TEST_CASE("one rule alone is judged if only one is asked") {
  Options options;
  options.only = meaning::RuleId{0};
  Judged judged(rule(at_least_six) + "rule hall.s { says \"Too.\", per practice \"x\", weight fault\n for l in lamp\n require l.hood\n otherwise \"{l}.\" }\n", lamps, options);
  CHECK(judged.all() == "hall.r @ A breaks\nhall.r @ B holds\n");
}

TEST_CASE("judged twice, everything is the same") {
  const std::string job = "lamp A { reach 5 ft .. 9 ft, socket pin }\nlamp B { reach about 8 ft, socket ? }\n";
  Judged one(rule("during all_lit, one_lit\n  for l in lamp\n  require l.lit <= 8 ft"), job);
  Judged other(rule("during all_lit, one_lit\n  for l in lamp\n  require l.lit <= 8 ft"), job);
  CHECK(one.all() == other.all());
  for (std::size_t at = 0; at < one.judgement->findings().size(); ++at)
    CHECK(one.judgement->findings()[at].margin.found == other.judgement->findings()[at].margin.found);
}
