// Whether two readings say the same. Private to this folder.
#pragma once
#include "base/source.hpp"
#include "syntax/tree.hpp"

namespace dripleg::tidy {
// The same nodes in the same shape, leaves with the same text, and the same comments in order, blanks at their ends apart.
bool say_the_same(const base::Source& a, const syntax::Tree& tree_a, const base::Source& b, const syntax::Tree& tree_b);
}  // namespace dripleg::tidy
