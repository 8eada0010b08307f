// A file as lines of leaves. Gaps count columns (characters, not bytes) and are what tidying changes;
// everything else is as it was written. Private to this folder.
#pragma once
#include "base/source.hpp"
#include "syntax/tree.hpp"

#include <optional>
#include <string_view>
#include <vector>

namespace dripleg::tidy {
using syntax::Kind;
using syntax::NodeIndex;

inline constexpr u32 none = ~u32{0};

struct Leaf {
  NodeIndex node = 0;
  u32 line = 0;         // on which it begins
  u32 width = 0;
  u32 old_gap = 0;      // before it on its line; of the first: the indentation
  u32 gap = 0;          // the same in the new layout
  u32 old_column = 0;   // on its line, indentation included
  u32 column = 0;       // in the new layout, from the first leaf of its line; known once all is aligned
};
struct Line {
  base::Span span;      // without the line end
  u32 first = 0, last = 0;              // half-open stretch of leaves that begin here
  std::optional<base::Span> comment;    // from its # on, without blanks at its end
  u32 old_comment_gap = 0, comment_gap = 0;
  u32 old_indent = 0, indent = 0;
  bool kept = false;    // byte for byte, with its line end
  bool empty() const { return first == last && !comment; }
};

// Owns the lines; refers to source and tree, which outlive it.
struct Page {
  Page(const base::Source& source, const syntax::Tree& tree);

  const syntax::Node& node_of(const Leaf& leaf) const { return tree[leaf.node]; }
  u32 line_at(u32 offset) const;                   // the line that holds this byte
  u32 first_leaf(NodeIndex node) const;            // index of the leaf with which the node begins
  // A statement stands in a block or in the file; signs of a block belong to the statement that has the block.
  bool is_item(NodeIndex node) const { return item[node] == node; }
  bool begins_line(u32 leaf) const { return lines[leaves[leaf].line].first == leaf; }

  std::string_view text;
  const syntax::Tree& tree;
  std::vector<NodeIndex> parent;   // of every node; the root has itself
  std::vector<NodeIndex> item;     // the innermost statement a node belongs to; `none` for the root
  std::vector<Leaf> leaves;        // those with a width, in order
  std::vector<Line> lines;
};

u32 columns_of(std::string_view text);   // characters

// The phases, in this order.
void keep_broken(Page& page, const std::vector<base::Span>& mistakes);
void align(Page& page);
void indent(Page& page);
void align_comments(Page& page);
}  // namespace dripleg::tidy
