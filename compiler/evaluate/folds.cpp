// Loops: folds over lists, the first that fits, a root between two ends, a running value.
#include "evaluate/solving.hpp"

#include <algorithm>
#include <cfloat>
#include <limits>
#include <ranges>

namespace dripleg::evaluate {
namespace {
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double most_counted = 1'000'000;
}  // namespace

bool Evaluation::State::count_step() {
  if (!spent.known()) return false;
  if (++steps <= budget.steps && lists.stored_items() <= budget.list_items) return true;
  spent = fail_steps();
  return false;
}

void Evaluation::State::note(Trouble& trouble, ExprId at, Value odd) {
  if (odd.is(ValueState::none)) odd = fail_none_used(at, at);
  if (odd.is(ValueState::unknown)) {
    add_holes(trouble.holes, unknowns.holes(odd));
    trouble.unknown = true;
  } else if (trouble.failed.known() || odd.payload() < trouble.failed.payload()) {
    trouble.failed = odd;
  }
}

std::optional<LoopSource> Evaluation::State::source(ExprId expr, Frame& frame, Value& state) {
  const Expr& node = program.exprs[expr.value];
  LoopSource all;
  if (node.op == Op::all_of_kind) {
    all.items = all_of_kind(KindId{node.b});
    all.count = static_cast<u32>(all.items.size());
    if (recorder)
      recorder->read({.how = How::collection, .expr = expr, .kind = KindId{node.b}, .world = world, .value = Value::number(all.count)});
    return all;
  }
  if (node.op == Op::count_up) {
    const Value ends[] = {walk(ExprId{node.a}, frame), walk(ExprId{node.b}, frame)};
    if (!ends[0].known() || !ends[1].known()) {
      state = blend(expr, ends);
      return {};
    }
    all.first = std::round(ends[0].number());
    all.step = 1;
    const double count = std::round(ends[1].number()) - all.first + 1;
    if (!(count <= most_counted)) {
      state = fail(notices::Code::value_too_many, expr, here() + " counts further than a million");
      return {};
    }
    all.count = count > 0 ? static_cast<u32>(count) : 0;
    return all;
  }
  const Value value = walk(node.op == Op::all_of_table ? ExprId{node.a} : expr, frame);
  if (value.is(ValueState::none)) return all;
  if (!value.known()) {
    state = blend(expr, {&value, 1});
    return {};
  }
  if (node.op == Op::all_of_table) {
    all.first = meaning::row_value(TableId{value.index()}, 0).number();
    all.step = 1;
    all.count = rows_of(value);
    return all;
  }
  return items_of(value);
}

namespace {
// Worlds that the rows of a long loop enter are taken away again, many at a time: what does not depend on the row is
// then computed once for each such time, and what is kept does not grow with the rows.
class RowWorlds {
 public:
  RowWorlds(Evaluation::State& state, u32 rows) : state_(state), on_(rows > few) {
    if (!on_) return;
    mark_ = state.worlds.begin_mark();
    state.cells.begin_mark();
  }
  ~RowWorlds() {
    if (!on_) return;
    drop(few);
    state_.cells.end_mark();
    state_.worlds.end_mark();
  }
  RowWorlds(const RowWorlds&) = delete;
  RowWorlds& operator=(const RowWorlds&) = delete;
  void row_done() {
    if (on_) drop(many);
  }

