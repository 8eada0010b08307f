// Text in, lossless tree and notices out. Never fails: what is missing is recorded as a notice at the
// end of what precedes it, what does not belong is kept as junk, and the rest of the file is read.
#pragma once
#include "base/source.hpp"
#include "notices/notice.hpp"
#include "syntax/tree.hpp"

namespace dripleg::syntax {
// Checks the text rules first (UTF-8, forbidden characters, lone carriage returns, lengths), then parses.
Tree parse(const base::Sources& sources, FileId file, notices::Notices& notices);

// The text rules alone, for a file that is not in our language.
void check_text(const base::Sources& sources, FileId file, notices::Notices& notices);

// A formula standing alone inside a text (`{a.b as UNIT}`): the stretch is parsed with the file's own
// offsets. The tree's root is the formula, or a Kind::junk leaf if it is none.
Tree parse_formula(const base::Sources& sources, base::Place stretch, notices::Notices& notices);
}  // namespace dripleg::syntax
