// How a value was made: a tree of steps, outermost first, each with its value and where it came from.
// Made on demand by computing the asked value once more with every reading written down; absences and
// whole collections that were read are steps too.
#pragma once
#include "evaluate/worlds.hpp"

#include <vector>

namespace dripleg::evaluate {
enum class How : u8 {
  stated,        // an input, as written
  range,         // an input that may lie anywhere in a stretch: what this world sets it to
  not_stated,    // an entry that is missing: none, or not known
  built_in,      // how things are joined: filled by the compiler
  usual,         // nothing stated: the default formula of the field
  formula,       // the formula of the field
  balanced,      // a flow or a head of a balanced network, or which way it goes
  settled,       // its formula, solved together with all that rest on one another
  condition_set, // a condition, set by this world
  condition,     // a condition at its usual value
  limit,         // a named number of a rule
  table,         // a look-up
  call,          // a function of the library
  collection,    // all things of a kind
  other_world,   // the value of a formula in another world
  expression,    // the asked expression itself, if it is no field
};
struct Step {
  How how = How::expression;
  bool cut = false;               // more lies below than was asked for
  meaning::ThingId thing{};         // of a field
  u32 slot = 0;
  meaning::ExprId expr{};           // the formula that gave it, or the place in a formula that read it
  meaning::ConditionId condition{};
  meaning::LimitId limit{};
  meaning::FunctionId function{};
  meaning::TableId table{};
  u32 row = 0;                    // of a look-up: the row taken, or the first of two
  meaning::KindId kind{};           // of a collection
  WorldId world{};
  Value value{};
  std::vector<u32> from{};          // steps that it was made of, in the order in which they were read
};
struct Derivation {
  std::vector<Step> steps;        // 0: what was asked
  bool cut = false;               // the count of steps reached its limit
};
}  // namespace dripleg::evaluate
