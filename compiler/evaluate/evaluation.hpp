// Values on demand. An evaluation owns everything that is computed about one checked program: worlds,
// kept values, holes that came up, lists. It computes a field or an expression in a world when asked and
// keeps what it computed together with what that depended on, so that other worlds share it.
#pragma once
#include "base/limits.hpp"
#include "evaluate/derivation.hpp"
#include "evaluate/unknowns.hpp"
#include "evaluate/worlds.hpp"
#include "meaning/program.hpp"
#include "notices/notice.hpp"

#include <functional>
#include <memory>
#include <optional>
#include <string>

namespace dripleg::evaluate {
using meaning::CaseId;
using meaning::ConditionId;
using meaning::ExprId;
using meaning::KindId;
using meaning::LimitId;
using meaning::Slice;
using meaning::ThingId;

struct Budget {
  u64 steps = base::limits::steps;         // rounds of loops and calls of functions, all together
  u64 list_items = 16'000'000;     // kept in lists made on the way
  u64 solver_work = base::limits::solver_work;   // calls of laws of legs, and of formulas that settle
};

// Where an expression is computed: whose formula it is, and its bound names by their frame index. The span
// must be as long as the owner says (Rule.locals, Case.locals …); names that are not bound may hold anything.
struct Scope {
  ThingId self;
  std::span<Value> locals;
};

struct InputId {                   // a field of a thing, as an input
  ThingId thing;
  u32 slot = 0;
  friend bool operator==(const InputId&, const InputId&) = default;
};

// One world of a case. A condition that sweeps is set to its low end in `world`; the caller sets the others.
struct Sweep {
  VariableId variable;
  double low = 0, high = 0, step = 0;    // in base units; step > 0
};
struct CaseWorld {
  std::vector<Value> bound;        // by frame index of the case
  WorldId world;
  std::vector<Sweep> sweeps;
};
struct CaseWorlds {
  std::vector<CaseWorld> worlds;
  Value state = Value::yes_no(true);     // else unknown or failed: worlds may be missing
};

class Evaluation {
 public:
  // Both must outlive it. The program must not change meanwhile, but for formulas and constants appended to it.
  // Failures are added to the notices, once each.
  Evaluation(const meaning::Program& program, notices::Notices& notices, Budget budget = {});
  ~Evaluation();
  Evaluation(const Evaluation&) = delete;
  Evaluation& operator=(const Evaluation&) = delete;

  // ---- values; each is known, none, unknown (see holes) or failed (payload: index of a notice) --------
  Value field(ThingId thing, u32 slot, WorldId world);
  Value expr(ExprId expr, const Scope& scope, WorldId world);
  Value condition(ConditionId condition, WorldId world);
  // What the last of these read. `variables_in` spells it out; more than what was read if variables share a bit.
  Reads reads() const;
  std::vector<VariableId> variables_in(Reads reads) const;
  // Calls `each` for every combination of the binders, whose values stand in the scope's locals meanwhile;
  // the argument is the `where` there: yes or unknown (no is left out), or failed. The result is yes,
  // unknown (a list is not known) or failed. `each` gives false to stop.
  Value each(Slice binders, ExprId where, const Scope& scope, WorldId world, const std::function<bool(Value)>& each);

  // ---- worlds -------------------------------------------------------------------------------------------
  Worlds& worlds();
  WorldId world(std::span<const WorldSetting> settings);
  WorldId with(WorldId base, VariableId variable, Value value);
  CaseWorlds case_worlds(CaseId case_asked, WorldId base);
  // What a variable is in a world: its setting, else its usual value.
  Value variable(VariableId variable, WorldId world);
  // Variables 0.. are the program's; those that `open` made follow.
  meaning::Variable variable_record(VariableId variable) const;
  u32 variable_count() const;
  // Makes variables of inputs, so that worlds can set them: stated ones keep their value as the usual one,
  // holes stay unknown. Forgets every kept value: open all that is needed in one call. In the order asked;
  // an input that is a variable already keeps its own.
  std::vector<VariableId> open(std::span<const InputId> inputs);

  // ---- limits: which of a limit's choices counts; the first unless said otherwise -----------------------
  // Forgets every kept value.
  void choose_limit(LimitId limit, ExprId value);

  // ---- what values stand for ------------------------------------------------------------------------------
  const HoleSet& holes(Value unknown) const;
  Bounds bounds(Value value) const;                   // of a known number: itself
  const meaning::Hole& hole(HoleId hole) const;       // the program's, then those that came up
  u32 hole_count() const;
  std::vector<Value> items(Value list, WorldId world);
  meaning::Range range(Value range, WorldId world);
  Value row_column(Value row, u32 column, WorldId world);
  Value make_list(std::span<const Value> items);
  // The job's things of a kind, in order of declaration; of a stock kind the library's too.
  std::span<const Value> all_of_kind(KindId kind);
  // `name`, `owner.field`, `a -> b`, `name[3]`: how people call a thing.
  std::string name_of(ThingId thing) const;

  // ---- how a value was made -------------------------------------------------------------------------------
  struct Depth { u32 levels = base::limits::why_depth; u32 steps = base::limits::why_nodes; };
  Derivation explain(ThingId thing, u32 slot, WorldId world) { return explain(thing, slot, world, Depth{}); }
  Derivation explain(ThingId thing, u32 slot, WorldId world, Depth depth);
  Derivation explain(ExprId expr, const Scope& scope, WorldId world, Depth depth);
  // Every input that an expression rests on, directly or through others; each once, in order of first reading.
  struct InputsRead {
    std::vector<InputId> inputs;                      // stated or missing alike
    std::vector<KindId> collections;
    std::vector<meaning::TableId> tables;
    bool cut = false;                                 // stopped at the limit
  };
  InputsRead inputs_of(ExprId expr, const Scope& scope, WorldId world, u32 most = 100'000);

  u64 steps_used() const;
  struct State;                                       // of this folder alone
  State& state() { return *state_; }

 private:
  std::unique_ptr<State> state_;
};
}  // namespace dripleg::evaluate
