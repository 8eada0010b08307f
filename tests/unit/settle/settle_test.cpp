// What counts of the findings once acceptances and the day are laid over them.
#include "settle/settle.hpp"

#include "tests/unit/judge/judging.hpp"

using namespace dripleg;
using namespace dripleg::settle;
using judge::test::Judged;

namespace {
constexpr std::string_view rules = R"(
rule hall.fault  { says "So.", per practice "x", weight fault
  for l in lamp
  require l.reach >= 6 ft
  otherwise "{l} reaches {l.reach}." }
rule hall.danger { says "So.", per practice "x", weight danger
  for l in lamp
  require l.reach >= 4 ft
  otherwise "{l} reaches {l.reach}." }
rule hall.advice { says "So.", per practice "x", weight advice
  for l in lamp
  require l.reach >= 7 ft
  otherwise "{l} reaches {l.reach}." }
rule hall.asks   { says "So.", per practice "x", weight fault
  accepts_open
  for l in lamp where l.hood
  require l.back is given and l.back >= 1 ft
  otherwise "{l} stands {l.back} off." }
)";
constexpr i32 day = 20500;                     // 2026-02-16

struct Settling {
  Judged judged;
  notices::Notices notices;
  Result result;
  Settling(std::string_view job, std::optional<i32> on) : judged(rules, job), result(settle::settle(*judged.judgement, on, notices)) {}

  const Settled& of(std::string_view id) {
    const auto& findings = judged.judgement->findings();
    REQUIRE(result.findings.size() == findings.size());
    for (std::size_t at = 0; at < findings.size(); ++at)
      if (judged.judgement->id(findings[at]) == id) return result.findings[at];
    const bool found = false;
    REQUIRE_MESSAGE(found, std::string(id));
    return result.findings.front();
  }
  std::string codes() const {
    std::string all;
    for (const notices::Notice& notice : notices.all()) all += (all.empty() ? "" : " ") + std::string(notices::text_of(notice.code));
    return all;
  }
};
std::string accept(std::string_view what, std::string_view until = "2026-12-31", std::string_view more = "") {
  return "accept " + std::string(what) + " { because \"it is gone by then\", by \"the town\", until " + std::string(until) + std::string(more) + " }\n";
}
const std::string short_lamp = "lamp A { reach 5 ft, socket pin }\n";
}  // namespace

TEST_CASE("without acceptances each outcome has its call") {
  Settling one("lamp A { reach 5 ft, socket pin }\nlamp B { reach 8 ft, socket pin }\nlamp C { reach ? ft, socket pin }\n", day);
  CHECK(one.of("hall.fault @ A").call == Call::stop);
  CHECK(one.of("hall.danger @ A").call == Call::good);
  CHECK(one.of("hall.advice @ A").call == Call::look);
  CHECK(one.of("hall.asks @ A").call == Call::silent);
  CHECK(one.of("hall.fault @ B").call == Call::good);
  CHECK(one.of("hall.fault @ C").call == Call::look);
  for (const Settled& settled : one.result.findings) CHECK(settled.standing == Standing::plain);
  CHECK(one.result.breaks == 1);
  CHECK(one.result.advice == 1);
  CHECK(one.result.open == 3);
  CHECK(one.result.accepted == 0);
  CHECK(one.result.holds == 4);
  CHECK(one.result.silent == 3);
  CHECK(one.codes() == "");
}

TEST_CASE("an acceptance in time sets its finding aside, and only that") {
  Settling one(short_lamp + "lamp B { reach 5 ft, socket pin }\n" + accept("hall.fault for A"), day);
  CHECK(one.of("hall.fault @ A").standing == Standing::accepted);
  CHECK(one.of("hall.fault @ A").call == Call::aside);
  CHECK(one.of("hall.fault @ A").acceptance == 0u);
  CHECK(one.of("hall.fault @ B").call == Call::stop);
  CHECK(one.of("hall.advice @ A").call == Call::look);
  CHECK(one.result.accepted == 1);
  CHECK(one.result.breaks == 1);
  CHECK_FALSE(one.result.day_missing);
  CHECK(one.codes() == "");
}

TEST_CASE("an acceptance counts on its last day and not on the next") {
  Settling last(short_lamp + accept("hall.fault for A", "2026-02-16"), day);
  CHECK(last.of("hall.fault @ A").standing == Standing::accepted);
  Settling next(short_lamp + accept("hall.fault for A", "2026-02-16"), day + 1);
  CHECK(next.of("hall.fault @ A").standing == Standing::ran_out);
  CHECK(next.of("hall.fault @ A").call == Call::stop);
  CHECK(next.result.breaks == 1);
  CHECK(next.codes() == "accept.ran_out");
}

