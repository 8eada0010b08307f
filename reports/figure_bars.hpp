// Bars of parts laid end to end against a limit: what uses up an allowance, and what is left. Amounts
// are plain numbers on one common scale; all texts are finished.
#pragma once
#include "reports/document.hpp"

#include <optional>
#include <string>
#include <vector>

namespace dripleg::reports {
struct BarPart {
  std::string name{};
  std::string text{};            // the amount as printed
  double amount = 0;             // at least 0; others are left out of the drawing
};

struct StackedBar {
  std::string name{};
  std::string note{};            // smaller, under the name
  std::vector<BarPart> parts{};
  std::optional<double> limit{};
  std::string limit_text{};      // at the limit mark
  std::string total_text{};      // at the bar's right
  std::string margin_text{};
  Tone tone = Tone::plain;
};

struct BarsHeads {               // of the table that stands for the drawing
  std::string part{};
  std::string amount{};
  std::string total{};
  std::string limit{};
  std::string margin{};
};

struct BarsFigure {
  Target target{};
  std::string caption{};
  std::string title{};           // the caption when empty
  std::string desc{};
  std::string file{};
  BarsHeads heads{};
  std::vector<StackedBar> bars{};
};

// No drawing when there is nothing above zero or it would take over 20 000 elements.
Figure make_figure(const BarsFigure& bars);
}  // namespace dripleg::reports
