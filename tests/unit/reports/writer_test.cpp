#include "reports/html_writer.hpp"
#include "reports/markdown_writer.hpp"

#include "markup.hpp"
#include "reports/figure_chart.hpp"

#include <algorithm>
#include <cmark.h>
#include <doctest/doctest.h>
#include <string>

using namespace dripleg::reports;

namespace {
Cell cell(std::string text, std::vector<Mark> marks = {}, Target link = "") {
  Cell made;
  made.text = std::move(text);
  made.marks = std::move(marks);
  made.link = std::move(link);
  return made;
}

Table small_table() {
  Table table;
  table.target = "table";
  table.caption = "Shelves";
  table.columns = {{"shelf", Align::left, ""}, {"width", Align::right, "cm"}, {"rest", Align::left, ""}};
  Row group;
  group.kind = RowKind::group;
  group.cells = {cell("upper")};
  Row good;
  good.cells = {cell("a -> b", {}, "second"), cell("80"), cell("5", {{Tone::tight, "tight"}})};
  Row bad;
  bad.cells = {cell("c|d"), cell("9.5"), cell("", {{Tone::breaks, "SHORT 2"}, {Tone::plain, "from memory"}})};
  bad.tone = Tone::breaks;
  Row sum;
  sum.kind = RowKind::total;
  sum.cells = {cell("all"), cell("89.5")};
  table.rows = {group, good, bad, sum};
  table.notes = {"measured twice"};
  return table;
}

FindingBlock finding() {
  FindingBlock block;
  block.target = "finding";
  block.ordinal = 1;
  block.tone = Tone::breaks;
  block.call = "BREAKS";
  block.sentence = "shelf c holds 2 less than it needs";
  block.lines = {{"rule", "shelf.width", "table"}};
  MarginBar bar;
  bar.low = 10;
  bar.found_low = bar.found_high = 8;
  bar.found_text = "8";
  bar.needs_text = "at least 10";
  bar.margin_text = "SHORT 2";
  bar.tone = Tone::breaks;
  block.margin = bar;
  block.remedy = "12 cm";
  block.cautions = {"empty it first"};
  block.derivation = {{0, "rest = 8 - 10", ""}, {1, "width = 8", "sheet 3"}};
  return block;
}

Document small_document() {
  Document document;
  document.title = "A shelf";
  document.head = {{"number", "7", ""}, {"revision", "B", ""}};
  document.foot = "Ask the keeper first.";
  document.words = {"Skip", "Contents", "do", "caution", "margin", "working", "numbers"};
  Section first;
  first.target = "first";
  first.heading = "First page";
  first.blocks = {{Banner{Tone::breaks, "NOT READY", "1 breaks"}}, {finding()}};
  Section second;
  second.target = "second";
  second.heading = "Second page";
  second.blocks = {{Paragraph{"Some *prose*."}}, {small_table()}, {PageBreak{}}};
  Checklist checks;
  checks.items = {{true, false, "held", {{"at", "bar", 4, ""}}}, {true, true, "seen", {}}, {false, false, "by", {{"", "", 6, "N. N."}}}};
  second.blocks.push_back({checks});
  Details details;
  details.summary = "more";
  details.blocks = {{Line{"to the first", Weight::plain, "first"}}};
  second.blocks.push_back({details});
  document.sections = {first, second};
  return document;
}

// A hostile text in every slot that takes one.
Document hostile_document(const std::string& text) {
  Document document;
  document.title = document.subtitle = document.running_head = document.foot = text;
  document.head = {{text, text, text}};
  document.words = {text, text, text, text, text, text, text};
  Section section;
  section.target = text;
  section.heading = text;
  FindingBlock found = finding();
  found.call = found.sentence = found.remedy = text;
  found.lines = {{text, text, text}};
  found.cautions = {text};
  found.derivation = {{0, text, text}};
  found.margin->found_text = found.margin->needs_text = found.margin->margin_text = text;
  Table table = small_table();
  table.caption = text;
  table.columns = {{text, Align::left, text}, {text, Align::right, text}};
  table.rows.clear();
  Row row;
  row.cells = {cell(text, {{Tone::breaks, text}, {Tone::plain, text}}, text), cell(text)};
  table.rows = {row, row};
  table.notes = {text};
  MarginList margins;
  margins.caption = text;
  margins.rows = {{text, *found.margin, text, text}};
  Checklist checks;
  checks.items = {{true, false, text, {{text, text, 6, ""}, {text, text, 6, text}}}};
  Details details;
  details.summary = text;
  details.blocks = {{Line{text, Weight::plain, ""}}, {Line{text, Weight::strong, text}}};
  Chart chart;
  chart.caption = chart.desc = chart.file = text;
  chart.lines = {{text, {{0, 1, text, text}, {1, 2}}, false}};
  section.blocks = {{Banner{Tone::open, text, text}}, {found}, {table}, {margins}, {checks}, {details}, {make_figure(chart)}, {KeyList{{{text, text, text}}}}, {Paragraph{text}}};
  document.sections = {section};
  return document;
}

// What an independent parser makes of Markdown: no picture, no link out of the document, no markup
// but folds and the empty comments that split names.
void check_inert(const std::string& markdown) {
  cmark_node* root = cmark_parse_document(markdown.data(), markdown.size(), CMARK_OPT_DEFAULT);
  cmark_iter* iter = cmark_iter_new(root);
  for (cmark_event_type event; (event = cmark_iter_next(iter)) != CMARK_EVENT_DONE;) {
    cmark_node* node = cmark_iter_get_node(iter);
    const cmark_node_type type = cmark_node_get_type(node);
    CHECK(type != CMARK_NODE_IMAGE);
    if (event == CMARK_EVENT_ENTER && type == CMARK_NODE_LINK) CHECK(cmark_node_get_url(node)[0] == '#');
    if (event == CMARK_EVENT_ENTER && type == CMARK_NODE_HTML_INLINE) CHECK(std::string(cmark_node_get_literal(node)) == "<!-- -->");
    if (event == CMARK_EVENT_ENTER && type == CMARK_NODE_HTML_BLOCK) {
      const std::string html = cmark_node_get_literal(node);
      const bool fold = html.find("<details><summary>") == 0 || html == "</details>\n";
      CHECK(fold);
      CHECK(html.find("<img") == std::string::npos);
    }
  }
  cmark_iter_free(iter);
  cmark_node_free(root);
}

const std::vector<std::string> hostile_texts = {
    "@team #1 !2 <img src=x onerror=1> | [a](javascript:1)",
    std::string(30, '`') + " </details> ~~~",
    "\"><script>alert(1)</script>",
    "' onmouseover='x",
    "</style></title> ]]> <!--",
    "</text><a href=\"javascript:1\">x</a>",
    "![](http://x/p.png) [x](//host) <http://x>",
    "x\x1b]52;c;\x07\u202E\xC0",
    "two\n\n# lines",
    "\\",
};
}  // namespace

