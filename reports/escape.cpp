#include "reports/escape.hpp"

#include "reports/unicode.hpp"

#include <algorithm>

namespace dripleg::reports {
struct Escaper {
  template <Format F>
  static Escaped<F> make(std::string text) {
    return Escaped<F>(EscapePass(), std::move(text));
  }
};

namespace {
constexpr std::size_t most_combining = 4;   // more marks on one letter only serve to hide text

enum class LineEnds { blank, keep, spell };

void append_hex(std::string& out, char32_t value, int least_digits) {
  constexpr std::string_view digits = "0123456789abcdef";
  int count = least_digits;
  while (count < 8 && (value >> (4 * count)) != 0) ++count;
  for (int i = count - 1; i >= 0; --i) out.push_back(digits[(value >> (4 * i)) & 0xF]);
}

void append_spelled(std::string& out, char32_t value) {
  if (value < 0x100) {
    out += "\\x";
    append_hex(out, value, 2);
  } else {
    out += "\\u{";
    append_hex(out, value, 4);
    out += "}";
  }
}

std::string clean(std::string_view raw, LineEnds line_ends) {
  std::string out;
  out.reserve(raw.size());
  std::size_t marks = 0;
  for (std::size_t at = 0; at < raw.size();) {
    const Character c = read_character(raw, at);
    at += c.bytes;
    marks = is_combining(c.value) ? marks + 1 : 0;
    if (c.value == '\n' && line_ends == LineEnds::keep) {
      out.push_back('\n');
    } else if (c.value == '\r' && line_ends != LineEnds::spell && read_character(raw, at).value == '\n') {
      continue;
    } else if (c.value == '\t' || (c.value == '\n' && line_ends == LineEnds::blank)) {
      out.push_back(' ');
    } else if (is_forbidden(c.value) || marks > most_combining) {
      append_spelled(out, c.value);
    } else {
      append_utf8(out, c.value);
    }
  }
  return out;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool is_word(char c) { return is_digit(c) || is_letter(c); }
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

char at_or_nul(std::string_view text, std::size_t at) { return at < text.size() ? text[at] : '\0'; }
char before_or_nul(std::string_view text, std::size_t at) { return at > 0 ? text[at - 1] : '\0'; }

// An empty comment between a sign and a word: forges look for names and numbers behind a sign only
// after rendering, where a backslash no longer helps.
constexpr std::string_view splitter = "<!-- -->";

bool opens_reference(std::string_view text, std::size_t at) {
  const char next = at_or_nul(text, at + 1);
  switch (text[at]) {
    case '@':
    case '#': return is_word(next);
    case '!':
    case '%':
    case '&': return is_digit(next);
    default: return false;
  }
}

bool opens_short_code(std::string_view text, std::size_t at) {
  bool letter = false;
  for (std::size_t i = at + 1; i < text.size() && i < at + 40; ++i) {
    const char c = text[i];
    if (c == ':') return letter;
    if (!is_word(c) && c != '_' && c != '+' && c != '-') return false;
    letter = letter || !is_digit(c);
  }
  return false;
}

bool ends_www(std::string_view text, std::size_t at) {
  if (at < 3) return false;
  return lower(text[at - 1]) == 'w' && lower(text[at - 2]) == 'w' && lower(text[at - 3]) == 'w';
}

// A sign that makes a heading, list, quote or rule only at the start of a line. Gives where the
// backslash goes, or npos.
std::size_t line_start_sign(std::string_view text) {
  if (text.empty()) return std::string_view::npos;
  const char next = at_or_nul(text, 1);
  const bool alone = next == ' ' || next == '\0';
  switch (text[0]) {
    case '>': return 0;
    case '#': return alone || next == '#' ? 0 : std::string_view::npos;
    case '+': return alone ? 0 : std::string_view::npos;
    case ':': return next == '-' ? 0 : std::string_view::npos;
    case '-': return alone || next == '-' || next == ':' ? 0 : std::string_view::npos;
    case '=': return alone || next == '=' ? 0 : std::string_view::npos;
    default: break;
  }
  std::size_t digits = 0;
  while (digits < text.size() && is_digit(text[digits])) ++digits;
  const char behind = at_or_nul(text, digits);
  const char after = at_or_nul(text, digits + 1);
  const bool numbered = digits > 0 && digits < 10 && (behind == '.' || behind == ')') && (after == ' ' || after == '\0');
  return numbered ? digits : std::string_view::npos;
}

bool needs_backslash(std::string_view text, std::size_t at) {
  switch (text[at]) {
    case '\\':
    case '`':
    case '*':
    case '[':
    case ']':
    case '<':
    case '|':
    case '~':
    case '$': return true;
    case '_': return !(is_word(before_or_nul(text, at)) && is_word(at_or_nul(text, at + 1)));
    case '&': return at_or_nul(text, at + 1) == '#' || is_letter(at_or_nul(text, at + 1));
    case ':': return is_letter(before_or_nul(text, at)) && text.substr(at, 3) == "://";
    case '.': return ends_www(text, at);
    default: return false;
  }
}

std::string escape_markdown(std::string_view raw, bool line_start) {
  std::string shown = clean(raw, LineEnds::blank);
  const std::size_t first = shown.find_first_not_of(' ');
  const std::size_t last = shown.find_last_not_of(' ');
  if (first == std::string::npos) return {};
  const std::string_view text = std::string_view(shown).substr(first, last - first + 1);
  const std::size_t sign = line_start ? line_start_sign(text) : std::string_view::npos;
  std::string out;
  out.reserve(text.size() + 8);
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (at == sign || needs_backslash(text, at)) out.push_back('\\');
    out.push_back(text[at]);
    if (opens_reference(text, at) || (text[at] == ':' && opens_short_code(text, at))) out += splitter;
  }
  return out;
}

std::string escape_markup(std::string_view raw, bool quotes) {
  const std::string text = clean(raw, LineEnds::blank);
  std::string out;
  out.reserve(text.size() + 8);
  for (const char c : text) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '"': quotes ? void(out += "&quot;") : out.push_back(c); break;
      case '\'': quotes ? void(out += "&#39;") : out.push_back(c); break;
      default: out.push_back(c); break;
    }
  }
  return out;
}

