// A net of points and legs as bare numbers, and the law of its legs. Indices are dense from 0; flow counts
// positive from a leg's `from` to its `to`. Units are the caller's own and need only agree with one another.
#pragma once
#include "base/ids.hpp"

#include <optional>
#include <vector>

namespace dripleg::networks {
struct Leg {
  u32 from = 0, to = 0;
  bool one_way = false;   // carries nothing back; its drop is only ever asked at flows of 0 and more
  bool shut = false;      // carries nothing at all; its drop is never asked
};

struct Net {
  u32 points = 0;
  std::vector<Leg> legs;
  std::vector<double> supplies;                // by point: what comes in there; what is taken is negative; empty: nothing anywhere
  std::vector<std::optional<double>> fixed;    // by point: a head that is held there, whatever flows; empty: none anywhere
  std::optional<u32> datum;                    // the point at which heads are 0, in a piece without a fixed head
};

// What a leg loses of head at a flow: head at `from` less head at `to`. At no flow it is what drives (negative)
// or what it takes to open a one-way leg. Not a finite number: cannot be said, and the piece fails with that leg.
class Law {
 public:
  virtual ~Law() = default;
  virtual double drop(u32 leg, double flow) = 0;
};
}  // namespace dripleg::networks
