// A drawing of values over a common axis: lines (straight or in steps), bands, stretches, limits and
// dots, with a strip of columns beneath where asked. Everything comes as plain numbers and finished
// texts; the chart only chooses scales and finds room. Numbers that are not finite are left out.
#pragma once
#include "reports/document.hpp"

#include <optional>
#include <string>
#include <vector>

namespace dripleg::reports {
struct Axis {
  std::string name{};
  std::string unit{};
  std::vector<double> include{}; // values that the axis must reach
};

struct ChartPoint {
  double x = 0;
  double y = 0;
  std::string label{};           // written beside the point; may be empty
  std::string note{};            // a second line of the label
  std::string text{};            // the value as printed in the table; empty: our own rounding
};

struct ChartLine {
  std::string name{};            // written at the line's end
  std::vector<ChartPoint> points{};
  bool stepped = false;          // holds each value until the next point
};

// The ground between low and high over the whole width, or everything outside of it.
struct ChartBand {
  std::string name{};
  std::optional<double> low{};
  std::optional<double> high{};
  std::string low_label{};
  std::string high_label{};
  bool outside = false;          // hatched where values should not be
};

// The ground between two lines of points.
struct ChartRibbonPoint {
  double x = 0;
  double low = 0;
  double high = 0;
};
struct ChartRibbon {
  std::string name{};
  std::vector<ChartRibbonPoint> points{};
};

// A stretch of the x axis, hatched, with its two ends written.
struct ChartStretch {
  std::string name{};
  double from = 0;
  double to = 0;
  std::string from_label{};
  std::string to_label{};
};

struct ChartLimit {
  std::string label{};
  double at = 0;
  bool upright = false;          // a limit of x, else of y
};

struct ChartDot {
  double x = 0;
  double y = 0;
  std::string label{};
  std::string note{};
  bool hollow = false;
};

struct ChartColumn {
  double from = 0;
  double to = 0;
  double value = 0;              // at least 0
};
struct ChartBeneath {
  Axis axis{};
  std::vector<ChartColumn> columns{};
};

struct Chart {
  Target target{};
  std::string caption{};
  std::string title{};           // of the drawing, for those who do not see it; the caption when empty
  std::string desc{};
  std::string file{};
  Axis across{};
  Axis up{};
  std::vector<ChartLine> lines{};
  std::vector<ChartBand> bands{};
  std::vector<ChartRibbon> ribbons{};
  std::vector<ChartStretch> stretches{};
  std::vector<ChartLimit> limits{};
  std::vector<ChartDot> dots{};
  std::optional<ChartBeneath> beneath{};
};

// The figure has no drawing when nothing can be drawn or it would take over 20 000 elements; its
// table is always there, with about a dozen points of every line and each labelled one.
Figure make_figure(const Chart& chart);
}  // namespace dripleg::reports
