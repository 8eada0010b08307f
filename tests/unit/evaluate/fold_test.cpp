#include "builder.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using doctest::Approx;
using notices::Code;

namespace {
// Kind part { needs size, may tag }, three of them: 1, 4, 2.
struct Parts : Builder {
  KindId part = kind("part", {{"size"}, {"tag", Role::may}});
  ThingId a = add(part, "a", {{0, num(1)}}), b = add(part, "b", {{0, num(4)}}), c = add(part, "c", {{0, num(2)}});
  ExprId size() { return get(local(0, TypeKind::thing), 0); }
  ExprId over(double limit) { return op(Op::greater, size(), n(limit)); }
};
}  // namespace

TEST_CASE("folds over all things of a kind") {
  Parts p;
  const ExprId sum = p.fold(Op::fold_sum, 0, p.all(p.part), p.size());
  const ExprId some = p.fold(Op::fold_sum, 0, p.all(p.part), p.size(), p.over(1.5));
  const ExprId product = p.fold(Op::fold_product, 0, p.all(p.part), p.size());
  const ExprId max = p.fold(Op::fold_max, 0, p.all(p.part), p.size()), min = p.fold(Op::fold_min, 0, p.all(p.part), p.size());
  const ExprId count = p.fold(Op::fold_count, 0, p.all(p.part), p.size(), p.over(1.5));
  const ExprId all = p.fold(Op::fold_all, 0, p.all(p.part), p.over(0)), any = p.fold(Op::fold_any, 0, p.all(p.part), p.over(5));
  const ExprId list = p.fold(Op::fold_list, 0, p.all(p.part), p.size(), p.over(1.5));
  const ExprId mean = p.fold(Op::fold_mean, 0, p.all(p.part), p.size());
  const ExprId nothing = p.fold(Op::fold_max, 0, p.all(p.part), p.size(), p.over(9));
  Run run(p.program);
  CHECK(run.number(sum) == 7);
  CHECK(run.number(some) == 6);
  CHECK(run.number(product) == 8);
  CHECK(run.number(max) == 4);
  CHECK(run.number(min) == 1);
  CHECK(run.number(count) == 2);
  CHECK(run.expr(all).yes());
  CHECK_FALSE(run.expr(any).yes());
  CHECK(run.evaluation.items(run.expr(list), evaluate::nominal_world) == std::vector<Value>{num(4), num(2)});
  CHECK(run.number(mean) == Approx(7.0 / 3));
  CHECK(run.expr(nothing).is(State::none));
}

TEST_CASE("a mean by weights") {
  Parts p;
  const u32 pair = p.listed({p.size(), p.size()});
  const u32 binder = p.program.binders.push({0, p.all(p.part)});
  const ExprId mean = p.push({.op = Op::fold_mean, .flags = weighted, .n = 1, .a = binder, .b = pair}, p.number);
  Run run(p.program);
  CHECK(run.number(mean) == Approx((1.0 + 16 + 4) / 7));
}

TEST_CASE("folds over what is not known keep holes and bounds") {
  Parts p;
  p.field(p.part, 0).least_given = true;            // size at least 0
  p.state(p.b, 0, p.hole(p.b, 0));
  const ExprId sum = p.fold(Op::fold_sum, 0, p.all(p.part), p.size());
  const ExprId max = p.fold(Op::fold_max, 0, p.all(p.part), p.size());
  const ExprId filtered = p.fold(Op::fold_sum, 0, p.all(p.part), p.size(), p.over(1.5));
  const ExprId count = p.fold(Op::fold_count, 0, p.all(p.part), p.size(), p.over(1.5));
  const ExprId any = p.fold(Op::fold_any, 0, p.all(p.part), p.over(1.5)), all = p.fold(Op::fold_all, 0, p.all(p.part), p.over(1.5));
  const ExprId open_any = p.fold(Op::fold_any, 0, p.all(p.part), p.over(2.5));
  const ExprId too_long = p.op(Op::greater, sum, p.n(2.5)), short_enough = p.op(Op::at_most, sum, p.n(9));
  Run run(p.program);
  const Value open = run.expr(sum);
  REQUIRE(unknown(open));
  CHECK(run.holes(open) == std::vector<u32>{0});
  CHECK(run.evaluation.bounds(open).low == 3);
  CHECK(std::isinf(run.evaluation.bounds(open).high));
  CHECK(run.expr(too_long).yes());                   // certain anyway
  CHECK(unknown(run.expr(short_enough)));
  CHECK(run.evaluation.bounds(run.expr(max)).low == 2);
  CHECK(run.evaluation.bounds(run.expr(filtered)).low == 2);
  CHECK(run.evaluation.bounds(run.expr(count)).low == 1);
  CHECK(run.evaluation.bounds(run.expr(count)).high == 2);
  CHECK(run.expr(any).yes());
  CHECK_FALSE(run.expr(all).yes());                  // a is 1
  CHECK(unknown(run.expr(open_any)));
}

