// Words of the command line in, Options out. The only place that sees CLI11; nothing is read from
// files, and from the environment only what is handed in.
#pragma once
#include "commands/options.hpp"
#include "notices/notice.hpp"

#include <span>

namespace dripleg::commands {
struct Environment {
  std::optional<std::string> no_color;            // NO_COLOR
  std::optional<std::string> source_date_epoch;   // SOURCE_DATE_EPOCH
};

// `words`: without the program's own name. None: the notices say what is wrong (exit 2).
std::optional<Options> read_arguments(std::span<const std::string> words, const Environment& environment,
                                      notices::Notices& notices);
}  // namespace dripleg::commands
