// Trees in, program records out. Items come from several trees (a library, packs, catalogues, a job);
// names are free of order and of files. What is wrong gets a notice and is left out; the rest is checked.
#pragma once
#include "base/source.hpp"
#include "meaning/program.hpp"
#include "notices/notice.hpp"
#include "syntax/tree.hpp"

#include <array>
#include <span>
#include <string_view>

namespace dripleg::meaning {
// Files that may fill a table.
inline constexpr std::array<std::string_view, 3> row_endings{".csv", ".epw", ".txt"};
inline bool is_rows_file(std::string_view path) {
  for (const std::string_view ending : row_endings)
    if (path.size() > ending.size() && path.ends_with(ending)) return true;
  return false;
}
// `FIELD from "rows.csv"`: the file that a line names.
struct RowFile {
  base::Place place;       // of the text in quotes
  FileId file;             // none: it could not be read, and that was told
};
struct SourceTree {
  const syntax::Tree* tree = nullptr;
  NameId prefix;           // of a catalogue: the name its parts are reached by
  bool library = false;    // may declare kinds, rules …; a bare text is no source there
  bool job = false;        // its things are the job's own
  std::span<const RowFile> rows;   // files of rows that it names, read
};

// Appends to the program (which may begin with a library's image).
void compile(Program& program, const base::Sources& sources, std::span<const SourceTree> units,
             notices::Notices& notices);
}  // namespace dripleg::meaning