 private:
  static constexpr u32 few = 64, many = 512;
  void drop(u32 from) {
    // A computation that is taken back, and a recorder, still speak of worlds that were entered.
    if (state_.suspending || state_.recorder != nullptr || state_.worlds.made_since(mark_) < from) return;
    state_.cells.forget_keys_from(mark_.projections);
    state_.solving->forget_keys_from(mark_.projections);
    state_.worlds.drop_to(mark_);
  }
  Evaluation::State& state_;
  bool on_;
  Worlds::Mark mark_{};
};
}  // namespace

// Calls body(certain) for every combination of the binders that the `where` lets through; it is not certain
// where that is not known. False: stopped.
template <class Body>
bool Evaluation::State::loop(ExprId at, Slice binders, u32 depth, ExprId where, Frame& frame, Trouble& trouble,
                             Body& body) {
  if (depth == binders.count) {
    if (!where.given()) return body(true);
    const Value test = walk(where, frame);
    if (test.known()) return !test.yes() || body(true);
    note(trouble, where, test);
    return !trouble.stop() && body(false);
  }
  const meaning::Binder& binder = program.binders[binders.first + depth];
  Value state;
  const auto all = source(binder.source, frame, state);
  if (!all) {
    note(trouble, binder.source, state);
    trouble.unlisted = true;
    return !trouble.stop();
  }
  RowWorlds worlds_of_rows(*this, all->count);
  for (u32 i = 0; i < all->count; ++i) {
    if (!count_step()) {
      note(trouble, at, spent);
      return false;
    }
    frame.locals[binder.local] = item(*all, i);
    if (!loop(at, binders, depth + 1, where, frame, trouble, body)) return false;
    worlds_of_rows.row_done();
  }
  return true;
}

namespace {
// What a fold gathers: the exact result while everything is known, and bounds for when something is not.
struct Gathered {
  double value = 0, weight = 0;
  double low = 0, high = 0;
  u32 count = 0, maybe = 0;
  std::optional<bool> decided;
  std::vector<Value> items;
};
}  // namespace

Value Evaluation::State::fold(ExprId at, const Expr& expr, Frame& frame) {
  const Op op = expr.op;
  const Slice binders{expr.a, expr.n};
  const ExprId where{expr.c};
  const bool weighted = op == Op::fold_mean && (expr.flags & meaning::weighted) != 0;
  const ExprId body_expr = weighted ? program.expr_lists[expr.b] : ExprId{expr.b};
  const bool greatest = op == Op::fold_max, extreme_fold = greatest || op == Op::fold_min;
  Trouble trouble;
  Gathered got;
  if (extreme_fold) got.low = got.high = greatest ? -infinity : infinity;
  if (op == Op::fold_product) got.value = 1;

  const auto add_number = [&](Value value, bool certain) {
    const Bounds bounds = unknowns.bounds(value);
    if (op == Op::fold_sum) {
      got.value += value.known() ? value.number() : 0;
      got.low += certain ? bounds.low : std::fmin(0, bounds.low);
      got.high += certain ? bounds.high : std::fmax(0, bounds.high);
    } else if (op == Op::fold_product) {
      got.value *= value.known() ? value.number() : 1;
    } else if (greatest) {
      if (certain) got.low = std::fmax(got.low, bounds.low);
      got.high = std::fmax(got.high, bounds.high);
    } else {
      got.low = std::fmin(got.low, bounds.low);
      if (certain) got.high = std::fmin(got.high, bounds.high);
    }
  };
  const auto add_to_mean = [&](Value value, bool certain) {
    const ExprId weight_expr = weighted ? program.expr_lists[expr.b + 1] : ExprId{};
    const Value weight = weight_expr.given() ? walk(weight_expr, frame) : Value::number(1);
    if (!weight.known()) note(trouble, weight_expr, weight);
    if (trouble.stop()) return;
    if (!certain || !weight.known()) {
      trouble.unlisted = true;
      return;
    }
    const Bounds bounds = unknowns.bounds(value);
    const double share = weight.number();
    got.weight += share;
    got.value += value.known() ? share * value.number() : 0;
    got.low += share == 0 ? 0 : share * (share > 0 ? bounds.low : bounds.high);
    got.high += share == 0 ? 0 : share * (share > 0 ? bounds.high : bounds.low);
  };
  auto body = [&](bool certain) -> bool {
    (certain ? got.count : got.maybe) += 1;
    if (op == Op::fold_count) return true;
    const Value value = walk(body_expr, frame);
    if (op == Op::fold_all || op == Op::fold_any) {
      if (!value.known()) {
        note(trouble, body_expr, value);
        return !trouble.stop();
      }
      if (value.yes() == (op == Op::fold_any) && certain) got.decided = value.yes();
      return !got.decided;
    }
    if (op == Op::fold_list) {
      const TypeId type = program.expr_notes[body_expr.value].type;
      const bool pours = value.known() && type.given() && program.types[type.value].kind == TypeKind::list;
      if (value.is(ValueState::failed)) note(trouble, body_expr, value);
      else if (!pours) got.items.push_back(value);
      else
        for (const LoopSource all = items_of(value); const u32 i : std::views::iota(0u, all.count)) got.items.push_back(item(all, i));
      return !trouble.stop();
    }
    if (!value.known()) {
      note(trouble, body_expr, value);
      if (trouble.stop()) return false;
    }
    if (op == Op::fold_mean) add_to_mean(value, certain);
    else add_number(value, certain);
    return !trouble.stop();
  };
  loop(at, binders, 0, where, frame, trouble, body);

  if (suspending) return suspended;
  if (trouble.stop()) return trouble.failed;
  if (got.decided) return Value::yes_no(*got.decided);
  if (trouble.unknown) {
    Bounds bounds;
    if (!trouble.unlisted) {
      if (op == Op::fold_sum || (extreme_fold && got.count != 0)) bounds = {got.low, got.high};
      if (op == Op::fold_count) bounds = {static_cast<double>(got.count), static_cast<double>(got.count + got.maybe)};
      if (op == Op::fold_mean && got.weight != 0) bounds = {got.low / got.weight, got.high / got.weight};
    }
    return unknowns.make(trouble.holes, bounds);
  }
  if (op == Op::fold_all || op == Op::fold_any) return Value::yes_no(op == Op::fold_all);
  if (op == Op::fold_list) return lists.make(got.items);
  if (op == Op::fold_count) return Value::number(got.count);
  if ((extreme_fold || op == Op::fold_mean) && got.count == 0) return Value::none();
  if (op == Op::fold_mean && got.weight == 0)
    return fail(notices::Code::value_divides_by_zero, at, here() + " takes a mean whose weights come to zero");
  const double result = extreme_fold ? (greatest ? got.high : got.low) : op == Op::fold_mean ? got.value / got.weight : got.value;
  return std::fabs(result) <= DBL_MAX ? Value::number(result)
                                      : fail(notices::Code::value_overflow, at, here() + " grows beyond every number");
}

// The first in order; with `by`, the first of those with the least.
Value Evaluation::State::first_one(ExprId at, const Expr& expr, Frame& frame) {
  const u32 local = program.binders[expr.a].local;
  const ExprId by{expr.b};
  Trouble trouble;
  Value found = Value::none();
  double least = infinity;
  auto body = [&](bool certain) -> bool {
    if (!certain) return by.given();              // perhaps this one: nothing after it can be told
    const Value candidate = frame.locals[local];
    if (!by.given()) {
      found = candidate;
      return false;
    }
    const Value rank = walk(by, frame);
    if (!rank.known()) {
      note(trouble, by, rank);
      return !trouble.stop();
    }
    if (found.is(ValueState::none) || rank.number() < least) {
      found = candidate;
      least = rank.number();
    }
    return true;
  };
  loop(at, {expr.a, 1}, 0, ExprId{expr.c}, frame, trouble, body);
  if (suspending) return suspended;
  if (trouble.stop()) return trouble.failed;
  return trouble.unknown ? unknowns.make(trouble.holes) : found;
}

// Brent's way: between two ends at which the sides differ in opposite senses, by secants and parabolas
// that are given up for halving whenever they do not shrink the bracket fast enough.
Value Evaluation::State::find_root(ExprId at, const Expr& expr, Frame& frame) {
  const meaning::FindInfo& info = program.finds[expr.a];
  const Value ends[] = {walk(info.low, frame), walk(info.high, frame)};
  if (!ends[0].known() || !ends[1].known()) return blend(at, ends);
  Value odd = Value::yes_no(true);
  bool level = false;                             // both sides equal, as comparison has it
  const auto difference = [&](double x) -> double {
    if (!count_step()) {
      odd = spent;
      return 0;
    }
    frame.locals[info.local] = Value::number(x);
    const Value sides[] = {walk(info.left, frame), walk(info.right, frame)};
    if (!sides[0].known() || !sides[1].known()) {
      odd = blend(at, sides);
      return 0;
    }
    level = quantities::equal(sides[0].number(), sides[1].number());
    return sides[0].number() - sides[1].number();
  };
  double a = ends[0].number(), b = ends[1].number();
  double fa = difference(a);
  if (!odd.known()) return odd;
  if (level && fa == 0) return Value::number(a);
  const bool level_at_low = level;
  double fb = difference(b);
  if (!odd.known()) return odd;
  if (fb == 0) return Value::number(b);
  if ((fa > 0) == (fb > 0)) {
    if (level_at_low) return Value::number(a);
    if (level) return Value::number(b);
    if (info.or_none) return Value::none();
    const TypeId type = program.expr_notes[info.low.value].type;
    return fail(notices::Code::value_no_root, at,
                here() + " finds nothing between " + show(ends[0], type) + " and " + show(ends[1], type),
                {{program.expr_notes[info.left.value].place, "is on the same side of the other at both ends"}},
                {"widen the ends, or allow for no answer with `or none`"});
  }
  const double scale = std::fmax(std::fabs(a), std::fabs(b));
  double c = a, fc = fa, step = b - a, before = step;
  constexpr int most_evaluations = base::limits::search_evaluations;
  for (int i = 2; i < most_evaluations; ++i) {
    if (std::fabs(fc) < std::fabs(fb)) {
      a = b, b = c, c = a;
      fa = fb, fb = fc, fc = fa;
    }
    const double tolerance = 2 * std::numeric_limits<double>::epsilon() * std::fabs(b) + 0.5e-12 * scale;
    const double middle = 0.5 * (c - b);
    if (fb == 0 || std::fabs(middle) <= tolerance) break;
    if (std::fabs(before) < tolerance || std::fabs(fa) <= std::fabs(fb)) {
      step = before = middle;
    } else {
      const double s = fb / fa;
      double p, q;
      if (a == c) {
        p = 2 * middle * s;
        q = 1 - s;
      } else {
        const double r = fb / fc, t = fa / fc;
        p = s * (2 * middle * t * (t - r) - (b - a) * (r - 1));
        q = (t - 1) * (r - 1) * (s - 1);
      }
      if (p > 0) q = -q;
      else p = -p;
      const bool good = 2 * p < std::fmin(3 * middle * q - std::fabs(tolerance * q), std::fabs(before * q));
      before = good ? step : middle;
      step = good ? p / q : middle;
    }
    a = b;
    fa = fb;
    b += std::fabs(step) > tolerance ? step : (middle > 0 ? tolerance : -tolerance);
    fb = difference(b);
    if (!odd.known()) return odd;
    if ((fb > 0) == (fc > 0)) {
      c = a;
      fc = fa;
      step = before = b - a;
    }
  }
  return Value::number(b);
}

Value Evaluation::State::carry(ExprId at, const Expr& expr, Frame& frame) {
  const meaning::CarryInfo& info = program.carries[expr.a];
  Value running = walk(info.start, frame);
  Trouble trouble;
  auto body = [&](bool certain) -> bool {
    if (!certain) return true;
    frame.locals[info.local] = running;
    running = walk(info.step, frame);
    frame.locals[info.local] = running;
    return !running.is(ValueState::failed);
  };
  // The place of the running value is shared by no binder, so the `where` may read it too.
  frame.locals[info.local] = running;
  loop(at, info.binders, 0, info.where, frame, trouble, body);
  if (suspending) return suspended;
  if (trouble.stop()) return trouble.failed;
  if (!trouble.unknown || running.is(ValueState::failed)) return running;
  if (running.is(ValueState::unknown)) add_holes(trouble.holes, unknowns.holes(running));
  return unknowns.make(trouble.holes);
}
}  // namespace dripleg::evaluate
