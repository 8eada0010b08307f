// The law of legs asked the way a solver needs it: value and slope of two calls on either side of the flow, so that
// kinks and jumps are seen as the ramps that they are at the tolerance; and whole chains at once.
#pragma once
#include "networks/reduction.hpp"

namespace dripleg::networks {
struct ValueSlope { double value = 0, slope = 0; };
inline constexpr int passes_neither_way = 2;
struct LawFailure { u32 leg = 0; double flow = 0; };

class LawCalls {
 public:
  LawCalls(const Net& net, const Reduction& reduction, Law& law, double tolerance);

  double rest(u32 chain);                            // at no flow; to be asked of every chain first
  double plain(u32 chain, double flow);              // one call a leg; against a one-way leg as at rest
  ValueSlope at(u32 chain, double flow);
  double leg_alone(u32 leg, double flow);            // one call, of any leg

  // How steeply a one-way leg resists a flow backwards.
  void set_steepness(double steepness) { steepness_ = steepness; }
  double steepness() const { return steepness_; }
  // +1, -1: the only direction that the one-way legs of a chain let pass; 0: either; or passes_neither_way.
  int direction(u32 chain) const;

  const std::vector<double>& values() const { return values_; }   // by link, along its own leg, where last asked
  const std::vector<double>& slopes() const { return slopes_; }
  double window(const Leg& leg, double flow) const;               // half the width of the ramp
  double tolerance() const { return tolerance_; }
  u64 calls() const { return calls_; }
  const std::optional<LawFailure>& failure() const { return failure_; }   // the first since it was forgotten
  void forget_failure() { failure_.reset(); }

 private:
  ValueSlope leg_at(u32 link, double flow);

  const Net& net_;
  const Reduction& reduction_;
  Law& law_;
  double tolerance_, steepness_ = 0;
  std::vector<double> rest_, values_, slopes_;       // by link
  u64 calls_ = 0;
  std::optional<LawFailure> failure_;
};
}  // namespace dripleg::networks
