#include "base/cells.hpp"

#include "base/utf8.hpp"

namespace dripleg::base {
namespace {
bool is_blank(char c) { return c == ' ' || c == '\t'; }
}  // namespace

CellReader::CellReader(std::string_view text, char sign) : text_(text), at_(begin_of_text(text)), sign_(sign) {}

bool CellReader::take(Span& line) {
  if (at_ >= text_.size()) return false;
  const std::size_t found = text_.find('\n', at_);
  const u32 end = static_cast<u32>(found == std::string_view::npos ? text_.size() : found);
  line = {at_, end > at_ && text_[end - 1] == '\r' ? end - 1 : end};
  at_ = end + 1;
  ++number_;
  return true;
}

bool CellReader::skip() {
  Span line;
  return take(line);
}

bool CellReader::next(CellLine& line) {
  if (!take(line.span)) return false;
  line.number = number_;
  line.cells.clear();
  line.open_quote = false;
  u32 at = line.span.begin;
  const u32 end = line.span.end;
  const auto skip_blanks = [&] {
    while (at < end && text_[at] != sign_ && is_blank(text_[at])) ++at;
  };
  skip_blanks();
  line.blank = at == end;
  if (line.blank) return true;
  for (;;) {
    TextCell cell;
    skip_blanks();
    cell.span.begin = at;
    if (at < end && text_[at] == '"') {
      for (++at; at < end; ++at) {
        if (text_[at] != '"') cell.text += text_[at];
        else if (at + 1 < end && text_[at + 1] == '"') cell.text += text_[at++];
        else break;
      }
      line.open_quote = line.open_quote || at == end;
      if (at < end) ++at;
      cell.span.end = at;
      skip_blanks();
      line.open_quote = line.open_quote || (at < end && text_[at] != sign_);
    }
    if (at < end && text_[at] != sign_) {
      while (at < end && text_[at] != sign_) ++at;
      cell.span.end = at;
      while (cell.span.end > cell.span.begin && is_blank(text_[cell.span.end - 1])) --cell.span.end;
      cell.text = text_.substr(cell.span.begin, cell.span.size());
    } else if (cell.span.end < cell.span.begin) {
      cell.span.end = at;
    }
    line.cells.push_back(std::move(cell));
    if (at >= end) return true;
    ++at;       // behind the sign; a last cell may be empty
  }
}
}  // namespace dripleg::base
