#include "folder.hpp"

#include "base/limits.hpp"
#include "notices/order.hpp"
#include "project/load.hpp"
#include "project/refusal.hpp"

#include <sys/stat.h>
#include <unistd.h>

using namespace dripleg;
using namespace dripleg::project;
using notices::Code;
using project_test::Folder;

namespace {
struct Run {
  base::Sources sources;
  notices::Notices notices;
  Loaded loaded;

  explicit Run(const JobName& job) { loaded = load_job(job, sources, notices); }
  explicit Run(const Folder& folder, const std::string& file = "job.drip") : Run(JobName{folder / file, {}, {}}) {}

  std::vector<std::string> paths() const {
    std::vector<std::string> all;
    for (const auto& file : loaded.files) all.push_back(file.path);
    return all;
  }
  // `code: headline | cure`
  std::vector<std::string> said() const {
    std::vector<std::string> all;
    for (const auto& notice : notices.all())
      all.push_back(std::string(text_of(notice.code)) + ": " + notice.headline +
                    (notice.cures.empty() ? "" : " | " + notice.cures[0]));
    return all;
  }
  std::string marked(std::size_t at) const { return std::string(sources.text(notices.all()[at].place)); }
};
using Said = std::vector<std::string>;
using Paths = std::vector<std::string>;
}  // namespace

TEST_CASE("load: a job, what it uses, and the names for it") {
  Folder folder;
  folder.write("job.drip", "language 1\nuse trade 2026.1\nuse \"makers/mosswick.drip\"\nuse \"makers/other.drip\" as o\n");
  folder.write("makers/mosswick.drip", "use \"../common.drip\"\nuse trade\n");
  folder.write("makers/other.drip", "use \"../common.drip\"\n");
  folder.write("common.drip", "");
  const Run run(folder);
  CHECK(run.said() == Said{});
  CHECK(run.loaded.complete);
  CHECK(run.paths() == Paths{"job.drip", "makers/mosswick.drip", "common.drip", "makers/other.drip"});
  const auto& job = run.loaded.files[0];
  REQUIRE(job.imports.size() == 2);
  CHECK(job.imports[0].alias == "mosswick");
  CHECK(job.imports[0].file == 1);
  CHECK(run.sources.text(job.imports[0].place) == "makers/mosswick.drip");
  CHECK(job.imports[1].alias == "o");
  CHECK(job.imports[1].file == 3);
  REQUIRE(job.libraries.size() == 1);
  CHECK(job.libraries[0].name == "trade");
  CHECK(run.sources.text(job.libraries[0].edition) == "2026.1");
  CHECK(run.loaded.files[1].imports[0].file == 2);
  CHECK(run.loaded.files[3].imports[0].file == 2);
  CHECK_FALSE(run.loaded.files[1].libraries[0].edition.given());
}

TEST_CASE("load: nothing leaves the job's folder") {
  Folder folder;
  folder.write("secret.drip", "secret");
  folder.write("in/job.drip",
               "use \"../secret.drip\"\nuse \"/etc/passwd\"\nuse \"https://x/y.drip\"\nuse \"C:\\\\x.drip\"\nuse \"a/../../secret.drip\"\n");
  const Run run(folder, "in/job.drip");
  CHECK(run.said() ==
        Said{"files.outside: `../secret.drip` lies outside the job's folder | put the file beneath the folder of the job, or name a folder above both with --root",
             "files.address: `/etc/passwd` is no path from this file | write the way from this file's own folder, with `/` between the names",
             "files.address: `https://x/y.drip` is no path from this file | write the way from this file's own folder, with `/` between the names",
             "files.address: `C:\\\\x.drip` is no path from this file | write the way from this file's own folder, with `/` between the names",
             "files.outside: `a/../../secret.drip` lies outside the job's folder | put the file beneath the folder of the job, or name a folder above both with --root"});
  CHECK(run.marked(0) == "../secret.drip");
  CHECK_FALSE(run.loaded.complete);
  CHECK(run.paths() == Paths{"job.drip"});
  // With a root above both, the way up is open.
  folder.write("in/job.drip", "use \"../secret.drip\"\n");
  const Run wider(JobName{folder / "in/job.drip", folder.path(), {}});
  CHECK(wider.said() == Said{});
  CHECK(wider.paths() == Paths{"in/job.drip", "secret.drip"});
}

