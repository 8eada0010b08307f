#include "reports/graph_rows.hpp"

#include <algorithm>
#include <set>
#include <utility>

namespace dripleg::reports {
namespace {
constexpr std::size_t none = static_cast<std::size_t>(-1);
constexpr double loop_reach = 0.9;    // into the room beside its layer
constexpr double stub_reach = 0.5;
constexpr double jog_reach = 0.3;
constexpr std::size_t most_tried = 300;   // strands up to which other arrangements are tried

struct End {
  std::size_t strand = 0;
  bool start = true;
};

// A level line, or a part of one, that keeps its row. Its ends count in layers; `at` are the nodes that it ends in.
struct Slot {
  double low = 0;
  double high = 0;
  std::size_t at_low = none;
  std::size_t at_high = none;
  std::size_t row = 0;
};

enum class Turn : char { free, as_is, turned };

// What is open in an arrangement: which way up each rail stands (of a free one it is decided on the way), and which strands come
// before or behind the others at their nodes.
struct Choice {
  std::vector<Turn> turns;
  std::vector<int> later;
};

class Rows {
 public:
  Rows(GraphPlan& plan, Choice& choice) : plan_(plan), choice_(choice), slots_at_(plan.strands.size(), {none, none}) {}

  void settle() {
    gather();
    for (const std::size_t rail : rail_order(plan_)) insert(rail);
    share_rows();
    hand_out();
    set_beside();
  }

  // Always the one of the lowest layer among those beside what is placed already.
  static std::vector<std::size_t> rail_order(const GraphPlan& plan) {
    std::vector<std::vector<std::size_t>> beside(plan.rails.size());
    for (std::size_t s = 0; s < plan.strands.size(); ++s) {
      if (plan.placings[s].way != Way::across) continue;
      const std::size_t from = plan.rail_of[plan.strands[s].from], to = plan.rail_of[plan.strands[s].to];
      beside[from].push_back(to);
      beside[to].push_back(from);
    }
    using Wish = std::pair<std::size_t, std::size_t>;       // layer, rail
    std::set<Wish> apart, waiting;
    for (std::size_t r = 0; r < plan.rails.size(); ++r) apart.insert({plan.rails[r].layer, r});
    std::vector<std::size_t> order;
    while (!apart.empty() || !waiting.empty()) {
      std::set<Wish>& from = waiting.empty() ? apart : waiting;
      const std::size_t at = from.begin()->second;
      from.erase(from.begin());
      order.push_back(at);
      for (const std::size_t next : beside[at])
        if (apart.erase({plan.rails[next].layer, next}) != 0) waiting.insert({plan.rails[next].layer, next});
    }
    return order;
  }

 private:
  void gather() {
    ends_.assign(plan_.rail_of.size(), {});
    for (const bool first : {true, false})
      for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
        Placing& placing = plan_.placings[s];
        if (placing.way == Way::upright || plan_.strands[s].first != first) continue;
        if (plan_.rail_of[plan_.strands[s].from] != no_rail) ends_[plan_.strands[s].from].push_back({s, true});
        if (plan_.rail_of[plan_.strands[s].to] != no_rail) ends_[plan_.strands[s].to].push_back({s, false});
        if (placing.way == Way::loop) placing.left = first;
      }
    for (std::vector<End>& ends : ends_) std::stable_sort(ends.begin(), ends.end(), [&](const End& a, const End& b) { return choice_.later[a.strand] < choice_.later[b.strand]; });
    for (std::size_t s = 0; s < plan_.strands.size(); ++s)
      if (plan_.placings[s].way == Way::stub) plan_.placings[s].left = freer_to_the_left(s);
  }

  // A stub goes to the right, unless something else does and nothing goes to the left.
  bool freer_to_the_left(std::size_t stub) const {
    const std::size_t node = plan_.rail_of[plan_.strands[stub].from] != no_rail ? plan_.strands[stub].from : plan_.strands[stub].to;
    bool left = false, right = false;
    for (const End& end : ends_[node]) {
      const Placing& placing = plan_.placings[end.strand];
      if (placing.way == Way::loop) (placing.left ? left : right) = true;
      if (placing.way != Way::across) continue;
      const std::size_t here = plan_.rails[rail_at(end.strand, end.start)].layer, far = plan_.rails[rail_at(end.strand, !end.start)].layer;
      (far < here ? left : right) = true;
    }
    return right && !left;
  }

