// Formulas over a whole box of variables. What does not vary over the box is computed in the ordinary way
// (the values that were read tell); only what varies is walked here, with intervals and slopes.
#include "evaluate/interval.hpp"

#include "evaluate/children.hpp"
#include "evaluate/interval_math.hpp"
#include "evaluate/look_up.hpp"

#include <algorithm>
#include <map>

namespace dripleg::evaluate {
namespace {
using boxed::depends;

// Over the box: one value, or a number that varies, or a test that is not decided.
struct Over {
  Value value;                     // if it does not vary
  bool varies = false, test = false;
  u8 sides = 0;                    // of an undecided test: what it depends on
  Interval in;
};
using Maybe = std::optional<Over>;

struct BoxFrame {
  ThingId self;
  std::vector<Over> locals;
  const meaning::Function* function = nullptr;
};

Over plain(Value value) {
  Over made;
  made.value = value;
  return made;
}
Over decided(bool test) { return plain(Value::yes_no(test)); }
Over undecided(u8 sides) {
  Over made;
  made.varies = made.test = true;
  made.sides = sides;
  return made;
}
u8 sides_of(const Interval& in) {
  u8 sides = 0;
  for (u32 i = 0; i < most_box_variables; ++i) sides = static_cast<u8>(sides | (depends(in, i) ? 1u << i : 0u));
  return sides;
}

class Walker {
 public:
  Walker(Evaluation::State& state, Box box, WorldId world)
      : s_(state), program_(state.program), box_(box), world_(world),
        floor_(static_cast<const char*>(__builtin_frame_address(0)) - stack_room / 2) {
    find_bits();
  }

  std::optional<Interval> number(ExprId expr, const Scope& scope) {
    BoxFrame frame = frame_for(expr, scope.self);
    for (std::size_t i = 0; i < scope.locals.size() && i < frame.locals.size(); ++i) frame.locals[i] = plain(scope.locals[i]);
    const Maybe over = walk(expr, frame);
    return over ? as_interval(*over) : std::nullopt;
  }

 private:
  BoxFrame frame_for(ExprId formula, ThingId self) {
    return BoxFrame{self, std::vector<Over>(s_.frame_size(formula), plain(Value::none())), nullptr};
  }

  static std::optional<Interval> as_interval(const Over& over) {
    if (over.test) return {};
    if (over.varies) return over.in;
    return over.value.known() ? std::optional(boxed::point(over.value.number())) : std::nullopt;
  }
  static Maybe made(std::optional<Interval> in) {
    if (!in || std::isnan(in->low) || std::isnan(in->high)) return {};
    if (in->low == in->high && sides_of(*in) == 0) return plain(Value::number(in->low));
    Over over;
    over.varies = true;
    over.in = *in;
    return over;
  }

  // A side of the box, as long as no inner world sets it.
  std::optional<u32> side_of(VariableId variable) const {
    for (u32 i = 0; i < box_.size(); ++i)
      if (box_[i].variable == variable && ((set_inside_ >> i) & 1) == 0) return i;
    return {};
  }
  Over side(u32 at) const {
    Interval in{box_[at].low, box_[at].high, {}};
    in.slopes[at] = {1, 1};
    return *made(in);
  }

  // What the ordinary way must not have read: the sides that no inner world sets.
  void find_bits() {
    bits_ = 0;
    for (u32 i = 0; i < box_.size(); ++i)
      if (((set_inside_ >> i) & 1) == 0) bits_ |= s_.worlds.bit(box_[i].variable);
  }

  // The ordinary way; none if that turns out to depend on the box.
  template <class Compute>
  Maybe ordinary(Compute compute) {
    const Value value = s_.ask(world_, compute);
    return (s_.reads & bits_) == 0 ? Maybe(plain(value)) : std::nullopt;
  }
  Maybe ordinary_walk(ExprId expr, BoxFrame& frame) {
    std::vector<Value> locals(frame.locals.size());
    if (!steady(expr, frame)) return {};
    for (std::size_t i = 0; i < locals.size(); ++i)
      locals[i] = frame.locals[i].varies ? Value::none() : frame.locals[i].value;
    return ordinary([&] {
      std::vector<Value> own = locals;
      Frame inner{frame.self, own.data(), frame.function};
      return s_.walk(expr, inner);
    });
  }
  // Does a formula read no bound name that varies?
  bool steady(ExprId expr, BoxFrame& frame) {
    const Expr& node = program_.exprs[expr.value];
    if (node.op == Op::local || node.op == Op::parameter) {
      const Maybe value = local(node.a, frame);
      return value && !value->varies;
    }
    bool all = true;
    for_each_child(program_, node, [&](ExprId child) { all = all && steady(child, frame); });
    return all;
  }

