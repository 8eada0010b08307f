#include "evaluate/lists.hpp"

#include <algorithm>

namespace dripleg::evaluate {
std::span<const Value> Lists::stored(Value list) const {
  const u32 at = list.index();
  if (at >= program_.lists.size()) {
    const Piece& piece = pieces_[at - program_.lists.size()];
    return {piece.first, piece.count};
  }
  const meaning::Slice items = program_.lists[at].items;
  return program_.list_items.slice(items.first, items.count);
}

Value* Lists::room(u32 count) {
  if (block_size_ - block_used_ < count) {
    block_size_ = std::max(count, 1024u);
    block_used_ = 0;
    blocks_.push_back(std::make_unique<Value[]>(block_size_));
  }
  Value* const at = blocks_.back().get() + block_used_;
  block_used_ += count;
  total_ += count;
  return at;
}

Value Lists::make(std::span<const Value> items) {
  u64 hash = items.size();
  for (const Value item : items) hash = mix(hash, item.bits());
  const u32 number = index_.find_or_make(
      hash,
      [&](u32 at) { return std::ranges::equal(std::span<const Value>(pieces_[at].first, pieces_[at].count), items); },
      [&] {
        const u32 count = static_cast<u32>(items.size());
        Value* const first = count == 0 ? nullptr : room(count);
        std::copy(items.begin(), items.end(), first);
        pieces_.push_back({first, count});
        return static_cast<u32>(pieces_.size() - 1);
      });
  return Value::index(program_.lists.size() + number);
}

meaning::Range Lists::stored_range(Value range) const {
  const u32 at = range.index();
  return at < program_.ranges.size() ? program_.ranges[at] : ranges_[at - program_.ranges.size()];
}

Value Lists::make_range(Value low, Value high) {
  const u32 number = range_index_.find_or_make(
      mix(low.bits(), high.bits()), [&](u32 at) { return ranges_[at].low == low && ranges_[at].high == high; },
      [&] {
        ranges_.push_back({low, high});
        return static_cast<u32>(ranges_.size() - 1);
      });
  return Value::index(program_.ranges.size() + number);
}
}  // namespace dripleg::evaluate
