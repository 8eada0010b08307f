#include "commands/commands.hpp"
#include "commands/option_table.hpp"

namespace dripleg::commands {
namespace {
constexpr std::size_t left_column = 2, about_column = 30;

std::string row(std::string_view left, std::string_view right) {
  std::string line(left_column, ' ');
  line += left;
  if (right.empty()) return line + "\n";
  line += std::string(line.size() + 2 <= about_column ? about_column - line.size() : 2, ' ');
  return line + std::string(right) + "\n";
}

std::string command_row(const CommandEntry& entry) {
  std::string left(entry.word);
  if (!entry.operands.empty()) left += " " + std::string(entry.operands);
  return row(left, entry.about);
}
}  // namespace

std::string first_page() {
  std::string page = "dripleg judges a job that is written down as text.\n\nTry first\n";
  page += row("dripleg new yard", "a folder `yard` with a job to fill in");
  page += row("dripleg check yard", "what breaks, what is still open");
  page += "\nCommands\n";
  for (const CommandEntry& entry : all_commands)
    if (entry.on_first_page) page += command_row(entry);
  page += "\nMore\n";
  for (const CommandEntry& entry : all_commands)
    if (!entry.on_first_page) page += command_row(entry);
  page += "\nEverywhere\n";
  page += row("COMMAND --help", "options of a command");
  page += row("--version", "which version this is");
  page += row("-", "instead of a file: standard input");
  page += "\nExit: 0 nothing breaks, 1 something breaks, 2 could not run, 3 a fault of dripleg itself\n";
  return page;
}

std::string command_page(Command command) {
  const CommandEntry& entry = entry_of(command);
  std::string page = "dripleg " + std::string(entry.word) + (entry.operands.empty() ? "" : " ") + std::string(entry.operands) + "\n";
  page += row(entry.about, "") + "\nOptions\n";
  for (const OptionEntry& option : all_options) {
    if (!(option.commands & of(command))) continue;
    std::string left(option.name);
    if (!option.value.empty()) left += " " + std::string(option.value);
    page += row(left, option.about);
  }
  page += "\nFrom the environment: NO_COLOR, SOURCE_DATE_EPOCH (the day, if --on does not say it)\n";
  return page;
}
}  // namespace dripleg::commands
