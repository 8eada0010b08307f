// Before and after, one pair a habit of the layout; each result is stable.
#include "laying.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::tidy;
using namespace dripleg::tidy::testing;

namespace {
void becomes(const std::string& before, const std::string& after) {
  const Laid laid = lay_out(before);
  CHECK(laid.mistakes == 0);
  CHECK(laid.outcome == Outcome::laid_out);
  CHECK(laid.text == after);
  CHECK(laid.before == laid.after);
  CHECK(lay_out(after).text == after);
}
}  // namespace

TEST_CASE("pairs: margins") {
  SUBCASE("two blanks a level") {
    becomes("gas {\nsupply s {\n     pressure 2 psi\n      }\n   }\n", "gas {\n  supply s {\n    pressure 2 psi\n  }\n}\n");
  }
  SUBCASE("tabs in the margin") { becomes("gas {\n\tfill 3 psi\n\t}\n", "gas {\n  fill 3 psi\n}\n"); }
  SUBCASE("two blocks opened on one line are one step") {
    becomes("a { b {\nc 1 ft\n} }\n", "a { b {\n  c 1 ft\n} }\n");
  }
  SUBCASE("nothing at the outermost level is set in") { becomes("  use trade\n language 1\n", "use trade\nlanguage 1\n"); }
  SUBCASE("what goes on keeps its place beneath what it stood under") {
    becomes("kind k {\nmay x length\ngives drop length = a(x,\n                      y)\n           + b\n}\n",
            "kind k {\n  may   x length\n  gives drop length = a(x,\n                        y)\n             + b\n}\n");
    becomes("kind k {\nneeds x length\nmay drop length = a(x,\n                    y)\n}\n",
            "kind k {\n  needs x length\n  may   drop length = a(x,\n                        y)\n}\n");
  }
  SUBCASE("what goes on moves with its line") {
    becomes("kind k {\n    gives a length =\n        b\n        + c\n}\n", "kind k {\n  gives a length =\n      b\n      + c\n}\n");
  }
  SUBCASE("what goes on stands at least one level in") {
    becomes("agrees f(1) = 2 within 1 %\nper practice \"x\"\n", "agrees f(1) = 2 within 1 %\n  per practice \"x\"\n");
  }
  SUBCASE("a closing bracket may stand at the margin") {
    becomes("a {\nsizes [\n1 in,\n2 in\n]\n}\n", "a {\n  sizes [\n    1 in,\n    2 in\n  ]\n}\n");
  }
}

TEST_CASE("pairs: line ends and empty lines") {
  SUBCASE("no blanks at line ends, one line end at the end") {
    becomes("use trade  \t\n# note  \nlanguage 1", "use trade\n# note\nlanguage 1\n");
  }
  SUBCASE("at most one empty line, none at the ends") {
    becomes("\n\nuse trade\n\n \n\nlanguage 1\n\n\n", "use trade\n\nlanguage 1\n");
  }
  SUBCASE("carriage returns stay where the file has them") {
    becomes("gas {\r\nfill 3 psi  \r\n}\r\n", "gas {\r\n  fill 3 psi\r\n}\r\n");
  }
  SUBCASE("mixed line ends follow the first") { becomes("gas {\nfill 3 psi\r\n}\r\n", "gas {\n  fill 3 psi\n}\n"); }
  SUBCASE("an empty file stays empty") { becomes("", ""); }
  SUBCASE("only empty lines are no lines") { becomes("\n \n\n", ""); }
  SUBCASE("only comments") { becomes("\n   # a\n\n\n # b", "# a\n\n# b\n"); }
  SUBCASE("a byte order mark is kept") { becomes("\xEF\xBB\xBF use trade", "\xEF\xBB\xBFuse trade\n"); }
}

TEST_CASE("pairs: fields of a block") {
  SUBCASE("values in one column") {
    becomes("site {\nelevation 820 ft\nsnow_depth 14 in\n}\n", "site {\n  elevation  820 ft\n  snow_depth 14 in\n}\n");
  }
  SUBCASE("a column that is aligned already stays") {
    becomes("site {\n  elevation    820 ft\n  snow_depth   14 in\n}\n", "site {\n  elevation    820 ft\n  snow_depth   14 in\n}\n");
  }
  SUBCASE("a column too far off is drawn in") {
    becomes("site {\n  elevation                820 ft\n  snow_depth               14 in\n}\n",
            "site {\n  elevation    820 ft\n  snow_depth   14 in\n}\n");
  }
  SUBCASE("names too different in length are aligned in parts") {
    becomes("b {\nx 1 ft\nyy 2 ft\nshut_off_before_connector yes\n}\n", "b {\n  x  1 ft\n  yy 2 ft\n  shut_off_before_connector yes\n}\n");
  }
  SUBCASE("an empty line and a comment part two columns") {
    becomes("b {\nx 1 ft\n\nlonger 2 ft\n# c\nlongest_of_them 3 ft\n}\n",
            "b {\n  x 1 ft\n\n  longer 2 ft\n  # c\n  longest_of_them 3 ft\n}\n");
  }
  SUBCASE("several items on a line keep their gaps") {
    becomes("b {\nx 1 ft,  yy 2 ft\nlonger 3 ft\n}\n", "b {\n  x 1 ft,  yy 2 ft\n  longer 3 ft\n}\n");
  }
  SUBCASE("things with blocks of their own stand close unless set apart") {
    becomes("b {\nlike small\nboiler B1 { input 3 MBH }\n}\n", "b {\n  like small\n  boiler B1 { input 3 MBH }\n}\n");
    becomes("b {\nsupply  street { pressure 2 psi }\nregulator  R1 { flowing 7 inwc }\n}\n",
            "b {\n  supply     street { pressure 2 psi }\n  regulator  R1 { flowing 7 inwc }\n}\n");
  }
  SUBCASE("columns count characters, not bytes") {
    becomes("b {\nx \"µ°\"   per practice\nx \"ab\"    per practice\n}\n", "b {\n  x \"µ°\"   per practice\n  x \"ab\"   per practice\n}\n");
  }
  SUBCASE("a list that goes on moves with its column") {
    becomes("b {\nx [1 ft,\n   2 ft]\nlonger 3 ft\n}\n", "b {\n  x      [1 ft,\n          2 ft]\n  longer 3 ft\n}\n");
  }
}

