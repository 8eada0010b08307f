#include "evaluate/cells.hpp"

#include <algorithm>

namespace dripleg::evaluate {
void Cells::clear() {
  // All bits zero is an empty entry; calloc hands out pages that are zero already.
  cells_.reset(static_cast<Entry*>(std::calloc(count_ + 1, sizeof(Entry))));
  older_.assign(1, Entry{});
  spare_.clear();
  touched_.clear();
}

void Cells::keep(u32 cell, u32 key, Value value) {
  if (key == Worlds::no_key) return;
  if (marks_ != 0) touched_.push_back(cell);
  Entry& first = cells_[cell];
  const u32 busy = first.more & busy_bit;
  if (first.key == 0) {
    first = {value, key, busy};
    return;
  }
  u32 count = 1, last = 0, before_last = 0;
  for (u32 at = first.more & ~busy_bit; at != 0; at = older_[at].more) {
    before_last = last;
    last = at;
    ++count;
  }
  u32 room = 0;
  if (count < most_kept && !spare_.empty()) {
    room = spare_.back();
    spare_.pop_back();
  } else if (count < most_kept) {
    room = static_cast<u32>(older_.size());
    older_.emplace_back();
  } else {
    room = last;                              // the oldest makes room
    older_[before_last].more = 0;
  }
  const u32 next = first.more & ~busy_bit;
  older_[room] = {first.value, first.key, next == room ? 0 : next};
  first = {value, key, busy | room};
}

void Cells::forget_keys_from(u32 projection) {
  constexpr u32 number_bits = (1u << Worlds::set_shift) - 1;
  std::sort(touched_.begin(), touched_.end());
  touched_.erase(std::unique(touched_.begin(), touched_.end()), touched_.end());
  std::size_t still = 0;
  for (const u32 cell : touched_) {
    Entry& first = cells_[cell];
    const u32 busy = first.more & busy_bit;
    // The chain once more, without what goes; newest first as before.
    Entry kept[most_kept];
    u32 count = 0;
    if (first.key != 0 && (first.key & number_bits) < projection) kept[count++] = first;
    for (u32 at = first.key == 0 ? 0 : first.more & ~busy_bit; at != 0;) {
      const Entry entry = older_[at];
      if ((entry.key & number_bits) < projection) kept[count++] = entry;
      spare_.push_back(at);
      at = entry.more;
    }
    u32 next = 0;
    for (u32 i = count; i-- > 1;) {
      const u32 room = spare_.back();
      spare_.pop_back();
      older_[room] = {kept[i].value, kept[i].key, next};
      next = room;
    }
    first = count == 0 ? Entry{Value(), 0, busy} : Entry{kept[0].value, kept[0].key, busy | next};
    if (count != 0) touched_[still++] = cell;
  }
  touched_.resize(still);
}
}  // namespace dripleg::evaluate
