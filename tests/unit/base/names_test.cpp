#include "base/names.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace dripleg;
using namespace dripleg::base;

TEST_CASE("one spelling, one number, in order of first use") {
  Names names;
  CHECK(names.intern("ash") == NameId{0});
  CHECK(names.intern("birch") == NameId{1});
  CHECK(names.intern("ash") == NameId{0});
  CHECK(names.intern("") == NameId{2});
  CHECK(names.text(NameId{1}) == "birch");
  CHECK(names.text(NameId{2}) == "");
  CHECK(names.find("birch") == NameId{1});
  CHECK_FALSE(names.find("cedar").given());
  CHECK(names.size() == 3);
}

TEST_CASE("many names stay found and their texts stay put") {
  Names names;
  const std::string_view first = names.text(names.intern("first"));
  for (u32 at = 0; at < 20'000; ++at) CHECK(names.intern("name_" + std::to_string(at)).value == at + 1);
  CHECK(first == "first");
  for (u32 at = 0; at < 20'000; at += 7) {
    CHECK(names.find("name_" + std::to_string(at)).value == at + 1);
    CHECK(names.text(NameId{at + 1}) == "name_" + std::to_string(at));
  }
  const std::string longer(100'000, 'x');
  CHECK(names.text(names.intern(longer)) == longer);
}

TEST_CASE("a table that begins with an image") {
  Names library;
  for (const char* word : {"ash", "birch", "cedar"}) library.intern(word);
  const std::string text = library.all_text();
  const std::vector<u32> slots = library.slots();
  std::vector<Names::Entry> entries;
  u32 at = 0;
  for (u32 name = 0; name < library.size(); ++name) {
    Names::Entry entry = library.entries()[name];
    entry.at = at;
    at += entry.length;
    entries.push_back(entry);
  }
  Names names({entries, text, slots});
  CHECK(names.base_size() == 3);
  CHECK(names.find("cedar") == NameId{2});
  CHECK(names.intern("birch") == NameId{1});
  CHECK(names.intern("dogwood") == NameId{3});
  CHECK(names.text(NameId{0}) == "ash");
  CHECK(names.text(NameId{2}) == "cedar");
  CHECK(names.text(NameId{3}) == "dogwood");
  CHECK(names.size() == 4);
}

TEST_CASE("the hash is fixed, for it stands in images") {
  CHECK(hash_bytes("") == (0xCBF29CE484222325ull ^ (0xCBF29CE484222325ull >> 29)));
  CHECK(hash_bytes("ab") != hash_bytes("ba"));
}
