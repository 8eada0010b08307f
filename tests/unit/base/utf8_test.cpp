#include "base/utf8.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::base;

namespace {
std::vector<TextFault> faults(std::string_view text) {
  std::vector<TextFault> found;
  for (const TextOffence& offence : check_text(text)) found.push_back(offence.fault);
  return found;
}
using Faults = std::vector<TextFault>;
std::string utf8(char32_t character) {
  std::string out;
  append_utf8(out, character);
  return out;
}
}  // namespace

TEST_CASE("every character goes out and comes back") {
  for (char32_t c = 1; c <= 0x10FFFF; ++c) {
    if (c >= 0xD800 && c <= 0xDFFF) continue;
    const std::string bytes = utf8(c);
    const Decoded decoded = decode_utf8(bytes, 0);
    if (decoded.character != c || decoded.length != bytes.size()) FAIL_CHECK(code_point_name(c));
  }
}

TEST_CASE("bytes that are no character") {
  CHECK(faults("a\xC0\xAF") == Faults{TextFault::overlong});
  CHECK(faults("a\xE0\x80\xAF") == Faults{TextFault::overlong});
  CHECK(faults("a\xED\xA0\x80") == Faults{TextFault::surrogate});
  CHECK(faults("a\xF4\x90\x80\x80") == Faults{TextFault::too_large});
  CHECK(faults("a\x80") == Faults{TextFault::stray_byte});
  CHECK(faults("a\xFF") == Faults{TextFault::stray_byte});
  CHECK(faults("a\xC3") == Faults{TextFault::cut_short});
  CHECK(faults("a\xE2\x82z") == Faults{TextFault::cut_short});
  CHECK(decode_utf8("\xC0\xAF", 0).length == 0);
  CHECK(decode_utf8("a", 1).length == 0);
  const auto three = check_text("\"\xC0\xAF \xED\xA0\x80 \xF4\x90\x80\x80\"");
  REQUIRE(three.size() == 3);
  CHECK(three[0].span == Span{1, 3});
  CHECK(three[1].span == Span{4, 7});
  CHECK(three[2].span == Span{8, 12});
}

TEST_CASE("characters that no text may hold") {
  CHECK(faults(std::string_view("a\0b", 3)) == Faults{TextFault::nul});
  CHECK(faults("a\x07") == Faults{TextFault::control});
  CHECK(faults("a\x7F") == Faults{TextFault::control});
  CHECK(faults("a" + utf8(0x85)) == Faults{TextFault::control});
  CHECK(faults("a\rb") == Faults{TextFault::lone_return});
  CHECK(faults("a\r") == Faults{TextFault::lone_return});
  CHECK(faults("a" + utf8(0x2028)) == Faults{TextFault::line_separator});
  CHECK(faults("a" + utf8(0x202E)) == Faults{TextFault::direction});
  CHECK(faults("a" + utf8(0x2066)) == Faults{TextFault::direction});
  CHECK(faults("a" + utf8(0x200B)) == Faults{TextFault::invisible});
  CHECK(faults("a" + utf8(0xFEFF)) == Faults{TextFault::invisible});
  CHECK(faults("a" + utf8(0xFFFE)) == Faults{TextFault::no_character});
  CHECK(faults("a" + utf8(0x1FFFF)) == Faults{TextFault::no_character});
  CHECK(faults("a" + utf8(0xFDD0)) == Faults{TextFault::no_character});
  CHECK(faults("a" + utf8(0xE0041)) == Faults{TextFault::tag});
}

TEST_CASE("the first offence of each sort, in order of place") {
  const auto found = check_text("abcdefgh\x01 \x02" + utf8(0x202E) + "\x03" + utf8(0x202D));
  REQUIRE(found.size() == 2);
  CHECK(found[0].span == Span{8, 9});
  CHECK(found[0].character == 1);
  CHECK(found[1].span == Span{11, 14});
  CHECK(code_point_name(found[1].character) == "U+202E");
}

TEST_CASE("texts without offence") {
  CHECK(check_text("").empty());
  CHECK(check_text("a\tb\r\nc 70 °F, ½, “x”, 汉, 😀\n").empty());
  CHECK(check_text("\xEF\xBB\xBF" "a").empty());
  CHECK(begin_of_text("\xEF\xBB\xBF" "a") == 3);
  CHECK(begin_of_text("a") == 0);
  for (std::size_t length = 0; length < 40; ++length) {   // the fast path has no seam
    std::string text(length, 'x');
    CHECK(check_text(text).empty());
    for (std::size_t at = 0; at < length; ++at)
      for (const char wrong : {'\x01', '\x1F', '\x7F', '\x80', '\xFF'}) {
        text[at] = wrong;
        const auto found = check_text(text);
        REQUIRE(found.size() == 1);
        CHECK(found[0].span.begin == at);
        text[at] = 'x';
      }
  }
}

TEST_CASE("names of characters") {
  CHECK(code_point_name(0x412) == "U+0412");
  CHECK(code_point_name(0x41) == "U+0041");
  CHECK(code_point_name(0x1F600) == "U+1F600");
}
