// Which way each attribute of a tree network is computed: from the root (down) or to it (up), so that a
// sweep in tree order finds what it needs already there.
#include "meaning/checker.hpp"

namespace dripleg::meaning {
namespace {
// What one slot's formulas read: slots of points, slots of legs, and whether by way of `onward`.
struct Reads {
  std::unordered_set<u32> slots;      // key: slot * 2 + (leg ? 1 : 0)
  std::unordered_set<u32> by_onward;
};

class Reader {
 public:
  Reader(const Program& program, const Network& network) : program_(program), network_(network) {}

  void read(ExprId id, Reads& into) {
    if (!id.given()) return;
    const Expr& e = program_.exprs[id.value];
    if (e.op == Op::field) {
      note(e, into);
      read(ExprId{e.a}, into);
      return;
    }
    each_child(e, [&](ExprId child) { read(child, into); });
  }

 private:
  template <class F>
  void each_child(const Expr& e, F&& f) {
    const auto one = [&](u32 at) { if (at != 0xFFFFFFFFu) f(ExprId{at}); };
    const auto list = [&](u32 first, u32 count) { for (u32 at = 0; at < count; ++at) f(program_.expr_lists[first + at]); };
    switch (e.op) {
      case Op::constant: case Op::parameter: case Op::local: case Op::self: case Op::condition: case Op::limit:
      case Op::all_of_kind: case Op::the_one: break;
      case Op::field: case Op::row_column: case Op::negate: case Op::power_whole: case Op::is_none: case Op::is_given:
      case Op::is_empty: case Op::is_kind: case Op::is_thing: case Op::is_word: case Op::negation: case Op::all_of_table:
      case Op::during: one(e.a); break;
      case Op::keyed: case Op::index_column: one(e.a); one(e.c); break;
      case Op::add: case Op::subtract: case Op::multiply: case Op::divide: case Op::power: case Op::equal: case Op::unequal:
      case Op::less: case Op::at_most: case Op::greater: case Op::at_least: case Op::same: case Op::not_same: case Op::in_range:
      case Op::in_list: case Op::range: case Op::count_up: one(e.a); one(e.b); break;
      case Op::choice: one(e.a); one(e.b); one(e.c); break;
      case Op::both: case Op::either: case Op::call: case Op::built_in: case Op::list: list(e.a, e.n); break;
      case Op::table_value: one(e.a); list(e.b, e.n); break;
      case Op::when: one(e.a); one(e.c); break;
      case Op::fold_sum: case Op::fold_product: case Op::fold_max: case Op::fold_min: case Op::fold_count: case Op::fold_all:
      case Op::fold_any: case Op::fold_list: case Op::fold_mean: {
        for (u32 at = 0; at < e.n; ++at) {
          const Binder& binder = program_.binders[e.a + at];
          source_of_[binder.local] = binder.source;
          f(binder.source);
        }
        if (e.op == Op::fold_mean && (e.flags & weighted) != 0) list(e.b, 2);
        else one(e.b);
        one(e.c);
        break;
      }
      case Op::first: {
        const Binder& binder = program_.binders[e.a];
        source_of_[binder.local] = binder.source;
        f(binder.source);
        one(e.b);
        one(e.c);
        break;
      }
      case Op::find: {
        const FindInfo& info = program_.finds[e.a];
        for (const ExprId child : {info.low, info.high, info.left, info.right}) f(child);
        break;
      }
      case Op::carry: {
        const CarryInfo& info = program_.carries[e.a];
        f(info.start);
        f(info.step);
        break;
      }
    }
  }

  bool goes_onward(ExprId id) {
    const Expr& e = program_.exprs[id.value];
    if (e.op == Op::local) {
      const auto source = source_of_.find(e.a);
      return source != source_of_.end() && goes_onward(source->second);
    }
    if (e.op != Op::field) return false;
    const KindId kind{program_.types[program_.expr_notes[e.a].type.value].of};
    if (kind == network_.point && e.b == point_slot::onward) return true;
    return goes_onward(ExprId{e.a});
  }

  void note(const Expr& e, Reads& into) {
    const Type holder = program_.types[program_.expr_notes[e.a].type.value];
    if (holder.kind != TypeKind::thing) return;
    const KindId kind{holder.of};
    const bool point = kind == network_.point;
    const bool leg = kind == network_.leg || kind == network_.run;
    if (!point && !leg) return;
    const u32 key = e.b * 2 + (leg ? 1 : 0);
    into.slots.insert(key);
    if (goes_onward(ExprId{e.a})) into.by_onward.insert(key);
  }

  const Program& program_;
  const Network& network_;
  std::unordered_map<u32, ExprId> source_of_;
};
}  // namespace

void Checker::find_directions() {
  for (u32 n = first_network; n < program.networks.size(); ++n) {
    const Network network = program.networks[n];
    const u32 points = program.kinds[network.point.value].fields.count;
    const u32 legs = program.kinds[network.run.value].fields.count;
    std::vector<Reads> reads(static_cast<std::size_t>(std::max(points, legs)) * 2);
    Reader reader(program, network);
    for (u32 at = 0; at < program.classes.size(); ++at) {
      const Class& cls = program.classes[at];
      const bool point = cls.kind == network.point, leg = cls.kind == network.leg || cls.kind == network.run;
      if (!point && !leg) continue;
      for (u32 slot = 0; slot < cls.formulas.count; ++slot)
        reader.read(program.slot_formulas[cls.formulas.first + slot].formula, reads[slot * 2 + (leg ? 1 : 0)]);
    }
    // A slot goes up if a chain of reads leads from it to itself by way of `onward`.
    const auto goes_up = [&](u32 start) {
      std::vector<std::pair<u32, bool>> queue{{start, false}};
      std::unordered_set<u32> seen;
      while (!queue.empty()) {
        const auto [at, up] = queue.back();
        queue.pop_back();
        for (const u32 next : reads[at].slots) {
          const bool now_up = up || reads[at].by_onward.contains(next);
          if (next == start && now_up) return true;
          if (seen.insert(next * 2 + (now_up ? 1 : 0)).second) queue.emplace_back(next, now_up);
        }
      }
      return false;
    };
    std::vector<u8> directions;
    for (u32 slot = 0; slot < points; ++slot)
      directions.push_back(static_cast<u8>(slot < point_slot::first_own ? Direction::none : goes_up(slot * 2) ? Direction::up : Direction::down));
    for (u32 slot = 0; slot < legs; ++slot)
      directions.push_back(static_cast<u8>(slot < leg_slot::first_own ? Direction::none : goes_up(slot * 2 + 1) ? Direction::up : Direction::down));
    program.networks.edit(n).directions = {program.directions.append(directions), static_cast<u32>(directions.size())};
  }
}
}  // namespace dripleg::meaning
