#include "commands/commands.hpp"

namespace dripleg::commands {
std::string version_line() { return "dripleg " DRIPLEG_VERSION "\n"; }
}  // namespace dripleg::commands
