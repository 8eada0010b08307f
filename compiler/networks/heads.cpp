#include "networks/heads.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
namespace {
class Spread {
 public:
  Spread(const Net& net, const Solved& solved, LawCalls& law, Balance& result) : net_(net), solved_(solved), law_(law), result_(result) {
    incident_.resize(solved.points.size());
    for (const u32 leg : solved.legs) {
      incident_[local(net.legs[leg].from)].push_back(leg);
      if (net.legs[leg].to != net.legs[leg].from) incident_[local(net.legs[leg].to)].push_back(leg);
    }
    known_drop_.assign(solved.legs.size(), std::nullopt);
    for (u32 link = 0; link < solved.reduction.links.size(); ++link)
      known_drop_[leg_place(solved.reduction.links[link].leg)] = law.values()[link];
    node_.assign(solved.points.size(), std::nullopt);
    for (u32 node = 0; node < solved.reduction.nodes.size(); ++node) node_[local(solved.reduction.nodes[node])] = node;
  }

  void run() {
    for (const u32 point : solved_.points)
      if (!net_.fixed.empty() && net_.fixed[point]) reach(point, *net_.fixed[point]);
    if (open_.empty() && net_.datum && std::binary_search(solved_.points.begin(), solved_.points.end(), *net_.datum)) reach(*net_.datum, 0.0);
    for (u32 at = 0; at < open_.size(); ++at)
      for (const u32 leg : incident_[local(open_[at])]) follow(open_[at], leg);
  }

 private:
  u32 local(u32 point) const {
    return static_cast<u32>(std::lower_bound(solved_.points.begin(), solved_.points.end(), point) - solved_.points.begin());
  }
  u32 leg_place(u32 leg) const {
    return static_cast<u32>(std::lower_bound(solved_.legs.begin(), solved_.legs.end(), leg) - solved_.legs.begin());
  }

  // The heads of nodes are right but for a shift, which the first node reached says.
  void reach(u32 point, double head) {
    const auto node = node_[local(point)];
    if (node && !shift_) shift_ = head - solved_.node_heads[*node];
    result_.heads[point] = node ? solved_.node_heads[*node] + *shift_ : head;
    open_.push_back(point);
  }

  void follow(u32 point, u32 index) {
    const Leg& leg = net_.legs[index];
    const u32 other = leg.from == point ? leg.to : leg.from;
    if (!std::isnan(result_.heads[other]) || (leg.one_way && result_.flows[index] <= 0)) return;
    auto& drop = known_drop_[leg_place(index)];
    if (!drop) drop = law_.leg_alone(index, 0.0);            // a dead end
    if (law_.failure()) return law_.forget_failure();        // it carries nothing: only its far end has no head
    reach(other, result_.heads[point] + (leg.from == point ? -*drop : *drop));
  }

  const Net& net_;
  const Solved& solved_;
  LawCalls& law_;
  Balance& result_;
  std::vector<std::vector<u32>> incident_;                   // by place of the point: legs
  std::vector<std::optional<double>> known_drop_;            // by place of the leg
  std::vector<std::optional<u32>> node_;                     // by place of the point
  std::optional<double> shift_;
  std::vector<u32> open_;
};
}  // namespace

void spread_heads(const Net& net, const Solved& solved, LawCalls& law, Balance& result) { Spread(net, solved, law, result).run(); }
}  // namespace dripleg::networks
