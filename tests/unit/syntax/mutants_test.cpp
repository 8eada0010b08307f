// Seeded mutations of every block: whatever is typed, the tree is whole, the bytes are all there.
#include "reading.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

using namespace dripleg;
using namespace dripleg::syntax;
using namespace dripleg::syntax::testing;

namespace {
std::vector<std::string> seeds() {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(DRIPLEG_SOURCE_DIR "/tests/syntax_blocks"))
    files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::vector<std::string> texts;
  for (const auto& path : files) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    texts.push_back(out.str().substr(0, 1500));
  }
  texts.push_back("zone a {\r\n  x 3 ft, y = 4\r\n}\r\r\n  b -> c 14in # no\r\n\"x\r\n");
  return texts;
}

void mutate(std::string& text, std::mt19937& random) {
  static constexpr std::string_view pieces[] = {"{", "}", "(", ")", "[", "]", "\"", "#", "\n", "\r", "\t", " ", ",", "->", "..", "+-", "=", "==", ">=",
                                                "-", "/", "*", "^", ".", ";", ":", "?", "%", "in", "of", "per", "with", "for", "if", "then", "else", "when",
                                                "sum of ", "not ", "first ", "1", "1-1/2", "3 ft", "2026-01-02", "9:10", "µ", "→", "“", "\xC3", "\xFF", "е",
                                                "needs ", "gives ", "rule ", "kind ", "\n= ", "\nper ", "\nwhere ", " and ", "is none"};
  const auto below = [&random](std::size_t n) { return static_cast<std::size_t>(random() % n); };
  const std::size_t at = below(text.size() + 1);
  switch (below(5)) {
    case 0:
      if (at < text.size()) text.erase(at, 1 + below(4));
      break;
    case 1: text.insert(at, pieces[below(std::size(pieces))]); break;
    case 2:
      if (at < text.size()) text[at] = static_cast<char>(random());
      break;
    case 3: {
      const std::string part = text.substr(at, below(40));
      text.insert(below(text.size() + 1), part);
      break;
    }
    default: text.erase(std::min(text.size(), at)); break;
  }
}
}  // namespace

TEST_CASE("mutants") {
  const std::vector<std::string> texts = seeds();
  std::mt19937 random(20260112);
  std::size_t most = 0;
  for (int round = 0; round < 20'000; ++round) {
    std::string text = texts[static_cast<std::size_t>(random()) % texts.size()];
    const int edits = 1 + static_cast<int>(random() % 6);
    for (int edit = 0; edit < edits; ++edit) mutate(text, random);
    const Parsed parsed = parse_text(text);
    const std::string lossy = why_lossy(parsed.text(), parsed.tree);
    if (!lossy.empty()) {
      CAPTURE(text);
      FAIL_CHECK(lossy);
    }
    most = std::max<std::size_t>(most, parsed.notices.size());
    const bool broken = parsed.count(Kind::junk) + parsed.count(Kind::missing) != 0;
    if (broken && parsed.notices.size() == 0) {
      CAPTURE(text);
      FAIL_CHECK("something is wrong and nothing is said");
    }
  }
  CHECK(most < 60);
}

TEST_CASE("prefixes and single deletions") {
  for (const std::string& text : seeds()) {
    for (std::size_t at = 0; at < text.size(); at += 3) {
      const Parsed prefix = parse_text(text.substr(0, at));
      CHECK(why_lossy(prefix.text(), prefix.tree) == "");
      std::string shorter = text;
      shorter.erase(at, 1);
      const Parsed deletion = parse_text(shorter);
      CHECK(why_lossy(deletion.text(), deletion.tree) == "");
    }
  }
}
