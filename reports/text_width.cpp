#include "reports/text_width.hpp"

#include "reports/unicode.hpp"

namespace dripleg::reports {
namespace {
// Advance widths of U+0020 .. U+007E in hundredths of an em, of a wide sans-serif face.
constexpr unsigned char widths[95] = {
    32, 40, 46, 84, 64, 95, 78, 27, 39, 39, 50, 84, 32, 36, 32, 34, 64, 64, 64,  64, 64, 64, 64, 64,
    64, 64, 34, 34, 84, 84, 84, 53, 100, 68, 69, 70, 77, 63, 58, 77, 75, 29, 29, 66, 56, 86, 75, 79,
    60, 79, 69, 63, 61, 73, 68, 99, 69, 61, 69, 39, 34, 39, 84, 50, 50, 61, 63, 55, 63, 62, 35, 63,
    63, 28, 28, 58, 28, 97, 63, 61, 63, 63, 41, 52, 39, 63, 59, 82, 59, 59, 52, 64, 34, 64, 84};
constexpr double other_letter = 0.66;
constexpr double other_sign = 1.0;

double em(char32_t value) {
  if (value >= 0x20 && value <= 0x7E) return widths[value - 0x20] / 100.0;
  if (is_combining(value)) return 0;
  if (value == 0xB0) return 0.5;
  if (value == 0xB7) return 0.32;
  return value < 0x2000 ? other_letter : other_sign;
}
}  // namespace

std::size_t columns(std::string_view text) {
  std::size_t count = 0;
  for (std::size_t at = 0; at < text.size();) {
    const Character c = read_character(text, at);
    at += c.bytes;
    if (!is_combining(c.value)) ++count;
  }
  return count;
}

double text_width(std::string_view text, double size) {
  double width = 0;
  for (std::size_t at = 0; at < text.size();) {
    const Character c = read_character(text, at);
    at += c.bytes;
    width += em(c.value);
  }
  return width * size;
}

std::string fitted(std::string_view text, double size, double width) {
  if (text_width(text, size) <= width) return std::string(text);
  const double room = width - em(U'…') * size;
  double used = 0;
  std::size_t at = 0;
  while (at < text.size()) {
    const Character c = read_character(text, at);
    if (used + em(c.value) * size > room) break;
    used += em(c.value) * size;
    at += c.bytes;
  }
  return std::string(text.substr(0, at)) + "…";
}
}  // namespace dripleg::reports
