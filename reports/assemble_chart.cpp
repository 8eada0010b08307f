// A chart of a layout: lines from the rows of a grid, and what stands around them.
#include "reports/assembler.hpp"

#include "reports/figure_chart.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::reports {
using meaning::LayoutItem;
using meaning::LayoutOp;

Figure Assembler::chart(const LayoutItem& item, u32 first, u32 end) {
  Chart chart;
  chart.caption = words(item.text);
  chart.target = fmt::format("figure-{}", program_.text(item.name));
  ChartUnits units;
  chart_items(first, end, chart, units);
  if (units.across.display) chart.across.unit = units.across.display->unit;
  if (units.up.display) chart.up.unit = units.up.display->unit;
  if (units.beneath.display && chart.beneath) chart.beneath->axis.unit = units.beneath.display->unit;
  return make_figure(chart);
}

void Assembler::chart_items(u32 first, u32 end, Chart& chart, ChartUnits& units) {
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op == LayoutOp::property) chart_property(inner, chart, units.up);
    else if (inner.op == LayoutOp::text) chart.desc = words(inner.text);
    else if (inner.op == LayoutOp::grid) chart_lines(at, chart, units);
    else if (inner.op == LayoutOp::list) {
      // A list of columns is a grid; a list of other things says them once for each of its rows.
      const bool of_columns = at + 1 < inner.items_end && program_.layout_items[at + 1].op == LayoutOp::column;
      if (of_columns) chart_lines(at, chart, units);
      else each_row(inner, [&] { chart_items(at + 1, inner.items_end, chart, units); });
    } else if (inner.op == LayoutOp::item) {
      chart_named(at, chart, units);
    }
  }
}

void Assembler::chart_named(u32 at, Chart& chart, ChartUnits& units) {
  const LayoutItem& inner = program_.layout_items[at];
  const std::string_view name = program_.text(inner.name);
  const std::string said = words(inner.text);
  const auto rows = [&](auto&& take) {
    for (u32 n = at + 1; n < inner.items_end; n = std::max(program_.layout_items[n].items_end, n + 1)) {
      const LayoutItem& grid = program_.layout_items[n];
      if (grid.op == LayoutOp::grid || grid.op == LayoutOp::list) each_row(grid, [&] { take(n); });
    }
  };
  if (name == "across") chart.across.name = said;
  else if (name == "up") chart.up.name = said;
  else if (name == "within" && !chart.bands.empty()) chart.bands[0].name = said;
  else if (name == "dots") rows([&](u32 n) { chart_dot(n, chart, units); });
  else if (name == "limits") rows([&](u32 n) { chart_limit(n, chart, units.up, false); });
  else if (name == "uprights") rows([&](u32 n) { chart_limit(n, chart, units.across, true); });
  else if (name == "stretches") rows([&](u32 n) { chart_stretch(n, said, chart, units.across); });
  else if (name == "beneath") {
    chart.beneath.emplace();
    chart.beneath->axis.name = said;
    rows([&](u32 n) { chart_column(n, chart, units); });
  }
}

// Ends of the band that values should lie in, and single limits.
void Assembler::chart_property(const LayoutItem& inner, Chart& chart, AxisUnit& up) {
  const std::string_view name = program_.text(inner.name);
  const double value = on_axis(inner.expr, up);
  if (!std::isfinite(value)) return;
  const std::string text = judgement_.wording().expr(inner.expr, scope(), world_);
  if (name == "limit") {
    chart.limits.push_back({text, value, false});
    return;
  }
  if (name == "reach") {
    chart.up.include.push_back(value);
    return;
  }
  if (chart.bands.empty()) chart.bands.push_back({});
  if (name == "low") chart.bands[0].low = value, chart.bands[0].low_label = text;
  else if (name == "high") chart.bands[0].high = value, chart.bands[0].high_label = text;
}

