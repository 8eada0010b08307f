#include "reports/figure_bars.hpp"
#include "reports/figure_chart.hpp"
#include "reports/figure_labels.hpp"
#include "reports/figure_scale.hpp"
#include "reports/figure_tree.hpp"
#include "reports/text_width.hpp"

#include "markup.hpp"

#include <cstdlib>
#include <doctest/doctest.h>
#include <limits>
#include <string>
#include <vector>

using namespace dripleg::reports;

namespace {
const double not_a_number = std::numeric_limits<double>::quiet_NaN();

// What a drawing's labels cover, read back from its text.
std::vector<Box> label_boxes(const Svg& svg) {
  std::vector<Box> boxes;
  const std::string& text = svg.content.text();
  for (std::size_t at = text.find("<text "); at != std::string::npos; at = text.find("<text ", at + 1)) {
    const std::size_t close = text.find('>', at);
    const std::string tag = text.substr(at, close - at);
    const std::string words = text.substr(close + 1, text.find("</text>", close) - close - 1);
    const auto number = [&](const char* name) {
      const std::size_t found = tag.find(std::string(" ") + name + "=\"");
      return found == std::string::npos ? 0.0 : std::strtod(tag.c_str() + found + std::string(name).size() + 3, nullptr);
    };
    const double size = number("font-size");
    const double wide = text_width(words, size);
    double x = number("x");
    if (tag.find("middle") != std::string::npos) x -= wide / 2;
    if (tag.find("\"end\"") != std::string::npos) x -= wide;
    boxes.push_back({x, number("y") - size * 0.75, wide, size * 0.8});
  }
  return boxes;
}

std::size_t overlaps(const Svg& svg) {
  const std::vector<Box> boxes = label_boxes(svg);
  std::size_t count = 0;
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    for (std::size_t j = i + 1; j < boxes.size(); ++j) count += overlap(boxes[i], boxes[j]) ? 1 : 0;
  }
  return count;
}

std::size_t outside(const Svg& svg) {
  std::size_t count = 0;
  for (const Box& box : label_boxes(svg)) {
    const bool inside = box.x >= -0.5 && box.y >= -0.5 && box.x + box.width <= svg.width + 0.5 && box.y + box.height <= svg.height + 0.5;
    count += inside ? 0 : 1;
  }
  return count;
}

Chart sample_chart() {
  Chart chart;
  chart.caption = "Level along the way";
  chart.across = {"way", "m", {0}};
  chart.up = {"level", "mm", {}};
  ChartLine first{"first", {}, false};
  ChartLine second{"second", {}, true};
  for (int i = 0; i <= 8; ++i) {
    const double x = i * 2.5;
    first.points.push_back({x, 10 - 0.1 * x * i, "p" + std::to_string(i), "note " + std::to_string(i)});
    second.points.push_back({x, 8 - 0.3 * i});
  }
  chart.lines = {first, second};
  chart.bands = {{"allowed", 3.0, 11.0, "at least 3", "at most 11", true}};
  chart.limits = {{"mark", 12.0, true}};
  chart.dots = {{7, 5, "dot", "here"}};
  return chart;
}

TreeFigure sample_tree() {
  TreeFigure tree;
  tree.caption = "Branches";
  tree.heads = {"from", "to", "above", "below", "things", "mark"};
  tree.nodes = {{"root", "start"}, {"a"}, {"b"}, {"end one", "12"}, {"end two", "7"}, {"end three"}};
  tree.edges = {{0, 1, 10, 4, "up 1", "down 1", {"box"}, ""},
                {1, 3, 2, 1, "a rather long text above", "down 2", {"one", "two", "three"}, "2"},
                {1, 2, 30, 3, "up 3", "a rather long text below the line", {}, ""},
                {2, 4, 1, 1, "up 4", "", {"box"}, ""},
                {2, 5, 0, 0.5, "", "", {}, "1, 3"}};
  return tree;
}
}  // namespace