  Maybe local(u32 index, BoxFrame& frame) {
    Over& known = frame.locals[index];
    if (known.varies || !known.value.is(ValueState::pending)) return known;
    const meaning::Function* const function = frame.function;
    if (!function || index - function->parameters >= function->local_names.count) return {};
    const Maybe value = walk(program_.local_names[function->local_names.first + index - function->parameters], frame);
    if (value) frame.locals[index] = *value;
    return value;
  }

  // ---- fields ------------------------------------------------------------------------------------------------
  Maybe field(ThingId thing, u32 slot) {
    const Thing& record = program_.things[thing.value];
    const Value stated = s_.inputs[record.first_slot + slot];
    if (stated.known()) return plain(stated);
    if (stated.is(ValueState::variable))
      if (const auto at = side_of(VariableId{stated.payload()})) return side(*at);
    return cell(record.first_slot + slot, [&] { return s_.field(thing, slot); },
                [&]() -> Maybe {
                  bool of_owner = false;
                  const ExprId formula = s_.formula_of(record, slot, of_owner);
                  if (!formula.given()) return {};
                  BoxFrame frame = frame_for(formula, of_owner ? record.owner : thing);
                  return walk(formula, frame);
                });
  }
  Maybe condition(ConditionId asked) {
    const meaning::Condition& record = program_.conditions[asked.value];
    if (record.variable.given()) {
      if (const auto at = side_of(record.variable)) return side(*at);
      if (s_.worlds.find(world_, record.variable)) return ordinary([&] { return s_.condition(asked); });
    }
    return cell(static_cast<u32>(s_.inputs.size()) + asked.value, [&] { return s_.condition(asked); },
                [&]() -> Maybe {
                  if (!record.formula.given()) return {};
                  BoxFrame frame = frame_for(record.formula, ThingId{});
                  return walk(record.formula, frame);
                });
  }
  template <class Ordinary, class Formula>
  Maybe cell(u32 number, Ordinary ordinary_way, Formula formula) {
    if (const Maybe value = ordinary(ordinary_way)) return value;
    const std::array<u32, 3> key{number, world_.value, set_inside_};
    if (const auto known = kept_.find(key); known != kept_.end()) return known->second;
    if (static_cast<const char*>(__builtin_frame_address(0)) < floor_) return {};
    kept_.emplace(key, std::nullopt);                       // met again meanwhile: a ring
    const Maybe value = formula();
    kept_[key] = value;
    return value;
  }
  Maybe keyed(const Expr& node, BoxFrame& frame) {
    const Maybe thing = walk(ExprId{node.a}, frame), key = walk(ExprId{node.c}, frame);
    if (!thing || !key || thing->varies || key->varies || !thing->value.known() || !key->value.known()) return {};
    const ThingId owner{thing->value.index()};
    const Maybe list = field(owner, node.b);
    if (!list || list->varies) return {};
    if (!list->value.known()) return list;
    const Maybe entry = ordinary([&] { return s_.entry_for(list->value, key->value); });
    if (!entry || !entry->value.known()) return {};
    const ThingId found{entry->value.index()};
    return s_.one_value(found) ? field(found, 1) : entry;
  }

