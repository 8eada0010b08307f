// Tables: the shape that keys and columns make, and the rows that fill it.
#include "meaning/checker.hpp"
#include "quantities/unit_reader.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
std::optional<LookUp> mode_of(std::string_view word) {
  if (word == "exact") return LookUp::exact;
  if (word == "up") return LookUp::up;
  if (word == "down") return LookUp::down;
  if (word == "between") return LookUp::between;
  return std::nullopt;
}
std::optional<Beyond> beyond_of(std::string_view word) {
  if (word == "refused") return Beyond::refused;
  if (word == "held") return Beyond::held;
  if (word == "straight") return Beyond::straight;
  return std::nullopt;
}
void flatten(Cursor node, std::vector<Cursor>& out) {
  for (const Cursor part : node.parts()) {
    if (part.is(Node::phrase)) flatten(part, out);
    else out.push_back(part);
  }
}
}  // namespace

// `by NAME [TYPE] MODE [beyond HOW]` behind the name or as lines; `needs COLUMN TYPE`, `each KEY TYPE`,
// `gives TYPE`; what else stands in the block are rows.
ShapeId Checker::read_table_shape(Cursor owner, Cursor block, const std::vector<Cursor>& keys_nodes,
                                  std::string_view gives, bool& ok, std::vector<Cursor>* data_lines) {
  std::vector<Column> keys, values;
  Shape shape;
  const auto key_words = [&](const std::vector<Cursor>& words) {
    if (words.empty()) return;
    Column column;
    column.key = true;
    column.name = name(words[0]);
    std::vector<Cursor> type_words;
    for (std::size_t at = 1; at < words.size(); ++at) {
      if (words[at].text() == "beyond" && at + 1 < words.size()) {
        if (const auto beyond = beyond_of(words[at + 1].text())) column.beyond = *beyond;
        ++at;
      } else if (const auto mode = mode_of(words[at].text())) {
        column.mode = *mode;
      } else {
        type_words.push_back(words[at]);
      }
    }
    if (!type_words.empty()) {
      std::size_t at = 0;
      column.type = type_id(read_type(type_words, at, words[0], ok));
    }
    keys.push_back(column);
  };
  for (const Cursor node : keys_nodes)
    for (const Cursor key : node.children(Node::key)) {
      std::vector<Cursor> words;
      flatten(key, words);
      key_words(words);
    }
  u32 each_groups = 0;
  std::optional<Type> gives_type;
  const auto read_words = [&](std::string_view spelling, Cursor where) {
    // A type spelled in a stretch of the file: its words are looked up one by one.
    std::vector<Cursor> words;
    const auto& tree = where.tree();
    const u32 begin = static_cast<u32>(spelling.data() - where.file_text().data());
    const u32 end = begin + static_cast<u32>(spelling.size());
    for (syntax::NodeIndex at = 0; at < tree.nodes.size(); ++at)
      if (is_leaf(tree.kind(at)) && tree[at].begin >= begin && tree[at].end <= end) words.push_back(where.at(at));
    std::size_t at = 0;
    return read_type(words, at, where, ok);
  };
  if (!gives.empty()) gives_type = read_words(gives, owner);
  for (const Cursor item : block.children()) {
    if (is_leaf(item.kind())) continue;
    if (item.is(Node::field)) {
      const std::string_view head = item.head();
      const Cursor leaf = item.child(Node::path);
      const Cursor shape_node = item.child(Node::shape);
      if (!leaf.given()) continue;
      if (head == "gives") {
        std::size_t end = shape_node.given() ? shape_node.span().end : leaf.span().end;
        gives_type = read_words(item.file_text().substr(leaf.span().begin, end - leaf.span().begin), item);
        continue;
      }
      if (!shape_node.given()) {
        fail(Code::bad_declaration, item, fmt::format("column {} has no type", leaf.text()));
        ok = false;
        continue;
      }
      const Shaped shaped = read_shape(shape_node, item);
      if (!shaped.ok) {
        ok = false;
        continue;
      }
      Column column;
      column.name = name(leaf);
      column.type = type_id(shaped.type);
      if (head == "each") column.each = ++each_groups;
      bool is_key = false;
      for (Column& key : keys)
        if (key.name == column.name) key.type = column.type, is_key = true;
      if (!is_key) values.push_back(column);
    } else if (item.is(Node::entry) && item.children().front().text() == "by") {
      std::vector<Cursor> words;
      flatten(item, words);
      words.erase(words.begin());
      key_words(words);
    } else if (item.is(Node::keys)) {
      for (const Cursor key : item.children(Node::key)) {
        std::vector<Cursor> words;
        flatten(key, words);
        key_words(words);
      }
    } else if (item.is(Node::entry) && data_lines == nullptr) {
      // A bare column in the block of a field: NAME TYPE.
      std::vector<Cursor> words;
      flatten(item, words);
      if (words.size() < 2) continue;
      Column column;
      column.name = name(words[0]);
      std::size_t at = 1;
      column.type = type_id(read_type(words, at, item, ok));
      values.push_back(column);
    } else if (data_lines != nullptr) {
      data_lines->push_back(item);
    } else if (!item.is(Node::per_line) && !item.is(Node::prose) && !item.is(Node::row)) {
      fail(Code::bad_declaration, item, "a table has lines by, needs, each or gives");
      ok = false;
    }
  }
  for (const Column& key : keys)
    if (!key.type.given()) {
      fail(Code::bad_declaration, owner, fmt::format("the key {} has no type", name_text(key.name)));
      ok = false;
    }
  if (keys.size() > 2 || (keys.empty() && values.empty())) {
    fail(Code::bad_declaration, owner, "a table has one or two keys");
    ok = false;
  }
  if (!ok) return {};
  shape.keys = static_cast<u16>(keys.size());
  if (gives_type) {
    shape.value = type_id(*gives_type);
    shape.two_way = keys.size() == 2;
  } else if (values.size() == 1 && values[0].each == 0) {
    shape.value = values[0].type;
  }
  if (gives_type && !shape.two_way) {
    Column only;
    only.name = name("value");
    only.type = *gives_type == Type{} ? TypeId{} : type_id(*gives_type);
    values.push_back(only);
  }
  std::vector<Column> all = keys;
  all.insert(all.end(), values.begin(), values.end());
  // Tables of the same columns are of one type: one may stand where another is wanted.
  for (u32 known_shape = 0; each_groups == 0 && known_shape < program.shapes.size(); ++known_shape) {
    const Shape& other = program.shapes[known_shape];
    bool same = other.keys == shape.keys && other.two_way == shape.two_way && other.value == shape.value && other.columns.count == all.size();
    for (u32 at = 0; same && at < all.size(); ++at) {
      const Column& column = program.columns[other.columns.first + at];
      same = column.name == all[at].name && column.type == all[at].type && column.mode == all[at].mode && column.beyond == all[at].beyond && column.each == 0;
    }
    if (same) return ShapeId{known_shape};
  }
  shape.columns = {program.columns.append(all), static_cast<u32>(all.size())};
  return ShapeId{program.shapes.push(shape)};
}

