#include "commands/opening.hpp"

#include "commands/output.hpp"

namespace dripleg::commands {
project::Asked asked_of(const Options& options) {
  project::Asked asked;
  asked.library = options.library;
  asked.day = options.day;
  return asked;
}

bool open_and_judge(project::Session& session, const Options& options) {
  const project::Asked asked = asked_of(options);
  project::JobName job;
  job.path = options.operands[0];
  job.root = options.root;
  job.shown = options.name;
  if (!session.open_job(job, asked)) {
    complain_notices(session.sources, session.notices.all(), options);
    return false;
  }
  session.judge(asked);
  return true;
}
}  // namespace dripleg::commands