  // ---- formulas ----------------------------------------------------------------------------------------------
  Maybe walk(ExprId expr, BoxFrame& frame) {
    const Expr& node = program_.exprs[expr.value];
    switch (node.op) {
      case Op::constant: case Op::self: case Op::limit: case Op::the_one: case Op::all_of_kind:
      case Op::index_column: case Op::in_list: case Op::is_kind: case Op::is_thing: case Op::is_word:
      case Op::is_empty: case Op::all_of_table: case Op::list: case Op::range: case Op::count_up: case Op::same:
      case Op::not_same: case Op::fold_product: case Op::fold_list: case Op::first: case Op::find: case Op::carry:
        return ordinary_walk(expr, frame);
      case Op::parameter: case Op::local:
        return local(node.a, frame);
      case Op::condition:
        return condition(ConditionId{node.a});
      case Op::field: {
        const Maybe thing = walk(ExprId{node.a}, frame);
        if (!thing || thing->varies || !thing->value.known()) return {};
        return field(ThingId{thing->value.index()}, node.b);
      }
      case Op::row_column: {
        const Expr& of = program_.exprs[node.a];
        return of.op == Op::table_value && of.c == 0 ? table_value(ExprId{node.a}, of, node.b + 1, frame) : ordinary_walk(expr, frame);
      }
      case Op::keyed: return keyed(node, frame);
      case Op::add: case Op::subtract: case Op::multiply: case Op::divide: case Op::power: case Op::power_whole:
      case Op::negate:
        return arithmetic(node, frame);
      case Op::equal: case Op::unequal: case Op::less: case Op::at_most: case Op::greater: case Op::at_least: {
        const Maybe a = walk(ExprId{node.a}, frame), b = walk(ExprId{node.b}, frame);
        return a && b ? compare(node.op, *a, *b) : std::nullopt;
      }
      case Op::in_range: return in_range(node, frame);
      case Op::is_none: case Op::is_given: {
        const Maybe a = walk(ExprId{node.a}, frame);
        if (!a || a->value.is(ValueState::unknown) || a->value.is(ValueState::failed)) return {};
        const bool none = !a->varies && a->value.is(ValueState::none);
        return decided(none == (node.op == Op::is_none));
      }
      case Op::both: case Op::either: return all_true(node, frame);
      case Op::negation: {
        const Maybe a = walk(ExprId{node.a}, frame);
        if (!a || a->varies) return a;
        return a->value.known() ? Maybe(decided(!a->value.yes())) : std::nullopt;
      }
      case Op::choice: return choice(node, frame);
      case Op::call: return call(node, frame);
      case Op::table_value: return table_value(expr, node, node.c, frame);
      case Op::built_in: return built_in(expr, node, frame);
      case Op::fold_sum: case Op::fold_max: case Op::fold_min: case Op::fold_count: case Op::fold_all:
      case Op::fold_any: case Op::fold_mean:
        return fold(node, frame);
      case Op::when: case Op::during: return in_world(expr, node, frame);
    }
    return {};
  }

  Maybe arithmetic(const Expr& node, BoxFrame& frame) {
    const Maybe a = walk(ExprId{node.a}, frame);
    const auto x = a ? as_interval(*a) : std::nullopt;
    if (!x) return {};
    if (node.op == Op::negate) return made(boxed::negate(*x));
    if (node.op == Op::power_whole) return made(boxed::power(*x, static_cast<i32>(node.b)));
    const Maybe b = walk(ExprId{node.b}, frame);
    const auto y = b ? as_interval(*b) : std::nullopt;
    if (!y) return {};
    if (node.op == Op::add) return made(boxed::add(*x, *y));
    if (node.op == Op::subtract) return made(boxed::subtract(*x, *y));
    if (node.op == Op::multiply) {
      // A square knows its sign; a product of two equal factors does not.
      if (node.a == node.b) return made(boxed::power(*x, 2.0));
      return made(boxed::multiply(*x, *y));
    }
    if (node.op == Op::divide) return made(boxed::divide(*x, *y));
    return made(boxed::power(*x, *y));
  }

  Maybe compare(Op op, const Over& a, const Over& b) {
    const auto x = as_interval(a), y = as_interval(b);
    if (!x || !y) return {};
    if (x->low == x->high && y->low == y->high) return decided(Evaluation::State::compare(op, false, x->low, y->low));
    const bool at_least = quantities::at_least(x->low, y->high), at_most = quantities::at_least(y->low, x->high);
    const bool less = quantities::less(x->high, y->low), greater = quantities::greater(x->low, y->high);
    if (op == Op::at_least && (at_least || less)) return decided(at_least);
    if (op == Op::less && (at_least || less)) return decided(less);
    if (op == Op::at_most && (at_most || greater)) return decided(at_most);
    if (op == Op::greater && (at_most || greater)) return decided(greater);
    if ((op == Op::equal || op == Op::unequal) && (less || greater)) return decided(op == Op::unequal);
    return undecided(static_cast<u8>(sides_of(*x) | sides_of(*y)));
  }

