// Every file of the language in the repository: laid out it says the same, and laying it out again changes nothing.
#include "laying.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

using namespace dripleg;
using namespace dripleg::tidy;
using namespace dripleg::tidy::testing;

namespace {
std::vector<std::filesystem::path> files_of_repository() {
  std::vector<std::filesystem::path> files;
  for (const char* folder : {"stdlib", "reports", "examples", "tests"}) {
    const std::filesystem::path root = std::filesystem::path(DRIPLEG_SOURCE_DIR) / folder;
    if (!std::filesystem::is_directory(root)) continue;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(root))
      if (entry.path().extension() == ".drip") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}
std::string slurp(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}
std::string with_carriage_returns(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '\n') out += '\r';
    out += c;
  }
  return out;
}
// All indentation gone, tabs where several blanks stood, blanks at line ends: what a careless hand leaves.
std::string untidied(const std::string& text) {
  std::istringstream in(text);
  std::string out, line;
  u32 count = 0;
  while (std::getline(in, line)) {
    const std::size_t begin = std::min(line.find_first_not_of(' '), line.size());
    out += std::string(count % 3, ' ') + line.substr(begin) + std::string(count % 2, '\t') + "\n";
    if (++count % 5 == 0) out += "\n  \n\n";
  }
  return out;
}
void check_stable(const std::string& text) {
  const Laid once = lay_out(text);
  CHECK(once.outcome != Outcome::failed);
  CHECK(once.before == once.after);
  CHECK(lay_out(once.text).text == once.text);
}
}  // namespace

TEST_CASE("files: tidy twice is tidy once, and says the same") {
  const auto files = files_of_repository();
  CHECK(files.size() > 33);
  for (const auto& path : files) {
    CAPTURE(path.string());
    const std::string text = slurp(path);
    check_stable(text);
    const Laid crlf = lay_out(with_carriage_returns(text));
    CHECK(crlf.text == with_carriage_returns(lay_out(text).text));
    check_stable(untidied(text));
  }
}

TEST_CASE("files: cut anywhere, nothing is lost") {
  for (const auto& path : files_of_repository()) {
    if (path.string().find("syntax_blocks") == std::string::npos) continue;
    CAPTURE(path.string());
    const std::string text = slurp(path);
    for (std::size_t at = 13; at < text.size(); at += 97) {
      CAPTURE(at);
      check_stable(text.substr(0, at));
      check_stable(text.substr(0, at) + text.substr(std::min(at + 11, text.size())));
    }
  }
}
