// Square systems of equations with few entries, whose pattern is the same on both sides of the diagonal: rows are
// eliminated least degree first, which is decided once, and factored without pivoting as often as the numbers change.
#pragma once
#include "base/ids.hpp"

#include <vector>

namespace dripleg::networks {
// `neighbours[i]`: every j other than i with an entry (i, j) or (j, i); each pair from both sides, in any order.
class Factor {
 public:
  explicit Factor(std::vector<std::vector<u32>> neighbours);

  void clear();                                  // all entries 0
  void add(u32 row, u32 column, double value);   // the pair must be among the neighbours, or row == column
  // Where the pair of entries (a, b) and (b, a) lies, a != b: for systems that add to both at once, often.
  u32 pair_of(u32 a, u32 b) const;
  void add_to_pair(u32 pair, double value) { upper_[pair] += value, lower_[pair] += value; }
  void add_to_diagonal(u32 row, double value) { diagonal_[place_[row]] += value; }

  // Pivots smaller than `least` (of either sign) are made `least`; false if there were any, or one is no number.
  bool factor(double least);
  u32 negative_pivots() const;
  void solve(std::vector<double>& right) const;  // in place

 private:
  void order(std::vector<std::vector<u32>> neighbours);
  u32 slot(u32 first, u32 second) const;         // of places, first < second

  struct Before { u32 place, slot; };
  std::vector<u32> place_, index_;               // of an index; and back
  std::vector<u32> later_begin_, later_;         // by place: places after it that it shares an entry with, ascending
  std::vector<u32> before_begin_;
  std::vector<Before> before_;                   // the same pairs seen from the other side, ascending
  std::vector<double> diagonal_, upper_, lower_, work_;
};
}  // namespace dripleg::networks
