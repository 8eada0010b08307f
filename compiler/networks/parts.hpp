// Who reads whom: cells that read one another in a circle are one part, and parts come in the order of reading.
#pragma once
#include "base/ids.hpp"

#include <vector>

namespace dripleg::networks {
// `reads[i]`: the cells that cell i reads. Inside a part a cell comes after those it reads, but where the circle closes.
// Cells that are `left_out` are in no part, and reading them does not count.
std::vector<std::vector<u32>> parts_of(const std::vector<std::vector<u32>>& reads, const std::vector<char>& left_out);
}  // namespace dripleg::networks
