// Numbers for records: the same record always gets the same number, in order of first use. The records
// themselves live elsewhere; this is only the open-addressed index over them.
#pragma once
#include "base/ids.hpp"

#include <vector>

namespace dripleg::evaluate {
inline u64 mix(u64 seed, u64 value) {
  seed ^= value + 0x9E3779B97F4A7C15ull + (seed << 6) + (seed >> 2);
  seed *= 0xD6E8FEB86659FD93ull;
  return seed ^ (seed >> 32);
}

class Interner {
 public:
  // `same(number)` tells whether the record of that number is the wanted one; `make()` stores it and
  // gives its number.
  template <class Same, class Make>
  u32 find_or_make(u64 hash, Same same, Make make) {
    if ((count_ + 1) * 2 > slots_.size()) grow();
    std::size_t at = hash & (slots_.size() - 1);
    for (; slots_[at].number != empty; at = (at + 1) & (slots_.size() - 1))
      if (slots_[at].hash == hash && same(slots_[at].number)) return slots_[at].number;
    const u32 number = make();
    slots_[at] = {hash, number};
    ++count_;
    return number;
  }
  void clear() {
    slots_.clear();
    count_ = 0;
  }
  // Forgets every number from `first` on; their records are the caller's to take away.
  void forget_from(u32 first) {
    std::vector<Slot> old(slots_.size());
    old.swap(slots_);
    count_ = 0;
    for (const Slot& slot : old)
      if (slot.number != empty && slot.number < first) put(slot), ++count_;
  }

 private:
  static constexpr u32 empty = 0xFFFFFFFFu;
  struct Slot {
    u64 hash = 0;
    u32 number = empty;
  };
  void grow() {
    std::vector<Slot> old(slots_.empty() ? 32 : slots_.size() * 2);
    old.swap(slots_);
    for (const Slot& slot : old)
      if (slot.number != empty) put(slot);
  }
  void put(const Slot& slot) {
    std::size_t at = slot.hash & (slots_.size() - 1);
    while (slots_[at].number != empty) at = (at + 1) & (slots_.size() - 1);
    slots_[at] = slot;
  }
  std::vector<Slot> slots_;
  std::size_t count_ = 0;
};
}  // namespace dripleg::evaluate
