// The type of a formula while it is checked: what it is, and for a quantity its exponents, whether it is
// a level or a share, and whether it still is a literal that is read by what it meets (R6).
#pragma once
#include "meaning/program.hpp"

namespace dripleg::meaning {
struct Etype {
  Type type;
  quantities::Vector vector{};
  quantities::Level level = quantities::Level::no;
  bool share = false;
  bool failed = false;            // already spoken of: stay silent
  ExprId literal;                 // the constant that may be read anew
  base::Span literal_text{};      // its spelling in the file
  bool bare = false;              // a number without a unit
  bool zero = false;              // a bare 0
  double bare_value = 0;
  bool pure_literal = false;      // the literal alone, not times something
  bool keyed = false;             // a field that wants its key in [ ] next

  bool quantity() const { return type.kind == TypeKind::quantity; }
};
inline Etype failed_type() {
  Etype type;
  type.failed = true;
  return type;
}
}  // namespace dripleg::meaning
