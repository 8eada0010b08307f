// Where something stands: a half-open stretch of bytes in one file. Lines and columns are made
// only at the edge, by the file's own line table.
#pragma once
#include "base/ids.hpp"

namespace dripleg::base {
struct Span {
  u32 begin = 0;
  u32 end = 0;
  constexpr u32 size() const { return end - begin; }
  friend constexpr bool operator==(Span, Span) = default;
};

struct Place {
  FileId file;
  Span span;
  constexpr bool given() const { return file.given(); }
  friend constexpr bool operator==(Place, Place) = default;
};
}  // namespace dripleg::base
