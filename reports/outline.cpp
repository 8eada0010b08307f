#include "reports/outline.hpp"

#include <algorithm>

namespace dripleg::reports {
char part_letter(Part part) {
  switch (part) {
    case Part::section: return 's';
    case Part::finding: return 'f';
    case Part::table: return 't';
    case Part::figure: return 'g';
    case Part::margins: return 'm';
  }
  return 'x';
}

void Outline::bear(std::string_view target, Part part, std::vector<std::size_t>& counters) {
  const std::size_t number = ++counters[static_cast<std::size_t>(part)];
  if (!target.empty()) bearers_.push_back({target, bearers_.size(), {part, number}});
}

void Outline::count(const std::vector<Block>& blocks, std::vector<std::size_t>& counters) {
  for (const Block& block : blocks) {
    if (const auto* table = std::get_if<Table>(&block.value)) bear(table->target, Part::table, counters);
    if (const auto* finding = std::get_if<FindingBlock>(&block.value)) bear(finding->target, Part::finding, counters);
    if (const auto* margins = std::get_if<MarginList>(&block.value)) bear(margins->target, Part::margins, counters);
    if (const auto* figure = std::get_if<Figure>(&block.value)) bear(figure->target, Part::figure, counters);
    if (const auto* details = std::get_if<Details>(&block.value)) count(details->blocks, counters);
  }
}

Outline::Outline(const Document& document) {
  std::vector<std::size_t> counters(5, 0);
  std::vector<std::size_t> levels;
  for (const Section& section : document.sections) {
    const auto level = static_cast<std::size_t>(std::clamp(section.level, 1, 4));
    if (levels.size() > level) levels.resize(level);
    while (levels.size() < level) levels.push_back(0);
    if (levels.size() > 1) {
      for (std::size_t i = 0; i + 1 < levels.size(); ++i) levels[i] = std::max<std::size_t>(levels[i], 1);
    }
    ++levels.back();
    std::string number;
    for (const std::size_t part : levels) number += (number.empty() ? "" : ".") + std::to_string(part);
    numbers_.push_back(std::move(number));
    bear(section.target, Part::section, counters);
    count(section.blocks, counters);
  }
  std::sort(bearers_.begin(), bearers_.end(), [](const Bearer& a, const Bearer& b) {
    return a.target != b.target ? a.target < b.target : a.order < b.order;
  });
}

const PartId* Outline::find(std::string_view target) const {
  const auto at = std::lower_bound(bearers_.begin(), bearers_.end(), target,
                                   [](const Bearer& bearer, std::string_view wanted) { return bearer.target < wanted; });
  return at != bearers_.end() && at->target == target && !target.empty() ? &at->id : nullptr;
}
}  // namespace dripleg::reports
