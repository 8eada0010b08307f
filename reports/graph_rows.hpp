// Rows of a net's level lines: rail by rail, each turned the way that lets most lines go straight on; a line whose ends do
// not agree changes its row. Lines that do not meet in any layer share a row.
#pragma once
#include "reports/graph_plan.hpp"

namespace dripleg::reports {
void settle_rows(GraphPlan& plan);
}  // namespace dripleg::reports
