// One part of a settling: cells that read one another, solved together by Newton's step with slopes from one
// difference a reading. The factored slopes also say how much larger the true error may be than the residual.
#pragma once
#include "networks/settle.hpp"
#include "networks/sparse.hpp"

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
  struct Slope { u32 row, column; double value; };   // places in the part; both sides in tolerances
  enum class Go : u8 { on, stop };

  bool evaluate();
  double worst() const;
  bool take_slopes();
  bool add_slope(u32 row, u32 column, double by);
  void factor();
  bool step();
  bool sweep_twice();
  std::vector<u32> null_part() const;
  Go leave_singular(PartEnd& end);
  bool pushes_outwards(PartEnd& end);
  void finish();
  PartEnd not_settled();
  bool find_jump(u32 place, PartEnd& end);
  void remember_where();
  PartEnd no_value(u32 cell) const;

  double& value(u32 place) { return work_.values[part_.cells[place]]; }
  const SettleCell& cell(u32 place) const { return work_.cells[part_.cells[place]]; }

  SettleWork& work_;
  SettlePart& part_;
  u32 size_;
  std::vector<u32> place_;                     // by cell of the job; or none
  std::vector<std::vector<u32>> read_now_;     // by place: places read at the present values
  std::vector<double> formula_, residual_;     // by place; residuals in tolerances
  std::vector<Slope> slopes_;
  std::vector<double> step_, response_;        // Newton's step, and what a residual of 1 everywhere would move; in tolerances
  std::vector<double> lowest_, highest_;       // by place: where it lately was or should have gone
  std::vector<u32> outward_;                   // by place: rounds in a row at an end of the range, pushing on
  u32 failed_ = 0, escapes_ = 0;
  double largest_seen_ = 0;
};
}  // namespace dripleg::networks
