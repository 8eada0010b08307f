// Tables and built-in functions over a box.
#include "evaluate/interval_walker.hpp"

#include <algorithm>

namespace dripleg::evaluate::boxed {
// ---- tables ------------------------------------------------------------------------------------------------
Maybe Walker::table_value(ExprId expr, const Expr& node, u32 column, BoxFrame& frame) {
  const Maybe table = walk(ExprId{node.a}, frame);
  if (!table || table->varies || !table->value.known()) return {};
  std::vector<Value> keys;
  std::optional<Over> varying;
  u32 open = 0;
  for (u32 i = 0; i < node.n; ++i) {
    const Maybe key = walk(program_.expr_lists[node.b + i], frame);
    if (!key || key->test || (!key->varies && !key->value.known())) return {};
    if (key->varies) {
      if (varying) return {};
      varying = *key;
      open = i;
    }
    keys.push_back(key->varies ? Value::none() : key->value);
  }
  const TableId asked{table->value.index()};
  if (!varying) return ordinary([&] { return s_.look_up(expr, asked, keys, column); });
  std::optional<Profile> line;
  if (!ordinary([&] { line = profile(s_, asked, keys, open, column); return Value::none(); }) || !line) return {};
  return made(along(*line, varying->in));
}

std::optional<Interval> Walker::along(const Profile& line, const Interval& x) {
  const Position first = find_number(line.keys, x.low, line.mode, line.beyond);
  const Position last = find_number(line.keys, x.high, line.mode, line.beyond);
  if (first.miss != Position::Miss::no || last.miss != Position::Miss::no) return {};
  const u32 from = std::min(first.at, first.next), to = std::max(last.at, last.next);
  if (line.mode == meaning::LookUp::between) {
    std::vector<boxed::Knot> knots;
    for (u32 i = from; i <= to; ++i) {
      if (!line.values[i].known()) return {};
      knots.push_back({line.keys[i].number(), line.values[i].number()});
    }
    return boxed::piecewise(knots, x, line.beyond == meaning::Beyond::straight);
  }
  bool rises = true, falls = true;
  double low = boxed::infinity, high = -boxed::infinity;
  for (u32 i = from; i <= to; ++i) {
    if (!line.values[i].known()) return {};
    const double value = line.values[i].number();
    if (i > from) {
      rises = rises && value >= line.values[i - 1].number();
      falls = falls && value <= line.values[i - 1].number();
    }
    low = std::fmin(low, value);
    high = std::fmax(high, value);
  }
  return boxed::through(x, low, high, {rises ? 0 : -boxed::infinity, falls ? 0 : boxed::infinity});
}

// ---- built-in functions --------------------------------------------------------------------------------------
Maybe Walker::built_in(ExprId expr, const Expr& node, BoxFrame& frame) {
  const auto function = static_cast<BuiltIn>(node.b);
  if (function == BuiltIn::between_points) return between_points(node, frame);
  if (function == BuiltIn::first_given) {
    for (u32 i = 0; i < node.n; ++i) {
      const Maybe value = walk(program_.expr_lists[node.a + i], frame);
      if (!value || value->varies || !value->value.is(ValueState::none)) return value;
    }
    return plain(Value::none());
  }
  const bool of_numbers = function <= BuiltIn::from_zero || function == BuiltIn::normal_below;
  if (!of_numbers) return ordinary_walk(expr, frame);
  std::vector<Interval> values;
  bool varies = false;
  for (u32 i = 0; i < node.n; ++i) {
    const Maybe value = walk(program_.expr_lists[node.a + i], frame);
    const auto in = value ? as_interval(*value) : std::nullopt;
    if (!in) return {};
    varies = varies || value->varies;
    values.push_back(*in);
  }
  if (!varies) return ordinary_walk(expr, frame);
  Interval result = values[0];
  if (function == BuiltIn::least || function == BuiltIn::most) {
    for (u32 i = 1; i < node.n; ++i) result = function == BuiltIn::least ? boxed::least(result, values[i]) : boxed::most(result, values[i]);
    return made(result);
  }
  if (function == BuiltIn::clamp) return made(boxed::least(boxed::most(values[0], values[1]), values[2]));
  if (function == BuiltIn::mean) {
    for (u32 i = 1; i < node.n; ++i) result = boxed::add(result, values[i]);
    return made(boxed::scale(result, 1.0 / node.n));
  }
  if (function == BuiltIn::round_up_to || function == BuiltIn::round_down_to || function == BuiltIn::round_to) {
    if (values[1].low != values[1].high || values[1].low <= 0) return {};
    const Value step = Value::number(values[1].low);
    const Value low = s_.rounded(expr, function, Value::number(result.low), step), high = s_.rounded(expr, function, Value::number(result.high), step);
    return made(boxed::through(result, low.number(), high.number(), {0, boxed::infinity}));
  }
  return made(boxed::function(function, result));
}

Maybe Walker::between_points(const Expr& node, BoxFrame& frame) {
  const Maybe points = walk(program_.expr_lists[node.a], frame), wanted = walk(program_.expr_lists[node.a + 1], frame);
  const auto x = wanted ? as_interval(*wanted) : std::nullopt;
  if (!points || points->varies || !points->value.known() || !x) return {};
  std::vector<boxed::Knot> knots;
  const Maybe fixed = ordinary([&] {
    knots.clear();
    const LoopSource all = s_.items_of(points->value);
    for (u32 i = 0; i < all.count; ++i) {
      const Value entry = s_.item(all, i);
      if (!entry.known()) return entry;
      const Value at = s_.field(ThingId{entry.index()}, node.c & 0xFFFFu), value = s_.field(ThingId{entry.index()}, node.c >> 16);
      if (!at.known() || !value.known()) return Value::none();
      knots.push_back({at.number(), value.number()});
    }
    return Value::yes_no(true);
  });
  if (!fixed || !fixed->value.known() || knots.empty()) return {};
  std::stable_sort(knots.begin(), knots.end(), [](const boxed::Knot& a, const boxed::Knot& b) { return a.x < b.x; });
  for (std::size_t i = 1; i < knots.size(); ++i)
    if (quantities::equal(knots[i].x, knots[i - 1].x)) return {};
  return made(boxed::piecewise(knots, *x, false));
}
}  // namespace dripleg::evaluate::boxed
