#include "notices/draw.hpp"

#include "base/limits.hpp"
#include "base/printable.hpp"

#include <algorithm>

namespace dripleg::notices {
namespace {
constexpr std::string_view bold = "\x1b[1m", faint = "\x1b[2m", plain = "\x1b[0m";
constexpr std::string_view red = "\x1b[31m", yellow = "\x1b[33m", blue = "\x1b[36m";
constexpr u32 cure_column = 13;

std::string_view colour_of(Severity severity) {
  switch (severity) {
    case Severity::error: return red;
    case Severity::warning: return yellow;
    case Severity::remark: return blue;
  }
  return plain;
}

std::string painted(std::string_view text, std::string_view colour, const Drawing& drawing) {
  if (!drawing.colour || text.empty()) return std::string(text);
  return std::string(colour) + std::string(text) + std::string(plain);
}

std::string place_text(const base::Sources& sources, base::Place place) {
  const base::Source& source = sources[place.file];
  return base::printable(source.path()) + ":" + std::to_string(source.line_column(place.span.begin).line);
}

// A stretch of a line, ready to show: how far to indent the marks and how many there are.
struct Shown {
  std::string text;
  u32 before = 0, marks = 0;
  bool goes_on = false;   // the stretch ends on a later line
};

std::string line_text(std::string_view raw) {
  std::string text(raw);
  std::replace(text.begin(), text.end(), '\t', ' ');
  return base::printable(text);
}

// Bytes of a line that are shown around a stretch, cut at characters.
base::Span window(const base::Source& source, base::Span line, base::Span marked) {
  const u32 most = static_cast<u32>(base::limits::excerpt_columns);
  if (line.size() <= most) return line;
  const auto is_inside = [&](u32 at) { return (static_cast<unsigned char>(source.text()[at]) & 0xC0) == 0x80; };
  u32 begin = line.begin;
  if (marked.begin - line.begin > most / 2) begin = marked.begin - most / 4;
  while (begin > line.begin && is_inside(begin)) --begin;
  u32 end = std::min(line.end, begin + most);
  while (end < line.end && end > begin && is_inside(end)) --end;
  return {begin, end};
}

Shown shown_line(const base::Source& source, base::Span span) {
  const base::Span line = source.line_span(source.line_column(span.begin).line);
  base::Span marked{std::min(span.begin, line.end), std::min(span.end, line.end)};
  Shown shown;
  shown.goes_on = span.end > line.end + 1;
  base::Span cut = window(source, line, marked);
  const bool cut_left = cut.begin > line.begin;
  const auto is_blank = [&](u32 at) { return source.text()[at] == ' ' || source.text()[at] == '\t'; };
  while (!cut_left && cut.begin < marked.begin && is_blank(cut.begin)) ++cut.begin;
  marked.end = std::max(marked.begin, std::min(marked.end, cut.end));
  const auto part = [&](u32 from, u32 to) { return line_text(source.text().substr(from, to - from)); };
  const std::string before = (cut_left ? "… " : "") + part(cut.begin, marked.begin);
  const std::string middle = part(marked.begin, marked.end);
  shown.text = before + middle + part(marked.end, cut.end) + (cut.end < line.end ? " …" : "");
  shown.before = columns_of(before);
  shown.marks = columns_of(middle);
  return shown;
}

std::string marks(const Shown& shown) {
  if (shown.marks == 0) return "▴";
  std::string line;
  for (u32 i = 0; i < shown.marks; ++i) line += "─";
  if (shown.goes_on) line += "…";
  return line;
}

void put_line(std::string& out, std::string_view line) {
  const std::size_t last = line.find_last_not_of(' ');
  out += base::guarded_line(line.substr(0, last == std::string_view::npos ? 0 : last + 1));
  out += '\n';
}
}  // namespace

u32 columns_of(std::string_view text) {
  u32 columns = 0;
  for (const char c : text)
    if ((static_cast<unsigned char>(c) & 0xC0) != 0x80) ++columns;
  return columns;
}

std::string_view word_of(Severity severity) {
  switch (severity) {
    case Severity::error: return "error";
    case Severity::warning: return "warning";
    case Severity::remark: return "remark";
  }
  return {};
}

std::string with_right_hand(std::string_view left, std::string_view right, u32 width) {
  std::string line(left);
  const u32 used = columns_of(left) + columns_of(right);
  if (used + 2 <= width) return line + std::string(width - used, ' ') + std::string(right);
  const u32 indent = columns_of(right) < width ? width - columns_of(right) : 0;
  return line + "\n" + std::string(indent, ' ') + std::string(right);
}

void draw_excerpts(const base::Sources& sources, const std::vector<Excerpt>& excerpts, std::string_view mark_colour,
                   const Drawing& drawing, std::string& out) {
  u32 column = cure_column;
  for (const Excerpt& excerpt : excerpts)
    column = std::max(column, 2 + columns_of(place_text(sources, excerpt.place)) + 4);
  for (std::size_t i = 0; i < excerpts.size(); ++i) {
    const Excerpt& excerpt = excerpts[i];
    const base::Source& source = sources[excerpt.place.file];
    const Shown shown = shown_line(source, excerpt.place.span);
    const std::string place = place_text(sources, excerpt.place);
    const bool same_line = i > 0 && place == place_text(sources, excerpts[i - 1].place) &&
                           shown.text == shown_line(source, excerpts[i - 1].place.span).text;
    if (!same_line)
      put_line(out, "  " + painted(place, faint, drawing) + std::string(column - 2 - columns_of(place), ' ') + shown.text);
    const std::string words = excerpt.words.empty() ? "" : "  " + base::printable(excerpt.words);
    put_line(out, std::string(column + shown.before, ' ') + painted(marks(shown), mark_colour, drawing) + words);
  }
}

void draw(const base::Sources& sources, const Notice& notice, const Drawing& drawing, std::string& out) {
  const std::string_view colour = colour_of(notice.severity);
  const std::string headline = base::printable(notice.headline);
  const std::string right = std::string(word_of(notice.severity)) + "  " + std::string(text_of(notice.code));
  std::string head = with_right_hand(headline, right, drawing.width);
  if (drawing.colour) {
    const std::size_t tail = head.size() - right.size();
    head = std::string(bold) + headline + std::string(plain) + head.substr(headline.size(), tail - headline.size()) +
           std::string(colour) + right + std::string(plain);
  }
  out += base::guarded_line(head);
  out += '\n';
  std::vector<Excerpt> excerpts;
  if (notice.place.given()) excerpts.push_back({notice.place, {}});
  for (const Label& label : notice.labels) {
    if (!label.place.given()) continue;
    if (!excerpts.empty() && label.place == excerpts.front().place && excerpts.front().words.empty())
      excerpts.front().words = label.words;
    else
      excerpts.push_back({label.place, label.words});
  }
  if (!excerpts.empty()) {
    out += '\n';
    draw_excerpts(sources, excerpts, colour, drawing, out);
  }
  bool first = true;
  for (const Label& label : notice.labels) {
    if (label.place.given()) continue;
    put_line(out, std::string(cure_column, ' ') + base::printable(label.words));
  }
  for (const std::string& cure : notice.cures) {
    const std::string_view head_word = first ? "  do" : "  or";
    put_line(out, std::string(head_word) + std::string(cure_column - head_word.size(), ' ') + base::printable(cure));
    first = false;
  }
}

std::string one_line(const base::Sources& sources, const Notice& notice) {
  std::string line;
  if (notice.place.given()) {
    const base::Source& source = sources[notice.place.file];
    const base::LineColumn at = source.line_column(notice.place.span.begin);
    line = base::printable(source.path()) + ":" + std::to_string(at.line) + ":" + std::to_string(at.column) + ": ";
  }
  line += std::string(word_of(notice.severity)) + ": " + base::printable(notice.headline);
  line += " [" + std::string(text_of(notice.code)) + "]";
  return base::guarded_line(line);
}
}  // namespace dripleg::notices
