// Writes down what a formula reads while it is computed. The walker asks for it only where something is
// read from outside the formula; arithmetic is not written down.
#pragma once
#include "evaluate/derivation.hpp"

namespace dripleg::evaluate {
class Recorder {
 public:
  explicit Recorder(u32 most) : most_(most) {}

  // A leaf under what is open now; the same reading twice under one parent is written once.
  void read(const Step& step);
  // A step with others inside, until it is closed with its value.
  void open(const Step& step);
  void close(Value value);

  std::vector<Step>& steps() { return steps_; }
  std::vector<u32>& roots() { return roots_; }
  bool full() const { return full_; }

 private:
  bool same(const Step& a, const Step& b) const;
  u32 add(const Step& step);
  std::vector<Step> steps_;
  std::vector<u32> roots_;          // not under any other
  std::vector<u32> open_;           // 0xFFFFFFFF: opened when already full
  u32 most_;
  bool full_ = false;
};
}  // namespace dripleg::evaluate
