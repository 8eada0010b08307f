// A rooted tree drawn from left to right: every edge with its thickness, a text above and one below,
// small boxes for the things in it, dashed and numbered where it is marked. The first edge leaving
// a node goes straight on, later ones branch downward. The caller's order is the drawing's order.
#pragma once
#include "reports/document.hpp"

#include <string>
#include <vector>

namespace dripleg::reports {
struct TreeNode {
  std::string label{};
  std::string note{};            // smaller, under the label of a node without leaving edges
};

struct TreeEdge {
  std::size_t from = 0;
  std::size_t to = 0;
  double length = 0;             // drawn to scale where texts leave room; 0: as short as they allow
  double thickness = 1;          // compared with the other edges' only
  std::string above{};
  std::string below{};
  std::vector<std::string> things{};
  std::string mark{};            // a reference; the edge is then dashed and carries it
};

struct TreeHeads {               // of the table that stands for the drawing
  std::string from{};
  std::string to{};
  std::string above{};
  std::string below{};
  std::string things{};
  std::string mark{};
};

struct TreeFigure {
  Target target{};
  std::string caption{};
  std::string title{};           // the caption when empty
  std::string desc{};
  std::string file{};
  TreeHeads heads{};
  std::vector<TreeNode> nodes{};
  std::vector<TreeEdge> edges{};
  std::size_t root = 0;
};

// No drawing when the edges make no tree over the nodes they name, or it would take over 20 000
// elements. Nodes that the root does not reach are in the table only.
Figure make_figure(const TreeFigure& tree);
}  // namespace dripleg::reports
