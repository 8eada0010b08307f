// The parts of a formula's node, in the order in which they are written.
#pragma once
#include "meaning/program.hpp"

namespace dripleg::evaluate {
template <class Visit>
void for_each_child(const meaning::Program& program, const meaning::Expr& expr, Visit visit) {
  using meaning::ExprId;
  using meaning::Op;
  const auto one = [&](u32 at) {
    if (ExprId{at}.given()) visit(ExprId{at});
  };
  const auto listed = [&](u32 first, u32 count) {
    for (u32 i = 0; i < count; ++i) one(program.expr_lists[first + i].value);
  };
  const auto sources = [&](u32 first, u32 count) {
    for (u32 i = 0; i < count; ++i) one(program.binders[first + i].source.value);
  };
  switch (expr.op) {
    case Op::constant: case Op::parameter: case Op::local: case Op::self: case Op::condition: case Op::limit:
    case Op::all_of_kind: case Op::the_one:
      return;
    case Op::field: case Op::row_column: case Op::negate: case Op::power_whole: case Op::is_none: case Op::is_given:
    case Op::is_empty: case Op::is_kind: case Op::is_thing: case Op::is_word: case Op::negation:
    case Op::all_of_table:
      return one(expr.a);
    case Op::during:
      one(expr.a);
      if ((expr.flags & meaning::bound_case) != 0) one(expr.b);
      return;
    case Op::keyed: case Op::index_column: case Op::when:
      one(expr.a);
      return one(expr.c);
    case Op::add: case Op::subtract: case Op::multiply: case Op::divide: case Op::power: case Op::equal:
    case Op::unequal: case Op::less: case Op::at_most: case Op::greater: case Op::at_least: case Op::same:
    case Op::not_same: case Op::in_range: case Op::in_list: case Op::range: case Op::count_up:
      one(expr.a);
      return one(expr.b);
    case Op::choice:
      one(expr.a);
      one(expr.b);
      return one(expr.c);
    case Op::both: case Op::either: case Op::list: case Op::call: case Op::built_in:
      return listed(expr.a, expr.n);
    case Op::table_value:
      one(expr.a);
      return listed(expr.b, expr.n);
    case Op::fold_sum: case Op::fold_product: case Op::fold_max: case Op::fold_min: case Op::fold_count:
    case Op::fold_all: case Op::fold_any: case Op::fold_list:
      sources(expr.a, expr.n);
      one(expr.b);
      return one(expr.c);
    case Op::fold_mean:
      sources(expr.a, expr.n);
      if ((expr.flags & meaning::weighted) != 0) listed(expr.b, 2);
      else one(expr.b);
      return one(expr.c);
    case Op::first:
      sources(expr.a, 1);
      one(expr.b);
      return one(expr.c);
    case Op::find: {
      const meaning::FindInfo& info = program.finds[expr.a];
      one(info.low.value);
      one(info.high.value);
      one(info.left.value);
      return one(info.right.value);
    }
    case Op::carry: {
      const meaning::CarryInfo& info = program.carries[expr.a];
      one(info.start.value);
      sources(info.binders.first, info.binders.count);
      one(info.where.value);
      return one(info.step.value);
    }
  }
}
}  // namespace dripleg::evaluate