TEST_CASE("a small document in Markdown") {
  CHECK(write_markdown(small_document()) ==
        R"(# A shelf

**number** 7 · **revision** B

**Contents**

- [First page](#first-page)
- [Second page](#second-page)

## First page

> **NOT READY** · 1 breaks

**BREAKS 1** shelf c holds 2 less than it needs

- **margin** `─●─────╫───────────────╴` SHORT 2
- **rule** shelf.width
- **do** 12 cm
- **caution** empty it first

<details><summary>working</summary>

```text
rest = 8 - 10
  width = 8   [sheet 3]
```

</details>

## Second page

Some *prose*.

**Shelves**

| shelf                  | width, cm | rest                    |
| ---------------------- | --------: | ----------------------- |
| **upper**              |           |                         |
| [a -> b](#second-page) |        80 | 5 **tight**             |
| c\|d                   |       9.5 | **SHORT 2** from memory |
| **all**                |  **89.5** |                         |

- measured twice

- [ ] held at \____ bar
- [x] seen
- by **N. N.**

<details><summary>more</summary>

[to the first](#first-page)

</details>

---

Ask the keeper first.
)");
}

TEST_CASE("a small document as a page") {
  const std::string page = write_html(small_document());
  const markup::Reading reading = markup::read(page);
  CHECK(reading.error == "");
  CHECK(page.find("<html lang=\"en\">") != std::string::npos);
  CHECK(page.find("content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:") != std::string::npos);
  const std::string table = page.substr(page.find("<table id=\"t1\""), page.find("</table>") - page.find("<table id=\"t1\""));
  CHECK(table ==
        "<table id=\"t1\">\n<caption>Shelves</caption>\n<thead><tr><th scope=\"col\" class=\"l\">shelf</th><th scope=\"col\" class=\"r\">width"
        "<span class=\"unit\">cm</span></th><th scope=\"col\" class=\"l\">rest</th></tr></thead>\n<tbody>\n"
        "<tr class=\"group\"><th scope=\"rowgroup\" colspan=\"3\">upper</th></tr>\n"
        "<tr><th scope=\"row\" class=\"l\"><a href=\"#s2\">a -&gt; b</a></th><td class=\"r\">80</td><td class=\"l\">5 <span class=\"mark "
        "tight\">tight</span></td></tr>\n"
        "<tr class=\"row-breaks\"><th scope=\"row\" class=\"l\">c|d</th><td class=\"r\">9.5</td><td class=\"l\"> <span class=\"mark "
        "breaks\">SHORT 2</span> <span class=\"mark plain\">from memory</span></td></tr>\n"
        "<tr class=\"total\"><th scope=\"row\" class=\"l\">all</th><td class=\"r\">89.5</td><td class=\"l\"></td></tr>\n"
        "</tbody>\n");
  CHECK(page.find("<article class=\"finding breaks\" id=\"f1\">") != std::string::npos);
  CHECK(page.find("<dt>rule</dt><dd><a href=\"#t1\">shelf.width</a></dd>") != std::string::npos);
  CHECK_FALSE(reading.has_tag("script"));
  for (const std::string& attribute : reading.attributes) {
    CAPTURE(attribute);
    CHECK(attribute.find("src=") != 0);
    CHECK(attribute.find("on") != 0);
    if (attribute.find("href=") == 0) CHECK(attribute.find("href=\"#") == 0);
  }
}

TEST_CASE("every link of a page leads to an id of the page, and ids are unique") {
  Document document = small_document();
  document.sections[0].blocks.push_back({small_table()});
  document.sections[0].blocks.push_back({KeyList{{{"to", "finding", "finding"}, {"to", "nowhere", "absent"}}}});
  const markup::Reading reading = markup::read(write_html(document));
  std::vector<std::string> ids;
  for (const std::string& attribute : reading.attributes) {
    if (attribute.find("id=\"") == 0) ids.push_back(attribute.substr(4, attribute.size() - 5));
  }
  std::vector<std::string> sorted = ids;
  std::sort(sorted.begin(), sorted.end());
  CHECK(std::adjacent_find(sorted.begin(), sorted.end()) == sorted.end());
  std::size_t links = 0;
  for (const std::string& attribute : reading.attributes) {
    if (attribute.find("href=\"#") != 0) continue;
    ++links;
    CHECK(std::find(ids.begin(), ids.end(), attribute.substr(7, attribute.size() - 8)) != ids.end());
  }
  CHECK(links >= 5);
  CHECK(reading.has_text("nowhere"));
}

TEST_CASE("hostile text in every slot of a page is letters") {
  const markup::Reading plain = markup::read(write_html(hostile_document("plain")));
  REQUIRE(plain.error == "");
  for (const std::string& text : hostile_texts) {
    CAPTURE(text);
    const std::string page = write_html(hostile_document(text));
    const markup::Reading reading = markup::read(page);
    CHECK(reading.error == "");
    CHECK_FALSE(reading.has_tag("script"));
    CHECK_FALSE(reading.has_tag("img"));
    CHECK(std::count(reading.tags.begin(), reading.tags.end(), "style") == 1);
    CHECK(std::count(reading.tags.begin(), reading.tags.end(), "table") == std::count(plain.tags.begin(), plain.tags.end(), "table"));
    CHECK(std::count(reading.tags.begin(), reading.tags.end(), "td") == std::count(plain.tags.begin(), plain.tags.end(), "td"));
    for (const std::string& attribute : reading.attributes) {
      CHECK(attribute.find("on") != 0);
      if (attribute.find("href=") == 0) CHECK(attribute.find("href=\"#") == 0);
    }
    for (const char c : page) CHECK((static_cast<unsigned char>(c) >= 0x20 || c == '\n'));
  }
}

TEST_CASE("hostile text keeps a Markdown table's columns and opens nothing") {
  for (const std::string& text : hostile_texts) {
    CAPTURE(text);
    const std::string markdown = write_markdown(hostile_document(text));
    std::size_t at = 0;
    int details = 0;
    bool fenced = false;
    std::string fence;
    while (at < markdown.size()) {
      const std::size_t end = markdown.find('\n', at);
      const std::string line = markdown.substr(at, end - at);
      at = end + 1;
      if (line.compare(0, 3, "```") == 0) {
        const std::string ticks = line.substr(0, line.find_first_not_of('`'));
        if (!fenced) {
          fence = ticks, fenced = true;
        } else if (line == fence) {
          fenced = false;
        }
        continue;
      }
      if (fenced) continue;
      if (line.compare(0, 9, "<details>") == 0) ++details;
      if (line == "</details>") --details;
      if (line.empty() || line[0] != '|') continue;
      std::size_t bars = 0;
      for (std::size_t i = 0; i < line.size(); ++i) {
        if (line[i] == '\\') {
          ++i;
        } else if (line[i] == '|') {
          ++bars;
        }
      }
      CAPTURE(line);
      CHECK((bars == 3 || bars == 4));   // two columns of ours, two or three of the chart
    }
    CHECK_FALSE(fenced);
    CHECK(details == 0);
    check_inert(markdown);
  }
}

TEST_CASE("sections are numbered by their levels when asked") {
  Document document;
  document.numbered = true;
  for (const int level : {1, 2, 2, 1, 3}) {
    Section section;
    section.heading = "x";
    section.level = level;
    document.sections.push_back(section);
  }
  const std::string markdown = write_markdown(document);
  for (const char* heading : {"## 1 x", "### 1.1 x", "### 1.2 x", "## 2 x", "#### 2.1.1 x"}) {
    CAPTURE(heading);
    CHECK(markdown.find(heading) != std::string::npos);
  }
}

TEST_CASE("a figure is a drawing with folded rows on the page, rows and a file in Markdown") {
  Chart chart;
  chart.caption = "Level";
  chart.file = "figures/level.svg";
  chart.across = {"way", "m"};
  chart.up = {"level", "mm"};
  chart.lines = {{"line", {{0, 1}, {1, 2}}, false}};
  Document document = small_document();
  document.sections[0].blocks = {{make_figure(chart)}};
  const std::string page = write_html(document);
  CHECK(page.find("<figure id=\"g1\">") != std::string::npos);
  CHECK(page.find("<svg class=\"drawing\" role=\"img\"") != std::string::npos);
  CHECK(page.find("<details class=\"numbers\">") != std::string::npos);
  const std::string markdown = write_markdown(document);
  CHECK(markdown.find("![Level](figures/level.svg)") != std::string::npos);
  CHECK(markdown.find("|   way, m | level, mm |\n| -------: | --------: |\n| **line** |           |\n|        0 |         1 |\n") != std::string::npos);
  chart.file = "//host/x.svg";
  document.sections[0].blocks = {{make_figure(chart)}};
  CHECK(write_markdown(document).find("![") == std::string::npos);
}

TEST_CASE("empty parts write nothing broken") {
  Document document;
  Section section;
  section.blocks = {{Paragraph{}}, {Line{}}, {KeyList{}}, {Banner{}}, {Table{}}, {FindingBlock{}}, {MarginList{}}, {Checklist{}}, {Figure{}}, {Details{}}, {PageBreak{}}};
  document.sections = {section, section};
  CHECK(markup::read(write_html(document)).error == "");
  CHECK(write_markdown(document).find("\n\n\n") == std::string::npos);
}

TEST_CASE("rows may be shorter or longer than the table") {
  Document document;
  Table table;
  table.columns = {{"a"}, {"b"}};
  Row shorter;
  shorter.cells = {cell("1")};
  Row longer;
  longer.cells = {cell("1"), cell("2"), cell("3")};
  table.rows = {shorter, longer};
  Section section;
  section.blocks = {{table}};
  document.sections = {section};
  CHECK(write_markdown(document) == "| a   | b   |\n| --- | --- |\n| 1   |     |\n| 1   | 2   |\n");
  const std::string page = write_html(document);
  CHECK(page.find(">3<") == std::string::npos);
}

TEST_CASE("the same document gives the same bytes") {
  CHECK(write_html(small_document()) == write_html(small_document()));
  CHECK(write_markdown(small_document()) == write_markdown(small_document()));
}