std::size_t longest_run(std::string_view text, char wanted) {
  std::size_t longest = 0;
  std::size_t run = 0;
  for (const char c : text) {
    run = c == wanted ? run + 1 : 0;
    longest = std::max(longest, run);
  }
  return longest;
}
}  // namespace

std::string shown_text(std::string_view raw) { return clean(raw, LineEnds::blank); }

MarkdownText markdown_text(std::string_view raw) {
  return Escaper::make<Format::markdown_text>(escape_markdown(raw, true));
}

MarkdownCell markdown_cell(std::string_view raw) {
  return Escaper::make<Format::markdown_cell>(escape_markdown(raw, false));
}

MarkdownCode markdown_code(std::string_view raw) {
  const std::string text = clean(raw, LineEnds::blank);
  if (text.find_first_not_of(' ') == std::string::npos) return {};
  const std::string ticks(longest_run(text, '`') + 1, '`');
  const bool padded = text.front() == '`' || text.back() == '`' || (text.front() == ' ' && text.back() == ' ');
  const std::string pad = padded ? " " : "";
  return Escaper::make<Format::markdown_code>(ticks + pad + text + pad + ticks);
}

MarkdownFence markdown_fence(std::string_view raw) {
  std::string text = clean(raw, LineEnds::keep);
  while (!text.empty() && text.back() == '\n') text.pop_back();
  const std::string ticks(std::max<std::size_t>(3, longest_run(text, '`') + 1), '`');
  if (!text.empty()) text.push_back('\n');
  return Escaper::make<Format::markdown_fence>(ticks + "text\n" + text + ticks + "\n");
}

MarkdownSummary markdown_summary(std::string_view raw) {
  const std::string text = clean(raw, LineEnds::blank);
  std::string split;
  std::string piece;
  for (std::size_t at = 0; at < text.size(); ++at) {
    piece.push_back(text[at]);
    if (!opens_reference(text, at)) continue;
    split += escape_markup(piece, false);
    split += splitter;
    piece.clear();
  }
  split += escape_markup(piece, false);
  return Escaper::make<Format::markdown_summary>(std::move(split));
}

