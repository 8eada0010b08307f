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
constexpr double guess_allowed = 0.1;
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

// The slope of the energy at a part of the step. Chains whose drop is taken from a parabola through both ends are
// asked too, one after another, as long as what the parabolas add could decide.
void Rounds::energy_at(double part, StepJudged& judged, std::vector<ValueSlope>& found, EnergySlope& sum) {
  const auto& movers = judged.movers;
  sum = {};
  double guessed = 0;
  const auto parabola = [&](u32 chain) {
    const double straight = slope_[chain] * step_[chain], bent = new_value_[chain] - value_[chain] - straight;
    return ValueSlope{value_[chain] + part * straight + part * part * bent, straight + 2 * part * bent};
  };
  for (u32 m = 0; m < movers.size(); ++m) {
    const u32 i = movers[m].chain;
    if (m < judged.asked) {
      found[m] = law_.at(i, flow_[i] + part * step_[i]);
      sum.value += against(i, found[m].value);
      sum.bend += found[m].slope * step_[i] * step_[i];
      continue;
    }
    const ValueSlope guess = parabola(i);
    sum.value += against(i, guess.value);
    sum.bend += guess.slope * step_[i];
    guessed += part * part * movers[m].off;
  }
  while (judged.asked < movers.size() && guessed > std::max(guess_allowed * -judged.begin, guess_allowed * std::fabs(sum.value))) {
    const u32 m = judged.asked++, i = movers[m].chain;
    const ValueSlope guess = parabola(i);
    found.push_back(law_.at(i, flow_[i] + part * step_[i]));
    sum.value += against(i, found[m].value) - against(i, guess.value);
    sum.bend += (found[m].slope * step_[i] - guess.slope) * step_[i];
    guessed -= part * part * movers[m].off;
  }
}

void Rounds::shorten(StepJudged judged) {
  const auto& movers = judged.movers;
  std::vector<ValueSlope> found(judged.asked);
  double low = 0, high = 1, most = 0;
  EnergySlope at_high{judged.end, 0}, now;
  for (const Mover& mover : movers) at_high.bend += new_slope_[mover.chain] * step_[mover.chain] * step_[mover.chain];
  for (const double step : step_) most = std::max(most, std::fabs(step));
  for (u32 trial = 1; trial <= most_trials; ++trial) {
    // Newton's step from the far side: laws that grow steeper are met from there without passing the bottom again.
    part_ = at_high.bend > 0 ? high - at_high.value / at_high.bend : low;
    if (trial % 3 == 0 || !(part_ > low && part_ < high)) part_ = (low + high) / 2;
    energy_at(part_, judged, found, now);
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
    const ValueSlope there = law_.at(i, flow_[i] + part_ * step_[i]);
    new_value_[i] = there.value;
    new_slope_[i] = there.slope;
  }
}
}  // namespace dripleg::networks