TEST_CASE("load: links, folders, pipes, endings") {
  Folder folder;
  folder.write("real.drip", "");
  folder.write("text.txt", "");
  folder.write("a.drip/x", "");
  folder.link("link.drip", "real.drip");
  REQUIRE(::mkfifo((folder / "pipe.drip").c_str(), 0600) == 0);
  folder.write("job.drip", "use \"link.drip\"\nuse \"pipe.drip\"\nuse \"a.drip\"\nuse \"text.txt\"\nuse \".drip\"\n");
  const Run run(folder);
  CHECK(run.said() == Said{"files.link: `link.drip` is a link, and links are not followed | name the file that it leads to, or put a copy in its place",
                           "files.not_regular: `pipe.drip` is not a file | name a file, not a folder or device",
                           "files.not_regular: `a.drip` is not a file | name a file, not a folder or device",
                           "files.ending: `text.txt` does not end in `.drip` | rows are read where they are wanted: FIELD from `text.txt`",
                           "files.ending: `.drip` does not end in `.drip` | use a file with this ending"});
}

TEST_CASE("load: a file that the system does not let be read is there all the same") {
  notices::Notices notices;
  Opened opened;
  opened.refusal = Refusal::unreadable;
  report_refusal(opened, "makers/mosswick.drip", {}, notices);
  REQUIRE(notices.size() == 1);
  CHECK(notices.all()[0].code == Code::file_unreadable);
  CHECK(notices.all()[0].headline.find("makers/mosswick.drip") != std::string::npos);
}

TEST_CASE("load: rows are kept as they are") {
  Folder folder;
  folder.write("job.drip", "year {\n  hourly from \"hours.csv\"\n  others { daily from \"hours.csv\" as x, note from \"the office\" }\n}\n");
  folder.write("hours.csv", "{{{ not ours\n1,2\n");
  const Run run(folder);
  CHECK(run.said() == Said{});
  REQUIRE(run.loaded.files.size() == 2);
  REQUIRE(run.loaded.files[0].rows.size() == 2);
  CHECK(run.sources.text(run.loaded.files[0].rows[0].place) == "\"hours.csv\"");
  CHECK(run.loaded.files[0].rows[0].file == run.loaded.files[1].file);
  CHECK(run.loaded.files[0].rows[1].file == run.loaded.files[1].file);
  CHECK_FALSE(run.loaded.files[1].is_text);
  CHECK(run.loaded.files[1].tree.nodes.empty());
  CHECK(run.sources[run.loaded.files[1].file].text() == "{{{ not ours\n1,2\n");
}

TEST_CASE("load: rows are looked for as other files are") {
  Folder folder;
  folder.write("up.csv", "1\n");
  folder.write("in/real.epw", "1\n");
  folder.link("in/link.csv", "real.epw");
  folder.write("in/job.drip", "a { t from \"../up.csv\", t from \"/x.csv\", t from \"link.csv\", t from \"rael.epw\", t from \"makers/part.drip\" }\nuse \"part.drip\"\n");
  folder.write("in/part.drip", "b { t from \"real.epw\" }\n");
  const Run run(folder, "in/job.drip");
  CHECK(run.said() == Said{"files.outside: `../up.csv` lies outside the job's folder | put the file beneath the folder of the job, or name a folder above both with --root",
                           "files.address: `/x.csv` is no path from this file | write the way from this file's own folder, with `/` between the names",
                           "files.link: `link.csv` is a link, and links are not followed | name the file that it leads to, or put a copy in its place",
                           "files.missing: there is no file `rael.epw` | did you mean `real.epw`"});
  CHECK_FALSE(run.loaded.complete);
  REQUIRE(run.loaded.files.size() == 3);
  CHECK(run.loaded.files[0].rows.size() == 4);
  CHECK_FALSE(run.loaded.files[0].rows[3].file.given());
  REQUIRE(run.loaded.files[1].rows.size() == 1);
  CHECK(run.loaded.files[1].rows[0].file == run.loaded.files[2].file);
  const Run alone(JobName{folder / "in/job.drip", folder.path(), {}});
  CHECK(alone.loaded.files[0].rows[0].file.given());
}

