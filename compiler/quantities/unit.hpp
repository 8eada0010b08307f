// Units and unit expressions. A unit's factor to the base units is an exact fraction where that fits;
// the double beside it is the nearest one. Level units have a zero besides: base = number * step + zero.
#pragma once
#include "quantities/dimension.hpp"
#include "quantities/rational.hpp"

namespace dripleg::quantities {
// What texts like `span/(beat*turn^2)` mean. Plain data, copied freely.
struct UnitExpression {
  Vector vector;
  UnitId level;             // given: the text is one level unit alone, and numbers are readings on it
  Rational exact{1, 0, 1, 0};   // meaningful if is_exact
  Rational exact_zero;
  double factor = 1;        // base = number * factor + zero
  double zero = 0;          // only of level units
  bool is_exact = true;
  bool softened = false;    // a level unit stands inside for its difference

  bool is_level() const { return level.given(); }
};

struct Unit {
  NameId name;
  NameId prints;            // how it is written on paper; none: as its name
  NameId step;              // of a level unit: the text of its step's unit, for differences
  DimensionId dimension;    // the one declared, or the one that its definition comes to
  UnitExpression measure;
};

// `reads WORD as NUMBER UNIT`: inside this dimension WORD means that.
struct Reads {
  NameId word;
  UnitId unit;              // that the word is outside; its aliases are read alike
  u32 expression = 0;       // in the catalogue's expressions
  u32 before = 0;           // 1 + index of the entry declared before it for the same dimension
};

// `shown UNIT from LEAST`: how values of a dimension are printed.
struct Shown {
  NameId spelling;          // of the unit, as written there
  NameId prints;            // none: composed from the units' own
  u32 expression = 0;
  u32 before = 0;
  double from = 0;          // in base units; the last entry whose `from` the value's size reaches
  bool si = false;
};
}  // namespace dripleg::quantities
