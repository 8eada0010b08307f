// Connected pieces of a net.
#include "networks/balance.hpp"

#include <algorithm>
#include <limits>
#include <numeric>

namespace dripleg::networks {
namespace {
u32 root_of(std::vector<u32>& above, u32 point) {
  while (above[point] != point) point = above[point] = above[above[point]];
  return point;
}
}  // namespace

Pieces connected_pieces(const Net& net) {
  std::vector<u32> above(net.points);
  std::iota(above.begin(), above.end(), 0u);
  for (const Leg& leg : net.legs) {
    if (leg.shut) continue;
    const u32 a = root_of(above, leg.from), b = root_of(above, leg.to);
    above[std::max(a, b)] = std::min(a, b);   // the root is the first point of its piece
  }
  Pieces result;
  result.of_point.resize(net.points);
  for (u32 point = 0; point < net.points; ++point) {
    const u32 root = root_of(above, point);
    if (root == point) {
      result.of_point[point] = result.count();
      result.points.emplace_back();
      result.legs.emplace_back();
    } else {
      result.of_point[point] = result.of_point[root];
    }
    result.points[result.of_point[point]].push_back(point);
  }
  for (u32 leg = 0; leg < net.legs.size(); ++leg)
    if (!net.legs[leg].shut) result.legs[result.of_point[net.legs[leg].from]].push_back(leg);
  return result;
}

Balance no_balance_yet(const Net& net, const Pieces& pieces) {
  Balance result;
  result.flows.assign(net.legs.size(), 0.0);
  result.heads.assign(net.points, std::numeric_limits<double>::quiet_NaN());
  result.pieces.resize(pieces.count());
  return result;
}
}  // namespace dripleg::networks
