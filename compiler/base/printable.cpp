#include "base/printable.hpp"

#include "base/utf8.hpp"

namespace dripleg::base {
namespace {
struct Range { u32 first, last; };
constexpr Range hidden[] = {
    {0x00, 0x1F},     {0x7F, 0x9F},     {0xAD, 0xAD},     {0x61C, 0x61C},   {0x200B, 0x200F},
    {0x2028, 0x202E}, {0x2060, 0x206F}, {0xFE00, 0xFE0F}, {0xFEFF, 0xFEFF}, {0xFFF9, 0xFFFB},
    {0xE0000, 0xE0FFF},
};
bool must_be_spelled(u32 code) {
  if ((code & 0xFFFE) == 0xFFFE || (code >= 0xFDD0 && code <= 0xFDEF)) return true;
  for (const Range& range : hidden)
    if (code >= range.first && code <= range.last) return true;
  return false;
}

void append_hex(std::string& out, u32 value, int least_digits) {
  constexpr char digits[] = "0123456789abcdef";
  int shift = 28;
  while (shift > (least_digits - 1) * 4 && (value >> shift) == 0) shift -= 4;
  for (; shift >= 0; shift -= 4) out += digits[(value >> shift) & 15];
}
}  // namespace

std::string printable(std::string_view raw) {
  std::string out;
  out.reserve(raw.size());
  for (u32 at = 0; at < raw.size();) {
    const Decoded next = decode_utf8(raw, at);
    if (next.length != 0 && !must_be_spelled(next.character)) {
      out += raw.substr(at, next.length);
      at += next.length;
      continue;
    }
    if (next.length <= 1) {
      out += "\\x";
      append_hex(out, static_cast<unsigned char>(raw[at]), 2);
      at += 1;
    } else {
      out += "\\u{";
      append_hex(out, next.character, 4);
      out += '}';
      at += next.length;
    }
  }
  return out;
}

bool is_printable(std::string_view raw) {
  for (u32 at = 0; at < raw.size();) {
    const Decoded next = decode_utf8(raw, at);
    if (next.length == 0 || must_be_spelled(next.character)) return false;
    at += next.length;
  }
  return true;
}

std::string guarded_line(std::string_view line) {
  const std::size_t first = line.find_first_not_of(' ');
  const std::string_view rest = first == std::string_view::npos ? std::string_view{} : line.substr(first);
  const bool command = rest.starts_with("::") || rest.starts_with("##");
  return (command ? "| " : "") + std::string(line);
}
}  // namespace dripleg::base
