// Compiles the library from its text and compares with the image that is linked in, which another process
// has made: byte for byte, and by what jobs mean upon either. Runs in the top folder; the folders follow.
#include "meaning/check.hpp"
#include "meaning/image.hpp"
#include "notices/draw.hpp"
#include "project/library.hpp"
#include "syntax/parser.hpp"
#include "unit/meaning/same_program.hpp"

#include <cstdio>
#include <string>

namespace {
using namespace dripleg;

struct Run {
  base::Sources sources;
  notices::Notices notices;
  meaning::Program program;
};

std::string all_notices(const Run& run) {
  std::string all;
  for (const notices::Notice& notice : run.notices.all()) all += notices::one_line(run.sources, notice) + "\n";
  return all;
}

// The job of a sketch, without the braces around it.
std::string job_of(const Run& run, const meaning::Sketch& sketch) {
  const std::string text(run.sources.text(sketch.block));
  return text.substr(text.find('{') + 1, text.rfind('}') - text.find('{') - 1);
}

void compile_job(Run& run, const std::string& text) {
  const FileId file = run.sources.add("job.drip", text);
  const syntax::Tree tree = syntax::parse(run.sources, file, run.notices);
  const meaning::SourceTree unit{&tree, {}, false, true};
  meaning::compile(run.program, run.sources, {&unit, 1}, run.notices);
}

int failures = 0;
void check(bool holds, const std::string& what) {
  if (holds) return;
  ++failures;
  std::fprintf(stderr, "%s\n", what.c_str());
}
}  // namespace

int main(int count, char** words) {
  std::string folders;
  for (int at = 1; at < count; ++at) folders += (at == 1 ? "" : ":") + std::string(words[at]);
  Run text;
  project::library_from_folder(folders, text.program, text.sources, text.notices);
  const std::string image = meaning::write_image(text.program, text.sources);
  check(image == project::embedded_image(), "the linked image is not what the library's text compiles to");
  check(text.sources.size() != 0 && text.program.kinds.size() != 0, "the folders hold no library");

  const u32 sketches = text.program.sketches.size();
  check(sketches != 0, "the library has no sketch to try");
  for (u32 at = 0; at < sketches; ++at) {
    const std::string job = job_of(text, text.program.sketches[at]);
    Run from_text, from_image;
    project::library_from_folder(folders, from_text.program, from_text.sources, from_text.notices);
    project::embedded_library(from_image.program, from_image.sources);
    from_text.notices = {};
    compile_job(from_text, job);
    compile_job(from_image, job);
    const std::string name(text.program.text(text.program.sketches[at].name));
    const std::string differs = meaning::test::first_difference(from_text.program, from_image.program);
    check(differs.empty(), name + ": " + differs + " differs between text and image");
    check(all_notices(from_text) == all_notices(from_image), name + ": other notices upon the text than upon the image");
    check(from_image.program.things.size() > text.program.things.size(), name + ": no thing in the job");
  }
  std::printf("%zu bytes of image, %u sketches\n", image.size(), sketches);
  return failures == 0 ? 0 : 1;
}
