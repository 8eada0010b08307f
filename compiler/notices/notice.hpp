// One notice: what is wrong (or worth a look), where, and what cures it. Every phase makes the same
// kind; a phase can only use a code of the register. Notices hold finished words, in plain text.
#pragma once
#include "base/place.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace dripleg::notices {
enum class Severity : u8 { error, warning, remark };

enum class Code : u16 {
#define NOTICE(id, code, severity, about) id,
#include "notices/register.def"
#undef NOTICE
  count
};

struct CodeEntry {
  std::string_view code;    // floor.word_word
  Severity severity;
  std::string_view about;   // one sentence for the page of codes
};
const CodeEntry& entry_of(Code code);
std::string_view text_of(Code code);

struct Label {
  base::Place place;
  std::string words;        // read against the text it marks; does not repeat the headline
};

struct Notice {
  Code code;
  Severity severity;
  base::Place place;        // narrowest stretch that is wrong; not given: about the whole run
  std::string headline;     // complete by itself, lower-case start, no full stop
  std::vector<Label> labels;
  std::vector<std::string> cures;   // each one line: "did you mean `x`", "write 14_600"
};

// Where phases put what they find. Keeps order of arrival; sorting and merging are done once, at the edge.
class Notices {
 public:
  Notice& add(Code code, base::Place place, std::string headline);
  const std::vector<Notice>& all() const { return all_; }
  bool any_errors() const { return errors_ != 0; }
  u32 errors() const { return errors_; }
  u32 size() const { return static_cast<u32>(all_.size()); }
  void take(Notices&& other);
  void shrink_to(u32 size);           // forget what came after; for trial parses

 private:
  std::vector<Notice> all_;
  u32 errors_ = 0;
};
}  // namespace dripleg::notices
