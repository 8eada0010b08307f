// The texts that a run reads. A file is known by the path that is shown to people; its bytes never
// change after it was added; line numbers come from its own table, columns count characters or UTF-16.
#pragma once
#include "base/place.hpp"

#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace dripleg::base {
struct LineColumn {
  u32 line = 1;     // from 1
  u32 column = 1;   // from 1, in Unicode characters
};

class Source {
 public:
  Source(std::string path, std::string text);
  Source(std::string path, std::string_view borrowed, int);   // text that outlives the run, not copied

  std::string_view path() const { return path_; }
  std::string_view text() const { return text_; }
  std::string_view text(Span span) const { return text_.substr(span.begin, span.size()); }
  LineColumn line_column(u32 offset) const;
  u32 utf16_column(u32 offset) const;              // from 0, within its line
  Span line_span(u32 line) const;                  // without its line end; line from 1
  u32 line_count() const;

 private:
  void ensure_lines() const;
  std::string path_;
  std::string owned_;
  std::string_view text_;
  mutable std::vector<u32> line_begins_;           // made when first asked for
};

class Sources {
 public:
  FileId add(std::string path, std::string text);
  FileId borrow(std::string path, std::string_view text);
  const Source& operator[](FileId file) const { return *files_[file.value]; }
  std::string_view text(Place place) const { return (*this)[place.file].text(place.span); }
  u32 size() const { return static_cast<u32>(files_.size()); }

 private:
  std::vector<std::unique_ptr<Source>> files_;
};
}  // namespace dripleg::base
