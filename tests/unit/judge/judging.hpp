// A small library of lamps in a hall, and a job that is judged by its rules.
#pragma once
#include "judge/judge.hpp"
#include "tests/unit/meaning/compiling.hpp"

#include <doctest/doctest.h>

namespace dripleg::judge::test {
using meaning::test::Compiled;

inline constexpr std::string_view hall = R"(
kind job one { needs title text }
source law_one   { title "First law", number "LAW 1", year 2001 }
source law_two   { title "First law, again", number "LAW 2", year 2008, carries_on law_one }
source law_three { title "First law, once more", number "LAW 3", year 2015, carries_on law_two }
source by_law    { title "Another law", number "BY 1", year 2010 }
kind cord stock {
  needs bores table { by size size exact
    needs thick length }
}
cord plain_cord {
  per practice "as sold"
  bores {
    size    thick
    1/4 in  2 mm
    1/2 in  4 mm
    3/4 in  6 mm
    1 in    9 mm
  }
}
kind lamp {
  needs reach  length at least 0 ft { spread 10 % }
  needs span   range of length
  may   size   size choice = 1/4 in
  may   cord   cord = plain_cord
  may   hood   yes_no = no
  needs socket one of [screw, pin]
  may   back   length or none = none
  gives lit    length = if self in shining then reach else 0 ft
  gives thick  length = cord.bores(size).thick
}
condition shining list of lamp = lamp   "Which lamps shine."
condition dusk    length = 0 ft         "How far the dark has come."
case all_lit  { shining lamp }
case none_lit { shining [] }
case one_lit for l in lamp { shining [l] }
case evening  { dusk 0 ft .. 10 ft by 1 ft }
)";

struct Judged {
  Compiled compiled;
  notices::Notices notices;
  std::optional<Judgement> judgement;

  Judged(std::string_view rules, std::string_view job, Options options = {}) : compiled(std::string(hall) + std::string(rules), job) {
    REQUIRE(compiled.said() == "");
    judgement.emplace(compiled.program, notices, options);
    judgement->run();
  }
  // RULE @ SUBJECT; there must be one.
  const Finding& finding(std::string_view id) {
    for (const Finding& one : judgement->findings())
      if (judgement->id(one) == id) return one;
    const bool found = false;
    REQUIRE_MESSAGE(found, std::string(id));
    return judgement->findings().front();
  }
  Outcome outcome(std::string_view id) { return finding(id).outcome; }
  // All of them, "id outcome", a line each.
  std::string all() {
    static constexpr std::string_view words[] = {"holds", "breaks", "open", "failed", "does not apply"};
    std::string lines;
    for (const Finding& one : judgement->findings()) {
      lines += judgement->id(one);
      lines += ' ';
      lines += words[static_cast<int>(one.outcome)];
      lines += '\n';
    }
    return lines;
  }
};
inline constexpr double foot = 0.3048;
}  // namespace dripleg::judge::test
