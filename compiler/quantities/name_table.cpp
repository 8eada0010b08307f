#include "quantities/name_table.hpp"

namespace dripleg::quantities {
namespace {
u32 first_place(NameId name, std::size_t size) {
  return (name.value * 0x9E3779B1u >> 7) & static_cast<u32>(size - 1);
}
}  // namespace

const NameTable::Slot* NameTable::find_in(std::span<const Slot> slots, NameId name) {
  if (slots.empty()) return nullptr;
  u32 at = first_place(name, slots.size());
  while (slots[at].name.given()) {
    if (slots[at].name == name) return &slots[at];
    at = (at + 1) & static_cast<u32>(slots.size() - 1);
  }
  return nullptr;
}

std::optional<u32> NameTable::find(NameId name) const {
  if (!name.given()) return std::nullopt;
  if (const Slot* slot = find_in(fixed_, name)) return slot->value;
  if (const Slot* slot = find_in(own_, name)) return slot->value;
  return std::nullopt;
}

bool NameTable::add(NameId name, u32 value) {
  if (!name.given() || find(name)) return false;
  if ((used_ + 1) * 2 > own_.size()) grow();
  u32 at = first_place(name, own_.size());
  while (own_[at].name.given()) at = (at + 1) & static_cast<u32>(own_.size() - 1);
  own_[at] = {name, value};
  ++used_;
  return true;
}

void NameTable::grow() {
  std::vector<Slot> before(own_.empty() ? 16 : own_.size() * 2);
  before.swap(own_);
  for (const Slot& slot : before) {
    if (!slot.name.given()) continue;
    u32 at = first_place(slot.name, own_.size());
    while (own_[at].name.given()) at = (at + 1) & static_cast<u32>(own_.size() - 1);
    own_[at] = slot;
  }
}
}  // namespace dripleg::quantities
