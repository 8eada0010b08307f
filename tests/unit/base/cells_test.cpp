#include "base/cells.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using base::CellLine;
using base::CellReader;

namespace {
// `a|b;c|d`: cells and lines; a line that is blank or has an open quote says so.
std::string read(std::string_view text, char sign = ',') {
  CellReader reader(text, sign);
  CellLine line;
  std::string all;
  while (reader.next(line)) {
    all += std::to_string(line.number) + ":";
    if (line.blank) all += "blank";
    for (std::size_t at = 0; at < line.cells.size(); ++at) all += (at == 0 ? "" : "|") + line.cells[at].text;
    if (line.open_quote) all += "!";
    all += ';';
  }
  return all;
}
}  // namespace

TEST_CASE("cells: lines, blanks around them, and either line end") {
  CHECK(read("") == "");
  CHECK(read("a,b\n1,2\n") == "1:a|b;2:1|2;");
  CHECK(read("a, b \r\n1,\t2") == "1:a|b;2:1|2;");
  CHECK(read("\xEF\xBB\xBFx\ny") == "1:x;2:y;");
  CHECK(read("a,,b,\n,\n") == "1:a||b|;2:|;");
  CHECK(read("a\n\n   \r\nb") == "1:a;2:blank;3:blank;4:b;");
}

TEST_CASE("cells: other signs") {
  CHECK(read("a;1,5\n", ';') == "1:a|1,5;");
  CHECK(read("a\t\tb\n", '\t') == "1:a||b;");
}

TEST_CASE("cells: quotes") {
  CHECK(read("\"a,b\",c") == "1:a,b|c;");
  CHECK(read("\"say \"\"so\"\"\" , 2") == "1:say \"so\"|2;");
  CHECK(read("\"\",1") == "1:|1;");
  CHECK(read("\"open,1\n2,3") == "1:open,1!;2:2|3;");
  CHECK(read("\"a\"b,1") == "1:\"a\"b|1!;");
}

TEST_CASE("cells: a place for each") {
  const std::string_view text = "x , \"y\"\n";
  CellReader reader(text, ',');
  CellLine line;
  REQUIRE(reader.next(line));
  REQUIRE(line.cells.size() == 2);
  CHECK(text.substr(line.cells[0].span.begin, line.cells[0].span.size()) == "x");
  CHECK(text.substr(line.cells[1].span.begin, line.cells[1].span.size()) == "\"y\"");
  CHECK_FALSE(reader.skip());
}
