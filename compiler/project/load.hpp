// A job and everything that it uses, read and parsed. The files form a graph without circles; each file
// stands once, in the order in which it was first met. What could not be read has a notice at the `use`
// that asked for it, and the rest is loaded all the same.
#pragma once
#include "base/source.hpp"
#include "meaning/check.hpp"
#include "notices/notice.hpp"
#include "project/opener.hpp"
#include "syntax/tree.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace dripleg::project {
struct Import {
  base::Place place;      // of the path in the `use` line
  std::string alias;      // the name its parts are reached by: after `as`, else the file's name without its ending
  u32 file = 0;           // index in Loaded::files
};
struct LibraryUse {       // `use NAME EDITION`: not a file of the job
  base::Place place;      // of the name
  std::string name;
  base::Place edition;    // not given: none was written
};
struct LoadedFile {
  FileId file;
  std::string path;       // relative to the root, for identities; Source::path() is what people are shown
  bool is_text = true;    // false: rows that fill a table, not in our language, and no tree
  syntax::Tree tree;
  std::vector<meaning::RowFile> rows;   // of `FIELD from "rows.csv"`, in the order written
  std::vector<Import> imports;
  std::vector<LibraryUse> libraries;
};
struct Loaded {
  std::vector<LoadedFile> files;   // the first is the job itself; empty if that could not be read
  bool complete = false;           // every file that was asked for is here
};

struct JobName {
  std::string path;       // as typed: a file, or `-` for standard input
  std::string root;       // folder that nothing may leave; empty: the folder of the job (of `-`: the current one)
  std::string shown;      // of `-`: the name for messages; empty: `-`
};
Loaded load_job(const JobName& job, base::Sources& sources, notices::Notices& notices);

// Every file of the language beneath a folder, by path in order of bytes; their own `use` lines are not followed.
// Shown as `folder/path`.
Loaded load_library(const std::string& folder, base::Sources& sources, notices::Notices& notices);

// Bytes that are in hand already (an editor's buffer, a test): parsed and listed like a file without a root, so
// that a `use` of a file is refused.
Loaded load_text(std::string shown, std::string text, base::Sources& sources, notices::Notices& notices);
}  // namespace dripleg::project
