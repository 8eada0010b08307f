#include "judge/in_force.hpp"

namespace dripleg::judge {
using meaning::Amendment;
using meaning::Citation;
using meaning::CodeSet;
using meaning::Limit;
using meaning::LimitChoice;
using meaning::Rule;

InForce::InForce(const meaning::Program& program, CodeSetId code, bool everything)
    : program_(program), everything_(everything) {
  u32 depth = 0;
  for (CodeSetId at = code; at.given() && depth < 64; at = program.codes[at.value].parent, ++depth) {
    const CodeSet& set = program.codes[at.value];
    for (u32 n = 0; n < set.adopts.count; ++n) adopted_.push_back(program.document_ids[set.adopts.first + n]);
    for (u32 n = 0; n < set.amendments.count; ++n) amendments_.push_back(&program.amendments[set.amendments.first + n]);
  }
  rules_.resize(program.rules.size());
  for (u32 at = 0; at < program.rules.size(); ++at) {
    rules_[at] = decide(RuleId{at});
    if (!rules_[at] && !code.given() && !everything) ++waiting_;
  }
  limits_.resize(program.limits.size());
  for (u32 at = 0; at < program.limits.size(); ++at) limits_[at] = choose(LimitId{at});
}

std::optional<u32> InForce::distance(DocumentId document) const {
  std::optional<u32> nearest;
  for (const DocumentId adopted : adopted_) {
    u32 steps = 0;
    for (DocumentId at = adopted; at.given() && steps < 64; at = program_.documents[at.value].carries_on, ++steps)
      if (at == document) {
        if (!nearest || steps < *nearest) nearest = steps;
        break;
      }
  }
  return nearest;
}

const Amendment* InForce::dropped_by(RuleId rule) const {
  for (const Amendment* amendment : amendments_)
    if (amendment->rule == rule && !amendment->limit.given()) return amendment;
  return nullptr;
}

bool InForce::decide(RuleId id) const {
  if (everything_) return true;
  if (dropped_by(id) != nullptr) return false;
  const Rule& rule = program_.rules[id.value];
  const auto counts = [&](Slice citations) {
    for (u32 at = 0; at < citations.count; ++at) {
      const Citation& citation = program_.citations[citations.first + at];
      if (!citation.document.given() || distance(citation.document)) return true;
    }
    return false;
  };
  if (counts(rule.citations)) return true;
  if (rule.citations.count != 0) return false;
  bool any = false;
  for (u32 at = 0; at < rule.limits.count; ++at) {
    const Limit& limit = program_.limits[rule.limits.first + at];
    for (u32 n = 0; n < limit.choices.count; ++n) {
      const LimitChoice& choice = program_.limit_choices[limit.choices.first + n];
      any = any || choice.citations.count != 0;
      if (counts(choice.citations)) return true;
    }
  }
  return !any;
}

ChosenLimit InForce::choose(LimitId id) const {
  for (const Amendment* amendment : amendments_)
    if (amendment->limit == id) return {amendment->value, amendment->citations, true};
  const Limit& limit = program_.limits[id.value];
  ChosenLimit best;
  u64 best_rank = ~u64{0};
  for (u32 n = 0; n < limit.choices.count; ++n) {
    const LimitChoice& choice = program_.limit_choices[limit.choices.first + n];
    // Rank: nearer editions first, then the order of adopting, then the order written.
    u64 rank = u64{1} << 40;
    for (u32 at = 0; at < choice.citations.count; ++at) {
      const Citation& citation = program_.citations[choice.citations.first + at];
      if (!citation.document.given()) continue;
      for (u32 place = 0; place < adopted_.size(); ++place) {
        u32 steps = 0;
        for (DocumentId doc = adopted_[place]; doc.given() && steps < 64; doc = program_.documents[doc.value].carries_on, ++steps)
          if (doc == citation.document) {
            rank = std::min<u64>(rank, (static_cast<u64>(steps) << 20) + place);
            break;
          }
      }
    }
    if (rank < best_rank) {
      best_rank = rank;
      best = {choice.value, choice.citations, false};
    }
  }
  return best;
}
}  // namespace dripleg::judge
