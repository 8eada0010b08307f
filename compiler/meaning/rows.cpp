// `FIELD from "rows.csv" [as LAYOUT]`: a table whose rows stand in a file. The heading names the columns and their
// units, or a file layout does. Mistakes are told at their place in the file, each kind of a column once.
#include "meaning/checker.hpp"

#include "base/cells.hpp"
#include "base/limits.hpp"
#include "quantities/unit_reader.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
// A column of the table, and where its values stand in a row.
struct Filled {
  u32 column = 0;
  std::string_view name;
  Type type;
  std::optional<std::size_t> cell;                    // none: absent, and may be
  std::optional<quantities::UnitExpression> unit;     // of a quantity that has one
  Slice missing;
};
struct Mistake {
  Code code;
  u32 column;
  base::Place place;
  std::string headline, cure;
  u32 more = 0;
};

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}
// `outdoor (degC)`, `outdoor [degC]`
std::pair<std::string_view, std::string_view> heading_parts(std::string_view cell) {
  const std::size_t open = cell.find_first_of("([");
  if (open == std::string_view::npos || open == 0 || (cell.back() != ')' && cell.back() != ']')) return {trimmed(cell), {}};
  return {trimmed(cell.substr(0, open)), trimmed(cell.substr(open + 1, cell.size() - open - 2))};
}
// As programs write numbers: `+5`, `.5` and `5.` too; but no fraction and no name of one that is none.
std::optional<quantities::Number> number_of(std::string_view cell) {
  if (cell.empty() || cell.find_first_not_of("0123456789.+-eE") != std::string_view::npos) return std::nullopt;
  std::string plain;
  if (cell.front() == '+') cell.remove_prefix(1);
  if (!cell.empty() && cell.front() == '-') plain += '-', cell.remove_prefix(1);
  if (cell.empty() || cell.front() == '-' || cell.front() == '+') return std::nullopt;
  if (cell.front() == '.') plain += '0';
  plain += cell;
  if (plain.back() == '.') plain.pop_back();
  return quantities::read_number(plain);
}
std::string counted(std::size_t cells) { return fmt::format("{} cell{}", cells, cells == 1 ? "" : "s"); }
std::string shortened(std::string_view cell) { return std::string(cell.size() > 40 ? cell.substr(0, 40) : cell) + (cell.size() > 40 ? "…" : ""); }

class Filling {
 public:
  Filling(Checker& checker, const Shape& shape_given, FileId file_given, Cursor named_given, const FileLayout* layout_given)
      : c(checker), program(checker.program), shape(shape_given), file(file_given), named(named_given), layout(layout_given),
        reader(checker.sources[file_given].text(), layout_given ? static_cast<char>(layout_given->sign) : ',') {}

  // The cells of the table, column by column; none with notices.
  std::optional<std::vector<Value>> read() {
    const u32 errors = c.notices.errors();
    if (!(layout ? find_by_layout() : find_by_heading())) return std::nullopt;
    if (c.notices.errors() != errors || !read_rows()) return std::nullopt;
    for (const Mistake& mistake : mistakes) {
      std::string headline = mistake.headline;
      if (mistake.more != 0) headline += fmt::format(", and {} more like it", mistake.more);
      auto& notice = c.fail(mistake.code, mistake.place, std::move(headline));
      if (!mistake.cure.empty()) notice.cures.push_back(mistake.cure);
    }
    if (!mistakes.empty()) return std::nullopt;
    if (rows == 0) {
      say(Code::rows_none, named.place(), fmt::format("{} has no rows", named.text()), layout ? "look whether the layout skips too many lines" : "write them below the heading, one a line");
      return std::nullopt;
    }
    std::vector<Value> cells;
    for (const auto& column : values) cells.insert(cells.end(), column.begin(), column.end());
    return cells;
  }
  u32 row_count() const { return rows; }
  u32 first_line() const { return first; }
  base::Place where() const { return first_place; }