HtmlText html_text(std::string_view raw) { return Escaper::make<Format::html_text>(escape_markup(raw, false)); }

HtmlAttribute html_attribute(std::string_view raw) {
  return Escaper::make<Format::html_attribute>(escape_markup(raw, true));
}

SvgText svg_text(std::string_view raw) { return Escaper::make<Format::svg_text>(escape_markup(raw, true)); }

CssString css_string(std::string_view raw) {
  const std::string text = clean(raw, LineEnds::blank);
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const Character c = read_character(text, at);
    const bool plain = c.value < 0x80 && (is_word(text[at]) || text[at] == ' ');
    if (plain) {
      out.push_back(text[at]);
    } else {
      out.push_back('\\');
      append_hex(out, c.value, 1);
      out.push_back(' ');
    }
    at += c.bytes;
  }
  return Escaper::make<Format::css_string>(std::move(out));
}

JsonText json_text(std::string_view raw) {
  std::string out;
  out.reserve(raw.size() + 8);
  const auto unit = [&](char32_t value) {
    out += "\\u";
    append_hex(out, value, 4);
  };
  for (std::size_t at = 0; at < raw.size();) {
    const Character c = read_character(raw, at);
    at += c.bytes;
    if (c.value == '"' || c.value == '\\') {
      out.push_back('\\');
      out.push_back(static_cast<char>(c.value));
    } else if (c.value == '\n') {
      out += "\\n";
    } else if (c.value == '\t') {
      out += "\\t";
    } else if (is_forbidden(c.value) && c.value > 0xFFFF) {
      unit(0xD800 + ((c.value - 0x10000) >> 10));
      unit(0xDC00 + ((c.value - 0x10000) & 0x3FF));
    } else if (is_forbidden(c.value)) {
      unit(c.value);
    } else {
      append_utf8(out, c.value);
    }
  }
  return Escaper::make<Format::json_text>(std::move(out));
}

TerminalText terminal_text(std::string_view raw) {
  return Escaper::make<Format::terminal_text>(clean(raw, LineEnds::spell));
}

std::optional<WebAddress> web_address(std::string_view raw) {
  constexpr std::string_view scheme = "https://";
  if (raw.size() > 2048 || raw.size() <= scheme.size()) return std::nullopt;
  for (std::size_t i = 0; i < scheme.size(); ++i) {
    if (lower(raw[i]) != scheme[i]) return std::nullopt;
  }
  WebAddress found;
  std::size_t at = scheme.size();
  while (at < raw.size() && (is_word(raw[at]) || raw[at] == '.' || raw[at] == '-')) found.host.push_back(lower(raw[at++]));
  if (found.host.empty() || !is_word(found.host.front())) return std::nullopt;
  const char behind = at_or_nul(raw, at);
  if (behind != '\0' && behind != '/' && behind != '?' && behind != '#') return std::nullopt;
  found.address = std::string(scheme) + found.host;
  constexpr std::string_view kept = "-._/?#=%+:,;&";
  for (; at < raw.size(); ++at) {
    if (is_word(raw[at]) || kept.find(raw[at]) != std::string_view::npos) {
      found.address.push_back(raw[at]);
    } else {
      found.address.push_back('%');
      append_hex(found.address, static_cast<unsigned char>(raw[at]), 2);
    }
  }
  return found;
}

MarkdownLink markdown_link(const WebAddress& address) {
  std::string out;
  for (const char c : address.address) {
    if (c == '&') out.push_back('\\');
    out.push_back(c);
  }
  return Escaper::make<Format::markdown_link>(std::move(out));
}

std::optional<MarkdownLink> markdown_file_link(std::string_view raw) {
  if (raw.empty() || raw.size() > 255 || raw.find("..") != std::string_view::npos) return std::nullopt;
  if (!is_word(raw.front())) return std::nullopt;
  for (const char c : raw) {
    if (!is_word(c) && c != '.' && c != '-' && c != '_' && c != '/') return std::nullopt;
  }
  if (raw.find("//") != std::string_view::npos) return std::nullopt;
  return Escaper::make<Format::markdown_link>(std::string(raw));
}
}  // namespace dripleg::reports
