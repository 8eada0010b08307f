#include "reports/escape.hpp"

#include "reports/sink.hpp"
#include "reports/unicode.hpp"

#include <cmark.h>
#include <doctest/doctest.h>
#include <string>
#include <type_traits>
#include <vector>

using namespace dripleg::reports;

// Outside text cannot be written without an escaper.
template <class S, class T>
concept Takes = requires(S sink, T text) { sink << text; };
static_assert(Takes<HtmlSink, HtmlText> && Takes<MarkdownSink, MarkdownCell> && Takes<SvgSink, SvgText>);
static_assert(!Takes<HtmlSink, std::string> && !Takes<HtmlSink, std::string_view> && !Takes<HtmlSink, const char*>);
static_assert(!Takes<MarkdownSink, std::string> && !Takes<SvgSink, std::string>);
static_assert(!Takes<HtmlSink, MarkdownText> && !Takes<MarkdownSink, HtmlText> && !Takes<SvgSink, HtmlText>);
static_assert(!std::is_constructible_v<EscapePass>);

namespace {
const std::vector<std::string> nasty = {
    "@team #1 !2 <img src=x onerror=1> | [a](javascript:1)",
    "plain words",
    "a*b*c _d_ e_f __g__ ~~h~~ `i` $j$",
    "# heading",
    "- item",
    "+ item",
    "1. item",
    "12) item",
    "---",
    "===",
    ":--",
    "> quote",
    "&copy; &#65; & &lt;",
    "http://host/x www.host.org https://h",
    "someone@host.org",
    "\\ back \\* slash \\",
    "![x](y)",
    "<script>alert(1)</script>",
    "\"><script>",
    "' onmouseover=",
    "</style> ]]> --> <!-- ",
    "``` fence",
    "    four blanks",
    "a  b   ",
    "two\nlines",
    ":+1: :smile: 9:10:30",
    "50 %5 R&2 &12",
    "flat_A[3] m_0 b -> B2 a <- b",
    "|---|---|",
    "tab\tstop",
    "café 70 °F · ½ in — …",
};

// The words of rendered Markdown, as an independent parser reads them.
std::string words_of(const std::string& markdown) {
  cmark_node* root = cmark_parse_document(markdown.data(), markdown.size(), CMARK_OPT_DEFAULT);
  cmark_iter* iter = cmark_iter_new(root);
  std::string words;
  for (cmark_event_type event; (event = cmark_iter_next(iter)) != CMARK_EVENT_DONE;) {
    cmark_node* node = cmark_iter_get_node(iter);
    const cmark_node_type type = cmark_node_get_type(node);
    if (event != CMARK_EVENT_ENTER) continue;
    if (type == CMARK_NODE_TEXT || type == CMARK_NODE_CODE) words += cmark_node_get_literal(node);
    const bool expected = type == CMARK_NODE_TEXT || type == CMARK_NODE_CODE || type == CMARK_NODE_DOCUMENT ||
                          type == CMARK_NODE_PARAGRAPH || type == CMARK_NODE_HTML_INLINE;
    if (!expected) words += std::string("{") + cmark_node_get_type_string(node) + "}";
  }
  cmark_iter_free(iter);
  cmark_node_free(root);
  return words;
}

std::string trimmed(std::string text) {
  while (!text.empty() && text.front() == ' ') text.erase(text.begin());
  while (!text.empty() && text.back() == ' ') text.pop_back();
  return text;
}
}  // namespace

TEST_CASE("Markdown text reads back as the same words and nothing else") {
  for (const std::string& raw : nasty) {
    CAPTURE(raw);
    CHECK(words_of(markdown_text(raw).text()) == trimmed(shown_text(raw)));
    CHECK(words_of("x " + markdown_cell(raw).text()) == "x " + trimmed(shown_text(raw)));
    CHECK(words_of("x " + markdown_code(raw).text()) == "x " + shown_text(raw));
  }
}

