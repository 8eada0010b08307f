#include "networks/settle_part.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dripleg::networks {
namespace {
constexpr u32 none = 0xFFFFFFFFu;
constexpr double step_of_tolerance = 1.0 / 20, step_of_range = 0.01;   // differences for slopes
constexpr double most_gain = 1e7;
constexpr double nearly_nothing = 1.0 / 20;                            // of a tolerance
constexpr double falls = -1e-6, steeply = 1 + 1e-6, grown = 1.001, falls_far = 0.25, step_near = 0.1, step_afar = 0.4;
constexpr u32 most_escapes = 6, most_halvings = 5, rounds_outward = 8, long_way = 6;
}  // namespace

double formula_of(SettleWork& work, u32 cell) {
  work.seen.clear();
  ++work.calls;
  const double value = work.formulas.value(cell, work.values, &work.seen);
  auto& known = work.reads[cell];
  for (const u32 read : work.seen.cells()) {
    const auto at = std::lower_bound(known.begin(), known.end(), read);
    if (at == known.end() || *at != read) known.insert(at, read);
  }
  return value;
}

PartSolver::PartSolver(SettleWork& work, SettlePart& part)
    : work_(work), part_(part), size_(static_cast<u32>(part.cells.size())), place_(work.cells.size(), none), read_now_(size_),
      formula_(size_, 0.0), residual_(size_, 0.0), outer_(size_, 0), held_(size_, 0),
      moved_last_(size_, std::numeric_limits<double>::infinity()), lowest_(size_, std::numeric_limits<double>::infinity()),
      highest_(size_, -std::numeric_limits<double>::infinity()), outward_(size_, 0) {
  for (u32 i = 0; i < size_; ++i) {
    place_[part.cells[i]] = i;
    outer_[i] = is_dense(i);
    outer_count_ += outer_[i];
  }
}

double PartSolver::inside(u32 place, double value) const { return std::clamp(value, cell(place).low, cell(place).high); }

// Formulas, residuals and readings at the values as they are; false where one has no value.
bool PartSolver::evaluate() {
  for (u32 i = 0; i < size_; ++i) {
    formula_[i] = formula_of(work_, part_.cells[i]);
    if (!std::isfinite(formula_[i])) {
      failed_ = part_.cells[i];
      return false;
    }
    residual_[i] = (formula_[i] - value(i)) / cell(i).tolerance;
    read_now_[i].clear();
    for (const u32 read : work_.seen.cells())
      if (place_[read] != none && !work_.dense[read]) read_now_[i].push_back(place_[read]);
  }
  return true;
}

double PartSolver::worst() const {
  double most = 0;
  for (u32 i = 0; i < size_; ++i)
    if (!held_[i]) most = std::max(most, std::fabs(residual_[i]));
  return most;
}

bool PartSolver::add_slope(u32 row, u32 column, double by) {
  ++work_.calls;
  const double moved = work_.formulas.value(part_.cells[row], work_.values, nullptr);
  if (!std::isfinite(moved)) {
    failed_ = part_.cells[row];
    return false;
  }
  slopes_.push_back({row, column, (moved - formula_[row]) / by * cell(column).tolerance / cell(row).tolerance});
  return true;
}

// For a dense cell 1 % of its range, but no more than it has lately moved, towards where it is pushed: near the answer
// the slope there counts, and beyond a bend that lies behind it does not. For any other a part of its tolerance.
double PartSolver::difference_of(u32 column) const {
  if (!is_dense(column)) return reach_ != 0 ? (cell(column).high - cell(column).low) * reach_ : cell(column).tolerance * step_of_tolerance;
  const double share = (cell(column).high - cell(column).low) * step_of_range;
  const double by = std::max(std::min(moved_last_[column], share), std::min(cell(column).tolerance, share));
  return residual_[column] < 0 ? -by : by;
}

// One difference a reading. Where a dense cell moves, every formula is asked, one after another: one balance for all.
bool PartSolver::take_slopes() {
  slopes_.clear();
  const auto with = [&](u32 column, auto ask) {
    const double before = value(column);
    double by = difference_of(column);
    if (before + by > cell(column).high || before + by < cell(column).low) by = -by;
    value(column) = before + by;
    const bool well = ask(value(column) - before);
    value(column) = before;
    return well;
  };
  for (u32 row = 0; row < size_; ++row)
    for (const u32 column : read_now_[row])
      if (!held_[row] && !held_[column] && !with(column, [&](double by) { return add_slope(row, column, by); })) return false;
  for (u32 column = 0; column < size_; ++column) {
    if (!is_dense(column) || held_[column]) continue;
    const auto ask_all = [&](double by) {
      for (u32 row = 0; row < size_; ++row)
        if (!add_slope(row, column, by)) return false;
      return true;
    };
    if (!with(column, ask_all)) return false;
  }
  return true;
}

