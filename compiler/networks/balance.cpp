#include "networks/balance.hpp"

#include "networks/heads.hpp"
#include "networks/rounds.hpp"
#include "networks/verdict.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
namespace {
class PieceSolver {
 public:
  PieceSolver(const Net& net, const Pieces& pieces, u32 piece, Law& law, const BalanceSettings& settings, Balance& result)
      : net_(net), pieces_(pieces), number_(piece), settings_(settings), result_(result), piece_(result.pieces[piece]),
        reduction_(reduce(net, pieces.points[piece], pieces.legs[piece])), law_(net, reduction_, law, settings.tolerance),
        rounds_(reduction_, law_, settings.most_rounds) {}

  void run(std::span<const double> last) {
    if (std::fabs(reduction_.excess) > settings_.tolerance) no_way();
    else if (reduction_.chains.empty()) piece_.outcome = Outcome::nothing_drives;
    else conclude(solve(last));
    piece_.rounds = rounds_.rounds();
    if (has_flows(piece_.outcome)) write();
    else piece_.several.clear();
    result_.law_calls += law_.calls();
  }

 private:
  void no_way() {
    piece_.outcome = Outcome::no_way;
    piece_.amount = reduction_.excess;
    for (const u32 point : pieces_.points[number_])
      if (!net_.supplies.empty() && net_.supplies[point] != 0) piece_.points.push_back(point);
    for (u32 leg = 0; leg < net_.legs.size(); ++leg) {
      const bool here = pieces_.of_point[net_.legs[leg].from] == number_, there = pieces_.of_point[net_.legs[leg].to] == number_;
      if (net_.legs[leg].shut && here != there) piece_.legs.push_back(leg);
    }
  }

  // A neighbouring case that leads nowhere must not decide: then as if there were none.
  RoundsEnd solve(std::span<const double> last) {
    const RoundsEnd end = rounds_.run(last);
    const bool failed = end == RoundsEnd::law_failed || end == RoundsEnd::unbounded || end == RoundsEnd::ran_out;
    if (last.empty() || !failed) return end;
    law_.forget_failure();
    return rounds_.run({});
  }

  void conclude(RoundsEnd end) {
    switch (end) {
      case RoundsEnd::balanced: return judge();
      case RoundsEnd::nothing_drives: piece_.outcome = Outcome::nothing_drives; return;
      case RoundsEnd::law_failed:
        piece_.outcome = Outcome::not_a_number;
        piece_.legs = {law_.failure()->leg};
        piece_.amount = law_.failure()->flow;
        return;
      case RoundsEnd::unbounded:
        piece_.outcome = Outcome::unbounded;
        piece_.legs = legs_of(reduction_, rounds_.endless());
        return;
      case RoundsEnd::ran_out:
        piece_.outcome = Outcome::no_balance;
        piece_.legs = legs_of(reduction_, {rounds_.most_moved()});
        piece_.amount = rounds_.last_move();
        return;
    }
  }

  void judge() {
    if (!rounds_.steady()) look_for_another();
    const Judged judged{net_, reduction_, law_, rounds_};
    // Heads far beyond what drives press through any leg. What comes through one that resists more is forced.
    for (u32 steeper = 0; steeper < 2 && leaks(judged); ++steeper)
      if (const RoundsEnd end = rounds_.run_steeper(); end != RoundsEnd::balanced) return conclude(end);
    judge_one_way(judged, piece_);
    if (piece_.outcome != Outcome::solved) return;
    find_rings_without_resistance(judged, piece_);
    find_jumps(judged, piece_);
    law_.forget_failure();
  }

  // The balance found does not last. The one that it falls to is given instead, and both are told of.
  void look_for_another() {
    const Rounds::State first = rounds_.state();
    std::vector<u32> falling;
    for (u32 i = 0; i < first.slope.size(); ++i)
      if (first.slope[i] < 0) falling.push_back(i);
    const bool found = rounds_.run_from_a_push() == RoundsEnd::balanced && differs(first.flow);
    piece_.lasts = found && rounds_.steady();
    if (!found) {
      law_.forget_failure();
      return rounds_.put_back(first);
    }
    Several several;
    for (const u32 chain : falling)
      for (const Link& link : reduction_.links_of(chain)) {
        const double sign = link.forward ? 1 : -1;
        several.legs.push_back(link.leg);
        several.given.push_back(sign * cleaned(chain));
        several.passing.push_back(sign * first.flow[chain]);
      }
    piece_.several.push_back(std::move(several));
  }

  bool differs(const std::vector<double>& flows) const {
    for (u32 i = 0; i < flows.size(); ++i)
      if (std::fabs(flows[i] - rounds_.flows()[i]) > 10 * std::max(settings_.tolerance, 1e-5 * std::fabs(flows[i]))) return true;
    return false;
  }

  // What trickles through a one-way leg is none.
  double cleaned(u32 chain) const {
    const double flow = rounds_.flows()[chain];
    return std::fabs(flow) < settings_.tolerance && law_.direction(chain) != 0 ? 0.0 : flow;
  }

  void write() {
    for (u32 i = 0; i < reduction_.chains.size(); ++i) {
      const double flow = piece_.outcome == Outcome::solved ? cleaned(i) : 0.0;
      for (const Link& link : reduction_.links_of(i)) result_.flows[link.leg] = link.forward || flow == 0 ? flow : -flow;
    }
    spread_heads(net_, {pieces_.points[number_], pieces_.legs[number_], reduction_, rounds_.heads()}, law_, result_);
  }

  const Net& net_;
  const Pieces& pieces_;
  u32 number_;
  const BalanceSettings& settings_;
  Balance& result_;
  PieceResult& piece_;
  Reduction reduction_;
  LawCalls law_;
  Rounds rounds_;
};
}  // namespace

void balance_piece(const Net& net, const Pieces& pieces, u32 piece, Law& law, const BalanceSettings& settings,
                   std::span<const double> last, Balance& result) {
  result.pieces[piece] = {};
  for (const u32 leg : pieces.legs[piece]) result.flows[leg] = 0;
  for (const u32 point : pieces.points[piece]) result.heads[point] = std::nan("");
  PieceSolver(net, pieces, piece, law, settings, result).run(last);
}

Balance balance(const Net& net, Law& law, const BalanceSettings& settings, std::span<const double> last) {
  const Pieces pieces = connected_pieces(net);
  Balance result = no_balance_yet(net, pieces);
  for (u32 piece = 0; piece < pieces.count(); ++piece) balance_piece(net, pieces, piece, law, settings, last, result);
  return result;
}
}  // namespace dripleg::networks
