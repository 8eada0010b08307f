#include "judge/prove.hpp"

#include <cmath>
#include <fmt/format.h>

namespace dripleg::judge {
AgreementResult check_agreement(const meaning::Program& program, evaluate::Evaluation& evaluation, const Wording& wording,
                                const meaning::Agreement& agreement) {
  AgreementResult result;
  const evaluate::Scope scope{};
  const meaning::Value left = evaluation.expr(agreement.left, scope, evaluate::nominal_world);
  const meaning::Value right = evaluation.expr(agreement.right, scope, evaluate::nominal_world);
  const meaning::Type type = program.types[program.expr_notes[agreement.left.value].type.value];
  result.words = fmt::format("{} against {}", wording.value(left, type, evaluate::nominal_world), wording.value(right, type, evaluate::nominal_world));
  if (!left.known() || !right.known()) {
    result.agrees = left == right && !left.is(meaning::State::failed);
    return result;
  }
  result.left = left.number();
  result.right = right.number();
  if (type.kind != meaning::TypeKind::quantity) {
    result.agrees = left == right;
    return result;
  }
  const double apart = std::fabs(result.left - result.right);
  result.off = agreement.relative ? apart / std::fmax(std::fabs(result.right), 1e-300) : apart;
  result.agrees = result.off <= agreement.tolerance * (1 + 1e-9);
  return result;
}
}  // namespace dripleg::judge
