#include "reports/margin_bar.hpp"

#include "markup.hpp"
#include "reports/text_width.hpp"

#include <doctest/doctest.h>
#include <limits>

using namespace dripleg::reports;

namespace {
MarginBar bar_of(std::optional<double> low, std::optional<double> high, double found_low, double found_high) {
  MarginBar bar;
  bar.low = low;
  bar.high = high;
  bar.found_low = found_low;
  bar.found_high = found_high;
  return bar;
}
std::string line_of(std::optional<double> low, std::optional<double> high, double found) {
  return margin_line(bar_of(low, high, found, found), 20);
}
}  // namespace

TEST_CASE("a bar shows both limits and where the value lies") {
  CHECK(line_of(8, 13, 8) == "├●─────────────────┤");
  CHECK(line_of(8, 13, 10.5) == "├─────────●────────┤");
  CHECK(line_of(8, 13, 13) == "├─────────────────●┤");
}

TEST_CASE("a bar with one limit is open at its other side") {
  CHECK(line_of({}, 56, 28) == "╶─────────●────────┤");
  CHECK(line_of({}, 56, 56) == "╶─────────────────●┤");
  CHECK(line_of(30, {}, 30) == "├●─────────────────╴");
}

TEST_CASE("a value beyond its limit stands beyond the mark, however little") {
  const std::string over = line_of({}, 25, 25.0001);
  CHECK(over.find("╫") < over.find("●"));
  CHECK(over.find("┤") == std::string::npos);
  const std::string below = line_of(4, {}, 3.9999);
  CHECK(below.find("●") < below.find("╫"));
  CHECK(line_of({}, 25, 1e6).find("╫") < line_of({}, 25, 1e6).find("●"));
}

TEST_CASE("a range is a stretch and crosses the limit mark where it does") {
  CHECK(margin_line(bar_of({}, 100, 50, 75), 20) == "╶─────────●━━━●────┤");
  const std::string crossing = margin_line(bar_of({}, 100, 50, 130), 20);
  CHECK(crossing.find("●") < crossing.find("╫"));
  CHECK(crossing.find("╫") < crossing.rfind("●"));
}

TEST_CASE("a bar is always as wide as asked and survives useless numbers") {
  const double infinity = std::numeric_limits<double>::infinity();
  const double values[] = {0, -1, 1, 1e-300, 1e300, -1e300, infinity, std::numeric_limits<double>::quiet_NaN()};
  for (const double low : values) {
    for (const double high : values) {
      for (const double found : values) {
        CHECK(columns(margin_line(bar_of(low, high, found, found), 24)) == 24);
        CHECK(columns(margin_line(bar_of({}, high, found, low), 24)) == 24);
        const Svg svg = margin_drawing(bar_of(low, {}, found, high));
        CHECK(markup::read(svg_element(svg).text()).error == "");
        CHECK(svg.content.text().find("nan") == std::string::npos);
      }
    }
  }
  CHECK(columns(margin_line(bar_of({}, 1, 0, 0), 0)) == 8);
}

TEST_CASE("the words come from the caller; the tight word only when it is tight") {
  MarginBar bar = bar_of({}, 56, 56, 56);
  bar.margin_text = "spare 0";
  bar.tight_word = "tight";
  CHECK(margin_words(bar) == "spare 0");
  bar.tone = Tone::tight;
  CHECK(margin_words(bar) == "spare 0, tight");
}

TEST_CASE("the drawing puts the value on the right side of the limit and hatches beyond it") {
  const Svg over = margin_drawing(bar_of({}, 25, 30, 30));
  const Svg within = margin_drawing(bar_of({}, 25, 20, 20));
  CHECK(over.content.text().find("hatch") != std::string::npos);
  CHECK(within.content.text().find("hatch") == std::string::npos);
  CHECK(over.elements == within.elements + 1);
}