  Maybe in_range(const Expr& node, BoxFrame& frame) {
    const Maybe a = walk(ExprId{node.a}, frame), range = walk(ExprId{node.b}, frame);
    if (!a || !range || range->varies || !range->value.known()) return {};
    meaning::Range ends;
    const Maybe fixed = ordinary([&] { ends = s_.range_of(range->value); return Value::none(); });
    if (!fixed) return {};
    const Maybe above = compare(Op::at_least, *a, plain(ends.low)), under = compare(Op::at_most, *a, plain(ends.high));
    if (!above || !under) return {};
    if (!above->varies && !above->value.yes()) return above;
    if (!under->varies && !under->value.yes()) return under;
    if (!above->varies && !under->varies) return above;
    return undecided(static_cast<u8>(above->sides | under->sides));
  }

  Maybe all_true(const Expr& node, BoxFrame& frame) {
    const bool wanted = node.op == Op::both;
    u8 sides = 0;
    bool open = false;
    for (u32 i = 0; i < node.n; ++i) {
      const Maybe part = walk(program_.expr_lists[node.a + i], frame);
      if (!part) return {};
      if (part->varies) {
        open = true;
        sides = static_cast<u8>(sides | part->sides);
      } else if (!part->value.known()) {
        return {};
      } else if (part->value.yes() != wanted) {
        return part;
      }
    }
    return open ? undecided(sides) : decided(wanted);
  }

  Maybe choice(const Expr& node, BoxFrame& frame) {
    const Maybe test = walk(ExprId{node.a}, frame);
    if (!test) return {};
    if (!test->varies) {
      if (!test->value.known()) return {};
      return walk(ExprId{test->value.yes() ? node.b : node.c}, frame);
    }
    const Maybe one = walk(ExprId{node.b}, frame), other = walk(ExprId{node.c}, frame);
    if (!one || !other) return {};
    if (!one->varies && !other->varies && one->value == other->value) return one;
    if (one->test || other->test) return undecided(static_cast<u8>(test->sides | one->sides | other->sides));
    const auto x = as_interval(*one), y = as_interval(*other);
    return x && y ? made(boxed::either(*x, *y, test->sides)) : std::nullopt;
  }

  Maybe call(const Expr& node, BoxFrame& frame) {
    const meaning::Function& function = program_.functions[node.b];
    if (!s_.count_step() || static_cast<const char*>(__builtin_frame_address(0)) < floor_) return {};
    BoxFrame inner{ThingId{}, std::vector<Over>(function.locals, plain(Value::pending())), &function};
    for (u32 i = 0; i < node.n; ++i) {
      const Maybe argument = walk(program_.expr_lists[node.a + i], frame);
      if (!argument) return {};
      inner.locals[i] = *argument;
    }
    return walk(function.body, inner);
  }

  // ---- tables ------------------------------------------------------------------------------------------------
  Maybe table_value(ExprId expr, const Expr& node, u32 column, BoxFrame& frame) {
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

  static std::optional<Interval> along(const Profile& line, const Interval& x) {
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
  Maybe built_in(ExprId expr, const Expr& node, BoxFrame& frame) {
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

  Maybe between_points(const Expr& node, BoxFrame& frame) {
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
        const Value at = s_.field(ThingId{entry.index()}, 0), value = s_.field(ThingId{entry.index()}, 1);
        if (!at.known() || !value.known()) return Value::none();
        knots.push_back({at.number(), value.number()});
      }
      return Value::yes_no(true);
    });
    if (!fixed || !fixed->value.known() || knots.empty()) return {};
    std::stable_sort(knots.begin(), knots.end(), [](const boxed::Knot& a, const boxed::Knot& b) { return a.x < b.x; });
    for (std::size_t i = 1; i < knots.size(); ++i)
      if (knots[i].x == knots[i - 1].x) return {};
    return made(boxed::piecewise(knots, *x, false));
  }

