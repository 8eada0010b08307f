// The library that jobs are judged by: the one inside this program, or one read from folders. Its files are
// the first of a run, so that places in them mean the same wherever it came from.
#pragma once
#include "base/source.hpp"
#include "meaning/program.hpp"
#include "notices/notice.hpp"

#include <cstdlib>
#include <memory>
#include <string>
#include <string_view>

namespace dripleg::project {
// Program and sources must be empty. Costs no more than making views of what is linked in.
void embedded_library(meaning::Program& program, base::Sources& sources);
// The linked bytes themselves.
std::string_view embedded_image();

// An image in memory of its own, made of a library read from folders (nothing else may be in the session).
class LibraryImage {
 public:
  LibraryImage(const meaning::Program& program, const base::Sources& sources);
  std::string_view bytes() const { return {bytes_.get(), size_}; }

 private:
  struct Free {
    void operator()(char* bytes) const { std::free(bytes); }
  };
  std::unique_ptr<char[], Free> bytes_;
  std::size_t size_ = 0;
};

// Folders with the library's text, parted by `:`; all of their files are one library. Program and sources
// must be empty. False, with notices: some of it could not be read, or has errors; the rest is there.
bool library_from_folder(const std::string& folders, meaning::Program& program, base::Sources& sources,
                         notices::Notices& notices);
}  // namespace dripleg::project
