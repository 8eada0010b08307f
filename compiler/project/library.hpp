// The library that jobs are judged by: the one inside this program, or one read from folders. Its files are
// the first of a run, so that places in them mean the same wherever it came from.
#pragma once
#include "base/source.hpp"
#include "meaning/program.hpp"
#include "notices/notice.hpp"

#include <string>
#include <string_view>

namespace dripleg::project {
// Program and sources must be empty. Costs no more than making views of what is linked in.
void embedded_library(meaning::Program& program, base::Sources& sources);
// The linked bytes themselves.
std::string_view embedded_image();

// Folders with the library's text, parted by `:`; all of their files are one library. Program and sources
// must be empty. False, with notices: some of it could not be read, or has errors; the rest is there.
bool library_from_folder(const std::string& folders, meaning::Program& program, base::Sources& sources,
                         notices::Notices& notices);
}  // namespace dripleg::project
