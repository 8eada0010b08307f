#include "reports/figure_chart_table.hpp"

#include "reports/figure_scale.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::reports {
namespace {
constexpr std::size_t most_rows = 12;   // of one line; every labelled point comes on top

constexpr std::size_t most_columns = 40;

struct Digits {
  int x = 0;
  int y = 0;
};

int digits_over(std::vector<double> values) {
  std::erase_if(values, [](double v) { return !std::isfinite(v); });
  if (values.empty()) return 0;
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  return decimals_for(*low, *high);
}

// As few decimals as show every value to the thousandth of the stretch without trailing zeros.
int trimmed(const std::vector<double>& values, int decimals) {
  const auto all_end_in_zero = [&](int d) {
    return std::all_of(values.begin(), values.end(),
                       [d](double v) { return !std::isfinite(v) || fixed_text(v, d).back() == '0'; });
  };
  while (decimals > 0 && all_end_in_zero(decimals)) --decimals;
  return decimals;
}

Digits digits_of(const Chart& chart) {
  std::vector<double> xs;
  std::vector<double> ys;
  for (const ChartLine& line : chart.lines) {
    for (const ChartPoint& point : line.points) xs.push_back(point.x), ys.push_back(point.y);
  }
  for (const ChartDot& dot : chart.dots) xs.push_back(dot.x), ys.push_back(dot.y);
  const int x = digits_over(xs);
  const int y = digits_over(ys);
  return {trimmed(xs, x), trimmed(ys, y)};
}

bool finite(const ChartPoint& p) { return std::isfinite(p.x) && std::isfinite(p.y); }

std::vector<std::size_t> chosen_points(const ChartLine& line) {
  std::vector<std::size_t> chosen;
  const std::size_t step = std::max<std::size_t>(1, (line.points.size() + most_rows - 1) / most_rows);
  for (std::size_t i = 0; i < line.points.size(); ++i) {
    const bool wanted = i % step == 0 || i + 1 == line.points.size() || !line.points[i].label.empty();
    if (wanted && finite(line.points[i])) chosen.push_back(i);
  }
  return chosen;
}

bool same_places(const Chart& chart) {
  if (chart.lines.size() < 2) return false;
  const auto& first = chart.lines.front().points;
  return std::all_of(chart.lines.begin(), chart.lines.end(), [&](const ChartLine& line) {
    return std::equal(first.begin(), first.end(), line.points.begin(), line.points.end(),
                      [](const ChartPoint& a, const ChartPoint& b) { return a.x == b.x && finite(a) && finite(b); });
  });
}

Cell text_cell(std::string text) {
  Cell cell;
  cell.text = std::move(text);
  return cell;
}

std::string label_of(const ChartPoint& point) {
  return point.note.empty() ? point.label : point.label.empty() ? point.note : point.label + ", " + point.note;
}

std::string up_text(const ChartPoint& point, Digits digits) {
  return point.text.empty() ? fixed_text(point.y, digits.y) : point.text;
}

Row group_row(std::string name) {
  Row row;
  row.kind = RowKind::group;
  row.cells.push_back(text_cell(std::move(name)));
  return row;
}

bool any_label(const Chart& chart) {
  const auto labelled = [](const auto& point) { return !point.label.empty() || !point.note.empty(); };
  const bool dots_are_rows = chart.lines.empty() && std::any_of(chart.dots.begin(), chart.dots.end(), labelled);
  return dots_are_rows ||
         std::any_of(chart.lines.begin(), chart.lines.end(), [&](const ChartLine& line) {
           return std::any_of(line.points.begin(), line.points.end(), labelled);
         });
}

void add_wide_rows(Table& table, const Chart& chart, Digits digits) {
  for (const std::size_t i : chosen_points(chart.lines.front())) {
    Row row;
    row.cells.push_back(text_cell(fixed_text(chart.lines.front().points[i].x, digits.x)));
    std::string label;
    for (const ChartLine& line : chart.lines) {
      row.cells.push_back(text_cell(up_text(line.points[i], digits)));
      if (label.empty()) label = label_of(line.points[i]);
    }
    row.cells.push_back(text_cell(std::move(label)));
    table.rows.push_back(std::move(row));
  }
}

void add_long_rows(Table& table, const Chart& chart, Digits digits) {
  for (const ChartLine& line : chart.lines) {
    if (!line.name.empty()) table.rows.push_back(group_row(line.name));
    for (const std::size_t i : chosen_points(line)) {
      Row row;
      row.cells = {text_cell(fixed_text(line.points[i].x, digits.x)), text_cell(up_text(line.points[i], digits)),
                   text_cell(label_of(line.points[i]))};
      table.rows.push_back(std::move(row));
    }
  }
}

void add_notes(Table& table, const Chart& chart) {
  const auto say = [&](const std::string& name, const std::string& what) {
    if (name.empty() && what.empty()) return;
    table.notes.push_back(name.empty() || what.empty() ? name + what : name + ": " + what);
  };
  const auto range = [](const std::string& low, const std::string& high) {
    return low.empty() || high.empty() ? low + high : low + " … " + high;
  };
  for (const ChartBand& band : chart.bands) say(band.name, range(band.low_label, band.high_label));
  for (const ChartStretch& stretch : chart.stretches) say(stretch.name, range(stretch.from_label, stretch.to_label));
  for (const ChartLimit& limit : chart.limits) say(limit.label, "");
}

// Dots are the rows of a chart without lines; beside lines they are notes.
void add_dots(Table& table, const Chart& chart, Digits digits) {
  const auto with_unit = [](std::string number, const Axis& axis) {
    return axis.unit.empty() ? number : number + " " + axis.unit;
  };
  for (const ChartDot& dot : chart.dots) {
    const std::string x = fixed_text(dot.x, digits.x);
    const std::string y = fixed_text(dot.y, digits.y);
    const std::string label = label_of({dot.x, dot.y, dot.label, dot.note});
    if (!chart.lines.empty()) {
      const std::string place = with_unit(x, chart.across) + ", " + with_unit(y, chart.up);
      table.notes.push_back(label.empty() ? place : label + ": " + place);
      continue;
    }
    Row row;
    row.cells = {text_cell(x), text_cell(y), text_cell(label)};
    table.rows.push_back(std::move(row));
  }
}

void add_columns(Table& table, const Chart& chart) {
  if (!chart.beneath) return;
  const auto& columns = chart.beneath->columns;
  std::vector<double> edges;
  std::vector<double> values;
  for (const ChartColumn& column : columns) {
    edges.push_back(column.from), edges.push_back(column.to), values.push_back(column.value);
  }
  const int x = trimmed(edges, digits_over(edges));
  const int y = trimmed(values, digits_over(values));
  const std::string unit = chart.beneath->axis.unit.empty() ? "" : ", " + chart.beneath->axis.unit;
  table.rows.push_back(group_row(chart.beneath->axis.name + unit));
  const std::size_t step = std::max<std::size_t>(1, (columns.size() + most_columns - 1) / most_columns);
  for (std::size_t i = 0; i < columns.size(); i += step) {
    Row row;
    row.cells = {text_cell(fixed_text(columns[i].from, x) + " … " + fixed_text(columns[i].to, x)),
                 text_cell(fixed_text(columns[i].value, y))};
    table.rows.push_back(std::move(row));
  }
}
}  // namespace

Table chart_table(const Chart& chart) {
  Table table;
  const Digits digits = digits_of(chart);
  const bool wide = same_places(chart);
  table.columns.push_back({chart.across.name, Align::right, chart.across.unit});
  if (wide) {
    for (const ChartLine& line : chart.lines) table.columns.push_back({line.name, Align::right, chart.up.unit});
  } else {
    table.columns.push_back({chart.up.name, Align::right, chart.up.unit});
  }
  table.columns.push_back({"", Align::left, ""});
  wide ? add_wide_rows(table, chart, digits) : add_long_rows(table, chart, digits);
  add_dots(table, chart, digits);
  add_columns(table, chart);
  if (!any_label(chart)) table.columns.pop_back();
  add_notes(table, chart);
  return table;
}
}  // namespace dripleg::reports
