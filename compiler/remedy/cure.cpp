#include "remedy/cure.hpp"

#include <algorithm>

namespace dripleg::remedy {
using judge::Finding;
using judge::Outcome;
using meaning::State;
using meaning::ThingId;
using meaning::TypeKind;
using meaning::Value;

Search::Search(judge::Judgement& judgement) : judgement_(judgement), program_(judgement.program()) {
  for (const Finding& finding : judgement.findings()) before_.emplace_back(judgement.id(finding), finding.outcome);
}

// The things whose field a remedy names, in the finding's worst world; each once.
std::vector<Change> Search::candidates(const Finding& finding) {
  std::vector<Change> found;
  const meaning::Rule& rule = program_.rules[finding.rule.value];
  evaluate::Evaluation& evaluation = judgement_.evaluation();
  for (u32 at = 0; at < rule.remedies.count; ++at) {
    const meaning::Remedy& remedy = program_.remedies[rule.remedies.first + at];
    std::vector<Value> locals = finding.locals;
    locals.resize(std::max<std::size_t>(locals.size(), rule.locals));
    const evaluate::Scope scope{{}, locals};
    const meaning::Expr& target = program_.exprs[remedy.target.value];
    evaluation.each(remedy.binders, remedy.where, scope, finding.world, [&](Value applies) {
      if (!applies.known()) return true;
      const Value thing = evaluation.expr(meaning::ExprId{target.a}, scope, finding.world);
      if (!thing.known()) return true;
      const Change change{ThingId{thing.index()}, remedy.slot, Value::none()};
      const bool known = std::any_of(found.begin(), found.end(), [&](const Change& other) { return other.thing == change.thing && other.slot == change.slot; });
      if (!known) found.push_back(change);
      return true;
    });
  }
  return found;
}

// Sizes are ordered by a table of something that the thing is of: the size that stands `steps` rows on.
std::optional<Value> Search::step(ThingId id, u32 slot, u32 steps) const {
  const meaning::Thing& thing = program_.things[id.value];
  if (program_.types[program_.field(thing.kind, slot).type.value].kind != TypeKind::size) return std::nullopt;
  const Value now = program_.inputs[thing.first_slot + slot];
  const meaning::Kind& kind = program_.kinds[thing.kind.value];
  for (u32 at = 0; at < kind.fields.count; ++at) {
    const Value of = program_.inputs[thing.first_slot + at];
    if (program_.types[program_.field(thing.kind, at).type.value].kind != TypeKind::thing || !of.known()) continue;
    const meaning::Thing& stock = program_.things[of.index()];
    if (!stock.is_stock) continue;
    for (u32 n = 0; n < stock.slots; ++n) {
      const meaning::Type type = program_.types[program_.field(stock.kind, n).type.value];
      const Value table_value = program_.inputs[stock.first_slot + n];
      if (type.kind != TypeKind::table || !table_value.known()) continue;
      const meaning::Table& table = program_.tables[table_value.index()];
      const meaning::Shape& shape = program_.shapes[table.shape.value];
      if (shape.keys != 1 || program_.types[program_.columns[shape.columns.first].type.value].kind != TypeKind::size) continue;
      for (u32 row = 0; row < table.rows; ++row) {
        const Value size = program_.table_cells[table.first_cell + row];
        if (now.known() ? size == now : row == 0) {
          const u32 wanted = now.known() ? row + steps : steps - 1;
          if (wanted >= table.rows) return std::nullopt;
          return program_.table_cells[table.first_cell + wanted];
        }
      }
    }
  }
  return std::nullopt;
}

std::optional<Cure> Search::trial(const Finding& finding, const std::vector<Change>& changes) {
  if (++trials_ > most_trials) return std::nullopt;
  notices::Notices quiet;
  judge::Options options = judgement_.options();
  options.only = {};
  for (const Change& change : changes) options.changes.push_back({change.thing, change.slot, change.value});
  judge::Judgement again(program_, quiet, options);
  again.run();
  if (again.findings().size() != before_.size()) return std::nullopt;
  Cure cure;
  cure.changes = changes;
  bool cured = false;
  for (std::size_t at = 0; at < before_.size(); ++at) {
    const Finding& now = again.findings()[at];
    const bool was_bad = before_[at].second == Outcome::breaks || before_[at].second == Outcome::failed;
    const bool is_bad = now.outcome == Outcome::breaks || now.outcome == Outcome::failed;
    if (is_bad && !was_bad) return std::nullopt;
    if (now.outcome == Outcome::open && before_[at].second == Outcome::holds) return std::nullopt;
    const bool same = now.rule == finding.rule && now.subjects == finding.subjects;
    if (same && now.outcome == Outcome::holds) {
      cured = true;
      cure.margin = now.margin;
    } else if (was_bad && !is_bad && !same) {
      cure.turns.push_back(before_[at].first);
    }
  }
  if (!cured) return std::nullopt;
  return cure;
}

std::optional<Cure> Search::find(const Finding& finding) {
  if (finding.outcome != Outcome::breaks || program_.rules[finding.rule.value].remedies.count == 0) return std::nullopt;
  const std::vector<Change> all = candidates(finding);
  if (all.empty()) return std::nullopt;
  for (u32 steps = 1; steps <= 2; ++steps)
    for (const Change& one : all) {
      Change change = one;
      const auto value = step(one.thing, one.slot, steps);
      if (!value) continue;
      change.value = *value;
      if (auto cure = trial(finding, {change})) return cure;
    }
  for (u32 steps = 1; steps <= 3; ++steps) {
    std::vector<Change> together;
    for (const Change& one : all)
      if (const auto value = step(one.thing, one.slot, steps)) together.push_back({one.thing, one.slot, *value});
    if (together.size() < 2 && steps < 3) continue;
    if (together.empty()) break;
    if (auto cure = trial(finding, together)) return cure;
  }
  return std::nullopt;
}
}  // namespace dripleg::remedy
