#include "folder.hpp"

#include "project/output_file.hpp"

#include <sys/stat.h>

using namespace dripleg;
using project_test::content;
using project_test::Folder;

namespace {
std::size_t names_in(const Folder& folder) {
  std::size_t count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder.path())) count += entry.exists() || entry.is_symlink();
  return count;
}
}  // namespace

TEST_CASE("output: a whole file, and nothing beside it") {
  Folder folder;
  std::string why;
  CHECK(project::write_file(folder / "a.md", "one", why));
  CHECK(content(folder / "a.md") == "one");
  CHECK(project::write_file(folder / "a.md", std::string(1 << 20, 'x'), why));
  CHECK(content(folder / "a.md").size() == 1 << 20);
  CHECK(names_in(folder) == 1);
}

TEST_CASE("output: a link is replaced, never written through") {
  Folder folder, outside;
  outside.write("precious", "keep");
  folder.link("a.md", outside / "precious");
  std::string why;
  CHECK(project::write_file(folder / "a.md", "new", why));
  CHECK(content(outside / "precious") == "keep");
  CHECK_FALSE(std::filesystem::is_symlink(folder / "a.md"));
}

TEST_CASE("output: what cannot be written says why and leaves nothing") {
  Folder folder;
  folder.write("b/x", "");
  std::string why;
  CHECK_FALSE(project::write_file(folder / "nowhere/a.md", "x", why));
  CHECK(why == "its folder is not there");
  CHECK_FALSE(project::write_file(folder / "b", "x", why));
  CHECK(why == "a folder has this name");
  CHECK(names_in(folder) == 1);
}

TEST_CASE("output: folders are made as deep as asked") {
  Folder folder;
  folder.write("file", "");
  std::string why;
  CHECK(project::make_folder(folder / "a/b/c", why));
  CHECK(std::filesystem::is_directory(folder / "a/b/c"));
  CHECK(project::make_folder(folder / "a/b/c/", why));
  CHECK_FALSE(project::make_folder(folder / "file/b", why));
  CHECK(why == "a part of the path is no folder");
  CHECK_FALSE(project::make_folder(folder / "file", why));
}
