// A net with rings: upright rails where several ways meet, level lines between them with boxes for the things in them,
// arrows by the way of what is carried. Ways that go from a rail back to the same rail are drawn
// as a loop at its side. The caller's order is the drawing's order as far as the net allows.
#pragma once
#include "reports/document.hpp"

#include <string>
#include <vector>

namespace dripleg::reports {
struct GraphNode {
  std::string label{};
  std::string note{};            // smaller, under the label
};

struct GraphEdge {
  std::size_t from = 0;
  std::size_t to = 0;
  double carried = 0;            // above 0 as written, below it against; nothing moves at 0 or where it is not known
  double thickness = 1;          // compared with the other edges' only
  bool first = false;            // the drawing begins with it
  std::string above{};
  std::string below{};
  std::string thing{};           // in a box
  std::string mark{};            // a reference; the way is then dashed there and carries it
};

struct GraphHeads {              // of the table that stands for the drawing
  std::string from{};
  std::string to{};
  std::string above{};
  std::string below{};
  std::string thing{};
  std::string mark{};
};

struct GraphFigure {
  Target target{};
  std::string caption{};
  std::string title{};           // the caption when empty
  std::string desc{};
  std::string file{};
  GraphHeads heads{};
  std::vector<GraphNode> nodes{};
  std::vector<GraphEdge> edges{};
};

// No drawing when there are no edges or it would take over 20 000 elements. Edges without texts, thing or mark are drawn, but
// are not in the table.
Figure make_figure(const GraphFigure& graph);
}  // namespace dripleg::reports