// The rows of a grid as lines: its first column runs across, each further one of numbers is a line, and the last
// one of words labels the points of the first line.
void Assembler::chart_lines(u32 at, Chart& chart, ChartUnits& units) {
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
    const double x = on_axis(columns[0].expr, units.across);
    std::size_t line = base;
    for (std::size_t n = 1; n < columns.size(); ++n) {
      if (!counts(columns[n].expr)) continue;
      ChartPoint point;
      point.x = x;
      point.y = on_axis(columns[n].expr, units.up);
      point.text = judgement_.wording().expr(columns[n].expr, scope(), world_);
      if (line == base && label_column < columns.size()) point.label = judgement_.wording().expr(columns[label_column].expr, scope(), world_);
      // Two rows of one point are one dot.
      auto& points = chart.lines[line].points;
      const bool again = !points.empty() && points.back().x == point.x && points.back().y == point.y && points.back().label == point.label;
      if (std::isfinite(point.x) && std::isfinite(point.y) && !again) points.push_back(point);
      ++line;
    }
  });
  // A line without a point is not there.
  std::erase_if(chart.lines, [](const ChartLine& line) { return line.points.empty(); });
}

void Assembler::chart_dot(u32 at, Chart& chart, ChartUnits& units) {
  ChartDot dot;
  dot.x = dot.y = std::nan("");
  for_columns(at, [&](std::string_view name, const LayoutItem& column) {
    if (name == "along") dot.x = on_axis(column.expr, units.across);
    else if (name == "up") dot.y = on_axis(column.expr, units.up);
    else if (name == "label") dot.label = shown(column.expr);
    else if (name == "note") dot.note += (dot.note.empty() ? "" : ", ") + shown(column.expr);
    else if (name == "hollow") dot.hollow = is_so(column.expr);
  });
  if (std::isfinite(dot.x) && std::isfinite(dot.y)) chart.dots.push_back(std::move(dot));
}

// The label is the column's head, then what stands in it.
void Assembler::chart_limit(u32 at, Chart& chart, AxisUnit& unit, bool upright) {
  for_columns(at, [&](std::string_view name, const LayoutItem& column) {
    const double value = on_axis(column.expr, unit);
    if (std::isfinite(value)) chart.limits.push_back({fmt::format("{} {}", name, shown(column.expr)), value, upright});
  });
}

void Assembler::chart_stretch(u32 at, const std::string& name, Chart& chart, AxisUnit& across) {
  ChartStretch stretch;
  stretch.name = name;
  stretch.from = stretch.to = std::nan("");
  for_columns(at, [&](std::string_view head, const LayoutItem& column) {
    if (head == "from") stretch.from = on_axis(column.expr, across), stretch.from_label = shown(column.expr);
    else if (head == "to") stretch.to = on_axis(column.expr, across), stretch.to_label = shown(column.expr);
    else if (head == "name") stretch.name = shown(column.expr);
  });
  if (std::isfinite(stretch.from) && std::isfinite(stretch.to)) chart.stretches.push_back(std::move(stretch));
}

void Assembler::chart_column(u32 at, Chart& chart, ChartUnits& units) {
  ChartColumn made;
  for_columns(at, [&](std::string_view head, const LayoutItem& column) {
    if (head == "from") made.from = on_axis(column.expr, units.across);
    else if (head == "to") made.to = on_axis(column.expr, units.across);
    else if (head == "value") made.value = on_axis(column.expr, units.beneath);
  });
  if (std::isfinite(made.from) && std::isfinite(made.to) && std::isfinite(made.value)) chart.beneath->columns.push_back(made);
}

void Assembler::for_columns(u32 at, const std::function<void(std::string_view, const LayoutItem&)>& take) {
  for (u32 n = at + 1; n < program_.layout_items[at].items_end; ++n) {
    const LayoutItem& column = program_.layout_items[n];
    if (column.op == LayoutOp::column) take(words(column.text), column);
  }
}
}  // namespace dripleg::reports
