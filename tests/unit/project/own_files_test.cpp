#include <doctest/doctest.h>

#include "notices/draw.hpp"
#include "project/load.hpp"

#include <filesystem>

using namespace dripleg;

TEST_CASE("every file of the library, the layouts and the examples is read without a notice") {
  for (const char* folder : {"stdlib", "reports", "examples"}) {
    const std::string path = std::string(DRIPLEG_SOURCE_DIR) + "/" + folder;
    base::Sources sources;
    notices::Notices notices;
    const auto loaded = project::load_library(path, sources, notices);
    CHECK(loaded.complete);
    for (const auto& notice : notices.all()) FAIL_CHECK(notices::one_line(sources, notice));
    if (std::string_view(folder) == "stdlib") CHECK(loaded.files.size() > 10);
  }
}
