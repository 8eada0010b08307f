#include "folder.hpp"

#include "project/jobs.hpp"

#include <sys/stat.h>

using namespace dripleg;
using namespace dripleg::project;
using project_test::Folder;

namespace {
std::vector<std::string> paths(const JobList& list) {
  std::vector<std::string> all;
  for (const auto& job : list.jobs) all.push_back(job.path);
  return all;
}
}  // namespace

TEST_CASE("jobs: a line of its own begins a job") {
  CHECK(has_job_line("language 1\njob \"Yard\" {\n}\n"));
  CHECK(has_job_line("job{ }"));
  CHECK_FALSE(has_job_line("  job \"inside\" { }\n"));
  CHECK_FALSE(has_job_line("jobs x { }\njob"));
  CHECK_FALSE(has_job_line(""));
}

TEST_CASE("jobs: folders are searched, files are taken as they are") {
  Folder folder;
  folder.write("b/job.drip", "job \"B\" { }\n");
  folder.write("a.drip", "use trade\njob \"A\" { }\n");
  folder.write("parts.drip", "boiler x { }\n");
  folder.write("empty.drip", "");
  folder.link("c.drip", "a.drip");
  notices::Notices notices;
  const std::vector<std::string> asked{folder / "parts.drip", folder.path(), folder / "a.drip", "-"};
  const JobList list = find_jobs(asked, "", "typed.drip", notices);
  CHECK(paths(list) == std::vector<std::string>{folder / "parts.drip", folder / "a.drip", folder / "b/job.drip", "-"});
  CHECK(list.complete);
  CHECK(list.jobs[3].shown == "typed.drip");
  CHECK(notices.size() == 0);
}

TEST_CASE("jobs: a folder without a job is told") {
  Folder folder;
  folder.write("parts.drip", "boiler x { }\n");
  notices::Notices notices;
  const std::vector<std::string> asked{folder.path()};
  const JobList list = find_jobs(asked, "", "", notices);
  CHECK(list.jobs.empty());
  CHECK_FALSE(list.complete);
  REQUIRE(notices.size() == 1);
  CHECK(notices.all()[0].code == notices::Code::file_no_job);
}