TableId Checker::add_table(ShapeId shape, NameId table_name, base::Place place) {
  Table table;
  table.shape = shape;
  table.name = table_name;
  table.place = place;
  return TableId{program.tables.push(table)};
}

void Checker::read_table_data() {
  for (const PendingTable& pending : tables) {
    const Cursor block = pending.decl.child(Node::block);
    const ShapeId shape = program.tables[pending.table.value].shape;
    if (!block.given() || !shape.given()) continue;
    std::vector<Cursor> lines;
    std::vector<Cursor> pers = pending.decl.children(Node::per);
    for (const Cursor item : block.children()) {
      if (is_leaf(item.kind())) continue;
      if (item.is(Node::per_line)) {
        for (const Cursor per : item.children(Node::per)) pers.push_back(per);
      } else if (item.is(Node::row) || item.is(Node::entry)) {
        const std::string_view head = item.children().front().text();
        if (head != "by" && !item.children().front().is(Node::text)) lines.push_back(item);
      }
    }
    fill_table(pending.table, lines, block);
    const Slice citations = read_citations(pers, pending.unit->library);
    program.tables.edit(pending.table.value).citations = citations;
    if (citations.count == 0 && pers.empty() && pending.unit->library)
      fail(Code::no_source, pending.decl.children(Node::path).front(),
           fmt::format("table {} has no source", name_text(program.tables[pending.table.value].name)));
  }
}

