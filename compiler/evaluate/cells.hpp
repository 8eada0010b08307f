// Kept values: for each cell (a field of a thing, or a condition) what it came to, under the key of what
// that depended on. At most eight a cell, the oldest dropped first; a miss only means computing again.
#pragma once
#include "evaluate/worlds.hpp"

#include <cstdlib>
#include <memory>
#include <vector>

namespace dripleg::evaluate {
class Cells {
 public:
  struct Entry {
    Value value;
    u32 key = 0;        // of worlds; 0: nothing kept
    u32 more = 0;       // next older entry in older_, 0 ends; top bit: the cell is being computed
  };
  static_assert(sizeof(Entry) == 16);

  explicit Cells(u32 count) : count_(count) { clear(); }

  // What is kept for a world; none if nothing is.
  const Entry* find(u32 cell, WorldId world, Worlds& worlds) const {
    const Entry* entry = &cells_[cell];
    if (entry->key == 0) return nullptr;
    for (;;) {
      if (entry->key == worlds.key_of_set(world, entry->key >> Worlds::set_shift)) return entry;
      const u32 next = entry->more & ~busy_bit;
      if (next == 0) return nullptr;
      entry = &older_[next];
    }
  }
  void keep(u32 cell, u32 key, Value value);

  // While a cell is computed it is busy. Gives whether it was not before.
  bool make_busy(u32 cell) {
    const bool fresh = (cells_[cell].more & busy_bit) == 0;
    cells_[cell].more |= busy_bit;
    return fresh;
  }
  void make_idle(u32 cell) { cells_[cell].more &= ~busy_bit; }
  bool busy(u32 cell) const { return (cells_[cell].more & busy_bit) != 0; }
  void clear();

  // While a loop marks its worlds: which cells got values.
  void begin_mark() { ++marks_; }
  void end_mark() {
    if (--marks_ == 0) touched_.clear();
  }
  // Forgets what lies under keys whose projection has this number or a later one.
  void forget_keys_from(u32 projection);

 private:
  static constexpr u32 busy_bit = 0x8000'0000u;
  static constexpr u32 most_kept = 8;
  struct Free {
    void operator()(Entry* entries) const { std::free(entries); }
  };
  u32 count_;
  std::unique_ptr<Entry[], Free> cells_;     // pages that nothing touches cost nothing
  std::vector<Entry> older_;                 // index 0 unused
  std::vector<u32> spare_;                   // of older_, given back
  std::vector<u32> touched_;                 // while there are marks
  u32 marks_ = 0;
};
}  // namespace dripleg::evaluate
