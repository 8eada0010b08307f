#include "base/spelling.hpp"

#include <doctest/doctest.h>

using namespace dripleg::base;
using Words = std::vector<std::string>;

TEST_CASE("distance") {
  CHECK(spelling_distance("require", "require", 2) == 0);
  CHECK(spelling_distance("requires", "require", 2) == 1);
  CHECK(spelling_distance("reqiure", "require", 2) == 1);   // neighbours swapped
  CHECK(spelling_distance("otherwize", "otherwise", 2) == 1);
  CHECK(spelling_distance("", "ab", 2) == 2);
  CHECK(spelling_distance("abc", "", 3) == 3);
  CHECK(spelling_distance("kitten", "sitting", 9) == 3);
}

TEST_CASE("counting stops above the limit") {
  CHECK(spelling_distance("kitten", "sitting", 2) == 3);
  CHECK(spelling_distance("a", "abcdefgh", 2) == 3);
}

TEST_CASE("nearest first, then by the alphabet, three at most") {
  CHECK(near_spellings("heigth", {"weight", "height", "length"}) == Words{"height", "length", "weight"});
  CHECK(near_spellings("cat", {"hat", "bat", "rat", "mat", "dog"}) == Words{"bat", "hat", "mat"});
  CHECK(near_spellings("cat", {"cat"}) == Words{});           // itself is no suggestion
  CHECK(near_spellings("ab", {"cd", "abcd"}) == Words{});     // two slips are too many in a short word
  CHECK(near_spellings("steel", {"steel_40", "stell", "stell"}) == Words{"stell"});
}
