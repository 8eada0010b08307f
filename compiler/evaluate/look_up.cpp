// Tables. Keys are found with the tolerance of comparison, so that lengths which add up to a row find it.
// Keys of stepped and interpolated columns rise down the rows (along the head line of a two-way table).
#include "evaluate/look_up.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace dripleg::evaluate {
namespace {
using meaning::Beyond;
using meaning::Column;
using meaning::LookUp;
using meaning::Shape;
using meaning::Table;
}  // namespace

Position find_number(std::span<const Value> keys, double x, LookUp mode, Beyond beyond) {
  const u32 count = static_cast<u32>(keys.size());
  if (count == 0) return {Position::Miss::absent, 0, 0, 0};
  const auto lower = std::lower_bound(keys.begin(), keys.end(), x, [](Value key, double wanted) { return key.number() < wanted; });
  u32 at = static_cast<u32>(lower - keys.begin());             // first key not below x
  if (at > 0 && quantities::equal(keys[at - 1].number(), x)) --at;
  const bool level = at < count && quantities::equal(keys[at].number(), x);
  if (level) return {Position::Miss::no, at, at, 0};
  const bool before = at == 0, after = at == count;
  switch (mode) {
    case LookUp::exact:
      return {Position::Miss::absent, 0, 0, 0};
    case LookUp::up:
      if (!after) return {Position::Miss::no, at, at, 0};
      return {beyond == Beyond::refused ? Position::Miss::above : Position::Miss::no, count - 1, count - 1, 0};
    case LookUp::down:
      if (!before) return {Position::Miss::no, at - 1, at - 1, 0};
      return {beyond == Beyond::refused ? Position::Miss::below : Position::Miss::no, 0, 0, 0};
    case LookUp::between: break;
  }
  if (before || after) {
    if (beyond == Beyond::refused) return {before ? Position::Miss::below : Position::Miss::above, 0, 0, 0};
    if (beyond == Beyond::held || count == 1) return {Position::Miss::no, before ? 0 : count - 1, before ? 0 : count - 1, 0};
    at = before ? 1 : count - 1;                               // straight on through the last two
  }
  const double low = keys[at - 1].number(), high = keys[at].number();
  return {Position::Miss::no, at - 1, at, (x - low) / (high - low)};
}

namespace {
Position find_exact(std::span<const Value> keys, Value wanted, bool number) {
  for (u32 i = 0; i < keys.size(); ++i)
    if (keys[i] == wanted || (number && keys[i].known() && quantities::equal(keys[i].number(), wanted.number()))) return {Position::Miss::no, i, i, 0};
  return {Position::Miss::absent, 0, 0, 0};
}

Position find_key(std::span<const Value> keys, Value wanted, const Column& column, bool number) {
  if (!number || column.mode == LookUp::exact) return find_exact(keys, wanted, number);
  return find_number(keys, wanted.number(), column.mode, column.beyond);
}
}  // namespace

// ---- cells of rows -------------------------------------------------------------------------------------------
Value Evaluation::State::blended_row(TableId table, u32 low, u32 high, double share) {
  if (share == 0 || low == high) return meaning::row_value(table, low);
  const u32 number = blended_index.find_or_make(
      mix(mix(table.value, low), std::bit_cast<u64>(share)),
      [&](u32 at) {
        const BlendedRow& row = blended_rows[at];
        return row.table == table && row.low == low && row.high == high && row.share == share;
      },
      [&] {
        blended_rows.push_back({table, low, high, share});
        return static_cast<u32>(blended_rows.size() - 1);
      });
  return meaning::row_value(TableId{program.tables.size() + number}, 0);
}

namespace {
u32 table_of_row(Value row) { return static_cast<u32>(row.number() / meaning::row_stride); }
u32 line_of_row(Value row) { return static_cast<u32>(row.number() - table_of_row(row) * meaning::row_stride); }
}  // namespace

meaning::ShapeId Evaluation::State::shape_of_row(Value row) const {
  const u32 table = table_of_row(row), own = program.tables.size();
  return program.tables[table < own ? table : blended_rows[table - own].table.value].shape;
}

// A value part of the way from one to another; what is no number stays what it is.
Value Evaluation::State::part_way(Value low, Value high, double share) {
  if (share == 0) return low;
  if (share == 1) return high;
  if (low.known() && high.known()) return Value::number(low.number() + (high.number() - low.number()) * share);
  const Value both[] = {low, high};
  if (low.is(ValueState::failed) || high.is(ValueState::failed)) return blend({}, both);
  return low.is(ValueState::none) || high.is(ValueState::none) ? Value::none() : unknowns.merged(both);
}