  std::size_t rail_at(std::size_t s, bool start) const { return plan_.rail_of[start ? plan_.strands[s].from : plan_.strands[s].to]; }
  std::size_t slot(const End& end) const { return end.start ? slots_at_[end.strand].first : slots_at_[end.strand].second; }
  std::size_t other_slot(const End& end) const { return end.start ? slots_at_[end.strand].second : slots_at_[end.strand].first; }
  void set_slot(const End& end, std::size_t slot) { (end.start ? slots_at_[end.strand].first : slots_at_[end.strand].second) = slot; }

  // The ends at a rail from its top; of one node first those that have a row at their other end, in its order.
  std::vector<End> ends_along(const Rail& rail) const {
    std::vector<End> all;
    for (const std::size_t node : rail.nodes) {
      const std::size_t begin = all.size();
      all.insert(all.end(), ends_[node].begin(), ends_[node].end());
      std::stable_sort(all.begin() + static_cast<std::ptrdiff_t>(begin), all.end(), [&](const End& a, const End& b) {
        const std::size_t pa = position(other_slot(a)), pb = position(other_slot(b));
        return pa < pb;
      });
    }
    return all;
  }

  std::size_t position(std::size_t slot) const {
    if (slot == none) return none;
    return static_cast<std::size_t>(std::find(order_.begin(), order_.end(), slot) - order_.begin());
  }

  // Which of the ends may keep the row of their other end: the longest rising sequence of those rows.
  std::vector<char> keeping(const std::vector<End>& ends, std::size_t& count) const {
    std::vector<std::size_t> best(ends.size(), 0), before(ends.size(), none), at(ends.size(), none);
    std::size_t last = none;
    for (std::size_t i = 0; i < ends.size(); ++i) {
      at[i] = position(other_slot(ends[i]));
      if (at[i] == none || plan_.placings[ends[i].strand].way != Way::across) continue;
      best[i] = 1;
      for (std::size_t j = 0; j < i; ++j)
        if (best[j] != 0 && at[j] < at[i] && best[j] + 1 > best[i]) best[i] = best[j] + 1, before[i] = j;
      if (last == none || best[i] > best[last]) last = i;
    }
    count = last == none ? 0 : best[last];
    std::vector<char> keeps(ends.size(), 0);
    for (std::size_t i = last; i != none; i = before[i]) keeps[i] = 1;
    return keeps;
  }

  void insert(std::size_t number) {
    Rail& rail = plan_.rails[number];
    std::size_t as_is = 0, turned = 0;
    std::vector<End> ends = ends_along(rail);
    std::vector<char> keeps = keeping(ends, as_is);
    Rail other = rail;
    std::reverse(other.nodes.begin(), other.nodes.end());
    std::reverse(other.uprights.begin(), other.uprights.end());
    const std::vector<End> other_ends = ends_along(other);
    const std::vector<char> other_keeps = keeping(other_ends, turned);
    Turn& turn = choice_.turns[number];
    if (turn == Turn::free) turn = turned > as_is ? Turn::turned : Turn::as_is;
    if (turn == Turn::turned) rail = other, ends = other_ends, keeps = other_keeps;
    // New rows come behind the last one of this rail; those before the first kept one directly ahead of it.
    std::size_t behind = none;
    for (std::size_t i = 0; i < ends.size() && behind == none; ++i)
      if (keeps[i]) behind = position(other_slot(ends[i]));
    if (behind == none) behind = order_.size();
    for (std::size_t i = 0; i < ends.size(); ++i) {
      if (keeps[i]) {
        set_slot(ends[i], other_slot(ends[i]));
        behind = position(slot(ends[i])) + 1;
        continue;
      }
      set_slot(ends[i], slots_.size());
      slots_.push_back(new_slot(ends[i]));
      order_.insert(order_.begin() + static_cast<std::ptrdiff_t>(behind++), slots_.size() - 1);
    }
  }

  Slot new_slot(const End& end) const {
    const Strand& strand = plan_.strands[end.strand];
    const Placing& placing = plan_.placings[end.strand];
    const std::size_t node = end.start ? strand.from : strand.to;
    const double here = static_cast<double>(plan_.rails[plan_.rail_of[node]].layer);
    if (placing.way == Way::loop || placing.way == Way::stub) {
      const double reach = placing.way == Way::loop ? loop_reach : stub_reach;
      return placing.left ? Slot{here - reach, here, none, node, 0} : Slot{here, here + reach, node, none, 0};
    }
    const std::size_t far_node = end.start ? strand.to : strand.from;
    const double far = static_cast<double>(plan_.rails[plan_.rail_of[far_node]].layer);
    const bool jogs = other_slot(end) != none;
    const double to = jogs ? (far < here ? here - jog_reach : here + jog_reach) : far;
    const std::size_t ends_in = jogs ? none : far_node;
    return to < here ? Slot{to, here, ends_in, node, 0} : Slot{here, to, node, ends_in, 0};
  }

