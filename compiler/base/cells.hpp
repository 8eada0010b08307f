// A text of lines, each of cells parted by one sign: rows as programs and instruments write them. A cell in
// quotes may hold the sign, and `""` for a quote; it ends on its line. Nothing here knows what a cell means.
#pragma once
#include "base/place.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace dripleg::base {
struct TextCell {
  Span span;             // in the text, without blanks around it and with its quotes
  std::string text;      // without quotes
};
struct CellLine {
  Span span;             // without its line end
  u32 number = 0;        // of the line, from 1
  std::vector<TextCell> cells;
  bool open_quote = false;   // a cell opens a quote that its line does not close, or goes on behind it
  bool blank = false;
};

class CellReader {
 public:
  CellReader(std::string_view text, char sign);
  // The next line, taken apart; false at the end of the text.
  bool next(CellLine& line);
  // The next line, only passed over; false at the end.
  bool skip();

 private:
  bool take(Span& line);
  std::string_view text_;
  u32 at_;
  u32 number_ = 0;
  char sign_;
};
}  // namespace dripleg::base
