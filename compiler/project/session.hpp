// One job from its file to what counts of it: read, checked, judged, settled. Owns everything that the
// result refers to. What stops half-way has notices and no judgement; nothing is ever half judged.
#pragma once
#include "project/load.hpp"
#include "meaning/check.hpp"
#include "settle/settle.hpp"

#include <memory>
#include <optional>
#include <string>

namespace dripleg::project {
struct Asked {
  std::string library;              // folders with the library's text; empty: the embedded one
  std::string_view image;           // that library as an image already made, for many sessions over one library
  std::optional<i32> day;           // for acceptances
  bool everything = false;          // every rule, whatever code the job is held to
  quantities::System system = quantities::System::us;
  std::optional<meaning::RuleId> only;
};

class Session {
 public:
  Session();
  ~Session();
  Session(const Session&) = delete;

  // Reads the library; false, with notices: it has errors.
  bool open_library(const Asked& asked);
  // Reads and checks the job; false, with notices: it has errors and cannot be judged.
  bool open_job(const JobName& job, const Asked& asked);
  // Job text that is in hand, for examples: its trees must outlive the session.
  bool check_units(std::span<const meaning::SourceTree> units);
  void judge(const Asked& asked);

  base::Sources sources;
  notices::Notices notices;
  meaning::Program program;
  Loaded loaded;
  std::string job_path;             // relative to its root, for identities
  std::unique_ptr<judge::Judgement> judgement;
  settle::Result settled;
  bool could_judge() const { return judgement != nullptr; }

 private:
  bool check_uses();
};
// First 32 hexadecimal digits of SHA-256 over the finding's identity.
std::string fingerprint(std::string_view job_path, judge::Judgement& judgement, const judge::Finding& finding);
std::string_view library_edition();
}  // namespace dripleg::project
