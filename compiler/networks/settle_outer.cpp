// Outer cells: each value tried for them is judged by what they would do once all other cells are at rest for it. One
// such cell has its answer between two values at which it is pushed apart ways, and is never lost from there.
#include "networks/settle_part.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace dripleg::networks {
namespace {
constexpr u32 most_rest_rounds = 40, most_shortenings = 2, most_stuck = 10;
constexpr u32 most_strides = 8, most_narrowings = 16;
constexpr double most_gain = 1e7, least_stride = 0.01;   // of the range
constexpr double well_better = 0.5;
constexpr double good_share = 0.2, fair_share = 0.9;     // of the residual that one cell has had before its turn
}  // namespace

struct PartSolver::State {
  std::vector<double> values, formula, residual;
  std::vector<std::vector<u32>> read_now;
  bool at_rest;
};
PartSolver::State PartSolver::state() const {
  State now{{}, formula_, residual_, read_now_, at_rest_};
  for (const u32 one : part_.cells) now.values.push_back(work_.values[one]);
  return now;
}
void PartSolver::back_to(const State& state) {
  for (u32 i = 0; i < size_; ++i) value(i) = state.values[i];
  formula_ = state.formula, residual_ = state.residual, read_now_ = state.read_now, at_rest_ = state.at_rest;
}

// All cells but the outer ones, with those as they are. False: they found none; `at_rest_` says the same.
bool PartSolver::rest() {
  at_rest_ = false;
  if (!evaluate()) return false;
  const auto outward = std::exchange(outward_, std::vector<u32>(size_, 0));
  const u32 escapes = std::exchange(escapes_, 0);
  bool settled = outer_count_ == size_;
  for (u32 known = 0; !settled && known != outer_count_;) {   // once more where another cell turns out to be outer
    known = outer_count_;
    held_ = outer_;
    u32 rounds = 0;
    settled = all_at_once(most_rest_rounds, rounds).outcome == SettleOutcome::settled && known == outer_count_;
    part_.rest_rounds += rounds;
  }
  held_.assign(size_, 0);
  outward_ = outward, escapes_ = escapes;
  at_rest_ = evaluate() && settled;
  return at_rest_;
}

double PartSolver::worst_outer() const {
  double most = 0;
  for (u32 i = 0; i < size_; ++i)
    if (outer_[i]) most = std::max(most, std::fabs(residual_[i]));
  return most;
}

PartEnd PartSolver::outer_first(u32 most_rounds) {
  rest();
  u32 stuck = 0;
  for (u32 round = 0; round < most_rounds && stuck < most_stuck; ++round) {
    ++part_.rounds;
    if (!at_rest_ && !evaluate()) return no_value(failed_);
    if (!take_slopes()) return no_value(failed_);
    find_outer();
    factor();
    PartEnd end;
    if (part_.gain > most_gain) {
      if (outer_by_turns()) continue;
      if (leave_singular(end) == Go::stop) return end;
      rest();
      continue;
    }
    if (stuck > 0 || round > most_rounds / 2) remember_where();
    if (pushes_outwards(end)) return end;
    if (within_tolerance()) {
      finish();
      return {};
    }
    if (outer_step() || outer_by_turns()) {
      stuck = 0;
      continue;
    }
    ++stuck;
    if (!at_rest_ && !step() && !sweep_twice()) return no_value(failed_);
    rest();
  }
  return not_settled();
}

// Newton's step of all, or a part of it at which the outer cells are well better off with the others at rest. One alone
// is found sooner between two values than on a shortened step.
bool PartSolver::outer_step() {
  const State before = state();
  const std::vector<double> whole = step_;                 // the others' way to rest makes steps of its own
  const double worst_before = worst_outer();
  double part = 1;
  for (u32 turn = 0; turn <= (outer_count_ == 1 ? 0 : most_shortenings); ++turn, part /= 2) {
    for (u32 i = 0; i < size_; ++i) value(i) = inside(i, before.values[i] + part * whole[i] * cell(i).tolerance);
    if (!rest() || (before.at_rest && worst_outer() > (1 - well_better * part) * worst_before)) continue;
    for (u32 i = 0; i < size_; ++i) moved_last_[i] = std::fabs(value(i) - before.values[i]);
    return true;
  }
  back_to(before);
  return false;
}

// Each outer cell by itself, the one that is farthest off first.
bool PartSolver::outer_by_turns() {
  std::vector<u32> places;
  for (u32 i = 0; i < size_; ++i)
    if (outer_[i]) places.push_back(i);
  std::stable_sort(places.begin(), places.end(), [&](u32 a, u32 b) { return std::fabs(residual_[a]) > std::fabs(residual_[b]); });
  bool better = false;
  for (u32 turn = 0; turn < places.size(); ++turn)
    if (turn == 0 || std::fabs(residual_[places[turn]]) > 1) better = outer_alone(places[turn]) || better;
  return better;
}

double PartSolver::residual_with(u32 place, double moved) {
  value(place) = moved;
  rest();
  return residual_[place];
}

// One outer cell: in growing strides to where it is pushed, until it is pushed back, then between the two.
bool PartSolver::outer_alone(u32 place) {
  State best = state();
  const double before = value(place), asked = std::fabs(residual_[place]);
  const auto look = [&](double moved) {
    const double now = residual_with(place, moved);
    if (std::isfinite(formula_[place]) && std::fabs(now) < std::fabs(best.residual[place])) best = state();
    return now;
  };
  const auto found = [&] { return std::fabs(best.residual[place]) <= good_share * asked; };
  const double sign = best.residual[place] < 0 ? -1 : 1;
  double near = before, at_near = best.residual[place], far = near, at_far = at_near;
  double stride = std::max(asked * cell(place).tolerance, least_stride * (cell(place).high - cell(place).low));
  for (u32 turn = 0; turn < most_strides && !found() && at_far * sign > 0; ++turn, stride *= 2) {
    near = far, at_near = at_far;
    far = inside(place, near + sign * stride);
    if (far == near) break;
    at_far = look(far);
  }
  if (at_far * sign < 0)
    for (u32 turn = 0; turn < most_narrowings && !found() && std::fabs(far - near) > cell(place).tolerance * least_stride; ++turn) {
      double share = at_near / (at_near - at_far);
      if (turn % 3 == 2 || !(share > 0.05 && share < 0.95)) share = 0.5;
      const double middle = near + share * (far - near), now = look(middle);
      if (now * sign > 0) near = middle, at_near = now;
      else far = middle, at_far = now;
    }
  back_to(best);
  moved_last_[place] = std::max(std::fabs(value(place) - before), cell(place).tolerance);
  return std::fabs(residual_[place]) <= fair_share * asked;
}
}  // namespace dripleg::networks
