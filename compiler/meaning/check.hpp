// Trees in, program records out. Items come from several trees (a library, packs, catalogues, a job);
// names are free of order and of files. What is wrong gets a notice and is left out; the rest is checked.
#pragma once
#include "base/source.hpp"
#include "meaning/program.hpp"
#include "notices/notice.hpp"
#include "syntax/tree.hpp"

#include <span>

namespace dripleg::meaning {
struct SourceTree {
  const syntax::Tree* tree = nullptr;
  NameId prefix;           // of a catalogue: the name its parts are reached by
  bool library = false;    // may declare kinds, rules …; a bare text is no source there
  bool job = false;        // its things are the job's own
};

// Appends to the program (which may begin with a library's image).
void compile(Program& program, const base::Sources& sources, std::span<const SourceTree> units,
             notices::Notices& notices);
}  // namespace dripleg::meaning
