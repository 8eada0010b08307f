#include "meaning/image.hpp"

#include "meaning/check.hpp"
#include "same_program.hpp"
#include "syntax/parser.hpp"

#include <doctest/doctest.h>
#include <malloc.h>

#include <cstring>
#include <memory>
#include <new>
#include <set>
#include <vector>

using namespace dripleg;
using namespace dripleg::meaning;

namespace {
constexpr std::string_view measures = R"(dimension length { shown ft }
dimension time
dimension number = 1
dimension area = length^2
dimension flow = length^3 / time
unit m is length
unit s is time
unit ft = 0.3048 m { also foot, prints "ft" }
unit gpm = 0.0000630901964 m^3/s
source handbook { title "A handbook", number "H-1", year 2001 }
)";
constexpr std::string_view things = R"(kind metal stock {
  needs roughness length
  may   lined yes_no = no
}
metal brass { roughness 0.000005 ft, per practice "smooth" }
metal iron  { roughness 0.0005 ft, per practice "rough" }

table most_flow by bore up {
  per practice "for the test"
  needs bore length
  needs most flow
  bore     most
  0.05 ft  2 gpm
  0.10 ft  9 gpm
}
function doubled(x length) gives length {
  per computed "twice"
  half = x
  = half * 2
}
kind tank {
  "Holds water."
  needs height length at least 0 ft
  needs made_of metal
  may   spare length = doubled(height)
  gives total length = height + spare
}
rule tank.tall {
  says      "No tank is taller than the room."
  per practice "for the test"
  weight    fault
  limit     most length = 8 ft   per practice "a room"
  for       t in tank where t.made_of.roughness < 1 ft
  require   t.total <= most
  otherwise "{t} is {t.total} high; {most} is the most."
}
)";
constexpr std::string_view job = R"(tank T1 { height 2 ft, made_of brass }
metal iron { roughness 0.001 ft, per practice "measured" }
tank T2 { height ? ft, made_of iron }
tank T3 { height 4 foot, made_of brass, spare 1 ft }
)";

struct Run {
  base::Sources sources;
  notices::Notices notices;
  Program program;
  std::vector<std::unique_ptr<syntax::Tree>> trees;

  void compile(std::initializer_list<std::pair<std::string, std::string_view>> files, bool library) {
    std::vector<SourceTree> units;
    for (const auto& [path, text] : files) {
      const FileId file = sources.add(path, std::string(text));
      trees.push_back(std::make_unique<syntax::Tree>(syntax::parse(sources, file, notices)));
      units.push_back({trees.back().get(), {}, library, !library});
    }
    meaning::compile(program, sources, units, notices);
  }
  void compile_library() { compile({{"lib/measures.drip", measures}, {"lib/things.drip", things}}, true); }
  std::string said() const {
    std::string all;
    for (const auto& notice : notices.all()) all += notice.headline + "\n";
    return all;
  }
};

std::string image_of_library() {
  Run run;
  run.compile_library();
  REQUIRE(run.said() == "");
  return write_image(run.program, run.sources);
}

// Bytes where an image may lie, or off by some.
class Laid {
 public:
  explicit Laid(std::string_view bytes, std::size_t off = 0)
      : memory_(static_cast<char*>(::operator new(bytes.size() + image_alignment, std::align_val_t(image_alignment)))),
        begin_(memory_.get() + off), size_(bytes.size()) {
    std::memcpy(begin_, bytes.data(), size_);
  }
  std::string_view bytes() const { return {begin_, size_}; }

 private:
  struct Free {
    void operator()(char* at) const { ::operator delete(at, std::align_val_t(image_alignment)); }
  };
  std::unique_ptr<char, Free> memory_;
  char* begin_;
  std::size_t size_;
};

