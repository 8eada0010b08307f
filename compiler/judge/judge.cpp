#include "judge/judge.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::judge {
using evaluate::CaseWorld;
using evaluate::Scope;
using evaluate::WorldId;
using meaning::CaseId;
using meaning::ExprId;
using meaning::Op;
using meaning::Rule;
using meaning::State;
using meaning::ThingId;
using meaning::Value;
using meaning::VariableKind;

double Margin::relative() const {
  const double size = std::fmax(std::fabs(limit), 1e-12);
  return spare() / size;
}

Judgement::Judgement(const meaning::Program& program, notices::Notices& notices, const Options& options)
    : program_(program), notices_(notices), options_(options), evaluation_(program, notices),
      in_force_(program, program.job_code, options.everything), wording_(program, evaluation_, options.system) {
  case_worlds_.resize(program.cases.size());
  cut_.resize(program.cases.size());
  for (u32 at = 0; at < program.limits.size(); ++at) {
    const ChosenLimit& chosen = in_force_.limit(meaning::LimitId{at});
    const meaning::Limit& limit = program.limits[at];
    if (chosen.value.given() && limit.choices.count != 0 &&
        !(program.limit_choices[limit.choices.first].value == chosen.value))
      evaluation_.choose_limit(meaning::LimitId{at}, chosen.value);
  }
  if (!options.changes.empty()) {
    std::vector<evaluate::InputId> inputs;
    for (const InputChange& change : options.changes) inputs.push_back({change.thing, change.slot});
    const auto variables = evaluation_.open(inputs);
    std::vector<evaluate::WorldSetting> settings;
    for (std::size_t at = 0; at < variables.size(); ++at) settings.push_back({variables[at], options.changes[at].value});
    base_ = evaluation_.world(settings);
  }
  for (u32 at = 0; at < program.variables.size(); ++at)
    if (program.variables[at].kind != VariableKind::condition) ranges_ |= evaluation_.worlds().bit(meaning::VariableId{at});
}

void Judgement::run() {
  if (options_.only) {
    judge_rule(*options_.only);
    try_answers();
    return;
  }
  for (u32 at = 0; at < program_.rules.size(); ++at)
    if (in_force_.rule(meaning::RuleId{at})) judge_rule(meaning::RuleId{at});
  try_answers();
}

std::vector<CaseWorld> Judgement::worlds_of(CaseId id) {
  auto& known = case_worlds_[id.value];
  if (known) return *known;
  auto all = evaluation_.case_worlds(id, base_).worlds;
  if (all.size() > most_family) {
    // The first and the last halves: every verdict says that the family was cut.
    cut_[id.value] = 1;
    all.erase(all.begin() + most_family / 2, all.end() - most_family / 2);
  }
  known = all;
  return all;
}

std::string Judgement::case_name(CaseId id, const CaseWorld& world) {
  const meaning::Case& record = program_.cases[id.value];
  std::string name(program_.text(record.name));
  for (char& c : name)
    if (c == '_') c = ' ';
  if (record.binders.count == 0) return name;
  name += ": ";
  for (u32 at = 0; at < record.binders.count; ++at) {
    const meaning::Binder& binder = program_.binders[record.binders.first + at];
    const meaning::Type list = program_.types[program_.expr_notes[binder.source.value].type.value];
    const meaning::Type element = program_.types[list.of];
    name += (at == 0 ? "" : ", ") + wording_.value(world.bound[binder.local], element, world.world);
  }
  return name;
}

std::vector<Judgement::World> Judgement::worlds_for(const Rule& rule) {
  std::vector<World> worlds;
  for (u32 at = 0; at < rule.during.count; ++at) {
    const CaseId id = program_.case_ids[rule.during.first + at];
    for (const CaseWorld& world : worlds_of(id)) {
      const std::string name = case_name(id, world);
      if (world.sweeps.empty()) {
        worlds.push_back({world.world, id, name});
        continue;
      }
      const evaluate::Sweep& sweep = world.sweeps.front();
      const u32 steps = std::min<u32>(2000, static_cast<u32>(std::ceil((sweep.high - sweep.low) / sweep.step - 1e-9)));
      for (u32 n = 0; n <= steps; ++n) {
        const double at_value = n == steps ? sweep.high : sweep.low + n * sweep.step;
        worlds.push_back({evaluation_.with(world.world, sweep.variable, Value::number(at_value)), id, name, true, at_value});
      }
    }
  }
  if (worlds.empty()) worlds.push_back({base_, {}, {}});
  return worlds;
}

