// The rounds of a balance: Newton's step on heads and flows of nodes and chains, shortened where the energy that it
// goes down along would rise again at its end. For laws that rise the balance is the least of that energy.
#pragma once
#include "networks/law_calls.hpp"
#include "networks/sparse.hpp"

namespace dripleg::networks {
enum class RoundsEnd : u8 { balanced, nothing_drives, law_failed, unbounded, ran_out };

class Rounds {
 public:
  Rounds(const Reduction& reduction, LawCalls& law, u32 most_rounds);

  // From `last` (flows by leg, or empty). Ends at once where nothing drives or the law fails.
  RoundsEnd run(std::span<const double> last);
  // Pushes the chains whose law falls apart by a tenth of their flow and goes on, downhill, with fresh rounds.
  RoundsEnd run_from_a_push();

  // On from a balance in which one-way legs leak: they resist a thousand times more.
  RoundsEnd run_steeper();

  const std::vector<double>& flows() const { return flow_; }      // by chain
  const std::vector<double>& values() const { return value_; }    // drop, by chain
  const std::vector<double>& slopes() const { return slope_; }
  const std::vector<double>& heads() const { return head_; }      // by node
  double scale() const { return scale_; }                         // of heads: what drives here
  bool steady() const { return steady_; }                         // the smallest push does not lead away
  u32 rounds() const { return rounds_; }
  u32 most_moved() const { return most_moved_; }                  // the chain that moved most in the last round
  double last_move() const { return last_move_; }
  std::vector<u32> endless() const;                               // chains whose flow went beyond all bounds
  double misfit(u32 chain) const;                                 // drop less the difference of heads

  // For putting a former end back.
  struct State { std::vector<double> flow, value, slope, head; bool steady = true; };
  State state() const { return {flow_, value_, slope_, head_, steady_}; }
  void put_back(const State& state);

 private:
  bool start(std::span<const double> last);
  bool find_scale();
  bool start_cold(u32 chain, double unit);
  RoundsEnd iterate();
  void make_pattern();
  void make_weights();
  bool factor_weights();
  void take_step();
  void solve_for_step(bool with_heads);
  bool evaluate(double part);
  bool evaluate_within_reach();

  struct Mover { u32 chain; double off; };   // how much energy its drop at the end differs by from a straight line
  struct StepJudged {
    std::vector<Mover> movers;               // most off first
    u32 asked = 0;                           // so many of them make up nearly all that is off
    double begin = 0, end = 0;               // slope of the energy along the step
    bool pays = false;
  };
  StepJudged judge_step() const;
  void shorten(StepJudged judged);
  struct EnergySlope { double value = 0, bend = 0; };   // of the energy along the step, and the slope of that
  void energy_at(double part, StepJudged& judged, std::vector<ValueSlope>& found, EnergySlope& sum);
  double against(u32 chain, double drop) const;   // how much a drop resists the step beyond the new heads
  bool fits_heads();
  double mass_error() const;
  double own_tolerance(u32 chain) const;
  double scaled_step() const;

  const Reduction& reduction_;
  LawCalls& law_;
  u32 most_rounds_, rounds_ = 0, spent_ = 0;
  double tolerance_;
  std::vector<double> flow_, value_, slope_, head_;
  std::vector<double> weight_, step_, new_head_, new_value_, new_slope_, rest_;
  std::vector<u32> unknown_;                       // by node: its number among those without a ground
  std::vector<u32> pair_;                          // by chain: where its two entries lie
  std::optional<Factor> factor_;
  double scale_ = 0, start_flow_ = 0, part_ = 1, last_move_ = 0;
  u32 most_moved_ = 0;
  bool steady_ = true;
};
}  // namespace dripleg::networks
