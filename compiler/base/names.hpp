// Interned spellings. A spelling gets one number for ever, in order of first use, so equal names are
// equal numbers and nothing depends on addresses. A table may begin with the names of an image.
#pragma once
#include "base/ids.hpp"
#include "base/pool.hpp"

#include <string>
#include <string_view>

namespace dripleg::base {
u64 hash_bytes(std::string_view text);   // ours and fixed: it stands in images

class Names {
 public:
  struct Entry {
    u32 at = 0;      // in the pool of text
    u32 length = 0;
    u64 hash = 0;
  };
  struct Image {     // what an image keeps: entries, their text, and the open-addressed slots
    std::span<const Entry> entries;
    std::span<const char> text;
    std::span<const u32> slots;
  };

  Names() = default;
  explicit Names(const Image& image);

  NameId intern(std::string_view spelling);
  NameId find(std::string_view spelling) const;   // none if never interned
  std::string_view text(NameId name) const;       // valid as long as the table
  u32 size() const { return entries_.size(); }
  u32 base_size() const { return entries_.base_size(); }

  // For the writer of an image; only on a table without a base.
  const Pool<Entry>& entries() const { return entries_; }
  std::string all_text() const;   // an entry's `at` in an image counts in this
  std::vector<u32> slots() const;

 private:
  NameId find_own(std::string_view spelling, u64 hash) const;
  void grow();

  Pool<Entry> entries_;
  std::span<const char> base_text_;
  std::span<const u32> base_slots_;
  std::vector<u32> own_slots_;       // open-addressed, holds entry number + 1
  u32 own_count_ = 0;
  std::vector<std::vector<char>> blocks_;   // own text in blocks, so views stay valid
  std::vector<const char*> own_begin_;      // for each own entry its text
};
}  // namespace dripleg::base
