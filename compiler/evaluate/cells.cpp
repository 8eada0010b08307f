#include "evaluate/cells.hpp"

namespace dripleg::evaluate {
void Cells::clear() {
  // All bits zero is an empty entry; calloc hands out pages that are zero already.
  cells_.reset(static_cast<Entry*>(std::calloc(count_ + 1, sizeof(Entry))));
  older_.assign(1, Entry{});
}

void Cells::keep(u32 cell, u32 key, Value value) {
  if (key == Worlds::no_key) return;
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
  if (count < most_kept) {
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
}  // namespace dripleg::evaluate
