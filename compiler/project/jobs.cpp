#include "project/jobs.hpp"

#include "project/folder_walk.hpp"
#include "project/refusal.hpp"

#include <algorithm>
#include <sys/stat.h>

namespace dripleg::project {
namespace {
bool is_folder(const std::string& path) {
  struct stat about {};
  return ::stat(path.c_str(), &about) == 0 && S_ISDIR(about.st_mode);
}

void add(JobList& list, JobName job) {
  const auto same = [&](const JobName& known) { return known.path == job.path; };
  if (std::none_of(list.jobs.begin(), list.jobs.end(), same)) list.jobs.push_back(std::move(job));
}

void search(const std::string& folder, const std::string& root_folder, JobList& list, notices::Notices& notices) {
  const auto root = Root::open(folder);
  if (!root) {
    notices.add(notices::Code::file_unreadable, {}, ticked(folder) + " cannot be opened");
    list.complete = false;
    return;
  }
  const std::string prefix = folder.back() == '/' ? folder : folder + "/";
  const Walk walk = files_beneath(*root, prefix, ".drip", notices);
  list.complete = list.complete && walk.complete;
  bool any = false;
  for (const auto& path : walk.paths) {
    const Opened opened = root->read(path);
    // What cannot be read is left to the judging of it, which says why.
    if (opened.refusal == Refusal::none && !has_job_line(opened.bytes)) continue;
    add(list, {prefix + path, root_folder, {}});
    any = true;
  }
  if (any) return;
  notices.add(notices::Code::file_no_job, {}, "no file beneath " + ticked(folder) + " holds a job")
      .cures.push_back("begin one with `dripleg new FOLDER`");
  list.complete = false;
}
}  // namespace

bool has_job_line(std::string_view text) {
  constexpr std::string_view word = "job";
  while (!text.empty()) {
    if (text.starts_with(word) && text.size() > word.size()) {
      const char next = text[word.size()];
      if (next == ' ' || next == '\t' || next == '"' || next == '{') return true;
    }
    const std::size_t end = text.find('\n');
    text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
  }
  return false;
}

JobList find_jobs(std::span<const std::string> paths, const std::string& root, const std::string& shown,
                  notices::Notices& notices) {
  JobList list;
  for (const std::string& path : paths) {
    if (path != "-" && is_folder(path)) search(path, root, list, notices);
    else add(list, {path, root, path == "-" ? shown : std::string{}});
  }
  return list;
}
}  // namespace dripleg::project
