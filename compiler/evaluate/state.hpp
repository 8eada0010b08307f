// What an evaluation consists of. Internal to this folder; its steps each stand in a file of their own:
// fields.cpp (cells, inputs, holes), walk.cpp (formulas), folds.cpp (loops), look_up.cpp (tables),
// unknown_numbers.cpp (what is not known), built_ins.cpp, failures.cpp (words), explain.cpp.
#pragma once
#include "evaluate/cells.hpp"
#include "evaluate/evaluation.hpp"
#include "evaluate/lists.hpp"
#include "evaluate/recorder.hpp"
#include "quantities/comparison.hpp"

#include <string_view>

namespace dripleg::evaluate {
using meaning::BuiltIn;
using meaning::Expr;
using meaning::Field;
using meaning::FunctionId;
using meaning::Op;
using meaning::Program;
using meaning::TableId;
using meaning::Thing;
using meaning::TypeId;
using meaning::TypeKind;
using ValueState = meaning::State;

// Returned while a computation that went too deep is taken back, to be begun again from further down.
inline constexpr Value suspended = Value::failed(0xFFFF'FFFFu);

struct Frame {
  ThingId self;
  Value* locals = nullptr;
  const meaning::Function* function = nullptr;    // whose local names are computed when first read
};

// What keeps the result of a loop from being known.
struct Trouble {
  Value failed = Value::yes_no(false);            // failed, if anything did
  HoleSet holes;
  bool unknown = false;
  bool unlisted = false;                          // a list itself is not known
  bool stop() const { return !failed.known(); }
};

// What a loop runs over; items are made one by one.
struct LoopSource {
  std::span<const Value> items;
  bool own = true;                                // items are values of the evaluation
  double first = 0, step = 0;                     // else numbers
  u32 count = 0;
};

class Solving;

struct Evaluation::State {
  State(const Program& program_given, notices::Notices& notices_given, Budget budget_given);
  ~State();

  // ---- asking from outside: begins again below when a computation went too deep ----
  template <class Compute>
  Value ask(WorldId in, Compute compute);
  void run_tasks(std::size_t below = 0);          // those above that many
  bool roomy() const;                             // deep computations may be begun again from right here

  // ---- fields.cpp ----
  Value field(ThingId thing, u32 slot) {
    const u32 cell = program.things[thing.value].first_slot + slot;
    const Value stated = inputs[cell];
    return stated.known() ? stated : field_not_known(cell, thing, slot, stated);
  }
  Value field_not_known(u32 cell, ThingId thing, u32 slot, Value stated);
  Value condition(ConditionId asked);
  Value derived(u32 cell, ThingId thing, u32 slot);
  Value compute(u32 cell, ThingId thing, u32 slot);
  Value compute_condition(ConditionId asked);
  Value suspend(u32 cell, ThingId thing, u32 slot);
  Value keyed(ThingId thing, u32 slot, Value key, ExprId at);
  Value entry_for(Value list, Value key);
  bool one_value(ThingId entry);
  Value from_program(Value stored);               // an item of the program's lists, cells, constants
  Value variable_value(VariableId variable);
  Value hole_value(HoleId hole);
  Value missing(ThingId thing, u32 slot, std::optional<Value> key = {});
  const meaning::Hole& hole(HoleId asked) const;
  Value empty_list();
  std::span<const Value> all_of_kind(KindId kind);
  Value written_of_kind(KindId kind);
  ExprId formula_of(const Thing& thing, u32 slot, bool& of_owner) const;
  bool low_on_stack() const;

  // ---- walk.cpp ----
  Value walk(ExprId expr, Frame& frame);
  Value walk_in(ExprId expr, const Scope& scope); // from outside
  Value run(ExprId formula, ThingId self);        // a formula in a frame of its own
  Value call(ExprId at, const Expr& expr, Frame& frame);
  Value local(ExprId at, u32 index, Frame& frame);
  Value all_true(const Expr& expr, Frame& frame, bool wanted);
  Value choice(const Expr& expr, Frame& frame);
  static bool compare(Op op, bool exact, double a, double b);
  Value identity(ExprId at, Value a, Value b, bool wanted);
  meaning::Range range_of(Value range);
  Value in_list(ExprId at, const Expr& expr, Frame& frame);
  Value list(const Expr& expr, Frame& frame);
  Value in_world(ExprId at, const Expr& expr, Frame& frame);
  std::optional<Value> settings_of(CaseId asked, Frame& frame, std::vector<WorldSetting>& out, std::vector<Sweep>* sweeps,
                                   ExprId at);
  u32 frame_size(ExprId formula);
  u32 case_frame(CaseId asked);
  WorldId outer_world(WorldId base, std::span<const WorldSetting> settings);
  Value settled(VariableId variable, Value value);
  Value usual_of(VariableId variable) const;      // pending: has none of its own
  void forget();                                  // every kept value
  WorldId nested_world(WorldId base, std::span<const WorldSetting> settings, ExprId at, Value& failed);

  // ---- unknown_numbers.cpp: cold sides of operations, where an operand or the result is no number ----
  Value odd_number(ExprId at, Op op, Value a, Value b);
  Value odd_function(ExprId at, BuiltIn function, Value a);
  Value odd_comparison(ExprId at, Op op, Value a, Value b);
  // One of the values is not known (or worse): what comes of it, without bounds.
  Value blend(ExprId at, std::span<const Value> values);
  Value extreme(ExprId at, std::span<const Value> values, bool least);

  // ---- built_ins.cpp ----
  Value built_in(ExprId at, const Expr& expr, Frame& frame);
  Value rounded(ExprId at, BuiltIn how, Value number, Value step);
  bool is_run(Value leg) const;
  Value path_to(ExprId at, Value point);
  Value below(ExprId at, Value point);
  Value subsets(const LoopSource& all, double most);

  // ---- points_and_bins.cpp ----
  Value between_points(ExprId at, Value points, Value wanted, u32 along, u32 up);
  Value binned(ExprId at, const Expr& expr, Frame& frame);
  Value made_table(std::span<const Value> cells, u32 rows);     // column by column
  const meaning::Table* program_table(Value table) const;       // none: it was made here
  u32 rows_of(Value table) const;

  // ---- folds.cpp ----
  Value fold(ExprId at, const Expr& expr, Frame& frame);
  Value first_one(ExprId at, const Expr& expr, Frame& frame);
  Value find_root(ExprId at, const Expr& expr, Frame& frame);
  Value carry(ExprId at, const Expr& expr, Frame& frame);
  // Not known: why, in `state`.
  std::optional<LoopSource> source(ExprId expr, Frame& frame, Value& state);
  Value item(const LoopSource& source, u32 at) {
    if (source.step != 0) return Value::number(source.first + source.step * at);
    return source.own || source.items[at].known() ? source.items[at] : from_program(source.items[at]);
  }
  LoopSource items_of(Value list);
  bool count_step();                              // false: the budget is spent
  void note(Trouble& trouble, ExprId at, Value odd);
  template <class Body>
  bool loop(ExprId at, Slice binders, u32 depth, ExprId where, Frame& frame, Trouble& trouble, Body& body);

  // ---- look_up.cpp ----
  // column: 0 for the only one, or the row; else 1 + column
  Value table_value(ExprId at, const Expr& expr, u32 column, Frame& frame);
  Value look_up(ExprId at, TableId table, std::span<const Value> keys, u32 column);
  Value row_cell(Value row, u32 column);
  Value index_column(ExprId at, Value row, u32 group, Value key);
  meaning::ShapeId shape_of_row(Value row) const;
  Value blended_row(TableId table, u32 low, u32 high, double share);
  Value part_way(Value low, Value high, double share);

  // ---- failures.cpp ----
  Value fail(notices::Code code, ExprId at, std::string headline, std::vector<notices::Label> labels = {},
             std::vector<std::string> cures = {});
  Value fail_none_used(ExprId at, ExprId which);
  Value fail_cycle(std::size_t first_active);
  Value fail_long_cycle(u32 cell, ThingId thing, u32 slot);
  Value fail_outside(ExprId at, TableId table, u32 key, Value wanted, std::span<const Value> keys, bool absent);
  Value fail_steps();
  Value fail_too_deep(ExprId at);
  std::string here() const;                       // "`field` of `thing`"
  std::string cell_name(ThingId thing, u32 slot) const;
  std::string name_of(ThingId thing) const;
  NameId port_of(ThingId point) const;
  std::string show(Value value, TypeId type) const;

  const Program& program;
  notices::Notices& notices;
  Budget budget;
  Worlds worlds;
  Unknowns unknowns;
  Lists lists;
  std::vector<Value> inputs;                      // the program's; what was opened is a variable here
  Cells cells;                                    // one for each input, then one for each condition

  // ---- what is going on ----
  WorldId world = nominal_world;
  Reads reads = 0;
  struct Active {
    u32 cell;
    WorldId world;
    ThingId thing;                                // none: a condition
    u32 slot;
  };
  std::vector<Active> active;
  std::size_t cycle_floor = 0;                    // what is computed below it is asked anew by what is being solved
  std::vector<Active> tasks;                      // taken back, to be computed first; the top one next
  bool suspending = false;
  Value unsure;                      // the unknown test of the choice both of whose sides are being tried
  Recorder* recorder = nullptr;
  u64 steps = 0;
  std::unique_ptr<Solving> solving;               // made with the state
  u64 solver_work = 0;                            // calls of laws and of formulas that settle
  Value spent = Value::yes_no(false);             // failed, once the budget is spent
  const char* stack_floor = nullptr;

  struct Free {
    void operator()(Value* values) const { std::free(values); }
  };
  std::unique_ptr<Value[], Free> frame_stack;     // pages that nothing touches cost nothing
  u32 frame_top = 0;
  std::vector<u16> frame_sizes;                   // by formula: 1 + size, 0 not counted yet

  // ---- what came up ----
  struct Opened {
    InputId input;
    Value usual;                                  // as stated; unstated: by the field's own rule
  };
  std::vector<Opened> opened;
  std::vector<meaning::Hole> holes;
  Interner hole_index;
  struct BlendedRow { TableId table; u32 low, high; double share; };
  std::vector<BlendedRow> blended_rows;
  Interner blended_index;
  struct MadeTable { Value cells; u32 rows; };    // a list, column by column
  std::vector<MadeTable> made_tables;
  Interner made_index;
  u32 last_row = 0;                               // of the last look-up that found one
  struct Members { KindId kind; std::vector<Value> things; };
  std::vector<std::unique_ptr<Members>> members;
  std::vector<ExprId> limit_values;               // by LimitId
  std::vector<u8> world_nesting;                  // by WorldId: how many `when` lead there
  struct Failure { ExprId at; ThingId self; notices::Code code; u32 notice; };
  std::vector<Failure> failures;
  Interner failure_index;
  std::vector<u32> keyless_slots;                 // by KindId: 1 + number of slots beside built-in ones
};

// Sets the world for a while.
class InWorld {
 public:
  InWorld(Evaluation::State& state, WorldId world) : state_(state), before_(state.world) { state.world = world; }
  ~InWorld() { state_.world = before_; }
  InWorld(const InWorld&) = delete;
  InWorld& operator=(const InWorld&) = delete;

 private:
  Evaluation::State& state_;
  WorldId before_;
};

// A stretch of the stack of locals, given back at the end. None is had if the stack is full.
class Locals {
 public:
  Locals(Evaluation::State& state, u32 count) : state_(state), top_(state.frame_top) {
    if (state.frame_top + count > capacity) return;
    at_ = state.frame_stack.get() + state.frame_top;
    state.frame_top += count;
  }
  ~Locals() { state_.frame_top = top_; }
  Locals(const Locals&) = delete;
  Locals& operator=(const Locals&) = delete;
  Value* get() const { return at_; }
  static constexpr u32 capacity = 1u << 18;

 private:
  Evaluation::State& state_;
  u32 top_;
  Value* at_ = nullptr;
};

// Tables that are made while formulas are computed are numbered from here: behind those of the program and the
// rows part of the way between two, and such that a row of them is still a whole number of a double.
inline constexpr u32 first_made_table = 1u << 26;
inline constexpr u32 most_active = 200;           // cells computed inside one another before a new beginning
inline constexpr std::ptrdiff_t stack_room = 5 * 1024 * 1024;

template <class Compute>
Value Evaluation::State::ask(WorldId in, Compute compute_it) {
  const InWorld inside(*this, in);
  stack_floor = static_cast<const char*>(__builtin_frame_address(0)) - stack_room;
  for (;;) {
    reads = 0;
    suspending = false;
    const Value value = compute_it();
    if (!suspending) return value;
    run_tasks();
  }
}
}  // namespace dripleg::evaluate