 private:
  void say(Code code, base::Place place, std::string headline, std::string cure) {
    auto& notice = c.fail(code, place, std::move(headline));
    if (!cure.empty()) notice.cures.push_back(std::move(cure));
  }
  void note(Code code, u32 column, base::Span span, std::string headline, std::string cure) {
    for (Mistake& known : mistakes)
      if (known.code == code && known.column == column) {
        ++known.more;
        return;
      }
    mistakes.push_back({code, column, {file, span}, std::move(headline), std::move(cure), 0});
  }
  const Column& column(u32 at) const { return program.columns[shape.columns.first + at]; }
  Filled start(u32 at) const {
    Filled filled;
    filled.column = at;
    filled.name = program.text(column(at).name);
    filled.type = program.types[column(at).type.value];
    return filled;
  }
  std::vector<std::string_view> column_names() const {
    std::vector<std::string_view> names;
    for (u32 at = 0; at < shape.columns.count; ++at) names.push_back(program.text(column(at).name));
    return names;
  }

  // Reads the unit of a column, which a quantity has unless it is a plain number.
  bool take_unit(Filled& filled, std::string_view unit, Code code, base::Place place) {
    const std::string of(filled.name);
    if (filled.type.kind != TypeKind::quantity) {
      if (unit.empty()) return true;
      say(code, place, fmt::format("{} takes no unit, and {} stands behind it", of, unit), "leave the unit out");
      return false;
    }
    const Etype wanted = c.etype(filled.type);
    const quantities::DimensionId dimension{filled.type.of};
    std::string units;
    for (const std::string_view known : program.catalogue.units_of(program.names, wanted.vector, wanted.level))
      if (std::count(units.begin(), units.end(), ',') < 4) units += (units.empty() ? "" : ", ") + std::string(known);
    if (unit.empty()) {
      if (program.catalogue.plain_vector(wanted.vector).plain() && wanted.level == quantities::Level::no) return true;
      say(code, place, fmt::format("{} is {}, and its unit is not said", of, c.describe(wanted)),
          layout ? fmt::format("{} {{ …, unit \"UNIT\" }} with one of: {}", of, units) : fmt::format("write it behind the name: {} (UNIT), one of: {}", of, units));
      return false;
    }
    quantities::UnitReader units_read(program.names, program.catalogue);
    std::optional<quantities::Problem> trouble;
    filled.unit = units_read.read_in(unit, dimension, quantities::Where::entry, trouble);
    if (filled.unit) return true;
    say(code, place, trouble ? trouble->headline : fmt::format("{} is {}, and {} is not a unit of it", of, c.describe(wanted), unit),
        "units of it: " + units);
    return false;
  }

  bool find_by_heading() {
    base::CellLine heading;
    if (!reader.next(heading) || heading.blank) {
      say(Code::rows_none, named.place(), fmt::format("{} is empty", named.text()), "its first line names the columns, the others are rows");
      return false;
    }
    const base::Place place{file, heading.span};
    if (heading.open_quote) {
      say(Code::rows_quotes, place, "a quote in the heading is not closed", "close it, or leave it out");
      return false;
    }
    width = heading.cells.size();
    if (width > base::limits::row_cells) return too_wide(heading);
    std::vector<std::optional<std::size_t>> found(shape.columns.count);
    std::vector<std::string_view> names;
    for (std::size_t at = 0; at < heading.cells.size(); ++at) {
      const base::Place cell{file, heading.cells[at].span};
      const std::string_view word = heading_parts(heading.cells[at].text).first;
      names.push_back(word);
      u32 which = 0;
      while (which < shape.columns.count && program.text(column(which).name) != word) ++which;
      if (which == shape.columns.count) {
        auto& notice = c.fail(Code::rows_heading, cell, word.empty() ? std::string("a column has no name") : fmt::format("the table has no column {}", shortened(word)));
        c.suggest(notice, word, column_names());
        notice.cures.push_back("leave the column out, or say with a file layout which ones are read");
        return false;
      }
      if (found[which]) {
        say(Code::rows_heading, cell, fmt::format("two columns are named {}", word), "leave one of them out");
        return false;
      }
      found[which] = at;
    }
    bool good = true;
    for (u32 at = 0; at < shape.columns.count; ++at) {
      Filled filled = start(at);
      if (found[at]) {
        filled.cell = found[at];
        const base::TextCell& cell = heading.cells[*found[at]];
        good = take_unit(filled, heading_parts(cell.text).second, Code::rows_unit, {file, cell.span}) && good;
      } else if (!filled.type.or_none) {
        say(Code::rows_heading, place, fmt::format("the file has no column {}", filled.name), "name it in the first line, with its unit: NAME (UNIT)");
        good = false;
      }
      columns.push_back(filled);
    }
    return good;
  }

