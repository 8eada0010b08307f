// Reading UTF-8 one character at a time, and the two questions that every writer asks of a
// character: may it reach a reader as it is, and does it sit on top of the one before.
// Nothing here depends on a locale; broken bytes read as U+FFFD, one byte each.
#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace dripleg::reports {
struct Character {
  char32_t value = 0;
  std::size_t bytes = 0;   // 0 only at the end of the text
  bool broken = false;     // the bytes were no UTF-8
};

Character read_character(std::string_view text, std::size_t at);
void append_utf8(std::string& out, char32_t value);

// Controls, direction marks, invisible and non-characters: never written as they are.
// Tab and line feed count as forbidden here; callers that allow them look first.
bool is_forbidden(char32_t value);
bool is_combining(char32_t value);
}  // namespace dripleg::reports