bool refuses(std::string_view bytes, std::size_t off = 0) {
  const Laid laid(bytes, off);
  Run run;
  return !read_image(laid.bytes(), run.program, run.sources) && run.program.names.size() == 0 &&
         run.program.kinds.empty() && run.sources.size() == 0;
}
// Leaves its mark in the memory that the next calls use.
[[gnu::noinline]] void fill_stack(unsigned char filling) {
  volatile unsigned char room[256 * 1024];
  for (volatile unsigned char& byte : room) byte = filling;
}
template <class T>
std::string changed(std::string bytes, std::size_t at, T value) {
  std::memcpy(bytes.data() + at, &value, sizeof value);
  return bytes;
}
// Where the header keeps what.
constexpr std::size_t at_version = 8, at_sections = 12, at_layout = 16, at_bytes = 24, at_digest = 32, at_directory = 64;
}  // namespace

TEST_CASE("what is read from an image is what was written") {
  Run direct;
  direct.compile_library();
  const Laid laid(write_image(direct.program, direct.sources));
  Run read;
  REQUIRE(read_image(laid.bytes(), read.program, read.sources));
  CHECK(test::first_difference(direct.program, read.program) == "");
  CHECK(read.program.kinds.size() > 1);
  CHECK(read.program.rules.size() == 1);
  CHECK(read.program.tables.size() == 1);
  CHECK(read.program.kinds.base_size() == read.program.kinds.size());
}

TEST_CASE("texts are borrowed from the image under the numbers that they had") {
  const Laid laid(image_of_library());
  Run read;
  REQUIRE(read_image(laid.bytes(), read.program, read.sources));
  REQUIRE(read.sources.size() == 2);
  CHECK(read.sources[FileId{0}].path() == "lib/measures.drip");
  CHECK(read.sources[FileId{0}].text() == measures);
  CHECK(read.sources[FileId{1}].path() == "lib/things.drip");
  CHECK(read.sources[FileId{1}].text() == things);
  CHECK(read.sources[FileId{1}].text().data() > laid.bytes().data());
  CHECK(read.sources[FileId{1}].text().data() < laid.bytes().data() + laid.bytes().size());
  const base::Place rule = read.program.rules[0].place;
  CHECK(read.sources.text(rule).find("tank.tall") != std::string_view::npos);
}

TEST_CASE("a job means the same upon an image and upon the compiled text") {
  Run direct;
  direct.compile_library();
  direct.compile({{"job.drip", job}}, false);
  const Laid laid(image_of_library());
  Run upon;
  REQUIRE(read_image(laid.bytes(), upon.program, upon.sources));
  upon.compile({{"job.drip", job}}, false);
  CHECK(upon.said() == "");
  CHECK(upon.said() == direct.said());
  CHECK(upon.program.holes.size() == 1);
  CHECK(test::first_difference(direct.program, upon.program) == "");
}

TEST_CASE("a job upon an image leaves the image alone") {
  const std::string written = image_of_library();
  const Laid laid(written);
  Run upon;
  REQUIRE(read_image(laid.bytes(), upon.program, upon.sources));
  upon.compile({{"job.drip", job}}, false);
  CHECK((laid.bytes() == written));
}

TEST_CASE("the same text gives the same bytes, whatever stood in memory") {
  const auto upon = [](int filling) {
    mallopt(M_PERTURB, filling);   // fills what is allocated and what is freed
    fill_stack(static_cast<unsigned char>(filling));
    return image_of_library();
  };
  const std::string first = upon(0x11), second = upon(0x5A), third = upon(0xC3);
  mallopt(M_PERTURB, 0);
  CHECK((first == second));
  CHECK((first == third));
}

// Sets the bytes of a record that belong to none of its members.
template <class T>
bool soil(T& record) {
  unsigned char used[sizeof(T)], bytes[sizeof(T)];
  T every;
  std::memset(static_cast<void*>(&every), 0xFF, sizeof every);
  __builtin_clear_padding(&every);
  std::memcpy(used, &every, sizeof used);
  std::memcpy(bytes, &record, sizeof bytes);
  bool any = false;
  for (std::size_t at = 0; at < sizeof(T); ++at)
    if (used[at] == 0) {
      bytes[at] = 0x5A;
      any = true;
    }
  std::memcpy(static_cast<void*>(&record), bytes, sizeof bytes);
  return any;
}