TEST_CASE("without a day it counts, and that is told") {
  Settling one(short_lamp + accept("hall.fault for A", "2001-01-01"), std::nullopt);
  CHECK(one.of("hall.fault @ A").standing == Standing::day_not_given);
  CHECK(one.of("hall.fault @ A").call == Call::aside);
  CHECK(one.result.day_missing);
  CHECK(one.result.accepted == 1);
}

TEST_CASE("a danger cannot be accepted") {
  Settling one("lamp A { reach 3 ft, socket pin }\n" + accept("hall.danger for A"), day);
  CHECK(one.of("hall.danger @ A").standing == Standing::impossible);
  CHECK(one.of("hall.danger @ A").call == Call::stop);
  CHECK(one.result.accepted == 0);
  CHECK(one.codes() == "accept.impossible");
}

TEST_CASE("no worse: as bad as was accepted counts, worse does not") {
  Settling as_bad(short_lamp + accept("hall.fault for A", "2026-12-31", ", no_worse 1 ft"), day);
  CHECK(as_bad.of("hall.fault @ A").standing == Standing::accepted);
  Settling worse("lamp A { reach 4.9 ft, socket pin }\n" + accept("hall.fault for A", "2026-12-31", ", no_worse 1 ft"), day);
  CHECK(worse.of("hall.fault @ A").standing == Standing::ran_out);
  CHECK(worse.of("hall.fault @ A").call == Call::stop);
  CHECK(worse.codes() == "accept.worse");
}

TEST_CASE("an acceptance that covers nothing is told") {
  Settling one("lamp A { reach 8 ft, socket pin }\n" + accept("hall.fault for A"), day);
  CHECK(one.codes() == "accept.unused");
  CHECK(one.of("hall.fault @ A").standing == Standing::plain);
  CHECK(one.of("hall.fault @ A").call == Call::good);
}

TEST_CASE("what is open is accepted only where the rule says so") {
  Settling fault("lamp A { reach ? ft, socket pin }\n" + accept("hall.fault for A"), day);
  CHECK(fault.of("hall.fault @ A").standing == Standing::plain);
  CHECK(fault.of("hall.fault @ A").call == Call::look);
  CHECK(fault.codes() == "");
  Settling asks("lamp A { reach 8 ft, socket pin, hood yes, back ? ft }\n" + accept("hall.asks for A"), day);
  CHECK(asks.of("hall.asks @ A").standing == Standing::accepted);
  CHECK(asks.of("hall.asks @ A").call == Call::aside);
  CHECK(asks.result.accepted == 1);
  CHECK(asks.result.open == 0);
}

TEST_CASE("an advice that is accepted is set aside") {
  Settling one(short_lamp + accept("hall.advice for A"), day);
  CHECK(one.of("hall.advice @ A").call == Call::aside);
  CHECK(one.result.advice == 0);
  CHECK(one.result.accepted == 1);
}

TEST_CASE("one name for several alike covers each of them, and its notice comes once") {
  Settling one("lamp A 2 of { reach 5 ft, socket pin }\n" + accept("hall.fault for A"), day);
  CHECK(one.of("hall.fault @ A[1]").standing == Standing::accepted);
  CHECK(one.of("hall.fault @ A[2]").standing == Standing::accepted);
  CHECK(one.codes() == "");
  Settling late("lamp A 2 of { reach 5 ft, socket pin }\n" + accept("hall.fault for A", "2026-01-01"), day);
  CHECK(late.of("hall.fault @ A[1]").standing == Standing::ran_out);
  CHECK(late.of("hall.fault @ A[2]").standing == Standing::ran_out);
  CHECK(late.codes() == "accept.ran_out");
}

TEST_CASE("settling again on another day judges nothing anew") {
  Judged judged(rules, short_lamp + accept("hall.fault for A", "2026-02-16"));
  const std::string before = judged.all();
  notices::Notices notices;
  CHECK(settle::settle(*judged.judgement, day, notices).accepted == 1);
  CHECK(settle::settle(*judged.judgement, day + 9, notices).accepted == 0);
  CHECK(judged.all() == before);
}

TEST_CASE("every standing and call has a word of its own") {
  std::string words;
  for (const Standing standing : {Standing::plain, Standing::accepted, Standing::ran_out, Standing::impossible, Standing::day_not_given})
    words += std::string(word_of(standing)) + " ";
  for (const Call call : {Call::stop, Call::look, Call::aside, Call::good, Call::silent, Call::failed}) words += std::string(word_of(call)) + " ";
  CHECK(words == "plain accepted ran_out impossible day_not_given stop look aside good silent failed ");
}
