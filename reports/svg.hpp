// One drawing as SVG. A pen writes shapes and finished labels; numbers are rounded to 0.01 by our
// own printer, labels are escaped, and no shape carries an id, so that drawings can stand in one
// page in any order. Every style has attributes that work alone (print, a bare file) and a class
// that a page's style sheet may override. Meaning is never carried by colour alone.
#pragma once
#include "reports/escape.hpp"
#include "reports/sink.hpp"

#include <cstddef>
#include <string>
#include <string_view>

namespace dripleg::reports {
constexpr std::size_t most_svg_elements = 20'000;

using SvgDrawing = Escaped<Format::svg_drawing>;

struct Svg {
  double width = 0;    // user units, drawn as CSS pixels
  double height = 0;
  std::string title{}; // what the drawing is
  std::string desc{};  // what it shows, for those who do not see it
  SvgDrawing content{};
  std::size_t elements = 0;
  bool empty() const { return elements == 0; }
};

enum class Stroke { outline, heavy, axis, grid, limit, hatch, hatch_wide, leader, dashed };
enum class Fill { ink, paper, band, accent };
enum class Anchor { start, middle, end };
enum class Lettering { normal, small, strong, heading, inside };   // all but `inside` keep the ground around them clear

constexpr std::size_t series_styles = 6;   // lines told apart by dashes and width, then by colour

// A shape made of straight pieces.
class SvgPath {
 public:
  SvgPath& move(double x, double y);
  SvgPath& line(double x, double y);
  SvgPath& close();
  bool empty() const { return text_.empty(); }

 private:
  friend class SvgPen;
  std::string text_{};
};

double letter_size(Lettering lettering);
void append_coordinate(std::string& out, double value);   // rounded half away to 0.01; not a number is 0

class SvgPen {
 public:
  void line(double x1, double y1, double x2, double y2, Stroke stroke);
  void line_thick(double x1, double y1, double x2, double y2, double thickness, bool dashed);
  void path(const SvgPath& shape, Stroke stroke);
  void series(const SvgPath& shape, std::size_t style);
  void area(const SvgPath& shape, Fill fill);
  void area_shade(const SvgPath& shape, double opacity);   // ink at this opacity, thin outline
  void rect(double x, double y, double width, double height, Fill fill, bool outlined);
  void disc(double x, double y, double radius, Fill fill);  // always outlined
  void text(double x, double y, std::string_view raw, Anchor anchor, Lettering lettering);
  void text_up(double x, double y, std::string_view raw, Lettering lettering);   // read from below, middle at x, y

  std::size_t elements() const { return elements_; }
  Svg take(double width, double height, std::string title, std::string desc);

 private:
  friend SvgDrawing svg_element(const Svg& svg);
  static SvgDrawing adopt(std::string finished) { return SvgDrawing(EscapePass(), std::move(finished)); }
  void number(Literal name, double value);
  void open(Literal name);
  SvgSink& put(const std::string& numbers);
  SvgSink sink_;
  std::size_t elements_ = 0;
};

// The element for a page that has the style sheet; the whole file for a drawing that stands alone.
SvgDrawing svg_element(const Svg& svg);
std::string svg_file(const Svg& svg);
}  // namespace dripleg::reports
