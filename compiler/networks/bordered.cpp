#include "networks/bordered.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
namespace {
constexpr double least_pivot = 1e-12;
constexpr double flat_share = 1e-9;       // of the largest number in what is left to the border
}  // namespace

Bordered::Bordered(u32 size, const std::vector<Slope>& slopes, const std::vector<char>& border, const std::vector<char>& held)
    : size_(size), place_(size, 0), border_(border) {
  number(border);
  take_inner(slopes, held);
  if (edge_ == 0) return;
  take_border(slopes, held);
  invert();
}

void Bordered::number(const std::vector<char>& border) {
  for (u32 row = 0; row < size_; ++row) {
    auto& rows = border[row] ? outer_ : inner_;
    place_[row] = static_cast<u32>(rows.size());
    rows.push_back(row);
  }
  edge_ = static_cast<u32>(outer_.size());
}

void Bordered::take_inner(const std::vector<Slope>& slopes, const std::vector<char>& held) {
  const auto inside = [&](const Slope& slope) {
    return !border_[slope.row] && !border_[slope.column] && !held[slope.row] && !held[slope.column];
  };
  std::vector<std::vector<u32>> neighbours(inner_.size());
  for (const Slope& slope : slopes) {
    if (slope.row == slope.column || !inside(slope)) continue;
    neighbours[place_[slope.row]].push_back(place_[slope.column]);
    neighbours[place_[slope.column]].push_back(place_[slope.row]);
  }
  factor_.emplace(std::move(neighbours));
  for (u32 i = 0; i < inner_.size(); ++i) factor_->add(i, i, 1.0);
  for (const Slope& slope : slopes)
    if (inside(slope)) factor_->add(place_[slope.row], place_[slope.column], -slope.value);
  factor_->factor(least_pivot);
}

// What is left to the border once the inside is eliminated: D - C M^-1 B.
void Bordered::take_border(const std::vector<Slope>& slopes, const std::vector<char>& held) {
  across_.assign(edge_, std::vector<double>(inner_.size(), 0.0));
  inverse_.assign(static_cast<std::size_t>(edge_) * edge_, 0.0);
  for (u32 i = 0; i < edge_; ++i) square(i, i) = 1;
  for (const Slope& slope : slopes) {
    if (held[slope.row] || held[slope.column]) continue;
    const u32 row = place_[slope.row], column = place_[slope.column];
    if (border_[slope.row] && border_[slope.column]) square(row, column) -= slope.value;
    else if (border_[slope.row]) down_.push_back({row, column, -slope.value});
    else if (border_[slope.column]) across_[column][row] -= slope.value;
  }
  for (auto& column : across_) factor_->solve(column);
  for (const Entry& entry : down_)
    for (u32 column = 0; column < edge_; ++column) square(entry.border, column) -= entry.value * across_[column][entry.inner];
}

// In place, by Gauss and Jordan with the largest pivot left in rows and columns.
void Bordered::invert() {
  double largest = 0;
  for (const double one : inverse_) largest = std::max(largest, std::fabs(one));
  std::vector<std::pair<u32, u32>> pivots;
  std::vector<char> row_gone(edge_, 0), column_gone(edge_, 0);
  for (u32 turn = 0; turn < edge_; ++turn) {
    u32 row = 0, column = 0;
    double best = -1;
    for (u32 r = 0; r < edge_; ++r)
      for (u32 c = 0; c < edge_; ++c)
        if (!row_gone[r] && !column_gone[c] && std::fabs(square(r, c)) > best) best = std::fabs(square(r, c)), row = r, column = c;
    if (best < 0) {                                // no numbers: take what is left as it stands
      while (row_gone[row]) ++row;
      while (column_gone[column]) ++column;
    }
    row_gone[row] = column_gone[column] = 1;
    pivots.push_back({row, column});
    if (!(best >= flat_share * largest) || best < least_pivot) {
      flat_ = true;
      square(row, column) = flat_share * std::max(largest, least_pivot);
    }
    const double pivot = 1 / square(row, column);
    square(row, column) = 1;
    for (u32 c = 0; c < edge_; ++c) square(row, c) *= pivot;
    for (u32 r = 0; r < edge_; ++r) {
      if (r == row) continue;
      const double times = square(r, column);
      square(r, column) = 0;
      for (u32 c = 0; c < edge_; ++c) square(r, c) -= times * square(row, c);
    }
  }
  std::vector<double> sorted(inverse_.size());     // row r, column c of what stands here belong to each other's places
  for (const auto& [row, column] : pivots)
    for (const auto& [other_row, other_column] : pivots) sorted[column * edge_ + other_row] = square(row, other_column);
  inverse_ = std::move(sorted);
}

void Bordered::solve(std::vector<double>& right) const {
  std::vector<double> inside(inner_.size()), left(edge_), moved(edge_, 0.0);
  for (u32 i = 0; i < inner_.size(); ++i) inside[i] = right[inner_[i]];
  factor_->solve(inside);
  for (u32 i = 0; i < edge_; ++i) left[i] = right[outer_[i]];
  for (const Entry& entry : down_) left[entry.border] -= entry.value * inside[entry.inner];
  for (u32 r = 0; r < edge_; ++r)
    for (u32 c = 0; c < edge_; ++c) moved[r] += square(r, c) * left[c];
  for (u32 c = 0; c < edge_; ++c)
    for (u32 i = 0; i < inner_.size(); ++i) inside[i] -= across_[c][i] * moved[c];
  for (u32 i = 0; i < inner_.size(); ++i) right[inner_[i]] = inside[i];
  for (u32 i = 0; i < edge_; ++i) right[outer_[i]] = moved[i];
}

std::vector<double> Bordered::response() const {
  std::vector<double> inside(inner_.size(), 1.0), asked(edge_, 1.0), moved(edge_, 0.0), all(size_);
  factor_->solve(inside);
  for (const Entry& entry : down_) asked[entry.border] += std::fabs(entry.value * inside[entry.inner]);
  for (u32 r = 0; r < edge_; ++r)
    for (u32 c = 0; c < edge_; ++c) moved[r] += std::fabs(square(r, c)) * asked[c];
  for (u32 i = 0; i < inner_.size(); ++i) {
    if (edge_ != 0) inside[i] = std::fabs(inside[i]);
    for (u32 c = 0; c < edge_; ++c) inside[i] += std::fabs(across_[c][i]) * moved[c];
    all[inner_[i]] = inside[i];
  }
  for (u32 i = 0; i < edge_; ++i) all[outer_[i]] = moved[i];
  return all;
}
}  // namespace dripleg::networks
