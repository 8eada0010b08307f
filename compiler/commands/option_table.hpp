// The rows of options.def as data, for reading and for help. Internal to this folder.
#pragma once
#include "commands/options.hpp"

#include <array>

namespace dripleg::commands {
constexpr u32 of(Command command) { return 1u << static_cast<u32>(command); }
inline constexpr u32 every = (1u << command_count) - 1;

enum class OptionId : u8 {
#define FLAG(id, name, commands, about) id,
#define VALUE(id, name, value, commands, about) id,
#include "commands/options.def"
#undef FLAG
#undef VALUE
};
struct OptionEntry {
  OptionId id;
  std::string_view name;
  std::string_view value;   // empty: a flag
  u32 commands;
  std::string_view about;
};
inline constexpr auto all_options = std::to_array<OptionEntry>({
#define FLAG(id, name, commands, about) {OptionId::id, name, "", (commands), about},
#define VALUE(id, name, value, commands, about) {OptionId::id, name, value, (commands), about},
#include "commands/options.def"
#undef FLAG
#undef VALUE
});
inline constexpr auto all_commands = std::to_array<CommandEntry>({
#define COMMAND(id, word, first_page, least, most, operands, about) \
  {Command::id, word, first_page, least, most, operands, about},
#include "commands/commands.def"
#undef COMMAND
});
}  // namespace dripleg::commands