Value Evaluation::State::row_cell(Value row, u32 column) {
  const u32 asked = table_of_row(row), own = program.tables.size();
  const auto stored = [&](u32 table, u32 line) {
    const Table& record = program.tables[table];
    const Value cell = program.table_cells[record.first_cell + column * record.rows + line];
    return cell.known() ? cell : from_program(cell);
  };
  if (asked >= first_made_table) {
    const MadeTable& made = made_tables[asked - first_made_table];
    return lists.stored(made.cells)[column * made.rows + line_of_row(row)];
  }
  if (asked < own) return stored(asked, line_of_row(row));
  const BlendedRow blended = blended_rows[asked - own];
  return part_way(stored(blended.table.value, blended.low), stored(blended.table.value, blended.high), blended.share);
}

Value Evaluation::State::index_column(ExprId at, Value row, u32 group, Value key) {
  const Value both[] = {row, key};
  if (!row.known() || !key.known()) return blend(at, both);
  const Shape& shape = program.shapes[shape_of_row(row).value];
  for (u32 i = 0; i < shape.columns.count; ++i) {
    const Column& column = program.columns[shape.columns.first + i];
    if (column.each == group + 1 && column.each_key == key) return row_cell(row, i);
  }
  // The table says nothing about this member: a question to whoever made it, asked of the table's owner.
  const u32 table = table_of_row(row), own = program.tables.size();
  const double wanted = table < own ? table : blended_rows[table - own].table.value;
  for (u32 i = 0; i < program.things.size(); ++i) {
    const Thing& thing = program.things[i];
    for (u32 slot = 0; slot < thing.slots; ++slot) {
      if (program.inputs[thing.first_slot + slot] != Value::number(wanted)) continue;
      const TypeId type = program.field(thing.kind, slot).type;
      if (type.given() && program.types[type.value].kind == TypeKind::table) return missing(ThingId{i}, slot, key);
    }
  }
  return fail(notices::Code::value_outside_table, at,
              fmt::format("{} asks for a column {} that the table does not have", here(), show(key, program.expr_notes[program.exprs[at.value].c].type)));
}

// ---- look-up ---------------------------------------------------------------------------------------------------
Value Evaluation::State::table_value(ExprId at, const Expr& expr, u32 column, Frame& frame) {
  constexpr u32 most_keys = 4;
  const Value table = walk(ExprId{expr.a}, frame);
  Value keys[most_keys];
  const u32 count = std::min<u32>(expr.n, most_keys);
  bool known = table.known();
  for (u32 i = 0; i < count; ++i) {
    keys[i] = walk(program.expr_lists[expr.b + i], frame);
    known = known && keys[i].known();
  }
  if (!known) {
    if (table.is(ValueState::none)) return fail_none_used(at, ExprId{expr.a});
    for (u32 i = 0; i < count; ++i)
      if (keys[i].is(ValueState::none)) return fail_none_used(at, program.expr_lists[expr.b + i]);
    const Value all[] = {table, blend(at, {keys, count})};
    return blend(at, all);
  }
  const Value value = look_up(at, TableId{table.index()}, {keys, count}, column);
  if (recorder) recorder->read({.how = How::table, .expr = at, .table = TableId{table.index()}, .row = last_row, .world = world, .value = value});
  return value;
}

