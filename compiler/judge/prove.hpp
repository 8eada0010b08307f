// The library's own proof: agreements computed and compared. Examples are jobs of their own and are judged
// by whoever can read text (see project/examples).
#pragma once
#include "evaluate/evaluation.hpp"
#include "judge/wording.hpp"

namespace dripleg::judge {
struct AgreementResult {
  bool agrees = false;
  double left = 0, right = 0;
  double off = 0;          // relative, or in base units
  std::string words;       // both sides as people read them
};
AgreementResult check_agreement(const meaning::Program& program, evaluate::Evaluation& evaluation, const Wording& wording,
                                const meaning::Agreement& agreement);
}  // namespace dripleg::judge
