// Straight lines through points, and values sorted into bins; the tables that come of it.
#include "evaluate/state.hpp"

#include "base/limits.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::evaluate {
// Straight between neighbours along, held level beyond both ends. The order of the points does not matter.
Value Evaluation::State::between_points(ExprId at, Value points, Value wanted, u32 along, u32 up) {
  const Value both[] = {points, wanted};
  if (!points.known() || !wanted.known()) return blend(at, both);
  struct Point { double x, y; ThingId thing; };
  std::vector<Point> line;
  const LoopSource all = items_of(points);
  for (u32 i = 0; i < all.count; ++i) {
    const Value entry = item(all, i);
    if (!entry.known()) return blend(at, {&entry, 1});
    const ThingId thing{entry.index()};
    const Value pair[] = {field(thing, along), field(thing, up)};
    if (!pair[0].known() || !pair[1].known()) return blend(at, pair);
    line.push_back({pair[0].number(), pair[1].number(), thing});
  }
  if (line.empty()) return Value::none();
  std::stable_sort(line.begin(), line.end(), [](const Point& a, const Point& b) { return a.x < b.x; });
  for (std::size_t i = 1; i < line.size(); ++i) {
    if (!quantities::equal(line[i - 1].x, line[i].x)) continue;
    const TypeId type = program.field(program.things[line[i].thing.value].kind, along).type;
    return fail(notices::Code::value_same_point, at, here() + " goes through two points at " + show(Value::number(line[i].x), type),
                {{program.things[line[i - 1].thing.value].place, "one of them"}, {program.things[line[i].thing.value].place, "the other"}},
                {"leave out one of the two points"});
  }
  const double x = wanted.number();
  if (x <= line.front().x) return Value::number(line.front().y);
  for (std::size_t i = 1; i < line.size(); ++i) {
    if (x > line[i].x) continue;
    const Point &a = line[i - 1], &b = line[i];
    return Value::number(a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)));
  }
  return Value::number(line.back().y);
}

// ---- tables made here ------------------------------------------------------------------------------------------
Value Evaluation::State::made_table(std::span<const Value> cells, u32 rows) {
  const Value list = lists.make(cells);
  const u32 number = made_index.find_or_make(
      mix(list.bits(), rows), [&](u32 at) { return made_tables[at].cells == list && made_tables[at].rows == rows; },
      [&] {
        made_tables.push_back({list, rows});
        return static_cast<u32>(made_tables.size() - 1);
      });
  return Value::index(first_made_table + number);
}

const meaning::Table* Evaluation::State::program_table(Value table) const {
  return table.index() < first_made_table ? &program.tables[table.index()] : nullptr;
}

u32 Evaluation::State::rows_of(Value table) const {
  const meaning::Table* const known = program_table(table);
  return known ? known->rows : made_tables[table.index() - first_made_table].rows;
}

namespace {
// The bin in which a value lies; within the tolerance of comparison an edge belongs to the bin that begins there.
double bin_of(double value, double edge, double step) {
  const double count = (value - edge) / step, near = std::round(count);
  return quantities::equal(edge + near * step, value) ? near : std::floor(count);
}
}  // namespace

Value Evaluation::State::binned(ExprId at, const Expr& expr, Frame& frame) {
  const auto argument = [&](u32 i) { return program.expr_lists[expr.a + i]; };
  Value state;
  const auto all = source(argument(0), frame, state);
  if (!all) return state;
  std::vector<Value> given;                       // step, edge, each
  for (u32 i = 1; i < expr.n; ++i) given.push_back(walk(argument(i), frame));
  for (const Value value : given)
    if (!value.known()) return blend(at, given);
  const double step = given[0].number();
  const bool rows = program.exprs[argument(0).value].op == Op::all_of_table;
  std::vector<double> values;
  std::vector<Value> odd;
  for (u32 i = 0; i < all->count; ++i) {
    if (!count_step()) return spent;
    const Value one = item(*all, i), value = rows ? row_cell(one, 0) : one;
    if (value.known()) values.push_back(value.number());
    else odd.push_back(value);
  }
  if (!odd.empty()) return blend(at, odd);
  if (!(step > 0)) return fail(notices::Code::value_bin_step, at, here() + " sorts into bins whose width is not above zero");
  if (values.empty()) return made_table({}, 0);
  const auto [least, most] = std::minmax_element(values.begin(), values.end());
  const double edge = given.size() > 1 ? given[1].number() : *least;
  const double first = bin_of(*least, edge, step), last = bin_of(*most, edge, step);
  if (!(last - first < static_cast<double>(base::limits::bins)))
    return fail(notices::Code::value_too_many, at, here() + " sorts into more than " + std::to_string(base::limits::bins) + " bins", {}, {"make the bins wider"});
  const u32 count = static_cast<u32>(last - first) + 1;
  std::vector<u32> found(count, 0);
  for (const double value : values) ++found[static_cast<u32>(bin_of(value, edge, step) - first)];
  const double each = given.size() > 2 ? given[2].number() : 1;
  std::vector<Value> cells(4 * static_cast<std::size_t>(count));
  for (u32 i = 0; i < count; ++i) {
    const double low = edge + (first + i) * step;
    cells[i] = Value::number(low);
    cells[count + i] = Value::number(edge + (first + i + 1) * step);
    cells[2 * count + i] = Value::number(edge + (first + i + 0.5) * step);
    cells[3 * count + i] = Value::number(found[i] * each);
  }
  return made_table(cells, count);
}
}  // namespace dripleg::evaluate
