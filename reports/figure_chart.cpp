#include "reports/figure_chart.hpp"

#include "reports/figure_chart_table.hpp"
#include "reports/figure_hatch.hpp"
#include "reports/figure_labels.hpp"
#include "reports/figure_scale.hpp"
#include "reports/text_width.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dripleg::reports {
namespace {
constexpr double plot_width = 620;
constexpr double plot_height = 320;
constexpr double top_room = 34;          // the up axis's name stands above the plot
constexpr double name_gap = 34;          // from the plot to a line's name: a swatch of the line
constexpr double most_name_width = 210;
constexpr double strip_height = 70;
constexpr double strip_gap = 42;
constexpr double inner_end = 60;         // a line that ends this far inside is named there
constexpr double label_line = 14;

struct Extent {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
  void reach(double v) {
    if (!std::isfinite(v)) return;
    low = std::min(low, v);
    high = std::max(high, v);
  }
  bool given() const { return low <= high; }
};

bool given(const std::optional<double>& v) { return v && std::isfinite(*v); }
bool finite(double a, double b) { return std::isfinite(a) && std::isfinite(b); }

class ChartDrawer {
 public:
  explicit ChartDrawer(const Chart& chart) : chart_(chart) {}

  Svg draw() {
    measure();
    if (!across_.given() || !up_.given() || too_many()) return {};
    layout();
    note_obstacles();
    draw_bands();
    draw_ribbons();
    draw_stretches();
    draw_grid();
    draw_limits();
    draw_lines();
    draw_dots();
    settle_names();
    draw_labels();
    draw_names();
    draw_beneath();
    return pen_.take(width_, height_, chart_.title.empty() ? chart_.caption : chart_.title, chart_.desc);
  }

 private:
  // ---- scales ----
  void measure() {
    for (const double v : chart_.across.include) across_.reach(v);
    for (const double v : chart_.up.include) up_.reach(v);
    for (const ChartLine& line : chart_.lines) {
      for (const ChartPoint& p : line.points) {
        if (finite(p.x, p.y)) across_.reach(p.x), up_.reach(p.y);
      }
    }
    for (const ChartDot& dot : chart_.dots) {
      if (finite(dot.x, dot.y)) across_.reach(dot.x), up_.reach(dot.y);
    }
    for (const ChartRibbon& ribbon : chart_.ribbons) {
      for (const ChartRibbonPoint& p : ribbon.points) across_.reach(p.x), up_.reach(p.low), up_.reach(p.high);
    }
    for (const ChartBand& band : chart_.bands) {
      if (band.low) up_.reach(*band.low);
      if (band.high) up_.reach(*band.high);
    }
    for (const ChartStretch& stretch : chart_.stretches) across_.reach(stretch.from), across_.reach(stretch.to);
    for (const ChartLimit& limit : chart_.limits) (limit.upright ? across_ : up_).reach(limit.at);
    if (!chart_.beneath) return;
    for (const ChartColumn& column : chart_.beneath->columns) across_.reach(column.from), across_.reach(column.to);
  }

  bool too_many() const {
    std::size_t count = 120 + 3 * chart_.dots.size() + 4 * chart_.limits.size() + 8 * chart_.bands.size();
    for (const ChartLine& line : chart_.lines) {
      count += 5;
      for (const ChartPoint& p : line.points) count += p.label.empty() ? 0 : 4;
    }
    if (chart_.beneath) count += chart_.beneath->columns.size();
    return count > most_svg_elements;
  }

  bool needs_headroom() const { return !chart_.bands.empty() || !chart_.limits.empty() || !chart_.ribbons.empty(); }

  // Lines and dots are known before the first label asks for room.
  void note_obstacles() {
    for (const ChartLine& line : chart_.lines) {
      const ChartPoint* before = nullptr;
      for (const ChartPoint& p : line.points) {
        if (!finite(p.x, p.y)) {
          before = nullptr;
          continue;
        }
        if (before != nullptr && line.stepped) {
          placer_.avoid_segment(x(before->x), y(before->y), x(p.x), y(before->y));
          placer_.avoid_segment(x(p.x), y(before->y), x(p.x), y(p.y));
        } else if (before != nullptr) {
          placer_.avoid_segment(x(before->x), y(before->y), x(p.x), y(p.y));
        }
        if (!p.label.empty()) keep_dot_clear(p.x, p.y, 3);
        before = &p;
      }
    }
    for (const ChartDot& dot : chart_.dots) {
      if (finite(dot.x, dot.y)) keep_dot_clear(dot.x, dot.y, 5);
    }
    const auto upright = [&](double at) { placer_.avoid_segment(x(at), top_room, x(at), bottom_); };
    const auto level = [&](double at) { placer_.avoid_segment(left_, y(at), right(), y(at)); };
    for (const ChartLimit& limit : chart_.limits) {
      if (std::isfinite(limit.at)) limit.upright ? upright(limit.at) : level(limit.at);
    }
    for (const ChartStretch& stretch : chart_.stretches) {
      if (finite(stretch.from, stretch.to)) upright(stretch.from), upright(stretch.to);
    }
    for (const ChartBand& band : chart_.bands) {
      if (given(band.low)) level(*band.low);
      if (given(band.high)) level(*band.high);
    }
  }

