#include "reports/graph_rows.hpp"

#include <algorithm>
#include <deque>

namespace dripleg::reports {
namespace {
constexpr std::size_t none = static_cast<std::size_t>(-1);
constexpr double loop_reach = 0.9;    // into the room beside its layer
constexpr double stub_reach = 0.5;
constexpr double jog_reach = 0.3;

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

class Rows {
 public:
  explicit Rows(GraphPlan& plan) : plan_(plan), slots_at_(plan.strands.size(), {none, none}) {}

  void settle() {
    gather();
    for (const std::size_t rail : rail_order()) insert(rail);
    share_rows();
    hand_out();
    set_beside();
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
        if (placing.way == Way::stub) placing.left = plan_.rails[anchor(s)].layer == 0;
      }
  }

  std::size_t rail_at(std::size_t s, bool start) const { return plan_.rail_of[start ? plan_.strands[s].from : plan_.strands[s].to]; }
  std::size_t anchor(std::size_t s) const { return rail_at(s, true) != no_rail ? rail_at(s, true) : rail_at(s, false); }
  std::size_t slot(const End& end) const { return end.start ? slots_at_[end.strand].first : slots_at_[end.strand].second; }
  std::size_t other_slot(const End& end) const { return end.start ? slots_at_[end.strand].second : slots_at_[end.strand].first; }
  void set_slot(const End& end, std::size_t slot) { (end.start ? slots_at_[end.strand].first : slots_at_[end.strand].second) = slot; }

  // From the rail with the lowest layer on, always next to what is placed already.
  std::vector<std::size_t> rail_order() const {
    std::vector<std::size_t> starts(plan_.rails.size());
    for (std::size_t r = 0; r < starts.size(); ++r) starts[r] = r;
    std::stable_sort(starts.begin(), starts.end(), [&](std::size_t a, std::size_t b) { return plan_.rails[a].layer < plan_.rails[b].layer; });
    std::vector<std::vector<std::size_t>> beside(plan_.rails.size());
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
      if (plan_.placings[s].way != Way::across) continue;
      beside[rail_at(s, true)].push_back(rail_at(s, false));
      beside[rail_at(s, false)].push_back(rail_at(s, true));
    }
    std::vector<char> seen(plan_.rails.size(), 0);
    std::vector<std::size_t> order;
    for (const std::size_t start : starts) {
      std::deque<std::size_t> waiting;
      if (!seen[start]) waiting.push_back(start), seen[start] = 1;
      while (!waiting.empty()) {
        const std::size_t at = waiting.front();
        waiting.pop_front();
        order.push_back(at);
        for (const std::size_t next : beside[at])
          if (!seen[next]) waiting.push_back(next), seen[next] = 1;
      }
    }
    return order;
  }

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
    if (turned > as_is) rail = other, ends = other_ends, keeps = other_keeps;
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
  std::vector<std::vector<End>> ends_;                            // of each node, uprights left out
  std::vector<std::pair<std::size_t, std::size_t>> slots_at_;     // of each strand: at its start and at its end
  std::vector<Slot> slots_;
  std::vector<std::size_t> order_;                                // of the slots, from the top
};
}  // namespace

void settle_rows(GraphPlan& plan) { Rows(plan).settle(); }
}  // namespace dripleg::reports
