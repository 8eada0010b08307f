// What stands between a number and what follows it: one blank before a unit, or a smaller measure that goes on.
#include "meaning/checker.hpp"
#include "quantities/reading.hpp"
#include "quantities/unit_reader.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
bool Checker::wide_gap(const std::vector<Cursor>& values, std::size_t at) {
  if (at + 1 >= values.size() || !values[at].is(Node::measure) || !values[at + 1].is(Node::path)) return false;
  const base::Span number = values[at].span(), word = values[at + 1].span();
  const std::string_view gap = values[at].file_text().substr(number.end, word.begin - number.end);
  if (gap == " " || values[at].text().find(' ') != std::string_view::npos) return false;
  const std::string_view unit = values[at + 1].text();
  if (!program.catalogue.find_unit(name(unit)).given()) return false;
  const base::Place both{values[at].place().file, {number.begin, word.end}};
  fail(Code::blank_before_unit, both, "more than one blank, or a tab, stands between the number and its unit")
      .cures.push_back(fmt::format("write {} {}", values[at].text(), unit));
  return true;
}

bool Checker::goes_on(const std::vector<Cursor>& values, std::size_t at, const Field& field) {
  const Type type = type_of(field.type);
  if (type.kind != TypeKind::quantity || at + 1 >= values.size() || !values[at].is(Node::measure) || !values[at + 1].is(Node::measure)) return false;
  if (values[at + 1].span().begin - values[at].span().end != 1) return false;
  const auto one_of = [&](Cursor leaf) -> std::optional<double> {
    quantities::Problem problem;
    const auto measure = quantities::read_measure(leaf.text(), problem);
    if (!measure || measure->kind != quantities::MeasureKind::with_unit || measure->number.negative) return std::nullopt;
    quantities::UnitReader reader(program.names, program.catalogue);
    std::optional<quantities::Problem> trouble;
    const auto unit = reader.read_in(measure->unit, quantities::DimensionId{type.of}, quantities::Where::entry, trouble);
    const auto number = quantities::read_number("1");
    return unit && number ? std::optional(quantities::value_of(*number, *unit)) : std::nullopt;
  };
  const auto large = one_of(values[at]), small = one_of(values[at + 1]);
  return large && small && *small < *large;
}

std::string Checker::with_article(std::string_view noun) {
  if (const auto dot = noun.rfind('.'); dot != std::string_view::npos) noun = noun.substr(dot + 1);
  const bool vowel = !noun.empty() && std::string_view("aeiou").find(noun.front()) != std::string_view::npos;
  return fmt::format("{} {}", vowel ? "an" : "a", noun);
}
}  // namespace dripleg::meaning
