// Bounds over a whole box of variables at once: for a margin (left less right) the least and greatest
// value it can take while variables lie anywhere between two ends, and how steeply it changes with each.
// Sound, not sharp: the true values always lie within.
#pragma once
#include "evaluate/evaluation.hpp"

#include <array>

namespace dripleg::evaluate {
inline constexpr u32 most_box_variables = 8;

struct BoxSide {
  VariableId variable;             // a range, a spread, or a condition that is a number
  double low = 0, high = 0;        // base units, low <= high
};
using Box = std::span<const BoxSide>;

struct Slope { double low = 0, high = 0; };
struct Interval {
  double low = 0, high = 0;
  std::array<Slope, most_box_variables> slopes{};   // by side of the box; unbounded if not known
};

// The margin over the box; other variables as in the world. None: something in between cannot be bounded
// (not a number all over the box, unknown or failed somewhere, a search, a loop over what varies, or more sides than
// fit); sample instead. Bounds from the slopes are already cut in.
std::optional<Interval> margin_over(Evaluation& evaluation, ExprId left, ExprId right, const Scope& scope,
                                    WorldId world, Box box);
}  // namespace dripleg::evaluate
