// Files with mistakes: what is broken stays byte for byte, the rest is laid out.
#include "laying.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::tidy;
using namespace dripleg::tidy::testing;

namespace {
void becomes(const std::string& before, const std::string& after) {
  const Laid laid = lay_out(before);
  CHECK(laid.mistakes != 0);
  CHECK(laid.outcome != Outcome::failed);
  CHECK(laid.text == after);
  CHECK(laid.before == laid.after);
  CHECK(lay_out(laid.text).text == laid.text);
}
}  // namespace

TEST_CASE("broken: one statement of many") {
  becomes("gas {\nfill 3 psi\n   lock_up  =  4 psi  \ndrop_to 2 psi\n}\n", "gas {\n  fill 3 psi\n   lock_up  =  4 psi  \n  drop_to 2 psi\n}\n");
  becomes("gas {\n a -> \n    x  1 ft\n}\n", "gas {\n a -> \n  x  1 ft\n}\n");
}
TEST_CASE("broken: the head of a block keeps all of it") {
  becomes("use trade  \nboiler B1 = {\n x 1 ft\n     y 2 ft\n}\n  language 1\n", "use trade\nboiler B1 = {\n x 1 ft\n     y 2 ft\n}\nlanguage 1\n");
}
TEST_CASE("broken: something missing") {
  becomes("kind k {\ngives a length = (b + \n   gives c length = 1 ft\n}\n", "kind k {\ngives a length = (b + \n  gives c length = 1 ft\n}\n");
}
TEST_CASE("broken: a text that is not closed") {
  becomes("a {\n b \"x  \n   c 1 ft\n}\n", "a {\n b \"x  \n  c 1 ft\n}\n");
}
TEST_CASE("broken: a brace that is missing keeps its statement, not the others") {
  becomes("  use trade\na {\n      b 1 ft\n", "use trade\na {\n      b 1 ft\n");
}
TEST_CASE("broken: a character that no text may hold, in a comment") {
  becomes("a {\n b 1 ft   # \x01  \nc 2 ft\n}\n", "a {\n b 1 ft   # \x01  \n  c 2 ft\n}\n");
}
TEST_CASE("broken: empty lines inside stay, outside they are drawn together") {
  becomes("a = {\n\n\n x 1 ft\n}\n\n\n\nuse trade\n", "a = {\n\n\n x 1 ft\n}\n\nuse trade\n");
}
TEST_CASE("broken: too deep to read") {
  std::string text;
  for (u32 at = 0; at < 400; ++at) text += "a {\n";
  for (u32 at = 0; at < 400; ++at) text += "}\n";
  const Laid laid = lay_out(text);
  CHECK(laid.outcome != Outcome::failed);
  CHECK(laid.before == laid.after);
}
TEST_CASE("broken: what would be too long to read is left alone") {
  std::string text;
  for (u32 at = 0; at < 190; ++at) text += "a {\n";
  for (u32 at = 0; at < 60'000; ++at) text += "b 3 ft\n";
  for (u32 at = 0; at < 190; ++at) text += "}\n";
  const Laid laid = lay_out(text);
  CHECK(laid.mistakes == 0);
  CHECK(laid.outcome == Outcome::left_alone);
  CHECK(laid.text == text);
}
TEST_CASE("broken: a tree that is not the text's own is found out, and told as our fault") {
  base::Sources sources;
  notices::Notices found;
  const FileId own = sources.add("own.drip", "a {\nb 1 ft\n}\n"), other = sources.add("other.drip", "a {\nb long\n}\n");
  const syntax::Tree tree = syntax::parse(sources, other, found);
  REQUIRE(found.size() == 0);
  const Tidied tidied = tidy::tidy(sources[own], tree, found);
  CHECK(tidied.outcome == Outcome::failed);
  CHECK(tidied.text == sources[own].text());
  REQUIRE(tidied.faults.size() == 1);
  CHECK(tidied.faults.all()[0].code == notices::Code::tidy_fault);
}
