#include "tidy/lines.hpp"

#include "base/utf8.hpp"

#include <algorithm>

namespace dripleg::tidy {
namespace {
// A tab parts like two blanks: never like the one blank between a number and its unit.
u32 gap_columns(std::string_view blanks) {
  u32 columns = 0;
  for (const char c : blanks) columns += c == '\t' ? 2 : 1;
  return columns;
}

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r'; }

void cut_lines(Page& page) {
  const auto size = static_cast<u32>(page.text.size());
  u32 begin = static_cast<u32>(base::begin_of_text(page.text));
  while (begin < size) {
    const std::size_t found = page.text.find('\n', begin);
    const u32 end = found == std::string_view::npos ? size : static_cast<u32>(found);
    Line line;
    line.span = {begin, end > begin && page.text[end - 1] == '\r' ? end - 1 : end};
    page.lines.push_back(line);
    begin = end + 1;
  }
}

void find_statements(Page& page) {
  const syntax::Tree& tree = page.tree;
  page.parent.assign(tree.nodes.size(), tree.root());
  page.item.assign(tree.nodes.size(), none);
  for (NodeIndex at = tree.root() + 1; at-- > 0;) {
    const bool holds = tree.kind(at) == Kind::file || tree.kind(at) == Kind::block;
    tree.each_child_backwards(at, [&](NodeIndex child) {
      page.parent[child] = at;
      const bool sign = tree.kind(child) == Kind::punct;
      page.item[child] = holds && !sign ? child : page.item[at];
    });
  }
}

// What stands in [from, to) of a line, beside its leaves: blanks, then perhaps a comment.
void find_comment(Page& page, Line& line, u32 from) {
  u32 at = from;
  while (at < line.span.end && is_blank(page.text[at])) ++at;
  if (at >= line.span.end) return;
  if (page.text[at] != '#') {
    line.kept = true;
    return;
  }
  u32 end = line.span.end;
  while (is_blank(page.text[end - 1])) --end;
  line.comment = base::Span{at, end};
  line.old_comment_gap = gap_columns(page.text.substr(from, at - from));
}

void place_leaves(Page& page) {
  u32 line = 0, before = 0;
  std::vector<bool> inside(page.lines.size());   // a line that begins within a leaf
  for (NodeIndex at = 0; at < page.tree.nodes.size(); ++at) {
    const syntax::Node& node = page.tree[at];
    if (!is_leaf(node.what()) || node.begin == node.end) continue;
    while (line + 1 < page.lines.size() && page.lines[line + 1].span.begin <= node.begin) ++line;
    Line& home = page.lines[line];
    const auto index = static_cast<u32>(page.leaves.size());
    const bool first = home.first == home.last;
    if (first) home.first = home.last = index;
    home.last = index + 1;
    const u32 from = first ? home.span.begin : before;
    Leaf leaf{at, line, columns_of(page.text.substr(node.begin, node.end - node.begin)), 0, 0, 0, 0};
    if (from <= node.begin) leaf.gap = leaf.old_gap = gap_columns(page.text.substr(from, node.begin - from));
    leaf.old_column = leaf.old_gap + (first ? 0 : page.leaves.back().old_column + page.leaves.back().width);
    if (first) home.old_indent = leaf.old_gap;
    page.leaves.push_back(leaf);
    before = node.end;
    for (u32 next = line; next < page.lines.size() && page.lines[next].span.begin < node.end; ++next)
      if (page.lines[next].span.begin > node.begin) inside[next] = true;
  }
  for (u32 at = 0; at < page.lines.size(); ++at) {
    Line& own = page.lines[at];
    const u32 from = own.first == own.last ? own.span.begin : page.node_of(page.leaves[own.last - 1]).end;
    if (inside[at]) own.kept = true;
    else if (from <= own.span.end) find_comment(page, own, from);
    else own.kept = true;
    if (own.first == own.last && own.comment) own.old_indent = own.old_comment_gap;
  }
}
}  // namespace

u32 columns_of(std::string_view text) {
  return static_cast<u32>(std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

Page::Page(const base::Source& source, const syntax::Tree& parsed) : text(source.text()), tree(parsed) {
  cut_lines(*this);
  find_statements(*this);
  place_leaves(*this);
}

u32 Page::line_at(u32 offset) const {
  const auto after = std::upper_bound(lines.begin(), lines.end(), offset, [](u32 at, const Line& line) { return at < line.span.begin; });
  return after == lines.begin() ? 0 : static_cast<u32>(after - lines.begin()) - 1;
}

u32 Page::first_leaf(NodeIndex node) const {
  const u32 begin = tree[node].begin;
  const auto found = std::lower_bound(leaves.begin(), leaves.end(), begin, [&](const Leaf& leaf, u32 at) { return tree[leaf.node].begin < at; });
  return static_cast<u32>(found - leaves.begin());
}
}  // namespace dripleg::tidy
