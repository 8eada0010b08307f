#include "reports/figure_graph.hpp"

#include "reports/graph_plan.hpp"
#include "reports/text_width.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace dripleg::reports {
namespace {
constexpr double least_pitch = 46;      // from row to row
constexpr double margin = 14;
constexpr double gap = 15;              // between the parts of a line
constexpr double box_height = 18;
constexpr double thinnest = 1.4;
constexpr double thickest = 5;
constexpr double jog_gap = 12;
constexpr double loop_gap = 18;

double small_width(const std::string& text) { return text_width(text, letter_size(Lettering::small)); }
double strong_width(const std::string& text) { return text_width(text, letter_size(Lettering::strong)); }

// What stands on a line, from one end of it to the other.
struct Part {
  const GraphEdge* edge = nullptr;
  double wide = 0;
};

double box_width(const std::string& thing) { return thing.empty() ? 0 : small_width(thing) + 10; }
double mark_width(const std::string& mark) { return mark.empty() ? 0 : strong_width(mark) + 12; }

class GraphDrawer {
 public:
  explicit GraphDrawer(const GraphFigure& graph) : graph_(graph), plan_(plan_of(graph)) {}

  Svg draw() {
    if (plan_.strands.empty() || graph_.edges.size() * 8 + plan_.strands.size() * 12 + 20 > most_svg_elements) return {};
    measure();
    place_labels();
    place_rows();
    place_rails();
    for (std::size_t r = 0; r < plan_.rails.size(); ++r) draw_rail(plan_.rails[r]);
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) draw_strand(s);
    draw_dots();
    for (const auto& [node, spot] : labels_) draw_label(node, spot);
    return pen_.take(right_ + margin, height_, graph_.title.empty() ? graph_.caption : graph_.title, graph_.desc);
  }

 private:
  enum class Side { right, left, above };
  struct Spot { Side side; double wide; double x = 0; std::size_t row = 0; };

  double y(std::size_t row) const { return row_y_[row]; }
  double x(std::size_t node) const { return rail_x_[plan_.rail_of[node]]; }

  // ---- what stands on the lines, and how much room it wants ----
  void measure() {
    double most = 0;
    for (const Strand& strand : plan_.strands) most = std::max(most, strand.thickness);
    thick_ = most > 0 ? thickest / most : 0;
    parts_.resize(plan_.strands.size());
    for (std::size_t s = 0; s < plan_.strands.size(); ++s)
      for (const Step& step : plan_.strands[s].steps) {
        const GraphEdge& edge = graph_.edges[step.edge];
        if (edge.thing.empty() && edge.above.empty() && edge.below.empty() && edge.mark.empty()) continue;
        const double wide = std::max({small_width(edge.above), small_width(edge.below), box_width(edge.thing) + mark_width(edge.mark) + (edge.thing.empty() || edge.mark.empty() ? 0 : 4)});
        parts_[s].push_back({&edge, wide});
      }
  }

  // Parts on the way out of a loop; the others stand on its way back.
  std::size_t out_parts(std::size_t s) const { return parts_[s].size() < 4 ? parts_[s].size() : (parts_[s].size() + 1) / 2; }

  double room(std::size_t s, std::size_t first, std::size_t end) const {
    double wide = gap + 14;
    for (std::size_t i = first; i < end; ++i) wide += parts_[s][i].wide + gap;
    return wide;
  }

  double width_of(std::size_t s) const {
    const Placing& placing = plan_.placings[s];
    const Strand& strand = plan_.strands[s];
    if (placing.way == Way::loop) {
      const double out = room(s, 0, out_parts(s)) + kept_free(strand.from, placing.left), back = room(s, out_parts(s), parts_[s].size()) + kept_free(strand.to, placing.left);
      return std::max({out, back, 56.0});
    }
    if (placing.way == Way::stub) {
      const std::size_t anchored = plan_.rail_of[strand.from] != no_rail ? strand.from : strand.to;
      const GraphNode& end = graph_.nodes[anchored == strand.from ? strand.to : strand.from];
      return room(s, 0, parts_[s].size()) + kept_free(anchored, placing.left) + std::max(strong_width(end.label), small_width(end.note)) + 10;
    }
    const bool rightward = plan_.rails[plan_.rail_of[strand.from]].layer <= plan_.rails[plan_.rail_of[strand.to]].layer;
    return room(s, 0, parts_[s].size()) + kept_free(strand.from, !rightward) + kept_free(strand.to, rightward) + (placing.from_row != placing.to_row ? 30 + side_room(plan_.rails[plan_.rail_of[strand.to]], rightward ? Side::left : Side::right) : 0);
  }

