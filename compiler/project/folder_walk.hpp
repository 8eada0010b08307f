// Finds files beneath a root: real folders and regular files only, in order of bytes, however the
// system lists them. Links are passed by, so a walk ends and stays inside.
#pragma once
#include "notices/notice.hpp"
#include "project/opener.hpp"

namespace dripleg::project {
struct Walk {
  std::vector<std::string> paths;   // relative to the root, `/` between names
  bool complete = true;             // nothing was left out, but names that begin with a dot
};
// `shown_prefix` stands before paths in notices. Names with characters that cannot be shown are refused.
Walk files_beneath(const Root& root, std::string_view shown_prefix, std::string_view ending, notices::Notices& notices);
}  // namespace dripleg::project
