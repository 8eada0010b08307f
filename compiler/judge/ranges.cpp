// Verdicts over ranges: proved by subdivision with bounds and slopes where the margin can be bounded, else
// judged at points; and "certain anyway", where what is not known has few answers and all agree.
#include "judge/judge.hpp"

#include "evaluate/interval.hpp"
#include "quantities/comparison.hpp"

#include <algorithm>
#include <cmath>

namespace dripleg::judge {
using evaluate::BoxSide;
using evaluate::Scope;
using evaluate::WorldId;
using meaning::ExprId;
using meaning::Op;
using meaning::Rule;
using meaning::State;
using meaning::Value;
using meaning::VariableId;
using meaning::VariableKind;

namespace {
// The tests joined by `and`, each a margin of its own.
void split(const meaning::Program& program, ExprId id, std::vector<ExprId>& out) {
  const meaning::Expr& e = program.exprs[id.value];
  if (e.op == Op::both) {
    for (u32 at = 0; at < e.n; ++at) split(program, program.expr_lists[e.a + at], out);
    return;
  }
  out.push_back(id);
}
bool compares(Op op) { return op == Op::at_least || op == Op::at_most || op == Op::greater || op == Op::less; }
}  // namespace

void Judgement::over_ranges(const Rule& rule, Verdict& verdict, const Scope& scope, WorldId& world) {
  // Which uncertain inputs the requirements read, now that everything has been computed once.
  evaluate::Reads reads = 0;
  for (u32 at = 0; at < rule.requirements.count; ++at) {
    evaluation_.expr(program_.requirements[rule.requirements.first + at].test, scope, world);
    reads |= evaluation_.reads();
  }
  if ((reads & ranges_) == 0) return;
  std::vector<BoxSide> sides;
  for (const VariableId variable : evaluation_.variables_in(reads)) {
    const meaning::Variable record = evaluation_.variable_record(variable);
    if (record.kind == VariableKind::range || record.kind == VariableKind::spread)
      sides.push_back({variable, record.low, record.high});
  }
  if (sides.empty()) return;
  const auto world_at = [&](const std::vector<double>& point) {
    std::vector<evaluate::WorldSetting> settings(evaluation_.worlds().settings(world).begin(), evaluation_.worlds().settings(world).end());
    for (std::size_t at = 0; at < sides.size(); ++at) settings.push_back({sides[at].variable, Value::number(point[at])});
    return evaluation_.world(settings);
  };
  // Any point at which it breaks is a witness.
  const auto look = [&](const std::vector<double>& point) {
    const WorldId there = world_at(point);
    const Verdict one = this->verdict(rule, scope, there);
    if (one.outcome == Outcome::breaks && verdict.outcome != Outcome::breaks) {
      const Sureness sureness = verdict.sureness;
      verdict = one;
      verdict.sureness = sureness;
      world = there;
    } else if (one.outcome == Outcome::holds && verdict.outcome == Outcome::holds && one.margin.numeric &&
               verdict.margin.numeric && one.margin.relative() < verdict.margin.relative()) {
      verdict.margin = one.margin;
      world = there;
    }
    return one.outcome;
  };
  bool proved = sides.size() <= evaluate::most_box_variables;
  std::vector<ExprId> tests;
  for (u32 at = 0; at < rule.requirements.count; ++at) split(program_, program_.requirements[rule.requirements.first + at].test, tests);
  const WorldId base = world;
  for (const ExprId id : tests) {
    if (!proved || verdict.outcome == Outcome::breaks) break;
    const meaning::Expr e = program_.exprs[id.value];
    evaluation_.expr(id, scope, base);
    if ((evaluation_.reads() & ranges_) == 0) continue;
    if (!compares(e.op)) {
      proved = false;
      break;
    }
    const bool up = e.op == Op::at_least || e.op == Op::greater;
    std::vector<std::vector<BoxSide>> boxes{sides};
    u32 used = 0;
    while (!boxes.empty()) {
      if (++used > most_boxes) {
        proved = false;
        break;
      }
      std::vector<BoxSide> box = boxes.back();
      boxes.pop_back();
      const auto bounds = evaluate::margin_over(evaluation_, ExprId{up ? e.a : e.b}, ExprId{up ? e.b : e.a}, scope, base, box);
      if (!bounds) {
        proved = false;
        break;
      }
      const double scale = std::fmax(std::fabs(verdict.margin.limit), std::fabs(verdict.margin.found));
      if (bounds->low >= -std::fmax(1e-9 * scale, 1e-12)) continue;
      // A side along which the margin rises or falls all the way shrinks to its low end.
      std::size_t widest = 0;
      double most_width = -1;
      for (std::size_t at = 0; at < box.size(); ++at) {
        const auto& slope = bounds->slopes[at];
        if (slope.low >= 0) box[at].high = box[at].low;
        else if (slope.high <= 0) box[at].low = box[at].high;
        const double width = std::fmax(std::fabs(slope.low), std::fabs(slope.high)) * (box[at].high - box[at].low);
        if (width > most_width) most_width = width, widest = at;
      }
      std::vector<double> middle;
      for (const BoxSide& side : box) middle.push_back((side.low + side.high) / 2);
      // Sides outside this box stay as the box says: all of them are in it.
      const Outcome there = look(middle);
      if (there == Outcome::breaks) break;
      if (there != Outcome::holds) {
        proved = false;
        break;
      }
      if (!(box[widest].high > box[widest].low)) continue;      // one point, and it holds
      std::vector<BoxSide> left = box, right = box;
      left[widest].high = right[widest].low = middle[widest];
      boxes.push_back(left);
      boxes.push_back(right);
    }
  }
  if (verdict.outcome == Outcome::breaks) {
    verdict.sureness = Sureness::exact;
    return;
  }
  if (proved) {
    // Show the worst corner found, so that margin and sentence are of the tightest point.
    std::vector<double> low, high;
    for (const BoxSide& side : sides) low.push_back(side.low), high.push_back(side.high);
    look(low);
    look(high);
    verdict.sureness = Sureness::every_value;
    return;
  }
  // At points: corners while they are few, then along each axis, then down from the worst.
  std::vector<double> nominal;
  for (const BoxSide& side : sides) nominal.push_back((side.low + side.high) / 2);
  u32 points = 0;
  if (sides.size() <= 6) {
    for (u32 corner = 0; corner < (1u << sides.size()) && verdict.outcome == Outcome::holds; ++corner, ++points) {
      std::vector<double> point;
      for (std::size_t at = 0; at < sides.size(); ++at) point.push_back((corner >> at) & 1 ? sides[at].high : sides[at].low);
      look(point);
    }
  }
  for (std::size_t axis = 0; axis <= sides.size() && verdict.outcome == Outcome::holds; ++axis)
    for (u32 n = 0; n <= 8; ++n, ++points) {
      std::vector<double> point = nominal;
      for (std::size_t at = 0; at < sides.size(); ++at)
        if (axis == sides.size() || at == axis) point[at] = sides[at].low + (sides[at].high - sides[at].low) * n / 8;
      look(point);
    }
  for (u32 pass = 0; pass < 2 && verdict.outcome == Outcome::holds; ++pass)
    for (std::size_t axis = 0; axis < sides.size() && verdict.outcome == Outcome::holds; ++axis) {
      std::vector<double> from;
      for (const BoxSide& side : sides) {
        const Value* const set = evaluation_.worlds().find(world, side.variable);
        from.push_back(set != nullptr && set->known() ? set->number() : (side.low + side.high) / 2);
      }
      for (u32 n = 0; n <= 8; ++n, ++points) {
        std::vector<double> point = from;
        point[axis] = sides[axis].low + (sides[axis].high - sides[axis].low) * n / 8;
        look(point);
      }
    }
  verdict.sureness = verdict.outcome == Outcome::breaks ? Sureness::exact : Sureness::sampled;
  verdict.points = points;
}

// The few answers that a missing yes/no or word can have; empty if they are many.
std::vector<Value> Judgement::answers_of(const meaning::Hole& hole) const {
  std::vector<Value> answers;
  if (!hole.thing.given()) return answers;
  const meaning::Field& field = program_.field(program_.things[hole.thing.value].kind, hole.slot);
  const meaning::Type type = program_.types[field.type.value];
  if (field.role == meaning::Role::port) return answers;
  if (type.kind == meaning::TypeKind::yes_no) {
    answers = {Value::yes_no(true), Value::yes_no(false)};
  } else if (type.kind == meaning::TypeKind::choice) {
    const meaning::Slice words = program_.word_sets[type.of].words;
    if (words.count > 4) return answers;
    for (u32 at = 0; at < words.count; ++at) answers.push_back(Value::index(program_.name_lists[words.first + at].value));
  }
  if (!answers.empty() && type.or_none) answers.push_back(Value::none());
  return answers;
}

// Where one such answer is all that is missing, each is tried; if all agree, that is the verdict.
void Judgement::try_answers() {
  std::vector<std::size_t> asked;
  std::vector<evaluate::InputId> inputs;
  for (std::size_t at = 0; at < findings_.size(); ++at) {
    const Finding& finding = findings_[at];
    if (finding.outcome != Outcome::open || finding.holes.size() != 1 || finding.more_holes) continue;
    const meaning::Hole hole = evaluation_.hole(finding.holes[0]);
    if (answers_of(hole).empty()) continue;
    asked.push_back(at);
    const evaluate::InputId input{hole.thing, hole.slot};
    if (std::find(inputs.begin(), inputs.end(), input) == inputs.end()) inputs.push_back(input);
  }
  if (asked.empty()) return;
  const std::vector<VariableId> variables = evaluation_.open(inputs);
  for (const std::size_t at : asked) {
    Finding& finding = findings_[at];
    const Rule& rule = program_.rules[finding.rule.value];
    const meaning::Hole hole = evaluation_.hole(finding.holes[0]);
    const evaluate::InputId input{hole.thing, hole.slot};
    const VariableId variable = variables[static_cast<std::size_t>(std::find(inputs.begin(), inputs.end(), input) - inputs.begin())];
    std::vector<Value> locals = finding.locals;
    const Scope scope{{}, locals};
    std::optional<Verdict> common;
    World common_world{};
    bool agree = true;
    for (const Value answer : answers_of(hole)) {
      std::optional<Verdict> worst;
      World worst_world{};
      for (const World& world : worlds_for(rule)) {
        World there = world;
        there.id = evaluation_.with(world.id, variable, answer);
        Verdict one = verdict(rule, scope, there.id);
        if (one.outcome == Outcome::open || one.outcome == Outcome::failed) agree = false;
        if (!worst || (one.outcome == Outcome::breaks && worst->outcome != Outcome::breaks) ||
            (one.outcome == worst->outcome && one.margin.numeric && worst->margin.numeric && one.margin.relative() < worst->margin.relative()) ||
            (worst->outcome == Outcome::does_not_apply && one.outcome == Outcome::holds)) {
          worst = one;
          worst_world = there;
        }
      }
      if (!worst || !agree) {
        agree = false;
        break;
      }
      if (common && (common->outcome != worst->outcome || common->advises != worst->advises)) {
        agree = false;
        break;
      }
      common = worst;
      common_world = worst_world;
    }
    if (!agree || !common) continue;
    finding.outcome = common->outcome;
    finding.advises = common->advises;
    finding.test = common->test;
    finding.margin = common->margin;
    finding.world = common_world.id;
    finding.case_id = common_world.case_id;
    finding.case_name = common_world.name;
    finding.sureness = Sureness::certain;
    if (finding.outcome == Outcome::breaks) finding.sentence = sentence(finding);
  }
}
}  // namespace dripleg::judge
