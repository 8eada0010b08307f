// Sources: documents, and the one phrase that says where a number, rule or value comes from.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
std::optional<Basis> basis_of(std::string_view word) {
  if (word == "published") return Basis::published;
  if (word == "practice") return Basis::practice;
  if (word == "maker") return Basis::maker;
  if (word == "firm") return Basis::firm;
  if (word == "recalled") return Basis::recalled;
  if (word == "computed") return Basis::computed;
  if (word == "estimated") return Basis::estimated;
  return std::nullopt;
}
}  // namespace

void Checker::read_documents() {
  for (const auto& [decl, unit] : documents) {
    const Symbol* const symbol = known(Symbol::What::document, name(decl.children(Node::path).front()));
    if (symbol == nullptr) continue;
    Document document = program.documents[symbol->index];
    for (const Cursor block : decl.children(Node::block))
      for (const Cursor entry : block.children(Node::entry)) {
        const auto kids = entry.children();
        if (kids.size() < 2) continue;
        const std::string_view head = kids.front().text();
        if (head == "title") document.title = text(plain_text(kids[1]));
        else if (head == "number") document.number = text(plain_text(kids[1]));
        else if (head == "year") {
          if (const auto number = quantities::read_number(kids[1].text())) document.year = static_cast<u32>(number->value);
        } else if (head == "carries_on") {
          const Symbol* const before = known(Symbol::What::document, name(kids[1]));
          if (before != nullptr) document.carries_on = DocumentId{before->index};
          else fail(Code::unknown_document, kids[1], fmt::format("no source is named {}", kids[1].text()));
        } else {
          fail(Code::unknown_field, kids[0], fmt::format("a source has no field {}", head));
        }
      }
    program.documents.edit(symbol->index) = document;
  }
}

std::optional<Citation> Checker::read_per(Cursor per, bool in_library) {
  Citation citation;
  citation.place = per.place();
  citation.basis = Basis::published;
  bool basis_said = false;
  std::string clause;
  for (const Cursor part : per.parts()) {
    if (part.is(Node::text)) {
      clause = plain_text(part);
      continue;
    }
    if (!part.is(Node::path)) continue;
    if (!basis_said && !citation.document.given())
      if (const auto basis = basis_of(part.text())) {
        citation.basis = *basis;
        basis_said = true;
        continue;
      }
    const Symbol* const document = known(Symbol::What::document, name(part));
    if (document == nullptr) {
      auto& notice = fail(Code::unknown_document, part, fmt::format("no source is named {}", part.text()));
      std::vector<std::string_view> words;
      for (u32 at = 0; at < program.documents.size(); ++at) words.push_back(name_text(program.documents[at].name));
      suggest(notice, part.text(), words);
      return std::nullopt;
    }
    citation.document = DocumentId{document->index};
  }
  if (!clause.empty()) citation.clause = text(clause);
  if (!basis_said && !citation.document.given()) {
    citation.basis = Basis::stated;
    if (in_library)
      fail(Code::no_source, per, "a bare text is no source in a library")
          .cures.push_back("name a source, or say the basis: practice, recalled, computed, maker or firm");
  }
  return citation;
}

Slice Checker::read_citations(const std::vector<Cursor>& pers, bool in_library) {
  std::vector<Citation> found;
  for (const Cursor per : pers)
    if (const auto citation = read_per(per, in_library)) found.push_back(*citation);
  const u32 first = program.citations.append(found);
  return {first, static_cast<u32>(found.size())};
}
}  // namespace dripleg::meaning
