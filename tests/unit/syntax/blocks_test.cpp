// Every block of the language's own examples parses without a notice, loses nothing and leaves no junk.
#include "reading.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

using namespace dripleg;
using namespace dripleg::syntax;
using namespace dripleg::syntax::testing;

namespace {
std::string slurp(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}
}  // namespace

TEST_CASE("blocks of the language") {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(DRIPLEG_SOURCE_DIR "/tests/syntax_blocks"))
    if (entry.path().extension() == ".drip") files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  CHECK(files.size() == 33);
  for (const auto& path : files) {
    CAPTURE(path.string());
    std::string text = slurp(path);
    REQUIRE(!text.empty());
    for (const bool carriage_returns : {false, true}) {
      std::string variant;
      for (const char c : text) {
        if (carriage_returns && c == '\n') variant += '\r';
        variant += c;
      }
      const Parsed parsed = parse_text(variant);
      for (const auto& notice : parsed.notices.all()) FAIL_CHECK(notice.headline);
      CHECK(why_lossy(parsed.text(), parsed.tree) == "");
      CHECK(parsed.count(Kind::junk) == 0);
      CHECK(parsed.count(Kind::missing) == 0);
    }
  }
}

TEST_CASE("line ends do not change the tree") {
  const std::string text = slurp(DRIPLEG_SOURCE_DIR "/tests/syntax_blocks/sample_01.drip");
  std::string crlf;
  for (const char c : text) {
    if (c == '\n') crlf += '\r';
    crlf += c;
  }
  const Parsed a = parse_text(text), b = parse_text(crlf), c = parse_text("\xEF\xBB\xBF" + text);
  CHECK(a.dump() == b.dump());
  CHECK(a.dump() == c.dump());
}
