#include "base/limits.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string>

using namespace dripleg;

TEST_CASE("every limit is listed once and says what it bounds") {
  std::set<std::string_view> names;
  for (const auto& limit : base::all_limits) {
    CHECK(names.insert(limit.name).second);
    CHECK(limit.value > 0);
    CHECK_FALSE(limit.counted.empty());
    CHECK_FALSE(limit.about.empty());
  }
  CHECK(base::limits::file_bytes < base::limits::closure_bytes);
}
