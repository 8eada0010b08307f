// Which rules a job is held to, and which of a limit's values count: by the documents that its code adopts,
// what that code amends or drops, and the editions that carry others on.
#pragma once
#include "meaning/program.hpp"

#include <optional>
#include <vector>

namespace dripleg::judge {
using meaning::CodeSetId;
using meaning::DocumentId;
using meaning::ExprId;
using meaning::LimitId;
using meaning::RuleId;
using meaning::Slice;

struct ChosenLimit {
  ExprId value;
  Slice citations;
  bool amended = false;
};
class InForce {
 public:
  // With a code: what it adopts. Without one: only rules that rest on no document, or, if `everything`,
  // every rule (as in examples).
  InForce(const meaning::Program& program, CodeSetId code, bool everything);

  bool rule(RuleId rule) const { return rules_[rule.value] != 0; }
  const ChosenLimit& limit(LimitId limit) const { return limits_[limit.value]; }
  // How near a document is to an adopted one: 0 adopted itself, n carried on over n editions; none: not at all.
  std::optional<u32> distance(DocumentId document) const;
  // Rules that would count if the job said to which code it is held.
  u32 waiting_for_code() const { return waiting_; }
  // Why a rule is out of force: the amendment that drops it, if one does.
  const meaning::Amendment* dropped_by(RuleId rule) const;

 private:
  bool decide(RuleId rule) const;
  ChosenLimit choose(LimitId limit) const;

  const meaning::Program& program_;
  bool everything_;
  std::vector<DocumentId> adopted_;                // in the order of weight
  std::vector<const meaning::Amendment*> amendments_;   // an overlay's before its parent's
  std::vector<char> rules_;
  std::vector<ChosenLimit> limits_;
  u32 waiting_ = 0;
};
}  // namespace dripleg::judge
