// The lossless tree of one file, flat and in postorder: children stand before their parent, `size`
// counts the nodes of a subtree with its root. Blanks, line ends and comments are the gaps between
// leaves. The root is the last node. The text belongs to the Source, not to the tree.
#pragma once
#include "base/place.hpp"
#include "syntax/kinds.hpp"

#include <string_view>
#include <vector>

namespace dripleg::syntax {
struct Node {
  u32 begin = 0, end = 0;   // of the first and the last leaf inside
  u32 size : 25 = 1;
  u32 kind : 7 = 0;
  Kind what() const { return static_cast<Kind>(kind); }
  base::Span span() const { return {begin, end}; }
};
static_assert(sizeof(Node) == 12);

using NodeIndex = u32;

struct Tree {
  FileId file;
  std::vector<Node> nodes;

  const Node& operator[](NodeIndex at) const { return nodes[at]; }
  NodeIndex root() const { return static_cast<NodeIndex>(nodes.size() - 1); }
  Kind kind(NodeIndex at) const { return nodes[at].what(); }

  // Children of a node, first to last.
  std::vector<NodeIndex> children(NodeIndex at) const;
  // The same without allocation, last to first.
  template <class F>
  void each_child_backwards(NodeIndex at, F&& f) const {
    const NodeIndex first = at + 1 - nodes[at].size;
    NodeIndex child = at;
    while (child > first) {
      child = child - 1;
      f(child);
      child = child + 1 - nodes[child].size;
    }
  }
};
}  // namespace dripleg::syntax
