// A folder of its own for one test, gone afterwards.
#pragma once
#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace project_test {
class Folder {
 public:
  Folder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "dripleg-test-XXXXXX").string();
    REQUIRE(mkdtemp(pattern.data()) != nullptr);
    path_ = pattern;
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { std::filesystem::remove_all(path_); }

  std::string path() const { return path_; }
  std::string operator/(const std::string& name) const { return path_ + "/" + name; }
  void write(const std::string& name, const std::string& bytes) const {
    std::filesystem::create_directories((std::filesystem::path(path_) / name).parent_path());
    std::ofstream(path_ + "/" + name, std::ios::binary) << bytes;
  }
  void link(const std::string& name, const std::string& target) const {
    std::filesystem::create_symlink(target, std::filesystem::path(path_) / name);
  }

 private:
  std::string path_;
};

inline std::string content(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}
}  // namespace project_test
