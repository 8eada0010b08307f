// Networks without a balance, with more than one, or with one that has to be told of.
#include "laws.hpp"

#include "networks/certificate.hpp"

#include <doctest/doctest.h>

#include <limits>

using namespace dripleg;
using namespace dripleg::networks;
using namespace dripleg::networks::test;
using doctest::Approx;

namespace {
Named unsolvable(const char* id) {
  static const Json read = facts("networks_extra.json");
  for (const Json& one : read["unsolvable"])
    if (one["id"] == id) return extra_network(one, Friction::blend);
  FAIL("no network ", id);
  return {};
}
const PieceResult& the_piece(const Named& named, const Balance& result, const char* point) {
  return result.pieces[connected_pieces(named.net).of_point[named.points.at(point)]];
}
std::vector<std::string> names(const Named& named, const std::vector<u32>& legs) {
  std::vector<std::string> result;
  for (const u32 leg : legs) result.push_back(named.leg_names[leg]);
  return result;
}
using Names = std::vector<std::string>;
double flow_of(const Named& named, const Balance& result, const char* leg) { return result.flows[named.legs.at(leg)]; }
const Points mild{{0, 22}, {6, 20.5}, {12, 17}, {18, 11.5}, {24, 4}};
}  // namespace

TEST_CASE("a ring in which nothing resists has no end") {
  Named named = unsolvable("X1_no_resistance");
  const Balance result = balance(named.net, named, within(0.001));
  const PieceResult& piece = the_piece(named, result, "a");
  CHECK(piece.outcome == Outcome::unbounded);
  CHECK(names(named, piece.legs) == Names{"PU", "z"});
  CHECK(result.flows == std::vector<double>{0, 0});
}

TEST_CASE("two ways without resistance side by side: how much takes which cannot be told") {
  Named named = unsolvable("X2_parallel_zero");
  const Balance result = balance(named.net, named, within(0.001));
  const PieceResult& piece = the_piece(named, result, "a");
  CHECK(piece.outcome == Outcome::solved);
  REQUIRE(piece.cannot_tell.size() == 1);
  CHECK(names(named, piece.cannot_tell[0]) == Names{"s1", "s2"});
  CHECK(flow_of(named, result, "s1") + flow_of(named, result, "s2") == Approx(9.1517).epsilon(1e-4));
  CHECK(flow_of(named, result, "PU") == Approx(9.1517).epsilon(1e-4));
}

TEST_CASE("what only a one-way leg could bring, against its way") {
  Named named = unsolvable("X3_tap_behind_check");
  const Balance result = balance(named.net, named, within(0.001));
  const PieceResult& piece = the_piece(named, result, "T");
  CHECK(piece.outcome == Outcome::backwards);
  CHECK(names(named, piece.legs) == Names{"k"});
  CHECK(piece.amount == Approx(-2.0));
}

TEST_CASE("what is taken behind a shut leg") {
  Named named = unsolvable("X4_tap_cut_off");
  const Balance result = balance(named.net, named, within(0.001));
  const PieceResult& piece = the_piece(named, result, "c");
  CHECK(piece.outcome == Outcome::no_way);
  CHECK(piece.amount == Approx(-2.0));
  CHECK(piece.points == std::vector<u32>{named.points.at("c")});
  CHECK(names(named, piece.legs) == Names{"v"});
  const PieceResult& other = the_piece(named, result, "T");   // and the rest is none the worse for it
  CHECK(other.outcome == Outcome::nothing_drives);
  CHECK(result.heads[named.points.at("a")] == 100.0);
  CHECK(std::isnan(result.heads[named.points.at("c")]));
}

