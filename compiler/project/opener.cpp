#include "project/opener.hpp"

#include "base/limits.hpp"
#include "base/printable.hpp"
#include "base/spelling.hpp"

#include <algorithm>
#include <cerrno>
#include <dirent.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

namespace dripleg::project {
namespace {
// A descriptor that is closed when it goes out of sight.
class Handle {
 public:
  explicit Handle(int number) : number_(number) {}
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  ~Handle() {
    if (number_ >= 0) ::close(number_);
  }
  int number() const { return number_; }
  void take(int number) {
    if (number_ >= 0) ::close(number_);
    number_ = number;
  }

 private:
  int number_;
};

Refusal refusal_of(int error) {
  if (error == ENOENT || error == ENAMETOOLONG) return Refusal::missing;
  if (error == ELOOP) return Refusal::link;
  if (error == ENOTDIR || error == ENXIO || error == ENODEV) return Refusal::not_regular;
  return Refusal::unreadable;
}

// A folder opened without following links says ENOTDIR for a link and for a file alike.
Refusal folder_refusal(int folder, const std::string& name, int error) {
  struct stat about {};
  if (::fstatat(folder, name.c_str(), &about, AT_SYMLINK_NOFOLLOW) == 0 && S_ISLNK(about.st_mode)) return Refusal::link;
  return refusal_of(error);
}

// One read to size + 1 for a file that says its size; more only for one that grows or says none.
Refusal read_all(int handle, std::size_t expected, std::string& bytes) {
  const std::size_t most = base::limits::file_bytes + 1;
  std::size_t have = 0;
  bytes.resize(std::min(expected + 1, most));
  while (have < most) {
    if (have == bytes.size()) bytes.resize(std::min(most, bytes.size() * 2 + 4096));
    const ssize_t got = ::read(handle, bytes.data() + have, bytes.size() - have);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return Refusal::unreadable;
    if (got == 0) break;
    have += static_cast<std::size_t>(got);
  }
  bytes.resize(have);
  return have > base::limits::file_bytes ? Refusal::too_long : Refusal::none;
}

std::string lower(std::string_view text) {
  std::string folded(text);
  for (char& c : folded)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return folded;
}

std::vector<std::string> near_names(const std::vector<std::string>& names, std::string_view wanted) {
  std::vector<std::string_view> known;
  std::vector<std::string> near;
  for (const auto& name : names) {
    if (!base::is_printable(name)) continue;
    known.push_back(name);
    if (lower(name) == lower(wanted)) near.push_back(name);
  }
  if (!near.empty()) return near;
  return base::near_spellings(wanted, known);
}
}  // namespace

std::optional<std::string> plain_path(std::string_view path) {
  std::vector<std::string_view> names;
  while (!path.empty()) {
    const std::size_t stroke = path.find('/');
    const std::string_view name = path.substr(0, stroke);
    path = stroke == std::string_view::npos ? std::string_view{} : path.substr(stroke + 1);
    if (name.empty() || name == ".") continue;
    if (name != "..") names.push_back(name);
    else if (names.empty()) return std::nullopt;
    else names.pop_back();
  }
  std::string plain;
  for (const auto name : names) {
    if (!plain.empty()) plain += '/';
    plain += name;
  }
  return plain;
}

std::string_view folder_of(std::string_view path) {
  const std::size_t stroke = path.rfind('/');
  return stroke == std::string_view::npos ? std::string_view{} : path.substr(0, stroke);
}

std::string_view file_of(std::string_view path) {
  const std::size_t stroke = path.rfind('/');
  return stroke == std::string_view::npos ? path : path.substr(stroke + 1);
}

std::optional<Root> Root::open(const std::string& folder) {
  const int handle = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (handle < 0) return std::nullopt;
  return Root(handle);
}
Root::Root(Root&& other) noexcept
    : handle_(std::exchange(other.handle_, -1)), listings_(std::move(other.listings_)) {}
Root& Root::operator=(Root&& other) noexcept {
  std::swap(handle_, other.handle_);
  std::swap(listings_, other.listings_);
  return *this;
}
Root::~Root() {
  if (handle_ >= 0) ::close(handle_);
}

const std::vector<std::string>* Root::names(int folder, const std::string& path) const {
  if (const auto known = listings_.find(path); known != listings_.end()) return &known->second;
  const int again = ::openat(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  DIR* const stream = again < 0 ? nullptr : ::fdopendir(again);
  if (!stream) {
    if (again >= 0) ::close(again);
    return nullptr;
  }
  std::vector<std::string> names;
  while (const dirent* entry = ::readdir(stream)) {
    const std::string_view name = entry->d_name;
    if (name == "." || name == "..") continue;
    if (names.size() == base::limits::folder_names) {
      ::closedir(stream);
      return nullptr;
    }
    names.emplace_back(name);
  }
  ::closedir(stream);
  std::sort(names.begin(), names.end());
  return &listings_.emplace(path, std::move(names)).first->second;
}

Opened Root::read(std::string_view path) const {
  Opened opened;
  const auto refuse = [&](Refusal refusal, std::string_view culprit) {
    opened.refusal = refusal;
    opened.culprit = culprit;
    opened.bytes.clear();
    return opened;
  };
  if (!base::is_printable(path)) return refuse(Refusal::bad_name, path);
  Handle folder(::openat(handle_, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  std::size_t begin = 0;
  while (true) {
    const std::size_t stroke = path.find('/', begin);
    const bool last = stroke == std::string_view::npos;
    const std::string_view until_here = path.substr(0, stroke);
    const std::string name(path.substr(begin, last ? stroke : stroke - begin));
    const std::vector<std::string>* const listing = names(folder.number(), std::string(folder_of(until_here)));
    if (!listing) return refuse(Refusal::unreadable, folder_of(until_here));
    if (!std::binary_search(listing->begin(), listing->end(), name)) {
      opened.near = near_names(*listing, name);
      const bool other_case = !opened.near.empty() && lower(opened.near.front()) == lower(name);
      return refuse(other_case ? Refusal::other_case : Refusal::missing, until_here);
    }
    for (const auto& twin : *listing)
      if (twin != name && twin.size() == name.size() && lower(twin) == lower(name)) opened.twins.push_back(twin);
    if (!last) {
      const int next = ::openat(folder.number(), name.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
      if (next < 0) return refuse(folder_refusal(folder.number(), name, errno), until_here);
      folder.take(next);
      begin = stroke + 1;
      continue;
    }
    // Looked at first, since to open a device can already do something; and what takes the
    // file's place in between must not make us wait, hence O_NONBLOCK.
    struct stat about {};
    if (::fstatat(folder.number(), name.c_str(), &about, AT_SYMLINK_NOFOLLOW) != 0) return refuse(refusal_of(errno), path);
    if (S_ISLNK(about.st_mode)) return refuse(Refusal::link, path);
    if (!S_ISREG(about.st_mode)) return refuse(Refusal::not_regular, path);
    const Handle file(::openat(folder.number(), name.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY | O_CLOEXEC));
    if (file.number() < 0) return refuse(refusal_of(errno), path);
    if (::fstat(file.number(), &about) != 0) return refuse(Refusal::unreadable, path);
    if (!S_ISREG(about.st_mode)) return refuse(Refusal::not_regular, path);
    if (about.st_size > static_cast<off_t>(base::limits::file_bytes)) return refuse(Refusal::too_long, path);
    const Refusal refusal = read_all(file.number(), static_cast<std::size_t>(about.st_size), opened.bytes);
    return refusal == Refusal::none ? opened : refuse(refusal, path);
  }
}

std::optional<std::vector<Entry>> Root::list(std::string_view path) const {
  Handle folder(::openat(handle_, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  std::string_view rest = path;
  while (!rest.empty()) {
    const std::size_t stroke = rest.find('/');
    const std::string name(rest.substr(0, stroke));
    rest = stroke == std::string_view::npos ? std::string_view{} : rest.substr(stroke + 1);
    const int next = ::openat(folder.number(), name.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    if (next < 0) return std::nullopt;
    folder.take(next);
  }
  const std::vector<std::string>* const listing = names(folder.number(), std::string(path));
  if (!listing) return std::nullopt;
  std::vector<Entry> entries;
  for (const auto& name : *listing) {
    struct stat about {};
    if (::fstatat(folder.number(), name.c_str(), &about, AT_SYMLINK_NOFOLLOW) != 0) continue;
    const EntryKind kind = S_ISREG(about.st_mode)   ? EntryKind::file
                           : S_ISDIR(about.st_mode) ? EntryKind::folder
                           : S_ISLNK(about.st_mode) ? EntryKind::link
                                                    : EntryKind::other;
    entries.push_back({name, kind});
  }
  return entries;
}

Opened read_standard_input() {
  Opened opened;
  opened.refusal = read_all(STDIN_FILENO, 4095, opened.bytes);
  if (opened.refusal != Refusal::none) opened.bytes.clear();
  return opened;
}
}  // namespace dripleg::project
