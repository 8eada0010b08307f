#include "base/spelling.hpp"

#include <algorithm>

namespace dripleg::base {
unsigned spelling_distance(std::string_view a, std::string_view b, unsigned most) {
  const std::size_t gap = a.size() > b.size() ? a.size() - b.size() : b.size() - a.size();
  if (gap > most) return most + 1;
  const std::size_t width = b.size() + 1;
  std::vector<unsigned> before(width), last(width), row(width);
  for (std::size_t j = 0; j < width; ++j) last[j] = static_cast<unsigned>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = static_cast<unsigned>(i);
    unsigned least = row[0];
    for (std::size_t j = 1; j < width; ++j) {
      const unsigned cost = a[i - 1] == b[j - 1] ? 0 : 1;
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + cost});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        row[j] = std::min(row[j], before[j - 2] + 1);
      least = std::min(least, row[j]);
    }
    if (least > most) return most + 1;
    before.swap(last);
    last.swap(row);
  }
  return last[b.size()];
}

std::vector<std::string> near_spellings(std::string_view word, const std::vector<std::string_view>& known) {
  const unsigned most = word.size() <= 4 ? 1 : 2;
  std::vector<std::pair<unsigned, std::string_view>> found;
  for (const auto candidate : known) {
    const unsigned distance = spelling_distance(word, candidate, most);
    if (distance <= most && candidate != word) found.emplace_back(distance, candidate);
  }
  std::sort(found.begin(), found.end());
  found.erase(std::unique(found.begin(), found.end()), found.end());
  std::vector<std::string> near;
  for (const auto& [distance, candidate] : found) {
    if (near.size() == 3) break;
    near.emplace_back(candidate);
  }
  return near;
}
}  // namespace dripleg::base
