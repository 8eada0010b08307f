// The style sheet of a page and the few rules that a drawing takes along when it stands alone.
#pragma once
#include "reports/sink.hpp"

namespace dripleg::reports {
Literal page_style();
Literal drawing_style();
}  // namespace dripleg::reports
