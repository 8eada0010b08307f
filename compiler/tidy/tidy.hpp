// A file laid out anew: two blanks a level, columns where neighbours are alike, no blanks at line ends,
// at most one empty line in a row. The result is read again before it is given; whatever is not read as
// the same tree with the same comments is thrown away, and the text comes back as it was.
#pragma once
#include "base/source.hpp"
#include "notices/notice.hpp"
#include "syntax/tree.hpp"

#include <string>

namespace dripleg::tidy {
enum class Outcome : u8 {
  laid_out,     // `text` may equal what was there
  left_alone,   // its mistakes would be read differently, or it would be too long; `text` is what was there
  failed,       // our own fault: a file without mistakes would be read differently; `text` is what was there
};
struct Tidied {
  std::string text;
  Outcome outcome = Outcome::laid_out;
  notices::Notices faults;   // one if it failed
};

// `tree` and `found` are what parsing `source` gave; notices of other files are passed by.
Tidied tidy(const base::Source& source, const syntax::Tree& tree, const notices::Notices& found);
}  // namespace dripleg::tidy
