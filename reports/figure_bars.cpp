#include "reports/figure_bars.hpp"

#include "reports/text_width.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::reports {
namespace {
constexpr double track = 520;
constexpr double bar_height = 30;
constexpr double most_name = 180;
constexpr double limit_room = 22;       // above a bar, for the limit's text
constexpr double legend_line = 16;
constexpr double shades[] = {0.30, 0.12, 0.22, 0.04};

double small_width(const std::string& text) { return text_width(text, letter_size(Lettering::small)); }
double strong_width(const std::string& text) { return text_width(text, letter_size(Lettering::strong)); }

bool counts(const BarPart& part) { return std::isfinite(part.amount) && part.amount > 0; }

double total_of(const StackedBar& bar) {
  double total = 0;
  for (const BarPart& part : bar.parts) total += counts(part) ? part.amount : 0;
  return total;
}

std::string words_of(const BarPart& part) {
  return part.text.empty() ? part.name : part.name.empty() ? part.text : part.name + " " + part.text;
}

// a … z, then a2 …
std::string key_of(std::size_t index) {
  std::string key(1, static_cast<char>('a' + index % 26));
  return index < 26 ? key : key + std::to_string(index / 26 + 1);
}

class BarsDrawer {
 public:
  explicit BarsDrawer(const BarsFigure& figure) : figure_(figure) {}

  Svg draw() {
    double most = 0;
    double ends = 0;
    std::size_t elements = 0;
    for (const StackedBar& bar : figure_.bars) {
      most = std::max({most, total_of(bar), bar.limit.value_or(0)});
      left_ = std::max({left_, strong_width(bar.name), small_width(bar.note)});
      ends = std::max({ends, strong_width(bar.total_text), strong_width(bar.margin_text)});
      elements += 8 + 3 * bar.parts.size();
    }
    if (!(most > 0) || !std::isfinite(most) || elements > most_svg_elements) return {};
    left_ = std::min(left_, most_name) + 20;
    scale_ = track / most;
    double top = 6;
    for (const StackedBar& bar : figure_.bars) top = draw_bar(bar, top);
    return pen_.take(left_ + track + 16 + ends + 10, top, figure_.title.empty() ? figure_.caption : figure_.title, figure_.desc);
  }

 private:
  double draw_bar(const StackedBar& bar, double top) {
    const double y = top + limit_room;
    pen_.text(left_ - 12, y + (bar.note.empty() ? 19 : 13), fitted(bar.name, letter_size(Lettering::strong), most_name), Anchor::end,
              Lettering::strong);
    pen_.text(left_ - 12, y + 27, fitted(bar.note, letter_size(Lettering::small), most_name), Anchor::end, Lettering::small);
    double x = left_;
    std::vector<std::string> legend;
    std::size_t shade = 0;
    for (const BarPart& part : bar.parts) {
      if (!counts(part)) continue;
      const double wide = part.amount * scale_;
      SvgPath box;
      box.move(x, y).line(x + wide, y).line(x + wide, y + bar_height).line(x, y + bar_height).close();
      pen_.area_shade(box, shades[shade++ % 4]);
      label_part(bar, part, x, y, wide, legend);
      x += wide;
    }
    draw_limit(bar, x, y);
    const double end = left_ + track + 16;
    pen_.text(end, y + (bar.margin_text.empty() ? 19 : 11), bar.total_text, Anchor::start, Lettering::normal);
    pen_.text(end, y + (bar.total_text.empty() ? 19 : 27), bar.margin_text, Anchor::start, Lettering::strong);
    return draw_legend(legend, y + bar_height) + 14;
  }

  // Inside when it fits beside the limit mark, else a letter that the lines beneath the bar explain.
  void label_part(const StackedBar& bar, const BarPart& part, double x, double y, double wide, std::vector<std::string>& legend) {
    const std::string words = words_of(part);
    if (words.empty()) return;
    const double limit = bar.limit && std::isfinite(*bar.limit) ? left_ + std::max(*bar.limit, 0.0) * scale_ : x;
    double from = x;
    double to = x + wide;
    if (limit > from && limit < to) (limit - from >= to - limit ? to : from) = limit;
    if (small_width(words) + 8 <= to - from) {
      pen_.text((from + to) / 2, y + 19, words, Anchor::middle, Lettering::inside);
      return;
    }
    const std::string key = key_of(legend.size());
    if (small_width(key) + 2 <= to - from) pen_.text((from + to) / 2, y + 19, key, Anchor::middle, Lettering::inside);
    legend.push_back(key + "  " + words);
  }

  void draw_limit(const StackedBar& bar, double used, double y) {
    if (!bar.limit || !std::isfinite(*bar.limit)) return;
    const double at = left_ + std::max(*bar.limit, 0.0) * scale_;
    if (at > used + 1) {
      SvgPath spare;
      spare.move(used, y).line(at, y).line(at, y + bar_height).line(used, y + bar_height);
      pen_.path(spare, Stroke::dashed);
    }
    pen_.line(at, y - 8, at, y + bar_height + 8, Stroke::heavy);
    const double wide = small_width(bar.limit_text);
    pen_.text(std::clamp(at, left_ + wide / 2, left_ + track + 16 - wide / 4), y - 11, bar.limit_text, Anchor::middle, Lettering::small);
  }

  double draw_legend(const std::vector<std::string>& legend, double bottom) {
    double x = left_;
    double y = bottom + 20;
    if (legend.empty()) return bottom + 8;
    for (const std::string& entry : legend) {
      const double wide = small_width(entry) + 18;
      if (x > left_ && x + wide > left_ + track) x = left_, y += legend_line;
      pen_.text(x, y, entry, Anchor::start, Lettering::small);
      x += wide;
    }
    return y + 4;
  }

  const BarsFigure& figure_;
  SvgPen pen_;
  double left_ = 0;
  double scale_ = 1;
};

Row row_of(RowKind kind, std::string first, std::string second) {
  Row row;
  row.kind = kind;
  row.cells.resize(2);
  row.cells[0].text = std::move(first);
  row.cells[1].text = std::move(second);
  return row;
}

Table bars_table(const BarsFigure& figure) {
  Table table;
  table.columns = {{figure.heads.part, Align::left, ""}, {figure.heads.amount, Align::right, ""}};
  for (const StackedBar& bar : figure.bars) {
    if (!bar.name.empty()) {
      table.rows.push_back(row_of(RowKind::group, bar.note.empty() ? bar.name : bar.name + ", " + bar.note, ""));
    }
    for (const BarPart& part : bar.parts) table.rows.push_back(row_of(RowKind::plain, part.name, part.text));
    if (!bar.total_text.empty()) table.rows.push_back(row_of(RowKind::total, figure.heads.total, bar.total_text));
    if (!bar.limit_text.empty()) table.rows.push_back(row_of(RowKind::plain, figure.heads.limit, bar.limit_text));
    if (bar.margin_text.empty()) continue;
    table.rows.push_back(row_of(RowKind::plain, figure.heads.margin, bar.margin_text));
    table.rows.back().tone = bar.tone;
  }
  return table;
}
}  // namespace

Figure make_figure(const BarsFigure& bars) {
  Figure figure;
  figure.target = bars.target;
  figure.caption = bars.caption;
  figure.file = bars.file;
  figure.alternative = bars_table(bars);
  figure.svg = BarsDrawer(bars).draw();
  return figure;
}
}  // namespace dripleg::reports