  void keep_dot_clear(double at_x, double at_y, double radius) {
    placer_.keep_clear({x(at_x) - radius - 1, y(at_y) - radius - 1, 2 * radius + 2, 2 * radius + 2});
  }

  void layout() {
    x_ticks_ = choose_ticks(across_.low, across_.high, 8);
    double low = up_.low;
    double high = up_.high;
    // Ground outside of a band has to be seen; limits should not lie on the frame.
    if (needs_headroom()) {
      const double room = (high - low) * 0.06;
      low -= low > 0 && low - room < 0 ? low : low == 0 ? 0 : room;
      high += room;
    }
    y_ticks_ = choose_ticks(low, high, 6);
    double tick_width = 0;
    for (const double v : y_ticks_.at) {
      tick_width = std::max(tick_width, text_width(fixed_text(v, y_ticks_.decimals), letter_size(Lettering::small)));
    }
    left_ = 16 + tick_width;
    double names = 0;
    for (const ChartLine& line : chart_.lines) names = std::max(names, text_width(line.name, letter_size(Lettering::small)));
    for (const ChartRibbon& r : chart_.ribbons) names = std::max(names, text_width(r.name, letter_size(Lettering::small)));
    const double right = names > 0 ? name_gap + std::min(names, most_name_width) + 6 : 26;
    width_ = left_ + plot_width + right;
    bottom_ = top_room + plot_height;
    height_ = bottom_ + 44 + (chart_.beneath ? strip_gap + strip_height : 0);
    placer_ = LabelPlacer({left_ + 2, top_room + 2, plot_width - 4, plot_height - 4});
  }

  double x(double v) const { return left_ + (v - x_ticks_.begin) / (x_ticks_.end - x_ticks_.begin) * plot_width; }
  double y(double v) const { return bottom_ - (v - y_ticks_.begin) / (y_ticks_.end - y_ticks_.begin) * plot_height; }
  double right() const { return left_ + plot_width; }

  // ---- ground ----
  void draw_grid() {
    for (const double v : x_ticks_.at) {
      pen_.line(x(v), top_room, x(v), bottom_, Stroke::grid);
      if (!chart_.beneath) pen_.text(x(v), bottom_ + 16, fixed_text(v, x_ticks_.decimals), Anchor::middle, Lettering::small);
    }
    for (const double v : y_ticks_.at) {
      pen_.line(left_, y(v), right(), y(v), Stroke::grid);
      pen_.text(left_ - 7, y(v) + 4, fixed_text(v, y_ticks_.decimals), Anchor::end, Lettering::small);
    }
    pen_.line(left_, top_room, left_, bottom_, Stroke::axis);
    pen_.line(left_, bottom_, right(), bottom_, Stroke::axis);
    pen_.text(4, 18, named(chart_.up), Anchor::start, Lettering::strong);
    if (!chart_.beneath) pen_.text(right(), bottom_ + 36, named(chart_.across), Anchor::end, Lettering::strong);
  }

  static std::string named(const Axis& axis) { return axis.unit.empty() ? axis.name : axis.name + ", " + axis.unit; }

  void shade(double y_top, double y_bottom, bool hatched) {
    if (y_bottom - y_top < 0.5) return;
    SvgPath area;
    area.move(left_, y_top).line(right(), y_top).line(right(), y_bottom).line(left_, y_bottom).close();
    pen_.area(area, Fill::band);
    if (hatched) pen_.path(diagonal_hatch({left_, y_top, plot_width, y_bottom - y_top}, 9), Stroke::hatch_wide);
  }

