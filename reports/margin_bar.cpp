#include "reports/margin_bar.hpp"

#include "reports/figure_hatch.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace dripleg::reports {
namespace {
constexpr double overhang = 0.16;   // share of the bar kept beyond a limit when the value lies there

struct Span {
  double low;
  double high;
};

Span found(const MarginBar& bar) {
  return {std::min(bar.found_low, bar.found_high), std::max(bar.found_low, bar.found_high)};
}

bool usable(const MarginBar& bar) {
  const auto finite = [](std::optional<double> v) { return !v || std::isfinite(*v); };
  return finite(bar.low) && finite(bar.high) && std::isfinite(bar.found_low) && std::isfinite(bar.found_high);
}

double share(const MarginScale& scale, double value) {
  return std::clamp((value - scale.begin) / (scale.end - scale.begin), 0.0, 1.0);
}
}  // namespace

MarginScale margin_scale(const MarginBar& bar) {
  if (!usable(bar)) return {};
  const Span value = found(bar);
  double begin = 0;
  double end = 1;
  if (bar.low && bar.high) {
    begin = *bar.low;
    end = *bar.high;
  } else if (bar.high) {
    begin = std::min({0.0, value.low, *bar.high - std::fabs(*bar.high)});
    end = *bar.high;
  } else if (bar.low) {
    begin = *bar.low;
    end = std::max(value.high, *bar.low + std::max(std::fabs(*bar.low), 1e-12) * 0.5);
    end += (end - begin) * 0.15;
  } else {
    begin = std::min(0.0, value.low);
    end = std::max(value.high, 0.0);
  }
  if (end <= begin) end = begin + std::max(std::fabs(begin), 1.0) * 0.1;
  const double room = (end - begin) * overhang;
  if (value.low < begin) begin = std::min(value.low - room * 0.3, begin - room);
  if (value.high > end) end = std::max(value.high + room * 0.3, end + room);
  return {begin, end};
}

std::string margin_words(const MarginBar& bar) {
  if (bar.tone != Tone::tight || bar.tight_word.empty()) return bar.margin_text;
  return bar.margin_text.empty() ? bar.tight_word : bar.margin_text + ", " + bar.tight_word;
}

std::string margin_line(const MarginBar& bar, std::size_t width) {
  width = std::clamp<std::size_t>(width, 8, 200);
  if (!usable(bar)) return std::string(width, ' ');
  const MarginScale scale = margin_scale(bar);
  const Span value = found(bar);
  const auto cell = [&](double v) {
    return static_cast<std::size_t>(std::lround(share(scale, v) * static_cast<double>(width - 1)));
  };
  std::vector<const char*> cells(width, "─");
  cells.front() = bar.low ? "─" : "╶";
  cells.back() = bar.high ? "─" : "╴";
  if (bar.low) cells[cell(*bar.low)] = value.low < *bar.low ? "╫" : "├";
  if (bar.high) cells[cell(*bar.high)] = value.high > *bar.high ? "╫" : "┤";

  // The dot stays on its own side of a limit even when both fall into one cell.
  std::size_t first = cell(value.low);
  std::size_t last = cell(value.high);
  const auto keep_apart = [&](std::optional<double> limit, std::size_t& at, double v) {
    if (!limit || cell(*limit) != at) return;
    const bool above = v > *limit || (v == *limit && bar.low && *bar.low == *limit);
    if (above && at + 1 < width) ++at;
    if (!above && at > 0) --at;
  };
  keep_apart(bar.low, first, value.low);
  keep_apart(bar.high, first, value.low);
  keep_apart(bar.low, last, value.high);
  keep_apart(bar.high, last, value.high);
  for (std::size_t i = first; i <= last && i < width; ++i) cells[i] = "━";
  if (bar.low && first < cell(*bar.low) && cell(*bar.low) < last) cells[cell(*bar.low)] = "╫";
  if (bar.high && first < cell(*bar.high) && cell(*bar.high) < last) cells[cell(*bar.high)] = "╫";
  cells[first] = "●";
  cells[last] = "●";
  std::string out;
  for (const char* piece : cells) out += piece;
  return out;
}

namespace {
constexpr double bar_width = 300;
constexpr double bar_height = 26;
constexpr double bar_left = 8;
constexpr double bar_right = bar_width - 8;
constexpr double bar_y = 13;

void hatch_ground(SvgPen& pen, double from, double to) {
  if (to - from >= 1) pen.path(diagonal_hatch({from, bar_y - 6, to - from, 12}, 5), Stroke::hatch);
}
}  // namespace

Svg margin_drawing(const MarginBar& bar) {
  SvgPen pen;
  const MarginScale scale = margin_scale(bar);
  const Span value = found(bar);
  const auto x = [&](double v) { return bar_left + share(scale, v) * (bar_right - bar_left); };
  if (usable(bar)) {
    if (bar.low) hatch_ground(pen, bar_left, x(*bar.low));
    if (bar.high) hatch_ground(pen, x(*bar.high), bar_right);
    pen.line(bar_left, bar_y, bar_right, bar_y, Stroke::axis);
    if (bar.low) pen.line(x(*bar.low), bar_y - 10, x(*bar.low), bar_y + 10, Stroke::heavy);
    if (bar.high) pen.line(x(*bar.high), bar_y - 10, x(*bar.high), bar_y + 10, Stroke::heavy);
    const double from = x(value.low);
    const double to = x(value.high);
    if (to - from > 2) pen.rect(from, bar_y - 4, to - from, 8, Fill::accent, true);
    const bool solid = bar.tone != Tone::open;
    pen.disc(from, bar_y, 5, solid ? Fill::ink : Fill::paper);
    if (to - from > 2) pen.disc(to, bar_y, 5, solid ? Fill::ink : Fill::paper);
  }
  std::string desc = bar.found_text;
  if (!bar.needs_text.empty()) desc += desc.empty() ? bar.needs_text : "; " + bar.needs_text;
  const std::string words = margin_words(bar);
  return pen.take(bar_width, bar_height, words.empty() ? bar.found_text : words, std::move(desc));
}
}  // namespace dripleg::reports
