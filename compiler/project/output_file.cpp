#include "project/output_file.hpp"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

namespace dripleg::project {
namespace {
std::string words_of(int error) {
  switch (error) {
    case EACCES:
    case EPERM: return "no permission";
    case ENOSPC:
    case EDQUOT: return "no room left";
    case EROFS: return "the disk can only be read";
    case ENOENT: return "its folder is not there";
    case EISDIR: return "a folder has this name";
    case ENOTDIR: return "a part of the path is no folder";
    case ENAMETOOLONG: return "the name is too long";
    default: return "error " + std::to_string(error) + " of the system";
  }
}

bool write_all(int handle, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t done = ::write(handle, bytes.data(), bytes.size());
    if (done < 0 && errno == EINTR) continue;
    if (done < 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(done));
  }
  return true;
}

// A name in the same folder that nobody has yet.
int open_beside(const std::string& path, std::string& name) {
  for (unsigned attempt = 0; attempt < 1000; ++attempt) {
    name = path + ".part" + std::to_string(::getpid()) + "-" + std::to_string(attempt);
    const int handle = ::open(name.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
    if (handle >= 0 || errno != EEXIST) return handle;
  }
  return -1;
}
}  // namespace

bool write_file(const std::string& path, std::string_view bytes, std::string& why) {
  struct stat about {};
  if (::lstat(path.c_str(), &about) == 0 && S_ISDIR(about.st_mode)) {
    why = words_of(EISDIR);
    return false;
  }
  std::string name;
  const int handle = open_beside(path, name);
  if (handle < 0) {
    why = words_of(errno);
    return false;
  }
  const bool written = write_all(handle, bytes);
  const int write_error = errno;
  const bool closed = ::close(handle) == 0;
  if (written && closed && ::rename(name.c_str(), path.c_str()) == 0) return true;
  why = words_of(written ? errno : write_error);
  ::unlink(name.c_str());
  return false;
}

bool make_folder(const std::string& path, std::string& why) {
  for (std::size_t at = path.find('/', 1);; at = path.find('/', at + 1)) {
    const std::string part = path.substr(0, at);
    if (!part.empty() && ::mkdir(part.c_str(), 0777) != 0 && errno != EEXIST) {
      why = words_of(errno);
      return false;
    }
    if (at == std::string::npos) break;
  }
  struct stat about {};
  if (::stat(path.c_str(), &about) == 0 && S_ISDIR(about.st_mode)) return true;
  why = words_of(ENOTDIR);
  return false;
}
}  // namespace dripleg::project