TEST_CASE("ticks are round, cover the values and are not too many") {
  const Ticks ticks = choose_ticks(0.13, 9.7, 6);
  CHECK(ticks.begin == 0);
  CHECK(ticks.end == 10);
  CHECK(ticks.step == 2);
  CHECK(choose_ticks(-0.3, 0.3, 6).at.front() == doctest::Approx(-0.3));
  CHECK(choose_ticks(5, 5, 6).begin < 5);
  CHECK(choose_ticks(0, 0, 6).end > 0);
  for (const double low : {-1e12, -7.3, 0.0, 1e-9, 3.0}) {
    for (const double size : {1e-6, 0.7, 13.0, 1e9}) {
      for (const std::size_t wanted : {2U, 6U, 12U}) {
        const Ticks t = choose_ticks(low, low + size, wanted);
        CHECK(t.begin <= low + t.step * 1e-6);
        CHECK(t.end >= low + size - t.step * 1e-6);
        CHECK(t.at.size() >= 2);
        CHECK(t.at.size() <= 2 * wanted + 3);
      }
    }
  }
  CHECK(choose_ticks(not_a_number, 1, 5).at.size() > 1);
}

TEST_CASE("numbers are printed without a locale and without minus zero") {
  CHECK(fixed_text(-0.001, 2) == "0.00");
  CHECK(fixed_text(0.3, 1) == "0.3");
  CHECK(fixed_text(-12.5, 0) == "-13");
  CHECK(fixed_text(1234.5, 2) == "1234.50");
  std::string text;
  append_coordinate(text, -0.004);
  append_coordinate(text, 1.005);
  CHECK(text == "01");
  text.clear();
  append_coordinate(text, -12.345678);
  CHECK(text == "-12.35");
}

TEST_CASE("a chart is well-formed, stays inside its frame and lets no labels overlap") {
  const Figure figure = make_figure(sample_chart());
  REQUIRE_FALSE(figure.svg.empty());
  const markup::Reading reading = markup::read(svg_element(figure.svg).text());
  CHECK(reading.error == "");
  CHECK(reading.has_text("Level along the way"));
  CHECK(reading.has_tag("title"));
  CHECK(overlaps(figure.svg) == 0);
  CHECK(outside(figure.svg) == 0);
  for (int i = 0; i <= 8; ++i) CHECK(reading.has_text("p" + std::to_string(i)));
}

TEST_CASE("a chart's table has its numbers, labels and limits") {
  const Table table = make_figure(sample_chart()).alternative;
  REQUIRE(table.columns.size() == 4);
  CHECK(table.columns[1].head == "first");
  CHECK(table.columns[1].unit == "mm");
  REQUIRE(table.rows.size() == 9);
  CHECK(table.rows[2].cells[0].text == "5.0");
  CHECK(table.rows[2].cells[1].text == "9.00");
  CHECK(table.rows[2].cells[3].text == "p2, note 2");
  REQUIRE(table.notes.size() == 3);
  CHECK(table.notes[0] == "dot, here: 7.0 m, 5.00 mm");
  CHECK(table.notes[1] == "allowed: at least 3 … at most 11");
  CHECK(table.notes[2] == "mark");
}

TEST_CASE("a finished text wins over our own rounding in a chart's table") {
  Chart chart;
  chart.lines = {{"", {{0, 1.23456, "", "", "1.23456 exactly"}, {1, 2}}, false}};
  CHECK(make_figure(chart).alternative.rows[0].cells[1].text == "1.23456 exactly");
}

TEST_CASE("long lines are thinned in the table, labelled points stay") {
  Chart chart;
  ChartLine line{"curve", {}, false};
  for (int i = 0; i < 1000; ++i) line.points.push_back({i * 1.0, i * 0.5, i == 501 ? "peak" : ""});
  chart.lines = {line};
  const Table table = make_figure(chart).alternative;
  CHECK(table.rows.size() < 20);
  bool found = false;
  for (const Row& row : table.rows) found = found || (row.cells.size() > 2 && row.cells[2].text == "peak");
  CHECK(found);
}

