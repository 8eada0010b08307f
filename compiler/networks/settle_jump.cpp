// What to say of a part that does not settle: where a formula jumps over its answer, or which is farthest off.
#include "networks/settle_part.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
namespace {
struct Stretch { double low, high, at_low, at_high; };

// The one of equal pieces of a stretch whose change differs most from what is usual there.
template <class At>
Stretch oddest_of(const Stretch& whole, At at) {
  constexpr u32 pieces = 16;
  std::vector<double> values, changes;
  for (u32 i = 0; i <= pieces; ++i) values.push_back(at(whole.low + (whole.high - whole.low) * i / pieces));
  for (u32 i = 0; i < pieces; ++i) changes.push_back(values[i + 1] - values[i]);
  std::vector<double> sorted = changes;
  std::nth_element(sorted.begin(), sorted.begin() + pieces / 2, sorted.end());
  const double usual = sorted[pieces / 2];
  u32 oddest = 0;
  for (u32 i = 1; i < pieces; ++i)
    if (std::fabs(changes[i] - usual) > std::fabs(changes[oddest] - usual)) oddest = i;
  const auto end_of = [&](u32 i) { return whole.low + (whole.high - whole.low) * i / pieces; };
  return {end_of(oddest), end_of(oddest + 1), values[oddest], values[oddest + 1]};
}
}  // namespace

PartEnd PartSolver::not_settled() {
  std::vector<u32> by_residual(size_);
  for (u32 i = 0; i < size_; ++i) by_residual[i] = i;
  std::stable_sort(by_residual.begin(), by_residual.end(), [&](u32 a, u32 b) { return std::fabs(residual_[a]) > std::fabs(residual_[b]); });
  PartEnd end;
  for (const u32 place : by_residual)   // a sweep hands the residual on, so that the worst is not always the one that jumps
    if (find_jump(place, end)) return end;
  const u32 place = by_residual.front();
  end.outcome = SettleOutcome::not_settled;
  end.cells = {part_.cells[place]};
  end.amount = residual_[place] * cell(place).tolerance;
  end.error = part_.gain * worst() * cell(place).tolerance;
  return end;
}

// A formula that changes by more than half its residual between two values of a cell that count as the same. Looked for
// where the cell has lately been or should have gone, by following the stretch that is least like the others.
bool PartSolver::find_jump(u32 place, PartEnd& end) {
  const double least = std::max(worst() / 2, 4.0) * cell(place).tolerance;
  const std::vector<u32> reads = read_now_[place];
  for (const u32 read : reads) {
    const double before = value(read), by = cell(read).tolerance;
    const auto at = [&](double moved) {
      value(read) = moved;
      const double now = formula_of(work_, part_.cells[place]);
      value(read) = before;
      return now;
    };
    Stretch stretch{inside(read, std::min(lowest_[read], before) - by), inside(read, std::max(highest_[read], before) + by), 0, 0};
    while (stretch.high - stretch.low > by) {
      const double before_width = stretch.high - stretch.low;
      stretch = oddest_of(stretch, at);
      if (!(stretch.high - stretch.low < before_width)) break;
    }
    if (!(std::fabs(stretch.at_high - stretch.at_low) > least)) continue;
    end = {SettleOutcome::jumps, {part_.cells[place], part_.cells[read]}, (stretch.low + stretch.high) / 2, 0, stretch.at_low, stretch.at_high};
    return true;
  }
  return false;
}

void PartSolver::remember_where() {
  for (u32 i = 0; i < size_; ++i) {
    const double wanted = inside(i, value(i) + step_[i] * cell(i).tolerance);
    lowest_[i] = std::min({lowest_[i], value(i), wanted});
    highest_[i] = std::max({highest_[i], value(i), wanted});
  }
}
}  // namespace dripleg::networks
