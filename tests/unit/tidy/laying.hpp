// Helpers of these tests: lay a text out, with what parsing found.
#pragma once
#include "syntax/dump.hpp"
#include "syntax/parser.hpp"
#include "tidy/tidy.hpp"

#include <string>

namespace dripleg::tidy::testing {
struct Laid {
  std::string text, before, after;   // the trees, as `dump` prints them
  Outcome outcome = Outcome::laid_out;
  u32 mistakes = 0;
};
inline std::string dump_of(const std::string& text) {
  base::Sources sources;
  notices::Notices found;
  const FileId file = sources.add("test.drip", text);
  return syntax::dump(sources[file], syntax::parse(sources, file, found));
}
inline Laid lay_out(const std::string& text) {
  base::Sources sources;
  notices::Notices found;
  const FileId file = sources.add("test.drip", text);
  const syntax::Tree tree = syntax::parse(sources, file, found);
  Tidied tidied = tidy(sources[file], tree, found);
  Laid laid{tidied.text, syntax::dump(sources[file], tree), dump_of(tidied.text), tidied.outcome, found.size()};
  return laid;
}
}  // namespace dripleg::tidy::testing