void Judgement::judge_rule(meaning::RuleId id) {
  const Rule& rule = program_.rules[id.value];
  const std::vector<World> worlds = worlds_for(rule);
  std::vector<Value> locals(std::max<u32>(rule.locals, 1));
  if (rule.binders.count == 0) {
    judge_subject(id, locals, worlds);
    return;
  }
  // Subjects are bound once; whether the rule asks anything of them may differ from case to case.
  const Scope scope{{}, locals};
  evaluation_.each(rule.binders, ExprId{}, scope, worlds.front().id, [&](Value) {
    std::vector<Value> frame = locals;
    judge_subject(id, frame, worlds);
    return true;
  });
}

Judgement::Verdict Judgement::test(ExprId id, const Scope& scope, WorldId world) {
  Verdict verdict;
  verdict.test = id;
  const meaning::Expr& e = program_.exprs[id.value];
  verdict.state = evaluation_.expr(id, scope, world);
  if (verdict.state.is(State::failed)) verdict.outcome = Outcome::failed;
  else if (!verdict.state.known()) verdict.outcome = Outcome::open;
  else verdict.outcome = verdict.state.yes() ? Outcome::holds : Outcome::breaks;
  // A margin: of a comparison its two sides; of several joined by `and` the least; of `or` the best.
  if (e.op == Op::both || e.op == Op::either) {
    std::optional<Margin> chosen;
    for (u32 at = 0; at < e.n; ++at) {
      const Verdict part = test(program_.expr_lists[e.a + at], scope, world);
      // What stands behind a part that decides is not asked: it may speak of something that is not there.
      const bool decides = part.outcome == (e.op == Op::both ? Outcome::breaks : Outcome::holds);
      if (part.margin.numeric) {
        const bool takes = !chosen || (e.op == Op::both ? part.margin.relative() < chosen->relative() : part.margin.relative() > chosen->relative());
        if (takes) chosen = part.margin;
      }
      if (decides) break;
    }
    if (chosen) verdict.margin = *chosen;
    return verdict;
  }
  if (e.op == Op::in_range) {
    const Value found = evaluation_.expr(ExprId{e.a}, scope, world);
    const Value range = evaluation_.expr(ExprId{e.b}, scope, world);
    if (!found.known() || !range.known()) return verdict;
    const meaning::Range ends = evaluation_.range(range, world);
    if (!ends.low.known() || !ends.high.known()) return verdict;
    const bool low_nearer = found.number() - ends.low.number() < ends.high.number() - found.number();
    verdict.margin = {ExprId{e.a}, ExprId{e.b}, low_nearer ? Op::at_least : Op::at_most, found.number(),
                      low_nearer ? ends.low.number() : ends.high.number(), true, !low_nearer, low_nearer};
    return verdict;
  }
  if (e.op == Op::at_least || e.op == Op::at_most || e.op == Op::greater || e.op == Op::less) {
    const Value left = evaluation_.expr(ExprId{e.a}, scope, world);
    const Value right = evaluation_.expr(ExprId{e.b}, scope, world);
    if (left.known() && right.known()) verdict.margin = {ExprId{e.a}, ExprId{e.b}, e.op, left.number(), right.number(), true};
  }
  return verdict;
}

namespace {
// What counts more: failed, breaks, breaks an advice, open, holds, does not apply.
int severity(Outcome outcome, bool advises) {
  switch (outcome) {
    case Outcome::failed: return 5;
    case Outcome::breaks: return advises ? 3 : 4;
    case Outcome::open: return 2;
    case Outcome::holds: return 1;
    case Outcome::does_not_apply: return 0;
  }
  return 0;
}
}  // namespace

Judgement::Verdict Judgement::verdict(const Rule& rule, const Scope& scope, WorldId world) {
  Verdict worst;
  worst.outcome = Outcome::does_not_apply;
  if (rule.where.given()) {
    const Value applies = evaluation_.expr(rule.where, scope, world);
    if (applies.is(State::failed)) {
      worst.outcome = Outcome::failed;
      worst.state = applies;
      return worst;
    }
    if (applies.known() && !applies.yes()) return worst;
    if (!applies.known()) {
      worst.outcome = Outcome::open;
      worst.state = applies;
      worst.test = rule.where;
      return worst;
    }
  }
  bool first = true;
  for (u32 at = 0; at < rule.requirements.count; ++at) {
    const meaning::Requirement& requirement = program_.requirements[rule.requirements.first + at];
    Verdict one = test(requirement.test, scope, world);
    one.advises = requirement.advises || rule.weight == meaning::Weight::advice;
    const int a = severity(one.outcome, one.advises), b = severity(worst.outcome, worst.advises);
    const bool worse = a > b || (a == b && one.margin.numeric && (!worst.margin.numeric || one.margin.relative() < worst.margin.relative()));
    if (first || worse) worst = one;
    first = false;
  }
  return worst;
}