  bool find_by_layout() {
    base::CellLine heading;
    bool by_heading = false;
    for (u32 at = 0; at < layout->columns.count; ++at) by_heading = by_heading || program.file_columns[layout->columns.first + at].number == 0;
    for (u32 line = 0; line < layout->skip; ++line) {
      const bool last = by_heading && line + 1 == layout->skip;
      if (last ? reader.next(heading) : reader.skip()) continue;
      say(Code::rows_none, named.place(), fmt::format("{} ends within the {} lines before its first row", named.text(), layout->skip), "look whether it is a file of this layout");
      return false;
    }
    bool good = true;
    for (u32 at = 0; at < shape.columns.count; ++at) {
      Filled filled = start(at);
      const FileColumn* source = nullptr;
      for (u32 n = 0; n < layout->columns.count; ++n)
        if (const FileColumn& known = program.file_columns[layout->columns.first + n]; known.name == column(at).name) source = &known;
      if (source == nullptr) {
        if (!filled.type.or_none) {
          say(Code::rows_layout, named.place(), fmt::format("file layout {} does not say where {} stands", program.text(layout->name), filled.name),
              fmt::format("{} {{ column NUMBER, unit \"UNIT\" }} in the layout", filled.name));
          good = false;
        }
        columns.push_back(filled);
        continue;
      }
      filled.missing = source->missing;
      if (source->number != 0) filled.cell = source->number - 1;
      else good = find_heading(filled, heading, *source) && good;
      good = take_unit(filled, program.text(source->unit), Code::rows_unit, named.place()) && good;
      columns.push_back(filled);
    }
    return good;
  }
  bool find_heading(Filled& filled, const base::CellLine& heading, const FileColumn& source) {
    const std::string_view wanted = program.text(source.heading);
    std::vector<std::string_view> names;
    for (std::size_t at = 0; at < heading.cells.size(); ++at) {
      if (heading.cells[at].text == wanted && !filled.cell) filled.cell = at;
      names.push_back(heading.cells[at].text);
    }
    if (filled.cell) return true;
    auto& notice = c.fail(Code::rows_heading, base::Place{file, heading.span}, fmt::format("no column has the heading \"{}\"", wanted));
    c.suggest(notice, wanted, names);
    return false;
  }

  bool too_wide(const base::CellLine& line) {
    say(Code::limit_rows, {file, line.span}, fmt::format("this row has more than {} cells", base::limits::row_cells), "leave out columns that the table does not have");
    return false;
  }

  bool read_rows() {
    values.resize(shape.columns.count);
    base::CellLine line;
    std::optional<base::Span> blank;
    while (reader.next(line)) {
      if (line.blank) {
        if (!blank) blank = line.span;
        continue;
      }
      if (blank) {
        say(Code::rows_ragged, {file, *blank}, "this line is empty, and rows follow it", "take it out: a row that is missing has to be seen");
        return false;
      }
      if (rows == base::limits::rows) {
        say(Code::limit_rows, {file, line.span}, fmt::format("the file has more than {} rows", base::limits::rows), "take a part of it, or sums over longer stretches");
        return false;
      }
      if (line.cells.size() > base::limits::row_cells) return too_wide(line);
      if (rows == 0) {
        first = line.number;
        first_place = {file, line.span};
      }
      read_row(line);
      ++rows;
    }
    return true;
  }

  void read_row(const base::CellLine& line) {
    constexpr u32 whole_row = 0xFFFFFFFFu;
    if (width == 0) width = line.cells.size();
    if (line.open_quote)
      note(Code::rows_quotes, whole_row, line.span, "a quote in this row is not closed", "close it; a quote inside a text is written twice");
    else if (line.cells.size() != width)
      note(Code::rows_ragged, whole_row, line.span, fmt::format("this row has {}, and the {} has {}", counted(line.cells.size()), layout ? "first row" : "heading", width),
           "every row has a cell for each column");
    const Filled* beyond = nullptr;
    for (const Filled& filled : columns) {
      Value value = Value::none();
      if (filled.cell && *filled.cell < line.cells.size() && !line.open_quote) value = cell_value(filled, line.cells[*filled.cell]);
      else if (filled.cell && line.cells.size() == width && !line.open_quote && !beyond) beyond = &filled;
      values[filled.column].push_back(value);
    }
    if (beyond)
      note(Code::rows_ragged, whole_row, line.span, fmt::format("this row has {}, and {} is wanted from cell {}", counted(line.cells.size()), beyond->name, *beyond->cell + 1),
           "look whether it is a file of this layout, and what its cells are parted by");
    if (shape.keys == 1 && rows > 0 && program.types[column(0).type.value].kind == TypeKind::quantity) {
      const Value now = values[0][rows], before = values[0][rows - 1];
      if (now.known() && before.known() && !(now.number() > before.number()))
        note(Code::rows_order, 0, line.span, fmt::format("{} does not rise from the row before", program.text(column(0).name)), "put the rows in rising order, each key once");
    }
  }

