#include "base/names.hpp"

#include <algorithm>
#include <cstring>

namespace dripleg::base {
namespace {
constexpr std::size_t block_size = 16 * 1024;
}

u64 hash_bytes(std::string_view text) {
  u64 hash = 0xCBF29CE484222325ull;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001B3ull;
  return hash ^ (hash >> 29);
}

Names::Names(const Image& image)
    : entries_(image.entries), base_text_(image.text), base_slots_(image.slots) {}

std::string_view Names::text(NameId name) const {
  const Entry& entry = entries_[name.value];
  if (name.value < entries_.base_size()) return {base_text_.data() + entry.at, entry.length};
  return {own_begin_[name.value - entries_.base_size()], entry.length};
}

NameId Names::find_own(std::string_view spelling, u64 hash) const {
  if (own_slots_.empty()) return {};
  const u64 mask = own_slots_.size() - 1;
  for (u64 at = hash & mask; own_slots_[at] != 0; at = (at + 1) & mask) {
    const NameId name{own_slots_[at] - 1};
    if (entries_[name.value].hash == hash && text(name) == spelling) return name;
  }
  return {};
}

NameId Names::find(std::string_view spelling) const {
  const u64 hash = hash_bytes(spelling);
  if (!base_slots_.empty()) {
    const u64 mask = base_slots_.size() - 1;
    for (u64 at = hash & mask; base_slots_[at] != 0; at = (at + 1) & mask) {
      const NameId name{base_slots_[at] - 1};
      if (entries_[name.value].hash == hash && text(name) == spelling) return name;
    }
  }
  return find_own(spelling, hash);
}

void Names::grow() {
  const std::size_t size = std::max<std::size_t>(64, own_slots_.size() * 2);
  own_slots_.assign(size, 0);
  for (u32 at = entries_.base_size(); at < entries_.size(); ++at) {
    u64 slot = entries_[at].hash & (size - 1);
    while (own_slots_[slot] != 0) slot = (slot + 1) & (size - 1);
    own_slots_[slot] = at + 1;
  }
}

NameId Names::intern(std::string_view spelling) {
  if (const NameId known = find(spelling); known.given()) return known;
  if ((own_count_ + 1) * 2 > own_slots_.size()) grow();
  if (blocks_.empty() || blocks_.back().capacity() - blocks_.back().size() < spelling.size()) {
    blocks_.emplace_back();
    blocks_.back().reserve(std::max(block_size, spelling.size()));
  }
  auto& block = blocks_.back();
  const char* const begin = block.data() + block.size();
  block.insert(block.end(), spelling.begin(), spelling.end());
  const u64 hash = hash_bytes(spelling);
  const u32 number = entries_.push({0, static_cast<u32>(spelling.size()), hash});
  own_begin_.push_back(begin);
  ++own_count_;
  const u64 mask = own_slots_.size() - 1;
  u64 at = hash & mask;
  while (own_slots_[at] != 0) at = (at + 1) & mask;
  own_slots_[at] = number + 1;
  return NameId{number};
}

std::string Names::all_text() const {
  std::string all;
  for (u32 at = 0; at < entries_.size(); ++at) all += text(NameId{at});
  return all;
}

std::vector<u32> Names::slots() const {
  std::size_t size = 64;
  while (size < entries_.size() * 2u) size *= 2;
  std::vector<u32> slots(size, 0);
  for (u32 at = 0; at < entries_.size(); ++at) {
    u64 slot = entries_[at].hash & (size - 1);
    while (slots[slot] != 0) slot = (slot + 1) & (size - 1);
    slots[slot] = at + 1;
  }
  return slots;
}
}  // namespace dripleg::base
