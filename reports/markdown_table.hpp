// A table as bars and aligned columns, padded so that it can be read as it stands. Cells are short
// pieces of finished Markdown on one line each.
#pragma once
#include "reports/document.hpp"
#include "reports/sink.hpp"

#include <vector>

namespace dripleg::reports {
struct MarkdownGrid {
  std::vector<Align> aligns;
  std::vector<std::vector<MarkdownSink>> rows;   // the first one is the head
};

void put_grid(MarkdownSink& out, const MarkdownGrid& grid);
}  // namespace dripleg::reports
