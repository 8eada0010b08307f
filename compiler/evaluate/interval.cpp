// Fields and formulas over a box, and the margin itself.
#include "evaluate/interval_walker.hpp"

namespace dripleg::evaluate::boxed {
// ---- fields ------------------------------------------------------------------------------------------------
Maybe Walker::field(ThingId thing, u32 slot) {
  const Thing& record = program_.things[thing.value];
  const Value stated = s_.inputs[record.first_slot + slot];
  if (stated.known()) return plain(stated);
  if (stated.is(ValueState::variable))
    if (const auto at = side_of(VariableId{stated.payload()})) return side(*at);
  return cell(record.first_slot + slot, [&] { return s_.field(thing, slot); },
              [&]() -> Maybe {
                if (program_.field(record.kind, slot).settling != 0) return {};     // solved for, not walked
                bool of_owner = false;
                const ExprId formula = s_.formula_of(record, slot, of_owner);
                if (!formula.given()) return {};
                BoxFrame frame = frame_for(formula, of_owner ? record.owner : thing);
                return walk(formula, frame);
              });
}
Maybe Walker::condition(ConditionId asked) {
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
Maybe Walker::keyed(const Expr& node, BoxFrame& frame) {
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
Maybe Walker::walk(ExprId expr, BoxFrame& frame) {
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

Maybe Walker::arithmetic(const Expr& node, BoxFrame& frame) {
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

Maybe Walker::compare(Op op, const Over& a, const Over& b) {
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

Maybe Walker::in_range(const Expr& node, BoxFrame& frame) {
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

Maybe Walker::all_true(const Expr& node, BoxFrame& frame) {
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

Maybe Walker::choice(const Expr& node, BoxFrame& frame) {
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

Maybe Walker::call(const Expr& node, BoxFrame& frame) {
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

// ---- other worlds ----------------------------------------------------------------------------------------------
Maybe Walker::in_world(ExprId expr, const Expr& node, BoxFrame& frame) {
  if (node.op == Op::during) return ordinary_walk(expr, frame);
  // A world for each of many rows: what is kept for them would grow with the rows, so the caller samples.
  if (++entered_ > most_entered) return {};
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
}  // namespace dripleg::evaluate::boxed

namespace dripleg::evaluate {
std::optional<Interval> margin_over(Evaluation& evaluation, ExprId left, ExprId right, const Scope& scope, WorldId world,
                                    Box box) {
  if (box.size() > most_box_variables) return {};
  boxed::Walker walker(evaluation.state(), box, world);
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
