// What is solved for instead of being walked: the flows and heads of a balanced network, and the values that
// settle. Belongs to one evaluation; keeps each solution under what it depended on, as cells are kept, but all of
// them: a plant judged in a hundred cases is solved once for each. Internal to this folder.
#pragma once
#include "evaluate/state.hpp"
#include "networks/balance.hpp"
#include "networks/settle.hpp"

#include <unordered_map>
#include <utility>

namespace dripleg::evaluate {
class Solving {
 public:
  explicit Solving(Evaluation::State& state) : s_(state) {}

  // A built-in field of a balanced network's point or leg; none of them: nothing.
  std::optional<Value> solved_field(ThingId thing, u32 slot, const Field& field);
  Value settled(u32 cell, ThingId thing, u32 slot, const Field& field);
  // While something is solved for: what is tried for the cell, before any ring of formulas is seen in that.
  std::optional<Value> being_tried(u32 cell, ThingId thing, u32 slot);
  // Inside a solution that is being looked for: values that are tried are nobody else's.
  bool trying() const { return !trials_.empty() || !settlings_.empty(); }
  void forget();
  void forget_keys_from(u32 projection);                   // solutions that are kept under such keys

 private:
  friend struct LegLaw;
  friend struct CellFormulas;

  // One network block of the job, as numbers.
  struct Plan {
    ThingId net;
    const meaning::Network* network = nullptr;
    std::vector<ThingId> legs, points;
    std::unordered_map<u32, u32> leg_of, point_of;         // by ThingId
    std::vector<std::vector<u32>> legs_at;                 // by point
    networks::Net form;                                    // every leg open both ways
    std::vector<double> last;                              // flows of the last solution
  };
  // A balance in which settling values were read: good only as long as they stand.
  struct Passing {
    u32 plan = 0;
    WorldId world;
    Reads reads = 0;
    std::vector<std::pair<u32, double>> stood;             // number among the settling values, what it was
    std::vector<Value> flows, heads;
  };
  struct Trial {                                           // a law being asked
    u32 plan = 0;
    WorldId world;
    ThingId leg;
    double flow = 0;
  };
  struct Ring {                                            // values that settle together
    WorldId world;
    std::vector<Evaluation::State::Active> cells;
    std::vector<networks::SettleCell> ends;
    std::unordered_map<u32, u32> number;                   // by cell
    std::vector<double> values;
    networks::ReadSet* reading = nullptr;
    std::vector<u32>* met = nullptr;                       // what a balance reads
    Value odd = Value::none();                             // a formula that has no number
    bool grown = false;                                    // a formula read a value that was not among them
    bool leans_out = false;                                // something inside read another ring's values
    std::optional<Passing> passing;
  };

  // From here on, what is being computed outside may be asked for once more, with what is tried.
  class Afresh {
   public:
    explicit Afresh(Evaluation::State& state) : state_(state), before_(std::exchange(state.cycle_floor, state.active.size())) {}
    ~Afresh() { state_.cycle_floor = before_; }
    Afresh(const Afresh&) = delete;
    Afresh& operator=(const Afresh&) = delete;

   private:
    Evaluation::State& state_;
    std::size_t before_;
  };

  // ---- balance.cpp ----
  u32 plan_of(ThingId net);
  u32 cell_of(ThingId thing, u32 slot) const { return s_.program.things[thing.value].first_slot + slot; }
  Value flow(ThingId leg, u32 slot);
  Value head(ThingId point, u32 slot);
  Value legs_by_flow(ThingId point, const meaning::Network& network, bool arriving);
  Value from_balance(u32 plan, ThingId thing, u32 slot, bool of_point);
  void find_flows(u32 plan, Passing& found);
  bool read_forms(Plan& plan, networks::Net& net, std::vector<Value>& odd);
  void solve_piece(u32 plan, const networks::Net& net, const networks::Pieces& pieces, u32 piece,
                   std::span<const Value> odd, Passing& found);
  Value piece_failure(const Plan& plan, const networks::PieceResult& result, Value law);
  void piece_notices(const Plan& plan, const networks::PieceResult& result);
  Passing* passing_for(u32 plan);
  // ---- settle.cpp ----
  Ring* ring_in(WorldId world);
  const Trial* trial_of(u32 plan) const;
  Value tried(Ring& ring, u32 cell, ThingId thing, u32 slot, const Field& field);
  u32 join_ring(Ring& ring, u32 cell, ThingId thing, u32 slot, const Field& field);
  Value shared(Value odd);
  Value formula_value(Ring& ring, u32 at);
  Value solve_ring(Ring& ring);
  Value ring_failure(const Ring& ring, const networks::Settlement& found);
  // ---- kept solutions ----
  std::optional<Value> kept(u32 cell);
  void keep(u32 cell, Reads reads, Value value);
  Value fail_about(notices::Code code, ThingId about, std::string headline, std::vector<std::string> cures = {});
  std::string names_of(std::span<const ThingId> things) const;
  std::string shown(const meaning::Network& network, u32 leg_slot, double value) const;

  Evaluation::State& s_;
  std::vector<Plan> plans_;
  std::unordered_map<u32, u32> plan_index_;                // by ThingId of the net
  std::vector<Trial> trials_;
  std::vector<Ring*> settlings_;
  std::vector<Reads> kept_reads_;                          // the sets under which solutions are kept
  std::unordered_map<u64, Value> kept_;                    // by cell and key
  std::unordered_map<u64, u32> told_;                      // notice by code and thing
};
}  // namespace dripleg::evaluate
