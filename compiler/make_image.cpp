// First stage of the build: compiles the library's folders into the image that the program is linked with.
// `dripleg_stage1 [--strict] IMAGE FOLDER...`; strict: no notice is let pass, and no image is written then.
#include "meaning/image.hpp"
#include "notices/draw.hpp"
#include "notices/order.hpp"
#include "project/library.hpp"
#include "project/output_file.hpp"

#include <cstdio>
#include <string>
#include <vector>

namespace {
using namespace dripleg;

void complain(const std::string& line) { std::fprintf(stderr, "%s\n", line.c_str()); }

int make(const std::string& image, const std::string& folders, bool strict) {
  base::Sources sources;
  notices::Notices notices;
  meaning::Program program;
  project::library_from_folder(folders, program, sources, notices);
  for (const notices::Notice& notice : notices::in_order(sources, notices.all())) complain(notices::one_line(sources, notice));
  if (strict && notices.size() != 0) {
    complain("the library has " + std::to_string(notices.size()) + " notices, so no image is made");
    return 1;
  }
  std::string why;
  if (project::write_file(image, meaning::write_image(program, sources), why)) return 0;
  complain(image + " was not written: " + why);
  return 2;
}
}  // namespace

int main(int count, char** words) {
  std::vector<std::string> given(words + 1, words + count);
  const bool strict = !given.empty() && given.front() == "--strict";
  if (strict) given.erase(given.begin());
  if (given.size() < 2) {
    complain("usage: dripleg_stage1 [--strict] IMAGE FOLDER...");
    return 2;
  }
  std::string folders;
  for (std::size_t at = 1; at < given.size(); ++at) folders += (at == 1 ? "" : ":") + given[at];
  return make(given.front(), folders, strict);
}
