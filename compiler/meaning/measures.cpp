// Dimensions and units: their declarations are handed to the catalogue as texts, in whatever order they
// stand; what names something that comes later waits for it.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
// The text behind `=` of a declaration, as it stands in the file.
Cursor formula_of(Cursor decl) {
  const Cursor equals = decl.child(Node::equals);
  if (!equals.given()) return {};
  const auto parts = equals.parts();
  return parts.empty() ? Cursor{} : parts.front();
}

struct Waiting {
  Cursor decl;
  const SourceTree* unit;
};

quantities::Catalogue::Outcome declare_dimension(Checker& checker, Cursor decl) {
  auto& program = checker.program;
  const auto paths = decl.children(Node::path);
  const NameId word = checker.name(paths.front());
  quantities::Traits traits;
  if (const Cursor block = decl.child(Node::block); block.given())
    for (const Cursor entry : block.children(Node::entry)) {
      const auto words = entry.children(Node::path);
      const std::string_view head = words.front().text();
      if (head == "shown" || head == "shown_si" || head == "reads") continue;
      if (words.size() == 1 && !add_trait(traits, words.front().text()) && words.front().text() != "angle")
        checker.fail(Code::bad_declaration, entry, fmt::format("a dimension has no mark `{}`", words.front().text()));
    }
  if (const Cursor is = decl.child(Node::d_is); is.given()) {
    const auto parent = is.parts();
    return program.catalogue.declare_is(program.names, word, checker.name(parent.front()), traits);
  }
  if (const Cursor formula = formula_of(decl); formula.given())
    return program.catalogue.declare_formula(program.names, word, formula.text(), traits);
  return program.catalogue.declare_base(program.names, word, traits);
}

void read_dimension_block(Checker& checker, Cursor decl) {
  auto& program = checker.program;
  const Cursor block = decl.child(Node::block);
  if (!block.given()) return;
  const auto dimension = program.catalogue.find_dimension(checker.name(decl.children(Node::path).front()));
  if (!dimension.given()) return;
  for (const Cursor entry : block.children(Node::entry)) {
    const auto kids = entry.children();
    const std::string_view head = kids.front().text();
    quantities::Catalogue::Outcome outcome;
    if (head == "reads" && kids.size() >= 4) {
      const base::Span meaning{kids[3].span().begin, kids.back().span().end};
      outcome = program.catalogue.add_reads(program.names, dimension, checker.name(kids[1]),
                                            decl.file_text().substr(meaning.begin, meaning.size()));
    } else if (head == "shown" || head == "shown_si") {
      quantities::ShownText shown;
      shown.si = head == "shown_si";
      std::string prints;
      base::Span unit = kids[1].span();
      for (std::size_t at = 1; at < kids.size(); ++at) {
        if (kids[at].text() == "from" && at + 1 < kids.size()) shown.from = kids[++at].text();
        else if (kids[at].text() == "prints" && at + 1 < kids.size()) {
          prints = plain_text(kids[++at]);
          shown.prints = prints;
        } else if (at == 1) {
          unit = kids[at].span();
        } else {
          unit.end = kids[at].span().end;
        }
      }
      shown.unit = decl.file_text().substr(unit.begin, unit.size());
      outcome = program.catalogue.add_shown(program.names, dimension, shown);
    }
    if (outcome) {
      auto& notice = checker.fail(outcome->code, entry, outcome->headline);
      notice.cures = outcome->cures;
    }
  }
}

quantities::Catalogue::Outcome declare_unit(Checker& checker, Cursor decl) {
  auto& program = checker.program;
  const NameId word = checker.name(decl.children(Node::path).front());
  if (const Cursor formula = formula_of(decl); formula.given())
    return program.catalogue.declare_unit(program.names, word, formula.text());
  const Cursor is = decl.child(Node::d_is);
  if (!is.given()) return quantities::Problem{Code::bad_declaration, {}, "a unit says what it is: `= …` or `is DIMENSION`", {}};
  const NameId dimension = checker.name(is.parts().front());
  std::optional<std::string_view> step, zero_at, size;
  if (const Cursor block = decl.child(Node::block); block.given())
    for (const Cursor entry : block.children(Node::entry)) {
      const auto kids = entry.children();
      if (kids.size() < 2) continue;
      if (kids[0].text() == "step") step = kids[1].text();
      if (kids[0].text() == "zero_at") zero_at = kids[1].text();
      if (kids[0].text() == "size") size = kids[1].text();
    }
  if (step) return program.catalogue.declare_level_unit(program.names, word, dimension, *step, zero_at);
  if (size) return program.catalogue.declare_sized_unit(program.names, word, dimension, *size);
  return program.catalogue.declare_base_unit(program.names, word, dimension);
}

void read_unit_block(Checker& checker, Cursor decl) {
  auto& program = checker.program;
  const auto unit = program.catalogue.find_unit(checker.name(decl.children(Node::path).front()));
  if (!unit.given()) return;
  for (const Cursor block : decl.children(Node::block))
    for (const Cursor entry : block.children(Node::entry)) {
      const auto kids = entry.children();
      if (kids.front().text() == "also") {
        for (std::size_t at = 1; at < kids.size(); ++at) {
          const std::string alias = kids[at].is(Node::text) ? plain_text(kids[at]) : std::string(kids[at].text());
          if (const auto outcome = program.catalogue.add_alias(program.names, unit, checker.name(alias)))
            checker.fail(outcome->code, kids[at], outcome->headline).cures = outcome->cures;
        }
      } else if (kids.front().text() == "prints" && kids.size() > 1) {
        program.catalogue.set_prints(unit, checker.text(plain_text(kids[1])));
      }
    }
}

// Declares what can be declared, again and again, until nothing is left or nothing moves.
template <class Declare>
void settle_order(Checker& checker, std::vector<std::pair<Cursor, const SourceTree*>>& lines, Declare&& declare) {
  auto waiting = lines;
  while (!waiting.empty()) {
    std::vector<std::pair<Cursor, const SourceTree*>> later;
    for (const auto& line : waiting)
      if (declare(checker, line.first)) later.push_back(line);
    if (later.size() == waiting.size()) {
      for (const auto& [decl, unit] : later)
        if (const auto outcome = declare(checker, decl)) checker.fail(outcome->code, decl, outcome->headline).cures = outcome->cures;
      return;
    }
    waiting.swap(later);
  }
}
}  // namespace

void Checker::read_dimensions_and_units() {
  settle_order(*this, dimensions, declare_dimension);
  settle_order(*this, unit_lines, declare_unit);
  for (const auto& [decl, unit] : unit_lines) read_unit_block(*this, decl);
  for (const auto& [decl, unit] : dimensions) read_dimension_block(*this, decl);
}
}  // namespace dripleg::meaning
