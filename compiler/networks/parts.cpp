#include "networks/parts.hpp"

#include <algorithm>

namespace dripleg::networks {
namespace {
// Strongly connected components by one walk in depth, with its own stack: circles may be as long as there are cells.
class Walk {
 public:
  Walk(const std::vector<std::vector<u32>>& reads, const std::vector<char>& left_out)
      : reads_(reads), left_out_(left_out), number_(reads.size(), 0), lowest_(reads.size(), 0), finished_(reads.size(), 0), waits_(reads.size(), 0) {}

  std::vector<std::vector<u32>> run() {
    for (u32 cell = 0; cell < reads_.size(); ++cell)
      if (!left_out_[cell] && number_[cell] == 0) from(cell);
    return std::move(parts_);
  }

 private:
  struct Step { u32 cell, next; };

  void enter(u32 cell) {
    number_[cell] = lowest_[cell] = ++count_;
    waits_[cell] = 1;
    waiting_.push_back(cell);
    steps_.push_back({cell, 0});
  }

  void from(u32 first) {
    enter(first);
    while (!steps_.empty()) {
      const u32 cell = steps_.back().cell;
      if (steps_.back().next < reads_[cell].size()) {
        const u32 read = reads_[cell][steps_.back().next++];
        if (left_out_[read]) continue;
        if (number_[read] == 0) enter(read);
        else if (waits_[read]) lowest_[cell] = std::min(lowest_[cell], number_[read]);
        continue;
      }
      steps_.pop_back();
      finished_[cell] = ++finish_count_;
      if (!steps_.empty()) lowest_[steps_.back().cell] = std::min(lowest_[steps_.back().cell], lowest_[cell]);
      if (lowest_[cell] == number_[cell]) take_part(cell);
    }
  }

  void take_part(u32 root) {
    std::vector<u32> part;
    do {
      part.push_back(waiting_.back());
      waits_[waiting_.back()] = 0;
      waiting_.pop_back();
    } while (part.back() != root);
    std::sort(part.begin(), part.end(), [&](u32 a, u32 b) { return finished_[a] < finished_[b]; });
    parts_.push_back(std::move(part));
  }

  const std::vector<std::vector<u32>>& reads_;
  const std::vector<char>& left_out_;
  std::vector<u32> number_, lowest_, finished_;
  std::vector<char> waits_;
  std::vector<u32> waiting_;
  std::vector<Step> steps_;
  std::vector<std::vector<u32>> parts_;
  u32 count_ = 0, finish_count_ = 0;
};
}  // namespace

std::vector<std::vector<u32>> parts_of(const std::vector<std::vector<u32>>& reads, const std::vector<char>& left_out) {
  return Walk(reads, left_out).run();
}
}  // namespace dripleg::networks
