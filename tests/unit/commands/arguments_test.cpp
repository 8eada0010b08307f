#include "commands/arguments.hpp"
#include "commands/commands.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::commands;

namespace {
std::optional<Options> read(std::vector<std::string> words, const Environment& environment = {}) {
  notices::Notices notices;
  return read_arguments(words, environment, notices);
}
// What is wrong, each as `code: headline | cure`.
std::vector<std::string> mistakes(std::vector<std::string> words, const Environment& environment = {}) {
  notices::Notices notices;
  CHECK_FALSE(read_arguments(words, environment, notices));
  std::vector<std::string> said;
  for (const auto& notice : notices.all())
    said.push_back(std::string(notices::text_of(notice.code)) + ": " + notice.headline +
                   (notice.cures.empty() ? "" : " | " + notice.cures[0]));
  return said;
}
using Said = std::vector<std::string>;
}  // namespace

TEST_CASE("arguments: a plain command") {
  const auto options = read({"check", "a.drip", "--strict", "b.drip", "--format=json", "--color", "never", "--root", "jobs"});
  REQUIRE(options);
  CHECK(options->command == Command::check);
  CHECK(options->operands == std::vector<std::string>{"a.drip", "b.drip"});
  CHECK(options->strict);
  CHECK_FALSE(options->all);
  CHECK(options->format == Format::json);
  CHECK(options->colour == Colour::never);
  CHECK(options->root == "jobs");
  CHECK_FALSE(options->day);
  CHECK(options->day_source == DaySource::none);
}

TEST_CASE("arguments: paths that look like something else") {
  const auto options = read({"check", "-", "[a,b]", "@list", "--", "--strict", "-x", "--"});
  REQUIRE(options);
  CHECK(options->operands == std::vector<std::string>{"-", "[a,b]", "@list", "--strict", "-x", "--"});
  CHECK_FALSE(options->strict);
}

TEST_CASE("arguments: the day, by option, by environment, or not at all") {
  CHECK(read({"check", "a", "--on", "2026-03-14"})->day == 20526);
  CHECK(read({"check", "a", "--on", "1970-01-01"})->day == 0);
  CHECK(read({"check", "a", "--on", "2024-02-29"})->day == 19782);
  CHECK(read({"check", "a"}, {{}, "1773446400"})->day == 20526);
  CHECK(read({"check", "a"}, {{}, "1773446400"})->day_source == DaySource::environment);
  CHECK(read({"check", "a", "--on", "1970-01-02"}, {{}, "1773446400"})->day == 1);
  CHECK(read({"check", "a", "--on", "1970-01-02"}, {{}, "noon"})->day == 1);
  CHECK(mistakes({"check", "a", "--on", "2026-02-30"}) ==
        Said{"usage.value: `2026-02-30` is no value of `--on` | write a day of the calendar as year, month and day: 2026-03-14"});
  CHECK(mistakes({"check", "a", "--on", "26-2-3"}).size() == 1);
  CHECK(mistakes({"check", "a", "--on", "+026-01-01"}).size() == 1);
  for (const char* wrong : {"", "noon", "-1", "1e9", "17734464000000000000000", "9999999999999"})
    CHECK(mistakes({"check", "a"}, {{}, wrong}).size() == 1);
}

TEST_CASE("arguments: colours and NO_COLOR") {
  CHECK_FALSE(read({"limits"})->no_colour_asked);
  CHECK_FALSE(read({"limits"}, {"", {}})->no_colour_asked);
  CHECK(read({"limits"}, {"1", {}})->no_colour_asked);
  CHECK(mistakes({"limits", "--color", "sometimes"}) ==
        Said{"usage.value: `sometimes` is no value of `--color` | write `auto`, `always` or `never`"});
}

TEST_CASE("arguments: unknown words and the nearest known ones") {
  CHECK(mistakes({"chekc", "a"}) == Said{"usage.command: `chekc` is no command | did you mean `check`"});
  CHECK(mistakes({"frobnicate"}) == Said{"usage.command: `frobnicate` is no command | see `dripleg --help`"});
  CHECK(mistakes({"help", "reprot"}) == Said{"usage.command: `reprot` is no command | did you mean `report`"});
  CHECK(mistakes({"check", "a", "--stict"}) == Said{"usage.option: `--stict` is no option | did you mean `--strict`"});
  CHECK(mistakes({"check", "a", "--formta=json", "--stict"}).size() == 2);
  CHECK(mistakes({"report", "a", "--strict"}) ==
        Said{"usage.option: `--strict` is no option of `dripleg report` | see `dripleg report --help`"});
  CHECK(mistakes({"check", "a", "-q"}).size() == 1);
}

TEST_CASE("arguments: values that are missing, empty or given twice") {
  CHECK(mistakes({"check", "a", "--root"}) == Said{"usage.value: `--root` wants a value | see `dripleg check --help`"});
  CHECK(mistakes({"check", "a", "--root="}).size() == 1);
  CHECK(mistakes({"check", "a", "--format", "xml"}) == Said{"usage.value: `xml` is no value of `--format` | write `text` or `json`"});
  CHECK(mistakes({"check", "a", "--root", "x", "--root", "y"}) ==
        Said{"usage.value: `--root` is given twice | leave one of them out"});
}

TEST_CASE("arguments: too few and too many operands") {
  CHECK(mistakes({"check"}) == Said{"usage.operand: `dripleg check` wants more than is given | write `dripleg check JOB...`"});
  CHECK(mistakes({"report", "a", "b"}) == Said{"usage.operand: `b` is one too many | write `dripleg report JOB`"});
  CHECK(mistakes({"limits", "x"}) == Said{"usage.operand: `x` is one too many | write `dripleg limits`"});
  CHECK(read({"rules"}));
  CHECK(read({"rules", "one.rule"}));
  CHECK(read({"prove"}));
}

TEST_CASE("arguments: outside text in mistakes is spelled") {
  CHECK(mistakes({"a\x1b[2J"}) == Said{"usage.command: `a\\x1b[2J` is no command | see `dripleg --help`"});
}

TEST_CASE("help: asked for in every way, and fits a screen") {
  CHECK(read({})->help);
  CHECK(read({"--help"})->help);
  CHECK(read({"help"})->help);
  CHECK(read({"help", "check"})->command == Command::check);
  CHECK(read({"check", "--help"})->help);
  CHECK(read({"check", "--help"})->command == Command::check);
  CHECK(read({"--version"})->version);
  const auto fits = [](const std::string& page) {
    std::size_t lines = 0, width = 0, widest = 0;
    for (const char c : page) {
      ++width;
      if (c != '\n') continue;
      widest = std::max(widest, width - 1);
      width = 0;
      ++lines;
    }
    return lines <= 24 && widest <= 100;
  };
  CHECK(fits(first_page()));
  for (std::size_t i = 0; i < command_count; ++i) CHECK(fits(command_page(static_cast<Command>(i))));
  CHECK(first_page().find("dripleg check") < first_page().find("Commands"));
}

TEST_CASE("help: every command stands on the first page, every option on its command's") {
  for (std::size_t i = 0; i < command_count; ++i) {
    const auto& entry = entry_of(static_cast<Command>(i));
    CHECK(first_page().find("\n  " + std::string(entry.word)) != std::string::npos);
  }
  CHECK(command_page(Command::check).find("--strict") != std::string::npos);
  CHECK(command_page(Command::limits).find("--strict") == std::string::npos);
}