TEST_CASE("a balance that does not last is left for the one that does, and both are told of") {
  Named named = unsolvable("X5_hump");
  const Balance result = balance(named.net, named, within(0.001));
  const PieceResult& piece = the_piece(named, result, "r");
  CHECK(piece.outcome == Outcome::solved);
  CHECK(piece.lasts);
  REQUIRE(piece.several.size() == 1);
  const Several& several = piece.several[0];
  const u32 p1 = named.legs.at("P1"), p2 = named.legs.at("P2");
  const auto at = [&](u32 leg) { return static_cast<std::size_t>(std::find(several.legs.begin(), several.legs.end(), leg) - several.legs.begin()); };
  REQUIRE(at(p1) < several.legs.size());
  REQUIRE(at(p2) < several.legs.size());
  CHECK(several.passing[at(p1)] == Approx(1.3281).epsilon(1e-4));
  CHECK(several.passing[at(p2)] == Approx(1.3281).epsilon(1e-4));
  CHECK(std::max(result.flows[p1], result.flows[p2]) == Approx(2.8221).epsilon(1e-4));
  CHECK(std::min(result.flows[p1], result.flows[p2]) == 0.0);
  CHECK(std::max(several.given[at(p1)], several.given[at(p2)]) == Approx(2.8221).epsilon(1e-4));
}

TEST_CASE("laws that fall, and curves left far behind: balances all the same") {
  Named falling = unsolvable("X6_falling_law");
  CHECK(flow_of(falling, balance(falling.net, falling, within(0.001)), "PU") == Approx(40.0).epsilon(1e-4));
  Named apart = unsolvable("X7_two_const_dp");
  const Balance result = balance(apart.net, apart, within(0.001));
  CHECK(flow_of(apart, result, "P1") == Approx(120.0).epsilon(1e-3));
  CHECK(flow_of(apart, result, "P2") == Approx(-111.30).epsilon(1e-3));
}

TEST_CASE("a law without a value fails its piece and no other") {
  Named named;
  named.add("bad", "a", "b", [](double) { return std::numeric_limits<double>::quiet_NaN(); });
  named.add("back", "b", "a", cv_law(3));
  named.add("pump", "c", "d", curve_law(mild));
  named.add("load", "d", "c", cv_law(4));
  const Balance result = balance(named.net, named, within(0.001));
  const PieceResult& piece = the_piece(named, result, "a");
  CHECK(piece.outcome == Outcome::not_a_number);
  CHECK(names(named, piece.legs) == Names{"bad"});
  CHECK(piece.amount == 0.0);
  CHECK(the_piece(named, result, "c").outcome == Outcome::solved);
  CHECK(flow_of(named, result, "load") > 5);
}

TEST_CASE("a law with an end: a step beyond it is halved, and only a balance beyond it fails") {
  const auto ends_at = [](double most) {
    return [=](double q) { return std::fabs(q) > most ? std::numeric_limits<double>::infinity() : 0.05 * q * std::fabs(q); };
  };
  for (const double most : {17.0, 20.0, 300.0}) {
    Named named;
    named.add("pump", "a", "b", curve_law(mild));
    named.add("load", "b", "a", ends_at(most));
    const Balance result = balance(named.net, named, within(0.001));
    CHECK(result.pieces[0].outcome == Outcome::solved);
    CHECK(flow_of(named, result, "load") == Approx(16.211).epsilon(1e-4));   // 17 - 5.5/6 (q - 12) = 0.05 q^2
  }
  Named named;
  named.add("pump", "a", "b", curve_law(mild));
  named.add("load", "b", "a", ends_at(10));
  const Balance result = balance(named.net, named, within(0.001));
  CHECK(result.pieces[0].outcome == Outcome::not_a_number);
  CHECK(names(named, result.pieces[0].legs) == Names{"load"});
  CHECK(result.pieces[0].amount > 10);
}

TEST_CASE("a law that jumps where the balance lies") {
  Named named;
  named.add("pump", "a", "b", curve_law({{0, 2}, {10, 1.9}}));
  named.add("load", "b", "a", [](double q) { return q < 5 ? 0.01 * q : 3 + 0.01 * q; });
  const Balance result = balance(named.net, named, within(0.001));
  REQUIRE(result.pieces[0].outcome == Outcome::solved);
  REQUIRE(result.pieces[0].jumps.size() == 1);
  CHECK(result.pieces[0].jumps[0].leg == named.legs.at("load"));
  CHECK(result.pieces[0].jumps[0].flow == Approx(5.0).epsilon(1e-4));
  CHECK(result.pieces[0].jumps[0].height == Approx(3.0).epsilon(1e-3));
  CHECK(flow_of(named, result, "load") == Approx(5.0).epsilon(2e-4));
  CHECK(certify(named.net, named, result.flows, 0.001).right);
}

