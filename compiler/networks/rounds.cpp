#include "networks/rounds.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dripleg::networks {
namespace {
constexpr u32 none = 0xFFFFFFFFu;
constexpr u32 rounds_before_endless = 10;
constexpr double beyond_all_bounds = 1000;         // times the largest flow at the start
constexpr u32 most_halvings = 6;
}  // namespace

Rounds::Rounds(const Reduction& reduction, LawCalls& law, u32 most_rounds)
    : reduction_(reduction), law_(law), most_rounds_(most_rounds), tolerance_(law.tolerance()) {
  const std::size_t chains = reduction.chains.size();
  for (auto* list : {&flow_, &value_, &slope_, &weight_, &step_, &new_value_, &new_slope_}) list->assign(chains, 0.0);
  for (const auto& ground : reduction.grounds) head_.push_back(ground.value_or(0.0));
  new_head_ = head_;
  make_pattern();
}

void Rounds::make_pattern() {
  u32 count = 0;
  for (const auto& ground : reduction_.grounds) unknown_.push_back(ground ? none : count++);
  std::vector<std::vector<u32>> neighbours(count);
  const auto joins = [&](const Chain& chain) {
    return unknown_[chain.from] != none && unknown_[chain.to] != none && chain.from != chain.to;
  };
  for (const Chain& chain : reduction_.chains) {
    if (!joins(chain)) continue;
    neighbours[unknown_[chain.from]].push_back(unknown_[chain.to]);
    neighbours[unknown_[chain.to]].push_back(unknown_[chain.from]);
  }
  factor_.emplace(std::move(neighbours));
  for (const Chain& chain : reduction_.chains)
    pair_.push_back(joins(chain) ? factor_->pair_of(unknown_[chain.from], unknown_[chain.to]) : none);
}

double Rounds::own_tolerance(u32 chain) const { return std::max(tolerance_, 1e-5 * std::fabs(flow_[chain])); }
double Rounds::misfit(u32 chain) const {
  return value_[chain] - (head_[reduction_.chains[chain].from] - head_[reduction_.chains[chain].to]);
}

// The largest step, counted in the tolerance of the plain case.
double Rounds::scaled_step() const {
  double most = 0;
  for (u32 i = 0; i < step_.size(); ++i) most = std::max(most, std::fabs(step_[i]) * tolerance_ / own_tolerance(i));
  return most;
}

// Every chain's flow fits the heads to within half its tolerance: its drops at either end of that stretch lie on
// either side of them. Not asked where next to nothing is missing; its slope alone would say little near a kink.
bool Rounds::fits_heads() {
  constexpr double next_to_nothing = 1e-3;
  const double rounding = 1e-9 * scale_;
  for (u32 i = 0; i < flow_.size(); ++i) {
    const double half = own_tolerance(i) / 2, off = std::fabs(misfit(i));
    if (off <= next_to_nothing * half * std::fabs(weight_[i])) continue;
    const int direction = law_.direction(i);
    if (direction == passes_neither_way) continue;
    const double less = law_.plain(i, flow_[i] - half), more = law_.plain(i, flow_[i] + half);
    const bool idle = direction != 0 && direction * flow_[i] <= half;      // any heads that do not open it fit
    const double wanted = value_[i] - misfit(i);
    const bool below = wanted < std::min(less, more) - rounding && !(idle && direction > 0);
    const bool above = wanted > std::max(less, more) + rounding && !(idle && direction < 0);
    if (law_.failure() || below || above) return false;
  }
  return true;
}

double Rounds::mass_error() const {
  std::vector<double> left = reduction_.supplies;
  for (u32 i = 0; i < flow_.size(); ++i) {
    left[reduction_.chains[i].from] -= flow_[i];
    left[reduction_.chains[i].to] += flow_[i];
  }
  double most = 0;
  for (u32 node = 0; node < left.size(); ++node)
    if (unknown_[node] != none) most = std::max(most, std::fabs(left[node]));
  return most;
}

// Slopes as the step uses them: none too near 0 to divide by.
void Rounds::make_weights() {
  std::vector<double> rising;
  for (const double slope : slope_)
    if (slope > 0) rising.push_back(slope);
  const double unit = scale_ / (1000 * tolerance_);
  double floor = 1e-10 * unit;
  if (!rising.empty()) {
    const auto middle = rising.begin() + static_cast<std::ptrdiff_t>(rising.size() / 2);
    std::nth_element(rising.begin(), middle, rising.end());
    floor = std::clamp(1e-7 * *middle, 1e-10 * unit, 1e-4 * unit);
  }
  for (u32 i = 0; i < slope_.size(); ++i) weight_[i] = std::fabs(slope_[i]) < floor ? floor : slope_[i];
}

bool Rounds::factor_weights() {
  factor_->clear();
  for (u32 i = 0; i < weight_.size(); ++i) {
    const Chain& chain = reduction_.chains[i];
    if (chain.from == chain.to) continue;
    const double conductance = 1 / weight_[i];
    if (unknown_[chain.from] != none) factor_->add_to_diagonal(unknown_[chain.from], conductance);
    if (unknown_[chain.to] != none) factor_->add_to_diagonal(unknown_[chain.to], conductance);
    if (pair_[i] != none) factor_->add_to_pair(pair_[i], -conductance);
  }
  return factor_->factor(std::numeric_limits<double>::min());
}

