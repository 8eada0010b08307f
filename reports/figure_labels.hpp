// Finds room for labels: tries places around a point, nearest and most usual first, and takes the
// first that meets no label, dot or edge of the drawing and as few lines as possible. What was
// placed stays; the order of asking decides.
#pragma once
#include "reports/svg.hpp"

#include <string_view>
#include <vector>

namespace dripleg::reports {
struct Box {
  double x = 0;         // left
  double y = 0;         // top
  double width = 0;
  double height = 0;
};

bool overlap(const Box& a, const Box& b);

struct Placed {
  Box box;
  double baseline = 0;
  bool far = false;     // so far off that a leader is due
};

class LabelPlacer {
 public:
  explicit LabelPlacer(Box ground) : ground_(ground) {}
  void keep_clear(const Box& box) { boxes_.push_back(box); }
  void avoid_segment(double x1, double y1, double x2, double y2);
  // A label of this size for the point; it then keeps its own room clear. `sideways` asks at the
  // right and left of the point first.
  Placed place(double x, double y, double width, double height, bool sideways = false);
  // The best of these places, the earlier one among equals; it is then kept clear.
  Box choose(const std::vector<Box>& wishes);
  const std::vector<Box>& boxes() const { return boxes_; }

 private:
  struct Segment {
    double x1, y1, x2, y2;
  };
  double cost(const Box& box, double least) const;
  Box ground_;
  std::vector<Box> boxes_;
  std::vector<Segment> segments_;
};

// Vertical places for labels of equal height at one side of a drawing: near their wishes, in the
// order of the wishes, never nearer than `height`, within top … bottom where they fit at all.
std::vector<double> spread_labels(const std::vector<double>& wishes, double height, double top, double bottom);
}  // namespace dripleg::reports
