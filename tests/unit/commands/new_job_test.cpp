#include "commands/new_job.hpp"

#include <doctest/doctest.h>

#include "notices/draw.hpp"
#include "project/load.hpp"
#include "syntax/parser.hpp"

using namespace dripleg;

TEST_CASE("new job: the block of a sketch, found by its name") {
  base::Sources sources;
  notices::Notices notices;
  const FileId file = sources.add("lib.drip", "kind survey { }\nsketch other { a b }\nsketch survey {\n  x y   # why\n}\n");
  const syntax::Tree tree = syntax::parse(sources, file, notices);
  const syntax::Tree* const trees[] = {&tree};
  CHECK(notices.size() == 0);
  CHECK(commands::sketch_block(sources, trees, "survey") == "\n  x y   # why\n");
  CHECK_FALSE(commands::sketch_block(sources, trees, "nothing"));
}

TEST_CASE("new job: its own indentation goes, that inside it stays") {
  CHECK(commands::new_job_text("\n\n  # first\n  a {\n    b ?   \n\n  }\n", "trade") ==
        "language 1\nuse trade\n\n# first\na {\n  b ?\n\n}\n");
  CHECK(commands::new_job_text("", "trade") == "language 1\nuse trade\n\n");
}

TEST_CASE("new job: the library's own survey is text of the language") {
  base::Sources sources;
  notices::Notices notices;
  const auto library = project::load_library(DRIPLEG_SOURCE_DIR "/stdlib", sources, notices);
  std::vector<const syntax::Tree*> trees;
  for (const auto& file : library.files) trees.push_back(&file.tree);
  const auto block = commands::sketch_block(sources, trees, commands::survey_sketch);
  REQUIRE(block);
  const std::string text = commands::new_job_text(*block, "trade");
  CHECK(text.find('?') != std::string::npos);
  project::load_text("job.drip", text, sources, notices);
  for (const auto& notice : notices.all()) FAIL_CHECK(notices::one_line(sources, notice));
}
