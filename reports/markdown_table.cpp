#include "reports/markdown_table.hpp"

#include "reports/text_width.hpp"

#include <algorithm>

namespace dripleg::reports {
namespace {
constexpr std::size_t most_padding = 56;   // a longer cell stands out of its column instead of widening it

std::vector<std::size_t> column_widths(const MarkdownGrid& grid) {
  std::vector<std::size_t> widths(grid.aligns.size(), 3);
  for (const auto& row : grid.rows) {
    for (std::size_t i = 0; i < row.size() && i < widths.size(); ++i) {
      widths[i] = std::max(widths[i], std::min(columns(row[i].text()), most_padding));
    }
  }
  return widths;
}

void put_cell(MarkdownSink& out, const MarkdownSink& cell, std::size_t width, Align align) {
  const std::size_t used = columns(cell.text());
  const std::size_t spare = width > used ? width - used : 0;
  const std::size_t before = align == Align::right ? spare : align == Align::centre ? spare / 2 : 0;
  out << " ";
  out.repeat(' ', before) << cell;
  out.repeat(' ', spare - before) << " |";
}

void put_rule(MarkdownSink& out, std::size_t width, Align align) {
  out << (align == Align::centre ? Literal(" :") : Literal(" "));
  const std::size_t colons = align == Align::centre ? 2 : align == Align::right ? 1 : 0;
  out.repeat('-', width - colons) << (colons > 0 ? Literal(": |") : Literal(" |"));
}
}  // namespace

void put_grid(MarkdownSink& out, const MarkdownGrid& grid) {
  if (grid.aligns.empty()) return;
  const std::vector<std::size_t> widths = column_widths(grid);
  const MarkdownSink empty;
  for (std::size_t r = 0; r < grid.rows.size(); ++r) {
    out << "|";
    for (std::size_t i = 0; i < widths.size(); ++i) {
      put_cell(out, i < grid.rows[r].size() ? grid.rows[r][i] : empty, widths[i], grid.aligns[i]);
    }
    out << "\n";
    if (r > 0) continue;
    out << "|";
    for (std::size_t i = 0; i < widths.size(); ++i) put_rule(out, widths[i], grid.aligns[i]);
    out << "\n";
  }
}
}  // namespace dripleg::reports
