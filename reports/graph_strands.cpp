#include "reports/graph_strands.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::reports {
namespace {
class StrandFinder {
 public:
  explicit StrandFinder(const GraphFigure& graph) : graph_(graph), at_(graph.nodes.size()), junction_(graph.nodes.size(), false), used_(graph.edges.size(), false) {}

  std::vector<Strand> find() {
    for (std::size_t i = 0; i < graph_.edges.size(); ++i) {
      const GraphEdge& edge = graph_.edges[i];
      if (edge.from >= at_.size() || edge.to >= at_.size()) used_[i] = true;
      else at_[edge.from].push_back(i), at_[edge.to].push_back(i);
    }
    for (std::size_t n = 0; n < at_.size(); ++n) junction_[n] = at_[n].size() != 2;
    for (std::size_t i = 0; i < graph_.edges.size(); ++i) {
      if (used_[i]) continue;
      if (start_of(i) == nowhere) cut_ring(i);
    }
    // What leaves a junction by the lower edge comes first.
    for (std::size_t i = 0; i < graph_.edges.size(); ++i)
      if (!used_[i]) follow(i);
    return std::move(strands_);
  }

 private:
  static constexpr std::size_t nowhere = static_cast<std::size_t>(-1);

  std::size_t other(std::size_t edge, std::size_t node) const {
    return graph_.edges[edge].from == node ? graph_.edges[edge].to : graph_.edges[edge].from;
  }

  // The edge behind this one at a node that is no junction.
  std::size_t next(std::size_t edge, std::size_t node) const { return at_[node][0] == edge ? at_[node][1] : at_[node][0]; }

  // The first edge of the strand that an edge lies in, counted from the end that it is written from; none in a ring.
  std::size_t start_of(std::size_t edge) const {
    std::size_t at = edge;
    std::size_t node = graph_.edges[edge].from;
    for (std::size_t count = 0; count <= graph_.edges.size(); ++count) {
      if (junction_[node]) return at;
      at = next(at, node);
      node = other(at, node);
    }
    return nowhere;
  }

  void cut_ring(std::size_t edge) {
    std::size_t cut = edge;
    std::size_t at = edge;
    std::size_t node = graph_.edges[edge].to;
    do {
      if (graph_.edges[at].first) cut = at;
      at = next(at, node);
      node = other(at, node);
    } while (at != edge);
    junction_[graph_.edges[cut].from] = true;
    junction_[graph_.edges[cut].to] = true;
  }

  void follow(std::size_t edge) {
    std::size_t at = start_of(edge);
    std::size_t node = start_node(edge);
    Strand strand;
    strand.from = node;
    bool told = false;
    for (;;) {
      const GraphEdge& passed = graph_.edges[at];
      const bool along = passed.from == node;
      used_[at] = true;
      strand.steps.push_back({at, along});
      strand.bare = strand.bare && passed.thing.empty();
      strand.first = strand.first || passed.first;
      if (std::isfinite(passed.thickness)) strand.thickness = std::max(strand.thickness, passed.thickness);
      if (!told && std::isfinite(passed.carried) && passed.carried != 0) strand.carried = along ? passed.carried : -passed.carried, told = true;
      node = other(at, node);
      if (junction_[node]) break;
      at = next(at, node);
    }
    strand.to = node;
    strands_.push_back(std::move(strand));
  }

  std::size_t start_node(std::size_t edge) const {
    std::size_t at = edge;
    std::size_t node = graph_.edges[edge].from;
    while (!junction_[node]) at = next(at, node), node = other(at, node);
    return node;
  }

  const GraphFigure& graph_;
  std::vector<std::vector<std::size_t>> at_;
  std::vector<char> junction_;
  std::vector<char> used_;
  std::vector<Strand> strands_;
};
}  // namespace

std::vector<Strand> strands_of(const GraphFigure& graph) { return StrandFinder(graph).find(); }
}  // namespace dripleg::reports