  bool is_missing(const Filled& filled, std::string_view cell) const {
    for (u32 at = 0; at < filled.missing.count; ++at) {
      const std::string_view mark = program.text(program.text_ids[filled.missing.first + at]);
      if (mark == cell) return true;
      const auto a = number_of(mark), b = number_of(cell);
      if (a && b && a->value == b->value) return true;
    }
    return false;
  }

  Value cell_value(const Filled& filled, const base::TextCell& cell) {
    const std::string_view words = cell.text;
    if (words == "?" || is_missing(filled, words)) {
      Hole hole;
      hole.written = true;
      hole.place = {file, cell.span};
      return Value::unknown(program.holes.push(hole));
    }
    if (filled.type.or_none && (words.empty() || words == "none")) return Value::none();
    const auto wrong = [&](std::string headline, std::string cure) {
      note(Code::rows_cell, filled.column, cell.span, std::move(headline), std::move(cure));
      return Value::none();
    };
    if (words.empty() && filled.type.kind != TypeKind::text) return wrong(fmt::format("{} is given nothing", filled.name), "write what it is, or ? if it is not known");
    switch (filled.type.kind) {
      case TypeKind::quantity: return quantity(filled, words, wrong);
      case TypeKind::text: return Value::index(c.text(words).value);
      case TypeKind::yes_no:
        if (words == "yes" || words == "no") return Value::yes_no(words == "yes");
        return wrong(fmt::format("{} is yes or no, and {} is neither", filled.name, shortened(words)), "write yes or no");
      case TypeKind::date: case TypeKind::clock: {
        quantities::Problem problem;
        const auto measure = quantities::read_measure(words, problem);
        const bool date = filled.type.kind == TypeKind::date;
        if (measure && measure->kind == (date ? quantities::MeasureKind::date : quantities::MeasureKind::clock)) return Value::number(measure->number.value);
        return wrong(fmt::format("{} is a {}, and {} is none", filled.name, date ? "date" : "time of day", shortened(words)), date ? "like 2026-04-02" : "like 9:10");
      }
      case TypeKind::size: {
        quantities::Problem problem;
        const auto measure = quantities::read_measure(words, problem);
        if (measure && measure->kind == quantities::MeasureKind::with_unit)
          if (const auto label = quantities::size_label(program.names, program.catalogue, *measure)) return Value::index(c.name(*label).value);
        return wrong(fmt::format("{} is a size, and {} is none", filled.name, shortened(words)), "write number and unit: 3/4 in");
      }
      case TypeKind::choice: {
        const Slice known = program.word_sets[filled.type.of].words;
        std::string all;
        for (u32 at = 0; at < known.count; ++at) {
          const std::string_view word = program.text(program.name_lists[known.first + at]);
          if (word == words) return Value::index(program.name_lists[known.first + at].value);
          all += (all.empty() ? "" : ", ") + std::string(word);
        }
        return wrong(fmt::format("{} is none of the words that {} takes", shortened(words), filled.name), "it takes: " + all);
      }
      case TypeKind::thing: {
        const Symbol* const thing = program.symbols.find_if(c.name(words), [&](const Symbol& s) {
          return (s.what == Symbol::What::stock || s.what == Symbol::What::job_thing) &&
                 (filled.type.of == 0xFFFFFFFFu || program.is_a(program.things[s.index].kind, KindId{filled.type.of}));
        });
        if (thing != nullptr) return Value::index(thing->index);
        return wrong(fmt::format("nothing that {} takes is named {}", filled.name, shortened(words)), "name a thing of the job or the library");
      }
      case TypeKind::list: case TypeKind::range: case TypeKind::table: case TypeKind::row: case TypeKind::nothing: break;
    }
    return wrong(fmt::format("{} is nothing that a cell can hold", filled.name), "state the rows in braces");
  }

