#include "base/source.hpp"

#include <algorithm>

namespace dripleg::base {
Source::Source(std::string path, std::string text)
    : path_(std::move(path)), owned_(std::move(text)), text_(owned_) {}
Source::Source(std::string path, std::string_view borrowed, int)
    : path_(std::move(path)), text_(borrowed) {}

void Source::ensure_lines() const {
  if (!line_begins_.empty()) return;
  line_begins_.push_back(0);
  for (u32 at = 0; at < text_.size(); ++at)
    if (text_[at] == '\n') line_begins_.push_back(at + 1);
}

LineColumn Source::line_column(u32 offset) const {
  ensure_lines();
  const auto next = std::upper_bound(line_begins_.begin(), line_begins_.end(), offset);
  const u32 line = static_cast<u32>(next - line_begins_.begin());
  u32 column = 1;
  for (u32 at = line_begins_[line - 1]; at < offset && at < text_.size(); ++at)
    if ((static_cast<unsigned char>(text_[at]) & 0xC0) != 0x80) ++column;
  return {line, column};
}

u32 Source::utf16_column(u32 offset) const {
  ensure_lines();
  const auto next = std::upper_bound(line_begins_.begin(), line_begins_.end(), offset);
  u32 column = 0;
  for (u32 at = *(next - 1); at < offset && at < text_.size(); ++at) {
    const unsigned char c = static_cast<unsigned char>(text_[at]);
    if ((c & 0xC0) != 0x80) column += c >= 0xF0 ? 2 : 1;
  }
  return column;
}

Span Source::line_span(u32 line) const {
  ensure_lines();
  const u32 begin = line_begins_[line - 1];
  u32 end = line < line_begins_.size() ? line_begins_[line] - 1 : static_cast<u32>(text_.size());
  if (end > begin && text_[end - 1] == '\r') --end;
  return {begin, end};
}

u32 Source::line_count() const {
  ensure_lines();
  return static_cast<u32>(line_begins_.size());
}

FileId Sources::add(std::string path, std::string text) {
  files_.push_back(std::make_unique<Source>(std::move(path), std::move(text)));
  return FileId{size() - 1};
}
FileId Sources::borrow(std::string path, std::string_view text) {
  files_.push_back(std::make_unique<Source>(std::move(path), text, 0));
  return FileId{size() - 1};
}
}  // namespace dripleg::base
