#include "project/folder_walk.hpp"

#include "base/limits.hpp"
#include "base/printable.hpp"
#include "project/refusal.hpp"

#include <algorithm>

namespace dripleg::project {
namespace {
using notices::Code;

struct Folder {
  std::string path;
  u32 depth = 0;
};
}  // namespace

Walk files_beneath(const Root& root, std::string_view shown_prefix, std::string_view ending, notices::Notices& notices) {
  Walk walk;
  const auto refuse = [&](Code code, std::string_view path, std::string_view words) {
    notices.add(code, {}, ticked(std::string(shown_prefix) + std::string(path)) + std::string(words));
    walk.complete = false;
  };
  std::vector<Folder> waiting{{"", 0}};
  while (!waiting.empty()) {
    const Folder folder = std::move(waiting.back());
    waiting.pop_back();
    const auto entries = root.list(folder.path);
    if (!entries) {
      refuse(Code::file_unreadable, folder.path, " cannot be listed");
      continue;
    }
    for (const Entry& entry : *entries) {
      if (entry.name.starts_with('.')) continue;
      const std::string path = folder.path.empty() ? entry.name : folder.path + "/" + entry.name;
      const bool wanted = entry.kind == EntryKind::file && entry.name.size() > ending.size() && entry.name.ends_with(ending);
      if (!wanted && entry.kind != EntryKind::folder) continue;
      if (!base::is_printable(entry.name)) {
        refuse(Code::file_name, path, " has a name with characters that cannot be shown");
      } else if (wanted) {
        walk.paths.push_back(path);
      } else if (folder.depth + 1 >= base::limits::folder_depth) {
        refuse(Code::limit_folders, path, " lies deeper than " + std::to_string(base::limits::folder_depth) + " folders");
      } else {
        waiting.push_back({path, folder.depth + 1});
      }
    }
  }
  std::sort(walk.paths.begin(), walk.paths.end());
  if (walk.paths.size() > base::limits::files) {
    walk.paths.resize(base::limits::files);
    refuse(Code::limit_files, "", " holds more than " + std::to_string(base::limits::files) + " files of this sort");
  }
  return walk;
}
}  // namespace dripleg::project
