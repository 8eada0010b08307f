// Short integer names and typed indices. An index is a bare 32-bit number with a tag, so that a name
// can never be used where a file is meant; the largest number stands for "none".
#pragma once
#include <cstdint>
#include <functional>

namespace dripleg {
using u8 = std::uint8_t;
using u16 = std::uint16_t;
using u32 = std::uint32_t;
using u64 = std::uint64_t;
using i8 = std::int8_t;
using i32 = std::int32_t;
using i64 = std::int64_t;

template <class Tag>
struct Id {
  u32 value = 0xFFFFFFFFu;
  constexpr bool given() const { return value != 0xFFFFFFFFu; }
  constexpr explicit operator bool() const { return given(); }
  friend constexpr bool operator==(Id, Id) = default;
  friend constexpr auto operator<=>(Id, Id) = default;
};

using FileId = Id<struct FileTag>;
using NameId = Id<struct NameTag>;   // an interned spelling
}  // namespace dripleg

template <class Tag>
struct std::hash<dripleg::Id<Tag>> {
  std::size_t operator()(dripleg::Id<Tag> id) const noexcept { return id.value * 0x9E3779B1u; }
};
