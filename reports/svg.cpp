#include "reports/svg.hpp"

#include "reports/style.hpp"

#include <charconv>
#include <cmath>

namespace dripleg::reports {
namespace {
// A stroke's class and the attributes that hold where no style sheet is.
Literal stroke_attributes(Stroke stroke) {
  switch (stroke) {
    case Stroke::outline: return R"( class="outline" fill="none" stroke="currentColor" stroke-width="1.2")";
    case Stroke::heavy: return R"( class="heavy" fill="none" stroke="currentColor" stroke-width="2.4")";
    case Stroke::axis: return R"( class="axis" fill="none" stroke="currentColor" stroke-width="1")";
    case Stroke::grid: return R"( class="grid" fill="none" stroke="currentColor" stroke-opacity="0.16" stroke-width="0.8")";
    case Stroke::limit: return R"( class="limit" fill="none" stroke="currentColor" stroke-width="1.8" stroke-dasharray="14 3 2 3 2 3")";
    case Stroke::hatch: return R"( class="hatch" fill="none" stroke="currentColor" stroke-opacity="0.5" stroke-width="0.9")";
    case Stroke::hatch_wide: return R"( class="hatch" fill="none" stroke="currentColor" stroke-opacity="0.28" stroke-width="0.8")";
    case Stroke::leader: return R"( class="leader" fill="none" stroke="currentColor" stroke-opacity="0.55" stroke-width="0.7")";
    case Stroke::dashed: return R"( class="outline" fill="none" stroke="currentColor" stroke-width="1.2" stroke-dasharray="4 3")";
  }
  return "";
}

Literal series_attributes(std::size_t style) {
  switch (style % series_styles) {
    case 0: return R"( class="s0" fill="none" stroke="currentColor" stroke-width="2.4" stroke-linejoin="round")";
    case 1: return R"( class="s1" fill="none" stroke="currentColor" stroke-width="1.9" stroke-dasharray="9 4" stroke-linejoin="round")";
    case 2: return R"( class="s2" fill="none" stroke="currentColor" stroke-width="2.2" stroke-dasharray="2 3" stroke-linejoin="round")";
    case 3: return R"( class="s3" fill="none" stroke="currentColor" stroke-width="1.2" stroke-linejoin="round")";
    case 4: return R"( class="s4" fill="none" stroke="currentColor" stroke-width="1.9" stroke-dasharray="12 3 2 3" stroke-linejoin="round")";
    case 5: return R"( class="s5" fill="none" stroke="currentColor" stroke-width="1.4" stroke-dasharray="5 2" stroke-linejoin="round")";
    default: return "";
  }
}

Literal fill_attributes(Fill fill) {
  switch (fill) {
    case Fill::ink: return R"( class="fill-ink" fill="currentColor")";
    case Fill::paper: return R"( class="fill-paper" fill="#fff")";
    case Fill::band: return R"( class="fill-band" fill="currentColor" fill-opacity="0.07")";
    case Fill::accent: return R"( class="fill-accent" fill="currentColor" fill-opacity="0.75")";
  }
  return "";
}

Literal letter_attributes(Lettering lettering) {
  switch (lettering) {
    case Lettering::normal: return R"( class="t" fill="currentColor" font-size="12")";
    case Lettering::small: return R"( class="t" fill="currentColor" font-size="10.5")";
    case Lettering::strong: return R"( class="t" fill="currentColor" font-size="12" font-weight="700")";
    case Lettering::heading: return R"( class="t" fill="currentColor" font-size="13" font-weight="700")";
    case Lettering::inside: return R"( class="u" fill="currentColor" font-size="10.5")";
  }
  return "";
}

Literal anchor_attribute(Anchor anchor) {
  switch (anchor) {
    case Anchor::start: return "";
    case Anchor::middle: return R"( text-anchor="middle")";
    case Anchor::end: return R"( text-anchor="end")";
  }
  return "";
}

constexpr double most_coordinate = 1e7;
}  // namespace

double letter_size(Lettering lettering) {
  switch (lettering) {
    case Lettering::normal: return 12;
    case Lettering::small: return 10.5;
    case Lettering::strong: return 13.7;   // bold letters are wider
    case Lettering::heading: return 14.8;
    case Lettering::inside: return 10.5;
  }
  return 12;
}

void append_coordinate(std::string& out, double value) {
  if (!std::isfinite(value)) value = 0;
  value = std::fmin(std::fmax(value, -most_coordinate), most_coordinate);
  const long long hundredths = std::llround(value * 100);
  const long long size = hundredths < 0 ? -hundredths : hundredths;
  if (hundredths < 0) out.push_back('-');
  char digits[24];
  out.append(digits, std::to_chars(digits, digits + sizeof digits, size / 100).ptr);
  const long long rest = size % 100;
  if (rest == 0) return;
  out.push_back('.');
  out.push_back(static_cast<char>('0' + rest / 10));
  if (rest % 10 != 0) out.push_back(static_cast<char>('0' + rest % 10));
}

SvgPath& SvgPath::move(double x, double y) {
  text_ += text_.empty() ? "M" : " M";
  append_coordinate(text_, x);
  text_.push_back(' ');
  append_coordinate(text_, y);
  return *this;
}

SvgPath& SvgPath::line(double x, double y) {
  text_ += " L";
  append_coordinate(text_, x);
  text_.push_back(' ');
  append_coordinate(text_, y);
  return *this;
}

SvgPath& SvgPath::close() {
  text_ += " Z";
  return *this;
}

void SvgPen::open(Literal name) {
  ++elements_;
  sink_ << "<" << name;
}

// Digits, signs and path letters pass through the escaper unchanged.
SvgSink& SvgPen::put(const std::string& numbers) { return sink_ << svg_text(numbers); }

void SvgPen::number(Literal name, double value) {
  std::string text;
  append_coordinate(text, value);
  sink_ << " " << name << "=\"";
  put(text) << "\"";
}

void SvgPen::line(double x1, double y1, double x2, double y2, Stroke stroke) {
  open("line");
  number("x1", x1);
  number("y1", y1);
  number("x2", x2);
  number("y2", y2);
  sink_ << stroke_attributes(stroke) << "/>\n";
}

void SvgPen::line_thick(double x1, double y1, double x2, double y2, double thickness, bool dashed) {
  open("line");
  number("x1", x1);
  number("y1", y1);
  number("x2", x2);
  number("y2", y2);
  number("stroke-width", thickness);
  sink_ << R"( class="thick" stroke="currentColor")";
  if (dashed) sink_ << R"( stroke-dasharray="6 4")";
  sink_ << "/>\n";
}

void SvgPen::path(const SvgPath& shape, Stroke stroke) {
  if (shape.empty()) return;
  open("path");
  sink_ << " d=\"";
  put(shape.text_) << "\"" << stroke_attributes(stroke) << "/>\n";
}

void SvgPen::series(const SvgPath& shape, std::size_t style) {
  if (shape.empty()) return;
  open("path");
  sink_ << " d=\"";
  put(shape.text_) << "\"" << series_attributes(style) << "/>\n";
}

void SvgPen::area(const SvgPath& shape, Fill fill) {
  if (shape.empty()) return;
  open("path");
  sink_ << " d=\"";
  put(shape.text_) << "\"" << fill_attributes(fill) << "/>\n";
}

void SvgPen::area_shade(const SvgPath& shape, double opacity) {
  if (shape.empty()) return;
  open("path");
  sink_ << " d=\"";
  put(shape.text_) << R"(" class="shade" fill="currentColor" stroke="currentColor" stroke-width="1")";
  number("fill-opacity", opacity);
  sink_ << "/>\n";
}

