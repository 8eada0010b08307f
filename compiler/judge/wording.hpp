// Values in words: what a person reads in a finding, a report or a derivation. Things by their names,
// quantities in the unit that the trade reads them in, none and not-known as such.
#pragma once
#include "evaluate/evaluation.hpp"
#include "quantities/print.hpp"

#include <string>

namespace dripleg::judge {
class Wording {
 public:
  Wording(const meaning::Program& program, evaluate::Evaluation& evaluation, quantities::System system)
      : program_(program), evaluation_(evaluation), printer_(program.names, program.catalogue, system) {}

  // A value of a type; the unit may be asked for; else the field's own, else the dimension's.
  std::string value(meaning::Value value, const meaning::Type& type, evaluate::WorldId world, std::string_view unit = {}) const;
  // A field of a thing as stated, word for word, if it is stated plainly; else as `value`.
  std::string field(meaning::ThingId thing, u32 slot, evaluate::WorldId world) const;
  // A field with an entry for each of several: all of them.
  std::string entries(meaning::Value list, const meaning::Field& field) const;
  std::string templated(meaning::Slice parts, const evaluate::Scope& scope, evaluate::WorldId world) const;
  std::string expr(meaning::ExprId expr, const evaluate::Scope& scope, evaluate::WorldId world, std::string_view unit = {}) const;
  std::string citation(const meaning::Citation& citation) const;
  std::string thing(meaning::ThingId thing) const { return evaluation_.name_of(thing); }
  std::string hole(const meaning::Hole& hole) const;     // `B1.inlet`, for a list of what is missing
  const quantities::Printer& printer() const { return printer_; }
  // The unit that a field is to be shown in, if it has its own; empty if not.
  std::string_view unit_of(meaning::ExprId expr) const;

 private:
  const meaning::Program& program_;
  evaluate::Evaluation& evaluation_;
  quantities::Printer printer_;
};
std::string_view basis_word(meaning::Basis basis);
}  // namespace dripleg::judge
