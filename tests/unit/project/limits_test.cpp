// The bounds of a text, each met exactly and passed by one.
#include <doctest/doctest.h>

#include "base/limits.hpp"
#include "project/load.hpp"

#include <algorithm>

using namespace dripleg;
using notices::Code;
namespace limits = base::limits;

namespace {
std::vector<Code> codes_of(std::string text) {
  base::Sources sources;
  notices::Notices notices;
  project::load_text("a.drip", std::move(text), sources, notices);
  std::vector<Code> codes;
  for (const auto& notice : notices.all()) codes.push_back(notice.code);
  return codes;
}
bool says(const std::string& text, Code code) {
  const auto codes = codes_of(text);
  return std::find(codes.begin(), codes.end(), code) != codes.end();
}
std::string many(u64 count, std::string_view piece) {
  std::string text;
  for (u64 i = 0; i < count; ++i) text += piece;
  return text;
}
}  // namespace

TEST_CASE("limit of a name") {
  CHECK(codes_of("boiler " + std::string(limits::name_bytes, 'x') + " { }\n").empty());
  CHECK(says("boiler " + std::string(limits::name_bytes + 1, 'x') + " { }\n", Code::limit_name));
}

TEST_CASE("limit of a number's digits") {
  CHECK(codes_of("boiler x { size " + std::string(limits::number_digits, '1') + " ft }\n").empty());
  CHECK(says("boiler x { size " + std::string(limits::number_digits + 1, '1') + " ft }\n", Code::limit_digits));
}

TEST_CASE("limit of a text in quotes") {
  CHECK(codes_of("boiler x { \"" + std::string(limits::prose_bytes, 'w') + "\" }\n").empty());
  CHECK(says("boiler x { \"" + std::string(limits::prose_bytes + 1, 'w') + "\" }\n", Code::limit_text));
}

TEST_CASE("limit of a line") {
  CHECK(codes_of("#" + std::string(limits::line_bytes - 1, 'c') + "\n").empty());
  CHECK(says("#" + std::string(limits::line_bytes, 'c') + "\n", Code::limit_line));
}

TEST_CASE("limit of nesting, told once") {
  const auto nested = [](u64 deep) { return "rule a.b {\n require " + many(deep, "(") + "1" + many(deep, ")") + " == 1\n}\n"; };
  CHECK(codes_of(nested(limits::nesting / 4)).empty());
  const auto codes = codes_of(nested(limits::nesting + 1));
  CHECK(std::count(codes.begin(), codes.end(), Code::limit_nesting) == 1);
  const auto huge = codes_of("a {\n" + many(limits::nesting * 10, "b {\n"));
  CHECK(std::count(huge.begin(), huge.end(), Code::limit_nesting) == 1);
}

TEST_CASE("limit of notices of form in one file: the rest is counted") {
  const auto codes = codes_of(many(limits::syntax_notices * 5, "boiler x { size = = }\n"));
  CHECK(codes.size() <= limits::syntax_notices + 1);
  CHECK(codes.back() == Code::limit_notices);
}

TEST_CASE("limit of the pieces of one file") {
  // Two bytes a piece: a file within its own limit has more pieces than a tree may.
  const std::string line = many(2000, "a ") + "\n";
  const std::string text = many((limits::file_bytes - 10) / line.size(), line);
  REQUIRE(text.size() <= limits::file_bytes);
  CHECK(says(text, Code::limit_nodes));
  static_assert(limits::tree_nodes < limits::file_bytes / 2);
}