// Weights and step. The piece is steady where the energy curves upwards along every change of flows that keeps mass:
// as many pivots fall as chains do. Where not, slopes are turned up, which leads down all the same.
void Rounds::take_step() {
  make_weights();
  const auto falling = static_cast<u32>(std::count_if(weight_.begin(), weight_.end(), [](double w) { return w < 0; }));
  const bool sound = factor_weights();
  steady_ = falling == 0 || (sound && factor_->negative_pivots() == falling);
  if (!steady_) {
    for (double& weight : weight_) weight = std::fabs(weight);
    factor_weights();
  }
  solve_for_step(true);
}

void Rounds::solve_for_step(bool with_heads) {
  std::vector<double> right(reduction_.nodes.size(), 0.0);
  for (u32 node = 0; node < right.size(); ++node) right[node] = reduction_.supplies[node];
  for (u32 i = 0; i < flow_.size(); ++i) {
    const double carried = flow_[i] - (with_heads ? misfit(i) / weight_[i] : 0.0);
    right[reduction_.chains[i].from] -= carried;
    right[reduction_.chains[i].to] += carried;
  }
  std::vector<double> rise;
  for (u32 node = 0; node < right.size(); ++node)
    if (unknown_[node] != none) rise.push_back(right[node]);
  factor_->solve(rise);
  const auto rise_of = [&](u32 node) { return unknown_[node] == none ? 0.0 : rise[unknown_[node]]; };
  for (u32 i = 0; i < flow_.size(); ++i) {
    const Chain& chain = reduction_.chains[i];
    step_[i] = (rise_of(chain.from) - rise_of(chain.to) - (with_heads ? misfit(i) : 0.0)) / weight_[i];
  }
  for (u32 node = 0; node < head_.size(); ++node) new_head_[node] = head_[node] + rise_of(node);
}

bool Rounds::evaluate(double part) {
  part_ = part;
  for (u32 i = 0; i < flow_.size(); ++i) {
    const ValueSlope now = law_.at(i, flow_[i] + part * step_[i]);
    new_value_[i] = now.value;
    new_slope_[i] = now.slope;
    if (law_.failure()) return false;
  }
  return true;
}

// A step may lead to where a law has no value though the balance is not there: half of it, and half again.
bool Rounds::evaluate_within_reach() {
  double part = 1;
  for (u32 halving = 0; halving <= most_halvings; ++halving, part /= 2) {
    law_.forget_failure();
    if (evaluate(part)) return true;
  }
  return false;
}

RoundsEnd Rounds::iterate() {
  for (spent_ = 0; spent_ < most_rounds_;) {
    ++spent_, ++rounds_;
    take_step();
    const bool kept_mass = mass_error() <= tolerance_ / 1000;
    const double step = scaled_step();
    const auto most = std::max_element(step_.begin(), step_.end(), [](double a, double b) { return std::fabs(a) < std::fabs(b); });
    most_moved_ = static_cast<u32>(most - step_.begin());
    last_move_ = std::fabs(*most);
    if (!evaluate_within_reach()) return endless().empty() ? RoundsEnd::law_failed : RoundsEnd::unbounded;
    if (kept_mass && part_ == 1 && step > tolerance_ / 2)
      if (const StepJudged judged = judge_step(); !judged.pays) shorten(judged);
    if (law_.failure()) return RoundsEnd::law_failed;
    for (u32 i = 0; i < flow_.size(); ++i) flow_[i] += part_ * step_[i];
    std::swap(value_, new_value_);
    std::swap(slope_, new_slope_);
    head_ = new_head_;
    const bool turned_up = !steady_;
    make_weights();                                       // at the new flows
    if (turned_up) for (double& weight : weight_) weight = std::fabs(weight);
    if (step <= tolerance_ / 2 && fits_heads()) return RoundsEnd::balanced;
    law_.forget_failure();
    if (spent_ > rounds_before_endless && !endless().empty()) return RoundsEnd::unbounded;
  }
  return RoundsEnd::ran_out;
}

std::vector<u32> Rounds::endless() const {
  std::vector<u32> result;
  for (u32 i = 0; i < flow_.size(); ++i)
    if (!(std::fabs(flow_[i]) <= beyond_all_bounds * start_flow_)) result.push_back(i);
  return result;
}

RoundsEnd Rounds::run(std::span<const double> last) {
  if (!find_scale()) return RoundsEnd::law_failed;
  if (scale_ == 0 && !reduction_.supplied) return RoundsEnd::nothing_drives;
  if (!start(last)) return RoundsEnd::law_failed;
  return iterate();
}

RoundsEnd Rounds::run_from_a_push() {
  double sign = 1;
  for (u32 i = 0; i < flow_.size(); ++i) {
    if (slope_[i] >= 0) continue;
    flow_[i] += sign * std::max(0.1 * std::fabs(flow_[i]), 10 * tolerance_);
    sign = -sign;
  }
  for (double& weight : weight_) weight = std::fabs(weight);
  factor_weights();
  solve_for_step(false);                                  // mass is kept again; heads come with the next step
  if (!evaluate_within_reach()) return RoundsEnd::law_failed;
  for (u32 i = 0; i < flow_.size(); ++i) flow_[i] += part_ * step_[i];
  std::swap(value_, new_value_);
  std::swap(slope_, new_slope_);
  return iterate();
}

RoundsEnd Rounds::run_steeper() {
  law_.set_steepness(1000 * law_.steepness());
  put_back(state());
  return iterate();
}

void Rounds::put_back(const State& state) {
  flow_ = state.flow;
  head_ = state.head;
  steady_ = state.steady;
  for (u32 i = 0; i < flow_.size(); ++i) {                       // so that the values by leg are those of this state
    const ValueSlope now = law_.at(i, flow_[i]);
    value_[i] = now.value;
    slope_[i] = now.slope;
  }
}
}  // namespace dripleg::networks
