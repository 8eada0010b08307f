#include "networks/verdict.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace dripleg::networks {
namespace {
constexpr double flat = 1e-7, off = 1e-5;   // of what drives: no change of drop worth the name; a misfit that is one
constexpr u32 jump_halvings = 10;

// A forest of the chains that resist nothing; a chain that would close a ring in it gives that ring.
class Forest {
 public:
  explicit Forest(u32 nodes) : above_(nodes), steps_(nodes) { std::iota(above_.begin(), above_.end(), 0u); }

  // The chains of the ring that this one closes, itself last; empty: none, it has been added.
  std::vector<u32> add(u32 chain, u32 a, u32 b) {
    if (a == b) return {chain};
    if (root(a) == root(b)) {
      std::vector<u32> ring = way(a, b);
      ring.push_back(chain);
      return ring;
    }
    above_[root(a)] = root(b);
    steps_[a].push_back({b, chain});
    steps_[b].push_back({a, chain});
    return {};
  }

 private:
  struct Step { u32 node, chain; };
  u32 root(u32 node) const {
    while (above_[node] != node) node = above_[node];
    return node;
  }
  std::vector<u32> way(u32 from, u32 to) const {
    std::vector<Step> came(steps_.size(), {0xFFFFFFFFu, 0});
    std::vector<u32> open{from};
    came[from].node = from;
    for (u32 at = 0; at < open.size() && open[at] != to; ++at)
      for (const Step& step : steps_[open[at]])
        if (came[step.node].node == 0xFFFFFFFFu) came[step.node] = {open[at], step.chain}, open.push_back(step.node);
    std::vector<u32> chains;
    for (u32 node = to; node != from; node = came[node].node) chains.push_back(came[node].chain);
    return chains;
  }
  std::vector<u32> above_;
  std::vector<std::vector<Step>> steps_;
};

bool resists_nothing(const Judged& judged, u32 chain) {
  const double flow = judged.rounds.flows()[chain], scale = judged.rounds.scale();
  const double reach = std::max(100 * judged.law.tolerance(), 0.01 * std::fabs(flow));
  if (std::fabs(judged.rounds.slopes()[chain]) * reach > 10 * flat * scale) return false;
  const int direction = judged.law.direction(chain);
  if (direction == passes_neither_way || (direction > 0 && flow < reach) || (direction < 0 && flow > -reach)) return false;
  const double here = judged.rounds.values()[chain];
  for (const double sign : {1.0, -1.0})
    if (!(std::fabs(judged.law.plain(chain, flow + sign * reach) - here) <= flat * scale)) return false;
  return !judged.law.failure();
}

// Halves the window round a flow towards the larger change: what stays of it at the end is a jump, not a slope.
std::optional<Jump> jump_at(const Judged& judged, u32 link, double flow) {
  const u32 index = judged.reduction.links[link].leg;
  const Leg& leg = judged.net.legs[index];
  if (leg.one_way && flow <= 0) return {};
  const double half = judged.law.window(leg, flow);
  double low = leg.one_way ? std::max(0.0, flow - half) : flow - half, high = flow + half;
  double at_low = judged.law.leg_alone(index, low), at_high = judged.law.leg_alone(index, high);
  const double all = at_high - at_low;
  for (u32 i = 0; i < jump_halvings; ++i) {
    const double middle = (low + high) / 2, there = judged.law.leg_alone(index, middle);
    if (std::fabs(there - at_low) > std::fabs(at_high - there)) high = middle, at_high = there;
    else low = middle, at_low = there;
  }
  if (judged.law.failure() || std::fabs(at_high - at_low) < std::fabs(all) / 2) return {};
  return Jump{index, (low + high) / 2, at_high - at_low};
}
}  // namespace

std::vector<u32> legs_of(const Reduction& reduction, const std::vector<u32>& chains) {
  std::vector<u32> legs;
  for (const u32 chain : chains)
    for (const Link& link : reduction.links_of(chain)) legs.push_back(link.leg);
  std::sort(legs.begin(), legs.end());
  return legs;
}

bool leaks(const Judged& judged) {
  PieceResult found;
  judge_one_way(judged, found);
  return !found.legs.empty();
}

void judge_one_way(const Judged& judged, PieceResult& piece) {
  for (u32 i = 0; i < judged.reduction.chains.size(); ++i)
    for (const Link& link : judged.reduction.links_of(i)) {
      const double flow = link.forward ? judged.rounds.flows()[i] : -judged.rounds.flows()[i];
      if (!judged.net.legs[link.leg].one_way || flow >= -judged.law.tolerance()) continue;
      piece.outcome = Outcome::backwards;
      piece.legs.push_back(link.leg);
      piece.amount = std::min(piece.amount, flow);
    }
  std::sort(piece.legs.begin(), piece.legs.end());
}

void find_rings_without_resistance(const Judged& judged, PieceResult& piece) {
  const auto& grounds = judged.reduction.grounds;
  const u32 held = static_cast<u32>(std::find_if(grounds.begin(), grounds.end(), [](const auto& g) { return g.has_value(); }) - grounds.begin());
  const auto joined = [&](u32 node) { return grounds[node] ? held : node; };   // fixed heads close rings outside
  Forest forest(static_cast<u32>(grounds.size()));
  for (u32 i = 0; i < judged.reduction.chains.size(); ++i) {
    const Chain& chain = judged.reduction.chains[i];
    if (!resists_nothing(judged, i)) continue;
    const std::vector<u32> ring = forest.add(i, joined(chain.from), joined(chain.to));
    if (!ring.empty()) piece.cannot_tell.push_back(legs_of(judged.reduction, ring));
  }
}

void find_jumps(const Judged& judged, PieceResult& piece) {
  for (u32 i = 0; i < judged.reduction.chains.size(); ++i) {
    if (std::fabs(judged.rounds.misfit(i)) <= off * judged.rounds.scale()) continue;
    const Chain& chain = judged.reduction.chains[i];
    const auto& slopes = judged.law.slopes();
    const auto steepest = std::max_element(slopes.begin() + chain.begin, slopes.begin() + chain.end,
                                           [](double a, double b) { return std::fabs(a) < std::fabs(b); });
    const u32 link = static_cast<u32>(steepest - slopes.begin());
    const double flow = judged.rounds.flows()[i];
    const auto jump = jump_at(judged, link, judged.reduction.links[link].forward ? flow : -flow);
    if (jump && std::fabs(jump->height) > off * judged.rounds.scale()) piece.jumps.push_back(*jump);
  }
}
}  // namespace dripleg::networks
