#include "syntax/parser.hpp"

#include "base/utf8.hpp"
#include "syntax/lines.hpp"

#include <algorithm>

namespace dripleg::syntax {
using notices::Code;
using notices::Notices;

namespace {
struct FaultWords {
  Code code;
  std::string_view headline;
};
FaultWords words_of(base::TextFault fault) {
  switch (fault) {
    case base::TextFault::stray_byte: return {Code::text_invalid, "a byte that begins no character; files are UTF-8"};
    case base::TextFault::cut_short: return {Code::text_invalid, "a character whose bytes end too early; files are UTF-8"};
    case base::TextFault::overlong: return {Code::text_invalid, "a character written with too many bytes; files are UTF-8"};
    case base::TextFault::surrogate: return {Code::text_invalid, "half of a UTF-16 pair; files are UTF-8"};
    case base::TextFault::too_large: return {Code::text_invalid, "a number beyond the last character of Unicode"};
    case base::TextFault::nul: return {Code::text_control, "a zero byte"};
    case base::TextFault::control: return {Code::text_control, "a control character"};
    case base::TextFault::lone_return: return {Code::text_line_end, "a carriage return that ends no line"};
    case base::TextFault::line_separator: return {Code::text_line_end, "a line separator; lines end with a line feed"};
    case base::TextFault::direction: return {Code::text_hidden, "a character that turns the direction of writing"};
    case base::TextFault::invisible: return {Code::text_hidden, "a character that cannot be seen"};
    case base::TextFault::no_character: return {Code::text_hidden, "a code that stands for no character"};
    case base::TextFault::tag: return {Code::text_hidden, "a tag character, which cannot be seen"};
    case base::TextFault::count: break;
  }
  return {Code::text_invalid, ""};
}

void check_characters(std::string_view text, FileId file, Notices& notices) {
  for (const base::TextOffence& offence : base::check_text(text)) {
    const FaultWords words = words_of(offence.fault);
    std::string headline(words.headline);
    if (offence.character != 0) headline += ": " + base::code_point_name(offence.character);
    notices.add(words.code, {file, offence.span}, std::move(headline));
  }
}

// Says where the first line beyond the limit is; such a file is not read further.
bool check_lines(std::string_view text, FileId file, Notices& notices) {
  std::size_t begin = 0;
  while (begin < text.size()) {
    const std::size_t found = text.find('\n', begin);
    const std::size_t end = found == std::string_view::npos ? text.size() : found;
    if (end - begin > base::limits::line_bytes) {
      const auto at = static_cast<u32>(begin);
      notices.add(Code::limit_line, {file, {at, at}}, "this line is longer than " + std::to_string(base::limits::line_bytes) + " bytes")
          .cures.emplace_back("break it at commas or operators");
      return false;
    }
    begin = end + 1;
  }
  return true;
}

struct Reading {
  std::vector<Node> nodes;
  Notices notices;
  u32 count = 0;       // of notices, suppressed ones too
  bool unbalanced = false;
};

Reading read(std::string_view text, FileId file, bool by_column) {
  const char* const begin = text.data() + base::begin_of_text(text);
  const char* const end = text.data() + text.size();
  Builder b(file, text.data(), begin, end, by_column);
  grammar::Input in(begin, end, "");
  grammar::read_file(in, b);
  if (b.stopped) {
    const char* from = skip_space(std::max(b.end, text.data() + b.last_end()), end);
    if (from != end) b.leaf(Kind::junk, from, end);
  }
  b.close(Kind::file, 0);
  if (b.suppressed() != 0) {
    b.begin_statement();
    b.note_suppressed();
  }
  Reading reading;
  reading.unbalanced = b.unbalanced;
  reading.count = b.notice_count() + b.suppressed();
  reading.nodes = std::move(b.nodes);
  reading.notices = b.take_notices();
  return reading;
}

Tree only_junk(std::string_view text, FileId file) {
  Tree tree{file, {}};
  const auto size = static_cast<u32>(text.size());
  tree.nodes.push_back(Node{0, size, 1, static_cast<u32>(Kind::junk)});
  tree.nodes.push_back(Node{0, size, 2, static_cast<u32>(Kind::file)});
  return tree;
}
}  // namespace

Tree parse(const base::Sources& sources, FileId file, Notices& notices) {
  const std::string_view text = sources[file].text();
  if (text.size() > base::limits::file_bytes) {
    notices.add(Code::limit_file, {file, {0, 0}}, "this file is longer than " + std::to_string(base::limits::file_bytes) + " bytes");
    return only_junk(text, file);
  }
  check_characters(text, file, notices);
  if (!check_lines(text, file, notices)) return only_junk(text, file);
  Reading reading = read(text, file, false);
  if (reading.unbalanced) {   // the indentation may tell better where the brace is missing
    Reading second = read(text, file, true);
    if (second.count <= reading.count) reading = std::move(second);
  }
  notices.take(std::move(reading.notices));
  return Tree{file, std::move(reading.nodes)};
}

void check_text(const base::Sources& sources, FileId file, Notices& notices) {
  check_characters(sources[file].text(), file, notices);
  check_lines(sources[file].text(), file, notices);
}

Tree parse_formula(const base::Sources& sources, base::Place stretch, Notices& notices) {
  const std::string_view text = sources[stretch.file].text();
  const char* const begin = text.data() + stretch.span.begin;
  const char* end = text.data() + stretch.span.end;
  Builder b(stretch.file, text.data(), begin, end, false);
  grammar::Input in(begin, end, "");
  grammar::run<grammar::operand<grammar::expr>>(in, b);
  const char* rest = skip_blanks(in.current(), end);
  const bool in_unit = b.word_at(rest).word == Word::as_;
  if (rest != end && !in_unit) b.stray(rest, Body::library);
  const bool whole = b.notice_count() == 0 && !b.last_is(Kind::missing);
  Tree tree{stretch.file, {}};
  if (whole) tree.nodes = std::move(b.nodes);
  else tree.nodes.push_back(Node{stretch.span.begin, stretch.span.end, 1, static_cast<u32>(Kind::junk)});
  notices.take(b.take_notices());
  return tree;
}
}  // namespace dripleg::syntax