  void band_edge(double value, const std::string& label, bool label_below, const std::string& name) {
    pen_.line(left_, y(value), right(), y(value), Stroke::limit);
    const std::string text = label.empty() ? name : name.empty() ? label : name + " " + label;
    side_label(text, y(value), label_below);
  }

  // A label on a level line, at its right end where there is room, else further to the left or on
  // the line's other side.
  void side_label(const std::string& text, double level, bool below) {
    if (text.empty()) return;
    const std::string shown = fitted(text, letter_size(Lettering::small), plot_width * 0.6);
    const double wide = text_width(shown, letter_size(Lettering::small));
    const double bases[] = {below ? level + 14 : level - 5, below ? level - 5 : level + 14};
    std::vector<Box> wishes;
    for (const double base : bases) {
      for (double from = right() - 8 - wide; from > left_ + 4; from -= 30) {
        wishes.push_back({from - 2, base - 10.5, wide + 4, label_line - 1.5});
      }
    }
    put_side_label(wishes, shown);
  }

  void put_side_label(const std::vector<Box>& wishes, const std::string& text) {
    if (wishes.empty()) return;
    const Box box = placer_.choose(wishes);
    side_labels_.push_back({box.x + 2, box.y + 10.5, text});
  }

  // A label beside an upright line, at its top or at its foot.
  void upright_label(const std::string& text, double at, bool top) {
    if (text.empty()) return;
    const double wide = text_width(text, letter_size(Lettering::small));
    std::vector<Box> wishes;
    for (int step = 0; step < 8; ++step) {
      const double base = top ? top_room + 15 + 15 * step : bottom_ - 8 - 15 * step;
      wishes.push_back({at + 4, base - 10.5, wide + 4, label_line - 1.5});
      wishes.push_back({at - 8 - wide, base - 10.5, wide + 4, label_line - 1.5});
    }
    put_side_label(wishes, text);
  }

  void draw_bands() {
    for (const ChartBand& band : chart_.bands) {
      const double y_high = given(band.high) ? y(*band.high) : top_room;
      const double y_low = given(band.low) ? y(*band.low) : bottom_;
      if (band.outside) {
        if (given(band.high)) shade(top_room, y_high, true);
        if (given(band.low)) shade(y_low, bottom_, true);
      } else {
        shade(y_high, y_low, false);
      }
      if (given(band.high)) band_edge(*band.high, band.high_label, !band.outside, band.name);
      if (given(band.low)) band_edge(*band.low, band.low_label, band.outside, given(band.high) ? "" : band.name);
    }
  }

  void draw_ribbons() {
    for (const ChartRibbon& ribbon : chart_.ribbons) {
      SvgPath area;
      SvgPath strokes;
      std::vector<ChartRibbonPoint> points;
      for (const ChartRibbonPoint& p : ribbon.points) {
        if (finite(p.x, p.low) && std::isfinite(p.high)) points.push_back(p);
      }
      if (points.size() < 2) continue;
      for (std::size_t i = 0; i < points.size(); ++i) {
        i == 0 ? area.move(x(points[i].x), y(points[i].high)) : area.line(x(points[i].x), y(points[i].high));
      }
      for (std::size_t i = points.size(); i-- > 0;) area.line(x(points[i].x), y(points[i].low));
      area.close();
      pen_.area(area, Fill::band);
      ribbon_hatch(points, strokes);
      pen_.path(strokes, Stroke::hatch_wide);
      pen_.path(area, Stroke::outline);
      names_.push_back({ribbon.name, y((points.back().low + points.back().high) / 2), no_style});
    }
  }

  // Upright strokes, a few units apart, from the lower to the upper edge.
  void ribbon_hatch(const std::vector<ChartRibbonPoint>& points, SvgPath& strokes) const {
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
      const double x1 = x(points[i].x);
      const double x2 = x(points[i + 1].x);
      if (x2 <= x1) continue;
      for (double at = std::ceil(x1 / 10) * 10; at < x2; at += 10) {
        const double t = (at - x1) / (x2 - x1);
        const double low = points[i].low + t * (points[i + 1].low - points[i].low);
        const double high = points[i].high + t * (points[i + 1].high - points[i].high);
        strokes.move(at, y(low)).line(at, y(high));
      }
    }
  }

