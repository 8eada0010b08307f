#include "base/printable.hpp"

#include <doctest/doctest.h>

using namespace dripleg;

TEST_CASE("printable leaves ordinary text alone") {
  CHECK(base::printable("plain words, 7 µm², 20 °F") == "plain words, 7 µm², 20 °F");
  CHECK(base::is_printable("plain words, 7 µm², 20 °F"));
  CHECK(base::printable("") == "");
}

TEST_CASE("printable spells what moves a cursor") {
  CHECK(base::printable("a\x1b]52;c;x\x07") == "a\\x1b]52;c;x\\x07");
  CHECK(base::printable("a\r0 breaks") == "a\\x0d0 breaks");
  CHECK(base::printable("a\nb\tc") == "a\\x0ab\\x09c");
  CHECK(base::printable("\x7f") == "\\x7f");
  CHECK(base::printable("\xC2\x85") == "\\u{0085}");
  CHECK_FALSE(base::is_printable("a\nb"));
}

TEST_CASE("printable spells what turns the direction of writing or hides") {
  CHECK(base::printable("a\u202eb") == "a\\u{202e}b");
  CHECK(base::printable("a\u200bb") == "a\\u{200b}b");
  CHECK(base::printable("\ufeff") == "\\u{feff}");
  CHECK(base::printable("\u2028") == "\\u{2028}");
  CHECK(base::printable("\U000E0041") == "\\u{e0041}");
  CHECK(base::printable("\uFFFF") == "\\u{ffff}");
}

TEST_CASE("printable spells bytes that are no text") {
  CHECK(base::printable("\xC0\xAF") == "\\xc0\\xaf");              // too long a form
  CHECK(base::printable("\xED\xA0\x80") == "\\xed\\xa0\\x80");    // half of a pair
  CHECK(base::printable("\xF4\x90\x80\x80") == "\\xf4\\x90\\x80\\x80");
  CHECK(base::printable("\xE2\x82") == "\\xe2\\x82");              // cut off
  CHECK(base::printable(std::string_view("a\0b", 3)) == "a\\x00b");
}

TEST_CASE("what was made printable is printable") {
  std::string all;
  for (int c = 0; c < 256; ++c) all += static_cast<char>(c);
  CHECK(base::is_printable(base::printable(all)));
}

TEST_CASE("lines that a log could obey are guarded") {
  CHECK(base::guarded_line("::error::x") == "| ::error::x");
  CHECK(base::guarded_line("  ##vso[x]") == "|   ##vso[x]");
  CHECK(base::guarded_line("a ::error::x") == "a ::error::x");
  CHECK(base::guarded_line("# a comment") == "# a comment");
  CHECK(base::guarded_line("") == "");
}
