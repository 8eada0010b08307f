// Apart from `library.cpp`, since the program that makes the image is linked without one.
#include "meaning/image.hpp"
#include "project/library.hpp"

#include <cstdlib>

extern "C" {
extern const char dripleg_library_image[];
extern const char dripleg_library_image_end[];
}

namespace dripleg::project {
std::string_view embedded_image() {
  return {dripleg_library_image, static_cast<std::size_t>(dripleg_library_image_end - dripleg_library_image)};
}

void embedded_library(meaning::Program& program, base::Sources& sources) {
  // The build links what its own first stage wrote, so only a caller with things of its own gets here.
  if (!meaning::read_image(embedded_image(), program, sources)) std::abort();
}
}  // namespace dripleg::project
