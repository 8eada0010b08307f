#include "builder.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace dripleg;
using namespace dripleg::evaluate::test;
using evaluate::nominal_world;
using evaluate::WorldId;

namespace {
// Cells that read one another, conditions and ranges, some only in one branch of an `if`.
struct Mesh : Builder {
  ThingId thing;
  std::vector<VariableId> variables;
  static constexpr u32 cells = 40;
  Mesh(std::mt19937& random, u32 ranges) {
    std::vector<ConditionId> conditions;
    for (u32 i = 0; i < 4; ++i) conditions.push_back(condition("c", n(i)));
    const KindId kind = this->kind("mesh", {});
    std::vector<Field> made;
    for (u32 i = 0; i < ranges + cells; ++i) {
      Field field;
      field.name = name("x");
      field.role = i < ranges ? Role::needs : Role::gives;
      field.type = number;
      made.push_back(field);
    }
    program.kinds.edit(kind.value).fields = {program.fields.append(made), static_cast<u32>(made.size())};
    program.classes.edit(program.kinds[kind.value].plain.value).formulas =
        {program.slot_formulas.append(std::vector<SlotFormula>(made.size())), static_cast<u32>(made.size())};
    const auto leaf = [&](u32 cell) -> ExprId {
      const u32 choice = random() % 3;
      if (choice == 0) return push({.op = Op::condition, .a = conditions[random() % 4].value}, number);
      if (choice == 1 || cell == 0) return mine(random() % ranges);
      return mine(ranges + random() % cell);
    };
    for (u32 i = 0; i < cells; ++i) {
      const ExprId test = op(Op::less, leaf(i), leaf(i));
      const ExprId one = op(Op::add, leaf(i), n(1)), two = op(Op::multiply, leaf(i), n(0.75)), base = leaf(i);
      formula(kind, ranges + i, op(Op::add, base, op(Op::choice, test, one, two)));
    }
    thing = add(kind, "m");
    for (u32 i = 0; i < ranges; ++i) variables.push_back(ranged(thing, i, 0, 4));
    for (const ConditionId each : conditions) variables.push_back(program.conditions[each.value].variable);
  }
};

void compare_with_fresh(u32 ranges, u32 seed) {
  std::mt19937 random(seed);
  Mesh mesh(random, ranges);
  Run kept(mesh.program);
  for (int round = 0; round < 60; ++round) {
    std::vector<evaluate::WorldSetting> settings;
    for (u32 i = random() % 4; i > 0; --i)
      settings.push_back({mesh.variables[random() % mesh.variables.size()], num(static_cast<double>(random() % 5))});
    const WorldId world = kept.evaluation.world(settings);
    Run fresh(mesh.program);
    const WorldId same = fresh.evaluation.world(settings);
    for (int i = 0; i < 10; ++i) {
      const u32 slot = ranges + random() % Mesh::cells;
      REQUIRE(kept.evaluation.field(mesh.thing, slot, world) == fresh.evaluation.field(mesh.thing, slot, same));
      REQUIRE(kept.evaluation.reads() == fresh.evaluation.reads());
    }
  }
}
}  // namespace

TEST_CASE("kept values are those of a fresh evaluation, bit by bit") {
  for (u32 seed = 1; seed <= 25; ++seed) compare_with_fresh(5, seed);
}

TEST_CASE("the same with more variables than bits") {
  for (u32 seed = 1; seed <= 8; ++seed) compare_with_fresh(120, seed);
}