TEST_CASE("nothing drives: flows are 0, heads are those of the datum") {
  Named named;
  named.add("one", "a", "b", cv_law(3));
  named.add("other", "b", "a", cv_law(4), true);
  named.net.datum = named.points.at("b");
  const Balance result = balance(named.net, named, within(0.001));
  CHECK(result.pieces[0].outcome == Outcome::nothing_drives);
  CHECK(result.flows == std::vector<double>{0, 0});
  CHECK(result.heads == std::vector<double>{0, 0});
}

TEST_CASE("heads: from the datum, through dead ends, none behind what is idle and one-way") {
  Named named;
  named.add("pump", "a", "b", curve_law(mild));
  named.add("load", "b", "a", cv_law(4));
  named.add("lift", "b", "c", [](double q) { return q - 3; });          // a dead end that lifts by 3
  named.add("check", "b", "d", cv_law(5), true);
  named.net.datum = named.points.at("a");
  const Balance result = balance(named.net, named, within(0.001));
  const double flow = flow_of(named, result, "pump"), head = result.heads[named.points.at("b")];
  CHECK(result.heads[named.points.at("a")] == 0.0);
  CHECK(head == Approx(2.31 * flow * flow / 16).epsilon(1e-4));
  CHECK(result.heads[named.points.at("c")] == Approx(head + 3));
  CHECK(std::isnan(result.heads[named.points.at("d")]));
  CHECK(flow_of(named, result, "lift") == 0.0);
  CHECK(flow_of(named, result, "check") == 0.0);

  named.net.datum.reset();
  for (const double none : balance(named.net, named, within(0.001)).heads) CHECK(std::isnan(none));
}

TEST_CASE("one piece at a time gives what all at once give") {
  Named named;
  for (const char* ring : {"a", "b", "c"}) {
    const std::string p = std::string(ring) + "1", q = std::string(ring) + "2";
    named.add(p, p, q, curve_law(mild));
    named.add(q, q, p, cv_law(3 + ring[0] - 'a'));
  }
  const Balance whole = balance(named.net, named, within(0.001));
  const Pieces pieces = connected_pieces(named.net);
  REQUIRE(pieces.count() == 3);
  Balance parts = no_balance_yet(named.net, pieces);
  for (const u32 piece : {2u, 0u, 1u}) balance_piece(named.net, pieces, piece, named, within(0.001), {}, parts);
  CHECK(parts.flows == whole.flows);
  CHECK(parts.law_calls == whole.law_calls);
}

TEST_CASE("points alone, legs from a point to itself, and nothing at all") {
  Net empty;
  Named named;
  CHECK(balance(empty, named, within(0.001)).pieces.empty());
  named.point("alone");
  named.add("loop", "p", "p", [](double q) { return 0.1 * q * std::fabs(q) - 10; });
  const Balance result = balance(named.net, named, within(0.001));
  CHECK(the_piece(named, result, "alone").outcome == Outcome::nothing_drives);
  CHECK(flow_of(named, result, "loop") == Approx(10.0).epsilon(1e-4));
}

TEST_CASE("rounds that run out name the leg that still moves") {
  Named named;
  named.add("pump", "a", "b", curve_law(mild));
  named.add("load", "b", "a", cv_law(4));
  BalanceSettings short_of_rounds = within(0.001);
  short_of_rounds.most_rounds = 1;
  const Balance result = balance(named.net, named, short_of_rounds);
  CHECK(result.pieces[0].outcome == Outcome::no_balance);
  CHECK(names(named, result.pieces[0].legs) == Names{"pump", "load"});
  CHECK(result.pieces[0].amount > 0.01);
}
