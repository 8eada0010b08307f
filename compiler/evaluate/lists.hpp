// Lists and ranges that come up while formulas are computed, numbered after the program's own. Equal lists
// that were made here have equal numbers. Items never move, so a view of them stays valid.
#pragma once
#include "evaluate/interner.hpp"
#include "meaning/program.hpp"

#include <memory>
#include <span>
#include <vector>

namespace dripleg::evaluate {
using meaning::Value;

class Lists {
 public:
  explicit Lists(const meaning::Program& program) : program_(program) {}

  // Items as they are stored; those of the program's lists may be holes or variables of the program,
  // those made here are values of the evaluation.
  std::span<const Value> stored(Value list) const;
  bool made_here(Value list) const { return list.index() >= program_.lists.size(); }
  Value make(std::span<const Value> items);
  u64 stored_items() const { return total_; }

  meaning::Range stored_range(Value range) const;
  bool range_made_here(Value range) const { return range.index() >= program_.ranges.size(); }
  Value make_range(Value low, Value high);

 private:
  struct Piece { const Value* first = nullptr; u32 count = 0; };
  Value* room(u32 count);
  const meaning::Program& program_;
  std::vector<Piece> pieces_;
  std::vector<std::unique_ptr<Value[]>> blocks_;
  u32 block_size_ = 0, block_used_ = 0;
  u64 total_ = 0;
  Interner index_;
  std::vector<meaning::Range> ranges_;
  Interner range_index_;
};
}  // namespace dripleg::evaluate
