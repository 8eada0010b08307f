// Flows and heads at which every point keeps its mass and every leg loses what its law says. Each connected
// piece is solved for itself; one that fails leaves the others alone. Nothing here reads outside its arguments.
#pragma once
#include "networks/net.hpp"

#include <span>

namespace dripleg::networks {
inline constexpr u32 most_balance_rounds = 50;

struct BalanceSettings {
  double tolerance = 0;                      // of a flow, more than 0; 1e-5 of the flow where that is more
  u32 most_rounds = most_balance_rounds;
};

enum class Outcome : u8 {
  solved,
  nothing_drives,   // every flow is 0, and nothing there could move any
  no_way,           // what comes in and what is taken do not cancel: `points` where, `legs` shut around, `amount` too much
  backwards,        // `legs`: one-way legs through which the flow `amount` (negative) of the first would have to go
  unbounded,        // `legs`: a way on which the flow grows without end
  no_balance,       // rounds ran out: `legs` still move, by `amount`
  not_a_number,     // the law of `legs` has no value at the flow `amount`
};
inline bool has_flows(Outcome outcome) { return outcome == Outcome::solved || outcome == Outcome::nothing_drives; }

// Another balance of the same piece, which does not last: the smallest push leads away from it to the one given.
struct Several {
  std::vector<u32> legs;            // those whose law falls there
  std::vector<double> given;        // their flows in the balance given
  std::vector<double> passing;      // and in the one that does not last
};
// At this flow the law of the leg jumps, over the head that the balance needs.
struct Jump { u32 leg = 0; double flow = 0, height = 0; };

struct PieceResult {
  Outcome outcome = Outcome::solved;
  std::vector<u32> legs, points;             // what the outcome is about
  double amount = 0;
  bool lasts = true;                         // false: balanced, but the smallest push leads away and to nowhere found
  std::vector<Several> several;              // at most one
  std::vector<std::vector<u32>> cannot_tell; // rings of legs that resist nothing: how the flow divides there is anyone's guess
  std::vector<Jump> jumps;
  u32 rounds = 0;
};

struct Balance {
  std::vector<double> flows;           // by leg; 0 in a piece without flows (see outcome)
  std::vector<double> heads;           // by point; not a number where nothing says what it is
  std::vector<PieceResult> pieces;     // as in Pieces
  u64 law_calls = 0;
};

// Points and legs by connected piece; shut legs connect nothing. A piece is numbered by its first point.
struct Pieces {
  std::vector<u32> of_point;                    // piece of a point
  std::vector<std::vector<u32>> points, legs;   // by piece, ascending; a shut leg is in none
  u32 count() const { return static_cast<u32>(points.size()); }
};
Pieces connected_pieces(const Net& net);

// `last`: flows by leg of a neighbouring case to start from, or empty. Legs without flow in it start cold.
Balance balance(const Net& net, Law& law, const BalanceSettings& settings, std::span<const double> last = {});

// The same for one piece only; `result` is made by no_balance_yet and filled piece by piece.
Balance no_balance_yet(const Net& net, const Pieces& pieces);
void balance_piece(const Net& net, const Pieces& pieces, u32 piece, Law& law, const BalanceSettings& settings,
                   std::span<const double> last, Balance& result);
}  // namespace dripleg::networks
