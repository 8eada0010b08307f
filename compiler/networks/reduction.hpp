// One connected piece made as small as it can be before anything is solved: dead ends carry nothing and are left
// out, legs in series carry the same and become one chain. What is left are nodes and chains between them.
#pragma once
#include "networks/net.hpp"

#include <span>

namespace dripleg::networks {
struct Link { u32 leg = 0; bool forward = true; };        // a leg of a chain, and whether it points along the chain
struct Chain { u32 from = 0, to = 0, begin = 0, end = 0; }; // nodes; links begin .. end

struct Reduction {
  std::vector<u32> nodes;                      // the points that are left
  std::vector<double> supplies;                // by node
  std::vector<std::optional<double>> grounds;  // by node: the head that it keeps; at least one node has one
  std::vector<Chain> chains;
  std::vector<Link> links;
  double excess = 0;                           // what comes in less what is taken, where no fixed head takes up the rest
  bool supplied = false;                       // anything comes in or is taken at all

  std::span<const Link> links_of(u32 chain) const {
    return std::span(links).subspan(chains[chain].begin, chains[chain].end - chains[chain].begin);
  }
};
Reduction reduce(const Net& net, std::span<const u32> points, std::span<const u32> legs);
}  // namespace dripleg::networks