TEST_CASE("bytes between the members of a record do not reach the image") {
  Run run;
  run.compile_library();
  u32 soiled = 0;
  std::apply(
      [&](auto... pool) {
        const auto each = [&](auto& records) {
          for (u32 at = 0; at < records.size(); ++at) soiled += soil(records.edit(at)) ? 1 : 0;
        };
        (each(run.program.*pool), ...);
      },
      image::pools);
  CHECK(soiled > 20);
  CHECK((write_image(run.program, run.sources) == image_of_library()));
}

TEST_CASE("another text gives other bytes and another digest") {
  Run run;
  run.compile({{"lib/measures.drip", measures}, {"lib/things.drip", std::string(things) + "# more\n"}}, true);
  const std::string other = write_image(run.program, run.sources), one = image_of_library();
  CHECK(other.substr(at_digest, 32) != one.substr(at_digest, 32));
  CHECK(other.substr(at_layout, 8) == one.substr(at_layout, 8));
}

TEST_CASE("every part begins at a multiple of 64 and parts do not overlap") {
  const std::string bytes = image_of_library();
  u64 last = 0;
  std::set<u64> places;
  for (std::size_t part = 0; part < image::part_count; ++part) {
    u64 at = 0;
    std::memcpy(&at, bytes.data() + at_directory + part * 16, sizeof at);
    CHECK(at % image_alignment == 0);
    CHECK(at >= last);
    last = at;
    places.insert(at);
  }
  CHECK(places.size() > 20);
  CHECK(bytes.size() % image_alignment == 0);
}

TEST_CASE("an image without any file or record is read too") {
  const Laid laid(write_image(Program{}, base::Sources{}));
  Run read;
  REQUIRE(read_image(laid.bytes(), read.program, read.sources));
  CHECK(read.sources.size() == 0);
  CHECK(read.program.names.find("tank") == NameId{});
  read.compile_library();
  CHECK(read.said() == "");
}

TEST_CASE("what is no image of this program is refused and changes nothing") {
  const std::string good = image_of_library();
  CHECK_FALSE(refuses(good));
  CHECK(refuses(""));
  CHECK(refuses("dripleg\n"));
  CHECK(refuses(good.substr(0, good.size() / 2)));
  CHECK(refuses(good + std::string(64, '\0')));
  CHECK(refuses(changed(good, 0, 'D')));
  CHECK(refuses(changed(good, at_version, u32{2})));
  CHECK(refuses(changed(good, at_sections, u32{3})));
  CHECK(refuses(changed(good, at_layout, u64{1})));
  CHECK(refuses(changed(good, at_bytes, u64{good.size() - 64})));
  CHECK(refuses(good, 8));
}

TEST_CASE("a part that reaches beyond the bytes is refused") {
  const std::string good = image_of_library();
  for (std::size_t part = 0; part < image::part_count; ++part) {
    const std::size_t entry = at_directory + part * 16;
    CHECK(refuses(changed(good, entry, u64{good.size() + 64})));
    CHECK(refuses(changed(good, entry, u64{65})));
    CHECK(refuses(changed(good, entry + 8, u64{1} << 61)));
    CHECK(refuses(changed(good, entry + 8, u64{good.size()})));
  }
}

TEST_CASE("an image goes beneath nothing that is there already") {
  const Laid laid(image_of_library());
  Run run;
  run.sources.add("first.drip", "");
  CHECK_FALSE(read_image(laid.bytes(), run.program, run.sources));
  Run named;
  named.program.names.intern("first");
  CHECK_FALSE(read_image(laid.bytes(), named.program, named.sources));
}
