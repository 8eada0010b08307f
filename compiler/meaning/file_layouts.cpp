// `file_layout NAME { … }`: where the columns of a table stand in a file whose heading does not say it.
#include "meaning/checker.hpp"

#include "base/limits.hpp"
#include "quantities/unit_reader.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
void Checker::declare_file_layout(Cursor entry, const SourceTree& unit) {
  const auto kids = entry.children();
  if (kids.size() < 2 || !kids[1].is(Node::path)) {
    fail(Code::value_missing, kids.front(), "this file layout has no name");
    return;
  }
  FileLayout layout;
  layout.name = name(kids[1]);
  layout.place = kids[1].place();
  const u32 index = program.file_layouts.push(layout);
  declare(Symbol::What::file_layout, index, kids[1], unit);
  file_layouts.push_back({index, {entry, &unit}});
}

namespace {
// The values of an entry, lists poured out.
std::vector<Cursor> values_of(Cursor entry) {
  std::vector<Cursor> values;
  const auto pour = [&](auto&& self, Cursor node) -> void {
    for (const Cursor part : node.parts()) {
      if (part.is(Node::list) || part.is(Node::phrase)) self(self, part);
      else if (!part.is(Node::block) && !part.is(Node::per)) values.push_back(part);
    }
  };
  pour(pour, entry);
  if (!values.empty()) values.erase(values.begin());     // the word that the entry begins with
  return values;
}

std::optional<u32> whole_number(Cursor leaf, u64 most) {
  const auto measure = leaf.is(Node::measure) ? quantities::read_number(leaf.text().substr(0, leaf.text().find(' '))) : std::nullopt;
  if (!measure || measure->value < 0 || measure->value > static_cast<double>(most) || measure->value != std::floor(measure->value))
    return std::nullopt;
  return static_cast<u32>(measure->value);
}
}  // namespace

void Checker::read_file_layouts() {
  const auto wrong = [&](Cursor where, std::string words, std::string cure) {
    fail(Code::bad_declaration, where, std::move(words)).cures.push_back(std::move(cure));
  };
  // `column 7`, `column "Outdoor"`, `unit "degC"`, `missing 99.9`
  const auto read_column_line = [&](FileColumn& column, std::vector<TextId>& missing, Cursor line) {
    const std::string_view word = line.children().front().text();
    const auto values = values_of(line);
    if (values.empty()) return wrong(line, fmt::format("{} is given nothing", word), "write what it is");
    const Cursor value = values.front();
    if (word == "column") {
      if (value.is(Node::text)) {
        column.heading = text(plain_text(value));
        return;
      }
      const auto number = whole_number(value, base::limits::row_cells);
      if (!number || *number == 0)
        return wrong(value, "a column is the number of a cell in its row, or its heading in quotes", "count from 1, from the left");
      column.number = *number;
    } else if (word == "unit") {
      std::string unit = value.is(Node::text) ? plain_text(value) : std::string(value.text());
      if (unit.starts_with("1 ")) unit.erase(0, 2);
      quantities::UnitReader reader(program.names, program.catalogue);
      quantities::Problem problem;
      if (!reader.read(unit, problem)) {
        fail(problem.code, value, problem.headline).cures = problem.cures;
        return;
      }
      column.unit = text(unit);
    } else if (word == "missing") {
      for (const Cursor mark : values) missing.push_back(text(mark.is(Node::text) ? plain_text(mark) : std::string(mark.text())));
    } else {
      wrong(line, fmt::format("a column of a file layout has no line `{}`", word), "it has column, unit and missing");
    }
  };
  const auto read_line = [&](FileLayout& layout, std::vector<FileColumn>& columns, Cursor line) {
    const Cursor head = line.children().front();
    const auto blocks = line.children(Node::block);
    if (!blocks.empty()) {
      FileColumn column;
      column.name = name(head);
      column.place = head.place();
      std::vector<TextId> missing;
      for (const Cursor inner : blocks.front().children(Node::entry)) read_column_line(column, missing, inner);
      column.missing = {program.text_ids.append(missing), static_cast<u32>(missing.size())};
      if (column.number == 0 && !column.heading.given())
        wrong(head, fmt::format("it is not said where {} stands in a row", head.text()), fmt::format("{} {{ column 7 }}, or {} {{ column \"Heading\" }}", head.text(), head.text()));
      columns.push_back(column);
      return;
    }
    const auto values = values_of(line);
    if (head.text() == "skip") {
      const auto lines = values.empty() ? std::nullopt : whole_number(values.front(), base::limits::rows);
      if (!lines) return wrong(line, "skip says how many lines stand before the first row", "write a whole number: skip 8");
      layout.skip = *lines;
    } else if (head.text() == "parted") {
      const std::string_view sign = values.empty() ? std::string_view{} : values.front().text();
      if (sign == "comma") layout.sign = ',';
      else if (sign == "semicolon") layout.sign = ';';
      else if (sign == "tab") layout.sign = '\t';
      else wrong(line, "cells are parted by a comma, a semicolon or a tab", "write: parted semicolon");
    } else {
      wrong(head, fmt::format("a file layout has no line `{}`", head.text()), fmt::format("it has skip, parted and columns: {} {{ column 7, unit \"UNIT\" }}", head.text()));
    }
  };
  for (const auto& [index, where] : file_layouts) {
    const auto& [entry, unit] = where;
    FileLayout layout = program.file_layouts[index];
    std::vector<FileColumn> columns;
    std::vector<Cursor> pers = entry.children(Node::per);
    for (const Cursor block : entry.children(Node::block))
      for (const Cursor item : block.children()) {
        if (item.is(Node::per_line))
          for (const Cursor per : item.children(Node::per)) pers.push_back(per);
        else if (item.is(Node::row) && item.children().front().is(Node::text)) layout.docs = text(plain_text(item.children().front()));
        else if (item.is(Node::prose)) layout.docs = text(prose_text(item));
        else if (item.is(Node::entry)) read_line(layout, columns, item);
        else if (!is_leaf(item.kind())) wrong(item, "this does not belong in a file layout", "it has skip, parted and columns");
      }
    for (const FileColumn& column : columns)
      if (column.number == 0 && column.heading.given() && layout.skip == 0) {
        fail(Code::bad_declaration, column.place, "a column is named by its heading, and no line stands before the first row")
            .cures.push_back("count the heading among the lines that are skipped: skip 1");
        break;
      }
    layout.columns = {program.file_columns.append(columns), static_cast<u32>(columns.size())};
    layout.citations = read_citations(pers, unit->library);
    if (columns.empty()) wrong(entry.children().front(), "this file layout names no column", "NAME { column 7, unit \"UNIT\" }");
    if (unit->library && layout.citations.count == 0 && pers.empty())
      fail(Code::no_source, layout.place, fmt::format("file layout {} has no source", name_text(layout.name)));
    program.file_layouts.edit(index) = layout;
  }
}
}  // namespace dripleg::meaning