void SvgPen::rect(double x, double y, double width, double height, Fill fill, bool outlined) {
  open("rect");
  number("x", x);
  number("y", y);
  number("width", width);
  number("height", height);
  sink_ << fill_attributes(fill);
  if (outlined) sink_ << R"( stroke="currentColor" stroke-width="1.2")";
  sink_ << "/>\n";
}

void SvgPen::disc(double x, double y, double radius, Fill fill) {
  open("circle");
  number("cx", x);
  number("cy", y);
  number("r", radius);
  sink_ << fill_attributes(fill) << R"( stroke="currentColor" stroke-width="1.4"/>)" << "\n";
}

void SvgPen::text(double x, double y, std::string_view raw, Anchor anchor, Lettering lettering) {
  if (raw.empty()) return;
  open("text");
  number("x", x);
  number("y", y);
  sink_ << letter_attributes(lettering) << anchor_attribute(anchor) << ">" << svg_text(raw) << "</text>\n";
}

void SvgPen::text_up(double x, double y, std::string_view raw, Lettering lettering) {
  if (raw.empty()) return;
  open("text");
  std::string turn = "rotate(-90 ";
  append_coordinate(turn, x);
  turn.push_back(' ');
  append_coordinate(turn, y);
  number("x", x);
  number("y", y);
  sink_ << " transform=\"";
  put(turn) << ")\"" << letter_attributes(lettering) << R"( text-anchor="middle">)" << svg_text(raw) << "</text>\n";
}

Svg SvgPen::take(double width, double height, std::string title, std::string desc) {
  Svg svg;
  svg.width = width;
  svg.height = height;
  svg.title = std::move(title);
  svg.desc = std::move(desc);
  svg.elements = elements_;
  svg.content = SvgDrawing(EscapePass(), sink_.take());
  elements_ = 0;
  return svg;
}

namespace {
using DrawingSink = Sink<Format::svg_text, Format::svg_drawing>;

void put_size(DrawingSink& sink, const Svg& svg) {
  std::string width;
  std::string height;
  append_coordinate(width, svg.width);
  append_coordinate(height, svg.height);
  sink << " viewBox=\"0 0 " << svg_text(width) << " " << svg_text(height) << "\" width=\"" << svg_text(width)
       << "\" height=\"" << svg_text(height) << "\"";
}

void put_body(DrawingSink& sink, const Svg& svg) {
  sink << "<title>" << svg_text(svg.title) << "</title>\n";
  if (!svg.desc.empty()) sink << "<desc>" << svg_text(svg.desc) << "</desc>\n";
  sink << svg.content << "</svg>\n";
}
}  // namespace

SvgDrawing svg_element(const Svg& svg) {
  DrawingSink sink;
  sink << R"(<svg class="drawing" role="img")";
  put_size(sink, svg);
  sink << ">";
  put_body(sink, svg);
  return SvgPen::adopt(sink.take());
}

std::string svg_file(const Svg& svg) {
  DrawingSink sink;
  sink << R"(<svg xmlns="http://www.w3.org/2000/svg" role="img" font-family="sans-serif" color="#16202a")";
  put_size(sink, svg);
  sink << ">";
  sink << "<style>" << drawing_style() << "</style>\n";
  put_body(sink, svg);
  return sink.take();
}
}  // namespace dripleg::reports
