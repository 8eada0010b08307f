// Where the rounds of a balance begin: at the flows of a neighbouring case, and where there are none, at no flow
// with the slope up to the flow at which a chain loses about as much as drives here.
#include "networks/rounds.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
namespace {
constexpr u32 most_guesses = 6;
}

// What drives: drops at no flow, and fixed heads that differ. Where only given flows do, what their passage costs.
bool Rounds::find_scale() {
  rest_.clear();
  scale_ = 0;
  for (u32 i = 0; i < reduction_.chains.size(); ++i) {
    rest_.push_back(law_.rest(i));
    if (law_.failure()) return false;
    scale_ = std::max(scale_, std::fabs(rest_.back()));
  }
  double low = 0, high = 0;
  bool any = false;
  for (const auto& ground : reduction_.grounds) {
    if (!ground) continue;
    low = any ? std::min(low, *ground) : *ground;
    high = any ? std::max(high, *ground) : *ground;
    any = true;
  }
  scale_ = std::max(scale_, high - low);
  return true;
}

// The slope of a chain at rest. `unit` is the flow to try first; away from one-way legs only.
bool Rounds::start_cold(u32 chain, double unit) {
  flow_[chain] = 0;
  value_[chain] = rest_[chain];
  const int direction = law_.direction(chain);
  if (direction == passes_neither_way) {
    slope_[chain] = law_.steepness();
    return true;
  }
  double reach = unit, change = 0;
  for (u32 guess = 0; guess <= most_guesses; ++guess) {
    law_.forget_failure();
    change = std::fabs(law_.plain(chain, direction < 0 ? -reach : reach) - rest_[chain]);
    if (!law_.failure()) slope_[chain] = change / reach;
    if (!law_.failure() && change >= 0.3 * scale_ && change <= 3 * scale_) break;
    if (guess == most_guesses) break;
    // Most laws grow with a power between 1 and 2 of the flow.
    reach *= law_.failure() ? 0.25 : std::clamp(std::pow(scale_ / change, 0.55), 1.0 / 64, 64.0);
  }
  if (change >= 0.3 * scale_) start_flow_ = std::max(start_flow_, reach);   // what never resists says nothing of how much is too much
  return !law_.failure();
}

bool Rounds::start(std::span<const double> last) {
  double comes_in = 0, is_taken = 0;
  for (const double supply : reduction_.supplies) (supply > 0 ? comes_in : is_taken) += std::fabs(supply);
  const double supplied = std::max(comes_in, is_taken);
  start_flow_ = std::max(supplied, 1000 * tolerance_);
  for (u32 node = 0; node < head_.size(); ++node) head_[node] = reduction_.grounds[node].value_or(0.0);
  const bool only_supplies = scale_ == 0;
  if (only_supplies) {
    for (u32 i = 0; i < reduction_.chains.size(); ++i) {
      const bool back = law_.direction(i) < 0;
      scale_ = std::max(scale_, std::fabs(law_.plain(i, back ? -supplied : supplied) - rest_[i]));
      if (law_.failure()) return false;
    }
    if (scale_ == 0) scale_ = 1;
  }
  law_.set_steepness(200 * scale_ / tolerance_);

  for (u32 i = 0; i < reduction_.chains.size(); ++i) {
    double least = 0;
    bool first = true;
    for (const Link& link : reduction_.links_of(i)) {
      const double flow = last.empty() ? 0.0 : last[link.leg];
      if (first || std::fabs(flow) < std::fabs(least)) least = link.forward ? flow : -flow;
      first = false;
    }
    if (std::fabs(least) < tolerance_) {
      if (!start_cold(i, only_supplies ? supplied : 1000 * tolerance_)) return false;
      continue;
    }
    flow_[i] = least;
    const ValueSlope now = law_.at(i, least);
    if (law_.failure()) return false;
    value_[i] = now.value;
    slope_[i] = now.slope;
    start_flow_ = std::max(start_flow_, std::fabs(least));
  }
  return true;
}
}  // namespace dripleg::networks