TEST_CASE("the first that fits, with and without a rank") {
  Parts p;
  const auto first = [&](ExprId by, ExprId where) {
    const u32 binder = p.program.binders.push({0, p.all(p.part)});
    return p.push({.op = Op::first, .a = binder, .b = by.value, .c = where.value}, p.a_thing);
  };
  const ExprId by_order = first({}, p.over(1.5)), by_size = first(p.size(), p.over(1.5)), none = first({}, p.over(9));
  Run run(p.program);
  CHECK(run.expr(by_order).index() == p.b.value);
  CHECK(run.expr(by_size).index() == p.c.value);
  CHECK(run.expr(none).is(State::none));
}

TEST_CASE("counting up and a running value") {
  Builder b;
  const ExprId sum = b.fold(Op::fold_sum, 0, b.count_up(1, 100), b.local(0));
  const ExprId none = b.fold(Op::fold_sum, 0, b.count_up(1, 0), b.local(0));
  // carry s from 1 for n in 1 .. 5 = s * n
  CarryInfo info;
  info.local = 1;
  info.start = b.n(1);
  info.binders = {b.program.binders.push({0, b.count_up(1, 5)}), 1};
  info.step = b.op(Op::multiply, b.local(1), b.local(0));
  const ExprId carry = b.push({.op = Op::carry, .a = b.program.carries.push(info)}, b.number);
  const ExprId endless = b.fold(Op::fold_sum, 0, b.count_up(1, 1e7), b.local(0));
  Run run(b.program);
  CHECK(run.number(sum) == 5050);
  CHECK(run.number(none) == 0);
  CHECK(run.number(carry) == 120);
  CHECK(failed(run.expr(endless)));
  CHECK(run.notices.all()[0].code == Code::value_too_many);
}

TEST_CASE("a root between two ends") {
  Builder b;
  const auto find = [&](double low, double high, ExprId left, ExprId right, bool or_none) {
    return b.push({.op = Op::find, .a = b.program.finds.push({0, b.n(low), b.n(high), left, right, or_none})}, b.number);
  };
  const ExprId x = b.local(0);
  const ExprId root = find(0, 10, b.op(Op::multiply, x, x), b.n(2), false);
  const ExprId exponential = find(-5, 5, b.built_in(BuiltIn::exp, {x}), b.n(7), false);
  const ExprId steep = find(1e-3, 1e6, b.op(Op::power, x, b.n(-3)), b.n(1e-12), false);
  const ExprId at_end = find(2, 10, x, b.n(2), false);
  const ExprId none = find(3, 10, b.op(Op::multiply, x, x), b.n(2), true);
  const ExprId bad = find(3, 10, b.op(Op::multiply, x, x), b.n(2), false);
  Run run(b.program);
  CHECK(run.number(root) == Approx(std::sqrt(2.0)).epsilon(1e-11));
  CHECK(run.number(exponential) == Approx(std::log(7.0)).epsilon(1e-11));
  const u64 before = run.evaluation.steps_used();
  CHECK(run.number(steep) == Approx(1e4).epsilon(1e-9));
  CHECK(run.evaluation.steps_used() - before <= base::limits::search_evaluations);
  CHECK(run.number(at_end) == 2);
  CHECK(run.expr(none).is(State::none));
  CHECK(failed(run.expr(bad)));
  CHECK(run.notices.all()[0].code == Code::value_no_root);
}

TEST_CASE("a spent budget fails what was not reached, once") {
  Builder b;
  const ExprId sum = b.fold(Op::fold_sum, 0, b.count_up(1, 1000), b.local(0));
  const ExprId again = b.fold(Op::fold_sum, 0, b.count_up(1, 10), b.local(0));
  Run run(b.program, {.steps = 500});
  CHECK(failed(run.expr(sum)));
  CHECK(failed(run.expr(again)));
  REQUIRE(run.notices.size() == 1);
  CHECK(run.notices.all()[0].code == Code::limit_steps);
}
