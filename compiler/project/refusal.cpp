#include "project/refusal.hpp"

#include "base/limits.hpp"
#include "base/printable.hpp"

namespace dripleg::project {
using notices::Code;

std::string ticked(std::string_view name) { return "`" + base::printable(name) + "`"; }

namespace {
std::string alternatives(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i != 0) text += i + 1 == names.size() ? " or " : ", ";
    text += ticked(names[i]);
  }
  return text;
}

void add_with_cure(notices::Notices& notices, Code code, base::Place place, std::string headline, std::string cure) {
  notices.add(code, place, std::move(headline)).cures.push_back(std::move(cure));
}
}  // namespace

void report_refusal(const Opened& opened, std::string_view shown, base::Place place, notices::Notices& notices) {
  const std::string name = ticked(shown);
  const std::string culprit = opened.culprit.empty() ? name : ticked(opened.culprit);
  switch (opened.refusal) {
    case Refusal::none: return;
    case Refusal::missing: {
      const bool folder = !opened.culprit.empty() && file_of(opened.culprit) != file_of(shown);
      auto& notice = notices.add(Code::file_missing, place,
                                 folder ? "there is no file " + name + ": its folder " + culprit + " is not there"
                                        : "there is no file " + name);
      if (!opened.near.empty()) notice.cures.push_back("did you mean " + alternatives(opened.near));
      return;
    }
    case Refusal::other_case:
      add_with_cure(notices, Code::file_letters, place, "there is no file " + name + " with just these capital letters",
                    "write " + alternatives(opened.near) + " as the folder has it");
      return;
    case Refusal::unreadable:
      add_with_cure(notices, Code::file_unreadable, place, "the system does not let " + culprit + " be read",
                    "look at its permissions");
      return;
    case Refusal::link:
      add_with_cure(notices, Code::file_link, place, culprit + " is a link, and links are not followed",
                    "name the file that it leads to, or put a copy in its place");
      return;
    case Refusal::not_regular:
      add_with_cure(notices, Code::file_not_regular, place, culprit + " is not a file",
                    "name a file, not a folder or device");
      return;
    case Refusal::too_long:
      add_with_cure(notices, Code::limit_file, place,
                    name + " is longer than " + std::to_string(base::limits::file_bytes / (1024 * 1024)) + " MiB",
                    "split it into files that use one another");
      return;
    case Refusal::bad_name:
      add_with_cure(notices, Code::file_name, place, "the file name " + name + " holds characters that cannot be shown",
                    "rename the file with plain letters");
      return;
  }
}

void report_twins(const Opened& opened, std::string_view shown, base::Place place, notices::Notices& notices) {
  if (opened.twins.empty()) return;
  add_with_cure(notices, Code::file_twins, place,
                ticked(file_of(shown)) + " and " + alternatives(opened.twins) + " differ only in capital letters",
                "rename one of them: some systems take them for the same file");
}
}  // namespace dripleg::project
