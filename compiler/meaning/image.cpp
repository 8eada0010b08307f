#include "meaning/image.hpp"

#include "base/sha256.hpp"
#include "meaning/image_parts.hpp"

#include <array>
#include <bit>
#include <cstring>
#include <memory>
#include <utility>
#include <vector>

namespace dripleg::meaning {
namespace {
static_assert(std::endian::native == std::endian::little, "images are little-endian");

constexpr std::array<char, 8> magic{'d', 'r', 'i', 'p', 'l', 'e', 'g', '\n'};
constexpr u32 version = 1;

struct Section {
  u64 at = 0;                    // byte from the beginning of the image
  u64 count = 0;                 // of records
};
struct Header {
  std::array<char, 8> mark = magic;
  u32 version_number = version;
  u32 sections = image::part_count;
  u64 layout = 0;                // of the records; see layout_number
  u64 bytes = 0;                 // of the whole image
  std::array<u8, 32> sources{};  // SHA-256 of the table of files and of their texts
};
using Directory = std::array<Section, image::part_count>;
static_assert(sizeof(Header) == 64 && sizeof(Header) % alignof(Section) == 0);

template <class T>
using ElementOf = std::remove_cvref_t<T>;

// Differs whenever a record changes its size or alignment, or one comes or goes.
u64 layout_number() {
  u64 number = 0xCBF29CE484222325ull;
  image::Parts none;
  image::each_part(none, [&](auto& span) {
    using T = typename std::remove_reference_t<decltype(span)>::value_type;
    static_assert(alignof(T) <= image_alignment);
    for (const u64 part : {sizeof(T), alignof(T)}) number = (number ^ part) * 0x100000001B3ull;
  });
  return number;
}

void pad(std::string& out) { out.append((image_alignment - out.size() % image_alignment) % image_alignment, '\0'); }

// Records with their unused bytes set to zero: those hold whatever stood in memory before.
template <class T>
void append_records(std::span<const T> records, std::string& out) {
  std::vector<T> clean(records.begin(), records.end());
  for (T& record : clean) __builtin_clear_padding(&record);
  if (!clean.empty()) out.append(reinterpret_cast<const char*>(clean.data()), clean.size() * sizeof(T));
}

std::vector<image::FileRecord> lay_out_files(const base::Sources& sources, std::string& texts) {
  std::vector<image::FileRecord> files(sources.size());
  for (u32 at = 0; at < sources.size(); ++at) {
    const std::string_view path = sources[FileId{at}].path();
    files[at].path_at = static_cast<u32>(texts.size());
    files[at].path_length = static_cast<u32>(path.size());
    texts += path;
  }
  for (u32 at = 0; at < sources.size(); ++at) {
    const std::string_view text = sources[FileId{at}].text();
    files[at].text_at = static_cast<u32>(texts.size());
    files[at].text_length = static_cast<u32>(text.size());
    texts += text;
  }
  return files;
}

std::array<u8, 32> digest(std::span<const image::FileRecord> files, std::string_view texts) {
  base::Sha256 sha;
  sha.add({reinterpret_cast<const char*>(files.data()), files.size_bytes()});
  sha.add(texts);
  return sha.finish();
}

// Names as they stand in an image: text of all in one piece, and where each begins in it.
struct PlainNames {
  std::vector<base::Names::Entry> entries;
  std::string text;
  std::vector<u32> slots;