Value Evaluation::State::look_up(ExprId at, TableId asked, std::span<const Value> keys, u32 column) {
  const Table& table = program.tables[asked.value];
  const Shape& shape = program.shapes[table.shape.value];
  const auto column_of = [&](u32 i) -> const Column& { return program.columns[shape.columns.first + i]; };
  const auto is_number = [&](u32 key) { return program.types[column_of(key).type.value].kind == TypeKind::quantity; };
  const auto cells_at = [&](u32 first, u32 count) { return program.table_cells.slice(table.first_cell + first, count); };
  const auto missed = [&](u32 key, std::span<const Value> all, Position::Miss miss) {
    return fail_outside(at, asked, key, keys[key], all, miss == Position::Miss::absent);
  };

  if (shape.two_way) {
    const auto rows = cells_at(0, table.rows), heads = cells_at(table.rows, table.across);
    const Position row = find_key(rows, keys[0], column_of(0), is_number(0));
    if (row.miss != Position::Miss::no) return missed(0, rows, row.miss);
    const Position head = find_key(heads, keys[1], column_of(1), is_number(1));
    if (head.miss != Position::Miss::no) return missed(1, heads, head.miss);
    last_row = row.at;
    const auto cell = [&](u32 r, u32 c) {
      const Value value = program.table_cells[table.first_cell + table.rows + table.across + r * table.across + c];
      return value.known() ? value : from_program(value);
    };
    const auto along = [&](u32 r) { return head.share == 0 ? cell(r, head.at) : part_way(cell(r, head.at), cell(r, head.next), head.share); };
    return row.share == 0 ? along(row.at) : part_way(along(row.at), along(row.next), row.share);
  }

  // The only value column, the column asked for, or the row.
  u32 wanted = column;
  if (wanted == 0 && shape.columns.count == shape.keys + 1u) wanted = shape.keys + 1u;
  if (shape.keys == 1) {
    const auto rows = cells_at(0, table.rows);
    const Position row = find_key(rows, keys[0], column_of(0), is_number(0));
    if (row.miss != Position::Miss::no) return missed(0, rows, row.miss);
    last_row = row.at;
    if (wanted == 0) return blended_row(asked, row.at, row.next, row.share);
    const Value low = row_cell(meaning::row_value(asked, row.at), wanted - 1);
    return row.share == 0 ? low : part_way(low, row_cell(meaning::row_value(asked, row.next), wanted - 1), row.share);
  }

  // Several keys: exact ones narrow the rows first, then the others in order.
  std::vector<u32> rows(table.rows), order;
  for (u32 i = 0; i < table.rows; ++i) rows[i] = i;
  for (u32 key = 0; key < shape.keys; ++key)
    if (!is_number(key) || column_of(key).mode == LookUp::exact) order.push_back(key);
  for (u32 key = 0; key < shape.keys; ++key)
    if (is_number(key) && column_of(key).mode != LookUp::exact) order.push_back(key);
  u32 other = 0;
  double share = 0;
  for (const u32 key : order) {
    const auto column_cells = cells_at(key * table.rows, table.rows);
    std::vector<Value> all;
    for (const u32 row : rows) all.push_back(column_cells[row]);
    std::sort(all.begin(), all.end(), [](Value a, Value b) { return a.number() < b.number(); });
    all.erase(std::unique(all.begin(), all.end()), all.end());
    const Position found = find_key(all, keys[key], column_of(key), is_number(key));
    if (found.miss != Position::Miss::no) return missed(key, all, found.miss);
    if (found.share != 0) {                       // only the last key may fall between rows
      const auto row_of = [&](u32 i) { return *std::find_if(rows.begin(), rows.end(), [&](u32 row) { return column_cells[row] == all[i]; }); };
      other = row_of(found.next);
      share = found.share;
      rows.assign(1, row_of(found.at));
      break;
    }
    std::erase_if(rows, [&](u32 row) { return column_cells[row] != all[found.at]; });
  }
  last_row = rows.front();
  if (wanted == 0) return blended_row(asked, rows.front(), other, share);
  const Value low = row_cell(meaning::row_value(asked, rows.front()), wanted - 1);
  return share == 0 ? low : part_way(low, row_cell(meaning::row_value(asked, other), wanted - 1), share);
}

// ---- one key left open -------------------------------------------------------------------------------------------
std::optional<Profile> profile(Evaluation::State& state, TableId asked, std::span<const Value> keys, u32 open, u32 column) {
  const Program& program = state.program;
  const Table& table = program.tables[asked.value];
  const Shape& shape = program.shapes[table.shape.value];
  const auto column_of = [&](u32 i) -> const Column& { return program.columns[shape.columns.first + i]; };
  const auto is_number = [&](u32 key) { return program.types[column_of(key).type.value].kind == TypeKind::quantity; };
  if (!is_number(open) || column_of(open).mode == LookUp::exact) return {};
  Profile made{column_of(open).mode, column_of(open).beyond, {}, {}};
  const auto stored = [&](u32 at) {
    const Value cell = program.table_cells[table.first_cell + at];
    return cell.known() ? cell : state.from_program(cell);
  };
  if (shape.two_way) {
    const u32 fixed = 1 - open;
    const u32 first[] = {0, table.rows}, count[] = {table.rows, table.across};
    const Position other = find_key(program.table_cells.slice(table.first_cell + first[fixed], count[fixed]), keys[fixed],
                                    column_of(fixed), is_number(fixed));
    if (other.miss != Position::Miss::no) return {};
    const auto cell = [&](u32 along, u32 across) {
      const u32 row = open == 0 ? along : across, head = open == 0 ? across : along;
      return stored(table.rows + table.across + row * table.across + head);
    };
    for (u32 i = 0; i < count[open]; ++i) {
      made.keys.push_back(stored(first[open] + i));
      made.values.push_back(state.part_way(cell(i, other.at), cell(i, other.next), other.share));
    }
    return made;
  }
  u32 wanted = column;
  if (wanted == 0 && shape.columns.count == shape.keys + 1u) wanted = shape.keys + 1u;
  if (wanted == 0) return {};
  for (u32 row = 0; row < table.rows; ++row) {
    bool fits = true;
    for (u32 key = 0; key < shape.keys && fits; ++key) {
      if (key == open) continue;
      if (is_number(key) && column_of(key).mode != LookUp::exact) return {};
      const Value here = stored(key * table.rows + row);
      fits = here == keys[key] || (is_number(key) && quantities::equal(here.number(), keys[key].number()));
    }
    if (!fits) continue;
    made.keys.push_back(stored(open * table.rows + row));
    made.values.push_back(stored((wanted - 1) * table.rows + row));
  }
  if (made.keys.empty()) return {};
  return made;
}
}  // namespace dripleg::evaluate
