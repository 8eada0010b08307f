#include "reports/prose.hpp"

#include "markup.hpp"

#include <chrono>
#include <doctest/doctest.h>
#include <string>
#include <vector>

using namespace dripleg::reports;

namespace {
std::string repeated(const std::string& piece, std::size_t bytes) {
  std::string out;
  while (out.size() + piece.size() <= bytes) out += piece;
  return out;
}

double milliseconds(const std::string& text) {
  const auto start = std::chrono::steady_clock::now();
  const std::size_t bytes = html_prose(text, 2).text().size() + markdown_prose(text, 2).text().size();
  const std::chrono::duration<double, std::milli> taken = std::chrono::steady_clock::now() - start;
  CHECK(bytes < 400'000);
  return taken.count();
}
}  // namespace

TEST_CASE("ordinary prose") {
  const char* author = "Words with *stress*, **weight** and `code`.\n\n- one\n- two\n  1. deeper\n\n> quoted\n> twice\n";
  CHECK(html_prose(author, 2).text() ==
        "<p>Words with <em>stress</em>, <strong>weight</strong> and <code>code</code>.</p>\n<ul>\n<li>one</li>\n<li>two\n<ol>\n"
        "<li>deeper</li>\n</ol>\n</li>\n</ul>\n<blockquote>\n<p>quoted\ntwice</p>\n</blockquote>\n");
  CHECK(markdown_prose(author, 2).text() ==
        "Words with *stress*, **weight** and `code`.\n\n- one\n- two\n  1. deeper\n\n> quoted\n> twice\n");
}

TEST_CASE("Markdown written back means the same") {
  for (const char* author :
       {"a\n\nb", "# A\n\ntext", "- a\n\n- b\n\n  c\n- d", "1. a\n2. b\n   - c\n     - d\n3. e", "> - a\n>   b\n>\n> c", "```\ncode\n  more\n```\n\nx",
        "- ```\n  x\n  y\n  ```\n- z", "a\\\nb", "- > q\n- r", "***", "a *b **c** d* e", "3. three\n4. four", "1986\\. A year", "-\n- x"}) {
    CAPTURE(author);
    const std::string again = markdown_prose(author, 0).text();
    CAPTURE(again);
    CHECK(html_prose(again, 0).text() == html_prose(author, 0).text());
    CHECK(markdown_prose(again, 0).text() == again);
  }
}

TEST_CASE("headings go below the heading they stand under, never beyond the sixth") {
  CHECK(html_prose("# a\n## b\n###### c", 2).text() == "<h3>a</h3>\n<h4>b</h4>\n<h6>c</h6>\n");
  CHECK(markdown_prose("# a", 2).text() == "### a\n");
}

TEST_CASE("raw markup is shown as its letters") {
  CHECK(html_prose("a <b onclick=x>b</b>\n\n<script>\nalert(1)\n</script>\n", 2).text() ==
        "<p>a &lt;b onclick=x&gt;b&lt;/b&gt;</p>\n<p>&lt;script&gt;\nalert(1)\n&lt;/script&gt;</p>\n");
  const std::string markdown = markdown_prose("a <b>\n\n</details>\n", 2).text();
  CHECK(markdown == "a \\<b>\n\n\\</details>\n");
}

TEST_CASE("no picture, no link but https, and the host is shown") {
  CHECK(html_prose("![pic](http://x/p.png) ![](https://x.org/p.png)", 2).text() == "<p>pic </p>\n");
  CHECK(html_prose("[x](//host) [y](javascript:1) [z](data:text/html,1) <http://q>", 2).text() == "<p>x y z http://q</p>\n");
  CHECK(html_prose("[x](https://example.org/a \"t\")", 2).text() ==
        "<p><a href=\"https://example.org/a\">x</a> (example.org)</p>\n");
  CHECK(html_prose("<https://example.org/a>", 2).text() ==
        "<p><a href=\"https://example.org/a\">https://example.org/a</a></p>\n");
  CHECK(markdown_prose("[x](https://example.org/a?b&c)", 2).text() == "[x](https://example.org/a?b\\&c) (example.org)\n");
  CHECK(markdown_prose("[![a](http://x/p.png)](https://example.org)", 2).text() == "[a](https://example.org) (example.org)\n");
  CHECK(markdown_prose("so\\![x](https://example.org)", 2).text() == "so\\![x](https://example.org) (example.org)\n");
  CHECK(markdown_prose("![pic](http://x/p.png) [x](//host)", 2).text() == "pic x\n");
}

TEST_CASE("forge names and table bars in prose are inert in Markdown") {
  CHECK(markdown_prose("@team fixes #1\n:--", 2).text() == "@<!-- -->team fixes #<!-- -->1\n\\:--\n");
  CHECK(markdown_prose("a | b\n--- | ---", 2).text().find("\\|") != std::string::npos);
}

TEST_CASE("direction marks and controls are taken out") {
  CHECK(html_prose("a\u202Eb\x01" "c\r\nd", 2).text() == "<p>abc\nd</p>\n");
}

TEST_CASE("text too long or nested too deep becomes plain paragraphs") {
  const std::string deep = repeated("> ", 200) + "*x*";
  CHECK(html_prose(deep, 2).text().find("<blockquote>") == std::string::npos);
  CHECK(html_prose(deep, 2).text().find("*x*") != std::string::npos);
  CHECK(html_prose(repeated("*a* ", 5000) + "\n\nb", 2).text().find("<em>") == std::string::npos);
  CHECK(html_prose(repeated("*a* ", 4000), 2).text().find("<em>") != std::string::npos);
  const std::string shallow = repeated("> ", 60) + "x";
  CHECK(html_prose(shallow, 2).text().find("<blockquote>") != std::string::npos);
}

TEST_CASE("4 KiB of the worst nests is rendered in less than 30 ms") {
  std::string steps;
  for (std::size_t depth = 0; steps.size() + 2 * depth + 4 <= 4096; ++depth) steps += std::string(2 * depth, ' ') + "- a\n";
  std::string blank_lists = repeated("- ", 60);
  blank_lists += "x" + std::string(4096 - blank_lists.size() - 1, '\n');
  for (const std::string& killer :
       {repeated("> ", 4096), repeated("![[]()", 4096), repeated("*a_ ", 4096), repeated("[", 4096), repeated("[a](", 4096), repeated("- ", 4096),
        repeated("1. ", 4096), repeated("`a``", 4096), repeated("<a ", 4096), repeated("**a _b ", 4096), repeated("&", 4096),
        repeated("\\[", 4096), repeated("[a]: x\n", 4096), repeated("> - ", 4096), steps, blank_lists, repeated("<!--", 4096),
        repeated("* ", 60) + repeated("\n", 4000), repeated("*", 4096), repeated("[a][", 4096)}) {
    CAPTURE(killer.substr(0, 20));
    CHECK(milliseconds(killer) < 30);
    CHECK(markup::read(html_prose(killer, 2).text()).error == "");
  }
}
