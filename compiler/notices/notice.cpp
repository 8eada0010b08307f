#include "notices/notice.hpp"

#include <array>

namespace dripleg::notices {
namespace {
constexpr std::array<CodeEntry, static_cast<std::size_t>(Code::count) + 1> entries{{
#define NOTICE(id, code, severity, about) {code, Severity::severity, about},
#include "notices/register.def"
#undef NOTICE
    {"", Severity::error, ""}}};
}

const CodeEntry& entry_of(Code code) { return entries[static_cast<std::size_t>(code)]; }
std::string_view text_of(Code code) { return entry_of(code).code; }

Notice& Notices::add(Code code, base::Place place, std::string headline) {
  const Severity severity = entry_of(code).severity;
  if (severity == Severity::error) ++errors_;
  all_.push_back(Notice{code, severity, place, std::move(headline), {}, {}});
  return all_.back();
}

void Notices::take(Notices&& other) {
  for (auto& notice : other.all_) all_.push_back(std::move(notice));
  errors_ += other.errors_;
  other.all_.clear();
  other.errors_ = 0;
}

void Notices::shrink_to(u32 size) {
  while (all_.size() > size) {
    if (all_.back().severity == Severity::error) --errors_;
    all_.pop_back();
  }
}
}  // namespace dripleg::notices
