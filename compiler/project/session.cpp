#include "project/session.hpp"

#include "base/sha256.hpp"
#include "meaning/check.hpp"
#include "meaning/image.hpp"
#include "project/library.hpp"

#include <fmt/format.h>

namespace dripleg::project {
using notices::Code;

std::string_view library_edition() { return "2026.1"; }

Session::Session() = default;
Session::~Session() = default;

bool Session::open_library(const Asked& asked) {
  if (asked.library.empty()) {
    embedded_library(program, sources);
    return true;
  }
  if (!asked.image.empty() && meaning::read_image(asked.image, program, sources)) return true;
  return library_from_folder(asked.library, program, sources, notices);
}

// The library of a `use` line must be the one that is here, in its edition.
bool Session::check_uses() {
  bool good = true;
  for (const LoadedFile& file : loaded.files)
    for (const LibraryUse& use : file.libraries) {
      if (use.name != "trade") {
        notices.add(Code::library_unknown, use.place, fmt::format("there is no library {}", use.name)).cures.push_back("use trade");
        good = false;
      } else if (use.edition.given() && sources.text(use.edition) != library_edition()) {
        notices.add(Code::edition_unknown, use.edition, fmt::format("edition {} of the library is not here", sources.text(use.edition)))
            .cures.push_back(fmt::format("this program has edition {}", library_edition()));
        good = false;
      }
    }
  return good;
}

bool Session::open_job(const JobName& job, const Asked& asked) {
  if (!open_library(asked)) return false;
  const u32 before = notices.errors();
  loaded = load_job(job, sources, notices);
  if (loaded.files.empty()) return false;
  job_path = loaded.files.front().path;
  check_uses();
  std::vector<meaning::SourceTree> units;
  for (std::size_t at = 0; at < loaded.files.size(); ++at) {
    const LoadedFile& file = loaded.files[at];
    if (!file.is_text) continue;
    meaning::SourceTree unit;
    unit.tree = &file.tree;
    unit.rows = file.rows;
    unit.job = at == 0;
    for (const LoadedFile& other : loaded.files)
      for (const Import& import : other.imports)
        if (import.file == at && !unit.prefix.given()) unit.prefix = program.names.intern(import.alias);
    units.push_back(unit);
  }
  meaning::compile(program, sources, units, notices);
  return notices.errors() == before && loaded.complete;
}

bool Session::check_units(std::span<const meaning::SourceTree> units) {
  const u32 before = notices.errors();
  meaning::compile(program, sources, units, notices);
  return notices.errors() == before;
}

void Session::judge(const Asked& asked) {
  judge::Options options;
  options.everything = asked.everything;
  options.system = asked.system;
  options.only = asked.only;
  judgement = std::make_unique<judge::Judgement>(program, notices, options);
  judgement->run();
  settled = settle::settle(*judgement, asked.day, notices);
  if (!program.job_code.given() && !asked.everything && judgement->in_force().waiting_for_code() != 0)
    notices.add(Code::code_not_said, {loaded.files.front().file, {0, 0}}, fmt::format("the job does not say to which code it is held, so {} rules wait", judgement->in_force().waiting_for_code()))
        .cures.push_back("write `code NAME` in the job's head");
}

std::string fingerprint(std::string_view job_path, judge::Judgement& judgement, const judge::Finding& finding) {
  // Each part is closed by a NUL, so that no two identities can run together.
  std::string identity("dripleg.finding.1");
  identity += '\0';
  const auto add = [&](std::string_view part) {
    identity += part;
    identity += '\0';
  };
  add(job_path);
  add(judgement.program().text(judgement.program().rules[finding.rule.value].name));
  if (finding.subjects.empty()) add("job");
  for (const meaning::ThingId subject : finding.subjects) add(judgement.evaluation().name_of(subject));
  return base::sha256_hex(identity).substr(0, 32);
}
}  // namespace dripleg::project
