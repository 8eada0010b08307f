// Judges a step of a balance by the slope of the energy along it, which needs nothing but drops, and shortens it
// where that slope has turned: then the step has gone past the bottom.
#include "networks/rounds.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
namespace {
constexpr u32 most_trials = 14;
constexpr double small_enough = 0.25;      // of the slope at the beginning of the step
constexpr double share_asked = 0.98;       // of what the drops differ from straight lines is asked again at a trial

struct Slope { double value = 0, bend = 0; };   // of the energy along the step, and the slope of that
struct Mover { u32 chain; double off; };   // how much energy its drop at the end differs by from a straight line
}  // namespace

void Rounds::shorten() {
  std::vector<Mover> movers;
  const auto collect = [&](double least) {
    for (u32 i = 0; i < step_.size(); ++i)
      if (std::fabs(step_[i]) > least)
        movers.push_back({i, std::fabs((new_value_[i] - value_[i] - slope_[i] * step_[i]) * step_[i])});
  };
  collect(tolerance_ / 2);                 // what hardly moves says nothing, only kinks and jumps
  if (movers.empty()) collect(-1);
  const auto against = [&](u32 i, double value) {
    const Chain& chain = reduction_.chains[i];
    return (value - (new_head_[chain.from] - new_head_[chain.to])) * step_[i];
  };
  double begin = 0, off = 0;
  Slope end;
  for (const Mover& mover : movers) {
    begin -= weight_[mover.chain] * step_[mover.chain] * step_[mover.chain];
    end.value += against(mover.chain, new_value_[mover.chain]);
    end.bend += new_slope_[mover.chain] * step_[mover.chain] * step_[mover.chain];
    off += mover.off;
  }
  if (begin >= 0 || end.value <= small_enough * -begin) return;

  std::stable_sort(movers.begin(), movers.end(), [](const Mover& a, const Mover& b) { return a.off > b.off; });
  u32 asked = 0;
  for (double sum = 0; asked < movers.size() && sum < share_asked * off; ++asked) sum += movers[asked].off;

  std::vector<ValueSlope> found(asked);
  const auto slope_at = [&](double part) {
    Slope sum;
    for (u32 m = 0; m < movers.size(); ++m) {
      const u32 i = movers[m].chain;
      const double straight = slope_[i] * step_[i], bent = new_value_[i] - value_[i] - straight;
      double value = value_[i] + part * straight + part * part * bent, rise = straight + 2 * part * bent;
      if (m < asked) {
        found[m] = law_.at(i, flow_[i] + part * step_[i]);
        value = found[m].value;
        rise = found[m].slope * step_[i];
      }
      sum.value += against(i, value);
      sum.bend += rise * step_[i];
    }
    return sum;
  };
  double low = 0, high = 1, most = 0;
  Slope at_high = end;
  for (const double step : step_) most = std::max(most, std::fabs(step));
  for (u32 trial = 1; trial <= most_trials; ++trial) {
    // Newton's step from the far side: laws that grow steeper are met from there without passing the bottom again.
    part_ = at_high.bend > 0 ? high - at_high.value / at_high.bend : low;
    if (trial % 3 == 0 || !(part_ > low && part_ < high)) part_ = (low + high) / 2;
    const Slope now = slope_at(part_);
    if (law_.failure() || std::fabs(now.value) <= small_enough * -begin) break;
    if (now.value < 0) low = part_;
    else high = part_, at_high = now;
    if ((high - low) * most < tolerance_ / 10) break;
  }

  std::vector<char> known(step_.size(), 0);
  for (u32 m = 0; m < asked; ++m) {
    known[movers[m].chain] = 1;
    new_value_[movers[m].chain] = found[m].value;
    new_slope_[movers[m].chain] = found[m].slope;
  }
  for (u32 i = 0; i < step_.size(); ++i) {
    if (known[i]) continue;
    const ValueSlope now = law_.at(i, flow_[i] + part_ * step_[i]);
    new_value_[i] = now.value;
    new_slope_[i] = now.slope;
  }
}
}  // namespace dripleg::networks
