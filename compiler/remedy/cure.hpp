// The smallest change of a choice that cures one finding, proved by judging everything again with it: next
// sizes up in the table that orders them, one candidate at a time, then all candidates together.
#pragma once
#include "judge/judge.hpp"

#include <optional>

namespace dripleg::remedy {
struct Change {
  meaning::ThingId thing;
  u32 slot = 0;
  meaning::Value value;        // a size label
};
struct Cure {
  std::vector<Change> changes;
  std::string sentence;        // what the finding comes to with it, in its own numbers: found and limit
  judge::Margin margin;
  std::vector<std::string> turns;   // findings (ids) that hold with it and broke before
};
inline constexpr u32 most_trials = 48;   // of one search, over all findings

class Search {
 public:
  explicit Search(judge::Judgement& judgement);
  // None: the rule names no remedy, or none cures the finding without turning another.
  std::optional<Cure> find(const judge::Finding& finding);

 private:
  std::vector<Change> candidates(const judge::Finding& finding);
  std::optional<meaning::Value> step(meaning::ThingId thing, u32 slot, u32 steps) const;
  std::optional<Cure> trial(const judge::Finding& finding, const std::vector<Change>& changes);

  judge::Judgement& judgement_;
  const meaning::Program& program_;
  std::vector<std::pair<std::string, judge::Outcome>> before_;
  u32 trials_ = 0;
};
}  // namespace dripleg::remedy
