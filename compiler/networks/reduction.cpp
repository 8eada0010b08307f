#include "networks/reduction.hpp"

#include <algorithm>

namespace dripleg::networks {
namespace {
constexpr u32 none = 0xFFFFFFFFu;

class Reducer {
 public:
  Reducer(const Net& net, std::span<const u32> points, std::span<const u32> legs) : net_(net), points_(points), legs_(legs) {}

  Reduction run() {
    if (points_.empty()) return {};
    take_in();
    take_supplies();
    strip();
    find_nodes();
    join();
    return std::move(result_);
  }

 private:
  u32 local(u32 point) const { return static_cast<u32>(std::lower_bound(points_.begin(), points_.end(), point) - points_.begin()); }
  u32 other_end(u32 at, u32 leg) const { return from_[leg] == at ? to_[leg] : from_[leg]; }

  void take_in() {
    incident_.resize(points_.size());
    degree_.assign(points_.size(), 0);
    for (u32 i = 0; i < legs_.size(); ++i) {
      from_.push_back(local(net_.legs[legs_[i]].from));
      to_.push_back(local(net_.legs[legs_[i]].to));
      incident_[from_[i]].push_back(i);
      if (to_[i] != from_[i]) incident_[to_[i]].push_back(i);
      ++degree_[from_[i]], ++degree_[to_[i]];
    }
    gone_.assign(legs_.size(), 0);
  }

  // One fixed head alone holds no flow: it gives or takes what the others leave over, and is a point like any other.
  void take_supplies() {
    supply_.assign(points_.size(), 0);
    held_.assign(points_.size(), std::nullopt);
    u32 fixed = 0, last = 0;
    double sum = 0;
    for (u32 i = 0; i < points_.size(); ++i) {
      if (!net_.supplies.empty()) supply_[i] = net_.supplies[points_[i]];
      if (!net_.fixed.empty()) held_[i] = net_.fixed[points_[i]];
      if (held_[i]) ++fixed, last = i, supply_[i] = 0;
      sum += supply_[i];
      result_.supplied |= supply_[i] != 0;
    }
    if (fixed == 0) result_.excess = sum;
    if (fixed == 1) held_[last].reset(), supply_[last] = -sum;
  }

  bool passes_on(u32 point) const { return supply_[point] == 0 && !held_[point]; }

  void strip() {
    std::vector<u32> ends;
    for (u32 i = 0; i < points_.size(); ++i)
      if (degree_[i] == 1 && passes_on(i)) ends.push_back(i);
    while (!ends.empty()) {
      const u32 end = ends.back();
      ends.pop_back();
      for (const u32 leg : incident_[end]) {
        if (gone_[leg]) continue;
        gone_[leg] = 1;
        degree_[end] = 0;
        const u32 next = other_end(end, leg);
        if (--degree_[next] == 1 && passes_on(next)) ends.push_back(next);
      }
    }
  }

  void find_nodes() {
    node_.assign(points_.size(), none);
    const auto make_node = [&](u32 point) {
      node_[point] = static_cast<u32>(result_.nodes.size());
      result_.nodes.push_back(points_[point]);
      result_.supplies.push_back(supply_[point]);
      result_.grounds.push_back(held_[point]);
    };
    for (u32 i = 0; i < points_.size(); ++i)
      if (degree_[i] > 0 && (degree_[i] != 2 || !passes_on(i))) make_node(i);
    for (u32 i = 0; i < points_.size() && result_.nodes.empty(); ++i)   // a plain ring begins and ends at its first point
      if (degree_[i] > 0) make_node(i);
    const auto held = [](const std::optional<double>& ground) { return ground.has_value(); };
    if (!result_.nodes.empty() && std::none_of(result_.grounds.begin(), result_.grounds.end(), held)) result_.grounds[0] = 0.0;
  }

  void join() {
    for (u32 i = 0; i < points_.size(); ++i) {
      if (node_[i] == none) continue;
      for (const u32 leg : incident_[i])
        if (!gone_[leg]) walk(i, leg);
    }
  }

  void walk(u32 at, u32 leg) {
    Chain chain;
    chain.from = node_[at];
    chain.begin = static_cast<u32>(result_.links.size());
    for (;;) {
      gone_[leg] = 1;
      result_.links.push_back({legs_[leg], from_[leg] == at});
      at = other_end(at, leg);
      if (node_[at] != none) break;
      const auto next = std::find_if(incident_[at].begin(), incident_[at].end(), [&](u32 one) { return !gone_[one]; });
      leg = *next;                                           // a point that passes on has exactly one leg left
    }
    chain.to = node_[at];
    chain.end = static_cast<u32>(result_.links.size());
    result_.chains.push_back(chain);
  }

  const Net& net_;
  std::span<const u32> points_, legs_;
  Reduction result_;
  std::vector<u32> from_, to_, degree_, node_;               // of legs; of points
  std::vector<std::vector<u32>> incident_;
  std::vector<char> gone_;
  std::vector<double> supply_;
  std::vector<std::optional<double>> held_;
};
}  // namespace

Reduction reduce(const Net& net, std::span<const u32> points, std::span<const u32> legs) { return Reducer(net, points, legs).run(); }
}  // namespace dripleg::networks
