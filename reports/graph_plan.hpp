// Where the parts of a net stand: which strands are upright and make rails, in which layer from the left each rail stands,
// and in which row each level line lies. Rows and layers are counted; sizes are the drawer's affair.
#pragma once
#include "reports/graph_strands.hpp"

#include <vector>

namespace dripleg::reports {
// upright: between two nodes of one rail; across: from rail to rail; loop: out and back at a side of its rail;
// stub: to a node where nothing else goes on.
enum class Way { upright, across, loop, stub };

struct Rail {
  std::vector<std::size_t> nodes{};     // from the top
  std::vector<std::size_t> uprights{};  // the strand between each node and the next one
  std::size_t layer = 0;
  std::size_t beside = 0;               // within its layer, where rails would cover each other
  std::size_t top = 0;                  // rows
  std::size_t bottom = 0;
};

struct Placing {
  Way way = Way::across;
  bool left = false;                    // the side of a loop or stub
  std::size_t from_row = 0;
  std::size_t to_row = 0;               // another one than from_row: a loop, or a line that changes its row
};

constexpr std::size_t no_rail = static_cast<std::size_t>(-1);

struct GraphPlan {
  std::vector<Strand> strands{};
  std::vector<Placing> placings{};      // of the strands
  std::vector<Rail> rails{};
  std::vector<std::size_t> rail_of{};   // of each node of the figure, or no_rail
  std::size_t layers = 0;
  std::size_t rows = 0;
};

GraphPlan plan_of(const GraphFigure& graph);
}  // namespace dripleg::reports