TEST_CASE("load: rows keep the rules that every text keeps") {
  Folder folder;
  folder.write("job.drip", "a { t from \"x.csv\" }\n");
  folder.write("x.csv", "a\n\xFF\n\x1b[31m\n");
  const Run run(folder);
  REQUIRE(run.said().size() == 2);
  CHECK(run.said()[0].starts_with("text.invalid_bytes: "));
  CHECK(run.said()[1].starts_with("text.control_character: "));
  CHECK_FALSE(run.loaded.files[0].rows[0].file.given());
}

TEST_CASE("load: missing files and their near names") {
  Folder folder;
  folder.write("makers/mosswick.drip", "");
  folder.write("job.drip", "use \"makers/moswick.drip\"\nuse \"maker/mosswick.drip\"\nuse \"makers/Mosswick.drip\"\nuse \"far.drip\"\n");
  const Run run(folder);
  CHECK(run.said() == Said{"files.missing: there is no file `makers/moswick.drip` | did you mean `mosswick.drip`",
                           "files.missing: there is no file `maker/mosswick.drip`: its folder `maker` is not there | did you mean `makers`",
                           "files.letters: there is no file `makers/Mosswick.drip` with just these capital letters | write `mosswick.drip` as the folder has it",
                           "files.missing: there is no file `far.drip`"});
}

TEST_CASE("load: circles are told as a path") {
  Folder folder;
  folder.write("job.drip", "use \"a.drip\"\n");
  folder.write("a.drip", "use \"b.drip\"\n");
  folder.write("b.drip", "use \"a.drip\"\nuse \"b.drip\"\n");
  const Run run(folder);
  CHECK(run.said() == Said{"files.cycle: files use one another in a circle: `a.drip` -> `b.drip` -> `a.drip` | leave out one of these `use` lines",
                           "files.cycle: `b.drip` uses itself | leave out one of these `use` lines"});
  CHECK(run.paths() == Paths{"job.drip", "a.drip", "b.drip"});
}

TEST_CASE("load: two names that differ only in capital letters") {
  Folder folder;
  folder.write("Makers/a.drip", "");
  folder.write("makers/a.drip", "");
  folder.write("job.drip", "use \"makers/a.drip\"\n");
  const Run run(folder);
  REQUIRE(run.notices.size() == 1);
  CHECK(run.notices.all()[0].code == Code::file_twins);
  CHECK_FALSE(run.notices.any_errors());
  CHECK(run.loaded.complete);
}

TEST_CASE("load: a chain of 64 is followed, one of 65 is not") {
  for (const u32 length : {64u, 65u}) {
    Folder folder;
    folder.write("job.drip", "use \"f1.drip\"\n");
    for (u32 i = 1; i <= length; ++i)
      folder.write("f" + std::to_string(i) + ".drip", i < length ? "use \"f" + std::to_string(i + 1) + ".drip\"\n" : "");
    const Run run(folder);
    CHECK(run.loaded.complete == (length == base::limits::use_depth));
    CHECK(run.said() == (length == 64 ? Said{} : Said{"limit.use_depth: files use one another in a chain of more than 64 | use the last files from the job itself"}));
  }
}

TEST_CASE("load: at most 4 096 files") {
  Folder folder;
  std::string uses;
  for (u32 i = 0; i < base::limits::files; ++i) {
    folder.write("f" + std::to_string(i) + ".drip", "");
    uses += "use \"f" + std::to_string(i) + ".drip\"\n";
  }
  folder.write("job.drip", uses);
  const Run run(folder);
  CHECK(run.loaded.files.size() == base::limits::files);
  CHECK(run.said() == Said{"limit.files: the job uses more than 4096 files | join some of them"});
}

