// Texts with figures in them: `{a.b as ft}` is a formula that stands in the file where the text stands.
#include "meaning/checker.hpp"
#include "syntax/parser.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
std::string unescaped(std::string_view raw) {
  std::string plain;
  for (std::size_t at = 0; at < raw.size(); ++at) {
    if (raw[at] == '\\' && at + 1 < raw.size()) ++at;
    plain += raw[at];
  }
  return plain;
}
}  // namespace

Slice Checker::read_template(Cursor prose, Scope& scope, bool figures) {
  std::vector<TemplatePart> parts;
  std::string words;
  const auto flush = [&] {
    if (words.empty()) return;
    parts.push_back({text(words), {}, {}});
    words.clear();
  };
  if (!prose.given()) return {};
  std::vector<Cursor> leaves = prose.is(Node::text) ? std::vector<Cursor>{prose} : prose.children(Node::text);
  bool first = true;
  for (const Cursor leaf : leaves) {
    std::string_view raw = leaf.text();
    u32 offset = leaf.span().begin;
    if (!raw.empty() && raw.front() == '"') raw.remove_prefix(1), ++offset;
    if (!raw.empty() && raw.back() == '"') raw.remove_suffix(1);
    if (raw.empty()) {
      words += "\n\n";
      first = true;
      continue;
    }
    if (!first) words += ' ';
    first = false;
    for (std::size_t at = 0; at < raw.size();) {
      const std::size_t brace = figures ? raw.find('{', at) : std::string_view::npos;
      words += unescaped(raw.substr(at, brace == std::string_view::npos ? std::string_view::npos : brace - at));
      if (brace == std::string_view::npos) break;
      if (brace + 1 < raw.size() && raw[brace + 1] == '{') {
        words += '{';
        at = brace + 2;
        continue;
      }
      const std::size_t close = raw.find('}', brace);
      if (close == std::string_view::npos) {
        fail(Code::bad_declaration, base::Place{leaf.tree().file, {offset + static_cast<u32>(brace), offset + static_cast<u32>(raw.size())}},
             "this { is not closed in the text")
            .cures.push_back("for a brace itself write {{");
        break;
      }
      const base::Place stretch{leaf.tree().file, {offset + static_cast<u32>(brace) + 1, offset + static_cast<u32>(close)}};
      const syntax::Tree tree = syntax::parse_formula(sources, stretch, notices);
      if (!tree.nodes.empty() && tree.kind(tree.root()) != Node::junk) {
        const Cursor root(&tree, leaf.file_text(), tree.root());
        const Typed typed = formula(root, scope, nullptr);
        TemplatePart part;
        part.expr = typed.expr;
        std::string_view behind = leaf.file_text().substr(root.span().end, stretch.span.end - root.span().end);
        while (!behind.empty() && behind.front() == ' ') behind.remove_prefix(1);
        if (behind.starts_with("as ")) part.unit = name(behind.substr(3));
        flush();
        parts.push_back(part);
      }
      at = close + 1;
    }
  }
  flush();
  return {program.template_parts.append(parts), static_cast<u32>(parts.size())};
}
}  // namespace dripleg::meaning
