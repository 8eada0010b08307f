// Strokes that fill a rectangle exactly, without clipping, so that a hatched ground needs no id.
#pragma once
#include "reports/figure_labels.hpp"
#include "reports/svg.hpp"

namespace dripleg::reports {
// Rising from left to right at 45 degrees, `gap` apart along the base; gap above 0.
SvgPath diagonal_hatch(const Box& box, double gap);
}  // namespace dripleg::reports