  void draw_stretches() {
    for (const ChartStretch& stretch : chart_.stretches) {
      if (!finite(stretch.from, stretch.to)) continue;
      const double x1 = x(std::min(stretch.from, stretch.to));
      const double x2 = x(std::max(stretch.from, stretch.to));
      SvgPath area;
      area.move(x1, top_room).line(x2, top_room).line(x2, bottom_).line(x1, bottom_).close();
      pen_.area(area, Fill::band);
      pen_.path(diagonal_hatch({x1, top_room, x2 - x1, plot_height}, 8), Stroke::hatch_wide);
      pen_.line(x1, top_room, x1, bottom_, Stroke::limit);
      pen_.line(x2, top_room, x2, bottom_, Stroke::limit);
      const double wide = text_width(stretch.name, letter_size(Lettering::small));
      std::vector<Box> wishes;
      for (int step = 0; step < 10 && !stretch.name.empty(); ++step) {
        const double from = std::clamp((x1 + x2) / 2 - wide / 2, left_ + 3, right() - wide - 3);
        wishes.push_back({from - 2, top_room + 6 + 15 * step, wide + 4, label_line - 1.5});
      }
      put_side_label(wishes, stretch.name);
      upright_label(stretch.from_label, x1, false);
      upright_label(stretch.to_label, x2, false);
    }
  }

  void draw_limits() {
    for (const ChartLimit& limit : chart_.limits) {
      if (!std::isfinite(limit.at)) continue;
      if (limit.upright) {
        pen_.line(x(limit.at), top_room, x(limit.at), bottom_, Stroke::limit);
        upright_label(limit.label, x(limit.at), true);
      } else {
        pen_.line(left_, y(limit.at), right(), y(limit.at), Stroke::limit);
        side_label(limit.label, y(limit.at), false);
      }
    }
  }

  // ---- lines and dots ----
  void draw_lines() {
    for (std::size_t i = 0; i < chart_.lines.size(); ++i) {
      const ChartLine& line = chart_.lines[i];
      SvgPath shape;
      const ChartPoint* before = nullptr;
      for (const ChartPoint& p : line.points) {
        if (!finite(p.x, p.y)) {
          before = nullptr;
          continue;
        }
        if (before == nullptr) {
          shape.move(x(p.x), y(p.y));
        } else if (line.stepped) {
          shape.line(x(p.x), y(before->y)).line(x(p.x), y(p.y));
        } else {
          shape.line(x(p.x), y(p.y));
        }
        before = &p;
      }
      pen_.series(shape, i);
      if (before != nullptr) ends_.push_back({line.name, x(before->x), y(before->y), i});
    }
  }

  // A line that ends well inside and alone is named where it ends; the others at the right.
  void settle_names() {
    for (const LineEnd& end : ends_) {
      const bool alone = std::none_of(ends_.begin(), ends_.end(), [&](const LineEnd& other) {
        return other.style != end.style && std::fabs(other.x - end.x) < inner_end && std::fabs(other.y - end.y) < inner_end;
      });
      if (end.x > right() - inner_end || !alone) {
        names_.push_back({end.name, end.y, end.style});
      } else if (!end.name.empty()) {
        waiting_.push_back({end.x, end.y, end.name, "", true});
      }
    }
  }

  void draw_dots() {
    for (const ChartLine& line : chart_.lines) {
      for (const ChartPoint& p : line.points) {
        if (finite(p.x, p.y) && !p.label.empty()) put_dot(p.x, p.y, 3, Fill::ink, p.label, p.note);
      }
    }
    for (const ChartDot& dot : chart_.dots) {
      if (finite(dot.x, dot.y)) put_dot(dot.x, dot.y, 5, dot.hollow ? Fill::paper : Fill::ink, dot.label, dot.note);
    }
  }

  void put_dot(double at_x, double at_y, double radius, Fill fill, const std::string& label, const std::string& note) {
    const double px = x(at_x);
    const double py = y(at_y);
    pen_.disc(px, py, radius, fill);
    if (!label.empty()) waiting_.push_back({px, py, label, note, false});
  }

  void draw_labels() {
    for (const SideLabel& label : side_labels_) pen_.text(label.x, label.base, label.text, Anchor::start, Lettering::small);
    for (const Waiting& wait : waiting_) {
      const double wide = std::max(text_width(wait.label, letter_size(Lettering::small)), text_width(wait.note, letter_size(Lettering::small)));
      const double tall = wait.note.empty() ? label_line : 2 * label_line - 1;
      const Placed placed = placer_.place(wait.x, wait.y, wide + 4, tall, wait.sideways);
      const double middle = placed.box.x + placed.box.width / 2;
      if (placed.far) {
        const bool above = placed.box.y + placed.box.height / 2 < wait.y;
        pen_.line(wait.x, wait.y, middle, above ? placed.box.y + tall : placed.box.y, Stroke::leader);
      }
      const double first = placed.box.y + label_line - 3;
      pen_.text(middle, first, wait.label, Anchor::middle, Lettering::small);
      pen_.text(middle, first + label_line - 1, wait.note, Anchor::middle, Lettering::small);
    }
  }

