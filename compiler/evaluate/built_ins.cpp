// Functions that every formula may call.
#include "evaluate/state.hpp"

#include <bit>
#include <algorithm>
#include <cfloat>
#include <numbers>

namespace dripleg::evaluate {
namespace {
double plain_function(BuiltIn function, double x) {
  switch (function) {
    case BuiltIn::abs: return std::fabs(x);
    case BuiltIn::sqrt: return std::sqrt(x);
    case BuiltIn::cbrt: return std::cbrt(x);
    case BuiltIn::exp: return std::exp(x);
    case BuiltIn::ln: return std::log(x);
    case BuiltIn::log10: return std::log10(x);
    case BuiltIn::sin: return std::sin(x);
    case BuiltIn::cos: return std::cos(x);
    case BuiltIn::tan: return std::tan(x);
    case BuiltIn::asin: return std::asin(x);
    case BuiltIn::acos: return std::acos(x);
    case BuiltIn::atan: return std::atan(x);
    case BuiltIn::from_zero: return x;                // levels are kept from their true zero
    case BuiltIn::normal_below: return 0.5 * std::erfc(-x / std::numbers::sqrt2);
    case BuiltIn::normal_density: return std::exp(-0.5 * x * x) * std::numbers::inv_sqrtpi / std::numbers::sqrt2;
    case BuiltIn::least: case BuiltIn::most: case BuiltIn::clamp: case BuiltIn::mean: case BuiltIn::round_up_to:
    case BuiltIn::round_down_to: case BuiltIn::round_to: case BuiltIn::first_given: case BuiltIn::choose:
    case BuiltIn::pi: case BuiltIn::first_of: case BuiltIn::last_of: case BuiltIn::path: case BuiltIn::downstream:
    case BuiltIn::between_points: case BuiltIn::count_of: case BuiltIn::low_of: case BuiltIn::high_of:
    case BuiltIn::subsets: case BuiltIn::binned:
      break;
  }
  return std::nan("");
}

double choices(double n, double k) {
  if (k < 0 || k > n) return 0;
  k = std::fmin(k, n - k);
  double result = 1;
  for (double i = 1; i <= k && result <= DBL_MAX; ++i) result = result * (n - k + i) / i;
  return std::round(result);
}
}  // namespace

Value Evaluation::State::built_in(ExprId at, const Expr& expr, Frame& frame) {
  const auto function = static_cast<BuiltIn>(expr.b);
  const auto argument = [&](u32 i) { return walk(program.expr_lists[expr.a + i], frame); };
  const auto arguments = [&] {
    std::vector<Value> values(expr.n);
    for (u32 i = 0; i < expr.n; ++i) values[i] = argument(i);
    return values;
  };
  switch (function) {
    case BuiltIn::abs: case BuiltIn::sqrt: case BuiltIn::cbrt: case BuiltIn::exp: case BuiltIn::ln:
    case BuiltIn::log10: case BuiltIn::sin: case BuiltIn::cos: case BuiltIn::tan: case BuiltIn::asin:
    case BuiltIn::acos: case BuiltIn::atan: case BuiltIn::from_zero: case BuiltIn::normal_below:
    case BuiltIn::normal_density: {
      const Value x = argument(0);
      if (!x.known()) return odd_function(at, function, x);
      const double result = plain_function(function, x.number());
      return std::fabs(result) <= DBL_MAX ? Value::number(result) : odd_function(at, function, x);
    }
    case BuiltIn::least: case BuiltIn::most: {
      if (expr.n != 2) return extreme(at, arguments(), function == BuiltIn::least);
      const Value pair[] = {argument(0), argument(1)};
      if (!pair[0].known() || !pair[1].known()) return extreme(at, pair, function == BuiltIn::least);
      const double a = pair[0].number(), b = pair[1].number();
      return Value::number(function == BuiltIn::least ? (b < a ? b : a) : (b > a ? b : a));
    }
    case BuiltIn::clamp: {
      const auto values = arguments();
      const Value raised[] = {values[0], values[1]};
      const Value lowered[] = {extreme(at, raised, false), values[2]};
      return extreme(at, lowered, true);
    }
    case BuiltIn::mean: {
      const auto values = arguments();
      double low = 0, high = 0;
      bool known = true;
      for (const Value value : values) {
        if (!value.known() && !value.is(ValueState::unknown)) return blend(at, values);
        known = known && value.known();
        const Bounds bounds = unknowns.bounds(value);
        low += bounds.low;
        high += bounds.high;
      }
      const double count = static_cast<double>(values.size());
      return known ? Value::number(low / count) : unknowns.merged(values, {low / count, high / count});
    }
    case BuiltIn::round_up_to: case BuiltIn::round_down_to: case BuiltIn::round_to: {
      const Value number = argument(0), step = argument(1);
      return rounded(at, function, number, step);
    }
    case BuiltIn::first_given:
      for (u32 i = 0; i < expr.n; ++i) {
        const Value value = argument(i);
        if (!value.is(ValueState::none)) return value;
      }
      return Value::none();
    case BuiltIn::choose: {
      const auto values = arguments();
      if (!values[0].known() || !values[1].known()) return blend(at, values);
      const double result = choices(std::round(values[0].number()), std::round(values[1].number()));
      return result <= DBL_MAX ? Value::number(result)
                               : fail(notices::Code::value_overflow, at, here() + " grows beyond every number");
    }
    case BuiltIn::pi: return Value::number(std::numbers::pi);
    case BuiltIn::first_of: case BuiltIn::last_of: case BuiltIn::count_of: {
      Value state;
      const auto all = source(program.expr_lists[expr.a], frame, state);
      if (!all) return state;
      if (function == BuiltIn::count_of) return Value::number(all->count);
      if (all->count == 0) return Value::none();
      return item(*all, function == BuiltIn::first_of ? 0 : all->count - 1);
    }
    case BuiltIn::subsets: {
      Value state;
      const auto all = source(program.expr_lists[expr.a], frame, state);
      const Value most = argument(1);
      if (!all) return state;
      return most.known() ? subsets(*all, most.number()) : blend(at, {&most, 1});
    }
    case BuiltIn::path: return path_to(at, argument(0));
    case BuiltIn::downstream: return below(at, argument(0));
    case BuiltIn::between_points: {
      const Value points = argument(0), wanted = argument(1);
      return between_points(at, points, wanted, expr.c & 0xFFFFu, expr.c >> 16);
    }
    case BuiltIn::binned: return binned(at, expr, frame);
    case BuiltIn::low_of: case BuiltIn::high_of: {
      const Value range = argument(0);
      if (!range.known()) return blend(at, {&range, 1});
      const meaning::Range ends = range_of(range);
      return function == BuiltIn::low_of ? ends.low : ends.high;
    }
  }
  return Value::none();
}

// A number within the tolerance of comparison of a whole count of steps is that count.
Value Evaluation::State::rounded(ExprId at, BuiltIn how, Value number, Value step) {
  const Value both[] = {number, step};
  if (!number.known() || !step.known()) {
    if (number.is(ValueState::unknown) && step.known() && step.number() > 0 && !suspending) {
      Bounds bounds = unknowns.bounds(number);
      if (how != BuiltIn::round_up_to) bounds.low -= step.number();
      if (how != BuiltIn::round_down_to) bounds.high += step.number();
      return unknowns.merged(both, bounds);
    }
    return blend(at, both);
  }
  if (step.number() == 0) return fail(notices::Code::value_divides_by_zero, at, here() + " rounds to steps of zero");
  const double count = number.number() / step.number(), near = std::round(count);
  double whole = near;
  if (how != BuiltIn::round_to && !quantities::equal(count, near))
    whole = how == BuiltIn::round_up_to ? std::ceil(count) : std::floor(count);
  return Value::number(whole * step.number());
}

// All of them first, then each alone, then whatever else there is; where that is more than `most`, of the rest
// only those that leave one out.
Value Evaluation::State::subsets(const LoopSource& all, double most) {
  std::vector<Value> members, found, chosen;
  for (u32 i = 0; i < all.count; ++i) members.push_back(item(all, i));
  const auto add = [&](auto takes) {
    chosen.clear();
    for (u32 i = 0; i < members.size(); ++i)
      if (takes(i)) chosen.push_back(members[i]);
    found.push_back(lists.make(chosen));
  };
  const u32 count = static_cast<u32>(members.size());
  if (count == 0) return empty_list();
  add([](u32) { return true; });
  for (u32 one = 0; one < count && count > 1; ++one) add([one](u32 i) { return i == one; });
  constexpr u32 most_members = 20;
  const bool every = count <= most_members && std::exp2(count) - 1 <= most;
  if (every)
    for (u32 some = 1; some + 1 < (1u << count); ++some)
      if (std::popcount(some) > 1) add([some](u32 i) { return (some >> i & 1) != 0; });
  if (!every && count > 2)
    for (u32 one = 0; one < count; ++one) add([one](u32 i) { return i != one; });
  return lists.make(found);
}

// ---- trees ---------------------------------------------------------------------------------------------------
bool Evaluation::State::is_run(Value leg) const {
  const KindId kind = program.things[leg.index()].kind;
  const meaning::NetworkId network = program.kinds[kind.value].network;
  return network.given() && program.is_a(kind, program.networks[network.value].run);
}

// Runs from the root to the point, in that order.
Value Evaluation::State::path_to(ExprId at, Value point) {
  std::vector<Value> legs;
  u32 passed = 0;
  while (point.known()) {
    if (!count_step()) return spent;
    const Value leg = field(ThingId{point.index()}, meaning::point_slot::inward);
    if (leg.is(ValueState::none)) {
      std::reverse(legs.begin(), legs.end());
      return lists.make(legs);
    }
    if (!leg.known()) return blend(at, {&leg, 1});
    if (is_run(leg)) legs.push_back(leg);
    if (++passed > program.things.size()) return lists.make({});     // goes round: no tree
    point = field(ThingId{leg.index()}, meaning::leg_slot::from);
  }
  return blend(at, {&point, 1});
}

// Runs that the point feeds, each before those that it feeds in turn.
Value Evaluation::State::below(ExprId at, Value point) {
  if (!point.known()) return blend(at, {&point, 1});
  std::vector<Value> legs, waiting;
  u32 passed = 0;
  const auto add_onward = [&](Value from) {
    const Value onward = field(ThingId{from.index()}, meaning::point_slot::onward);
    if (!onward.known()) return onward;
    const LoopSource all = items_of(onward);
    for (u32 i = all.count; i-- > 0;) waiting.push_back(item(all, i));
    return Value::yes_no(true);
  };
  Value state = add_onward(point);
  while (state.known() && !waiting.empty()) {
    if (!count_step()) return spent;
    const Value leg = waiting.back();
    waiting.pop_back();
    if (!leg.known()) return blend(at, {&leg, 1});
    if (++passed > program.things.size()) return lists.make({});
    if (is_run(leg)) legs.push_back(leg);
    const Value to = field(ThingId{leg.index()}, meaning::leg_slot::to);
    state = to.known() ? add_onward(to) : to;
  }
  return state.known() || state.is(ValueState::none) ? lists.make(legs) : blend(at, {&state, 1});
}
}  // namespace dripleg::evaluate
