// Where a key falls among the keys of a table, and what a table comes to when one key alone is left open.
#pragma once
#include "evaluate/state.hpp"

namespace dripleg::evaluate {
// One row, or a share of the way from one to the next.
struct Position {
  enum class Miss : u8 { no, below, above, absent } miss = Miss::no;
  u32 at = 0, next = 0;
  double share = 0;              // 0: at; 1: next; beyond 0..1 only where the table says straight on
};
Position find_number(std::span<const Value> keys, double x, meaning::LookUp mode, meaning::Beyond beyond);

// The keys and values that are left when every other key is fixed. None: the others find no row, or the
// open key is one that is matched exactly.
struct Profile {
  meaning::LookUp mode;
  meaning::Beyond beyond;
  std::vector<Value> keys, values;
};
std::optional<Profile> profile(Evaluation::State& state, TableId table, std::span<const Value> keys, u32 open, u32 column);
}  // namespace dripleg::evaluate