TEST_CASE("a chart of nothing, of holes or of one point") {
  CHECK(make_figure(Chart{}).svg.empty());
  Chart chart;
  chart.lines = {{"only holes", {{not_a_number, 1}, {1, not_a_number}}, false}};
  CHECK(make_figure(chart).svg.empty());
  chart.lines = {{"hole", {{0, 1}, {1, not_a_number}, {2, 3}}, true}};
  const Svg svg = make_figure(chart).svg;
  CHECK(markup::read(svg_element(svg).text()).error == "");
  CHECK(svg.content.text().find("nan") == std::string::npos);
  const double infinity = std::numeric_limits<double>::infinity();
  chart.bands = {{"b", infinity, not_a_number, "", "", true}};
  chart.stretches = {{"s", 0, infinity, "", ""}};
  CHECK(markup::read(svg_element(make_figure(chart).svg).text()).error == "");
  chart.lines = {{"point", {{5, 5, "p"}}, false}};
  CHECK_FALSE(make_figure(chart).svg.empty());
}

TEST_CASE("ribbons, stretches and columns are drawn with their words") {
  Chart chart;
  chart.caption = "c";
  chart.across = {"x", "u"};
  chart.up = {"y", "v", {0}};
  chart.lines = {{"line", {{0, 40}, {70, 0}}, false}};
  chart.ribbons = {{"ribbon", {{0, 15, 60}, {70, 15, 60}}}};
  chart.stretches = {{"bare", 20, 50, "from 20", "to 50"}};
  chart.beneath = ChartBeneath{{"hours", "h"}, {{0, 10, 5}, {10, 20, 9}}};
  const Figure figure = make_figure(chart);
  const markup::Reading reading = markup::read(svg_element(figure.svg).text());
  CHECK(reading.error == "");
  for (const char* words : {"ribbon", "bare", "from 20", "to 50", "hours, h", "x, u"}) CHECK(reading.has_text(words));
  CHECK(overlaps(figure.svg) == 0);
  CHECK(outside(figure.svg) == 0);
  CHECK(figure.alternative.rows.back().cells[0].text == "10 … 20");
}

TEST_CASE("a tree is well-formed, inside its frame and without overlaps") {
  const Figure figure = make_figure(sample_tree());
  REQUIRE_FALSE(figure.svg.empty());
  const markup::Reading reading = markup::read(svg_element(figure.svg).text());
  CHECK(reading.error == "");
  CHECK(overlaps(figure.svg) == 0);
  CHECK(outside(figure.svg) == 0);
  for (const char* words : {"root", "end one", "end three", "a rather long text above", "three", "1, 3"}) CHECK(reading.has_text(words));
  CHECK(figure.svg.content.text().find("stroke-dasharray") != std::string::npos);
  REQUIRE(figure.alternative.rows.size() == 5);
  CHECK(figure.alternative.rows[1].cells[4].text == "one, two, three");
  CHECK(figure.alternative.rows[1].tone == Tone::breaks);
}

TEST_CASE("what is no tree is a table only") {
  TreeFigure loop = sample_tree();
  loop.edges.push_back({4, 0});
  CHECK(make_figure(loop).svg.empty());
  CHECK(make_figure(loop).alternative.rows.size() == 6);
  TreeFigure twice = sample_tree();
  twice.edges.push_back({0, 3});
  CHECK(make_figure(twice).svg.empty());
  TreeFigure astray = sample_tree();
  astray.edges.push_back({0, 99});
  CHECK(make_figure(astray).svg.empty());
  CHECK(make_figure(TreeFigure{}).svg.empty());
}

