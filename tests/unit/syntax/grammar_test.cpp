// The grammar as a set of rules: no left recursion, no loop without progress.
#include "syntax/lines.hpp"

#include <doctest/doctest.h>
#include <tao/pegtl/contrib/analyze.hpp>

using namespace dripleg::syntax::grammar;
namespace peg = tao::pegtl;

TEST_CASE("the rules always make progress") {
  CHECK(peg::analyze<top_item>() == 0);
  CHECK(peg::analyze<library_item>() == 0);
  CHECK(peg::analyze<rule_item>() == 0);
  CHECK(peg::analyze<layout_item>() == 0);
  CHECK(peg::analyze<job_item>() == 0);
  CHECK(peg::analyze<expr>() == 0);
}
