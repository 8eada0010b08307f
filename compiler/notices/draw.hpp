// Notices for people: one drawn with the lines of text it speaks of, or one squeezed into a line for
// tools that look for `path:line:column:`. The words are the notice's own; drawing adds none.
#pragma once
#include "base/source.hpp"
#include "notices/notice.hpp"

namespace dripleg::notices {
struct Drawing {
  bool colour = false;   // escape sequences of a terminal; the words are the same
  u32 width = 100;       // columns; only the place of the right-hand words depends on it
};

std::string_view word_of(Severity severity);   // "error", "warning", "remark"

// Headline, marked lines, cures; ends with a line end. Outside text in it is made printable.
void draw(const base::Sources& sources, const Notice& notice, const Drawing& drawing, std::string& out);

// `path:line:column: severity: headline [code]`, without a line end.
std::string one_line(const base::Sources& sources, const Notice& notice);

// One piece of text with a stretch of it marked underneath. Also used for what is no notice.
struct Excerpt {
  base::Place place;
  std::string words;     // behind the marks; may be empty
};
// Lines `  PATH:LINE    text` and `    ───── words`, all texts beginning in the same column.
void draw_excerpts(const base::Sources& sources, const std::vector<Excerpt>& excerpts, std::string_view mark_colour,
                   const Drawing& drawing, std::string& out);

// A headline at the left and a word that belongs at the right-hand edge; on two lines if they do not fit.
std::string with_right_hand(std::string_view left, std::string_view right, u32 width);
u32 columns_of(std::string_view text);   // characters of valid UTF-8
}  // namespace dripleg::notices
