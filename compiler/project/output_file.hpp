// Whole files or none: bytes go under a name of their own into the same folder and take the wanted
// name at the end. A reader sees the old file or the new one, and a link is never written through.
#pragma once
#include <string>
#include <string_view>

namespace dripleg::project {
// False: nothing was changed, and `why` says in words what the system refused.
bool write_file(const std::string& path, std::string_view bytes, std::string& why);
// Makes the folder and those above it that are missing.
bool make_folder(const std::string& path, std::string& why);
}  // namespace dripleg::project
