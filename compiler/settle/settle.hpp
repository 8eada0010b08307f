// What counts of a judged job: findings with the acceptances that cover them and the day on which they are
// asked. Judging knows neither; settling again never judges again.
#pragma once
#include "judge/judge.hpp"

#include <optional>

namespace dripleg::settle {
enum class Standing : u8 { plain, accepted, ran_out, impossible, day_not_given };
enum class Call : u8 {
  stop,     // a danger or fault breaks and nothing covers it
  look,     // open, or an advice that breaks
  aside,    // accepted
  good,     // holds
  silent,   // does not apply
  failed,   // could not be judged
};
struct Settled {
  u32 finding = 0;                  // in the judgement's list
  Standing standing = Standing::plain;
  Call call = Call::good;
  std::optional<u32> acceptance;    // of the program's
};
struct Result {
  std::vector<Settled> findings;    // one for each, in the same order
  u32 breaks = 0, open = 0, accepted = 0, holds = 0, silent = 0, failed = 0, advice = 0;
  bool day_missing = false;         // an acceptance counts whose last day could not be checked
};
// `day`: days since 1970-01-01. Acceptances that cover nothing, cannot count or ran out get a notice each.
Result settle(judge::Judgement& judgement, std::optional<i32> day, notices::Notices& notices);
std::string_view word_of(Standing standing);
std::string_view word_of(Call call);
}  // namespace dripleg::settle
