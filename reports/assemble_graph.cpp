// A net with rings, from rows of its legs and of its points.
#include "reports/assembler.hpp"

#include "reports/figure_graph.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace dripleg::reports {
using meaning::LayoutItem;
using meaning::LayoutOp;
using meaning::ThingId;
using meaning::Value;

// A row whose thing is a point says what stands beside it; any other one is a leg.
Figure Assembler::graph(const LayoutItem& item, u32 first, u32 end) {
  GraphFigure graph;
  graph.caption = words(item.text);
  graph.target = fmt::format("figure-{}", program_.text(item.name));
  graph.heads = {label("begins"), label("reaches"), label("over_it"), label("under_it"), label("through"), label("see")};
  std::map<u32, std::size_t> node_of;
  std::map<u32, std::size_t> points_of;       // of a thing: how many of its points are here
  const auto node = [&](Value point) {
    const auto [found, fresh] = node_of.emplace(point.index(), graph.nodes.size());
    if (fresh) {
      graph.nodes.push_back({judgement_.evaluation().name_of(ThingId{point.index()}), ""});
      if (const ThingId owner = program_.things[point.index()].owner; owner.given()) ++points_of[owner.value];
    }
    return found->second;
  };
  const auto is_point = [&](ThingId thing) {
    for (u32 n = 0; n < program_.networks.size(); ++n)
      if (program_.is_a(program_.things[thing.value].kind, program_.networks[n].point)) return true;
    return false;
  };
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& grid = program_.layout_items[at];
    if (grid.op == LayoutOp::text) graph.desc = words(grid.text);
    if (grid.op != LayoutOp::grid && grid.op != LayoutOp::list) continue;
    each_row(grid, [&] {
      const ThingId thing = bound_thing(grid);
      if (!thing.given()) return;
      if (is_point(thing)) {
        if (const auto found = node_of.find(thing.value); found != node_of.end()) graph_point(at, graph.nodes[found->second]);
        return;
      }
      const meaning::Thing& leg = program_.things[thing.value];
      const Value from = program_.inputs[leg.first_slot + meaning::leg_slot::from], to = program_.inputs[leg.first_slot + meaning::leg_slot::to];
      if (!from.known() || !to.known()) return;
      GraphEdge edge;
      edge.from = node(from);
      edge.to = node(to);
      graph_leg(at, thing, edge);
      graph.edges.push_back(std::move(edge));
    });
  }
  // Where a thing has one point only, its name says enough.
  for (const auto& [point, number] : node_of) {
    const ThingId owner = program_.things[point].owner;
    if (owner.given() && points_of[owner.value] == 1) graph.nodes[number].label = judgement_.evaluation().name_of(owner);
  }
  return make_figure(graph);
}

void Assembler::graph_point(u32 at, GraphNode& node) {
  for (u32 n = at + 1; n < program_.layout_items[at].items_end; ++n) {
    const LayoutItem& column = program_.layout_items[n];
    if (column.op == LayoutOp::column && words(column.text) == "note") node.note = shown(column.expr);
  }
}

void Assembler::graph_leg(u32 at, ThingId thing, GraphEdge& edge) {
  Tone tone = Tone::plain;
  const auto marks = [&](ThingId of) {
    for (const Mark& mark : marks_of(of, tone)) edge.mark += (edge.mark.empty() ? "" : ", ") + mark.word;
  };
  marks(thing);
  if (const ThingId owner = program_.things[thing.value].owner; owner.given()) {
    edge.thing = judgement_.evaluation().name_of(owner);
    marks(owner);
  }
  for (u32 n = at + 1; n < program_.layout_items[at].items_end; ++n) {
    const LayoutItem& column = program_.layout_items[n];
    if (column.op != LayoutOp::column) continue;
    const std::string name = words(column.text);
    if (name == "above") edge.above = shown(column.expr);
    else if (name == "below") edge.below = shown(column.expr);
    else if (name == "carried") edge.carried = number_of(column.expr);
    else if (name == "thick") edge.thickness = number_of(column.expr);
    else if (name == "first") edge.first = is_so(column.expr);
  }
}
}  // namespace dripleg::reports
