// Round steps for an axis (1, 2 or 5 times a power of ten) and the texts of its ticks.
#pragma once
#include <cstddef>
#include <string>
#include <vector>

namespace dripleg::reports {
struct Ticks {
  double begin = 0;            // a multiple of the step, at or below the least value
  double end = 1;              // a multiple of the step, at or above the greatest value; begin < end
  double step = 1;
  int decimals = 0;            // that every tick needs
  std::vector<double> at;      // begin … end
};

// About `wanted` (2 … 20) steps over low … high; equal or unusable ends are spread to a stretch.
Ticks choose_ticks(double low, double high, std::size_t wanted);

std::string fixed_text(double value, int decimals);          // rounded half away; no minus before zero
int decimals_for(double low, double high);                   // that show a thousandth of the stretch
}  // namespace dripleg::reports
