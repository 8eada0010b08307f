// Tokens found by hand: each function looks at the bytes from `p` to `end` and gives where the token
// ends, or nullptr. They know nothing of the tree; a blank is a space, a tab or a carriage return.
#pragma once
#include "base/ids.hpp"
#include "syntax/words.hpp"

#include <array>
#include <string_view>

namespace dripleg::syntax {
namespace scan_detail {
constexpr u8 letter = 1, digit = 2, blank = 4, space = 8;
constexpr std::array<u8, 256> make_classes() {
  std::array<u8, 256> classes{};
  for (int c = 'a'; c <= 'z'; ++c) classes[static_cast<std::size_t>(c)] = letter;
  for (int c = 'A'; c <= 'Z'; ++c) classes[static_cast<std::size_t>(c)] = letter;
  for (int c = '0'; c <= '9'; ++c) classes[static_cast<std::size_t>(c)] = digit;
  classes['_'] = letter;
  classes[' '] = classes['\t'] = classes['\r'] = blank | space;
  classes['\n'] = space;
  return classes;
}
inline constexpr std::array<u8, 256> classes = make_classes();
}  // namespace scan_detail

inline u8 class_of(char c) { return scan_detail::classes[static_cast<unsigned char>(c)]; }
inline bool is_letter(char c) { return class_of(c) & scan_detail::letter; }
inline bool is_digit(char c) { return class_of(c) & scan_detail::digit; }
inline bool is_word_char(char c) { return class_of(c) & (scan_detail::letter | scan_detail::digit); }
inline bool is_blank(char c) { return class_of(c) & scan_detail::blank; }
inline bool is_space(char c) { return class_of(c) & scan_detail::space; }

inline const char* skip_blanks(const char* p, const char* end) {
  while (p != end && is_blank(*p)) ++p;
  return p;
}
inline const char* skip_to_line_end(const char* p, const char* end) {
  const void* found = p == end ? nullptr : std::memchr(p, '\n', static_cast<std::size_t>(end - p));
  return found ? static_cast<const char*>(found) : end;
}
// Blanks, line ends and comments.
inline const char* skip_space(const char* p, const char* end) {
  for (;;) {
    while (p != end && is_space(*p)) ++p;
    if (p == end || *p != '#') return p;
    p = skip_to_line_end(p, end);
  }
}
inline const char* scan_word(const char* p, const char* end) {
  if (p == end || !is_letter(*p)) return nullptr;
  do ++p;
  while (p != end && is_word_char(*p));
  return p;
}
inline const char* scan_digits(const char* p, const char* end) {
  if (p == end || !is_digit(*p)) return nullptr;
  do ++p;
  while (p != end && is_digit(*p));
  return p;
}
// The letters of units beside the plain ones (micro, degree, square, cube): two bytes each.
inline bool is_unit_sign(const char* p, const char* end) {
  if (end - p < 2 || static_cast<unsigned char>(*p) != 0xC2) return false;
  const auto second = static_cast<unsigned char>(p[1]);
  return second == 0xB5 || second == 0xB0 || second == 0xB2 || second == 0xB3;
}
const char* scan_unit(const char* p, const char* end);
const char* scan_date(const char* p, const char* end);
const char* scan_clock(const char* p, const char* end);
const char* scan_number(const char* p, const char* end);
// A date, a clock time, a number or `?` with its unit. `p` stands at a digit, `-` or `?`.
const char* scan_measure(const char* p, const char* end);
// `"` to `"`; gives the end of the line, and `closed` false, when the closing one is missing.
const char* scan_text(const char* p, const char* end, bool& closed);
// A balanced stretch from an opening bracket on: just behind its closing one, or `end`.
const char* skip_bracketed(const char* p, const char* end);
}  // namespace dripleg::syntax
