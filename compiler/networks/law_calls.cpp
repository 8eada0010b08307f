#include "networks/law_calls.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
LawCalls::LawCalls(const Net& net, const Reduction& reduction, Law& law, double tolerance)
    : net_(net), reduction_(reduction), law_(law), tolerance_(tolerance), rest_(reduction.links.size(), 0.0),
      values_(reduction.links.size(), 0.0), slopes_(reduction.links.size(), 0.0) {}

double LawCalls::leg_alone(u32 leg, double flow) {
  ++calls_;
  const double drop = law_.drop(leg, flow);
  if (std::isfinite(drop)) return drop;
  if (!failure_) failure_ = LawFailure{leg, flow};
  return 0;
}

double LawCalls::rest(u32 chain) {
  double sum = 0;
  for (u32 link = reduction_.chains[chain].begin; link < reduction_.chains[chain].end; ++link) {
    rest_[link] = values_[link] = leg_alone(reduction_.links[link].leg, 0.0);
    sum += reduction_.links[link].forward ? rest_[link] : -rest_[link];
  }
  return sum;
}

double LawCalls::plain(u32 chain, double flow) {
  double sum = 0;
  for (u32 link = reduction_.chains[chain].begin; link < reduction_.chains[chain].end; ++link) {
    const auto [leg, forward] = reduction_.links[link];
    const double along = forward ? flow : -flow;
    const double drop = net_.legs[leg].one_way && along <= 0 ? rest_[link] : leg_alone(leg, along);
    sum += forward ? drop : -drop;
  }
  return sum;
}

ValueSlope LawCalls::at(u32 chain, double flow) {
  ValueSlope sum;
  for (u32 link = reduction_.chains[chain].begin; link < reduction_.chains[chain].end; ++link) {
    const bool forward = reduction_.links[link].forward;
    const ValueSlope one = leg_at(link, forward ? flow : -flow);
    values_[link] = one.value;
    slopes_[link] = one.slope;
    sum.value += forward ? one.value : -one.value;
    sum.slope += one.slope;
  }
  return sum;
}

// A quarter of the tolerance, or as much of the flow as still counts. One-way legs are not asked at flows below 0;
// the least width keeps rounding out of the slope.
double LawCalls::window(const Leg& leg, double flow) const {
  const double half = std::max(tolerance_ / 4, 1e-5 * std::fabs(flow));
  return leg.one_way ? std::max(std::min(half, flow), 1e-6 * tolerance_) : half;
}

ValueSlope LawCalls::leg_at(u32 link, double flow) {
  const u32 index = reduction_.links[link].leg;
  const Leg& leg = net_.legs[index];
  if (leg.one_way && flow <= 0) return {rest_[link] + steepness_ * flow, steepness_};
  const double half = window(leg, flow);
  const double high = flow + half, low = leg.one_way ? std::max(0.0, flow - half) : flow - half;
  const double above = leg_alone(index, high), below = leg_alone(index, low);
  return {(above + below) / 2, (above - below) / (high - low)};
}

int LawCalls::direction(u32 chain) const {
  bool along = true, against = true;
  for (const Link& link : reduction_.links_of(chain))
    if (net_.legs[link.leg].one_way) (link.forward ? against : along) = false;
  if (along && against) return 0;
  if (!along && !against) return passes_neither_way;
  return along ? 1 : -1;
}
}  // namespace dripleg::networks
