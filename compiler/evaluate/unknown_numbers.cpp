// The cold side of arithmetic: an operand is no number, or the result is none. Failed beats everything (the
// smaller notice, so that the order of operands does not show), none where a number is needed is a failure,
// and what is not known stays so, between bounds where they can be carried on.
#include "evaluate/state.hpp"

#include <algorithm>
#include <limits>

namespace dripleg::evaluate {
namespace {
constexpr double infinity = std::numeric_limits<double>::infinity();

// Bounds are limits of possible numbers, so nothing times any of them is nothing.
double times(double a, double b) { return a == 0 || b == 0 ? 0 : a * b; }

Bounds product(Bounds a, Bounds b) {
  const double corners[] = {times(a.low, b.low), times(a.low, b.high), times(a.high, b.low), times(a.high, b.high)};
  const auto [low, high] = std::minmax_element(std::begin(corners), std::end(corners));
  return {*low, *high};
}
Bounds quotient(Bounds a, Bounds b) {
  if (!(b.low >= 0 || b.high <= 0)) return {};
  const double low = b.high == 0 ? -infinity : 1 / b.high, high = b.low == 0 ? infinity : 1 / b.low;
  return product(a, {low, high});
}
Bounds raised(Bounds a, Bounds b) {
  if (b.low != b.high) return {};
  const double exponent = b.low;
  if (a.low < 0) {
    const bool even = std::fmod(exponent, 2) == 0 && exponent > 0;
    if (!even) return std::fmod(exponent, 1) == 0 && exponent > 0 ? Bounds{std::pow(a.low, exponent), std::pow(a.high, exponent)} : Bounds{};
    const double top = std::fmax(std::pow(a.low, exponent), std::pow(a.high, exponent));
    return {a.high >= 0 ? 0 : std::pow(a.high, exponent), top};
  }
  const double one = std::pow(a.low, exponent), other = std::pow(a.high, exponent);
  return {std::fmin(one, other), std::fmax(one, other)};
}
// NaN (infinity less infinity) tells nothing.
Bounds cleaned(Bounds bounds) {
  if (std::isnan(bounds.low)) bounds.low = -infinity;
  if (std::isnan(bounds.high)) bounds.high = infinity;
  return bounds;
}
}  // namespace

Value Evaluation::State::blend(ExprId at, std::span<const Value> values) {
  if (suspending) return suspended;
  Value failed = Value::yes_no(false);
  bool none = false;
  for (const Value value : values) {
    if (value.is(ValueState::failed) && (failed.known() || value.payload() < failed.payload())) failed = value;
    none = none || value.is(ValueState::none);
  }
  if (!failed.known()) return failed;
  return none ? fail_none_used(at, at) : unknowns.merged(values);
}

Value Evaluation::State::odd_number(ExprId at, Op op, Value a, Value b) {
  using notices::Code;
  const Value both[] = {a, b};
  if (a.known() && b.known()) {
    if (op == Op::divide && b.number() == 0) return fail(Code::value_divides_by_zero, at, here() + " divides by zero");
    if ((op == Op::power || op == Op::power_whole) && a.number() == 0)
      return fail(Code::value_divides_by_zero, at, here() + " takes a power below nothing of zero");
    if (op == Op::power && a.number() < 0)
      return fail(Code::value_root_of_negative, at, here() + " takes a broken power of a negative number");
    return fail(Code::value_overflow, at, here() + " grows beyond every number");
  }
  const auto bounded = [](Value value) { return value.known() || value.is(ValueState::unknown); };
  if (suspending || !bounded(a) || !bounded(b)) return blend(at, both);
  const Bounds x = unknowns.bounds(a), y = unknowns.bounds(b);
  Bounds result;
  if (op == Op::add) result = {x.low + y.low, x.high + y.high};
  else if (op == Op::subtract) result = {x.low - y.high, x.high - y.low};
  else if (op == Op::multiply) result = product(x, y);
  else if (op == Op::divide) result = quotient(x, y);
  else if (op == Op::negate) result = {-x.high, -x.low};
  else result = raised(x, y);
  return unknowns.merged(both, cleaned(result));
}

Value Evaluation::State::odd_function(ExprId at, BuiltIn function, Value a) {
  using notices::Code;
  if (a.known()) {
    if (function == BuiltIn::sqrt || function == BuiltIn::ln || function == BuiltIn::log10 ||
        function == BuiltIn::asin || function == BuiltIn::acos)
      return fail(Code::value_root_of_negative, at,
                  here() + (function == BuiltIn::sqrt ? " takes the root of a negative number"
                                                      : " asks a function for a number that it has no answer to"));
    return fail(Code::value_overflow, at, here() + " grows beyond every number");
  }
  if (suspending || !a.is(ValueState::unknown)) return blend(at, {&a, 1});
  const Bounds x = unknowns.bounds(a);
  Bounds result;
  if (function == BuiltIn::abs) {
    const double low = x.low > 0 ? x.low : x.high < 0 ? -x.high : 0;
    result = {low, std::fmax(-x.low, x.high)};
  } else if (function == BuiltIn::sqrt) {
    result = {std::sqrt(std::fmax(x.low, 0)), std::sqrt(std::fmax(x.high, 0))};
  } else if (function == BuiltIn::cbrt) {
    result = {std::cbrt(x.low), std::cbrt(x.high)};
  } else if (function == BuiltIn::exp) {
    result = {std::exp(x.low), std::exp(x.high)};
  } else if (function == BuiltIn::from_zero) {
    result = x;
  } else if ((function == BuiltIn::ln || function == BuiltIn::log10) && x.low > 0) {
    result = function == BuiltIn::ln ? Bounds{std::log(x.low), std::log(x.high)} : Bounds{std::log10(x.low), std::log10(x.high)};
  }
  return unknowns.merged({&a, 1}, cleaned(result));
}

Value Evaluation::State::odd_comparison(ExprId at, Op op, Value a, Value b) {
  const Value both[] = {a, b};
  const auto bounded = [](Value value) { return value.known() || value.is(ValueState::unknown); };
  if (suspending || !bounded(a) || !bounded(b)) return blend(at, both);
  const Bounds x = unknowns.bounds(a), y = unknowns.bounds(b);
  const bool surely_at_least = quantities::at_least(x.low, y.high), surely_at_most = quantities::at_least(y.low, x.high);
  const bool surely_less = x.high < y.low && quantities::less(x.high, y.low);
  const bool surely_greater = x.low > y.high && quantities::greater(x.low, y.high);
  std::optional<bool> answer;
  if (op == Op::at_least) answer = surely_at_least ? std::optional(true) : surely_less ? std::optional(false) : std::nullopt;
  else if (op == Op::at_most) answer = surely_at_most ? std::optional(true) : surely_greater ? std::optional(false) : std::nullopt;
  else if (op == Op::less) answer = surely_less ? std::optional(true) : surely_at_least ? std::optional(false) : std::nullopt;
  else if (op == Op::greater) answer = surely_greater ? std::optional(true) : surely_at_most ? std::optional(false) : std::nullopt;
  else if (surely_less || surely_greater) answer = op == Op::unequal;
  return answer ? Value::yes_no(*answer) : unknowns.merged(both);
}

// The least or greatest of several numbers or levels; bounds of the unknown ones carry on.
Value Evaluation::State::extreme(ExprId at, std::span<const Value> values, bool least) {
  bool all_known = true;
  Bounds result = least ? Bounds{infinity, infinity} : Bounds{-infinity, -infinity};
  for (const Value value : values) {
    if (!value.known() && !value.is(ValueState::unknown)) return blend(at, values);
    all_known = all_known && value.known();
    const Bounds one = unknowns.bounds(value);
    result = least ? Bounds{std::fmin(result.low, one.low), std::fmin(result.high, one.high)}
                   : Bounds{std::fmax(result.low, one.low), std::fmax(result.high, one.high)};
  }
  return all_known ? Value::number(result.low) : unknowns.merged(values, result);
}
}  // namespace dripleg::evaluate
