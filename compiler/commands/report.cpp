// `dripleg report`: the papers of a job, as Markdown and HTML.
#include "base/spelling.hpp"
#include "commands/commands.hpp"
#include "commands/opening.hpp"
#include "commands/output.hpp"
#include "project/output_file.hpp"
#include "project/session.hpp"
#include "reports/assemble.hpp"
#include "reports/html_writer.hpp"
#include "reports/markdown_writer.hpp"

#include <fmt/format.h>

namespace dripleg::commands {
int run_report(const Options& options) {
  project::Session session;
  if (!open_and_judge(session, options)) return 2;
  complain_notices(session.sources, session.notices.all(), options);
  if (session.settled.failed != 0) return 2;      // no paper on half a judgement
  const reports::Judged judged{*session.judgement, session.settled, session.sources, session.job_path, DRIPLEG_VERSION, std::string(project::library_edition())};
  const auto papers = reports::assemble(judged, options.layout);
  if (papers.empty()) {
    notices::Notices notices;
    auto& notice = notices.add(notices::Code::place_unknown, {}, fmt::format("there is no layout `{}`", options.layout));
    for (const std::string& near : base::near_spellings(options.layout, reports::layout_names(session.program))) notice.cures.push_back("did you mean `" + near + "`");
    complain_notices(session.sources, notices.all(), options);
    return 2;
  }
  std::string stem = session.job_path;
  if (const auto slash = stem.rfind('/'); slash != std::string::npos) stem.erase(0, slash + 1);
  if (stem.ends_with(".drip")) stem.resize(stem.size() - 5);
  const std::string folder = options.out.empty() ? std::string() : options.out + "/";
  notices::Notices written;
  const auto write = [&](const std::string& path, const std::string& text) {
    std::string why;
    if (project::write_file(path, text, why)) return true;
    written.add(notices::Code::file_not_written, {}, fmt::format("{} could not be written: {}", path, why));
    return false;
  };
  if (!options.out.empty()) {
    std::string why;
    if (!project::make_folder(options.out, why)) written.add(notices::Code::file_not_written, {}, fmt::format("{} could not be made: {}", options.out, why));
  }
  for (const reports::Paper& paper : papers) {
    const std::string base_name = fmt::format("{}{}.{}", folder, stem, paper.layout);
    for (const auto& [ending, text] : {std::pair{std::string(".md"), reports::write_markdown(paper.document)}, std::pair{std::string(".html"), reports::write_html(paper.document)}}) {
      if (write(base_name + ending, text)) put(base_name + ending + "\n");
    }
    for (const auto& [name, text] : paper.drawings) write(folder + name, text);
  }
  if (written.size() != 0) {
    complain_notices(session.sources, written.all(), options);
    return 2;
  }
  return session.settled.breaks != 0 ? 1 : 0;
}
}  // namespace dripleg::commands
