// Worlds: what every variable is set to while something is computed. A world is the list of its settings;
// whatever is not set has its usual value. Owned by an evaluation; a world, once made, never changes, and
// equal settings are the same world.
#pragma once
#include "evaluate/interner.hpp"
#include "meaning/program.hpp"

#include <span>
#include <vector>

namespace dripleg::evaluate {
using meaning::Value;
using meaning::VariableId;
using WorldId = Id<struct WorldTag>;
inline constexpr WorldId nominal_world{0};      // nothing set

struct WorldSetting {
  VariableId variable;
  Value value;
  friend bool operator==(const WorldSetting&, const WorldSetting&) = default;
};

// What a value depends on: one bit for each variable, or for each group of variables if there are more
// than 62. A union of these is what an evaluation "read".
using Reads = u64;
// The two highest bits mark what rests on a trial flow or on a value that is still settling: such a value is
// not kept. `reads_everything` is every variable.
inline constexpr Reads trial_bit = Reads{1} << 63, settling_bit = Reads{1} << 62;
inline constexpr u32 variable_bits = 62;
inline constexpr Reads reads_everything = (Reads{1} << variable_bits) - 1;

class Worlds {
 public:
  Worlds();

  // In any order; of two settings of one variable the later counts.
  WorldId world(std::span<const WorldSetting> settings);
  WorldId with(WorldId base, std::span<const WorldSetting> settings);
  // In the order of the variables.
  std::span<const WorldSetting> settings(WorldId world) const;
  // None: not set there.
  const Value* find(WorldId world, VariableId variable) const;
  u32 size() const { return static_cast<u32>(worlds_.size()); }

  // How many variables there are; may only grow before anything was read under the new number.
  void set_variable_count(u32 count) { variables_ = count; }
  Reads bit(VariableId variable) const {
    return Reads{1} << (variables_ <= variable_bits || variable.value < own_bits
                            ? variable.value
                            : own_bits + (variable.value - own_bits) % (variable_bits - own_bits));
  }
  bool alone_on_its_bit(VariableId variable) const { return variables_ <= variable_bits || variable.value < own_bits; }

  // ---- keys: which worlds agree on what was read -------------------------------------------------------
  // A key stands for a set of variables together with what they are set to. A value computed in one world
  // holds in every world that has the same key for the set that was read. Key 0 is never given.
  static constexpr u32 no_key = 0xFFFFFFFFu;    // too many to number: do not keep the value
  static constexpr u32 set_shift = 20;
  u32 key(WorldId world, Reads reads);
  // The key of a world for a set that was met before; `set` is key >> set_shift.
  u32 key_of_set(WorldId world, u32 set) {
    const auto& keys = worlds_[world.value].keys;
    return set < keys.size() && keys[set] != 0 ? keys[set] : make_key(world, set);
  }
  Reads reads_of_key(u32 key) const { return sets_[key >> set_shift]; }
  void forget_keys();                            // after a change of the variables' count

  // ---- worlds for a while -------------------------------------------------------------------------------
  // A loop that enters a world for each of its rows takes them away again: all that was made since a mark. Nothing
  // may refer to them any more, and what was kept under their keys must be forgotten first (Cells::forget_keys_from).
  struct Mark { u32 worlds, settings, projections, projected, keys; };
  Mark begin_mark();
  void end_mark() {
    if (--marks_ == 0) keys_made_.clear();
  }
  u32 made_since(const Mark& mark) const { return size() - mark.worlds; }
  void drop_to(const Mark& mark);

 private:
  static constexpr u32 own_bits = 32;
  struct World {
    u32 first = 0, count = 0;                    // in settings_
    std::vector<u32> keys;                       // by set; 0: not made yet
  };
  u32 set_number(Reads reads);
  u32 make_key(WorldId world, u32 set);
  void start_keys();

  std::vector<World> worlds_;
  std::vector<WorldSetting> settings_;
  Interner world_index_;
  u32 variables_ = 0;

  std::vector<Reads> sets_;                      // 0: nothing; 1: everything
  Interner set_index_;
  struct Projection { u32 set = 0, first = 0, count = 0; };
  std::vector<Projection> projections_;          // index 0 unused
  std::vector<WorldSetting> projected_;
  Interner projection_index_;
  std::vector<WorldSetting> scratch_;

  struct KeyMade { u32 world, set; };
  std::vector<KeyMade> keys_made_;               // while there are marks
  u32 marks_ = 0;
};
}  // namespace dripleg::evaluate
