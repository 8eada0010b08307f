// The bounds of limits.def as constants and as a list. They are the same for every run: no file, no
// environment and no machine changes them.
#pragma once
#include "base/ids.hpp"

#include <array>
#include <string_view>

namespace dripleg::base {
namespace limits {
#define LIMIT(id, value, counted, about) inline constexpr u64 id = (value);
#include "base/limits.def"
#undef LIMIT
}  // namespace limits

struct LimitEntry {
  std::string_view name;
  u64 value;
  std::string_view counted;   // the unit: "bytes"
  std::string_view about;     // what is bounded: "one file"
};
inline constexpr auto all_limits = std::to_array<LimitEntry>({
#define LIMIT(id, value, counted, about) {#id, (value), counted, about},
#include "base/limits.def"
#undef LIMIT
});
}  // namespace dripleg::base
