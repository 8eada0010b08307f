// Formulas, walked node by node. Arithmetic works on plain doubles: whatever is not a number is a NaN and
// makes the result one, so only a result that is no number needs a second look (unknown_numbers.cpp).
#include "evaluate/children.hpp"
#include "evaluate/state.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cfloat>
#include <utility>

namespace dripleg::evaluate {
namespace {
bool finite(double number) { return std::fabs(number) <= DBL_MAX; }

u32 most_local(const Program& program, ExprId formula) {
  const Expr& expr = program.exprs[formula.value];
  u32 most = expr.op == Op::local || expr.op == Op::parameter ? expr.a + 1 : 0;
  const auto bound = [&](u32 first, u32 count) {
    for (u32 i = 0; i < count; ++i) most = std::max(most, program.binders[first + i].local + 1);
  };
  if (expr.op >= Op::fold_sum && expr.op <= Op::fold_mean) {
    bound(expr.a, expr.n);
  } else if (expr.op == Op::first) {
    bound(expr.a, 1);
  } else if (expr.op == Op::find) {
    most = std::max(most, program.finds[expr.a].local + 1);
  } else if (expr.op == Op::carry) {
    const meaning::CarryInfo& info = program.carries[expr.a];
    bound(info.binders.first, info.binders.count);
    most = std::max(most, info.local + 1);
  }
  for_each_child(program, expr, [&](ExprId child) { most = std::max(most, most_local(program, child)); });
  return most;
}
}  // namespace

u32 Evaluation::State::frame_size(ExprId formula) {
  if (formula.value >= frame_sizes.size()) frame_sizes.resize(program.exprs.size(), 0);
  u16& known = frame_sizes[formula.value];
  if (known == 0) known = static_cast<u16>(1 + std::min(most_local(program, formula), 60'000u));
  return known - 1u;
}

u32 Evaluation::State::case_frame(CaseId asked) {
  const meaning::Case& record = program.cases[asked.value];
  u32 size = record.locals;
  for (u32 i = 0; i < record.settings.count; ++i) {
    const meaning::Setting& setting = program.settings[record.settings.first + i];
    size = std::max(size, frame_size(setting.value));
    if (setting.step.given()) size = std::max(size, frame_size(setting.step));
  }
  return size;
}

Value Evaluation::State::run(ExprId formula, ThingId self) {
  const Locals locals(*this, frame_size(formula));
  if (!locals.get()) return fail_too_deep(formula);
  Frame frame{self, locals.get(), nullptr};
  return walk(formula, frame);
}

Value Evaluation::State::walk(ExprId id, Frame& frame) {
  const Expr& expr = program.exprs[id.value];
  const auto walked = [&](u32 at) { return walk(ExprId{at}, frame); };
  switch (expr.op) {
    case Op::constant: {
      const Value value = program.constants[expr.a];
      return value.known() ? value : from_program(value);
    }
    case Op::parameter: return frame.locals[expr.a];
    case Op::local: {
      const Value value = frame.locals[expr.a];
      return value.is(ValueState::pending) ? local(id, expr.a, frame) : value;
    }
    case Op::self: return Value::index(frame.self.value);
    case Op::condition: {
      const Value value = condition(ConditionId{expr.a});
      if (recorder)
        recorder->read({.how = How::condition, .expr = id, .condition = ConditionId{expr.a}, .world = world, .value = value});
      return value;
    }
    case Op::limit: {
      const ExprId chosen = limit_values[expr.a];
      const Value value = chosen.given() ? run(chosen, ThingId{}) : Value::none();
      if (recorder) recorder->read({.how = How::limit, .expr = chosen, .limit = LimitId{expr.a}, .world = world, .value = value});
      return value;
    }
    case Op::field: {
      const Value thing = walked(expr.a);
      if (!thing.known()) [[unlikely]] return thing.is(ValueState::none) ? fail_none_used(id, ExprId{expr.a}) : blend(id, {&thing, 1});
      const Value value = field(ThingId{thing.index()}, expr.b);
      if (recorder)
        recorder->read({.how = How::formula, .thing = ThingId{thing.index()}, .slot = expr.b, .expr = id, .world = world, .value = value});
      return value;
    }
    case Op::row_column: {
      const Expr& of = program.exprs[expr.a];
      if (of.op == Op::table_value && of.c == 0) return table_value(ExprId{expr.a}, of, expr.b + 1, frame);
      const Value row = walked(expr.a);
      if (!row.known()) return row.is(ValueState::none) ? fail_none_used(id, ExprId{expr.a}) : blend(id, {&row, 1});
      return row_cell(row, expr.b);
    }
    case Op::keyed: {
      const Value thing = walked(expr.a);
      const Value key = walked(expr.c);
      if (!thing.known()) return thing.is(ValueState::none) ? fail_none_used(id, ExprId{expr.a}) : blend(id, {&thing, 1});
      return keyed(ThingId{thing.index()}, expr.b, key, id);
    }
    case Op::index_column: {
      const Value row = walked(expr.a), key = walked(expr.c);
      return index_column(id, row, expr.b, key);
    }
    case Op::add: {
      const Value a = walked(expr.a), b = walked(expr.b);
      const double sum = a.number() + b.number();
      return finite(sum) ? Value::number(sum) : odd_number(id, expr.op, a, b);
    }
    case Op::subtract: {
      const Value a = walked(expr.a), b = walked(expr.b);
      const double difference = a.number() - b.number();
      return finite(difference) ? Value::number(difference) : odd_number(id, expr.op, a, b);
    }
    case Op::multiply: {
      const Value a = walked(expr.a), b = walked(expr.b);
      const double product = a.number() * b.number();
      return finite(product) ? Value::number(product) : odd_number(id, expr.op, a, b);
    }
    case Op::divide: {
      const Value a = walked(expr.a), b = walked(expr.b);
      const double quotient = a.number() / b.number();
      return finite(quotient) ? Value::number(quotient) : odd_number(id, expr.op, a, b);
    }
    case Op::negate: {
      const Value a = walked(expr.a);
      return a.known() ? Value::number(-a.number()) : odd_number(id, expr.op, a, a);
    }
    case Op::power: {
      const Value a = walked(expr.a), b = walked(expr.b);
      if (!a.known() || !b.known()) return odd_number(id, expr.op, a, b);
      const double power = std::pow(a.number(), b.number());
      return finite(power) ? Value::number(power) : odd_number(id, expr.op, a, b);
    }
    case Op::power_whole: {
      const Value a = walked(expr.a), b = Value::number(static_cast<i32>(expr.b));
      if (!a.known()) return odd_number(id, expr.op, a, b);
      const double number = a.number();
      const double power = expr.b == 2 ? number * number : expr.b == 3 ? number * number * number : std::pow(number, b.number());
      return finite(power) ? Value::number(power) : odd_number(id, expr.op, a, b);
    }
    case Op::equal: case Op::unequal: case Op::less: case Op::at_most: case Op::greater: case Op::at_least: {
      const Value a = walked(expr.a), b = walked(expr.b);
      if (!a.known() || !b.known()) return odd_comparison(id, expr.op, a, b);
      return Value::yes_no(compare(expr.op, (expr.flags & meaning::exact_compare) != 0, a.number(), b.number()));
    }
    case Op::same: case Op::not_same: {
      const Value a = walked(expr.a), b = walked(expr.b);
      return identity(id, a, b, expr.op == Op::same);
    }
    case Op::in_range: {
      const Value a = walked(expr.a), b = walked(expr.b);
      if (!b.known()) return b.is(ValueState::none) ? fail_none_used(id, ExprId{expr.b}) : blend(id, {&b, 1});
      const meaning::Range ends = range_of(b);
      const Value above = a.known() && ends.low.known() ? Value::yes_no(quantities::at_least(a.number(), ends.low.number()))
                                                        : odd_comparison(id, Op::at_least, a, ends.low);
      if (above.known() ? !above.yes() : above.is(ValueState::failed)) return above;
      const Value under = a.known() && ends.high.known() ? Value::yes_no(quantities::at_most(a.number(), ends.high.number()))
                                                         : odd_comparison(id, Op::at_most, a, ends.high);
      if (above.known() || (under.known() ? !under.yes() : under.is(ValueState::failed))) return under;
      const Value both[] = {above, under};
      return blend(id, both);
    }
    case Op::in_list: return in_list(id, expr, frame);
    case Op::is_none: case Op::is_given: {
      const Value a = walked(expr.a);
      if (a.is(ValueState::unknown) || a.is(ValueState::failed)) return blend(id, {&a, 1});
      return Value::yes_no(a.is(ValueState::none) == (expr.op == Op::is_none));
    }
    case Op::is_empty: {
      const Value a = walked(expr.a);
      if (a.is(ValueState::none)) return Value::yes_no(true);
      return a.known() ? Value::yes_no(items_of(a).count == 0) : blend(id, {&a, 1});
    }
    case Op::is_kind: {
      const Value a = walked(expr.a);
      if (a.is(ValueState::none)) return Value::yes_no(false);
      return a.known() ? Value::yes_no(program.is_a(program.things[a.index()].kind, KindId{expr.b})) : blend(id, {&a, 1});
    }
    case Op::is_thing: case Op::is_word: {
      const Value a = walked(expr.a);
      if (a.is(ValueState::none)) return Value::yes_no(false);
      return a.known() ? Value::yes_no(a.index() == expr.b) : blend(id, {&a, 1});
    }
    case Op::both: return all_true(expr, frame, true);
    case Op::either: return all_true(expr, frame, false);
    case Op::negation: {
      const Value a = walked(expr.a);
      if (a.known()) return Value::yes_no(!a.yes());
      return a.is(ValueState::none) ? fail_none_used(id, ExprId{expr.a}) : blend(id, {&a, 1});
    }
    case Op::choice: return choice(expr, frame);
    case Op::call: return call(id, expr, frame);
    case Op::table_value: return table_value(id, expr, expr.c, frame);
    case Op::built_in: return built_in(id, expr, frame);
    case Op::the_one: {
      const auto all = all_of_kind(KindId{expr.b});
      return all.empty() ? Value::none() : all.front();
    }
    case Op::all_of_kind: {
      const Value value = expr.flags & meaning::written_only ? written_of_kind(KindId{expr.b}) : lists.make(all_of_kind(KindId{expr.b}));
      if (recorder) recorder->read({.how = How::collection, .expr = id, .kind = KindId{expr.b}, .world = world, .value = value});
      return value;
    }
    case Op::all_of_table: case Op::count_up: {
      Value state;
      const auto all = source(id, frame, state);
      if (!all) return state;
      std::vector<Value> items;
      for (u32 i = 0; i < all->count; ++i) items.push_back(item(*all, i));
      return lists.make(items);
    }
    case Op::list: return list(expr, frame);
    case Op::range: {
      const Value low = walked(expr.a), high = walked(expr.b);
      const Value ends[] = {low, high};
      if (low.is(ValueState::failed) || high.is(ValueState::failed) || suspending) return blend(id, ends);
      return lists.make_range(low, high);
    }
    case Op::fold_sum: case Op::fold_product: case Op::fold_max: case Op::fold_min: case Op::fold_count:
    case Op::fold_all: case Op::fold_any: case Op::fold_list: case Op::fold_mean:
      return fold(id, expr, frame);
    case Op::first: return first_one(id, expr, frame);
    case Op::find: return find_root(id, expr, frame);
    case Op::carry: return carry(id, expr, frame);
    case Op::when: case Op::during: return in_world(id, expr, frame);
  }
  return Value::none();
}

bool Evaluation::State::compare(Op op, bool exact, double a, double b) {
  if (op == Op::equal) return exact ? a == b : quantities::equal(a, b);
  if (op == Op::unequal) return exact ? a != b : !quantities::equal(a, b);
  if (op == Op::less) return exact ? a < b : quantities::less(a, b);
  if (op == Op::at_most) return exact ? a <= b : quantities::at_most(a, b);
  if (op == Op::greater) return exact ? a > b : quantities::greater(a, b);
  return exact ? a >= b : quantities::at_least(a, b);
}

// ---- functions ---------------------------------------------------------------------------------------------
Value Evaluation::State::call(ExprId at, const Expr& expr, Frame& frame) {
  const meaning::Function& function = program.functions[expr.b];
  if (!count_step()) return spent;
  const Locals locals(*this, function.locals);
  if (!locals.get() || low_on_stack()) return fail_too_deep(at);
  if (recorder)
    recorder->open({.how = How::call, .expr = at, .function = FunctionId{expr.b}, .world = world});
  for (u32 i = 0; i < expr.n; ++i) locals.get()[i] = walk(program.expr_lists[expr.a + i], frame);
  for (u32 i = expr.n; i < function.locals; ++i) locals.get()[i] = Value::pending();
  Frame inner{ThingId{}, locals.get(), &function};
  const Value value = walk(function.body, inner);
  if (recorder) recorder->close(value);
  return value;
}

// A local name of a function, read for the first time.
Value Evaluation::State::local(ExprId, u32 index, Frame& frame) {
  const meaning::Function* const function = frame.function;
  if (!function || index < function->parameters || index - function->parameters >= function->local_names.count)
    return Value::none();
  const Value value = walk(program.local_names[function->local_names.first + index - function->parameters], frame);
  frame.locals[index] = value;
  return value;
}

// ---- logic -------------------------------------------------------------------------------------------------
// Three-valued, left to right; the first `no` of `and` (`yes` of `or`) decides and nothing after it is read.
Value Evaluation::State::all_true(const Expr& expr, Frame& frame, bool wanted) {
  HoleSet behind;
  bool open = false;
  for (u32 i = 0; i < expr.n; ++i) {
    const ExprId part = program.expr_lists[expr.a + i];
    const Value value = walk(part, frame);
    if (value.known()) {
      if (value.yes() != wanted) return value;
    } else if (value.is(ValueState::unknown)) {
      add_holes(behind, unknowns.holes(value));
      open = true;
    } else {
      return value.is(ValueState::none) ? fail_none_used(part, part) : value;
    }
  }
  return open ? unknowns.make(behind) : Value::yes_no(wanted);
}

Value Evaluation::State::choice(const Expr& expr, Frame& frame) {
  const Value test = walk(ExprId{expr.a}, frame);
  if (test.known()) return walk(ExprId{test.yes() ? expr.b : expr.c}, frame);
  if (test.is(ValueState::none)) return fail_none_used(ExprId{expr.a}, ExprId{expr.a});
  if (test.is(ValueState::failed)) return test;
  // Only one of the two will count: what cannot be computed in the other is no failure, it is not known.
  const Value outer = std::exchange(unsure, test);
  const Value one = walk(ExprId{expr.b}, frame), other = walk(ExprId{expr.c}, frame);
  unsure = outer;
  if (suspending) return suspended;
  if (one == other) return one;
  Bounds hull;
  const auto bounded = [](Value value) { return value.known() || value.is(ValueState::unknown); };
  if (bounded(one) && bounded(other)) {
    const Bounds a = unknowns.bounds(one), b = unknowns.bounds(other);
    hull = {std::fmin(a.low, b.low), std::fmax(a.high, b.high)};
  }
  const Value all[] = {test, one, other};
  return unknowns.merged(all, hull);
}

Value Evaluation::State::identity(ExprId at, Value a, Value b, bool wanted) {
  if ((a.known() || a.is(ValueState::none)) && (b.known() || b.is(ValueState::none)))
    return Value::yes_no((a == b || (a.known() && b.known() && a.number() == b.number())) == wanted);
  const Value both[] = {a, b};
  return blend(at, both);
}

// ---- lists -------------------------------------------------------------------------------------------------
LoopSource Evaluation::State::items_of(Value asked) {
  LoopSource all;
  all.items = lists.stored(asked);
  all.own = lists.made_here(asked);
  all.count = static_cast<u32>(all.items.size());
  return all;
}

meaning::Range Evaluation::State::range_of(Value range) {
  meaning::Range ends = lists.stored_range(range);
  if (!lists.range_made_here(range)) {
    ends.low = from_program(ends.low);
    ends.high = from_program(ends.high);
  }
  return ends;
}

Value Evaluation::State::in_list(ExprId at, const Expr& expr, Frame& frame) {
  const Value wanted = walk(ExprId{expr.a}, frame);
  Value state;
  const auto all = source(ExprId{expr.b}, frame, state);
  if (!all || !wanted.known()) {
    const Value both[] = {wanted, all ? Value::yes_no(true) : state};
    return blend(at, both);
  }
  const bool number = program.types[program.expr_notes[expr.a].type.value].kind == TypeKind::quantity;
  HoleSet behind;
  bool open = false;
  for (u32 i = 0; i < all->count; ++i) {
    const Value one = item(*all, i);
    if (one.known()) {
      if (one == wanted || (number && quantities::equal(one.number(), wanted.number()))) return Value::yes_no(true);
    } else if (one.is(ValueState::unknown)) {
      add_holes(behind, unknowns.holes(one));
      open = true;
    } else if (one.is(ValueState::failed)) {
      return one;
    }
  }
  return open ? unknowns.make(behind) : Value::yes_no(false);
}

Value Evaluation::State::list(const Expr& expr, Frame& frame) {
  std::vector<Value> items;
  for (u32 i = 0; i < expr.n; ++i) {
    const ExprId part = program.expr_lists[expr.a + i];
    if ((program.exprs[part.value].flags & meaning::pours) == 0) {
      const Value value = walk(part, frame);
      if (value.is(ValueState::failed)) return value;
      items.push_back(value);
      continue;
    }
    Value state;
    const auto all = source(part, frame, state);
    if (!all) return state;
    for (u32 j = 0; j < all->count; ++j) items.push_back(item(*all, j));
  }
  return lists.make(items);
}

// ---- other worlds ------------------------------------------------------------------------------------------
std::optional<Value> Evaluation::State::settings_of(CaseId asked, Frame& frame, std::vector<WorldSetting>& out,
                                                    std::vector<Sweep>* sweeps, ExprId at) {
  const meaning::Case& record = program.cases[asked.value];
  for (u32 i = 0; i < record.settings.count; ++i) {
    const meaning::Setting& setting = program.settings[record.settings.first + i];
    const VariableId variable = program.conditions[setting.condition.value].variable;
    Value value = walk(setting.value, frame);
    if (setting.step.given()) {
      const Value step = walk(setting.step, frame);
      if (!value.known() || !step.known()) {
        const Value both[] = {value, step};
        return blend(at.given() ? at : setting.value, both);
      }
      const meaning::Range ends = range_of(value);
      if (!ends.low.known() || !ends.high.known()) {
        const Value both[] = {ends.low, ends.high};
        return blend(at.given() ? at : setting.value, both);
      }
      if (!sweeps)
        return fail(notices::Code::value_no_one_world, at,
                    fmt::format("the case {} stands for many values, not for one", program.text(record.name)));
      sweeps->push_back({variable, ends.low.number(), ends.high.number(), std::fabs(step.number())});
      value = ends.low;
    }
    if (value.is(ValueState::failed)) return value;
    out.push_back({variable, value});
  }
  return {};
}

WorldId Evaluation::State::nested_world(WorldId base, std::span<const WorldSetting> settings, ExprId at, Value& failed) {
  constexpr u8 most_nesting = 64;
  const u32 before = worlds.size();
  const WorldId made = worlds.with(base, settings);
  world_nesting.resize(worlds.size(), 0);
  if (made.value >= before) world_nesting[made.value] = static_cast<u8>(world_nesting[base.value] + 1);
  if (world_nesting[made.value] > most_nesting) failed = fail_too_deep(at);
  return made;
}

Value Evaluation::State::in_world(ExprId at, const Expr& expr, Frame& frame) {
  std::vector<WorldSetting> settings;
  if (expr.op == Op::when) {
    const Value value = walk(ExprId{expr.c}, frame);
    if (value.is(ValueState::failed)) return value;
    settings.push_back({program.conditions[expr.b].variable, value});
  } else {
    CaseId asked{expr.b};
    if ((expr.flags & meaning::bound_case) != 0) {
      const Value bound = walk(ExprId{expr.b}, frame);
      if (!bound.known()) return blend(at, {&bound, 1});
      asked = CaseId{bound.index()};
    }
    const Locals locals(*this, case_frame(asked));
    if (!locals.get()) return fail_too_deep(at);
    Frame inner{ThingId{}, locals.get(), nullptr};
    if (const auto state = settings_of(asked, inner, settings, nullptr, at)) return *state;
  }
  Value failed = Value::yes_no(true);
  const WorldId there = nested_world(world, settings, at, failed);
  if (!failed.known()) return failed;

  // What is set there cannot depend on what it is here.
  Reads set_there = 0;
  for (const WorldSetting& setting : settings)
    if (worlds.alone_on_its_bit(setting.variable)) set_there |= worlds.bit(setting.variable);
  const Reads outer = reads;
  reads = 0;
  if (recorder) recorder->open({.how = How::other_world, .expr = at, .world = there});
  Value value;
  {
    const InWorld inside(*this, there);
    const std::size_t before = tasks.size();
    value = walk(ExprId{expr.a}, frame);
    // What went too deep is computed for this world at once: a loop over many worlds that began again from its first
    // would find that the values of the first are given up by then.
    while (suspending && roomy()) {
      Recorder* const recording = std::exchange(recorder, nullptr);
      run_tasks(before);
      recorder = recording;
      reads = 0;
      value = walk(ExprId{expr.a}, frame);
    }
  }
  if (recorder) recorder->close(value);
  reads = outer | (reads == reads_everything ? reads : reads & ~set_there);
  return value;
}
}  // namespace dripleg::evaluate
