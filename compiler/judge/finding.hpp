// One finding: a rule, what it was asked of, and how that came out in the worst of the cases. Its identity
// is the rule and its subjects alone, never a number, a place or a case.
#pragma once
#include "evaluate/worlds.hpp"
#include "meaning/program.hpp"

#include <optional>
#include <string>
#include <vector>

namespace dripleg::judge {
enum class Outcome : u8 { holds, breaks, open, failed, does_not_apply };
enum class Sureness : u8 {
  exact,        // nothing uncertain was read
  every_value,  // proved for every value of the ranges that it reads
  swept,        // every step of a sweep
  sampled,      // judged at points, not proved
  certain,      // something is not known, and it comes out so whatever that is
};

struct Margin {
  meaning::ExprId left, right;         // of the test; right may be none for yes/no tests
  meaning::Op op = meaning::Op::constant;
  double found = 0, limit = 0;         // base units
  bool numeric = false;
  bool range_high = false, range_low = false;   // an end of `in RANGE`
  // Spare, in base units: what is left before the test turns; negative: it has turned.
  double spare() const {
    return op == meaning::Op::at_least || op == meaning::Op::greater ? found - limit : limit - found;
  }
  // The same as a share of the limit's size.
  double relative() const;
};

struct Finding {
  meaning::RuleId rule;
  std::vector<meaning::ThingId> subjects;       // in the order of the rule's binders
  std::vector<meaning::Value> locals;           // the frame, for wording the finding again
  Outcome outcome = Outcome::holds;
  bool advises = false;                         // the requirement that decided is an `advise`
  meaning::ExprId test;
  Margin margin;
  evaluate::WorldId world;                      // the worst
  meaning::CaseId case_id;                      // none: no case
  std::string case_name;                        // as people read it
  Sureness sureness = Sureness::exact;
  u32 points = 0;                               // of a sampling
  std::string first_uncovered, last_uncovered;  // of a sweep that breaks
  std::vector<meaning::HoleId> holes;           // what is missing, if open
  bool more_holes = false;
  u32 notice = 0;                               // if failed
  std::string sentence;                         // what is wrong, if it breaks
};
}  // namespace dripleg::judge
