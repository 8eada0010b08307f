// Which number goes with a name: an open-addressed table that may begin in an image. Entries of the
// image are never changed; a name has one number for ever.
#pragma once
#include "base/ids.hpp"

#include <optional>
#include <span>
#include <vector>

namespace dripleg::quantities {
class NameTable {
 public:
  struct Slot {
    NameId name;             // none: empty
    u32 value = 0;
  };
  NameTable() = default;
  explicit NameTable(std::span<const Slot> fixed) : fixed_(fixed) {}

  std::optional<u32> find(NameId name) const;
  bool add(NameId name, u32 value);          // false: the name is taken
  std::span<const Slot> slots() const { return own_; }   // for the writer of an image

 private:
  static const Slot* find_in(std::span<const Slot> slots, NameId name);
  void grow();

  std::span<const Slot> fixed_;
  std::vector<Slot> own_;                    // size a power of two, at most half full
  u32 used_ = 0;
};
}  // namespace dripleg::quantities
