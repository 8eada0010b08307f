// Networks by chance: each balance is certified by a check that solves nothing.
#include "chance.hpp"

#include "networks/certificate.hpp"

#include <doctest/doctest.h>

#include <numeric>

using namespace dripleg;
using namespace dripleg::networks;
using namespace dripleg::networks::test;

namespace {
u32 rounds_of(const Balance& result) {
  u32 most = 0;
  for (const PieceResult& piece : result.pieces) most = std::max(most, piece.rounds);
  return most;
}
void solve_many(u32 first, u32 count, bool falling) {
  double rounds = 0, calls = 0, most_calls = 0;
  u32 most_rounds = 0, rings = 0, jumps = 0;
  for (u32 seed = first; seed < first + count; ++seed) {
    CAPTURE(seed);
    Named named = ChanceNetwork(seed, falling).make();
    const Balance result = balance(named.net, named, within(0.001));
    for (const PieceResult& piece : result.pieces) {
      CHECK(has_flows(piece.outcome));
      rings += !piece.cannot_tell.empty(), jumps += static_cast<u32>(piece.jumps.size());
    }
    const Certificate certificate = certify(named.net, named, result.flows, 0.001);
    CAPTURE(certificate.imbalance);
    CAPTURE(certificate.misfit);
    CHECK(certificate.right);
    CHECK(rounds_of(result) <= 40);
    const double a_leg = static_cast<double>(result.law_calls) / static_cast<double>(named.net.legs.size());
    rounds += rounds_of(result), calls += a_leg;
    most_rounds = std::max(most_rounds, rounds_of(result)), most_calls = std::max(most_calls, a_leg);
  }
  MESSAGE(count, " by chance: rounds ", rounds / count, " mean, ", most_rounds, " at most; law calls a leg ", calls / count, " mean, ", most_calls,
          " at most; rings without resistance ", rings, ", jumps ", jumps);
}
}  // namespace

TEST_CASE("a thousand networks by chance are balanced and certified") { solve_many(1, 1000, false); }
TEST_CASE("five hundred with laws that fall over a stretch") { solve_many(20001, 500, true); }

TEST_CASE("the certificate refuses flows that are off by a little") {
  u32 refused = 0, tried = 0;
  for (u32 seed = 1; seed <= 100; ++seed) {
    Named named = ChanceNetwork(seed, false).make();
    Balance result = balance(named.net, named, within(0.001));
    // Round a ring of two legs side by side a flow may be moved without harm to mass; the heads must tell.
    for (u32 a = 0; a < named.net.legs.size(); ++a)
      for (u32 b = a + 1; b < named.net.legs.size(); ++b) {
        const Leg &one = named.net.legs[a], &other = named.net.legs[b];
        const bool side_by_side = one.from == other.from && one.to == other.to && one.from != one.to;
        if (!side_by_side || one.shut || other.shut || one.one_way || other.one_way) continue;
        const double rise = named.drop(a, result.flows[a] + 0.5) - named.drop(a, result.flows[a]) + named.drop(b, result.flows[b]) -
                            named.drop(b, result.flows[b] - 0.5);
        if (!(rise > 0.01)) continue;
        std::vector<double> moved = result.flows;
        moved[a] += 0.5, moved[b] -= 0.5;
        ++tried;
        refused += !certify(named.net, named, moved, 0.001).right;
      }
    std::vector<double> leaky = result.flows;
    const u32 leg = static_cast<u32>(leaky.size() - 1);
    if (named.net.legs[leg].from == named.net.legs[leg].to) continue;
    leaky[leg] += 0.1 + 1e-4 * std::fabs(leaky[leg]);
    CHECK_FALSE(certify(named.net, named, leaky, 0.001).right);
  }
  CHECK(tried > 10);
  CHECK(refused == tried);
}

TEST_CASE("neither the order of points and legs nor the units of flow and head change a balance") {
  struct Rescaled : Law {
    Named& inner;
    std::vector<u32> leg_of;
    double flow_unit, head_unit;
    Rescaled(Named& named, double flow, double head) : inner(named), flow_unit(flow), head_unit(head) {}
    double drop(u32 leg, double flow) override { return head_unit * inner.drop(leg_of[leg], flow / flow_unit); }
  };
  for (u32 seed = 1; seed <= 100; ++seed) {
    CAPTURE(seed);
    Named named = ChanceNetwork(seed, false).make();
    const Balance result = balance(named.net, named, within(0.001));
    if (std::any_of(result.pieces.begin(), result.pieces.end(), [](const PieceResult& piece) { return !piece.cannot_tell.empty(); })) continue;
    Rescaled other(named, 6.30902e-5, 2989.07);             // m3/s, Pa
    const u32 legs = static_cast<u32>(named.net.legs.size()), points = named.net.points;
    Net net;
    net.points = points;
    for (u32 leg = legs; leg-- > 0;) {
      Leg turned = named.net.legs[leg];
      turned.from = points - 1 - turned.from, turned.to = points - 1 - turned.to;
      net.legs.push_back(turned);
      other.leg_of.push_back(leg);
    }
    for (u32 point = points; point-- > 0;) {
      if (!named.net.supplies.empty()) net.supplies.push_back(named.net.supplies[point] * other.flow_unit);
      if (!named.net.fixed.empty()) {
        const auto head = named.net.fixed[point];
        net.fixed.push_back(head ? std::optional(*head * other.head_unit) : std::nullopt);
      }
    }
    const Balance again = balance(net, other, within(0.001 * other.flow_unit));
    for (u32 leg = 0; leg < legs; ++leg)
      CHECK(std::fabs(again.flows[legs - 1 - leg] / other.flow_unit - result.flows[leg]) <= 4 * flow_tolerance(result.flows[leg]));
  }
}
