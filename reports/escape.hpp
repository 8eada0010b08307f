// Outside text on its way into a document. An Escaped<F> is text that has been made harmless for
// one place F and can be made only here (and by the three named doors), so that a writer that takes
// Escaped types cannot forget to escape. Every function is total: any bytes in, valid UTF-8 out,
// with no raw control, direction mark or line end; what may not be shown is spelled `\x1b` or `\u{202e}`.
#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace dripleg::reports {
enum class Format {
  markdown_text,      // anywhere in a paragraph, also at the start of a line
  markdown_cell,      // inside a table cell or behind other text of the line
  markdown_code,      // a whole code span with its back-ticks
  markdown_fence,     // a whole fenced block, several lines
  markdown_summary,   // inside <summary>…</summary> of a Markdown document
  html_text,
  html_attribute,     // between double quotes
  css_string,         // between double quotes of a style sheet
  svg_text,           // text or double-quoted attribute of a drawing
  json_text,          // between the double quotes of a JSON string
  terminal_text,      // one line of a terminal or a log
  markdown_link,      // the target of a Markdown link
  html_prose,         // made by prose.cpp only
  markdown_prose,     // made by prose.cpp only
  svg_drawing,        // made by svg.cpp only
};

// The key to making an Escaped value.
class EscapePass {
  EscapePass() = default;
  friend struct Escaper;
  friend struct ProseDoor;
  friend class SvgPen;
};

template <Format F>
class Escaped {
 public:
  Escaped() = default;
  Escaped(EscapePass, std::string text) : text_(std::move(text)) {}
  const std::string& text() const { return text_; }
  bool empty() const { return text_.empty(); }

 private:
  std::string text_;
};

using MarkdownText = Escaped<Format::markdown_text>;
using MarkdownCell = Escaped<Format::markdown_cell>;
using MarkdownCode = Escaped<Format::markdown_code>;
using MarkdownFence = Escaped<Format::markdown_fence>;
using MarkdownSummary = Escaped<Format::markdown_summary>;
using HtmlText = Escaped<Format::html_text>;
using HtmlAttribute = Escaped<Format::html_attribute>;
using CssString = Escaped<Format::css_string>;
using SvgText = Escaped<Format::svg_text>;
using JsonText = Escaped<Format::json_text>;
using MarkdownLink = Escaped<Format::markdown_link>;
using TerminalText = Escaped<Format::terminal_text>;

MarkdownText markdown_text(std::string_view raw);
MarkdownCell markdown_cell(std::string_view raw);
MarkdownCode markdown_code(std::string_view raw);
MarkdownFence markdown_fence(std::string_view raw);   // keeps line feeds; the fence outgrows the text's own
MarkdownSummary markdown_summary(std::string_view raw);
HtmlText html_text(std::string_view raw);
HtmlAttribute html_attribute(std::string_view raw);
CssString css_string(std::string_view raw);
SvgText svg_text(std::string_view raw);
JsonText json_text(std::string_view raw);             // forbidden characters as \uXXXX: reads back unchanged
TerminalText terminal_text(std::string_view raw);     // a line feed is spelled `\x0a`

// A web address that may be followed: https with a plain host, every other character that could
// end or alter it percent-coded. Anything else is none.
struct WebAddress {
  std::string address;
  std::string host;
};
std::optional<WebAddress> web_address(std::string_view raw);
MarkdownLink markdown_link(const WebAddress& address);

// A relative file name made of letters, digits, `.`, `-`, `_` and `/` that stays below its folder;
// anything else is none.
std::optional<MarkdownLink> markdown_file_link(std::string_view raw);

// The text as a reader sees it in every format but JSON: spelled where it may not be shown, line
// ends and tabs as blanks.
std::string shown_text(std::string_view raw);
}  // namespace dripleg::reports
