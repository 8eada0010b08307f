// `dripleg new`: a new job with the questions of a survey as holes, from the library's own sketch.
#include "commands/commands.hpp"
#include "commands/new_job.hpp"
#include "commands/opening.hpp"
#include "commands/output.hpp"
#include "project/session.hpp"
#include "syntax/parser.hpp"

namespace dripleg::commands {
int run_create(const Options& options) {
  project::Session session;
  if (!session.open_library(asked_of(options))) {
    complain_notices(session.sources, session.notices.all(), options);
    return 2;
  }
  const meaning::Symbol* const sketch =
      session.program.symbols.find(session.program.names.find(survey_sketch), meaning::Symbol::What::sketch);
  if (sketch == nullptr) return create_job(options, session.sources, {}, "trade");
  const syntax::Tree tree = syntax::parse(session.sources, session.program.sketches[sketch->index].block.file, session.notices);
  const syntax::Tree* const trees[] = {&tree};
  return create_job(options, session.sources, trees, "trade");
}
}  // namespace dripleg::commands