  // A label that stands above a line at its end takes that much of the line.
  double kept_free(std::size_t node, bool left) const {
    const auto found = labels_.find(node);
    return found != labels_.end() && found->second.side == Side::above && left ? found->second.wide : 0;
  }

  // ---- labels of nodes ----
  void place_labels() {
    std::map<std::size_t, std::vector<std::pair<std::size_t, bool>>> lines;   // of a node: rows of its lines, and whether to the left
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
      const Placing& placing = plan_.placings[s];
      const Strand& strand = plan_.strands[s];
      if (placing.way == Way::upright) continue;
      const std::size_t from = plan_.rail_of[strand.from], to = plan_.rail_of[strand.to];
      const bool side = placing.way == Way::across ? plan_.rails[from].layer > plan_.rails[to].layer : placing.left;
      if (from != no_rail) lines[strand.from].push_back({placing.from_row, side});
      if (to != no_rail) lines[strand.to].push_back({placing.to_row, placing.way == Way::across ? !side : side});
    }
    for (const auto& [node, at] : lines) {
      const std::size_t top = std::min_element(at.begin(), at.end())->first;
      top_row_[node] = top;
      bottom_row_[node] = std::max_element(at.begin(), at.end())->first;
      const GraphNode& shown = graph_.nodes[node];
      if (shown.label.empty() && shown.note.empty()) continue;
      bool left = false, right = false;
      for (const auto& [row, to_left] : at)
        if (row == top) (to_left ? left : right) = true;
      Spot spot{!right ? Side::right : !left ? Side::left : Side::above, std::max(strong_width(shown.label), small_width(shown.note)) + 10, 0, top};
      if (spot.side == Side::above) spot.wide = strong_width(shown.label) + (shown.note.empty() ? 0 : small_width(shown.note) + 5) + 10;
      labels_.emplace(node, spot);
    }
  }

  double side_room(const Rail& rail, Side side) const {
    double wide = 0;
    for (const std::size_t node : rail.nodes)
      if (const auto found = labels_.find(node); found != labels_.end() && found->second.side == side) wide = std::max(wide, found->second.wide);
    if (side == Side::right)
      for (const std::size_t s : rail.uprights) wide = std::max(wide, upright_width(s));
    return wide;
  }

  std::string upright_text(std::size_t s, bool above) const {
    std::string out, last;
    for (const Part& part : parts_[s]) {
      const std::string& text = above ? part.edge->above : part.edge->below;
      if (text.empty() || text == last) continue;
      out += (out.empty() ? "" : "; ") + text;
      last = text;
    }
    return out;
  }

  double upright_width(std::size_t s) const {
    double marks = 0;
    for (const Part& part : parts_[s]) marks += mark_width(part.edge->mark);
    return std::max(small_width(upright_text(s, true)), small_width(upright_text(s, false))) + 12 + marks;
  }

  // ---- where rows lie: as close as what stands above, below and between them lets them ----
  static double over(const Part& part) { return (part.edge->mark.empty() ? part.edge->thing.empty() ? 0 : box_height / 2 : 10) + (part.edge->above.empty() ? 0 : 16); }
  static double under(const Part& part) { return (part.edge->mark.empty() ? part.edge->thing.empty() ? 0 : box_height / 2 : 10) + (part.edge->below.empty() ? 0 : 16); }

  void place_rows() {
    std::vector<double> above(plan_.rows, 12), below(plan_.rows, 12), between(plan_.rows, 0);
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
      const Placing& placing = plan_.placings[s];
      if (placing.way == Way::upright) continue;
      for (std::size_t n = 0; n < parts_[s].size(); ++n) {
        const std::size_t row = placing.way == Way::loop && n >= out_parts(s) ? placing.to_row : placing.from_row;
        above[row] = std::max(above[row], over(parts_[s][n]));
        below[row] = std::max(below[row], under(parts_[s][n]));
      }
      if (placing.way == Way::stub) below[placing.from_row] = std::max(below[placing.from_row], 16.0);
    }
    for (const auto& [node, spot] : labels_) above[spot.row] = std::max(above[spot.row], 20.0), below[spot.row] = std::max(below[spot.row], 16.0);
    for (const Rail& rail : plan_.rails)
      for (std::size_t i = 0; i < rail.uprights.size(); ++i)
        if (const std::size_t row = upright_row(rail, i); !parts_[rail.uprights[i]].empty()) between[row] = std::max(between[row], 30.0);
    row_y_.resize(plan_.rows);
    for (std::size_t row = 0; row < plan_.rows; ++row)
      row_y_[row] = row == 0 ? above[0] + 8 : row_y_[row - 1] + std::max(least_pitch, below[row - 1] + between[row - 1] + above[row] + 6);
    if (plan_.rows > 0) height_ = row_y_.back() + below.back() + 10;
    between_.resize(plan_.rows);
    for (std::size_t row = 0; row + 1 < plan_.rows; ++row) between_[row] = row_y_[row] + below[row] + (row_y_[row + 1] - above[row + 1] - row_y_[row] - below[row]) / 2;
  }

  // The row below which an upright line is labelled.
  std::size_t upright_row(const Rail& rail, std::size_t i) const {
    const std::size_t upper = bottom_row_.at(rail.nodes[i]), lower = top_row_.at(rail.nodes[i + 1]);
    return upper + (lower - upper - 1) / 2;
  }

  // ---- where the rails stand ----
  void place_rails() {
    set_reaches();
    std::vector<double> left(plan_.layers, 0), right(plan_.layers, 0), beside(plan_.layers, 0), at(plan_.layers, 0);
    for (std::size_t r = 0; r < plan_.rails.size(); ++r) {
      const Rail& rail = plan_.rails[r];
      left[rail.layer] = std::max({left[rail.layer], side_room(rail, Side::left), reach_[r].first});
      right[rail.layer] = std::max({right[rail.layer], side_room(rail, Side::right), reach_[r].second});
    }
    std::vector<std::size_t> places(plan_.layers, 0);
    for (const Rail& rail : plan_.rails) places[rail.layer] = std::max(places[rail.layer], rail.beside);
    for (std::size_t l = 0; l < plan_.layers; ++l) beside[l] = places[l] > 0 ? left[l] + right[l] + 24 : 0;
    rail_x_.assign(plan_.rails.size(), 0);
    for (std::size_t l = 0; l < plan_.layers; ++l) {
      at[l] = l == 0 ? margin + left[0] : at[l - 1] + static_cast<double>(places[l - 1]) * beside[l - 1] + right[l - 1] + left[l] + 24;
      for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
        if (plan_.placings[s].way != Way::across) continue;
        std::size_t a = plan_.rail_of[plan_.strands[s].from], b = plan_.rail_of[plan_.strands[s].to];
        if (plan_.rails[a].layer > plan_.rails[b].layer) std::swap(a, b);
        if (plan_.rails[b].layer != l || plan_.rails[a].layer == l) continue;
        at[l] = std::max(at[l], rail_x_[a] + width_of(s) - static_cast<double>(plan_.rails[b].beside) * beside[l]);
      }
      for (std::size_t r = 0; r < plan_.rails.size(); ++r)
        if (plan_.rails[r].layer == l) rail_x_[r] = at[l] + static_cast<double>(plan_.rails[r].beside) * beside[l];
    }
    for (std::size_t r = 0; r < plan_.rails.size(); ++r)
      right_ = std::max({right_, rail_x_[r] + side_room(plan_.rails[r], Side::right), rail_x_[r] + reach_[r].second, rail_x_[r] + 8});
  }

  // How far loops and stubs reach out from their rails: an outer loop past all within it.
  void set_reaches() {
    reach_.assign(plan_.rails.size(), {0, 0});
    turn_.assign(plan_.strands.size(), 0);
    std::vector<std::size_t> order;
    for (std::size_t s = 0; s < plan_.strands.size(); ++s)
      if (plan_.placings[s].way == Way::loop || plan_.placings[s].way == Way::stub) order.push_back(s);
    const auto span = [&](std::size_t s) { return std::minmax(plan_.placings[s].from_row, plan_.placings[s].to_row); };
    const auto tall = [&](std::size_t s) { return span(s).second - span(s).first; };
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return tall(a) < tall(b); });
    for (std::size_t i = 0; i < order.size(); ++i) {
      const std::size_t s = order[i], rail = rail_with(s);
      turn_[s] = width_of(s);
      for (std::size_t j = 0; j < i; ++j) {
        const std::size_t inner = order[j];
        if (plan_.placings[inner].left != plan_.placings[s].left || plan_.rails[rail_with(inner)].layer != plan_.rails[rail].layer) continue;
        if (span(inner).first <= span(s).second && span(s).first <= span(inner).second) turn_[s] = std::max(turn_[s], turn_[inner] + loop_gap);
      }
      double& reach = plan_.placings[s].left ? reach_[rail].first : reach_[rail].second;
      reach = std::max(reach, turn_[s]);
    }
  }

  std::size_t rail_with(std::size_t s) const {
    const std::size_t from = plan_.rail_of[plan_.strands[s].from];
    return from != no_rail ? from : plan_.rail_of[plan_.strands[s].to];
  }

  // ---- drawing ----
  double thickness(double of) const { return std::max(thinnest, of * thick_); }

  void line(double x1, double y1, double x2, double y2, double thick, bool dashed = false) { pen_.line_thick(x1, y1, x2, y2, thick, dashed); }

  // A head on a line, its middle at this point.
  void arrow(double at_x, double at_y, double dx, double dy, double thick) {
    const double along = 6 + thick * 0.5, wide = 3.6 + thick * 0.7;
    SvgPath head;
    head.move(at_x + dx * along, at_y + dy * along).line(at_x - dx * along - dy * wide, at_y - dy * along + dx * wide).line(at_x - dx * along + dy * wide, at_y - dy * along - dx * wide).close();
    pen_.area(head, Fill::ink);
  }

  void draw_rail(const Rail& rail) {
    const double at = rail_x_[plan_.rail_of[rail.nodes.front()]];
    for (const std::size_t node : rail.nodes) {
      double most = 0;
      for (const Strand& strand : plan_.strands)
        if (strand.from == node || strand.to == node) most = std::max(most, strand.thickness);
      if (bottom_row_[node] > top_row_[node]) line(at, y(top_row_[node]), at, y(bottom_row_[node]), thickness(most));
    }
    for (std::size_t i = 0; i < rail.uprights.size(); ++i) {
      const std::size_t s = rail.uprights[i];
      draw_upright(s, at, rail, i);
    }
  }

  void draw_upright(std::size_t s, double at, const Rail& rail, std::size_t i) {
    const std::size_t upper = bottom_row_[rail.nodes[i]], lower = top_row_[rail.nodes[i + 1]];
    const bool down = plan_.strands[s].from == rail.nodes[i];
    const double thick = thickness(plan_.strands[s].thickness);
    double marks = 0;
    for (const Part& part : parts_[s]) marks += mark_width(part.edge->mark);
    line(at, y(upper), at, y(lower), thick, marks > 0);
    const double middle = between_[upright_row(rail, i)];
    const double carried = down ? plan_.strands[s].carried : -plan_.strands[s].carried;
    if (carried != 0) arrow(at, middle, 0, carried > 0 ? 1 : -1, thick);
    double from = at + 10;
    for (const Part& part : parts_[s]) from = draw_mark(part.edge->mark, from, middle);
    const std::string above = upright_text(s, true), below = upright_text(s, false);
    pen_.text(from, middle + (below.empty() ? 4 : -2.5), above, Anchor::start, Lettering::small);
    pen_.text(from, middle + (above.empty() ? 4 : 10.5), below, Anchor::start, Lettering::small);
  }

  // Returns where the next thing may begin.
  double draw_mark(const std::string& mark, double from, double middle) {
    if (mark.empty()) return from;
    pen_.rect(from, middle - 10, mark_width(mark) - 4, 20, Fill::paper, true);
    pen_.text(from + (mark_width(mark) - 4) / 2, middle + 4.5, mark, Anchor::middle, Lettering::strong);
    return from + mark_width(mark);
  }

  void draw_strand(std::size_t s) {
    const Strand& strand = plan_.strands[s];
    const Placing& placing = plan_.placings[s];
    const double thick = thickness(strand.thickness);
    switch (placing.way) {
      case Way::upright: return;
      case Way::loop: draw_loop(s, thick); return;
      case Way::stub: draw_stub(s, thick); return;
      case Way::across: break;
    }
    const double from = x(strand.from), to = x(strand.to), way = from <= to ? 1 : -1;
    const bool jogs = placing.from_row != placing.to_row;
    const std::size_t rail = plan_.rail_of[strand.to];
    const double turn = jogs ? to - way * (12 + side_room(plan_.rails[rail], way > 0 ? Side::left : Side::right) + jog_gap * static_cast<double>(jogs_[rail]++ % 3)) : to;
    const double level = y(placing.from_row), end = y(placing.to_row);
    const double begin = from + way * kept_free(strand.from, way < 0);
    draw_parts(s, 0, parts_[s].size(), level, from, begin, turn - way * (jogs ? 4 : kept_free(strand.to, way > 0) + 12), turn, thick);
    if (jogs) line(turn, level, turn, end, thick), line(turn, end, to, end, thick);
    if (strand.carried > 0) arrow(to - way * (9 + thick), end, way, 0, thick);
    else if (strand.carried < 0) arrow(from + way * (9 + thick), level, -way, 0, thick);
  }

  void draw_loop(std::size_t s, double thick) {
    const Strand& strand = plan_.strands[s];
    const Placing& placing = plan_.placings[s];
    const double way = placing.left ? -1 : 1, from = x(strand.from), turn = from + way * turn_[s];
    const double out = y(placing.from_row), back = y(placing.to_row);
    const std::size_t half = out_parts(s);
    draw_parts(s, 0, half, out, from, from + way * (12 + kept_free(strand.from, placing.left)), turn - way * 6, turn, thick);
    line(turn, out, turn, back, thick);
    draw_parts(s, half, parts_[s].size(), back, turn, turn - way * 6, from + way * (14 + kept_free(strand.to, placing.left)), from, thick);
    if (strand.carried > 0) arrow(from + way * (9 + thick), back, -way, 0, thick);
    else if (strand.carried < 0) arrow(from + way * (9 + thick), out, -way, 0, thick);
  }

  void draw_stub(std::size_t s, double thick) {
    const Strand& strand = plan_.strands[s];
    const Placing& placing = plan_.placings[s];
    const bool starts = plan_.rail_of[strand.from] != no_rail;
    const std::size_t anchored = starts ? strand.from : strand.to, open = starts ? strand.to : strand.from;
    const GraphNode& end = graph_.nodes[open];
    const double way = placing.left ? -1 : 1, from = x(anchored), level = y(placing.from_row);
    const double label = std::max(strong_width(end.label), small_width(end.note)) + 10;
    const double tip = from + way * (turn_[s] - label);
    draw_parts(s, 0, parts_[s].size(), level, from, from + way * (10 + kept_free(anchored, placing.left)), tip - way * 4, tip, thick, !starts);
    line(tip, level - 7, tip, level + 7, 2.2);
    const Anchor anchor = placing.left ? Anchor::end : Anchor::start;
    pen_.text(tip + way * 7, level + (end.note.empty() ? 4.5 : 0), end.label, anchor, Lettering::strong);
    pen_.text(tip + way * 7, level + 13, end.note, anchor, Lettering::small);
    const double carried = starts ? strand.carried : -strand.carried;
    if (carried > 0) arrow(tip - way * 9, level, way, 0, thick);
    else if (carried < 0) arrow(from + way * (9 + thick), level, -way, 0, thick);
  }

  // A level line from `start` to `end` with its parts spread between two inner ends of it.
  void draw_parts(std::size_t s, std::size_t first, std::size_t last, double level, double start, double inner, double outer, double end, double thick, bool turned = false) {
    const double way = start <= end ? 1 : -1;
    double used = 0;
    for (std::size_t i = first; i < last; ++i) used += parts_[s][i].wide;
    const double space = last > first ? (std::fabs(outer - inner) - used) / static_cast<double>(last - first + 1) : 0;
    line(start, level, end, level, thick);
    double at = inner;
    for (std::size_t n = first; n < last; ++n) {
      const Part& part = parts_[s][turned ? last - 1 - (n - first) : n];
      const double middle = at + way * (space + part.wide / 2);
      draw_part(part, middle, level, thick);
      at = middle + way * part.wide / 2;
    }
  }

  void draw_part(const Part& part, double middle, double level, double thick) {
    const GraphEdge& edge = *part.edge;
    const double clear = std::max(thick / 2, edge.thing.empty() && edge.mark.empty() ? 0.0 : box_height / 2);
    pen_.text(middle, level - clear - 5, edge.above, Anchor::middle, Lettering::small);
    pen_.text(middle, level + clear + 12.5, edge.below, Anchor::middle, Lettering::small);
    const double boxes = box_width(edge.thing) + mark_width(edge.mark) + (edge.thing.empty() || edge.mark.empty() ? 0 : 4);
    double from = middle - boxes / 2;
    if (!edge.thing.empty()) {
      pen_.rect(from, level - box_height / 2, box_width(edge.thing), box_height, Fill::paper, true);
      pen_.text(from + box_width(edge.thing) / 2, level + 3.8, edge.thing, Anchor::middle, Lettering::small);
      from += box_width(edge.thing) + 4;
    }
    draw_mark(edge.mark, from, level);
  }

  void draw_dots() {
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
      const Strand& strand = plan_.strands[s];
      const Placing& placing = plan_.placings[s];
      if (placing.way == Way::upright) continue;
      if (plan_.rail_of[strand.from] != no_rail) pen_.disc(x(strand.from), y(placing.from_row), 3, Fill::ink);
      if (plan_.rail_of[strand.to] != no_rail) pen_.disc(x(strand.to), y(placing.to_row), 3, Fill::ink);
    }
  }

  void draw_label(std::size_t node, const Spot& spot) {
    const GraphNode& shown = graph_.nodes[node];
    const double at = x(node), level = y(spot.row);
    if (spot.side == Side::above) {
      const double from = at - spot.wide + 2;
      pen_.text(from, level - 8, shown.label, Anchor::start, Lettering::strong);
      pen_.text(from + (shown.label.empty() ? 0 : strong_width(shown.label) + 5), level - 8, shown.note, Anchor::start, Lettering::small);
      return;
    }
    const double way = spot.side == Side::left ? -1 : 1;
    const Anchor anchor = spot.side == Side::left ? Anchor::end : Anchor::start;
    pen_.text(at + way * 8, level + (shown.note.empty() ? 4.5 : -1), shown.label, anchor, Lettering::strong);
    pen_.text(at + way * 8, level + (shown.label.empty() ? 4 : 12), shown.note, anchor, Lettering::small);
  }

  const GraphFigure& graph_;
  GraphPlan plan_;
  SvgPen pen_;
  std::vector<std::vector<Part>> parts_;                    // of each strand, in the order of its steps
  std::map<std::size_t, Spot> labels_;
  std::map<std::size_t, std::size_t> top_row_, bottom_row_; // of a node's lines
  std::vector<double> row_y_, between_;                     // of rows; of the room below each
  std::vector<double> rail_x_;
  std::vector<std::pair<double, double>> reach_;            // of loops and stubs, to the left and right of each rail
  std::vector<double> turn_;                                // of a loop or stub: how far it goes
  std::map<std::size_t, std::size_t> jogs_;                 // of a rail: how many lines change their row before it
  double thick_ = 0;
  double right_ = 0;
  double height_ = 0;
};

