// A root folder through which a stranger's files are read. A path below it is opened name by name, so
// that no link, device or `..` can lead anywhere else; a file is read once, to its limit and one
// byte more, and what was read is what is judged.
#pragma once
#include "base/ids.hpp"

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace dripleg::project {
enum class Refusal : u8 {
  none,
  missing,
  unreadable,
  link,
  not_regular,
  too_long,
  bad_name,      // not UTF-8, or characters that cannot be shown
  other_case,    // there only with other capital letters
};

struct Opened {
  Refusal refusal = Refusal::none;
  std::string bytes;
  std::string culprit;                  // the part of the path that was refused, relative to the root
  std::vector<std::string> near;        // missing, other_case: names in that folder like the one asked for
  std::vector<std::string> twins;       // names that differ from one on the path only in capital letters
};

enum class EntryKind : u8 { file, folder, link, other };
struct Entry {
  std::string name;
  EntryKind kind;
};

class Root {
 public:
  // Links on the way to the root itself are followed: it is named by a person, not by a file.
  static std::optional<Root> open(const std::string& folder);
  Root(Root&&) noexcept;
  Root& operator=(Root&&) noexcept;
  ~Root();

  // `path` is relative, with `/` between names, without empty names, `.` and `..`.
  Opened read(std::string_view path) const;
  // Names in a folder below the root, sorted by bytes; none if it is no folder or has too many names.
  std::optional<std::vector<Entry>> list(std::string_view path) const;

 private:
  explicit Root(int handle) : handle_(handle) {}
  const std::vector<std::string>* names(int folder, const std::string& path) const;

  int handle_ = -1;
  mutable std::map<std::string, std::vector<std::string>> listings_;   // folders already read, sorted names
};

// All of standard input, or what precedes one byte beyond the limit.
Opened read_standard_input();

// "a/./b//c" → "a/b/c"; `..` steps back; none if it would leave the top. Nothing is looked up.
std::optional<std::string> plain_path(std::string_view path);
std::string_view folder_of(std::string_view path);   // without the last `/`; empty: the top
std::string_view file_of(std::string_view path);
}  // namespace dripleg::project
