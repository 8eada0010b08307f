// What the command line asks for, as plain data: read once, checked, never changed after.
#pragma once
#include "base/ids.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace dripleg::commands {
enum class Command : u8 {
#define COMMAND(id, word, first_page, least, most, operands, about) id,
#include "commands/commands.def"
#undef COMMAND
  count,
};
inline constexpr std::size_t command_count = static_cast<std::size_t>(Command::count);

struct CommandEntry {
  Command command;
  std::string_view word;
  bool on_first_page;
  u32 least, most;            // operands; most 0: any number
  std::string_view operands;
  std::string_view about;
};
const CommandEntry& entry_of(Command command);

enum class Format : u8 { text, json };
enum class Colour : u8 { automatic, always, never };
enum class DaySource : u8 { none, option, environment };

struct Options {
  std::optional<Command> command;      // none: only help or version was asked for
  std::vector<std::string> operands;   // paths, places, names, in the order given
  bool help = false;
  bool version = false;
  Format format = Format::text;
  Colour colour = Colour::automatic;
  bool no_colour_asked = false;        // NO_COLOR is set and not empty
  std::optional<i32> day;              // days since 1970-01-01
  DaySource day_source = DaySource::none;
  bool strict = false;
  bool all = false;
  bool check_only = false;
  std::string case_name, layout, out, library, root, name;   // empty: not given
};
}  // namespace dripleg::commands
