// A tree as text, for tests and for curious people: one node a line, indented by its depth, with the
// bytes of a leaf behind its kind.
#pragma once
#include "base/source.hpp"
#include "syntax/tree.hpp"

#include <string>

namespace dripleg::syntax {
std::string dump(const base::Source& source, const Tree& tree);
}  // namespace dripleg::syntax
