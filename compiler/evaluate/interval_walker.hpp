// The walker over a box: what does not vary over it is computed in the ordinary way (what was read tells);
// only what varies is walked here, with intervals and slopes. Internal to this folder; lives for one margin.
// Its parts: interval.cpp (fields and formulas), interval_tables.cpp, interval_loops.cpp.
#pragma once
#include "evaluate/interval.hpp"

#include "evaluate/children.hpp"
#include "evaluate/interval_math.hpp"
#include "evaluate/look_up.hpp"

#include <map>

namespace dripleg::evaluate::boxed {
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

inline Over plain(Value value) {
  Over made;
  made.value = value;
  return made;
}
inline Over decided(bool test) { return plain(Value::yes_no(test)); }
inline Over undecided(u8 sides) {
  Over made;
  made.varies = made.test = true;
  made.sides = sides;
  return made;
}
inline u8 sides_of(const Interval& in) {
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

  // ---- fields and conditions ----
  Maybe field(ThingId thing, u32 slot);
  Maybe condition(ConditionId asked);
  template <class Ordinary, class Formula> Maybe cell(u32 number, Ordinary ordinary_way, Formula formula) {
    if (const Maybe value = ordinary(ordinary_way)) return value;
    const std::array<u32, 3> key{number, world_.value, set_inside_};
    if (const auto known = kept_.find(key); known != kept_.end()) return known->second;
    if (static_cast<const char*>(__builtin_frame_address(0)) < floor_) return {};
    kept_.emplace(key, std::nullopt);                       // met again meanwhile: a ring
    const Maybe value = formula();
    kept_[key] = value;
    return value;
  }
  Maybe keyed(const Expr& node, BoxFrame& frame);

  // ---- formulas ----
  Maybe walk(ExprId expr, BoxFrame& frame);
  Maybe arithmetic(const Expr& node, BoxFrame& frame);
  Maybe compare(Op op, const Over& a, const Over& b);
  Maybe in_range(const Expr& node, BoxFrame& frame);
  Maybe all_true(const Expr& node, BoxFrame& frame);
  Maybe choice(const Expr& node, BoxFrame& frame);
  Maybe call(const Expr& node, BoxFrame& frame);

  // ---- tables and built-in functions ----
  Maybe table_value(ExprId expr, const Expr& node, u32 column, BoxFrame& frame);
  static std::optional<Interval> along(const Profile& line, const Interval& x);
  Maybe built_in(ExprId expr, const Expr& node, BoxFrame& frame);
  Maybe between_points(const Expr& node, BoxFrame& frame);

  // ---- loops ----
  // Calls body(where) for every combination; false: it cannot be told.
  template <class Body> bool loop(Slice binders, u32 depth, ExprId where, BoxFrame& frame, Body& body) {
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
  Maybe fold(const Expr& node, BoxFrame& frame);
  struct Weighted { Interval value, weight; };
  bool add_to_mean(bool weighted, const Expr& node, BoxFrame& frame, const Interval& value, std::vector<Weighted>& terms);
  Maybe mean_of(const std::vector<Weighted>& values);

  // ---- other worlds ----
  Maybe in_world(ExprId expr, const Expr& node, BoxFrame& frame);

  Evaluation::State& s_;
  const Program& program_;
  Box box_;
  WorldId world_;
  static constexpr u32 most_entered = 1000;
  u32 entered_ = 0;                                // inner worlds
  u8 set_inside_ = 0;
  Reads bits_ = 0;
  const char* floor_;
  std::map<std::array<u32, 3>, Maybe> kept_;       // by cell, world and what is set inside
};
}  // namespace dripleg::evaluate::boxed