// Rows of cells; the head line names the columns (or carries the second key's values).
void Checker::fill_table(TableId id, const std::vector<Cursor>& lines, Cursor where) {
  Table table = program.tables[id.value];
  const Shape shape = program.shapes[table.shape.value];
  std::string_view cell_unit;
  std::vector<std::vector<Cursor>> rows;
  std::vector<Cursor> head;
  for (const Cursor line : lines) {
    std::vector<Cursor> cells;
    flatten(line, cells);
    if (cells.empty()) continue;
    const std::string_view first = cells[0].text();
    const bool names_first = cells[0].is(Node::path);
    if (names_first && (first == "cells" || first == "in" || first == "all") && cells.size() <= 3) {
      cell_unit = cells.back().text();
      continue;
    }
    if (names_first && head.empty() && rows.empty()) {
      bool is_head = false;
      for (u32 at = 0; at < shape.columns.count; ++at)
        if (name_text(program.columns[shape.columns.first + at].name) == first) is_head = true;
      if (is_head) {
        head = cells;
        continue;
      }
    }
    rows.push_back(cells);
  }
  const auto cell_value = [&](Cursor cell, TypeId type) -> Value {
    Field field;
    field.type = type;
    field.name = table.name;
    if (cell.is(Node::path) && cell.text() == "none") return Value::none();
    if (cell.is(Node::measure) && cell.text().front() == '?') {
      Hole hole_record;
      hole_record.written = true;
      hole_record.place = cell.place();
      return Value::unknown(program.holes.push(hole_record));
    }
    if (cell.is(Node::measure) && !cell_unit.empty()) {
      quantities::Problem problem;
      const auto measure = quantities::read_measure(cell.text(), problem);
      if (measure && measure->kind == quantities::MeasureKind::plain) {
        const auto unit_measure = quantities::read_measure(cell_unit, problem);
        quantities::UnitReader reader(program.names, program.catalogue);
        std::optional<quantities::Problem> trouble;
        const Type of = type_of(type);
        const auto unit = unit_measure && unit_measure->kind == quantities::MeasureKind::with_unit
                              ? reader.read_in(unit_measure->unit, quantities::DimensionId{of.of}, quantities::Where::entry, trouble)
                              : std::nullopt;
        if (unit) return Value::number(quantities::value_of(measure->number, *unit) * unit_measure->number.value);
        if (unit_measure && unit_measure->kind == quantities::MeasureKind::plain) return Value::number(measure->number.value * unit_measure->number.value);
        fail(Code::unit_wrong, cell, fmt::format("the cells are said to be in {}, which is not of the table's dimension", cell_unit));
        return Value::none();
      }
    }
    const auto value = read_value(cell, field, {}, 0, false);
    return value ? *value : Value::none();
  };
  const auto key_type = [&](u32 n) { return program.columns[shape.columns.first + n].type; };
  if (shape.two_way) {
    if (head.size() < 2) {
      fail(Code::table_form, where, "a two-way table begins with a head line: the first key's name, then the values of the second");
      return;
    }
    table.across = static_cast<u32>(head.size() - 1);
    table.rows = static_cast<u32>(rows.size());
    std::vector<Value> cells;
    cells.reserve(table.rows + table.across + static_cast<std::size_t>(table.rows) * table.across);
    for (const auto& row : rows) {
      if (row.size() != head.size()) {
        fail(Code::table_form, row.front(), fmt::format("this row has {} cells, and the head line has {}", row.size(), head.size()));
        return;
      }
      cells.push_back(cell_value(row[0], key_type(0)));
    }
    for (std::size_t at = 1; at < head.size(); ++at) cells.push_back(cell_value(head[at], key_type(1)));
    for (const auto& row : rows)
      for (std::size_t at = 1; at < row.size(); ++at) cells.push_back(cell_value(row[at], shape.value));
    table.first_cell = program.table_cells.append(cells);
    program.tables.edit(id.value) = table;
    return;
  }
  // One way: columns by the head line, else in the order of the declaration. `each` columns are named in the head.
  std::vector<u32> order;
  Shape own = shape;
  bool each = false;
  for (u32 at = 0; at < shape.columns.count; ++at) each = each || program.columns[shape.columns.first + at].each != 0;
  if (!head.empty() && each) {
    std::vector<Column> columns;
    for (u32 at = 0; at < shape.columns.count; ++at)
      if (program.columns[shape.columns.first + at].each == 0) columns.push_back(program.columns[shape.columns.first + at]);
    const u32 plain = static_cast<u32>(columns.size());
    Column pattern;
    for (u32 at = 0; at < shape.columns.count; ++at)
      if (program.columns[shape.columns.first + at].each != 0) pattern = program.columns[shape.columns.first + at];
    for (const Cursor cell : head) {
      bool found = false;
      for (u32 at = 0; at < plain; ++at)
        if (columns[at].name == name(cell)) found = true;
      if (found) continue;
      const Symbol* const thing = known(Symbol::What::stock, name(cell));
      if (thing == nullptr) {
        fail(Code::table_form, cell, fmt::format("{} is neither a column of the table nor a stock thing", cell.text()));
        return;
      }
      Column made = pattern;
      made.name = name(cell);
      made.each_key = Value::index(thing->index);
      columns.push_back(made);
    }
    if (columns.size() == plain) columns.push_back(pattern);
    own.columns = {program.columns.append(columns), static_cast<u32>(columns.size())};
    table.shape = ShapeId{program.shapes.push(own)};
  }
  if (head.empty()) {
    for (u32 at = 0; at < own.columns.count; ++at) order.push_back(at);
  } else {
    for (const Cursor cell : head) {
      std::optional<u32> found;
      for (u32 at = 0; at < own.columns.count; ++at)
        if (program.columns[own.columns.first + at].name == name(cell)) found = at;
      if (!found) {
        fail(Code::table_form, cell, fmt::format("the table has no column {}", cell.text()));
        return;
      }
      order.push_back(*found);
    }
  }
  table.rows = static_cast<u32>(rows.size());
  std::vector<Value> cells(static_cast<std::size_t>(own.columns.count) * table.rows, Value::none());
  for (u32 r = 0; r < table.rows; ++r) {
    const auto& row = rows[r];
    if (row.size() != order.size()) {
      fail(Code::table_form, row.front(), fmt::format("this row has {} cells, and {} are wanted", row.size(), order.size()));
      return;
    }
    for (u32 n = 0; n < row.size(); ++n)
      cells[static_cast<std::size_t>(order[n]) * table.rows + r] = cell_value(row[n], program.columns[own.columns.first + order[n]].type);
  }
  for (u32 r = 1; own.keys == 1 && r < table.rows; ++r)
    if (cells[r].known() && cells[r - 1].known() && type_of(key_type(0)).kind == TypeKind::quantity &&
        !(cells[r].number() > cells[r - 1].number())) {
      fail(Code::table_form, rows[r].front(), "the keys of a table rise from row to row");
      break;
    }
  table.first_cell = program.table_cells.append(cells);
  program.tables.edit(id.value) = table;
}
}  // namespace dripleg::meaning