  // Names at the right-hand ends, with a swatch of the line, kept apart.
  void draw_names() {
    std::vector<double> wishes;
    for (const Name& name : names_) wishes.push_back(name.y);
    const std::vector<double> places = spread_labels(wishes, 17, top_room + 6, bottom_ - 2);
    for (std::size_t i = 0; i < names_.size(); ++i) {
      if (names_[i].text.empty()) continue;
      const double base = right() + 4;
      if (names_[i].style != no_style) {
        SvgPath swatch;
        swatch.move(base + 2, places[i]).line(base + name_gap - 8, places[i]);
        pen_.series(swatch, names_[i].style);
      } else {
        pen_.rect(base + 6, places[i] - 5, name_gap - 16, 10, Fill::band, true);
      }
      pen_.text(base + name_gap - 4, places[i] + 4, fitted(names_[i].text, letter_size(Lettering::small), most_name_width), Anchor::start,
                Lettering::small);
    }
  }

  // ---- the strip of columns ----
  void draw_beneath() {
    if (!chart_.beneath) return;
    const double strip_top = bottom_ + strip_gap;
    const double strip_bottom = strip_top + strip_height;
    Extent values;
    values.reach(0);
    for (const ChartColumn& column : chart_.beneath->columns) values.reach(column.value);
    const Ticks ticks = choose_ticks(0, values.high, 2);
    const auto level = [&](double v) { return strip_bottom - (v - ticks.begin) / (ticks.end - ticks.begin) * strip_height; };
    for (const double v : ticks.at) {
      pen_.line(left_, level(v), right(), level(v), Stroke::grid);
      pen_.text(left_ - 7, level(v) + 4, fixed_text(v, ticks.decimals), Anchor::end, Lettering::small);
    }
    for (const ChartColumn& column : chart_.beneath->columns) {
      if (!finite(column.from, column.to) || !std::isfinite(column.value) || column.value <= 0) continue;
      const double x1 = x(std::min(column.from, column.to));
      const double x2 = x(std::max(column.from, column.to));
      pen_.rect(x1 + 0.8, level(column.value), std::max(x2 - x1 - 1.6, 0.5), strip_bottom - level(column.value), Fill::accent, false);
    }
    pen_.line(left_, strip_bottom, right(), strip_bottom, Stroke::axis);
    pen_.text(4, strip_top - 14, named(chart_.beneath->axis), Anchor::start, Lettering::strong);
    for (const double v : x_ticks_.at) {
      pen_.text(x(v), strip_bottom + 16, fixed_text(v, x_ticks_.decimals), Anchor::middle, Lettering::small);
    }
    pen_.text(right(), strip_bottom + 36, named(chart_.across), Anchor::end, Lettering::strong);
  }

  static constexpr std::size_t no_style = static_cast<std::size_t>(-1);
  struct Name {
    std::string text;
    double y;
    std::size_t style;
  };
  struct LineEnd {
    std::string name;
    double x;
    double y;
    std::size_t style;
  };
  struct SideLabel {
    double x;
    double base;
    std::string text;
  };
  struct Waiting {
    double x;
    double y;
    std::string label;
    std::string note;
    bool sideways;
  };

  const Chart& chart_;
  SvgPen pen_;
  Extent across_;
  Extent up_;
  Ticks x_ticks_;
  Ticks y_ticks_;
  double left_ = 0;
  double bottom_ = 0;
  double width_ = 0;
  double height_ = 0;
  LabelPlacer placer_{Box{}};
  std::vector<LineEnd> ends_;
  std::vector<Name> names_;
  std::vector<SideLabel> side_labels_;
  std::vector<Waiting> waiting_;
};
}  // namespace

Figure make_figure(const Chart& chart) {
  Figure figure;
  figure.target = chart.target;
  figure.caption = chart.caption;
  figure.file = chart.file;
  figure.alternative = chart_table(chart);
  figure.svg = ChartDrawer(chart).draw();
  return figure;
}
}  // namespace dripleg::reports
