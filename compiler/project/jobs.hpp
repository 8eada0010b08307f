// Which jobs a person means by the paths on a command line: files as they are, folders searched for
// files that hold a job. The list is in the order of the paths, within a folder in order of bytes, and
// names no file twice.
#pragma once
#include "project/load.hpp"

#include <span>

namespace dripleg::project {
struct JobList {
  std::vector<JobName> jobs;
  bool complete = true;     // false, with notices: a folder could not be searched, or holds no job
};
// `root` and `shown` as in JobName, for all of them.
JobList find_jobs(std::span<const std::string> paths, const std::string& root, const std::string& shown,
                  notices::Notices& notices);

// A line that begins, without indentation, with the word that names a job.
bool has_job_line(std::string_view text);
}  // namespace dripleg::project
