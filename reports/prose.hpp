// Authors' prose: paragraphs, emphasis, lists, quotes, code and https links, nothing else. Raw
// markup is shown as the letters it is made of, pictures as their description, a link to anything
// but https as its words; the host of every link is shown. Text over 4 KiB or nested too deep to
// be parsed quickly is printed as plain paragraphs. The only place that sees cmark.
#pragma once
#include "reports/escape.hpp"

#include <string_view>

namespace dripleg::reports {
using HtmlProse = Escaped<Format::html_prose>;
using MarkdownProse = Escaped<Format::markdown_prose>;

constexpr std::size_t most_prose_bytes = 4096;
constexpr std::size_t most_prose_nesting = 32;

// An author's top heading becomes a heading one below `heading_level` (1 … 6); deeper ones follow.
HtmlProse html_prose(std::string_view author, int heading_level);
MarkdownProse markdown_prose(std::string_view author, int heading_level);   // ends with a line feed unless empty
}  // namespace dripleg::reports
