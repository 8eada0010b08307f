#include "notices/order.hpp"

#include <algorithm>
#include <tuple>

namespace dripleg::notices {
namespace {
std::string_view path_of(const base::Sources& sources, const base::Place& place) {
  return place.given() ? sources[place.file].path() : std::string_view{};
}

void take_words(Notice& into, const Notice& from) {
  for (const Label& label : from.labels) {
    const auto same = [&](const Label& known) { return known.place == label.place && known.words == label.words; };
    if (std::none_of(into.labels.begin(), into.labels.end(), same)) into.labels.push_back(label);
  }
  for (const std::string& cure : from.cures)
    if (std::find(into.cures.begin(), into.cures.end(), cure) == into.cures.end()) into.cures.push_back(cure);
}
}  // namespace

std::vector<Notice> in_order(const base::Sources& sources, const std::vector<Notice>& notices) {
  std::vector<Notice> sorted = notices;
  const auto key = [&](const Notice& notice) {
    const bool given = notice.place.given();
    return std::make_tuple(given, path_of(sources, notice.place), given ? notice.place.span.begin : 0u,
                           given ? notice.place.span.end : 0u, text_of(notice.code));
  };
  std::stable_sort(sorted.begin(), sorted.end(),
                   [&](const Notice& a, const Notice& b) { return key(a) < key(b); });
  std::vector<Notice> merged;
  for (Notice& notice : sorted) {
    const bool again = !merged.empty() && notice.place.given() && merged.back().code == notice.code &&
                       merged.back().place == notice.place;
    if (again) take_words(merged.back(), notice);
    else merged.push_back(std::move(notice));
  }
  return merged;
}
}  // namespace dripleg::notices
