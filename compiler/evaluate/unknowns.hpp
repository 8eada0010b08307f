// Values that are not known yet: which holes are behind each, and between what bounds it lies. A Value in
// the state unknown carries the number of such a record. Owned by an evaluation; equal records have equal
// numbers, so equal unknowns are equal values.
#pragma once
#include "evaluate/interner.hpp"
#include "meaning/program.hpp"

#include <limits>
#include <span>
#include <vector>

namespace dripleg::evaluate {
using meaning::HoleId;
using meaning::Value;

struct Bounds {
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity();
  bool any() const { return low > -std::numeric_limits<double>::infinity() || high < std::numeric_limits<double>::infinity(); }
};

inline constexpr u32 most_holes = 8;
struct HoleSet {
  u32 count = 0;
  bool more = false;                    // others were left out
  HoleId holes[most_holes];             // rising
  std::span<const HoleId> given() const { return {holes, count}; }
};

class Unknowns {
 public:
  Value make(const HoleSet& holes, Bounds bounds = {});
  Value make(HoleId hole, Bounds bounds = {});
  // Neither is known: what is behind either. Known operands count for nothing.
  Value merged(std::span<const Value> values, Bounds bounds = {});
  const HoleSet& holes(Value unknown) const { return sets_[records_[unknown.payload()].set]; }
  // Of a known number: that number twice.
  Bounds bounds(Value value) const {
    if (value.known()) return {value.number(), value.number()};
    return value.is(meaning::State::unknown) ? records_[value.payload()].bounds : Bounds{};
  }

 private:
  struct Record {
    u32 set = 0;
    Bounds bounds;
  };
  u32 set_number(const HoleSet& holes);
  Value make_of_set(u32 set, Bounds bounds);
  std::vector<HoleSet> sets_;
  std::vector<Record> records_;
  Interner set_index_, record_index_;
};
void add_hole(HoleSet& set, HoleId hole);
void add_holes(HoleSet& set, const HoleSet& more);
}  // namespace dripleg::evaluate
