#include "commands/arguments.hpp"
#include "commands/commands.hpp"
#include "commands/output.hpp"

#include <cstdlib>

namespace dripleg::commands {
namespace {
std::optional<std::string> from_environment(const char* name) {
  const char* const value = std::getenv(name);
  if (!value) return std::nullopt;
  return value;
}

int run(const Options& options) {
  switch (*options.command) {
    case Command::check: return run_check(options);
    case Command::report: return run_report(options);
    case Command::why: return run_why(options);
    case Command::create: return run_create(options);
    case Command::rules: return run_rules(options);
    case Command::prove: return run_prove(options);
    case Command::tidy: return run_tidy(options);
    case Command::limits: return run_limits(options);
    case Command::count: break;
  }
  return 3;
}
int ended(int status, const Options& options) {
  if (flush()) return status;
  notices::Notices notices;
  notices.add(notices::Code::file_not_written, {}, "the output could not be written to its end")
      .cures.push_back("make room where it goes to");
  complain_notices(base::Sources(), notices.all(), options);
  return 2;
}
}  // namespace

int run_command(int count, char** words) {
  const std::vector<std::string> given(words + (count > 0 ? 1 : 0), words + count);
  const Environment environment{from_environment("NO_COLOR"), from_environment("SOURCE_DATE_EPOCH")};
  notices::Notices notices;
  const auto options = read_arguments(given, environment, notices);
  if (!options) {
    Options plain;
    plain.no_colour_asked = environment.no_color && !environment.no_color->empty();
    complain_notices(base::Sources(), notices.all(), plain);
    return 2;
  }
  if (options->version) {
    put(version_line());
  } else if (options->help) {
    put(options->command ? command_page(*options->command) : first_page());
  } else {
    return ended(run(*options), *options);
  }
  return ended(0, *options);
}
}  // namespace dripleg::commands
