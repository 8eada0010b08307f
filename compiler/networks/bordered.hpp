// The slopes of a settling as a system of equations, I - J: most rows rise with all that they read and need no pivoting;
// a few, the border, do not (one that falls when what it reads rises) and are eliminated last, among themselves with it.
#pragma once
#include "networks/sparse.hpp"

#include <optional>

namespace dripleg::networks {
struct Slope { u32 row, column; double value; };

class Bordered {
 public:
  // Of rows and columns that are `held` nothing is solved: they are as in a system of their own, 1 on the diagonal.
  Bordered(u32 size, const std::vector<Slope>& slopes, const std::vector<char>& border, const std::vector<char>& held);

  void solve(std::vector<double>& right) const;    // in place
  // For each row no less than what residuals of at most 1, of whatever signs, can move it; without a border just that.
  std::vector<double> response() const;
  // Nothing holds the border: it has no pivot of its own left once the rest is gone.
  bool border_is_flat() const { return flat_; }

 private:
  struct Entry { u32 border, inner; double value; };

  void number(const std::vector<char>& border);
  void take_inner(const std::vector<Slope>& slopes, const std::vector<char>& held);
  void take_border(const std::vector<Slope>& slopes, const std::vector<char>& held);
  void invert();
  double& square(u32 row, u32 column) { return inverse_[row * edge_ + column]; }
  double square(u32 row, u32 column) const { return inverse_[row * edge_ + column]; }

  u32 size_, edge_ = 0;
  std::vector<u32> place_;                         // by row: its number inside, or in the border
  std::vector<char> border_;
  std::vector<u32> inner_, outer_;                 // rows by number
  std::optional<Factor> factor_;
  std::vector<std::vector<double>> across_;        // by column of the border: what a unit there moves inside
  std::vector<Entry> down_;                        // border rows reading the inside
  std::vector<double> inverse_;                    // of what is left to the border
  bool flat_ = false;
};
}  // namespace dripleg::networks
