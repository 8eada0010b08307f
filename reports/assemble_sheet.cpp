// A sheet to be filled in by hand: lines with what is expected and room for what was found.
#include "reports/assembler.hpp"

#include <algorithm>

namespace dripleg::reports {
using meaning::LayoutItem;
using meaning::LayoutOp;

void Assembler::sheet(const LayoutItem& item, u32 first, u32 end) {
  Sheet sheet;
  sheet.table.caption = words(item.text);
  sheet.table.form = true;
  sheet.table.columns.push_back({"", Align::left, ""});
  sheet_heads(first, end, sheet);
  sheet_lines(first, end, sheet);
  for (Row& row : sheet.table.rows)
    while (row.kind != RowKind::group && row.cells.size() < sheet.table.columns.size()) row.cells.push_back(Cell{"", {}, "", sheet.blank[row.cells.size()] ? CellKind::blank : CellKind::text});
  if (!sheet.table.rows.empty()) add(sheet.table);
}

// Columns stand in the order in which the layout first says them, blanks of the whole sheet behind them.
void Assembler::sheet_heads(u32 first, u32 end, Sheet& sheet) {
  sheet.blank.resize(1);
  std::vector<std::string> blanks;
  const auto head = [&](const std::string& word, bool number, bool blank) {
    for (std::size_t n = 1; n < sheet.table.columns.size(); ++n)
      if (sheet.table.columns[n].head == word) {
        sheet.blank[n] = sheet.blank[n] || blank;
        return;
      }
    sheet.table.columns.push_back({word, number ? Align::right : Align::left, ""});
    sheet.blank.push_back(blank);
  };
  for (u32 at = first; at < end; ++at) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op == LayoutOp::item && program_.text(inner.name) == "lines") sheet.table.columns.front().head = words(inner.text);
    else if (inner.op == LayoutOp::blank) blanks.push_back(words(inner.text));
  }
  for (u32 at = first; at < end; ++at) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op != LayoutOp::column) continue;
    const std::string word = words(inner.text);
    if (std::find(blanks.begin(), blanks.end(), word) == blanks.end()) head(word, counts(inner.expr), false);
  }
  for (const std::string& word : blanks) head(word, false, true);
}

void Assembler::sheet_lines(u32 first, u32 end, Sheet& sheet) {
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op == LayoutOp::list || inner.op == LayoutOp::grid) {
      each_row(inner, [&] { sheet_lines(at + 1, inner.items_end, sheet); });
    } else if (inner.op == LayoutOp::item && program_.text(inner.name) == "group") {
      Row row;
      row.kind = RowKind::group;
      row.cells.push_back(Cell{words(inner.text)});
      sheet.table.rows.push_back(std::move(row));
    } else if (inner.op == LayoutOp::item && program_.text(inner.name) == "line") {
      sheet_line(at, sheet);
    }
  }
}

// What is known already stands in its blank.
void Assembler::sheet_line(u32 at, Sheet& sheet) {
  const LayoutItem& line = program_.layout_items[at];
  Row row;
  row.cells.push_back(Cell{words(line.text)});
  for (std::size_t n = 1; n < sheet.table.columns.size(); ++n) row.cells.push_back(Cell{"", {}, "", sheet.blank[n] ? CellKind::blank : CellKind::text});
  for_columns(at, [&](std::string_view name, const LayoutItem& column) {
    for (std::size_t n = 1; n < sheet.table.columns.size(); ++n) {
      if (sheet.table.columns[n].head != name) continue;
      if (sheet.blank[n] && !judgement_.evaluation().expr(column.expr, scope(), world_).known()) continue;
      const std::string text = shown(column.expr);
      if (!text.empty()) row.cells[n] = Cell{text};
    }
  });
  sheet.table.rows.push_back(std::move(row));
}
}  // namespace dripleg::reports
