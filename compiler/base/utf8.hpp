// UTF-8: reading characters, and the rules that every text of a run keeps. The rules are about bytes
// and characters alone; what a text means is not looked at.
#pragma once
#include "base/place.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace dripleg::base {
struct Decoded {
  char32_t character = 0;
  u32 length = 0;      // 0: the bytes are no character
};
// The character at `offset`; strict: no overlong form, no surrogate, nothing above U+10FFFF.
Decoded decode_utf8(std::string_view text, u32 offset);
void append_utf8(std::string& out, char32_t character);
std::string code_point_name(char32_t character);   // U+0412

enum class TextFault : u8 {
  stray_byte,       // a byte that continues or begins nothing
  cut_short,        // a character whose bytes end too early
  overlong,         // written with more bytes than it needs
  surrogate,        // half of a pair of UTF-16
  too_large,        // above U+10FFFF
  nul,
  control,          // C0 but tab and line feed, DEL, C1
  lone_return,      // a carriage return without its line feed
  line_separator,   // U+2028, U+2029
  direction,        // turns the writing direction
  invisible,        // of no width, or a mark inside
  no_character,     // never a character: U+FFFE, U+FDD0 …
  tag,              // the block of tags
  count
};
struct TextOffence {
  TextFault fault;
  Span span;
  char32_t character;   // 0 for invalid bytes
};
// The first offence of each sort, in order of place. A byte order mark at the very begin is none.
std::vector<TextOffence> check_text(std::string_view text);
// Where the text proper begins: 3 behind a byte order mark, else 0.
u32 begin_of_text(std::string_view text);
}  // namespace dripleg::base
