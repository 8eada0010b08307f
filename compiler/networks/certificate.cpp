#include "networks/certificate.hpp"

#include <algorithm>
#include <cmath>
#include <deque>

namespace dripleg::networks {
namespace {
struct Bound { u32 from, to, leg; double most; };   // head at `to` <= head at `from` + most
constexpr u32 none = 0xFFFFFFFFu;

class Bounds {
 public:
  Bounds(const Net& net, Law& law, const std::vector<double>& flows, double tolerance) : net_(net), points_(net.points + 1) {
    for (u32 leg = 0; leg < net.legs.size(); ++leg)
      if (!net.legs[leg].shut) bound(leg, law, flows[leg], std::max(tolerance, 1e-5 * std::fabs(flows[leg])));
    for (u32 point = 0; point < net.fixed.size(); ++point) {
      if (!net.fixed[point]) continue;
      bounds_.push_back({net.points, point, none, *net.fixed[point]});       // the last point has head 0
      bounds_.push_back({point, net.points, none, -*net.fixed[point]});
    }
    double largest = 0;
    for (const Bound& one : bounds_) largest = std::max(largest, std::fabs(one.most));
    for (Bound& one : bounds_) one.most += 1e-12 * largest;                  // rounding of sums round a ring
  }

  // A ring of bounds that cannot all be kept, or nothing.
  std::vector<Bound> ring_that_fails() {
    std::vector<std::vector<u32>> out(points_);
    for (u32 i = 0; i < bounds_.size(); ++i) out[bounds_[i].from].push_back(i);
    std::vector<double> most(points_, 0.0);
    std::vector<u32> came_by(points_, none), steps(points_, 0);
    std::vector<char> waits(points_, 1);
    std::deque<u32> open;
    for (u32 i = 0; i < points_; ++i) open.push_back(i);
    while (!open.empty()) {
      const u32 at = open.front();
      open.pop_front();
      waits[at] = 0;
      for (const u32 i : out[at]) {
        const Bound& one = bounds_[i];
        if (!(most[at] + one.most < most[one.to])) continue;
        most[one.to] = most[at] + one.most;
        came_by[one.to] = i;
        steps[one.to] = steps[at] + 1;
        if (steps[one.to] > points_) return ring_at(one.to, came_by);
        if (!waits[one.to]) waits[one.to] = 1, open.push_back(one.to);
      }
    }
    return {};
  }

 private:
  void bound(u32 index, Law& law, double flow, double by) {
    const Leg& leg = net_.legs[index];
    const bool idle = leg.one_way && flow < by;
    const double above = law.drop(index, flow + by);
    const double below = idle ? above : law.drop(index, leg.one_way ? std::max(0.0, flow - by) : flow - by);
    bounds_.push_back({leg.to, leg.from, index, std::max(above, below)});
    if (!idle) bounds_.push_back({leg.from, leg.to, index, -std::min(above, below)});
  }
  std::vector<Bound> ring_at(u32 point, const std::vector<u32>& came_by) const {
    for (u32 i = 0; i < points_; ++i) point = bounds_[came_by[point]].from;  // now surely on the ring
    std::vector<Bound> ring;
    u32 at = point;
    do {
      ring.push_back(bounds_[came_by[at]]);
      at = ring.back().from;
    } while (at != point);
    return ring;
  }

  const Net& net_;
  u32 points_;
  std::vector<Bound> bounds_;
};
}  // namespace

Certificate certify(const Net& net, Law& law, const std::vector<double>& flows, double tolerance) {
  Certificate result;
  std::vector<double> left(net.points, 0.0);
  std::vector<char> free(net.points, 0);
  double most_flow = 0;
  for (u32 point = 0; point < net.points; ++point) {
    if (!net.supplies.empty()) left[point] = net.supplies[point];
    if (!net.fixed.empty() && net.fixed[point]) free[point] = 1;
  }
  bool one_way_kept = true;
  for (u32 leg = 0; leg < net.legs.size(); ++leg) {
    left[net.legs[leg].from] -= flows[leg];
    left[net.legs[leg].to] += flows[leg];
    most_flow = std::max(most_flow, std::fabs(flows[leg]));
    if (net.legs[leg].shut && flows[leg] != 0) one_way_kept = false;
    if (net.legs[leg].one_way && flows[leg] < 0) one_way_kept = false;
  }
  for (u32 point = 0; point < net.points; ++point) {
    if (free[point] || std::fabs(left[point]) <= result.imbalance) continue;
    result.imbalance = std::fabs(left[point]);
    result.worst_point = point;
  }
  const std::vector<Bound> ring = Bounds(net, law, flows, tolerance).ring_that_fails();
  for (const Bound& one : ring) {
    if (one.leg != none) result.ring.push_back(one.leg);
    result.misfit -= one.most;
  }
  result.right = one_way_kept && ring.empty() && result.imbalance <= std::max(tolerance, 1e-5 * most_flow);
  return result;
}
}  // namespace dripleg::networks
