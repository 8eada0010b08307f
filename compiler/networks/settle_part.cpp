#include "networks/settle_part.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dripleg::networks {
namespace {
constexpr u32 none = 0xFFFFFFFFu;
constexpr double step_of_tolerance = 1.0 / 20, step_of_range = 0.01;   // differences for slopes
constexpr double least_pivot = 1e-12, most_gain = 1e7;
constexpr double nearly_nothing = 1.0 / 20;                            // of a tolerance
constexpr u32 most_escapes = 6, most_halvings = 5, rounds_outward = 8;

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

double clamped(double value, const SettleCell& cell) { return std::clamp(value, cell.low, cell.high); }
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
      formula_(size_, 0.0), residual_(size_, 0.0), lowest_(size_, std::numeric_limits<double>::infinity()),
      highest_(size_, -std::numeric_limits<double>::infinity()), outward_(size_, 0) {
  for (u32 i = 0; i < size_; ++i) place_[part.cells[i]] = i;
}

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
  for (const double one : residual_) most = std::max(most, std::fabs(one));
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

// One difference a reading. Where a dense cell moves, every formula is asked, one after another: one balance for all.
bool PartSolver::take_slopes() {
  slopes_.clear();
  const auto with = [&](u32 column, double by, auto ask) {
    const double before = value(column);
    if (before + by > cell(column).high) by = -by;
    value(column) = before + by;
    const bool well = ask(value(column) - before);
    value(column) = before;
    return well;
  };
  for (u32 row = 0; row < size_; ++row)
    for (const u32 column : read_now_[row])
      if (!with(column, cell(column).tolerance * step_of_tolerance, [&](double by) { return add_slope(row, column, by); })) return false;
  for (u32 column = 0; column < size_; ++column) {
    if (!work_.dense[part_.cells[column]]) continue;
    const auto ask_all = [&](double by) {
      for (u32 row = 0; row < size_; ++row)
        if (!add_slope(row, column, by)) return false;
      return true;
    };
    if (!with(column, (cell(column).high - cell(column).low) * step_of_range, ask_all)) return false;
  }
  return true;
}

void PartSolver::factor() {
  std::vector<std::vector<u32>> neighbours(size_);
  for (const Slope& slope : slopes_) {
    if (slope.row == slope.column) continue;
    neighbours[slope.row].push_back(slope.column);
    neighbours[slope.column].push_back(slope.row);
  }
  Factor factor(std::move(neighbours));
  for (u32 i = 0; i < size_; ++i) factor.add(i, i, 1.0);
  for (const Slope& slope : slopes_) factor.add(slope.row, slope.column, -slope.value);
  factor.factor(least_pivot);
  step_ = residual_;
  factor.solve(step_);
  response_.assign(size_, 1.0);
  factor.solve(response_);
  part_.gain = 1;
  for (const double one : response_) part_.gain = std::isfinite(one) ? std::max(part_.gain, std::fabs(one)) : 2 * most_gain;
}

// The longest part of the step at which the largest residual falls enough; values and formulas are then those there.
bool PartSolver::step() {
  std::vector<double> before;
  for (u32 i = 0; i < size_; ++i) before.push_back(value(i));
  const double residual = worst();
  double part = 1;
  for (u32 halving = 0; halving <= most_halvings; ++halving, part /= 2) {
    for (u32 i = 0; i < size_; ++i) value(i) = clamped(before[i] + part * step_[i] * cell(i).tolerance, cell(i));
    if (evaluate() && worst() <= (1 - 0.1 * part) * residual) return true;
  }
  for (u32 i = 0; i < size_; ++i) value(i) = before[i];
  return false;
}

// In place, in the order of reading: never lets the largest residual of rising formulas grow.
bool PartSolver::sweep_twice() {
  for (u32 sweep = 0; sweep < 2; ++sweep)
    for (u32 i = 0; i < size_; ++i) {
      const double now = formula_of(work_, part_.cells[i]);
      if (!std::isfinite(now)) {
        failed_ = part_.cells[i];
        return false;
      }
      value(i) = clamped(now, cell(i));
    }
  return evaluate();
}

// The cells that a residual would move without end.
std::vector<u32> PartSolver::null_part() const {
  double most = 0;
  for (const double one : response_) most = std::max(most, std::fabs(one));
  std::vector<u32> places;
  for (u32 i = 0; i < size_; ++i)
    if (!(std::fabs(response_[i]) <= 1e-3 * most)) places.push_back(i);
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
  for (u32 i = 0; i < size_; ++i) value(i) = clamped(value(i) + step_[i] * cell(i).tolerance, cell(i));
}

PartEnd PartSolver::run(u32 most_rounds) {
  if (!evaluate()) return no_value(failed_);
  for (part_.rounds = 1; part_.rounds <= most_rounds; ++part_.rounds) {
    if (!take_slopes()) return no_value(failed_);
    factor();
    PartEnd end;
    if (part_.gain > most_gain) {
      if (leave_singular(end) == Go::stop) return end;
      continue;
    }
    double most = 0;
    for (const double one : step_) most = std::max(most, std::fabs(one));
    if (part_.rounds > most_rounds / 2) remember_where();
    if (pushes_outwards(end)) return end;
    if (most <= 1 && part_.gain * worst() <= 1) {
      finish();
      return {};
    }
    if (!step() && !sweep_twice()) return no_value(failed_);
  }
  part_.rounds = most_rounds;
  return not_settled();
}

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
    if (!(highest_[read] - lowest_[read] > by)) continue;
    const auto at = [&](double moved) {
      value(read) = moved;
      const double now = formula_of(work_, part_.cells[place]);
      value(read) = before;
      return now;
    };
    Stretch stretch{clamped(lowest_[read] - by, cell(read)), clamped(highest_[read] + by, cell(read)), 0, 0};
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
    const double wanted = clamped(value(i) + step_[i] * cell(i).tolerance, cell(i));
    lowest_[i] = std::min({lowest_[i], value(i), wanted});
    highest_[i] = std::max({highest_[i], value(i), wanted});
  }
}
}  // namespace dripleg::networks