// Formulas that fall so steeply that elimination without pivoting, and sweeps, are not sure to do. True: there are new ones.
bool PartSolver::find_outer() {
  std::vector<double> own(size_, 1.0), others(size_, 0.0);
  std::vector<char> falling(size_, 0), far(size_, 0);
  const auto width = [&](u32 place) { return (cell(place).high - cell(place).low) / cell(place).tolerance; };
  const auto reach_of = [&](u32 place) { return std::fabs(reach_) * width(place); };
  for (const Slope& slope : slopes_) {
    if (outer_[slope.row] || outer_[slope.column]) continue;
    if (slope.row == slope.column) {
      own[slope.row] -= slope.value;
      continue;
    }
    others[slope.row] += std::fabs(slope.value);
    if (slope.value < falls) falling[slope.row] = 1;
    if (reach_ != 0 && -slope.value * reach_of(slope.column) >= falls_far * width(slope.row)) far[slope.row] = 1;
  }
  bool found = false;
  for (u32 i = 0; i < size_; ++i) {
    if (!far[i] && (!falling[i] || others[i] <= steeply * std::fabs(own[i]))) continue;
    outer_[i] = 1;
    ++outer_count_;
    found = true;
  }
  return found;
}

// Sweeps have made it worse, which they cannot where every formula rises, or the way is long: one that falls may hide
// where it has come to an end of its range and does not move at all for little differences.
bool PartSolver::find_outer_afar() {
  bool found = false;
  for (const double reach : {step_of_range, step_near, step_afar})
    for (const double sign : {1.0, -1.0}) {
      reach_ = sign * reach;
      found = (take_slopes() && find_outer()) || found;
    }
  reach_ = 0;
  return found;
}

void PartSolver::factor() {
  const bool some_held = std::find(held_.begin(), held_.end(), 1) != held_.end();
  const std::vector<char> border = some_held ? std::vector<char>(size_, 0) : outer_;
  const Bordered system(size_, slopes_, border, held_);
  step_ = residual_;
  for (u32 i = 0; i < size_; ++i)
    if (held_[i]) step_[i] = 0;
  system.solve(step_);
  response_ = system.response();
  flat_ = system.border_is_flat();
  part_.gain = flat_ ? 2 * most_gain : 1;
  for (const double one : response_) part_.gain = std::isfinite(one) ? std::max(part_.gain, std::fabs(one)) : 2 * most_gain;
  if (!some_held && outer_count_ > 1 && part_.gain <= most_gain) keep_to_ranges();
}

// Outer cells that the step would take beyond an end stop there, and the others make up for it.
void PartSolver::keep_to_ranges() {
  std::vector<char> stopped(size_, 0);
  const std::vector<char> nothing_held(size_, 0);
  for (u32 turn = 0; turn < outer_count_; ++turn) {
    bool more = false;
    for (u32 i = 0; i < size_; ++i) {
      const double there = value(i) + step_[i] * cell(i).tolerance;
      if (!outer_[i] || stopped[i] || std::fabs(inside(i, there) - there) <= cell(i).tolerance) continue;
      stopped[i] = 1;
      more = true;
    }
    if (!more) return;
    std::vector<Slope> slopes;
    for (const Slope& slope : slopes_)
      if (!stopped[slope.row]) slopes.push_back(slope);
    std::vector<double> right = residual_;
    for (u32 i = 0; i < size_; ++i)
      if (stopped[i]) right[i] = (inside(i, value(i) + step_[i] * cell(i).tolerance) - value(i)) / cell(i).tolerance;
    const Bordered system(size_, slopes, outer_, nothing_held);
    if (system.border_is_flat()) return;
    step_ = std::move(right);
    system.solve(step_);
  }
}

// The longest part of the step at which the largest residual falls enough; values and formulas are then those there.
bool PartSolver::step() {
  std::vector<double> before;
  for (u32 i = 0; i < size_; ++i) before.push_back(value(i));
  const double residual = worst();
  double part = 1;
  for (u32 halving = 0; halving <= most_halvings; ++halving, part /= 2) {
    for (u32 i = 0; i < size_; ++i) value(i) = inside(i, before[i] + part * step_[i] * cell(i).tolerance);
    if (evaluate() && worst() <= (1 - 0.1 * part) * residual) return true;
  }
  for (u32 i = 0; i < size_; ++i) value(i) = before[i];
  return false;
}

