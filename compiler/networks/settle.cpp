#include "networks/settle.hpp"

#include "networks/parts.hpp"
#include "networks/settle_part.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::networks {
namespace {
class Settler {
 public:
  Settler(const std::vector<SettleCell>& cells, Formulas& formulas, u32 most_rounds)
      : cells_(cells), most_rounds_(most_rounds), work_{cells, formulas, {}, {}, {}, ReadSet(static_cast<u32>(cells.size())), 0},
        done_(cells.size(), 0), good_(cells.size(), 0) {}

  Settlement run() {
    look_at_start();
    bool left = true;
    while (left) left = solve_all(parts_of(work_.reads, done_));
    result_.values = std::move(work_.values);
    result_.settled = std::move(good_);
    result_.formula_calls = work_.calls;
    return std::move(result_);
  }

 private:
  // Who reads whom, as far as can be seen at the start; more may come to light while parts are solved.
  void look_at_start() {
    for (const SettleCell& cell : cells_) work_.values.push_back(cell.start);
    work_.reads.resize(cells_.size());
    std::vector<u32> dense;
    for (u32 cell = 0; cell < cells_.size(); ++cell) {
      work_.dense.push_back(work_.formulas.dense(cell));
      if (work_.dense.back()) dense.push_back(cell);
    }
    for (auto& reads : work_.reads) reads = dense;
    for (u32 cell = 0; cell < cells_.size(); ++cell) formula_of(work_, cell);
  }

  // True: a part turned out to read what was to come after it; the parts have to be made anew.
  bool solve_all(const std::vector<std::vector<u32>>& parts) {
    for (const auto& cells : parts) {
      SettlePart part;
      part.cells = cells;
      if (waits_for_failed(cells)) {
        for (const u32 cell : cells) done_[cell] = 1;
        continue;
      }
      const PartEnd end = solve(part);
      if (reads_ahead(cells)) return true;
      for (const u32 cell : cells) done_[cell] = 1, good_[cell] = end.outcome == SettleOutcome::settled;
      result_.rounds = std::max(result_.rounds, part.rounds);
      result_.parts.push_back(std::move(part));
      if (end.outcome != SettleOutcome::settled && result_.outcome == SettleOutcome::settled) take_failure(end);
    }
    return false;
  }

  bool waits_for_failed(const std::vector<u32>& cells) const {
    return std::any_of(cells.begin(), cells.end(), [&](u32 cell) {
      const auto& reads = work_.reads[cell];
      return std::any_of(reads.begin(), reads.end(), [&](u32 read) { return done_[read] && !good_[read]; });
    });
  }

  bool reads_ahead(const std::vector<u32>& cells) const {
    std::vector<char> here(cells_.size(), 0);
    for (const u32 cell : cells) here[cell] = 1;
    return std::any_of(cells.begin(), cells.end(), [&](u32 cell) {
      const auto& reads = work_.reads[cell];
      return std::any_of(reads.begin(), reads.end(), [&](u32 read) { return !done_[read] && !here[read]; });
    });
  }

  PartEnd solve(SettlePart& part) {
    const u32 first = part.cells.front();
    const auto& reads = work_.reads[first];
    if (part.cells.size() > 1 || std::binary_search(reads.begin(), reads.end(), first)) return PartSolver(work_, part).run(most_rounds_);
    const double value = formula_of(work_, first);
    if (!std::isfinite(value)) return {SettleOutcome::not_a_number, {first}};
    const SettleCell& cell = cells_[first];
    work_.values[first] = std::clamp(value, cell.low, cell.high);
    if (std::fabs(work_.values[first] - value) > cell.tolerance) return {SettleOutcome::runs_away, {first}};
    return {};
  }

  void take_failure(const PartEnd& end) {
    result_.outcome = end.outcome;
    result_.cells = end.cells;
    result_.amount = end.amount;
    result_.error = end.error;
    result_.from = end.from;
    result_.to = end.to;
  }

  const std::vector<SettleCell>& cells_;
  u32 most_rounds_;
  SettleWork work_;
  std::vector<char> done_, good_;
  Settlement result_;
};
}  // namespace

Settlement settle(const std::vector<SettleCell>& cells, Formulas& formulas, u32 most_rounds) {
  return Settler(cells, formulas, most_rounds).run();
}
}  // namespace dripleg::networks