void Judgement::judge_subject(meaning::RuleId id, std::vector<Value>& locals, const std::vector<World>& worlds) {
  const Rule& rule = program_.rules[id.value];
  const Scope scope{{}, locals};
  Finding finding;
  finding.rule = id;
  Verdict worst;
  worst.outcome = Outcome::does_not_apply;
  World worst_world = worlds.front();
  bool any = false;
  std::optional<double> first_uncovered, last_uncovered;
  for (const World& world : worlds) {
    Verdict one = verdict(rule, scope, world.id);
    WorldId where = world.id;
    if (one.outcome == Outcome::holds && ranges_ != 0) over_ranges(rule, one, scope, where);
    if (world.swept && one.outcome == Outcome::breaks) {
      if (!first_uncovered) first_uncovered = world.at;
      last_uncovered = world.at;
    }
    const int a = severity(one.outcome, one.advises), b = severity(worst.outcome, worst.advises);
    const bool worse = a > b || (a == b && one.margin.numeric && worst.margin.numeric && one.margin.relative() < worst.margin.relative());
    if (!any || worse) {
      worst = one;
      worst_world = world;
      worst_world.id = where;
    }
    any = true;
  }
  if (worst.outcome == Outcome::does_not_apply) {
    finding.outcome = Outcome::does_not_apply;
  }
  finding.outcome = worst.outcome;
  finding.advises = worst.advises;
  finding.test = worst.test;
  finding.margin = worst.margin;
  finding.world = worst_world.id;
  finding.case_id = worst_world.case_id;
  finding.case_name = worst_world.name;
  finding.sureness = worst_world.swept ? Sureness::swept : worst.sureness;
  finding.points = worst.points;
  for (u32 at = 0; at < rule.binders.count; ++at) {
    const meaning::Binder& binder = program_.binders[rule.binders.first + at];
    const Value bound = locals[binder.local];
    const meaning::Type list = program_.types[program_.expr_notes[binder.source.value].type.value];
    if (bound.known() && program_.types[list.of].kind == meaning::TypeKind::thing) finding.subjects.push_back(ThingId{bound.index()});
  }
  finding.locals = locals;
  if (finding.outcome == Outcome::failed) finding.notice = worst.state.payload();
  if (finding.outcome == Outcome::open) {
    collect_holes(finding, worst.state);
    if (rule.unknown_breaks) {
      bool breaks = true;
      if (rule.unknown_where.given()) {
        const Value asked = evaluation_.expr(rule.unknown_where, scope, finding.world);
        breaks = asked.known() && asked.yes();
      }
      if (breaks) finding.outcome = Outcome::breaks;
    }
  }
  if (finding.outcome == Outcome::breaks) finding.sentence = sentence(finding);
  if (worst_world.swept && first_uncovered && finding.outcome == Outcome::breaks) {
    const CaseWorld world = worlds_of(worst_world.case_id).front();
    const meaning::Type type = program_.types[program_.conditions[program_.variables[world.sweeps.front().variable.value].condition.value].type.value];
    finding.first_uncovered = wording_.value(Value::number(*first_uncovered), type, finding.world);
    finding.last_uncovered = wording_.value(Value::number(*last_uncovered), type, finding.world);
  }
  findings_.push_back(std::move(finding));
}

void Judgement::collect_holes(Finding& finding, Value value) {
  if (!value.is(State::unknown)) return;
  const evaluate::HoleSet& set = evaluation_.holes(value);
  finding.holes.assign(set.given().begin(), set.given().end());
  finding.more_holes = set.more;
}

std::string Judgement::sentence(const Finding& finding) {
  const Rule& rule = program_.rules[finding.rule.value];
  std::vector<Value> locals = finding.locals;
  return wording_.templated(rule.otherwise, Scope{{}, locals}, finding.world);
}

std::string Judgement::id(const Finding& finding) {
  std::string id(program_.text(program_.rules[finding.rule.value].name));
  id += " @ ";
  if (finding.subjects.empty()) return id + "job";
  for (std::size_t at = 0; at < finding.subjects.size(); ++at) {
    if (at != 0) id += ", ";
    id += evaluation_.name_of(finding.subjects[at]);
  }
  return id;
}
}  // namespace dripleg::judge
