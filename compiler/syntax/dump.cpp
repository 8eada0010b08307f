#include "syntax/dump.hpp"

namespace dripleg::syntax {
std::string dump(const base::Source& source, const Tree& tree) {
  struct Open {
    NodeIndex node;
    u32 depth;
  };
  std::string out;
  if (tree.nodes.empty()) return out;
  std::vector<Open> open{{tree.root(), 0}};
  while (!open.empty()) {
    const Open now = open.back();
    open.pop_back();
    out.append(now.depth * 2, ' ');
    out += text_of(tree.kind(now.node));
    if (is_leaf(tree.kind(now.node))) {
      out += ' ';
      out += source.text(tree[now.node].span());
    }
    out += '\n';
    tree.each_child_backwards(now.node, [&](NodeIndex child) { open.push_back({child, now.depth + 1}); });
  }
  return out;
}
}  // namespace dripleg::syntax