  explicit PlainNames(const base::Names& names) : text(names.all_text()), slots(names.slots()) {
    u32 at = 0;
    for (u32 number = 0; number < names.size(); ++number) {
      base::Names::Entry entry = names.entries()[number];
      entry.at = at;
      at += entry.length;
      entries.push_back(entry);
    }
  }
};

bool is_aligned(std::string_view bytes) {
  void* begin = const_cast<char*>(bytes.data());
  std::size_t size = bytes.size();
  return std::align(image_alignment, size, begin, size) == bytes.data();
}

template <class T>
std::span<const T> whole(const base::Pool<T>& pool) { return pool.slice(0, pool.size()); }

template <std::size_t... at>
void view_pools(const Program& program, image::Parts& parts, std::index_sequence<at...>) {
  ((std::get<at>(parts.program) = whole(program.*std::get<at>(image::pools))), ...);
}
template <std::size_t... at>
void set_pools(Program& program, const image::Parts& parts, std::index_sequence<at...>) {
  ((program.*std::get<at>(image::pools) = ElementOf<decltype(program.*std::get<at>(image::pools))>(std::get<at>(parts.program))), ...);
}
constexpr auto every_pool = std::make_index_sequence<image::pool_count>{};
}  // namespace

std::string write_image(const Program& program, const base::Sources& sources) {
  const PlainNames names(program.names);
  const std::vector<u32> heads = program.symbols.heads(program.names.size());
  std::string texts;
  const std::vector<image::FileRecord> files = lay_out_files(sources, texts);

  image::Parts parts;
  parts.names = {names.entries, names.text, names.slots};
  parts.heads = heads;
  parts.symbols = whole(program.symbols.all());
  parts.catalogue = program.catalogue.image();
  view_pools(program, parts, every_pool);
  parts.files = files;
  parts.texts = texts;

  Header header;
  Directory directory;
  std::string out(sizeof(Header) + sizeof(Directory), '\0');
  std::size_t number = 0;
  image::each_part(parts, [&](auto& span) {
    pad(out);
    directory[number++] = {out.size(), span.size()};
    append_records(span, out);
  });
  pad(out);
  header.layout = layout_number();
  header.bytes = out.size();
  header.sources = digest(files, texts);
  std::memcpy(out.data(), &header, sizeof header);
  std::memcpy(out.data() + sizeof header, directory.data(), sizeof directory);
  return out;
}

bool read_image(std::string_view bytes, Program& program, base::Sources& sources) {
  if (bytes.size() < sizeof(Header) + sizeof(Directory)) return false;
  if (!is_aligned(bytes)) return false;
  if (sources.size() != 0 || program.names.size() != 0) return false;
  const Header& header = *reinterpret_cast<const Header*>(bytes.data());
  if (header.mark != magic || header.version_number != version || header.sections != image::part_count) return false;
  if (header.layout != layout_number() || header.bytes != bytes.size()) return false;

  const Directory& directory = *reinterpret_cast<const Directory*>(bytes.data() + sizeof(Header));
  image::Parts parts;
  std::size_t number = 0;
  bool good = true;
  image::each_part(parts, [&](auto& span) {
    using T = typename std::remove_reference_t<decltype(span)>::value_type;
    using Plain = std::remove_const_t<T>;
    const Section section = directory[number++];
    good = good && section.at % image_alignment == 0 && section.at <= bytes.size() &&
           section.count <= (bytes.size() - section.at) / sizeof(Plain);
    if (good) span = {reinterpret_cast<const Plain*>(bytes.data() + section.at), static_cast<std::size_t>(section.count)};
  });
  if (!good) return false;
  const std::string_view texts(parts.texts.data(), parts.texts.size());
  for (const image::FileRecord& file : parts.files)
    if (u64{file.path_at} + file.path_length > texts.size() || u64{file.text_at} + file.text_length > texts.size()) return false;

  program.names = base::Names(parts.names);
  program.symbols = Symbols(base::Pool<Symbol>(parts.symbols), base::Pool<u32>(parts.heads));
  program.catalogue = quantities::Catalogue(parts.catalogue);
  set_pools(program, parts, every_pool);
  for (const image::FileRecord& file : parts.files)
    sources.borrow(std::string(texts.substr(file.path_at, file.path_length)), texts.substr(file.text_at, file.text_length));
  return true;
}
}  // namespace dripleg::meaning
