#include "reports/figure_labels.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace dripleg::reports {
namespace {
constexpr std::size_t most_segments = 1500;   // beyond this lines are too dense to be avoided

bool crosses(const Box& box, double x1, double y1, double x2, double y2) {
  // Liang and Barsky: the part of the segment inside the box is empty or not.
  double from = 0;
  double to = 1;
  const auto cut = [&](double delta, double room) {
    if (delta == 0) return room >= 0;
    const double t = room / delta;
    if (delta < 0) {
      from = std::max(from, t);
    } else {
      to = std::min(to, t);
    }
    return from <= to;
  };
  return cut(-(x2 - x1), x1 - box.x) && cut(x2 - x1, box.x + box.width - x1) && cut(-(y2 - y1), y1 - box.y) &&
         cut(y2 - y1, box.y + box.height - y1);
}

double shared_area(const Box& a, const Box& b) {
  const double width = std::min(a.x + a.width, b.x + b.width) - std::max(a.x, b.x);
  const double height = std::min(a.y + a.height, b.y + b.height) - std::max(a.y, b.y);
  return width > 0 && height > 0 ? width * height : 0;
}
}  // namespace

bool overlap(const Box& a, const Box& b) { return shared_area(a, b) > 0; }

void LabelPlacer::avoid_segment(double x1, double y1, double x2, double y2) {
  if (segments_.size() < most_segments) segments_.push_back({x1, y1, x2, y2});
}

double LabelPlacer::cost(const Box& box, double least) const {
  const double inside = shared_area(box, ground_);
  double sum = (box.width * box.height - inside) * 10;
  for (const Box& other : boxes_) {
    if (const double area = shared_area(box, other); area > 0) sum += 400 + area * 10;
    if (sum >= least) return sum;
  }
  for (const Segment& s : segments_) {
    if (crosses(box, s.x1, s.y1, s.x2, s.y2)) sum += 30;
    if (sum >= least) return sum;
  }
  return sum;
}

Box LabelPlacer::choose(const std::vector<Box>& wishes) {
  double least = std::numeric_limits<double>::infinity();
  Box best;
  for (const Box& box : wishes) {
    const double sum = cost(box, least);
    if (sum >= least - 0.01) continue;   // rounding does not decide between equals
    least = sum;
    best = box;
  }
  boxes_.push_back(best);
  return best;
}

Placed LabelPlacer::place(double x, double y, double width, double height, bool sideways) {
  struct Way {
    double x, y;   // which way from the point: -1, 0, 1
  };
  constexpr Way beside[] = {{1, 0}, {1, -1}, {1, 1}, {-1, 0}, {0, -1}, {0, 1}, {-1, -1}, {-1, 1}};
  constexpr Way around[] = {{0, -1}, {1, -1}, {-1, -1}, {0, 1}, {1, 1}, {-1, 1}, {1, 0}, {-1, 0}};
  constexpr double reaches[] = {8, 20, 34, 50, 70, 95, 125};
  double least = std::numeric_limits<double>::infinity();
  Placed best;
  for (const double reach : reaches) {
    double turn = 0;
    for (const Way& way : sideways ? beside : around) {
      Box box{x - width / 2 + way.x * (width / 2 + reach * (way.y == 0 ? 1 : 0.3)), y - height / 2 + way.y * (height / 2 + reach), width,
              height};
      const double sum = cost(box, least) + turn + reach * 0.7;
      turn += 0.6;
      if (sum >= least) continue;
      least = sum;
      best = {box, box.y + height - 3, reach > 20};
    }
    if (least < 30) break;
  }
  boxes_.push_back(best.box);
  return best;
}

std::vector<double> spread_labels(const std::vector<double>& wishes, double height, double top, double bottom) {
  std::vector<std::size_t> order(wishes.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return wishes[a] < wishes[b]; });
  std::vector<double> places(wishes.size());
  double least = top;
  for (const std::size_t i : order) {
    places[i] = std::max(wishes[i], least);
    least = places[i] + height;
  }
  double most = bottom;
  for (std::size_t k = order.size(); k-- > 0;) {
    double& place = places[order[k]];
    if (place > most) place = most;
    most = place - height;
  }
  return places;
}
}  // namespace dripleg::reports
