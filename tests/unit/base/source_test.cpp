#include "base/source.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::base;

TEST_CASE("lines and columns count characters, editors count UTF-16") {
  Sources sources;
  const FileId file = sources.add("a.drip", "first\nx ½ 😀 y\r\n\nlast");
  const Source& source = sources[file];
  CHECK(source.path() == "a.drip");
  CHECK(source.line_count() == 4);
  CHECK(source.line_column(0).line == 1);
  CHECK(source.line_column(0).column == 1);
  CHECK(source.line_column(5).column == 6);          // the line end belongs to its line
  const u32 y = static_cast<u32>(source.text().find('y'));
  CHECK(source.line_column(y).line == 2);
  CHECK(source.line_column(y).column == 7);
  CHECK(source.utf16_column(y) == 7);                // from 0, and the last sign but one counts twice
  CHECK(source.text(source.line_span(2)) == "x ½ 😀 y");
  CHECK(source.text(source.line_span(3)) == "");
  CHECK(source.text(source.line_span(4)) == "last");
  CHECK(source.line_column(static_cast<u32>(source.text().size())).line == 4);
}

TEST_CASE("an empty file has one line") {
  Sources sources;
  const Source& source = sources[sources.add("", "")];
  CHECK(source.line_count() == 1);
  CHECK(source.line_column(0).line == 1);
  CHECK(source.line_span(1) == Span{0, 0});
}

TEST_CASE("borrowed text is not copied") {
  static constexpr std::string_view text = "a b c";
  Sources sources;
  const FileId file = sources.borrow("b.drip", text);
  CHECK(sources[file].text().data() == text.data());
  CHECK(sources.text({file, {2, 3}}) == "b");
  CHECK(sources.size() == 1);
}