  // ---- loops ---------------------------------------------------------------------------------------------------
  // Calls body(where) for every combination; false: it cannot be told.
  template <class Body>
  bool loop(Slice binders, u32 depth, ExprId where, BoxFrame& frame, Body& body) {
    if (depth == binders.count) {
      Over test = decided(true);
      if (where.given()) {
        const Maybe found = walk(where, frame);
        if (!found || (!found->varies && !found->value.known())) return false;
        test = *found;
      }
      return (!test.varies && !test.value.yes()) || body(test);
    }
    const meaning::Binder& binder = program_.binders[binders.first + depth];
    std::vector<Value> items;
    if (!steady(binder.source, frame)) return false;
    const Maybe listed = ordinary([&] {
      items.clear();
      std::vector<Value> locals;
      for (const Over& each : frame.locals) locals.push_back(each.varies ? Value::none() : each.value);
      Frame inner{frame.self, locals.data(), frame.function};
      Value state = Value::yes_no(true);
      const auto all = s_.source(binder.source, inner, state);
      for (u32 i = 0; all && i < all->count; ++i) items.push_back(s_.item(*all, i));
      return state;
    });
    if (!listed || !listed->value.known()) return false;
    for (const Value item : items) {
      if (!s_.count_step()) return false;
      frame.locals[binder.local] = plain(item);
      if (!loop(binders, depth + 1, where, frame, body)) return false;
    }
    return true;
  }

  Maybe fold(const Expr& node, BoxFrame& frame) {
    const bool weighted = node.op == Op::fold_mean && (node.flags & meaning::weighted) != 0;
    const ExprId body_expr = weighted ? program_.expr_lists[node.b] : ExprId{node.b};
    const bool test = node.op == Op::fold_all || node.op == Op::fold_any;
    const bool wanted = node.op == Op::fold_all;
    std::optional<Interval> result;
    Interval count = boxed::point(0);
    std::vector<Weighted> terms;
    bool open = false, settled = false;
    u8 sides = 0;
    auto body = [&](const Over& where) -> bool {
      if (node.op == Op::fold_count) {
        const Interval one = boxed::point(1);
        count = boxed::add(count, where.varies ? boxed::either(boxed::point(0), one, where.sides) : one);
        return true;
      }
      const Maybe value = walk(body_expr, frame);
      if (!value || (!value->varies && !value->value.known())) return false;
      if (test) {
        const bool decides = !value->varies && value->value.yes() != wanted;
        if (decides && !where.varies) settled = true;
        else if (decides || value->varies) {
          open = true;
          sides = static_cast<u8>(sides | where.sides | value->sides);
        }
        return true;
      }
      const auto in = as_interval(*value);
      if (!in) return false;
      if (node.op == Op::fold_sum) {
        const Interval term = where.varies ? boxed::either(boxed::point(0), *in, where.sides) : *in;
        result = result ? boxed::add(*result, term) : term;
        return true;
      }
      if (where.varies) return false;
      if (node.op == Op::fold_max || node.op == Op::fold_min) {
        result = !result ? *in : node.op == Op::fold_max ? boxed::most(*result, *in) : boxed::least(*result, *in);
        return true;
      }
      result = *in;
      return add_to_mean(weighted, node, frame, *in, terms);
    };
    if (!loop({node.a, node.n}, 0, ExprId{node.c}, frame, body)) return {};
    if (test) return settled ? decided(!wanted) : open ? undecided(sides) : decided(wanted);
    if (node.op == Op::fold_count) return made(count);
    if (!result) return plain(node.op == Op::fold_sum ? Value::number(0) : Value::none());
    return node.op == Op::fold_mean ? mean_of(terms) : made(result);
  }
  struct Weighted { Interval value, weight; };
  bool add_to_mean(bool weighted, const Expr& node, BoxFrame& frame, const Interval& value, std::vector<Weighted>& terms) {
    Interval weight = boxed::point(1);
    if (weighted) {
      const Maybe found = walk(program_.expr_lists[node.b + 1], frame);
      const auto in = found ? as_interval(*found) : std::nullopt;
      if (!in || in->low < 0) return false;
      weight = *in;
    }
    terms.push_back({value, weight});
    return true;
  }
  // A mean lies among its values; its slopes are (share of each) times slope, and (value less mean) times the
  // slope of its weight, over the sum of weights. Written out as products it would lose all this.
  Maybe mean_of(const std::vector<Weighted>& values) {
    Interval weights = boxed::point(0);
    for (const Weighted& each : values) weights = boxed::add(weights, each.weight);
    if (weights.low <= 0) return {};
    Interval mean{boxed::infinity, -boxed::infinity, {}};
    for (const auto& [value, weight] : values) {
      mean.low = std::fmin(mean.low, value.low);
      mean.high = std::fmax(mean.high, value.high);
    }
    Interval level = mean;
    level.slopes = {};
    for (const auto& [value, weight] : values) {
      Interval steady = value;
      steady.slopes = {};
      const auto share = boxed::divide(weight, weights);
      const auto pull = boxed::divide(boxed::subtract(steady, level), weights);
      if (!share || !pull) return {};
      for (u32 i = 0; i < most_box_variables; ++i) {
        const Interval s{value.slopes[i].low, value.slopes[i].high, {}}, w{weight.slopes[i].low, weight.slopes[i].high, {}};
        const Interval one = boxed::multiply({std::fmax(share->low, 0), std::fmin(share->high, 1), {}}, s);
        const Interval other = boxed::multiply({pull->low, pull->high, {}}, w);
        mean.slopes[i].low += one.low + other.low;
        mean.slopes[i].high += one.high + other.high;
      }
    }
    return made(mean);
  }

