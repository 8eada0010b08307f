// Loops over a box.
#include "evaluate/interval_walker.hpp"

namespace dripleg::evaluate::boxed {
// ---- loops ---------------------------------------------------------------------------------------------------

Maybe Walker::fold(const Expr& node, BoxFrame& frame) {
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
bool Walker::add_to_mean(bool weighted, const Expr& node, BoxFrame& frame, const Interval& value, std::vector<Weighted>& terms) {
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
Maybe Walker::mean_of(const std::vector<Weighted>& values) {
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
}  // namespace dripleg::evaluate::boxed