TEST_CASE("Markdown stays readable where nothing has to be escaped") {
  CHECK(markdown_text("b -> B2, 1-1/2 in, -6 °F").text() == "b -> B2, 1-1/2 in, -6 °F");
  CHECK(markdown_cell("part_90 at 9:10").text() == "part_90 at 9:10");
  CHECK(markdown_cell("-5").text() == "-5");
}

TEST_CASE("no bar, link, name or number of a forge survives in a cell") {
  CHECK(markdown_cell("@team").text() == "@<!-- -->team");
  CHECK(markdown_cell("see #12 and !3").text() == "see #<!-- -->12 and !<!-- -->3");
  CHECK(markdown_cell("a|b").text() == "a\\|b");
  CHECK(markdown_cell("http://x").text() == "http\\://x");
  CHECK(markdown_cell("www.x.org").text() == "www\\.x.org");
  CHECK(markdown_summary("</details> @team").text() == "&lt;/details&gt; @<!-- -->team");
}

TEST_CASE("controls, direction marks and invisible characters are spelled out") {
  CHECK(html_text("a\x1b]52;c").text() == "a\\x1b]52;c");
  CHECK(html_text("a\u202Eb").text() == "a\\u{202e}b");
  CHECK(html_text("a\u200Bb\uFEFF").text() == "a\\u{200b}b\\u{feff}");
  CHECK(terminal_text("x\n::error::\x07").text() == "x\\x0a::error::\\x07");
  CHECK(markdown_text("a\u2028b").text() == "a\\\\u{2028}b");
  CHECK(html_text("\xC0\xAF").text() == "\uFFFD\uFFFD");
  CHECK(html_text("\xED\xA0\x80").text() == "\uFFFD\uFFFD\uFFFD");
  std::string stacked = "e";
  for (int i = 0; i < 100; ++i) stacked += "\u0301";
  CHECK(terminal_text(stacked).text().find("\\u{0301}") != std::string::npos);
}

TEST_CASE("markup and drawings get letters only") {
  CHECK(html_text("<b> & \"x\"").text() == "&lt;b&gt; &amp; \"x\"");
  CHECK(html_attribute("' onmouseover=\"x\"").text() == "&#39; onmouseover=&quot;x&quot;");
  CHECK(svg_text("</text><a href=\"javascript:1\">").text() == "&lt;/text&gt;&lt;a href=&quot;javascript:1&quot;&gt;");
  CHECK(css_string("a\"b</style>\\").text() == "a\\22 b\\3c \\2f style\\3e \\5c ");
}

TEST_CASE("JSON reads back unchanged") {
  CHECK(json_text("a\"b\\c\n\t").text() == "a\\\"b\\\\c\\n\\t");
  CHECK(json_text(std::string("\0\x1f", 2)).text() == "\\u0000\\u001f");
  CHECK(json_text("\u202E°").text() == "\\u202e°");
  CHECK(json_text("\U000E0041").text() == "\\udb40\\udc41");
}

TEST_CASE("a code span or fence outgrows the back-ticks inside it") {
  CHECK(markdown_code("a``b").text() == "```a``b```");
  CHECK(markdown_code("`").text() == "`` ` ``");
  const std::string ticks(30, '`');
  CHECK(markdown_fence("x\n" + ticks + "\n").text() == ticks + "`text\nx\n" + ticks + "\n" + ticks + "`\n");
}

TEST_CASE("only https addresses with a plain host may be followed") {
  REQUIRE(web_address("https://example.org/a?b=1"));
  CHECK(web_address("https://example.org/a?b=1")->host == "example.org");
  CHECK(web_address("HTTPS://Example.org/a b)")->address == "https://example.org/a%20b%29");
  for (const char* bad : {"http://x", "//host", "javascript:1", "data:text/html,x", "https://", "https://user@host/", "https://a:1/",
                          "https://-x", "", "https://h\\x"}) {
    CAPTURE(bad);
    CHECK_FALSE(web_address(bad));
  }
  CHECK(markdown_file_link("figures/a-1.svg"));
  for (const char* bad : {"../a", "/a", "a b", "x:y", "a//b", "", ".a", "a)b"}) {
    CAPTURE(bad);
    CHECK_FALSE(markdown_file_link(bad));
  }
}
