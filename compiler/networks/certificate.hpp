// Checks flows without solving anything: they are right within a tolerance if mass is kept and heads exist that
// lie, on every leg, between its drops at a little less and a little more flow. Whether heads exist is a question
// of shortest ways. Holds for laws that rise; a law that falls is checked between the lesser and the greater drop.
#pragma once
#include "networks/balance.hpp"

namespace dripleg::networks {
struct Certificate {
  bool right = false;
  double imbalance = 0;             // the largest at a point, in flow
  u32 worst_point = 0;
  std::vector<u32> ring;            // legs round which no heads fit, if so
  double misfit = 0;                // by how much their heads do not close
};
Certificate certify(const Net& net, Law& law, const std::vector<double>& flows, double tolerance);
}  // namespace dripleg::networks
