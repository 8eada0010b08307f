// The ways of a net: edges one after another, without a junction between, are one strand.
#pragma once
#include "reports/figure_graph.hpp"

#include <vector>

namespace dripleg::reports {
struct Step {
  std::size_t edge = 0;
  bool along = true;             // passed as the edge is written
};

struct Strand {
  std::size_t from = 0;          // nodes of the figure
  std::size_t to = 0;
  std::vector<Step> steps{};
  bool bare = true;              // nothing but lines and texts: may stand upright
  bool first = false;
  double carried = 0;            // by the way of the steps
  double thickness = 0;
};

// In the order of the edges; a ring without a junction is cut at both ends of its first edge, or of the edge marked so.
std::vector<Strand> strands_of(const GraphFigure& graph);
}  // namespace dripleg::reports
