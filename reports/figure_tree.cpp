#include "reports/figure_tree.hpp"

#include "reports/text_width.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::reports {
namespace {
constexpr double row_height = 62;
constexpr double top_room = 34;
constexpr double bottom_room = 34;
constexpr double side_room = 12;
constexpr double scaled_width = 640;      // of the longest way, where lengths decide
constexpr double thinnest = 1.6;
constexpr double thickest = 7;
constexpr double thing_height = 17;
constexpr double mark_height = 20;

double small_width(const std::string& text) { return text_width(text, letter_size(Lettering::small)); }
double strong_width(const std::string& text) { return text_width(text, letter_size(Lettering::strong)); }

struct Spot {
  double x = 0;
  std::size_t row = 0;
};

class TreeDrawer {
 public:
  explicit TreeDrawer(const TreeFigure& tree) : tree_(tree) {}

  Svg draw() {
    if (!arrange()) return {};
    if (order_.size() * 10 + things_ * 2 + 10 > most_svg_elements) return {};
    place();
    for (const std::size_t edge : order_) draw_branch(edge);
    for (const std::size_t edge : order_) draw_edge(edge);
    draw_nodes();
    const double height = top_room + static_cast<double>(rows_ - 1) * row_height + bottom_room;
    return pen_.take(width_, height, tree_.title.empty() ? tree_.caption : tree_.title, tree_.desc);
  }

 private:
  // The edges in the order of drawing; false when they are no tree.
  bool arrange() {
    const std::size_t count = tree_.nodes.size();
    if (tree_.root >= count || tree_.edges.empty()) return false;
    leaving_.assign(count, {});
    for (std::size_t i = 0; i < tree_.edges.size(); ++i) {
      const TreeEdge& edge = tree_.edges[i];
      if (edge.from >= count || edge.to >= count) return false;
      leaving_[edge.from].push_back(i);
    }
    std::vector<bool> seen(count, false);
    seen[tree_.root] = true;
    std::vector<std::size_t> waiting(leaving_[tree_.root].rbegin(), leaving_[tree_.root].rend());
    while (!waiting.empty()) {
      const std::size_t edge = waiting.back();
      waiting.pop_back();
      const std::size_t to = tree_.edges[edge].to;
      if (seen[to]) return false;
      seen[to] = true;
      order_.push_back(edge);
      things_ += tree_.edges[edge].things.size();
      waiting.insert(waiting.end(), leaving_[to].rbegin(), leaving_[to].rend());
    }
    return !order_.empty();
  }

  double things_width(const TreeEdge& edge) const {
    double width = 0;
    for (const std::string& thing : edge.things) width += small_width(thing) + 14;
    return width;
  }

  double mark_width(const TreeEdge& edge) const { return edge.mark.empty() ? 0 : strong_width(edge.mark) + 14; }

  bool is_first(std::size_t edge) const { return leaving_[tree_.edges[edge].from].front() == edge; }

  // A node's label stands over the start of the edge that goes straight on.
  double label_room(std::size_t edge) const {
    if (!is_first(edge) || tree_.edges[edge].from == tree_.root) return 0;
    return strong_width(tree_.nodes[tree_.edges[edge].from].label) + 10;
  }

  double least_width(std::size_t index) const {
    const TreeEdge& edge = tree_.edges[index];
    const double texts = std::max(small_width(edge.above) + label_room(index), small_width(edge.below));
    return std::max(texts, things_width(edge) + mark_width(edge) + 10) + 26;
  }

  void place() {
    std::vector<double> reach(tree_.nodes.size(), 0);
    double longest = 0;
    double most_thick = 0;
    for (const std::size_t i : order_) {
      const TreeEdge& edge = tree_.edges[i];
      const double length = std::isfinite(edge.length) ? std::max(edge.length, 0.0) : 0;
      reach[edge.to] = reach[edge.from] + length;
      longest = std::max(longest, reach[edge.to]);
      if (std::isfinite(edge.thickness)) most_thick = std::max(most_thick, edge.thickness);
    }
    scale_ = longest > 0 ? scaled_width / longest : 0;
    thick_ = most_thick > 0 ? thickest / most_thick : 0;
    spots_.assign(tree_.nodes.size(), {});
    const TreeNode& root = tree_.nodes[tree_.root];
    spots_[tree_.root].x = side_room + std::max(strong_width(root.label), small_width(root.note)) + 10;
    double right = 0;
    rows_ = 1;
    for (const std::size_t i : order_) {
      const TreeEdge& edge = tree_.edges[i];
      const double length = std::isfinite(edge.length) ? std::max(edge.length, 0.0) : 0;
      spots_[edge.to].x = spots_[edge.from].x + std::max(least_width(i), length * scale_);
      spots_[edge.to].row = is_first(i) ? spots_[edge.from].row : rows_++;
      const TreeNode& node = tree_.nodes[edge.to];
      const bool last = leaving_[edge.to].empty();
      const double label = last ? std::max(strong_width(node.label), small_width(node.note)) + 14 : 12;
      right = std::max(right, spots_[edge.to].x + label);
    }
    width_ = right + side_room;
  }

  double y(std::size_t node) const { return top_room + static_cast<double>(spots_[node].row) * row_height; }

  double thickness(const TreeEdge& edge) const {
    return std::isfinite(edge.thickness) ? std::max(thinnest, edge.thickness * thick_) : thinnest;
  }

