// Judges a step of a balance by the slope of the energy along it, which needs nothing but drops. Where that slope has
// turned, the step has gone past the bottom: it is taken anew with the slopes that lead to where laws meet the new
// heads, and what still goes too far is shortened.
#include "networks/rounds.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
namespace {
constexpr u32 most_trials = 14, most_bends = 2, most_halvings = 12;
constexpr double small_enough = 0.25;      // of the slope at the beginning of the step
constexpr double share_asked = 0.98;       // of what the drops differ from straight lines is asked again at a trial

struct EnergySlope { double value = 0, bend = 0; };   // of the energy along the step, and the slope of that
}  // namespace

double Rounds::against(u32 chain, double drop) const {
  const Chain& ends = reduction_.chains[chain];
  return (drop - (new_head_[ends.from] - new_head_[ends.to])) * step_[chain];
}

Rounds::StepJudged Rounds::judge_step() const {
  StepJudged judged;
  const auto collect = [&](double least) {
    for (u32 i = 0; i < step_.size(); ++i)
      if (std::fabs(step_[i]) > least)
        judged.movers.push_back({i, std::fabs((new_value_[i] - value_[i] - slope_[i] * step_[i]) * step_[i])});
  };
  collect(tolerance_ / 2);                 // what hardly moves says nothing, only kinks and jumps
  if (judged.movers.empty()) collect(-1);
  double off = 0;
  for (const Mover& mover : judged.movers) {
    judged.begin -= weight_[mover.chain] * step_[mover.chain] * step_[mover.chain];
    judged.end += against(mover.chain, new_value_[mover.chain]);
    off += mover.off;
  }
  judged.pays = judged.begin >= 0 || judged.end <= small_enough * -judged.begin;
  if (judged.pays) return judged;
  std::stable_sort(judged.movers.begin(), judged.movers.end(), [](const Mover& a, const Mover& b) { return a.off > b.off; });
  for (double sum = 0; judged.asked < judged.movers.size() && sum < share_asked * off; ++judged.asked) sum += judged.movers[judged.asked].off;
  return judged;
}

void Rounds::shorten() {
  for (u32 bend = 0;; ++bend) {
    const StepJudged judged = judge_step();
    if (judged.pays) return;
    if (bend == most_bends || !bend_weights(judged)) return search(judged);
    factor_weights();
    solve_for_step(true);
    if (!evaluate_within_reach() || part_ < 1) return;
  }
}

// The chains that went too far, each by itself: where on its way does its law meet the new heads? The slope to there
// is what the step should have had. False: there is none such, or a law falls.
bool Rounds::bend_weights(const StepJudged& judged) {
  if (std::any_of(weight_.begin(), weight_.end(), [](double weight) { return weight <= 0; })) return false;
  bool any = false;
  for (u32 m = 0; m < judged.asked; ++m) {
    const u32 i = judged.movers[m].chain;
    const double begin = against(i, value_[i]), end = against(i, new_value_[i]);
    if (!(begin < 0 && end > 0)) continue;
    double low = 0, high = 1;
    for (u32 halving = 0; halving < most_halvings; ++halving) {
      const double middle = (low + high) / 2, now = against(i, law_.plain(i, flow_[i] + middle * step_[i]));
      if (law_.failure()) return false;
      if (now < 0) low = middle;
      else high = middle;
      if (std::fabs(now) <= small_enough * -begin) break;
    }
    const double part = (low + high) / 2;
    weight_[i] = std::max(weight_[i], -begin / (part * step_[i] * step_[i]));
    any = true;
  }
  return any;
}

void Rounds::search(const StepJudged& judged) {
  const auto& movers = judged.movers;
  std::vector<ValueSlope> found(judged.asked);
  const auto slope_at = [&](double part) {
    EnergySlope sum;
    for (u32 m = 0; m < movers.size(); ++m) {
      const u32 i = movers[m].chain;
      const double straight = slope_[i] * step_[i], bent = new_value_[i] - value_[i] - straight;
      double value = value_[i] + part * straight + part * part * bent, rise = straight + 2 * part * bent;
      if (m < judged.asked) {
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
  EnergySlope at_high{judged.end, 0};
  for (const Mover& mover : movers) at_high.bend += new_slope_[mover.chain] * step_[mover.chain] * step_[mover.chain];
  for (const double step : step_) most = std::max(most, std::fabs(step));
  for (u32 trial = 1; trial <= most_trials; ++trial) {
    // Newton's step from the far side: laws that grow steeper are met from there without passing the bottom again.
    part_ = at_high.bend > 0 ? high - at_high.value / at_high.bend : low;
    if (trial % 3 == 0 || !(part_ > low && part_ < high)) part_ = (low + high) / 2;
    const EnergySlope now = slope_at(part_);
    if (law_.failure() || std::fabs(now.value) <= small_enough * -judged.begin) break;
    if (now.value < 0) low = part_;
    else high = part_, at_high = now;
    if ((high - low) * most < tolerance_ / 10) break;
  }

  std::vector<char> known(step_.size(), 0);
  for (u32 m = 0; m < judged.asked; ++m) {
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
