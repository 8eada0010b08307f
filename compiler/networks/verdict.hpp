// What the end of the rounds means: flows against one-way legs, rings in which nothing resists, laws that jump just
// where the balance lies.
#pragma once
#include "networks/balance.hpp"
#include "networks/rounds.hpp"

namespace dripleg::networks {
struct Judged {
  const Net& net;
  const Reduction& reduction;
  LawCalls& law;
  const Rounds& rounds;
};
std::vector<u32> legs_of(const Reduction& reduction, const std::vector<u32>& chains);   // each once, ascending

bool leaks(const Judged& judged);   // through a one-way leg, more than the tolerance
void judge_one_way(const Judged& judged, PieceResult& piece);
void find_rings_without_resistance(const Judged& judged, PieceResult& piece);
void find_jumps(const Judged& judged, PieceResult& piece);
}  // namespace dripleg::networks
