// Outside text on its way to a terminal or a log: any bytes in, one line of valid UTF-8 out, in which
// nothing moves the cursor, turns the direction of writing or hides.
#pragma once
#include "base/ids.hpp"

#include <string>
#include <string_view>

namespace dripleg::base {
// Controls, invalid bytes, direction marks, invisible characters and line ends are spelled `\x1b` or `\u{202e}`.
std::string printable(std::string_view raw);

// True if `printable` would leave it as it is.
bool is_printable(std::string_view raw);

// A line that a CI log could take for a command of its own gets `| ` in front.
std::string guarded_line(std::string_view line);
}  // namespace dripleg::base