// In place, in the order of reading: never lets the largest residual of rising formulas grow.
bool PartSolver::sweep_twice() {
  for (u32 sweep = 0; sweep < 2; ++sweep)
    for (u32 i = 0; i < size_; ++i) {
      if (held_[i]) continue;
      const double now = formula_of(work_, part_.cells[i]);
      if (!std::isfinite(now)) {
        failed_ = part_.cells[i];
        return false;
      }
      value(i) = inside(i, now);
    }
  return evaluate();
}

// The cells that a residual would move without end.
std::vector<u32> PartSolver::null_part() const {
  double most = 0;
  for (const double one : response_) most = std::max(most, std::fabs(one));
  std::vector<u32> places;
  for (u32 i = 0; i < size_; ++i)
    if (!held_[i] && !(std::fabs(response_[i]) <= 1e-3 * most)) places.push_back(i);
  return places;
}

// No slope holds some cells. At rest there, nothing ever will; else they are moved on, the way they are pushed,
// and may come to where something does.
PartSolver::Go PartSolver::leave_singular(PartEnd& end) {
  const std::vector<u32> places = null_part();
  double push = 0, most = 0;
  for (const u32 i : places) push += residual_[i], most = std::max(most, std::fabs(residual_[i]));
  largest_seen_ = std::max(largest_seen_, most);
  const bool rests = most <= nearly_nothing;
  if (rests || escapes_ == most_escapes) {
    end.outcome = rests ? SettleOutcome::nothing_holds : SettleOutcome::runs_away;
    end.amount = largest_seen_;
    for (const u32 i : places) end.cells.push_back(part_.cells[i]);
    return Go::stop;
  }
  ++escapes_;
  for (const u32 i : places) value(i) += ((push < 0 ? cell(i).low : cell(i).high) - value(i)) / 2;
  if (sweep_twice()) return Go::on;
  end = no_value(failed_);
  return Go::stop;
}

bool PartSolver::pushes_outwards(PartEnd& end) {
  for (u32 i = 0; i < size_; ++i) {
    if (held_[i]) continue;
    const bool out = (value(i) >= cell(i).high && residual_[i] > 1) || (value(i) <= cell(i).low && residual_[i] < -1);
    outward_[i] = out ? outward_[i] + 1 : 0;
    if (outward_[i] < rounds_outward) continue;
    end.outcome = SettleOutcome::runs_away;
    end.cells.push_back(part_.cells[i]);
  }
  return !end.cells.empty();
}

PartEnd PartSolver::no_value(u32 failed) const { return {SettleOutcome::not_a_number, {failed}}; }

void PartSolver::finish() {
  part_.error = part_.gain * worst();
  for (u32 i = 0; i < size_; ++i) value(i) = inside(i, value(i) + step_[i] * cell(i).tolerance);
}

bool PartSolver::within_tolerance() const {
  double most = 0;
  for (const double one : step_) most = std::max(most, std::fabs(one));
  return most <= 1 && part_.gain * worst() <= 1;
}

PartEnd PartSolver::run(u32 most_rounds) {
  if (!evaluate()) return no_value(failed_);
  if (outer_count_ == 0) {
    const PartEnd end = all_at_once(most_rounds, part_.rounds);
    if (outer_count_ == 0) return end;
  }
  return outer_first(most_rounds);
}

// Ends early, with nothing said, where a cell turns out to be an outer one.
PartEnd PartSolver::all_at_once(u32 most_rounds, u32& rounds) {
  for (rounds = 1; rounds <= most_rounds; ++rounds) {
    if (!take_slopes()) return no_value(failed_);
    if (find_outer()) return {};
    factor();
    PartEnd end;
    if (part_.gain > most_gain) {
      if (leave_singular(end) == Go::stop) return end;
      continue;
    }
    if (rounds > most_rounds / 2) remember_where();
    if (pushes_outwards(end)) return end;
    if (within_tolerance()) {
      finish();
      return {};
    }
    const double before = worst();
    const bool stepped = step();
    if (!stepped && !sweep_twice()) return no_value(failed_);
    if (((!stepped && worst() > grown * before) || rounds % long_way == 0) && find_outer_afar()) return {};
  }
  rounds = most_rounds;
  return not_settled();
}
}  // namespace dripleg::networks
