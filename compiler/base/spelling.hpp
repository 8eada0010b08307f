// "Did you mean": the nearest known spellings of a word, nearest first, ties in order of the alphabet.
#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace dripleg::base {
// Edit distance in which two neighbours swapped count as one slip; stops counting above `most`.
unsigned spelling_distance(std::string_view a, std::string_view b, unsigned most);

// At most three, within two slips (one up to four letters).
std::vector<std::string> near_spellings(std::string_view word, const std::vector<std::string_view>& known);
}  // namespace dripleg::base
