#include "reports/unicode.hpp"

namespace dripleg::reports {
namespace {
struct Range {
  char32_t first;
  char32_t last;
};

constexpr Range forbidden[] = {
    {0x0000, 0x001F}, {0x007F, 0x009F}, {0x200B, 0x200F},   {0x2028, 0x202E}, {0x2060, 0x2064},
    {0x2066, 0x2069}, {0xFDD0, 0xFDEF}, {0xFE00, 0xFE0F},   {0xFEFF, 0xFEFF}, {0xFFF9, 0xFFFB},
    {0xE0000, 0xE007F}, {0xE0100, 0xE01EF},
};

constexpr Range combining[] = {
    {0x0300, 0x036F}, {0x0483, 0x0489}, {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF}, {0x20D0, 0x20FF}, {0xFE20, 0xFE2F},
};

unsigned byte_at(std::string_view text, std::size_t at) {
  return at < text.size() ? static_cast<unsigned char>(text[at]) : 0U;
}

bool is_tail(unsigned byte) { return (byte & 0xC0U) == 0x80U; }
}  // namespace

Character read_character(std::string_view text, std::size_t at) {
  if (at >= text.size()) return {};
  const unsigned first = byte_at(text, at);
  if (first < 0x80) return {first, 1, false};
  const Character broken{0xFFFD, 1, true};
  std::size_t bytes = 0;
  char32_t value = 0;
  char32_t least = 0;
  if ((first & 0xE0U) == 0xC0U) {
    bytes = 2, value = first & 0x1FU, least = 0x80;
  } else if ((first & 0xF0U) == 0xE0U) {
    bytes = 3, value = first & 0x0FU, least = 0x800;
  } else if ((first & 0xF8U) == 0xF0U) {
    bytes = 4, value = first & 0x07U, least = 0x10000;
  } else {
    return broken;
  }
  for (std::size_t i = 1; i < bytes; ++i) {
    const unsigned tail = byte_at(text, at + i);
    if (!is_tail(tail)) return broken;
    value = (value << 6) | (tail & 0x3FU);
  }
  const bool surrogate = value >= 0xD800 && value <= 0xDFFF;
  if (value < least || value > 0x10FFFF || surrogate) return broken;
  return {value, bytes, false};
}

void append_utf8(std::string& out, char32_t value) {
  const auto push = [&](char32_t byte) { out.push_back(static_cast<char>(static_cast<unsigned char>(byte))); };
  if (value < 0x80) {
    push(value);
  } else if (value < 0x800) {
    push(0xC0 | (value >> 6));
    push(0x80 | (value & 0x3F));
  } else if (value < 0x10000) {
    push(0xE0 | (value >> 12));
    push(0x80 | ((value >> 6) & 0x3F));
    push(0x80 | (value & 0x3F));
  } else {
    push(0xF0 | (value >> 18));
    push(0x80 | ((value >> 12) & 0x3F));
    push(0x80 | ((value >> 6) & 0x3F));
    push(0x80 | (value & 0x3F));
  }
}

bool is_forbidden(char32_t value) {
  if ((value & 0xFFFE) == 0xFFFE) return true;
  for (const Range& range : forbidden) {
    if (value >= range.first && value <= range.last) return true;
  }
  return false;
}

bool is_combining(char32_t value) {
  for (const Range& range : combining) {
    if (value >= range.first && value <= range.last) return true;
  }
  return false;
}
}  // namespace dripleg::reports
