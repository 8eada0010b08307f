#include "commands/commands.hpp"
namespace dripleg::commands {
int run_report(const Options&) { return 3; }
__attribute__((weak)) int run_tidy(const Options&) { return 3; }
}
