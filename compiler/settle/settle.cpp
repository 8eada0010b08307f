#include "settle/settle.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::settle {
using judge::Finding;
using judge::Outcome;
using meaning::Acceptance;
using notices::Code;

std::string_view word_of(Standing standing) {
  switch (standing) {
    case Standing::plain: return "plain";
    case Standing::accepted: return "accepted";
    case Standing::ran_out: return "ran_out";
    case Standing::impossible: return "impossible";
    case Standing::day_not_given: return "day_not_given";
  }
  return "";
}
std::string_view word_of(Call call) {
  switch (call) {
    case Call::stop: return "stop";
    case Call::look: return "look";
    case Call::aside: return "aside";
    case Call::good: return "good";
    case Call::silent: return "silent";
    case Call::failed: return "failed";
  }
  return "";
}

namespace {
bool covers(const meaning::Program& program, const Acceptance& acceptance, const Finding& finding) {
  if (!(acceptance.rule == finding.rule)) return false;
  if (finding.subjects.empty()) return acceptance.subjects.count == 0;
  for (u32 at = 0; at < acceptance.subjects.count; ++at) {
    const meaning::ThingId subject = program.thing_ids[acceptance.subjects.first + at];
    if (std::find(finding.subjects.begin(), finding.subjects.end(), subject) != finding.subjects.end()) return true;
    // One name for N alike covers each of them.
    const meaning::Thing& named = program.things[subject.value];
    if (named.number == 1)
      for (const meaning::ThingId one : finding.subjects)
        if (program.things[one.value].name == named.name && program.things[one.value].number != 0) return true;
  }
  return false;
}
}  // namespace

Result settle(judge::Judgement& judgement, std::optional<i32> day, notices::Notices& notices) {
  const meaning::Program& program = judgement.program();
  Result result;
  std::vector<u32> uses(program.acceptances.size(), 0);
  const auto& findings = judgement.findings();
  for (u32 at = 0; at < findings.size(); ++at) {
    const Finding& finding = findings[at];
    const meaning::Rule& rule = program.rules[finding.rule.value];
    Settled settled;
    settled.finding = at;
    for (u32 n = 0; n < program.acceptances.size(); ++n) {
      const Acceptance& acceptance = program.acceptances[n];
      if (!covers(program, acceptance, finding)) continue;
      const bool acceptable = finding.outcome == Outcome::breaks || (finding.outcome == Outcome::open && rule.accepts_open);
      if (!acceptable) continue;
      ++uses[n];
      settled.acceptance = n;
      if (rule.weight == meaning::Weight::danger) {
        settled.standing = Standing::impossible;
        if (uses[n] == 1)
          notices.add(Code::accept_impossible, acceptance.place, fmt::format("{} is a danger, and nobody can accept it", program.text(rule.name)))
              .cures.push_back("cure it; the acceptance counts for nothing");
      } else if (acceptance.no_worse_given && finding.margin.numeric && -finding.margin.spare() > acceptance.no_worse * (1 + 1e-9)) {
        settled.standing = Standing::ran_out;
        if (uses[n] == 1) notices.add(Code::accept_worse, acceptance.place, fmt::format("{} is worse by now than was accepted", judgement.id(finding)));
      } else if (!day) {
        settled.standing = Standing::day_not_given;
        result.day_missing = true;
      } else if (*day > acceptance.until) {
        settled.standing = Standing::ran_out;
        if (uses[n] == 1)
          notices.add(Code::accept_ran_out, acceptance.place, fmt::format("the acceptance of {} ran out on {}", judgement.id(finding), quantities::format_date(acceptance.until)));
      } else {
        settled.standing = Standing::accepted;
      }
      break;
    }
    const bool set_aside = settled.standing == Standing::accepted || settled.standing == Standing::day_not_given;
    switch (finding.outcome) {
      case Outcome::does_not_apply: settled.call = Call::silent; ++result.silent; break;
      case Outcome::holds: settled.call = Call::good; ++result.holds; break;
      case Outcome::failed: settled.call = Call::failed; ++result.failed; break;
      case Outcome::open:
        settled.call = set_aside ? Call::aside : Call::look;
        ++(set_aside ? result.accepted : result.open);
        break;
      case Outcome::breaks:
        settled.call = set_aside ? Call::aside : finding.advises ? Call::look : Call::stop;
        ++(set_aside ? result.accepted : finding.advises ? result.advice : result.breaks);
        break;
    }
    result.findings.push_back(settled);
  }
  for (u32 n = 0; n < program.acceptances.size(); ++n)
    if (uses[n] == 0 && std::none_of(findings.begin(), findings.end(), [&](const Finding& finding) { return finding.outcome == Outcome::open && covers(program, program.acceptances[n], finding); }))
      notices.add(Code::accept_unused, program.acceptances[n].place, fmt::format("this acceptance of {} covers nothing that breaks", program.text(program.acceptances[n].rule_name)))
          .cures.push_back("take it out");
  return result;
}
}  // namespace dripleg::settle
