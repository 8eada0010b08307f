// The left margin: two blanks inside every block; what goes on from the line before keeps its place
// relative to what it stood under; a comment stands like what follows it.
#include "tidy/lines.hpp"

#include <algorithm>

namespace dripleg::tidy {
namespace {
constexpr u32 level = 2;

u32 indent_of_statement_line(const Page& page, NodeIndex item) {
  const u32 leaf = page.first_leaf(item);
  return page.lines[page.leaves[leaf].line].indent;
}

// Inside the block or file that holds this statement or sign.
u32 indent_inside(const Page& page, NodeIndex holder) {
  if (page.tree.kind(holder) != Kind::block) return 0;
  return indent_of_statement_line(page, page.item[holder]) + level;
}

char sign_of(const Page& page, NodeIndex node) {
  return page.tree.kind(node) == Kind::punct ? page.text[page.tree[node].begin] : '\0';
}

u32 indent_going_on(const Page& page, const Line& line, NodeIndex node) {
  const NodeIndex item = page.item[node];
  if (item == none) return line.old_indent;
  const Line& above = page.lines[page.leaves[page.first_leaf(item)].line];
  const auto begin = page.leaves.begin() + above.first, end = page.leaves.begin() + above.last;
  auto anchor = std::upper_bound(begin, end, line.old_indent, [](u32 column, const Leaf& leaf) { return column < leaf.old_column; });
  if (anchor != begin) --anchor;
  const i64 shift = static_cast<i64>(above.indent) + anchor->column - anchor->old_column;
  const char sign = sign_of(page, node);
  const u32 least = above.indent + (sign == ')' || sign == ']' ? 0 : level);
  return static_cast<u32>(std::max<i64>(static_cast<i64>(line.old_indent) + shift, least));
}

u32 indent_of(const Page& page, const Line& line) {
  const u32 first = line.first;
  const NodeIndex node = page.leaves[first].node;
  const NodeIndex holder = page.parent[node];
  if (page.tree.kind(holder) == Kind::block && page.tree.kind(node) == Kind::punct) {
    const char sign = sign_of(page, node);
    if (sign == '}') return indent_of_statement_line(page, page.item[node]);
    if (sign == ',') return indent_inside(page, holder);
  }
  const NodeIndex item = page.item[node];
  if (item != none && page.first_leaf(item) == first) return indent_inside(page, page.parent[item]);
  return indent_going_on(page, line, node);
}

// A comment before the end of a block belongs into it.
u32 indent_of_comment(const Page& page, u32 next) {
  if (next == page.lines.size()) return 0;
  const Line& line = page.lines[next];
  const NodeIndex node = page.leaves[line.first].node;
  if (!line.kept && sign_of(page, node) == '}') return indent_inside(page, page.parent[node]);
  return line.indent;
}
}  // namespace

void indent(Page& page) {
  for (Line& line : page.lines) {
    if (line.kept) line.indent = line.old_indent;
    else if (line.first != line.last) line.indent = indent_of(page, line);
  }
  auto next = static_cast<u32>(page.lines.size());
  for (u32 at = next; at-- > 0;) {
    Line& line = page.lines[at];
    if (line.first != line.last) next = at;
    else if (line.comment && !line.kept) line.indent = indent_of_comment(page, next);
  }
}

// Two blanks before a comment at a line's end; comments that stood beneath one another still do.
void align_comments(Page& page) {
  const auto has = [&](u32 at) {
    const Line& line = page.lines[at];
    return !line.kept && line.comment && line.first != line.last;
  };
  const auto end_of = [&](u32 at) {
    const Leaf& last = page.leaves[page.lines[at].last - 1];
    return page.lines[at].indent + last.column + last.width;
  };
  const auto old_column = [&](u32 at) {
    const Leaf& last = page.leaves[page.lines[at].last - 1];
    return last.old_column + last.width + page.lines[at].old_comment_gap;
  };
  const auto count = static_cast<u32>(page.lines.size());
  for (u32 at = 0; at < count;) {
    u32 past = at + 1;
    if (has(at)) {
      while (past < count && has(past) && old_column(past) == old_column(at)) ++past;
      u32 furthest = 0;
      for (u32 each = at; each < past; ++each) furthest = std::max(furthest, end_of(each));
      for (u32 each = at; each < past; ++each) page.lines[each].comment_gap = furthest - end_of(each) + 2;
    }
    at = past;
  }
}
}  // namespace dripleg::tidy
