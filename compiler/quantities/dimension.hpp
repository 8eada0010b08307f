// A dimension: the name that the library gives to a kind of quantity. It is known by whole powers of
// the bases that the library declares (at most twelve), some of which are "apart": they keep quantities
// of the same measure from being mixed. Bases are numbered in the order of their declaration.
#pragma once
#include "base/ids.hpp"

#include <array>
#include <optional>
#include <string_view>

namespace dripleg::quantities {
using DimensionId = Id<struct DimensionTag>;
using UnitId = Id<struct UnitTag>;

inline constexpr u32 most_bases = 12;
inline constexpr int most_power = 99;

struct Vector {
  std::array<i8, most_bases> power{};
  bool plain() const { return *this == Vector{}; }   // of a number
  friend bool operator==(const Vector&, const Vector&) = default;
};
// None: a power beyond most_power.
std::optional<Vector> product(const Vector& a, const Vector& b);
std::optional<Vector> quotient(const Vector& a, const Vector& b);
std::optional<Vector> power(const Vector& a, int exponent);
// None: some power is not a multiple of `degree`.
std::optional<Vector> root(const Vector& a, int degree);

enum class Level : u8 {
  no,          // a size: doubles when doubled
  level,       // a reading on a scale: readings have differences, not sums
  true_zero,   // a reading from a true zero: may stand in products too
};

// What the words in a dimension's block say.
struct Traits {
  Level level = Level::no;
  bool apart = false;
  bool share = false;   // part of a whole, 0 to 1
  bool angle = false;   // what sines take; there is one such dimension
};
// Takes one of `level`, `true_zero`, `apart`, `share`, `angle`; false for any other word.
bool add_trait(Traits& traits, std::string_view word);

struct Dimension {
  NameId name;              // none: came up in a formula and has no name
  DimensionId parent;       // `is`
  Vector vector;
  Level level = Level::no;
  bool apart = false;       // declared so itself
  bool share = false;
  bool angle = false;
  u32 reads = 0;            // 1 + index of the newest of its entries in the catalogue's reads; see Reads::before
  u32 shown = 0;            // the same for Shown
  u32 first_named = 0, named = 0;   // dimensions that its formula names
};
}  // namespace dripleg::quantities
