#include "tidy/proof.hpp"

#include <vector>

namespace dripleg::tidy {
namespace {
// The comments within a gap between leaves.
void find_comments(std::string_view gap, std::vector<std::string_view>& out) {
  for (std::size_t at = gap.find('#'); at != std::string_view::npos; at = gap.find('#', at)) {
    std::size_t end = std::min(gap.find('\n', at), gap.size());
    std::string_view comment = gap.substr(at, end - at);
    while (comment.back() == ' ' || comment.back() == '\t' || comment.back() == '\r') comment.remove_suffix(1);
    out.push_back(comment);
    at = end;
  }
}

std::vector<std::string_view> comments_of(std::string_view text, const syntax::Tree& tree) {
  std::vector<std::string_view> comments;
  u32 before = 0;
  for (const syntax::Node& node : tree.nodes) {
    if (!is_leaf(node.what()) || node.begin < before) continue;
    find_comments(text.substr(before, node.begin - before), comments);
    before = node.end;
  }
  find_comments(text.substr(before), comments);
  return comments;
}
}  // namespace

bool say_the_same(const base::Source& a, const syntax::Tree& tree_a, const base::Source& b, const syntax::Tree& tree_b) {
  if (tree_a.nodes.size() != tree_b.nodes.size()) return false;
  for (syntax::NodeIndex at = 0; at < tree_a.nodes.size(); ++at) {
    const syntax::Node &one = tree_a[at], &other = tree_b[at];
    if (one.kind != other.kind || one.size != other.size) return false;
    if (is_leaf(one.what()) && a.text(one.span()) != b.text(other.span())) return false;
  }
  return comments_of(a.text(), tree_a) == comments_of(b.text(), tree_b);
}
}  // namespace dripleg::tidy