TEST_CASE("load: a file and a job above their limit of bytes") {
  Folder folder;
  folder.write("job.drip", std::string(base::limits::file_bytes + 1, '#'));
  const Run run(folder);
  CHECK(run.loaded.files.empty());
  REQUIRE(run.said().size() == 1);
  CHECK(run.said()[0].starts_with("limit.file: "));
  CHECK(run.said()[0].find("is longer than 16 MiB") != std::string::npos);

  std::string uses;
  for (u32 i = 0; i < 9; ++i) {
    folder.write("c" + std::to_string(i) + ".csv", std::string(base::limits::file_bytes, '\n'));
    uses += "t from \"c" + std::to_string(i) + ".csv\"\n";
  }
  folder.write("job.drip", "a {\n" + uses + "}\n");
  const Run many(folder);
  CHECK(many.loaded.files.size() == 8);
  for (const auto& said : many.said())
    CHECK(said == "limit.closure: the job and what it uses are longer than 128 MiB together | leave out what the job does not need");
  CHECK(many.said().size() == 2);
}

TEST_CASE("load: the job itself must be a file that is there") {
  Folder folder;
  folder.write("job.drip", "");
  folder.link("link.drip", "job.drip");
  const Run missing(folder, "jbo.drip");
  CHECK(missing.said() == Said{"files.missing: there is no file `" + (folder / "jbo.drip") + "` | did you mean `job.drip`"});
  CHECK(missing.loaded.files.empty());
  CHECK(Run(folder, "link.drip").notices.all()[0].code == Code::file_link);
  CHECK(Run(folder, "nowhere/job.drip").notices.all()[0].code == Code::file_missing);
  CHECK(Run(JobName{"/", {}, {}}).loaded.files.empty());
  const Run outside(JobName{folder / "job.drip", folder / "nowhere", {}});
  CHECK(outside.notices.all()[0].code == Code::file_missing);
}

TEST_CASE("load: what people are shown does not depend on where a root lies") {
  Folder folder;
  folder.write("jobs/job.drip", "use \"a.drip\"\n");
  folder.write("jobs/a.drip", "");
  const Run rooted(JobName{"jobs/job.drip", folder.path(), {}});
  CHECK(rooted.sources[rooted.loaded.files[0].file].path() == "jobs/job.drip");
  CHECK(rooted.sources[rooted.loaded.files[1].file].path() == "jobs/a.drip");
  const Run absolute(folder, "jobs/job.drip");
  CHECK(absolute.sources[absolute.loaded.files[0].file].path() == "job.drip");
}

TEST_CASE("load: a library is every file beneath a folder, in order of bytes, hidden ones and links apart") {
  Folder folder;
  folder.write("b/x.drip", "");
  folder.write("a.drip", "use \"nothing.drip\"\n");
  folder.write("Z.drip", "");
  folder.write("b.drip", "");
  folder.write("notes.md", "");
  folder.write(".hidden/c.drip", "");
  folder.link("linked.drip", "a.drip");
  folder.link("turn", ".");
  base::Sources sources;
  notices::Notices notices;
  const Loaded library = load_library(folder.path(), sources, notices);
  Paths paths;
  for (const auto& file : library.files) paths.push_back(file.path);
  CHECK(paths == Paths{"Z.drip", "a.drip", "b.drip", "b/x.drip"});
  CHECK(notices.size() == 0);
  CHECK(library.complete);
  CHECK(sources[library.files[1].file].path() == folder / "a.drip");
}

TEST_CASE("load: a library's names must be fit to be shown, its folders not too deep") {
  Folder folder;
  folder.write("a\x1b.drip", "");
  std::string deep;
  for (u32 i = 0; i < base::limits::folder_depth + 2; ++i) deep += "d/";
  folder.write(deep + "x.drip", "");
  base::Sources sources;
  notices::Notices notices;
  const Loaded library = load_library(folder.path(), sources, notices);
  CHECK_FALSE(library.complete);
  REQUIRE(notices.size() == 2);
  CHECK(notices.all()[0].code == Code::file_name);
  CHECK(notices.all()[0].headline.find("a\\x1b.drip") != std::string::npos);
  CHECK(notices.all()[1].code == Code::limit_folders);
  CHECK_FALSE(load_library(folder / "nowhere", sources, notices).complete);
}

TEST_CASE("load: a text without a file uses no file") {
  base::Sources sources;
  notices::Notices notices;
  const Loaded loaded = load_text("buffer.drip", "use trade\nuse \"a.drip\"\n", sources, notices);
  REQUIRE(loaded.files.size() == 1);
  CHECK(loaded.files[0].libraries.size() == 1);
  REQUIRE(notices.size() == 1);
  CHECK(notices.all()[0].code == Code::file_outside);
}
