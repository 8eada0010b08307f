#include "folder.hpp"

#include "base/limits.hpp"
#include "project/opener.hpp"

#include <sys/stat.h>
#include <sys/un.h>
#include <sys/socket.h>
#include <unistd.h>

using namespace dripleg;
using namespace dripleg::project;
using project_test::Folder;

namespace {
Opened read(const Folder& folder, std::string_view path) {
  const auto root = Root::open(folder.path());
  REQUIRE(root);
  return root->read(path);
}
}  // namespace

TEST_CASE("opener: a file's bytes, all of them") {
  Folder folder;
  const std::string odd("a\0b\xff\r\n", 6);
  folder.write("a.drip", odd);
  folder.write("one/two/b.drip", "");
  CHECK(read(folder, "a.drip").bytes == odd);
  CHECK(read(folder, "a.drip").refusal == Refusal::none);
  CHECK(read(folder, "one/two/b.drip").refusal == Refusal::none);
  CHECK(read(folder, "one/two/b.drip").bytes.empty());
}

TEST_CASE("opener: what is not there, and what is like it") {
  Folder folder;
  folder.write("makers/mosswick.drip", "x");
  folder.write("makers/Other.drip", "x");
  const auto missing = read(folder, "makers/moswick.drip");
  CHECK(missing.refusal == Refusal::missing);
  CHECK(missing.near == std::vector<std::string>{"mosswick.drip"});
  const auto other = read(folder, "makers/other.drip");
  CHECK(other.refusal == Refusal::other_case);
  CHECK(other.near == std::vector<std::string>{"Other.drip"});
  const auto no_folder = read(folder, "maker/mosswick.drip");
  CHECK(no_folder.refusal == Refusal::missing);
  CHECK(no_folder.culprit == "maker");
  CHECK(no_folder.near == std::vector<std::string>{"makers"});
}

TEST_CASE("opener: names that differ only in capital letters") {
  Folder folder;
  folder.write("Makers/a.drip", "upper");
  folder.write("makers/a.drip", "lower");
  const auto opened = read(folder, "makers/a.drip");
  CHECK(opened.bytes == "lower");
  CHECK(opened.twins == std::vector<std::string>{"Makers"});
}

TEST_CASE("opener: no link is followed, wherever it leads") {
  Folder folder, outside;
  outside.write("secret.drip", "secret");
  folder.write("inside.drip", "x");
  folder.write("real/a.drip", "x");
  folder.link("out.drip", outside / "secret.drip");
  folder.link("in.drip", "inside.drip");
  folder.link("loop.drip", "loop.drip");
  folder.link("dangling.drip", "nowhere");
  folder.link("folder", "real");
  for (const char* path : {"out.drip", "in.drip", "loop.drip", "dangling.drip", "folder/a.drip"}) {
    INFO(path);
    const auto opened = read(folder, path);
    CHECK(opened.refusal == Refusal::link);
    CHECK(opened.bytes.empty());
  }
  CHECK(read(folder, "folder/a.drip").culprit == "folder");
}

TEST_CASE("opener: the root itself may be reached by a link") {
  Folder folder;
  folder.write("real/a.drip", "x");
  folder.link("alias", "real");
  const auto root = Root::open(folder / "alias");
  REQUIRE(root);
  CHECK(root->read("a.drip").bytes == "x");
  CHECK_FALSE(Root::open(folder / "nowhere"));
  CHECK_FALSE(Root::open(folder / "real/a.drip"));
}

TEST_CASE("opener: pipes, sockets and folders are no files, and nothing hangs") {
  Folder folder;
  folder.write("a.drip/inside.drip", "x");
  REQUIRE(::mkfifo((folder / "pipe.drip").c_str(), 0600) == 0);
  CHECK(read(folder, "pipe.drip").refusal == Refusal::not_regular);
  CHECK(read(folder, "a.drip").refusal == Refusal::not_regular);
  CHECK(read(folder, "pipe.drip/x.drip").refusal == Refusal::not_regular);
  const int handle = ::socket(AF_UNIX, SOCK_STREAM, 0);
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  const std::string name = folder / "s.drip";
  REQUIRE(name.size() < sizeof address.sun_path);
  name.copy(address.sun_path, name.size());
  REQUIRE(::bind(handle, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
  CHECK(read(folder, "s.drip").refusal == Refusal::not_regular);
  ::close(handle);
}

TEST_CASE("opener: one byte above the limit is refused, the limit itself is not") {
  Folder folder;
  folder.write("most.drip", std::string(base::limits::file_bytes, '#'));
  folder.write("more.drip", std::string(base::limits::file_bytes + 1, '#'));
  CHECK(read(folder, "most.drip").bytes.size() == base::limits::file_bytes);
  const auto more = read(folder, "more.drip");
  CHECK(more.refusal == Refusal::too_long);
  CHECK(more.bytes.empty());
}

TEST_CASE("opener: names that cannot be shown are refused before they are looked up") {
  Folder folder;
  CHECK(read(folder, "a\x1b.drip").refusal == Refusal::bad_name);
  CHECK(read(folder, "a\xff.drip").refusal == Refusal::bad_name);
  CHECK(read(folder, "a\n.drip").refusal == Refusal::bad_name);
}

TEST_CASE("opener: a name longer than any file's is not there") {
  Folder folder;
  CHECK(read(folder, std::string(5000, 'x')).refusal == Refusal::missing);
}

TEST_CASE("plain paths") {
  CHECK(plain_path("a/./b//c") == "a/b/c");
  CHECK(plain_path("a/../b") == "b");
  CHECK(plain_path("./a/") == "a");
  CHECK(plain_path("a/b/../../c") == "c");
  CHECK_FALSE(plain_path("../a"));
  CHECK_FALSE(plain_path("a/../../b"));
  CHECK(plain_path("") == "");
  CHECK(folder_of("a/b/c") == "a/b");
  CHECK(folder_of("c") == "");
  CHECK(file_of("a/b/c") == "c");
}

TEST_CASE("opener: a folder with more names than the limit is not listed") {
  Folder folder;
  folder.write("0.drip", "x");
  for (u64 i = 1; i < base::limits::folder_names; ++i)
    REQUIRE(::mknod((folder / std::to_string(i)).c_str(), S_IFREG | 0600, 0) == 0);
  CHECK(read(folder, "0.drip").bytes == "x");
  folder.write("one more", "");
  CHECK(read(folder, "0.drip").refusal == Refusal::unreadable);
  CHECK_FALSE(Root::open(folder.path())->list(""));
}
