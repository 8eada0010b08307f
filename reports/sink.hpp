// The only way a writer puts characters on paper. A Sink takes the writer's own literals and the
// Escaped types of its format, nothing else, so that outside text cannot slip in unescaped.
#pragma once
#include "reports/escape.hpp"

#include <charconv>
#include <string>

namespace dripleg::reports {
// Text written in our own source; a std::string cannot become one.
class Literal {
 public:
  template <std::size_t N>
  consteval Literal(const char (&text)[N]) : text_(text, N - 1) {}   // implicit on purpose
  constexpr std::string_view text() const { return text_; }

 private:
  std::string_view text_;
};

template <Format... Allowed>
class Sink {
 public:
  Sink& operator<<(Literal literal) {
    out_ += literal.text();
    return *this;
  }
  template <Format F>
    requires((F == Allowed) || ...)
  Sink& operator<<(const Escaped<F>& escaped) {
    out_ += escaped.text();
    return *this;
  }
  Sink& operator<<(std::size_t number) {
    char digits[24];
    const auto end = std::to_chars(digits, digits + sizeof digits, number).ptr;
    out_.append(digits, end);
    return *this;
  }
  Sink& operator<<(const Sink& other) {
    out_ += other.out_;
    return *this;
  }
  // So many copies of one character of ours: padding, indentation.
  Sink& repeat(char c, std::size_t count) {
    out_.append(count, c);
    return *this;
  }
  std::size_t size() const { return out_.size(); }
  bool empty() const { return out_.empty(); }
  const std::string& text() const { return out_; }
  std::string take() { return std::move(out_); }

 private:
  std::string out_;
};

using MarkdownSink = Sink<Format::markdown_text, Format::markdown_cell, Format::markdown_code, Format::markdown_fence,
                          Format::markdown_summary, Format::markdown_link, Format::markdown_prose>;
using HtmlSink =
    Sink<Format::html_text, Format::html_attribute, Format::css_string, Format::html_prose, Format::svg_drawing, Format::svg_text>;
using SvgSink = Sink<Format::svg_text>;
}  // namespace dripleg::reports