  // The upright part of an edge that branches off, so that edges drawn later cover its end.
  void draw_branch(std::size_t index) {
    const TreeEdge& edge = tree_.edges[index];
    if (is_first(index)) return;
    const double thick = thickness(edge);
    pen_.line_thick(spots_[edge.from].x, y(edge.from), spots_[edge.from].x, y(edge.to) + thick / 2, thick, !edge.mark.empty());
  }

  void draw_edge(std::size_t index) {
    const TreeEdge& edge = tree_.edges[index];
    const double from = spots_[edge.from].x;
    const double to = spots_[edge.to].x;
    const double level = y(edge.to);
    pen_.line_thick(from, level, to, level, thickness(edge), !edge.mark.empty());
    const double text_from = from + label_room(index);
    const double middle = (text_from + to) / 2;
    pen_.text(middle, level - 12, edge.above, Anchor::middle, Lettering::small);
    pen_.text((from + to) / 2, level + 21, edge.below, Anchor::middle, Lettering::small);
    const double used = things_width(edge) + mark_width(edge);
    double at = from + (to - from - used) / 2;
    if (!edge.mark.empty()) {
      pen_.rect(at, level - mark_height / 2, mark_width(edge) - 4, mark_height, Fill::paper, true);
      pen_.text(at + (mark_width(edge) - 4) / 2, level + 4.5, edge.mark, Anchor::middle, Lettering::strong);
      at += mark_width(edge);
    }
    for (const std::string& thing : edge.things) {
      const double wide = small_width(thing) + 10;
      pen_.rect(at, level - thing_height / 2, wide, thing_height, Fill::paper, true);
      pen_.text(at + wide / 2, level + 3.8, thing, Anchor::middle, Lettering::small);
      at += wide + 4;
    }
  }

  void draw_nodes() {
    const TreeNode& root = tree_.nodes[tree_.root];
    const double root_x = spots_[tree_.root].x;
    pen_.line_thick(root_x, y(tree_.root) - 9, root_x, y(tree_.root) + 9, 3, false);
    pen_.text(root_x - 8, y(tree_.root) + 1, root.label, Anchor::end, Lettering::strong);
    pen_.text(root_x - 8, y(tree_.root) + 15, root.note, Anchor::end, Lettering::small);
    for (const std::size_t i : order_) {
      const std::size_t node = tree_.edges[i].to;
      const TreeNode& at = tree_.nodes[node];
      const double x = spots_[node].x;
      if (leaving_[node].empty()) {
        pen_.line_thick(x, y(node) - 8, x, y(node) + 8, 2.4, false);
        pen_.text(x + 8, y(node) + (at.note.empty() ? 4.5 : 0), at.label, Anchor::start, Lettering::strong);
        pen_.text(x + 8, y(node) + 14, at.note, Anchor::start, Lettering::small);
      } else {
        pen_.disc(x, y(node), 4, Fill::ink);
        pen_.text(x + 5, y(node) - 12, at.label, Anchor::start, Lettering::strong);
      }
    }
  }

  const TreeFigure& tree_;
  SvgPen pen_;
  std::vector<std::vector<std::size_t>> leaving_;   // edges leaving each node, in the caller's order
  std::vector<std::size_t> order_;
  std::vector<Spot> spots_;
  std::size_t things_ = 0;
  std::size_t rows_ = 1;
  double scale_ = 0;
  double thick_ = 0;
  double width_ = 0;
};

Table tree_table(const TreeFigure& tree) {
  Table table;
  const auto used = [&](auto text) {
    return std::any_of(tree.edges.begin(), tree.edges.end(), [&](const TreeEdge& edge) { return !text(edge).empty(); });
  };
  const auto name = [&](std::size_t node) { return node < tree.nodes.size() ? tree.nodes[node].label : std::string(); };
  const auto joined = [](const TreeEdge& edge) {
    std::string out;
    for (const std::string& thing : edge.things) out += (out.empty() ? "" : ", ") + thing;
    return out;
  };
  const bool above = used([](const TreeEdge& e) { return e.above; });
  const bool below = used([](const TreeEdge& e) { return e.below; });
  const bool things = used(joined);
  const bool mark = used([](const TreeEdge& e) { return e.mark; });
  table.columns = {{tree.heads.from, Align::left, ""}, {tree.heads.to, Align::left, ""}};
  if (above) table.columns.push_back({tree.heads.above, Align::left, ""});
  if (below) table.columns.push_back({tree.heads.below, Align::left, ""});
  if (things) table.columns.push_back({tree.heads.things, Align::left, ""});
  if (mark) table.columns.push_back({tree.heads.mark, Align::left, ""});
  for (const TreeEdge& edge : tree.edges) {
    Row row;
    const auto add = [&](bool wanted, std::string text) {
      if (!wanted) return;
      row.cells.emplace_back();
      row.cells.back().text = std::move(text);
    };
    add(true, name(edge.from));
    add(true, name(edge.to));
    add(above, edge.above);
    add(below, edge.below);
    add(things, joined(edge));
    add(mark, edge.mark);
    if (!edge.mark.empty()) row.tone = Tone::breaks;
    table.rows.push_back(std::move(row));
  }
  return table;
}
}  // namespace

Figure make_figure(const TreeFigure& tree) {
  Figure figure;
  figure.target = tree.target;
  figure.caption = tree.caption;
  figure.file = tree.file;
  figure.alternative = tree_table(tree);
  figure.svg = TreeDrawer(tree).draw();
  return figure;
}
}  // namespace dripleg::reports
