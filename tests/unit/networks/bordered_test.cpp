// Slopes with a border: solved as they stand, and no residual of at most 1 moves more than is said.
#include "networks/bordered.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace dripleg;
using namespace dripleg::networks;

namespace {
// Rising rows whose slopes sum to less than 1, and a few that fall, read themselves and have nothing on the diagonal.
struct Chance {
  u32 size, edge;
  std::vector<Slope> slopes;
  std::vector<char> border, held;
  explicit Chance(u32 seed) {
    std::mt19937 engine(seed);
    const auto between = [&](double low, double high) { return low + (high - low) * (engine() / 4294967296.0); };
    size = 4 + engine() % 30, edge = engine() % 4;
    border.assign(size, 0), held.assign(size, 0);
    for (u32 i = 0; i < edge; ++i) border[engine() % size] = 1;
    for (u32 row = 0; row < size; ++row) {
      if (border[row]) {
        slopes.push_back({row, row, 1});
        for (u32 i = 0; i < 3; ++i) slopes.push_back({row, static_cast<u32>(engine() % size), -between(1, 50)});
        continue;
      }
      const u32 reads = 1 + engine() % 3;
      for (u32 i = 0; i < reads; ++i) slopes.push_back({row, static_cast<u32>(engine() % size), between(0, 0.95) / reads});
      for (u32 column = 0; column < size; ++column)
        if (border[column]) slopes.push_back({row, column, between(-5, 20)});
    }
  }
  std::vector<double> times(const std::vector<double>& x) const {
    std::vector<double> y(size);
    for (u32 i = 0; i < size; ++i) y[i] = x[i];
    for (const Slope& slope : slopes)
      if (!held[slope.row] && !held[slope.column]) y[slope.row] -= slope.value * x[slope.column];
    return y;
  }
};
}  // namespace

TEST_CASE("a system with a border is solved, and its response is no less than what any residuals do") {
  for (u32 seed = 1; seed <= 500; ++seed) {
    CAPTURE(seed);
    Chance one(seed);
    if (seed % 3 == 0) one.held[seed % one.size] = 1;
    const Bordered system(one.size, one.slopes, one.border, one.held);
    if (system.border_is_flat()) continue;
    const std::vector<double> response = system.response();
    std::mt19937 engine(seed);
    for (u32 turn = 0; turn < 20; ++turn) {
      std::vector<double> right(one.size);
      for (double& r : right) r = turn == 0 ? 1.0 : engine() % 2 ? 1.0 : -1.0;
      std::vector<double> x = right;
      system.solve(x);
      double largest = 1;
      for (const double value : x) largest = std::max(largest, std::fabs(value));
      const std::vector<double> back = one.times(x);
      for (u32 i = 0; i < one.size; ++i) {
        CHECK(std::fabs(back[i] - right[i]) <= 1e-9 * largest);
        CHECK(std::fabs(x[i]) <= response[i] * (1 + 1e-9));
      }
    }
  }
}

TEST_CASE("a border that nothing holds is told") {
  // Two that only read themselves and each other, the second twice what the first does.
  const std::vector<Slope> slopes = {{0, 0, 2}, {0, 1, 1}, {1, 0, 2}, {1, 1, 3}};
  CHECK(Bordered(2, slopes, {1, 1}, {0, 0}).border_is_flat());
  const std::vector<Slope> sound = {{0, 0, 1}, {0, 1, 1}, {1, 0, 2}, {1, 1, 1}};
  std::vector<double> x = {-3, -2};                        // 0 x - y = -3, -2 x + 0 y = -2
  const Bordered system(2, sound, {1, 1}, {0, 0});
  CHECK_FALSE(system.border_is_flat());
  system.solve(x);
  CHECK(x[0] == doctest::Approx(1));
  CHECK(x[1] == doctest::Approx(3));
}
