// Heads of all points of a piece from those of its nodes: from a fixed head or the datum along legs whose drop says
// what the other end has. A one-way leg without flow says nothing, so what lies only behind such legs has none.
#pragma once
#include "networks/balance.hpp"
#include "networks/law_calls.hpp"

namespace dripleg::networks {
struct Solved {
  std::span<const u32> points, legs;         // of the piece
  const Reduction& reduction;
  const std::vector<double>& node_heads;     // by node
};
void spread_heads(const Net& net, const Solved& solved, LawCalls& law, Balance& result);
}  // namespace dripleg::networks