  // ---- other worlds ----------------------------------------------------------------------------------------------
  Maybe in_world(ExprId expr, const Expr& node, BoxFrame& frame) {
    if (node.op == Op::during) return ordinary_walk(expr, frame);
    const Maybe value = walk(ExprId{node.c}, frame);
    if (!value || value->varies || value->value.is(ValueState::failed)) return {};
    const VariableId variable = program_.conditions[node.b].variable;
    const WorldSetting setting{variable, value->value};
    Value failed = Value::yes_no(true);
    const WorldId before = world_;
    const u8 set_before = set_inside_;
    const WorldId inner = s_.nested_world(world_, {&setting, 1}, expr, failed);
    if (!failed.known()) return {};
    if (const auto at = side_of(variable)) set_inside_ = static_cast<u8>(set_inside_ | 1u << *at);
    world_ = inner;
    find_bits();
    const Maybe result = walk(ExprId{node.a}, frame);
    world_ = before;
    set_inside_ = set_before;
    find_bits();
    return result;
  }

  Evaluation::State& s_;
  const Program& program_;
  Box box_;
  WorldId world_;
  u8 set_inside_ = 0;
  Reads bits_ = 0;
  const char* floor_;
  std::map<std::array<u32, 3>, Maybe> kept_;       // by cell, world and what is set inside
};
}  // namespace

std::optional<Interval> margin_over(Evaluation& evaluation, ExprId left, ExprId right, const Scope& scope, WorldId world,
                                    Box box) {
  if (box.size() > most_box_variables) return {};
  Walker walker(evaluation.state(), box, world);
  const auto a = walker.number(left, scope);
  const auto b = a ? walker.number(right, scope) : std::nullopt;
  if (!b) return {};
  Interval margin = boxed::subtract(*a, *b);

  // From the middle no side can lead further than its slope allows.
  WorldId middle = world;
  double low = 0, high = 0;
  for (u32 i = 0; i < box.size(); ++i) {
    middle = evaluation.with(middle, box[i].variable, Value::number(0.5 * (box[i].low + box[i].high)));
    const double reach = 0.5 * (box[i].high - box[i].low);
    if (reach == 0) continue;
    const double steepest = std::fmax(std::fabs(margin.slopes[i].low), std::fabs(margin.slopes[i].high));
    low -= steepest * reach;
    high += steepest * reach;
  }
  std::vector<Value> locals(scope.locals.begin(), scope.locals.end());
  const Scope own{scope.self, locals};
  const Value x = evaluation.expr(left, own, middle), y = evaluation.expr(right, own, middle);
  if (!x.known() || !y.known()) return {};
  const double at_middle = x.number() - y.number();
  if (std::isfinite(low)) margin.low = std::fmax(margin.low, at_middle + low);
  if (std::isfinite(high)) margin.high = std::fmin(margin.high, at_middle + high);
  return margin;
}
}  // namespace dripleg::evaluate