  static bool meet(const Slot& a, const Slot& b) {
    const double low = std::max(a.low, b.low), high = std::min(a.high, b.high);
    if (low > high) return false;
    if (low < high) return true;
    const std::size_t of_a = a.low == low ? a.at_low : a.at_high, of_b = b.low == low ? b.at_low : b.at_high;
    return of_a == none || of_a != of_b;
  }

  void share_rows() {
    for (std::size_t i = 0; i < order_.size(); ++i) {
      Slot& slot = slots_[order_[i]];
      for (std::size_t j = 0; j < i; ++j)
        if (meet(slots_[order_[j]], slot)) slot.row = std::max(slot.row, slots_[order_[j]].row + 1);
      plan_.rows = std::max(plan_.rows, slot.row + 1);
    }
  }

  void hand_out() {
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
      const auto [from, to] = slots_at_[s];
      if (from == none && to == none) continue;
      plan_.placings[s].from_row = slots_[from == none ? to : from].row;
      plan_.placings[s].to_row = slots_[to == none ? from : to].row;
    }
    for (Rail& rail : plan_.rails) {
      bool told = false;
      for (const std::size_t node : rail.nodes)
        for (const End& end : ends_[node]) {
          const std::size_t row = slots_[slot(end)].row;
          rail.top = told ? std::min(rail.top, row) : row;
          rail.bottom = told ? std::max(rail.bottom, row) : row;
          told = true;
        }
    }
  }

  // Rails of one layer whose rows meet stand beside each other.
  void set_beside() {
    std::vector<std::vector<std::size_t>> layers(plan_.layers);
    for (std::size_t r = 0; r < plan_.rails.size(); ++r) layers[plan_.rails[r].layer].push_back(r);
    for (std::vector<std::size_t>& rails : layers) {
      std::stable_sort(rails.begin(), rails.end(), [&](std::size_t a, std::size_t b) { return plan_.rails[a].top < plan_.rails[b].top; });
      std::vector<std::size_t> last;      // the last row in use, of each place
      for (const std::size_t r : rails) {
        std::size_t place = 0;
        while (place < last.size() && last[place] >= plan_.rails[r].top) ++place;
        if (place == last.size()) last.push_back(0);
        last[place] = plan_.rails[r].bottom;
        plan_.rails[r].beside = place;
      }
    }
  }

  GraphPlan& plan_;
  Choice& choice_;
  std::vector<std::vector<End>> ends_;                            // of each node, uprights left out
  std::vector<std::pair<std::size_t, std::size_t>> slots_at_;     // of each strand: at its start and at its end
  std::vector<Slot> slots_;
  std::vector<std::size_t> order_;                                // of the slots, from the top
};

// Lines that change their row are what a reader loses; then long ways up and down.
std::size_t cost_of(const GraphPlan& plan) {
  std::size_t cost = plan.rows;
  for (const Placing& placing : plan.placings) {
    const std::size_t apart = std::max(placing.from_row, placing.to_row) - std::min(placing.from_row, placing.to_row);
    if (placing.way == Way::across && apart != 0) cost += 20 + 2 * apart;
  }
  return cost;
}
}  // namespace

void settle_rows(GraphPlan& plan) {
  const GraphPlan untouched = plan;
  Choice best{std::vector<Turn>(plan.rails.size(), Turn::free), std::vector<int>(plan.strands.size(), 0)};
  Rows(plan, best).settle();
  if (plan.strands.size() > most_tried) return;
  const auto try_out = [&](Choice choice) {
    GraphPlan tried = untouched;
    Rows(tried, choice).settle();
    if (cost_of(tried) < cost_of(plan)) plan = std::move(tried), best = std::move(choice);
  };
  // Each rail the other way up, those behind it free again: what is better stays.
  const std::vector<std::size_t> order = Rows::rail_order(untouched);
  for (std::size_t at = 0; at < order.size(); ++at) {
    if (untouched.rails[order[at]].nodes.size() < 2) continue;
    Choice choice = best;
    choice.turns[order[at]] = best.turns[order[at]] == Turn::turned ? Turn::as_is : Turn::turned;
    for (std::size_t later = at + 1; later < order.size(); ++later) choice.turns[order[later]] = Turn::free;
    try_out(choice);
  }
  // A line that changes its row, before or behind the others at its nodes.
  for (std::size_t s = 0; s < plan.strands.size(); ++s)
    for (const int step : {1, -1}) {
      if (plan.placings[s].way != Way::across || plan.placings[s].from_row == plan.placings[s].to_row) continue;
      Choice choice = best;
      choice.later[s] = step;
      try_out(choice);
    }
}
}  // namespace dripleg::reports
