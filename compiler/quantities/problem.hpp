// What is wrong with a text that was to be read as a number, unit or declaration: ready words, and the
// stretch of that text, for the caller to make a notice at the right place.
#pragma once
#include "base/place.hpp"
#include "notices/notice.hpp"

#include <string>
#include <vector>

namespace dripleg::quantities {
struct Problem {
  notices::Code code{};
  base::Span within;                 // bytes of the text that was handed in
  std::string headline;
  std::vector<std::string> cures;
};
}  // namespace dripleg::quantities
