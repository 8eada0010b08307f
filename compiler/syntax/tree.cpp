#include "syntax/tree.hpp"

#include <algorithm>

namespace dripleg::syntax {
std::vector<NodeIndex> Tree::children(NodeIndex at) const {
  std::vector<NodeIndex> found;
  each_child_backwards(at, [&found](NodeIndex child) { found.push_back(child); });
  std::reverse(found.begin(), found.end());
  return found;
}
}  // namespace dripleg::syntax
