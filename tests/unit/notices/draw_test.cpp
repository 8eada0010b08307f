#include "base/limits.hpp"
#include "notices/draw.hpp"

#include <doctest/doctest.h>

#include <set>

using namespace dripleg;
using notices::Code;

namespace {
base::Place find(const base::Sources& sources, FileId file, std::string_view words) {
  const u32 at = static_cast<u32>(sources[file].text().find(words));
  return {file, {at, at + static_cast<u32>(words.size())}};
}
std::string drawn(const base::Sources& sources, const notices::Notice& notice, notices::Drawing drawing = {false, 60}) {
  std::string text;
  notices::draw(sources, notice, drawing, text);
  return text;
}
}  // namespace

TEST_CASE("draw: headline, marked line, label in another file, cures") {
  base::Sources sources;
  const FileId job = sources.add("yard.drip", "use \"a\"\n  part one { size 3 }\n");
  const FileId other = sources.add("parts/maker.drip", "\npart one\n");
  notices::Notice notice{Code::file_missing, notices::Severity::error, find(sources, job, "one"), "there is no `one`", {}, {}};
  notice.labels.push_back({find(sources, other, "part one"), "declared here"});
  notice.cures = {"did you mean `two`", "leave it out"};
  CHECK(drawn(sources, notice) ==
        "there is no `one`                       error  files.missing\n"
        "\n"
        "  yard.drip:2           part one { size 3 }\n"
        "                             ───\n"
        "  parts/maker.drip:2    part one\n"
        "                        ────────  declared here\n"
        "  do         did you mean `two`\n"
        "  or         leave it out\n");
}

TEST_CASE("draw: a label on the stretch itself, and one on the same line") {
  base::Sources sources;
  const FileId job = sources.add("a.drip", "part one { size 3 }\n");
  notices::Notice notice{Code::file_missing, notices::Severity::warning, find(sources, job, "one"), "odd", {}, {}};
  notice.labels.push_back({find(sources, job, "one"), "this name"});
  notice.labels.push_back({find(sources, job, "3"), "this number"});
  CHECK(drawn(sources, notice) ==
        "odd                                   warning  files.missing\n"
        "\n"
        "  a.drip:1    part one { size 3 }\n"
        "                   ───  this name\n"
        "                              ─  this number\n");
}

TEST_CASE("draw: a missing piece, a stretch over lines, the end of a text") {
  base::Sources sources;
  const FileId job = sources.add("a.drip", "part {\n  x\n}");
  notices::Notice missing{Code::file_missing, notices::Severity::error, {job, {6, 6}}, "a name is missing here", {}, {}};
  CHECK(drawn(sources, missing).find("  a.drip:1    part {\n                    ▴\n") != std::string::npos);
  notices::Notice block{Code::file_missing, notices::Severity::error, {job, {5, 12}}, "block", {}, {}};
  CHECK(drawn(sources, block).find("  a.drip:1    part {\n                   ─…\n") != std::string::npos);
  notices::Notice end{Code::file_missing, notices::Severity::error, {job, {12, 12}}, "end", {}, {}};
  CHECK(drawn(sources, end).find("  a.drip:3    }\n               ▴\n") != std::string::npos);
  base::Sources empty;
  notices::Notice nothing{Code::file_missing, notices::Severity::error, {empty.add("e.drip", ""), {0, 0}}, "nothing", {}, {}};
  CHECK(drawn(empty, nothing).find("  e.drip:1\n              ▴\n") != std::string::npos);
}

TEST_CASE("draw: outside text cannot act") {
  base::Sources sources;
  const FileId job = sources.add("a\x1b.drip", "\tx\x1b[2J\xC2\xB0 y\n");
  notices::Notice notice{Code::file_missing, notices::Severity::error, find(sources, job, "y"), "::error::\x1b no", {}, {}};
  notice.cures = {"a\nb"};
  const std::string text = drawn(sources, notice);
  CHECK(text.find('\x1b') == std::string::npos);
  CHECK(text.starts_with("| ::error::\\x1b no"));
  CHECK(text.find("  do         a\\x0ab\n") != std::string::npos);
  // The mark stands under the letter although the control character is spelled in four.
  CHECK(text.find("  a\\x1b.drip:1    x\\x1b[2J° y\n                            ─\n") != std::string::npos);
}

TEST_CASE("draw: a long line is cut around the stretch") {
  base::Sources sources;
  const std::string before(base::limits::excerpt_columns * 20, 'b'), after(base::limits::excerpt_columns * 20, 'a');
  const FileId job = sources.add("a.drip", before + " here " + after + "\n");
  notices::Notice notice{Code::file_missing, notices::Severity::error, find(sources, job, "here"), "long", {}, {}};
  const std::string text = drawn(sources, notice);
  CHECK(notices::columns_of(text) < 2 * base::limits::excerpt_columns + 200);
  CHECK(text.find("b here a") != std::string::npos);
  CHECK(text.find("… bbb") != std::string::npos);
  CHECK(text.find("aaa …\n") != std::string::npos);
}

TEST_CASE("draw: colours change no word") {
  base::Sources sources;
  const FileId job = sources.add("a.drip", "part one\n");
  notices::Notice notice{Code::file_missing, notices::Severity::error, find(sources, job, "one"), "there is no `one`", {}, {"try"}};
  std::string coloured = drawn(sources, notice, {true, 60});
  CHECK(coloured.find("\x1b[") != std::string::npos);
  while (coloured.find('\x1b') != std::string::npos) {
    const std::size_t at = coloured.find('\x1b');
    coloured.erase(at, coloured.find('m', at) + 1 - at);
  }
  CHECK(coloured == drawn(sources, notice));
}

TEST_CASE("one line: place, severity, headline, code") {
  base::Sources sources;
  const FileId job = sources.add("a.drip", "x\nµ one\n");
  notices::Notice notice{Code::file_missing, notices::Severity::warning, find(sources, job, "one"), "there is no `one`", {}, {}};
  CHECK(notices::one_line(sources, notice) == "a.drip:2:3: warning: there is no `one` [files.missing]");
  notice.place = {};
  CHECK(notices::one_line(sources, notice) == "warning: there is no `one` [files.missing]");
}

TEST_CASE("the right-hand words keep their edge or take a line of their own") {
  CHECK(notices::with_right_hand("ab", "cd", 8) == "ab    cd");
  CHECK(notices::with_right_hand("abcdefg", "cd", 8) == "abcdefg\n      cd");
  CHECK(notices::with_right_hand("µ", "cd", 6) == "µ   cd");
}

TEST_CASE("every code of the register is written floor.word_word and says what it is about") {
  std::set<std::string_view> known;
  for (u16 i = 0; i < static_cast<u16>(Code::count); ++i) {
    const auto& entry = notices::entry_of(static_cast<Code>(i));
    INFO(entry.code);
    CHECK(known.insert(entry.code).second);
    CHECK(entry.code.find('.') != std::string_view::npos);
    CHECK(entry.code.find_first_not_of("abcdefghijklmnopqrstuvwxyz_.0123456789") == std::string_view::npos);
    CHECK(entry.about.size() > 10);
  }
}
