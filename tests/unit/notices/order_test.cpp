#include "notices/order.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using notices::Code;

namespace {
struct Two {
  base::Sources sources;
  FileId b = sources.add("b.drip", "one\ntwo\n");
  FileId a = sources.add("a.drip", "one\ntwo\n");
};
std::vector<std::string> headlines(const std::vector<notices::Notice>& notices) {
  std::vector<std::string> words;
  for (const auto& notice : notices) words.push_back(notice.headline);
  return words;
}
}  // namespace

TEST_CASE("order: the run, then path, place and code, whatever came first") {
  Two two;
  notices::Notices notices;
  notices.add(Code::file_missing, {two.b, {0, 3}}, "in b");
  notices.add(Code::file_missing, {two.a, {4, 7}}, "late in a");
  notices.add(Code::file_link, {two.a, {4, 7}}, "link, same place");
  notices.add(Code::file_missing, {two.a, {0, 3}}, "early in a");
  notices.add(Code::file_missing, {}, "the run");
  const std::vector<std::string> expected{"the run", "early in a", "link, same place", "late in a", "in b"};
  CHECK(headlines(notices::in_order(two.sources, notices.all())) == expected);
}

TEST_CASE("order: the same said twice is said once, with all labels and cures") {
  Two two;
  notices::Notices notices;
  notices.add(Code::file_missing, {two.a, {0, 3}}, "first").cures = {"do this"};
  auto& again = notices.add(Code::file_missing, {two.a, {0, 3}}, "second");
  again.cures = {"do this", "or that"};
  again.labels.push_back({{two.b, {0, 3}}, "here"});
  const auto merged = notices::in_order(two.sources, notices.all());
  REQUIRE(merged.size() == 1);
  CHECK(merged[0].headline == "first");
  CHECK(merged[0].cures == std::vector<std::string>{"do this", "or that"});
  CHECK(merged[0].labels.size() == 1);
}

TEST_CASE("order: notices without a place are never merged") {
  notices::Notices notices;
  notices.add(Code::file_missing, {}, "one file");
  notices.add(Code::file_missing, {}, "another file");
  CHECK(notices::in_order({}, notices.all()).size() == 2);
}
