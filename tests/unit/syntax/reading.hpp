// Helpers of these tests: parse a text, look at the outcome, and the proof that a tree is lossless.
#pragma once
#include "syntax/dump.hpp"
#include "syntax/parser.hpp"

#include <memory>
#include <string>
#include <string_view>

namespace dripleg::syntax::testing {
struct Parsed {
  std::unique_ptr<base::Sources> sources = std::make_unique<base::Sources>();
  FileId file;
  notices::Notices notices;
  Tree tree;

  std::string_view text() const { return (*sources)[file].text(); }
  std::string_view text(const notices::Notice& notice) const { return sources->text(notice.place); }
  std::string dump() const { return syntax::dump((*sources)[file], tree); }
  u32 count(Kind kind) const {
    u32 found = 0;
    for (const Node& node : tree.nodes) found += node.what() == kind;
    return found;
  }
};

inline Parsed parse_text(std::string text) {
  Parsed parsed;
  parsed.file = parsed.sources->add("test.drip", std::move(text));
  parsed.tree = parse(*parsed.sources, parsed.file, parsed.notices);
  return parsed;
}

inline bool only_gap(std::string_view text, bool& in_comment) {
  for (const char c : text) {
    if (c == '\n') in_comment = false;
    else if (c == '#') in_comment = true;
    else if (!in_comment && c != ' ' && c != '\t' && c != '\r') return false;
  }
  return true;
}

// Empty when every byte lies in a leaf or in a gap of blanks and comments, and the sizes add up;
// otherwise what is wrong.
inline std::string why_lossy(std::string_view text, const Tree& tree) {
  if (tree.nodes.empty()) return "no nodes";
  u32 at = text.starts_with("\xEF\xBB\xBF") ? 3 : 0;
  for (const Node& node : tree.nodes) {
    if (!is_leaf(node.what())) continue;
    if (node.size != 1) return "a leaf with children";
    if (node.begin < at || node.end < node.begin || node.end > text.size()) return "leaves out of order";
    bool comment = false;
    if (!only_gap(text.substr(at, node.begin - at), comment)) return "text lost before " + std::to_string(node.begin);
    if (comment && node.begin != at && node.end != node.begin) return "a leaf inside a comment";
    at = node.end;
  }
  bool comment = false;
  if (!only_gap(text.substr(at), comment)) return "text lost at the end, from " + std::to_string(at);
  for (NodeIndex index = 0; index < tree.nodes.size(); ++index) {
    const Node& node = tree.nodes[index];
    if (node.size == 0 || node.size > index + 1) return "a size out of range";
    if (is_leaf(node.what())) continue;
    u32 sum = 1;
    u32 begin = node.begin;
    const NodeIndex first = index + 1 - node.size;
    tree.each_child_backwards(index, [&](NodeIndex child) {
      sum += tree.nodes[child].size;
      begin = tree.nodes[child].begin;
    });
    if (sum != node.size) return "sizes do not add up";
    if (node.size > 1 && (begin != node.begin || node.end != tree.nodes[index - 1].end)) return "a node does not span its leaves";
    if (node.size > 1 && first > index) return "a node before its children";
  }
  if (tree.kind(tree.root()) != Kind::file) return "the root is no file";
  if (tree[tree.root()].size != tree.nodes.size()) return "more than one root";
  return {};
}
}  // namespace dripleg::syntax::testing
