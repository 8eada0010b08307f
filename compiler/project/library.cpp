#include "project/library.hpp"

#include "meaning/check.hpp"
#include "meaning/image.hpp"
#include "project/load.hpp"

#include <cstring>
#include <vector>

namespace dripleg::project {
namespace {
std::vector<std::string> parted(std::string_view folders) {
  std::vector<std::string> parts;
  while (true) {
    const std::size_t end = folders.find(':');
    if (end != 0 && !folders.empty()) parts.emplace_back(folders.substr(0, end));
    if (end == std::string_view::npos) return parts;
    folders.remove_prefix(end + 1);
  }
}
}  // namespace

LibraryImage::LibraryImage(const meaning::Program& program, const base::Sources& sources) {
  const std::string image = meaning::write_image(program, sources);
  const std::size_t room = (image.size() + meaning::image_alignment - 1) / meaning::image_alignment * meaning::image_alignment;
  bytes_.reset(static_cast<char*>(std::aligned_alloc(meaning::image_alignment, room)));
  if (!bytes_) return;
  std::memcpy(bytes_.get(), image.data(), image.size());
  size_ = image.size();
}

bool library_from_folder(const std::string& folders, meaning::Program& program, base::Sources& sources,
                         notices::Notices& notices) {
  const u32 errors_before = notices.errors();
  bool complete = true;
  std::vector<Loaded> loaded;
  for (const std::string& folder : parted(folders)) {
    loaded.push_back(load_library(folder, sources, notices));
    complete = complete && loaded.back().complete;
  }
  std::vector<meaning::SourceTree> units;
  for (const Loaded& folder : loaded)
    for (const LoadedFile& file : folder.files)
      if (file.is_text) units.push_back({.tree = &file.tree, .prefix = {}, .library = true, .job = false});
  meaning::compile(program, sources, units, notices);
  return complete && notices.errors() == errors_before;
}
}  // namespace dripleg::project
