// Published formulas of heating practice are accepted as they are written.
#include "tests/unit/meaning/compiling.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using meaning::test::Compiled;

TEST_CASE("the formulas of every subject are accepted, together") {
  const Compiled compiled(meaning::test::formulas_text());
  CHECK(compiled.said() == "");
  CHECK(compiled.program.functions.size() >= 60);
  CHECK(compiled.program.agreements.size() >= 30);
}

TEST_CASE("an empirical formula is known as one, and one without hidden units is not") {
  const Compiled compiled(meaning::test::formulas_text());
  const auto empirical = [&](std::string_view name) {
    for (u32 at = 0; at < compiled.program.functions.size(); ++at)
      if (compiled.program.text(compiled.program.functions[at].name) == name) return compiled.program.functions[at].empirical;
    FAIL(std::string(name));
    return false;
  };
  CHECK(empirical("gas_flow_low"));
  CHECK(empirical("air_pressure"));
  CHECK_FALSE(empirical("firing_flow"));
  CHECK_FALSE(empirical("above_vacuum"));
}
