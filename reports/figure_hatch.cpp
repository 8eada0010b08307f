#include "reports/figure_hatch.hpp"

#include <algorithm>

namespace dripleg::reports {
SvgPath diagonal_hatch(const Box& box, double gap) {
  SvgPath strokes;
  const double right = box.x + box.width;
  const double bottom = box.y + box.height;
  for (double start = box.x - box.height; start < right; start += gap) {
    const double from = std::max(start, box.x);
    const double to = std::min(start + box.height, right);
    if (to - from < 0.5) continue;
    strokes.move(from, bottom - (from - start)).line(to, bottom - (to - start));
  }
  return strokes;
}
}  // namespace dripleg::reports
