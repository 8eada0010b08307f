// The one order in which notices are shown: those about the whole run first, then by the path of the
// file, the place in it, and the code. What was said twice of the same stretch is said once.
#pragma once
#include "base/source.hpp"
#include "notices/notice.hpp"

namespace dripleg::notices {
// Sorted; notices with the same code and the same stretch become one, which keeps the first headline
// and has the labels and cures of all.
std::vector<Notice> in_order(const base::Sources& sources, const std::vector<Notice>& notices);
}  // namespace dripleg::notices
