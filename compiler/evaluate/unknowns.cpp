#include "evaluate/unknowns.hpp"

#include <algorithm>
#include <bit>

namespace dripleg::evaluate {
void add_hole(HoleSet& set, HoleId hole) {
  HoleId* const end = set.holes + set.count;
  HoleId* const at = std::lower_bound(set.holes, end, hole);
  if (at != end && *at == hole) return;
  if (set.count == most_holes) {
    set.more = true;
    if (at == end) return;
    std::move_backward(at, end - 1, end);     // the smallest numbers stay, whatever the order of arrival
    *at = hole;
    return;
  }
  std::move_backward(at, end, end + 1);
  *at = hole;
  ++set.count;
}

void add_holes(HoleSet& set, const HoleSet& more) {
  for (const HoleId hole : more.given()) add_hole(set, hole);
  set.more = set.more || more.more;
}

Value Unknowns::make(const HoleSet& holes, Bounds bounds) { return make_of_set(set_number(holes), bounds); }

Value Unknowns::make(HoleId hole, Bounds bounds) {
  HoleSet holes;
  add_hole(holes, hole);
  return make(holes, bounds);
}

Value Unknowns::merged(std::span<const Value> values, Bounds bounds) {
  HoleSet holes;
  u32 first = 0, met = 0;
  for (const Value value : values) {
    if (!value.is(meaning::State::unknown)) continue;
    const u32 set = records_[value.payload()].set;
    if (met == 0) first = set;
    if (met++ == 0 || set != first) add_holes(holes, sets_[set]);
  }
  return make(holes, bounds);
}

u32 Unknowns::set_number(const HoleSet& holes) {
  u64 hash = holes.more ? 1 : 0;
  for (const HoleId hole : holes.given()) hash = mix(hash, hole.value);
  return set_index_.find_or_make(
      hash,
      [&](u32 at) { return sets_[at].more == holes.more && std::ranges::equal(sets_[at].given(), holes.given()); },
      [&] {
        sets_.push_back(holes);
        return static_cast<u32>(sets_.size() - 1);
      });
}

Value Unknowns::make_of_set(u32 set, Bounds bounds) {
  const u64 low = std::bit_cast<u64>(bounds.low), high = std::bit_cast<u64>(bounds.high);
  return Value::unknown(record_index_.find_or_make(
      mix(mix(set, low), high),
      [&](u32 at) {
        return records_[at].set == set && std::bit_cast<u64>(records_[at].bounds.low) == low &&
               std::bit_cast<u64>(records_[at].bounds.high) == high;
      },
      [&] {
        records_.push_back({set, bounds});
        return static_cast<u32>(records_.size() - 1);
      }));
}
}  // namespace dripleg::evaluate