TEST_CASE("pairs: declarations and rules") {
  SUBCASE("lines of a kind") {
    becomes("kind k {\nneeds input power   \"What goes in.\"\nmay trap yes_no = no   \"Whether.\"\n}\n",
            "kind k {\n  needs input power        \"What goes in.\"\n  may   trap yes_no = no   \"Whether.\"\n}\n");
    becomes("kind k {\nneeds input power\nmay trap  yes_no = no\n}\n", "kind k {\n  needs input power\n  may   trap  yes_no = no\n}\n");
  }
  SUBCASE("lines of a rule, sources between them") {
    becomes("rule r.x {\nsays \"A.\"\nper practice \"p\"\nfor a in b\nrequire a.c > 1\notherwise \"B.\"\n}\n",
            "rule r.x {\n  says      \"A.\"\n  per practice \"p\"\n  for       a in b\n  require   a.c > 1\n  otherwise \"B.\"\n}\n");
  }
  SUBCASE("blocks at line ends") {
    becomes("unit ft2 = 1 ft^2    { also sq_ft }\nunit m2 = 1 m^2  { prints \"m\" }\n",
            "unit ft2 = 1 ft^2   { also sq_ft }\nunit m2 = 1 m^2     { prints \"m\" }\n");
  }
}

TEST_CASE("pairs: runs") {
  becomes("gas {\nR1 -> a 18 ft of 1 in steel with 2 elbow\nstreet -> M1 -> R1 40 ft of 1-1/2 in steel with 4 elbow\n}\n",
          "gas {\n  R1 -> a            18 ft of 1 in steel     with 2 elbow\n  street -> M1 -> R1 40 ft of 1-1/2 in steel with 4 elbow\n}\n");
  becomes("gas {\na -> b   18 ft of 1 in steel   with 2 elbow  { x 1 ft }\nlong -> c   4 ft of 1 in steel   with 12 elbow   { x 2 ft }\n}\n",
          "gas {\n  a -> b      18 ft of 1 in steel   with 2 elbow    { x 1 ft }\n"
          "  long -> c   4 ft of 1 in steel    with 12 elbow   { x 2 ft }\n}\n");
}

TEST_CASE("pairs: tables") {
  SUBCASE("cells in columns, two blanks apart") {
    becomes("t {\ncells 1 ft3/h\nlength  1/2 in  3/4 in\n10 ft  172  360\n100 ft  50  104\n}\n",
            "t {\n  cells   1 ft3/h\n  length  1/2 in  3/4 in\n  10 ft   172     360\n  100 ft  50      104\n}\n");
  }
  SUBCASE("tabs between cells") {
    becomes("t {\nsize\tbore\n1/2 in\t0.622 in\n4\t8 ft\n}\n", "t {\n  size    bore\n  1/2 in  0.622 in\n  4       8 ft\n}\n");
  }
  SUBCASE("a table keyed by names") {
    becomes("t {\nwhat  one  two\nelbow_90  1  2\ntee  10  20\n}\n", "t {\n  what      one  two\n  elbow_90  1    2\n  tee       10   20\n}\n");
  }
  SUBCASE("more than one blank never becomes one behind a number") {
    becomes("t {\n4  ft\n10  in\n}\n", "t {\n  4   ft\n  10  in\n}\n");
  }
}

TEST_CASE("pairs: comments") {
  SUBCASE("a line of its own stands like what follows") {
    becomes("gas {\n# a\nfill 3 psi\n# b\n}\n    # c\nuse trade\n", "gas {\n  # a\n  fill 3 psi\n  # b\n}\n# c\nuse trade\n");
  }
  SUBCASE("two blanks before one at a line's end") { becomes("use trade # a\nlanguage 1      #b\n", "use trade  # a\nlanguage 1  #b\n"); }
  SUBCASE("those beneath one another stay so") {
    becomes("use trade      # a\nlanguage 1     # b\n", "use trade   # a\nlanguage 1  # b\n");
  }
  SUBCASE("within a formula that goes on") {
    becomes("kind k {\ngives a length = b +   # one\n# two\nc\n}\n", "kind k {\n  gives a length = b +  # one\n    # two\n    c\n}\n");
  }
  SUBCASE("a sign of comments inside a text is none") { becomes("a { b \"x # y\"   }\n", "a { b \"x # y\"   }\n"); }
}
