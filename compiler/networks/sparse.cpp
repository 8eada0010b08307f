#include "networks/sparse.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace dripleg::networks {
namespace {
void sort_once(std::vector<u32>& list) {
  std::sort(list.begin(), list.end());
  list.erase(std::unique(list.begin(), list.end()), list.end());
}
// What `of` sees after `gone` has been eliminated: its own neighbours and those of `gone`, neither of the two.
std::vector<u32> joined(const std::vector<u32>& mine, const std::vector<u32>& theirs, u32 of, u32 gone) {
  std::vector<u32> all;
  all.reserve(mine.size() + theirs.size());
  std::set_union(mine.begin(), mine.end(), theirs.begin(), theirs.end(), std::back_inserter(all));
  std::erase_if(all, [&](u32 one) { return one == of || one == gone; });
  return all;
}
}  // namespace

Factor::Factor(std::vector<std::vector<u32>> neighbours) {
  const u32 size = static_cast<u32>(neighbours.size());
  place_.assign(size, 0);
  index_.reserve(size);
  diagonal_.assign(size, 0);
  work_.assign(size, 0);
  order(std::move(neighbours));
  upper_.assign(later_.size(), 0);
  lower_.assign(later_.size(), 0);

  std::vector<std::vector<Before>> before(size);
  for (u32 place = 0; place < size; ++place)
    for (u32 at = later_begin_[place]; at < later_begin_[place + 1]; ++at) before[later_[at]].push_back({place, at});
  before_begin_.push_back(0);
  for (const auto& list : before) {
    before_.insert(before_.end(), list.begin(), list.end());
    before_begin_.push_back(static_cast<u32>(before_.size()));
  }
}

void Factor::order(std::vector<std::vector<u32>> neighbours) {
  const u32 size = static_cast<u32>(neighbours.size());
  std::set<std::pair<std::size_t, u32>> by_degree;
  for (u32 i = 0; i < size; ++i) {
    sort_once(neighbours[i]);
    by_degree.insert({neighbours[i].size(), i});
  }
  while (!by_degree.empty()) {
    const u32 gone = by_degree.begin()->second;
    by_degree.erase(by_degree.begin());
    place_[gone] = static_cast<u32>(index_.size());
    index_.push_back(gone);
    for (const u32 one : neighbours[gone]) {
      by_degree.erase({neighbours[one].size(), one});
      neighbours[one] = joined(neighbours[one], neighbours[gone], one, gone);
      by_degree.insert({neighbours[one].size(), one});
    }
  }
  later_begin_.push_back(0);
  for (const u32 index : index_) {
    const std::size_t begin = later_.size();
    for (const u32 one : neighbours[index]) later_.push_back(place_[one]);
    std::sort(later_.begin() + static_cast<std::ptrdiff_t>(begin), later_.end());
    later_begin_.push_back(static_cast<u32>(later_.size()));
  }
}

u32 Factor::slot(u32 first, u32 second) const {
  const auto begin = later_.begin() + later_begin_[first], end = later_.begin() + later_begin_[first + 1];
  return static_cast<u32>(std::lower_bound(begin, end, second) - later_.begin());
}
u32 Factor::pair_of(u32 a, u32 b) const {
  return slot(std::min(place_[a], place_[b]), std::max(place_[a], place_[b]));
}

void Factor::clear() {
  std::fill(diagonal_.begin(), diagonal_.end(), 0.0);
  std::fill(upper_.begin(), upper_.end(), 0.0);
  std::fill(lower_.begin(), lower_.end(), 0.0);
}

void Factor::add(u32 row, u32 column, double value) {
  const u32 r = place_[row], c = place_[column];
  if (r == c) diagonal_[r] += value;
  else if (r < c) upper_[slot(r, c)] += value;
  else lower_[slot(c, r)] += value;
}

bool Factor::factor(double least) {
  bool sound = true;
  for (u32 row = 0; row < diagonal_.size(); ++row) {
    const u32 begin = later_begin_[row], end = later_begin_[row + 1];
    for (u32 b = before_begin_[row]; b < before_begin_[row + 1]; ++b) work_[before_[b].place] = lower_[before_[b].slot];
    work_[row] = diagonal_[row];
    for (u32 at = begin; at < end; ++at) work_[later_[at]] = upper_[at];

    for (u32 b = before_begin_[row]; b < before_begin_[row + 1]; ++b) {
      const u32 done = before_[b].place;
      const double times = work_[done] / diagonal_[done];
      lower_[before_[b].slot] = times;
      if (times == 0) continue;
      for (u32 at = later_begin_[done]; at < later_begin_[done + 1]; ++at) work_[later_[at]] -= times * upper_[at];
    }
    diagonal_[row] = work_[row];
    for (u32 at = begin; at < end; ++at) upper_[at] = work_[later_[at]];
    if (!(std::fabs(diagonal_[row]) >= least)) {
      sound = false;
      diagonal_[row] = least;
    }
  }
  return sound;
}

u32 Factor::negative_pivots() const {
  return static_cast<u32>(std::count_if(diagonal_.begin(), diagonal_.end(), [](double pivot) { return pivot < 0; }));
}

void Factor::solve(std::vector<double>& right) const {
  const u32 size = static_cast<u32>(diagonal_.size());
  std::vector<double> x(size);
  for (u32 i = 0; i < size; ++i) x[i] = right[index_[i]];
  for (u32 i = 0; i < size; ++i)
    for (u32 at = later_begin_[i]; at < later_begin_[i + 1]; ++at) x[later_[at]] -= lower_[at] * x[i];
  for (u32 i = size; i-- > 0;) {
    for (u32 at = later_begin_[i]; at < later_begin_[i + 1]; ++at) x[i] -= upper_[at] * x[later_[at]];
    x[i] /= diagonal_[i];
  }
  for (u32 i = 0; i < size; ++i) right[index_[i]] = x[i];
}
}  // namespace dripleg::networks
