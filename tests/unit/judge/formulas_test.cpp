// Published formulas come out as published.
#include "judge/prove.hpp"
#include "tests/unit/judge/judging.hpp"

using namespace dripleg;
using meaning::test::Compiled;

namespace {
// The agreements that do not hold, each with its place and both sides.
std::string not_so(const Compiled& compiled, u32& asked) {
  notices::Notices notices;
  judge::Judgement judgement(compiled.program, notices, {});
  std::string all;
  asked = compiled.program.agreements.size();
  for (u32 at = 0; at < asked; ++at) {
    const meaning::Agreement& agreement = compiled.program.agreements[at];
    const judge::AgreementResult result = judge::check_agreement(compiled.program, judgement.evaluation(), judgement.wording(), agreement);
    if (!result.agrees) all += std::string(compiled.sources.text(agreement.place)) + ": " + result.words + "\n";
  }
  for (const notices::Notice& notice : notices.all()) all += notice.headline + "\n";
  return all;
}
std::string of(std::string_view text) {
  const Compiled compiled(text);
  REQUIRE(compiled.said() == "");
  u32 asked = 0;
  return not_so(compiled, asked);
}
}  // namespace

TEST_CASE("every published value is met within its tolerance") {
  const Compiled compiled(meaning::test::formulas_text());
  REQUIRE(compiled.said() == "");
  u32 asked = 0;
  CHECK(not_so(compiled, asked) == "");
  CHECK(asked >= 30);
}

TEST_CASE("a value that is not met is told, by its measure or as a share") {
  const std::string doubled = "function doubled(x length) gives length = x * 2 per computed \"twice\"\n";
  CHECK(of(doubled + "agrees doubled(1 ft) = 2.001 ft within 0.1 % per computed \"by hand\"\n") == "");
  CHECK(of(doubled + "agrees doubled(1 ft) = 2.003 ft within 0.1 % per computed \"by hand\"\n") != "");
  CHECK(of(doubled + "agrees doubled(1 ft) = 2.003 ft within 0.1 in per computed \"by hand\"\n") == "");
  CHECK(of(doubled + "agrees doubled(1 ft) = 2.1 ft within 0.1 in per computed \"by hand\"\n") != "");
}

TEST_CASE("a formula that cannot be computed agrees with nothing") {
  const std::string ratio = "function over(x length, y length) gives number = x / y per computed \"a ratio\"\n";
  CHECK(of(ratio + "agrees over(1 ft, 0 ft) = (1) within 50 % per computed \"by hand\"\n") != "");
}