TEST_CASE("too many parts are a table only, and a long chain needs no deep stack") {
  TreeFigure chain;
  chain.nodes.resize(100'000);
  for (std::size_t i = 0; i + 1 < chain.nodes.size(); ++i) chain.edges.push_back({i, i + 1, 1, 1, "x"});
  const Figure figure = make_figure(chain);
  CHECK(figure.svg.empty());
  CHECK(figure.alternative.rows.size() == 99'999);
  Chart chart;
  ChartLine line{"dots", {}, false};
  for (int i = 0; i < 10'000; ++i) line.points.push_back({i * 1.0, 1, "label"});
  chart.lines = {line};
  CHECK(make_figure(chart).svg.empty());
  TreeFigure wide;
  wide.nodes.resize(1'500);
  for (std::size_t i = 1; i < wide.nodes.size(); ++i) wide.edges.push_back({0, i, 1, 1, "x"});
  const Figure drawn = make_figure(wide);
  CHECK_FALSE(drawn.svg.empty());
  CHECK(drawn.svg.elements <= most_svg_elements);
}

TEST_CASE("stacked bars keep their words inside the parts or beneath them") {
  BarsFigure figure;
  figure.caption = "Allowance";
  figure.heads = {"part", "amount", "sum", "limit", "rest"};
  StackedBar bar;
  bar.name = "first";
  bar.parts = {{"long part", "29 m", 29}, {"short", "1 m", 1}, {"bad", "?", not_a_number}, {"none", "0 m", 0}};
  bar.limit = 56;
  bar.limit_text = "56 m";
  bar.total_text = "30 of 56 m";
  bar.margin_text = "26 left";
  figure.bars = {bar, bar};
  figure.bars[1].limit = 20;
  const Figure made = make_figure(figure);
  const markup::Reading reading = markup::read(svg_element(made.svg).text());
  CHECK(reading.error == "");
  CHECK(reading.has_text("long part 29 m"));
  CHECK(reading.has_text("a  short 1 m"));
  CHECK(overlaps(made.svg) == 0);
  CHECK(outside(made.svg) == 0);
  REQUIRE(made.alternative.rows.size() == 16);
  CHECK(made.alternative.rows[5].kind == RowKind::total);
  CHECK(make_figure(BarsFigure{}).svg.empty());
}

TEST_CASE("hostile labels are letters in every figure") {
  const std::string hostile = "</text><a href=\"javascript:1\">\x1b";
  Chart chart = sample_chart();
  chart.caption = hostile;
  chart.lines[0].points[2].label = hostile;
  TreeFigure tree = sample_tree();
  tree.nodes[1].label = hostile;
  tree.desc = hostile;
  for (const Figure& figure : {make_figure(chart), make_figure(tree)}) {
    const markup::Reading reading = markup::read(svg_element(figure.svg).text());
    CHECK(reading.error == "");
    CHECK_FALSE(reading.has_tag("a"));
    CHECK(reading.has_text("</text><a href=\"javascript:1\">\\x1b"));
    CHECK(markup::read(svg_file(figure.svg)).error == "");
  }
}

TEST_CASE("the same figure gives the same bytes") {
  CHECK(svg_file(make_figure(sample_chart()).svg) == svg_file(make_figure(sample_chart()).svg));
  CHECK(svg_file(make_figure(sample_tree()).svg) == svg_file(make_figure(sample_tree()).svg));
}

TEST_CASE("labels at one side are kept apart and in order") {
  const std::vector<double> places = spread_labels({50, 51, 49, 200}, 10, 0, 205);
  CHECK(places[2] < places[0]);
  CHECK(places[0] + 10 <= places[1]);
  CHECK(places[3] == 200);
  const std::vector<double> low = spread_labels({100, 100, 100}, 10, 0, 100);
  CHECK(low[2] == 100);
  CHECK(low[0] == 80);
}

TEST_CASE("widths count characters, not bytes") {
  CHECK(columns("°F ½") == 4);
  CHECK(columns("e\u0301") == 1);
  CHECK(text_width("mm", 10) > text_width("ii", 10));
  CHECK(fitted("a long text", 10, 30).size() < 11);
  CHECK(fitted("ab", 10, 100) == "ab");
}
