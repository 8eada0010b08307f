// The rules of text as notices of a file, and what the parser does with such a file.
#include "reading.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::syntax;
using namespace dripleg::syntax::testing;
using notices::Code;

namespace {
void check_one(std::string text, Code code, u32 begin, std::string_view headline) {
  const Parsed parsed = parse_text(std::move(text));
  REQUIRE(parsed.notices.size() == 1);
  const auto& notice = parsed.notices.all().front();
  CHECK(notices::text_of(notice.code) == notices::text_of(code));
  CHECK(notice.place.span.begin == begin);
  CHECK(notice.headline == headline);
  CHECK(why_lossy(parsed.text(), parsed.tree) == "");
}
}  // namespace

TEST_CASE("one notice for each sort of offence") {
  check_one(std::string("# a\0b\n", 6), Code::text_control, 3, "a zero byte");
  check_one("zone B1 # \xE2\x80\xAE x", Code::text_hidden, 10, "a character that turns the direction of writing: U+202E");
  check_one("# note\rzone b { x 3 ft }", Code::text_line_end, 6, "a carriage return that ends no line: U+000D");
  check_one("# note \xE2\x80\xA8 zone", Code::text_line_end, 7, "a line separator; lines end with a line feed: U+2028");
  check_one("zone \"a\xC0\xAF\"", Code::text_invalid, 7, "a character written with too many bytes; files are UTF-8");
  const Parsed three = parse_text("zone \"\xC0\xAF \xED\xA0\x80 \xF4\x90\x80\x80\"\nzone b { x 3 ft }");
  CHECK(three.notices.size() == 3);
  CHECK(three.count(Kind::block) == 1);
}

TEST_CASE("a text that is not closed costs its line only") {
  std::string text = "zone a { x 1 ft }\nzone b { x 1 ft }\nname \"abc\n";
  for (int line = 4; line <= 1000; ++line) text += "zone c { x 1 ft }\n";
  const Parsed parsed = parse_text(text);
  CHECK(parsed.notices.size() == 1);
  CHECK(parsed.count(Kind::block) == 999);
}

TEST_CASE("files without anything") {
  for (const char* text : {"", "\n", "  # nothing\n", "\xEF\xBB\xBF", "\r\n\r\n"}) {
    const Parsed parsed = parse_text(text);
    CHECK(parsed.notices.size() == 0);
    CHECK(parsed.tree.nodes.size() == 1);
    CHECK(parsed.tree.kind(parsed.tree.root()) == Kind::file);
  }
}