  template <class Wrong>
  Value quantity(const Filled& filled, std::string_view words, Wrong wrong) {
    const auto number = number_of(words);
    if (!number) {
      const bool comma = !words.empty() && words.find_first_not_of("0123456789,-+.") == std::string_view::npos;
      return wrong(fmt::format("{} takes a number, and {} is none", filled.name, shortened(words)),
                   comma ? "write a point before the tenths, and no comma" : "write the number alone, its unit in the heading; ? if it is not known");
    }
    if (filled.unit) return Value::number(quantities::value_of(*number, *filled.unit));
    if (c.etype(filled.type).share && std::fabs(number->value) > 1)
      return wrong(fmt::format("{} is a share of a whole, and {} is more than all of it", filled.name, words), fmt::format("write {} (%) in the heading", filled.name));
    return Value::number(number->value);
  }

  Checker& c;
  Program& program;
  const Shape shape;
  FileId file;
  Cursor named;
  const FileLayout* layout;
  base::CellReader reader;
  std::size_t width = 0;
  std::vector<Filled> columns;
  std::vector<std::vector<Value>> values;       // by column
  std::vector<Mistake> mistakes;
  u32 rows = 0, first = 0;
  base::Place first_place;
};
}  // namespace

void Checker::fill_table_from_file(Block& block, u32 slot, const std::vector<Cursor>& values, Cursor entry) {
  const Thing thing = program.things[block.thing.value];
  const Field field = program.field(thing.kind, slot);
  const ShapeId shape{type_of(field.type).of};
  block.given.insert(slot);
  const bool by_layout = values.size() == 4 && values[2].text() == "as" && values[3].is(Node::path);
  if (!(values.size() == 2 || by_layout) || !values[1].is(Node::text)) {
    fail(Code::pattern_mismatch, values.front(), fmt::format("{} does not say whole from which file its rows are", name_text(field.name)))
        .cures.push_back(fmt::format("it is written: {} from \"rows.csv\" [as FILE_LAYOUT]", name_text(field.name)));
    return;
  }
  const Cursor named = values[1];
  const auto refuse = [&](Code code, Cursor where, std::string headline, std::string cure) {
    fail(code, where, std::move(headline)).cures.push_back(std::move(cure));
  };
  const Shape& columns = program.shapes[shape.value];
  bool plain = !columns.two_way;
  for (u32 at = 0; at < columns.columns.count; ++at) plain = plain && program.columns[columns.columns.first + at].each == 0;
  if (!plain)
    return refuse(Code::rows_file, named, fmt::format("{} has columns for each of several, which a file does not fill", name_text(field.name)), "state its rows in braces");
  const std::string path = plain_text(named);
  if (!is_rows_file(path)) return refuse(Code::rows_file, named, fmt::format("{} has an ending from which no rows are read", named.text()), "rows are read from .csv, .epw and .txt");
  const auto file = std::find_if(block.unit->rows.begin(), block.unit->rows.end(), [&](const RowFile& known) { return known.place == named.place(); });
  if (file == block.unit->rows.end()) return refuse(Code::rows_file, named, "no file can be read here", "state the rows in braces");
  if (!file->file.given()) return;                 // told where it was looked for
  const FileLayout* layout = nullptr;
  if (by_layout) {
    const Symbol* const symbol = known(Symbol::What::file_layout, name(values[3]));
    if (symbol == nullptr) {
      auto& notice = fail(Code::rows_layout, values[3], fmt::format("no file layout is named {}", values[3].text()));
      std::vector<std::string_view> words;
      for (u32 at = 0; at < program.file_layouts.size(); ++at) words.push_back(name_text(program.file_layouts[at].name));
      suggest(notice, values[3].text(), words);
      return;
    }
    layout = &program.file_layouts[symbol->index];
  }
  Filling filling(*this, columns, file->file, named, layout);
  const auto cells = filling.read();
  if (!cells) return;
  const TableId id = add_table(shape, {}, filling.where());
  Table table = program.tables[id.value];
  table.rows = filling.row_count();
  table.first_line = filling.first_line();
  table.first_cell = program.table_cells.append(*cells);
  program.tables.edit(id.value) = table;
  set_input(block, slot, Value::index(id.value), {values.front().span().begin, values.back().span().end}, entry, entry.children(Node::per));
}
}  // namespace dripleg::meaning
