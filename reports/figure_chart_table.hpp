// A chart's numbers in rows, for readers of plain text and for charts too big to draw.
#pragma once
#include "reports/figure_chart.hpp"

namespace dripleg::reports {
Table chart_table(const Chart& chart);
}
