// Numbers that depend on one another in a circle, each by a formula of the others: found so that the true error,
// not only the last change, is within each number's tolerance. Starts where it is told and keeps to the ranges.
#pragma once
#include "base/ids.hpp"

#include <optional>
#include <vector>

namespace dripleg::networks {
inline constexpr u32 most_settle_rounds = 100;

struct SettleCell {
  double start = 0, low = 0, high = 0;   // low <= start <= high, low < high
  double tolerance = 0;                  // of the true error, more than 0
};

// The cells that a formula has read; each once, in any order.
class ReadSet {
 public:
  explicit ReadSet(u32 cells) : seen_(cells, 0) {}
  void add(u32 cell) { if (!seen_[cell]) seen_[cell] = 1, cells_.push_back(cell); }
  void clear() { for (u32 cell : cells_) seen_[cell] = 0; cells_.clear(); }
  const std::vector<u32>& cells() const { return cells_; }
 private:
  std::vector<char> seen_;
  std::vector<u32> cells_;
};

// One formula a cell. They are asked one after another at the same values, then at values of which one differs:
// what is dear and depends on `dense` cells only (a balance) is worth keeping until one of those has moved.
class Formulas {
 public:
  virtual ~Formulas() = default;
  // The formula of `cell` at `values` (of all cells). `reads`, where given, is empty and takes every cell that was read.
  // Not a finite number: cannot be said, and settling fails with that cell.
  virtual double value(u32 cell, const std::vector<double>& values, ReadSet* reads) = 0;
  // A cell on which a balance depends: every formula counts as reading it, and its slopes are taken over 1 % of its range.
  virtual bool dense(u32 cell) const { (void)cell; return false; }
};

enum class SettleOutcome : u8 {
  settled,
  nothing_holds,   // `cells`: nothing fixes them, any value would do as well; `amount`: the largest residual met before, or 0
  jumps,           // `cells`: the one that jumps, the one that it reads; `from`, `to`: on either side of `amount`
  runs_away,       // `cells`: at an end of their ranges and still pushing outwards
  not_settled,     // `cells`: the worst; `amount`: its residual, `error`: perhaps so far from its end value
  not_a_number,    // `cells`: the one whose formula has no value
};

struct SettlePart {
  std::vector<u32> cells;       // solved together, in the order in which they are read
  u32 rounds = 0;               // 0: just evaluated
  u32 rest_rounds = 0;          // of its cells but those on which balances depend, between these rounds
  double gain = 1;              // true error <= gain * residual, in tolerances
  double error = 0;             // bound of the true error, in tolerances
};

struct Settlement {
  SettleOutcome outcome = SettleOutcome::settled;
  std::vector<u32> cells;
  double amount = 0, error = 0, from = 0, to = 0;
  std::vector<double> values;        // by cell; after a failure those reached
  std::vector<char> settled;         // by cell: its value is good (cells before the part that failed)
  std::vector<SettlePart> parts;     // in the order of solving, the failed one last
  u32 rounds = 0;                    // the most of any part
  u64 formula_calls = 0;
};

Settlement settle(const std::vector<SettleCell>& cells, Formulas& formulas, u32 most_rounds = most_settle_rounds);
}  // namespace dripleg::networks
