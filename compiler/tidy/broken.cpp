// Which lines stay byte for byte: those of every statement in which something is missing or does not
// belong, and those that a notice speaks of.
#include "tidy/lines.hpp"

#include <algorithm>

namespace dripleg::tidy {
namespace {
void keep(Page& page, base::Span span) {
  if (page.lines.empty()) return;
  const u32 last = page.line_at(span.end > span.begin ? span.end - 1 : span.end);
  for (u32 at = page.line_at(span.begin); at <= last; ++at) page.lines[at].kept = true;
}

bool is_closed(const Page& page, NodeIndex block) {
  const syntax::Node& last = page.tree[block - 1];   // in postorder, the last child stands before its parent
  return last.what() == Kind::punct && page.text[last.begin] == '}' && page.parent[block - 1] == block;
}

bool touches_leaf(const Page& page, base::Span span) {
  const auto found = std::lower_bound(page.leaves.begin(), page.leaves.end(), span.begin,
                                      [&](const Leaf& leaf, u32 at) { return page.node_of(leaf).end < at; });
  return found != page.leaves.end() && page.node_of(*found).begin <= span.end;
}

// In postorder the innermost statement around a stretch comes first. What a comment holds is in none.
NodeIndex statement_around(const Page& page, base::Span span) {
  if (!touches_leaf(page, span)) return none;
  for (NodeIndex at = 0; at < page.tree.nodes.size(); ++at)
    if (page.is_item(at) && page.tree[at].begin <= span.begin && page.tree[at].end >= span.end) return at;
  return none;
}
}  // namespace

void keep_broken(Page& page, const std::vector<base::Span>& mistakes) {
  const syntax::Tree& tree = page.tree;
  NodeIndex before = none;   // many mistakes of one statement follow one another
  for (NodeIndex at = 0; at < tree.nodes.size(); ++at) {
    const Kind kind = tree.kind(at);
    const bool broken = kind == Kind::junk || kind == Kind::missing || (kind == Kind::block && !is_closed(page, at));
    if (!broken || page.item[at] == none || page.item[at] == before) continue;
    before = page.item[at];
    keep(page, tree[before].span());
  }
  for (const base::Span mistake : mistakes) {
    keep(page, mistake);
    const NodeIndex statement = statement_around(page, mistake);
    if (statement != none) keep(page, tree[statement].span());
  }
}
}  // namespace dripleg::tidy