Table graph_table(const GraphFigure& graph) {
  Table table;
  table.columns = {{graph.heads.from, Align::left, ""}, {graph.heads.to, Align::left, ""}, {graph.heads.above, Align::left, ""},
                   {graph.heads.below, Align::left, ""}, {graph.heads.thing, Align::left, ""}, {graph.heads.mark, Align::left, ""}};
  const auto name = [&](std::size_t node) { return node < graph.nodes.size() ? graph.nodes[node].label : std::string(); };
  for (const GraphEdge& edge : graph.edges) {
    if (edge.above.empty() && edge.below.empty() && edge.thing.empty() && edge.mark.empty()) continue;
    Row row;
    for (const std::string& text : {edge.carried < 0 ? name(edge.to) : name(edge.from), edge.carried < 0 ? name(edge.from) : name(edge.to), edge.above, edge.below, edge.thing, edge.mark}) {
      row.cells.emplace_back();
      row.cells.back().text = text;
    }
    if (!edge.mark.empty()) row.tone = Tone::breaks;
    table.rows.push_back(std::move(row));
  }
  // Columns that nobody fills are left out.
  for (std::size_t at = table.columns.size(); at-- > 2;) {
    const bool used = std::any_of(table.rows.begin(), table.rows.end(), [&](const Row& row) { return !row.cells[at].text.empty(); });
    if (used) continue;
    table.columns.erase(table.columns.begin() + static_cast<std::ptrdiff_t>(at));
    for (Row& row : table.rows) row.cells.erase(row.cells.begin() + static_cast<std::ptrdiff_t>(at));
  }
  return table;
}
}  // namespace

Figure make_figure(const GraphFigure& graph) {
  Figure figure;
  figure.target = graph.target;
  figure.caption = graph.caption;
  figure.file = graph.file;
  figure.alternative = graph_table(graph);
  figure.svg = GraphDrawer(graph).draw();
  return figure;
}
}  // namespace dripleg::reports
