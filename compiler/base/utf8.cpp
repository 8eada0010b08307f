#include "base/utf8.hpp"

#include <algorithm>
#include <array>
#include <cstring>
#include <optional>

namespace dripleg::base {
namespace {
struct Step {
  Decoded decoded;
  std::optional<TextFault> fault;
  u32 bytes = 1;   // to go on by when it is no character
};

u8 byte_at(std::string_view text, u32 offset) { return static_cast<u8>(text[offset]); }

Step step_at(std::string_view text, u32 offset) {
  const u8 first = byte_at(text, offset);
  if (first < 0x80) return {{first, 1}, {}, 1};
  if (first < 0xC0) return {{}, TextFault::stray_byte, 1};
  if (first >= 0xF8) return {{}, TextFault::stray_byte, 1};
  const u32 length = first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
  char32_t character = first & (0xFFu >> (length + 1));
  for (u32 at = 1; at < length; ++at) {
    if (offset + at >= text.size() || (byte_at(text, offset + at) & 0xC0) != 0x80)
      return {{}, TextFault::cut_short, at};
    character = (character << 6) | (byte_at(text, offset + at) & 0x3F);
  }
  static constexpr std::array<char32_t, 5> least{0, 0, 0x80, 0x800, 0x10000};
  if (character < least[length]) return {{}, TextFault::overlong, length};
  if (character >= 0xD800 && character <= 0xDFFF) return {{}, TextFault::surrogate, length};
  if (character > 0x10FFFF) return {{}, TextFault::too_large, length};
  return {{character, length}, {}, length};
}

bool within(char32_t c, char32_t low, char32_t high) { return c >= low && c <= high; }

std::optional<TextFault> fault_of(char32_t c) {
  if (c == 0) return TextFault::nul;
  if (c < 0x20 && c != '\t' && c != '\n' && c != '\r') return TextFault::control;
  if (within(c, 0x7F, 0x9F)) return TextFault::control;
  if (c < 0x200B) return {};
  if (c == 0x2028 || c == 0x2029) return TextFault::line_separator;
  if (within(c, 0x200E, 0x200F) || within(c, 0x202A, 0x202E) || within(c, 0x2066, 0x2069)) return TextFault::direction;
  if (within(c, 0x200B, 0x200D) || within(c, 0x2060, 0x2065) || c == 0xFEFF || within(c, 0xFFF9, 0xFFFB))
    return TextFault::invisible;
  if (within(c, 0xFDD0, 0xFDEF) || (c & 0xFFFE) == 0xFFFE) return TextFault::no_character;
  if (within(c, 0xE0000, 0xE007F)) return TextFault::tag;
  return {};
}

// Eight plain bytes at once: none above 0x7E, none below a blank.
bool eight_plain(const char* p) {
  u64 word = 0;
  std::memcpy(&word, p, 8);
  constexpr u64 ones = 0x0101010101010101ull;
  const u64 below = (word - ones * 0x20) & ~word;
  const u64 above = (word + ones) | word;
  return ((below | above) & (ones * 0x80)) == 0;
}
}  // namespace

Decoded decode_utf8(std::string_view text, u32 offset) {
  if (offset >= text.size()) return {};
  return step_at(text, offset).decoded;
}

void append_utf8(std::string& out, char32_t c) {
  const auto put = [&out](char32_t byte) { out.push_back(static_cast<char>(byte)); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | (c >> 6));
    put(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    put(0xE0 | (c >> 12));
    put(0x80 | ((c >> 6) & 0x3F));
    put(0x80 | (c & 0x3F));
  } else {
    put(0xF0 | (c >> 18));
    put(0x80 | ((c >> 12) & 0x3F));
    put(0x80 | ((c >> 6) & 0x3F));
    put(0x80 | (c & 0x3F));
  }
}

namespace {
std::string hexadecimal(u32 value, std::size_t digits) {
  std::string out;
  do {
    out.push_back("0123456789ABCDEF"[value & 15]);
    value >>= 4;
  } while (value != 0 || out.size() < digits);
  std::reverse(out.begin(), out.end());
  return out;
}
}  // namespace

std::string code_point_name(char32_t character) { return "U+" + hexadecimal(static_cast<u32>(character), 4); }

u32 begin_of_text(std::string_view text) { return text.starts_with("\xEF\xBB\xBF") ? 3 : 0; }

std::vector<TextOffence> check_text(std::string_view text) {
  std::vector<TextOffence> found;
  std::array<bool, static_cast<std::size_t>(TextFault::count)> seen{};
  const auto note = [&](TextFault fault, Span span, char32_t character) {
    bool& before = seen[static_cast<std::size_t>(fault)];
    if (!before) found.push_back({fault, span, character});
    before = true;
  };
  const auto size = static_cast<u32>(text.size());
  u32 at = begin_of_text(text);
  while (at < size) {
    if (size - at >= 8 && eight_plain(text.data() + at)) {
      at += 8;
      continue;
    }
    const u8 byte = byte_at(text, at);
    if (byte == '\n' || byte == '\t' || (byte >= 0x20 && byte < 0x7F)) {
      ++at;
      continue;
    }
    if (byte == '\r') {
      if (at + 1 == size || text[at + 1] != '\n') note(TextFault::lone_return, {at, at + 1}, '\r');
      ++at;
      continue;
    }
    const Step step = step_at(text, at);
    if (step.fault) note(*step.fault, {at, at + step.bytes}, 0);
    else if (const auto fault = fault_of(step.decoded.character))
      note(*fault, {at, at + step.bytes}, step.decoded.character);
    at += step.bytes;
  }
  return found;
}

}  // namespace dripleg::base
