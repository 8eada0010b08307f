// The way out: text is gathered and handed to the system in few large pieces, in the order written.
// Standard output carries results, standard error what went wrong; nothing else is written to either.
#pragma once
#include "base/source.hpp"
#include "commands/options.hpp"
#include "notices/draw.hpp"

#include <string_view>

namespace dripleg::commands {
void put(std::string_view text);        // to standard output
void complain(std::string_view text);   // to standard error, after all that was put before
bool flush();                           // false: standard output took not everything (full disk); then exit 2

// Colour as asked for: by option, else on a terminal unless NO_COLOR is set.
notices::Drawing drawing_for_output(const Options& options);
notices::Drawing drawing_for_errors(const Options& options);

// Sorted, merged, drawn with a line between them.
void put_notices(const base::Sources& sources, const std::vector<notices::Notice>& notices, const Options& options);
void complain_notices(const base::Sources& sources, const std::vector<notices::Notice>& notices, const Options& options);
}  // namespace dripleg::commands
