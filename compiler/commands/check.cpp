// `dripleg check`: judges jobs and says what breaks and what is open.
#include "commands/commands.hpp"
#include "commands/findings.hpp"
#include "commands/opening.hpp"
#include "commands/output.hpp"
#include "project/jobs.hpp"

namespace dripleg::commands {
namespace {
// 0 nothing breaks, 1 something does (or, strictly, is open), 2 something could not be judged.
int status_of(const project::Session& session, const Options& options) {
  if (!session.could_judge() || session.settled.failed != 0) return 2;
  if (session.settled.breaks != 0) return 1;
  if (options.strict && (session.settled.open != 0 || session.settled.day_missing)) return 1;
  return 0;
}
}  // namespace

int run_check(const Options& options) {
  notices::Notices search;
  const project::JobList list = project::find_jobs(options.operands, options.root, options.name, search);
  int status = 0;
  if (search.size() != 0 && options.format == Format::text) complain_notices(base::Sources(), search.all(), options);
  if (!list.complete) status = 2;
  std::string document;
  JsonWriter json(document);
  const bool several = list.jobs.size() != 1;
  if (options.format == Format::json && several) json.begin_array();
  for (const project::JobName& job : list.jobs) {
    project::Session session;
    const project::Asked asked = asked_of(options);
    if (session.open_job(job, asked)) session.judge(asked);
    else if (!several && search.size() != 0) session.notices.take(std::move(search));
    const int own = status_of(session, options);
    status = std::max(status, own);
    if (options.format == Format::json) {
      write_json(session, json, own);
      continue;
    }
    if (several) put(job.path + "\n\n");
    put_notices(session.sources, session.notices.all(), options);
    if (!session.could_judge()) continue;
    if (session.notices.size() != 0) put("\n");
    std::string out;
    draw_findings(session, options, drawing_for_output(options), out);
    put(out);
  }
  if (options.format == Format::json) {
    if (list.jobs.empty()) {
      // No job at all still gives a document.
      project::Session session;
      session.notices.take(std::move(search));
      if (several) write_json(session, json, 2);
    }
    if (several) json.end_array();
    json.finish();
    put(document);
  }
  return status;
}
}  // namespace dripleg::commands
