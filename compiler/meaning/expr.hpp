// The nodes of a typed formula, as the checker makes them and evaluation walks them. They lie in the program's
// pools and refer to one another by index; a child's index is always smaller than its parent's.
#pragma once
#include "base/place.hpp"
#include "meaning/program_ids.hpp"

namespace dripleg::meaning {
// One node of a typed formula, children by index (always smaller than their parent's). What a, b, c
// mean stands with each operation; `list n at a` means n ExprIds in expr_lists from a.
enum class Op : u8 {
  constant,        // a: in constants (a Value)
  parameter,       // a: index in the frame of the function
  local,           // a: index in the frame; bound names, and local names (computed when first read)
  self,            // the thing whose formula this is
  condition,       // a: ConditionId
  limit,           // a: LimitId
  field,           // a: expr of a thing, b: slot
  row_column,      // a: expr of a row, b: column
  keyed,           // a: expr of a thing, b: slot, c: key expr      entry for that key
  index_column,    // a: expr of a row, b: group of `each` columns, c: key expr
  // numbers
  add, subtract, multiply, divide,   // a, b
  negate,          // a
  power,           // a ^ b (b: any expr)
  power_whole,     // a ^ (i32)b
  // tests; logic is three-valued
  equal, unequal, less, at_most, greater, at_least,   // a, b: numbers and levels, with tolerance
  same, not_same,  // a, b: things, words, sizes, texts, yes/no: identity
  in_range,        // a in b (range)
  in_list,         // a in b (list)
  is_none, is_given, is_empty,       // a
  is_kind,         // a: thing, b: KindId
  is_thing,        // a: thing, b: ThingId
  is_word,         // a: choice, b: NameId
  both, either,    // list n at a
  negation,        // a
  choice,          // if a then b else c
  // calls
  call,            // b: FunctionId, arguments: list n at a
  table_value,     // a: table expr, keys: list n at b; gives the value of the only column, else the row; c: 1 + column or 0
  built_in,        // b: BuiltIn, arguments: list n at a
  // collections
  the_one,         // b: KindId: the job's only thing of it (the compiler sees to it that there is one)
  all_of_kind,     // b: KindId: the job's things of it, in order of declaration (stock: library's too)
  all_of_table,    // a: table expr: its rows
  list,            // list n at a; a list among the items is poured out (flags bit 0 of each tells: see ListItem)
  range,           // a .. b, made into a Range value
  count_up,        // a .. b as whole numbers, a list of numbers
  // folds: binders are Binder records, list n at a of binders; b: body, c: where (or none)
  fold_sum, fold_product, fold_max, fold_min, fold_count, fold_all, fold_any, fold_list,
  fold_mean,       // as above, but b: place in expr_lists of the body, with the weight (or none) right after it
  first,           // a: binder index, b: `by` or none, c: where or none
  find,            // a: FindInfo index
  carry,           // a: CarryInfo index
  // worlds
  when,            // a: expr, b: ConditionId, c: value expr
  during,          // a: expr, b: CaseId
};
struct Expr {
  Op op = Op::constant;
  u8 flags = 0;
  u16 n = 0;
  u32 a = 0xFFFFFFFFu, b = 0xFFFFFFFFu, c = 0xFFFFFFFFu;
};
static_assert(sizeof(Expr) == 16);
// flags
inline constexpr u8 pours = 1;          // on an item of Op::list: it is a list itself, poured out
inline constexpr u8 exact_compare = 2;
inline constexpr u8 weighted = 8;       // on fold_mean: b is the place in expr_lists of body and weight
inline constexpr u8 written_only = 16;  // on all_of_kind: without things that no line of the job names
inline constexpr u8 bound_case = 4;     // on during: b is an expr whose value is the number of a case

struct ExprNote {          // beside each Expr, cold: for messages, `why` and printing
  base::Place place;
  TypeId type;
};
struct Binder {
  u32 local = 0;           // index in the frame
  ExprId source;           // a list (or a range of whole numbers made by count_up)
};
struct FindInfo { u32 local; ExprId low, high, left, right; bool or_none; };
struct CarryInfo { u32 local; ExprId start; Slice binders; ExprId where; ExprId step; };
enum class BuiltIn : u8 {
  abs, sqrt, cbrt, exp, ln, log10, sin, cos, tan, asin, acos, atan,
  least, most, clamp, mean, round_up_to, round_down_to, round_to,
  from_zero, first_given, choose, normal_below, normal_density, pi,
  first_of, last_of, path, downstream,   // of a point: the RUNS (not other legs) from the root, or below it
  between_points, count_of,
  subsets,           // of a list: every choice of some of them, or, where those are too many, the telling ones
  low_of, high_of,   // of a range
  // between_points: c: slot along | slot up << 16 of the points
  binned,            // a list of numbers or rows, the step, an edge, an amount for each
};
}  // namespace dripleg::meaning
