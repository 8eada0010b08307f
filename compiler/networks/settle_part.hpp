// One part of a settling: cells that read one another, solved together by Newton's step with slopes from one
// difference a reading. The factored slopes also say how much larger the true error may be than the residual.
// Cells on which balances depend, and others whose formula falls, are `outer`: each value tried for them is judged with
// all other cells at rest for it, so that the way to the answer does not lead through states that no plant is in.
#pragma once
#include "networks/bordered.hpp"
#include "networks/settle.hpp"

namespace dripleg::networks {
struct SettleWork {                            // what all parts share
  const std::vector<SettleCell>& cells;
  Formulas& formulas;
  std::vector<double> values;                  // by cell
  std::vector<std::vector<u32>> reads;         // by cell: all that it was ever seen to read, ascending
  std::vector<char> dense;
  ReadSet seen;
  u64 calls = 0;
};
// The formula at the values as they are; what it reads is kept in `reads`. Not finite: no value.
double formula_of(SettleWork& work, u32 cell);

struct PartEnd {
  SettleOutcome outcome = SettleOutcome::settled;
  std::vector<u32> cells;
  double amount = 0, error = 0, from = 0, to = 0;
};

class PartSolver {
 public:
  PartSolver(SettleWork& work, SettlePart& part);
  PartEnd run(u32 most_rounds);

 private:
  enum class Go : u8 { on, stop };

  // ---- settle_part.cpp: all cells that are not held ----
  PartEnd all_at_once(u32 most_rounds, u32& rounds);
  bool evaluate();
  double worst() const;
  bool take_slopes();
  bool add_slope(u32 row, u32 column, double by);
  double difference_of(u32 column) const;
  bool find_outer();
  bool find_outer_afar();
  void factor();
  void keep_to_ranges();
  bool within_tolerance() const;
  bool step();
  bool sweep_twice();
  std::vector<u32> null_part() const;
  Go leave_singular(PartEnd& end);
  bool pushes_outwards(PartEnd& end);
  void finish();
  PartEnd no_value(u32 cell) const;
  // ---- settle_outer.cpp: outer cells, the others at rest for them ----
  PartEnd outer_first(u32 most_rounds);
  bool rest();
  double worst_outer() const;
  bool outer_step();
  bool outer_by_turns();
  bool outer_alone(u32 place);
  struct State;
  State state() const;
  void back_to(const State& state);
  double residual_with(u32 place, double moved);
  // ---- settle_jump.cpp: what to say when it does not settle ----
  PartEnd not_settled();
  bool find_jump(u32 place, PartEnd& end);
  void remember_where();

  double& value(u32 place) { return work_.values[part_.cells[place]]; }
  const SettleCell& cell(u32 place) const { return work_.cells[part_.cells[place]]; }
  double inside(u32 place, double value) const;
  bool is_dense(u32 place) const { return work_.dense[part_.cells[place]]; }

  SettleWork& work_;
  SettlePart& part_;
  u32 size_;
  std::vector<u32> place_;                     // by cell of the job; or none
  std::vector<std::vector<u32>> read_now_;     // by place: places read at the present values, but dense ones
  std::vector<double> formula_, residual_;     // by place; residuals in tolerances
  std::vector<Slope> slopes_;                  // of places; both sides in tolerances
  std::vector<double> step_, response_;        // Newton's step, and what residuals of 1 everywhere could move; in tolerances
  std::vector<char> outer_, held_;             // by place; held: stands still for now
  u32 outer_count_ = 0;
  bool at_rest_ = false, flat_ = false;        // the cells that are not outer; nothing holds outer ones
  std::vector<double> moved_last_;             // by place: what the last step has moved it; or none
  std::vector<double> lowest_, highest_;       // by place: where it lately was or should have gone
  std::vector<u32> outward_;                   // by place: rounds in a row at an end of the range, pushing on
  u32 failed_ = 0, escapes_ = 0;
  double largest_seen_ = 0, reach_ = 0;        // reach: of the range, for differences; or 0
};
}  // namespace dripleg::networks
