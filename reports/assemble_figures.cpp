// Figures of a layout: a chart of rows, a tree of the legs of a network.
#include "reports/assembler.hpp"

#include "reports/figure_chart.hpp"
#include "reports/figure_tree.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace dripleg::reports {
using meaning::ExprId;
using meaning::LayoutItem;
using meaning::LayoutOp;
using meaning::ThingId;
using meaning::TypeKind;
using meaning::Value;

void Assembler::figure(const LayoutItem& item, u32 first, u32 end) {
  const std::string_view kind = program_.text(item.name);
  Figure made;
  if (kind == "chart") made = chart(item, first, end);
  else if (kind == "tree") made = tree(item, first, end);
  else return;
  made.file = drawing_name(kind);
  if (!made.svg.empty()) paper_->drawings.emplace_back(made.file, svg_file(made.svg));
  else made.file.clear();
  add(made);
}

std::string Assembler::drawing_name(std::string_view name) {
  std::string plain(name);
  for (char& c : plain)
    if (!((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'))) c = '_';
  return fmt::format("{}_{}.svg", program_.text(layout_.name), plain + (++drawn_[plain] > 1 ? std::to_string(drawn_[plain]) : ""));
}

double Assembler::on_axis(ExprId expr, AxisUnit& axis) {
  const Value value = judgement_.evaluation().expr(expr, scope(), world_);
  if (!value.known()) return std::nan("");
  const meaning::Type type = program_.types[program_.expr_notes[expr.value].type.value];
  if (type.kind != TypeKind::quantity) return value.number();
  if (!axis.display) {
    const quantities::DimensionId dimension{type.of};
    const std::string_view own = judgement_.wording().unit_of(expr);
    if (!own.empty()) axis.display = judgement_.wording().printer().display_in(own, dimension);
    if (!axis.display) axis.display = judgement_.wording().printer().display(dimension, value.number());
  }
  return (value.number() - axis.display->zero) / axis.display->factor;
}

double Assembler::number_of(ExprId expr) {
  const Value value = judgement_.evaluation().expr(expr, scope(), world_);
  return value.known() ? value.number() : 0;
}

Figure Assembler::chart(const LayoutItem& item, u32 first, u32 end) {
  Chart chart;
  chart.caption = words(item.text);
  chart.target = fmt::format("figure-{}", program_.text(item.name));
  AxisUnit across, up;
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op == LayoutOp::property) {
      chart_property(inner, chart, up);
    } else if (inner.op == LayoutOp::item) {
      const std::string_view name = program_.text(inner.name);
      if (name == "across") chart.across.name = words(inner.text);
      else if (name == "up") chart.up.name = words(inner.text);
      else if (name == "within" && !chart.bands.empty()) chart.bands[0].name = words(inner.text);
    } else if (inner.op == LayoutOp::grid || inner.op == LayoutOp::list) {
      chart_lines(at, chart, across, up);
    }
  }
  if (across.display) chart.across.unit = across.display->unit;
  if (up.display) chart.up.unit = up.display->unit;
  return make_figure(chart);
}

// Ends of the band that values should lie in, and single limits.
void Assembler::chart_property(const LayoutItem& inner, Chart& chart, AxisUnit& up) {
  const std::string_view name = program_.text(inner.name);
  const double value = on_axis(inner.expr, up);
  if (!std::isfinite(value)) return;
  if (chart.bands.empty()) chart.bands.push_back({});
  const std::string text = judgement_.wording().expr(inner.expr, scope(), world_);
  if (name == "low") chart.bands[0].low = value, chart.bands[0].low_label = text;
  else if (name == "high") chart.bands[0].high = value, chart.bands[0].high_label = text;
  else if (name == "limit") chart.limits.push_back({text, value, false});
}

// The rows of a grid as lines: its first column runs across, each further one of numbers is a line, and the last
// one of words labels the points of the first line.
void Assembler::chart_lines(u32 at, Chart& chart, AxisUnit& across, AxisUnit& up) {
  const LayoutItem& grid = program_.layout_items[at];
  std::vector<LayoutItem> columns;
  for (u32 n = at + 1; n < grid.items_end; ++n)
    if (program_.layout_items[n].op == LayoutOp::column) columns.push_back(program_.layout_items[n]);
  if (columns.size() < 2) return;
  const std::size_t base = chart.lines.size();
  std::size_t label_column = columns.size();
  for (std::size_t n = 1; n < columns.size(); ++n) {
    if (!counts(columns[n].expr)) {
      label_column = n;
      continue;
    }
    ChartLine line;
    line.name = words(columns[n].text);
    chart.lines.push_back(line);
  }
  each_row(grid, [&] {
    const double x = on_axis(columns[0].expr, across);
    std::size_t line = base;
    for (std::size_t n = 1; n < columns.size(); ++n) {
      if (!counts(columns[n].expr)) continue;
      ChartPoint point;
      point.x = x;
      point.y = on_axis(columns[n].expr, up);
      point.text = judgement_.wording().expr(columns[n].expr, scope(), world_);
      if (line == base && label_column < columns.size()) point.label = judgement_.wording().expr(columns[label_column].expr, scope(), world_);
      // Two rows of one point are one dot.
      auto& points = chart.lines[line].points;
      const bool again = !points.empty() && points.back().x == point.x && points.back().y == point.y && points.back().label == point.label;
      if (std::isfinite(point.x) && std::isfinite(point.y) && !again) points.push_back(point);
      ++line;
    }
  });
}

Figure Assembler::tree(const LayoutItem& item, u32 first, u32 end) {
  TreeFigure tree;
  tree.caption = words(item.text);
  tree.target = fmt::format("figure-{}", program_.text(item.name));
  tree.heads = {label("begins"), label("reaches"), label("over_it"), label("under_it"), label("through"), label("see")};
  std::map<u32, std::size_t> node_of;
  const auto node = [&](Value point) {
    const auto [found, fresh] = node_of.emplace(point.index(), tree.nodes.size());
    if (fresh) tree.nodes.push_back({judgement_.evaluation().name_of(ThingId{point.index()}), ""});
    return found->second;
  };
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op != LayoutOp::grid && inner.op != LayoutOp::list) continue;
    each_row(inner, [&] {
      const ThingId leg = bound_thing(inner);
      if (!leg.given()) return;
      const meaning::Thing& thing = program_.things[leg.value];
      const Value from = program_.inputs[thing.first_slot + meaning::leg_slot::from], to = program_.inputs[thing.first_slot + meaning::leg_slot::to];
      if (!from.known() || !to.known()) return;
      TreeEdge edge;
      edge.from = node(from);
      edge.to = node(to);
      Tone tone = Tone::plain;
      for (const Mark& mark : marks_of(leg, tone)) edge.mark += (edge.mark.empty() ? "" : ", ") + mark.word;
      if (thing.owner.given()) {
        edge.things.push_back(judgement_.evaluation().name_of(thing.owner));
        for (const Mark& mark : marks_of(thing.owner, tone)) edge.mark += (edge.mark.empty() ? "" : ", ") + mark.word;
      }
      for (u32 n = at + 1; n < inner.items_end; ++n) {
        const LayoutItem& column = program_.layout_items[n];
        if (column.op != LayoutOp::column) continue;
        const std::string name = words(column.text);
        if (name == "above") edge.above = judgement_.wording().expr(column.expr, scope(), world_);
        else if (name == "below") edge.below = judgement_.wording().expr(column.expr, scope(), world_);
        else if (name == "length") edge.length = number_of(column.expr);
        else if (name == "thick") edge.thickness = number_of(column.expr);
        else if (name == "note") tree.nodes[edge.to].note = judgement_.wording().expr(column.expr, scope(), world_);
      }
      if (edge.above == "none") edge.above.clear();
      if (edge.below == "none") edge.below.clear();
      tree.edges.push_back(edge);
    });
  }
  // The root is the node that no edge enters.
  std::vector<char> entered(tree.nodes.size(), 0);
  for (const TreeEdge& edge : tree.edges) entered[edge.to] = 1;
  for (std::size_t at = 0; at < entered.size(); ++at)
    if (!entered[at]) {
      tree.root = at;
      break;
    }
  return make_figure(tree);
}
}  // namespace dripleg::reports
