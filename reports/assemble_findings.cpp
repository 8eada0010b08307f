// Findings on paper: their blocks with margin, source, cure and derivation; what holds; what is asked.
#include "reports/assembler.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::reports {
using evaluate::Scope;
using judge::Finding;
using judge::Outcome;
using meaning::ExprId;
using meaning::LayoutItem;
using meaning::TypeKind;
using meaning::Value;
using settle::Call;

void Assembler::findings(const LayoutItem& item) {
  const auto asked = [&](std::string_view word) {
    for (u32 at = 0; at < item.words.count; ++at)
      if (program_.text(program_.name_lists[item.words.first + at]) == word) return true;
    return false;
  };
  const bool brief = asked("brief");
  for (u32 at = 0; at < judged_.settled.findings.size(); ++at) {
    const settle::Settled& settled = judged_.settled.findings[at];
    const Finding& finding = judgement_.findings()[settled.finding];
    if (finding.outcome != Outcome::breaks) continue;
    const bool wanted = (settled.call == Call::stop && asked("breaks")) || (settled.call == Call::look && asked("look")) || (settled.call == Call::aside && asked("accepted"));
    if (!wanted) continue;
    if (numbers_[at] != 0 && at > 0 && numbers_[at - 1] == numbers_[at]) continue;
    if (brief) {
      FindingBlock block;
      block.ordinal = numbers_[at];
      block.tone = settled.call == Call::stop ? Tone::breaks : Tone::open;
      block.call = settled.call == Call::stop ? label("breaks") : label("look");
      block.sentence = headline(judgement_, finding, finding.sentence);
      if (const auto cure = cure_of(at)) block.remedy = cure_words(judgement_, *cure);
      add(block);
    } else {
      add(finding_block(at, true));
    }
  }
  if (asked("margins")) margins();
}

FindingBlock Assembler::finding_block(u32 at, bool whole) {
  const settle::Settled& settled = judged_.settled.findings[at];
  const Finding& finding = judgement_.findings()[settled.finding];
  const meaning::Rule& rule = program_.rules[finding.rule.value];
  FindingBlock block;
  block.target = fmt::format("finding-{}", numbers_[at]);
  block.ordinal = numbers_[at];
  block.tone = settled.call == Call::stop ? Tone::breaks : settled.call == Call::aside ? Tone::accepted : Tone::open;
  block.call = settled.call == Call::stop ? label("breaks") : settled.call == Call::aside ? label("accepted") : label("look");
  block.sentence = headline(judgement_, finding, finding.sentence);
  block.margin = bar_of(finding);
  const auto line = [&](std::string_view word, std::string value) {
    if (!value.empty()) block.lines.push_back({label(word), std::move(value), ""});
  };
  if (const auto more = shared_.find(numbers_[at]); numbers_[at] != 0 && more != shared_.end()) line("alike", fmt::format("+{}: {}", more->second, judgement_.evaluation().name_of(judgement_.findings()[judged_.settled.findings[at + more->second].finding].subjects.front())));
  line("worst", finding.case_name);
  line("judged", sureness(finding));
  line("place", place_words(finding));
  line("rule_word", fmt::format("{} ({})", program_.text(rule.says), program_.text(rule.name)));
  std::string all;
  bool carried = false;
  for (const std::string& source : sources_of(judgement_, finding, carried)) all += (all.empty() ? "" : "; ") + source;
  if (carried) all += "; " + label("carried");
  line("source_word", all);
  if (settled.acceptance) {
    const meaning::Acceptance& acceptance = program_.acceptances[*settled.acceptance];
    line("accepted_because", fmt::format("{} ({}, {})", program_.text(acceptance.because), program_.text(acceptance.by), quantities::format_date(acceptance.until)));
  }
  for (u32 n = 0; n < rule.cautions.count; ++n) block.cautions.push_back(std::string(program_.text(program_.text_ids[rule.cautions.first + n])));
  if (settled.call != Call::aside)
    if (const auto cure = cure_of(at)) block.remedy = cure_words(judgement_, *cure);
  if (whole) derive(finding, block);
  return block;
}

const std::optional<remedy::Cure>& Assembler::cure_of(u32 at) {
  const auto found = cures_.find(at);
  if (found != cures_.end()) return found->second;
  return cures_[at] = search_.find(judgement_.findings()[judged_.settled.findings[at].finding]);
}

std::optional<MarginBar> Assembler::bar_of(const Finding& finding) {
  if (!finding.margin.numeric) return std::nullopt;
  const MarginWords margin = margin_words(judgement_, finding.margin);
  if (margin.found.empty()) return std::nullopt;
  MarginBar bar;
  const bool wants_more = finding.margin.op == meaning::Op::at_least || finding.margin.op == meaning::Op::greater;
  if (wants_more) bar.low = finding.margin.limit;
  else bar.high = finding.margin.limit;
  // Of a range both ends.
  const meaning::Expr& test = program_.exprs[finding.test.value];
  if (test.op == meaning::Op::in_range) {
    std::vector<Value> locals = finding.locals;
    const Value range = judgement_.evaluation().expr(ExprId{test.b}, Scope{{}, locals}, finding.world);
    if (range.known()) {
      const meaning::Range ends = judgement_.evaluation().range(range, finding.world);
      if (ends.low.known()) bar.low = ends.low.number();
      if (ends.high.known()) bar.high = ends.high.number();
    }
  }
  bar.found_low = bar.found_high = finding.margin.found;
  bar.found_text = margin.found;
  bar.needs_text = margin.limit;
  bar.margin_text = fmt::format("{} {}", margin.word, margin.spare);
  bar.tight_word = label("tight");
  bar.tone = margin.turned ? Tone::breaks : margin.tight ? Tone::tight : Tone::holds;
  return bar;
}

std::string Assembler::sureness(const Finding& finding) {
  switch (finding.sureness) {
    case judge::Sureness::exact: return {};
    case judge::Sureness::every_value: return label("every_value");
    case judge::Sureness::swept: return label("swept");
    case judge::Sureness::sampled: return fmt::format("{} {}", finding.points, label("sampled"));
    case judge::Sureness::certain: return label("certain");
  }
  return {};
}

std::string Assembler::place_words(const Finding& finding) {
  const base::Place place = place_of(program_, finding);
  if (!place.given()) return {};
  const auto& source = judged_.sources[place.file];
  return fmt::format("{}:{}", source.path(), source.line_column(place.span.begin).line);
}

void Assembler::derive(const Finding& finding, FindingBlock& block) {
  std::vector<Value> locals = finding.locals;
  const meaning::Rule& rule = program_.rules[finding.rule.value];
  locals.resize(std::max<std::size_t>(locals.size(), rule.locals));
  if (!finding.test.given()) return;
  const auto derivation = judgement_.evaluation().explain(finding.test, Scope{{}, locals}, finding.world, {4, 40});
  if (derivation.steps.empty()) return;
  const auto walk = [&](auto&& self, u32 at, u32 depth) -> void {
    const evaluate::Step& step = derivation.steps[at];
    if (depth > 0) {
      DerivationLine line;
      line.depth = depth - 1;
      line.text = step_words(step);
      line.source = step_source(step);
      if (!line.text.empty()) block.derivation.push_back(line);
    }
    for (const u32 from : step.from) self(self, from, depth + 1);
  };
  walk(walk, 0, 0);
}

std::string Assembler::step_words(const evaluate::Step& step) {
  if (step.how == evaluate::How::limit) {
    const meaning::Limit& limit = program_.limits[step.limit.value];
    return fmt::format("{} = {}", program_.text(limit.name), judgement_.wording().value(step.value, program_.types[limit.type.value], step.world));
  }
  if (step.how == evaluate::How::call) {
    const meaning::Function& function = program_.functions[step.function.value];
    return fmt::format("{} = {}", program_.text(function.name), judgement_.wording().value(step.value, program_.types[function.result.value], step.world));
  }
  if (!step.thing.given()) return {};
  const meaning::Field& field = program_.field(program_.things[step.thing.value].kind, step.slot);
  return fmt::format("{}.{} = {}", judgement_.evaluation().name_of(step.thing), program_.text(field.name),
                     judgement_.wording().value(step.value, program_.types[field.type.value], step.world, program_.text(field.shown)));
}

std::string Assembler::step_source(const evaluate::Step& step) {
  meaning::Slice citations;
  if (step.how == evaluate::How::call) citations = program_.functions[step.function.value].citations;
  else if (step.how == evaluate::How::limit) citations = judgement_.in_force().limit(step.limit).citations;
  else if (step.thing.given()) {
    const meaning::Thing& thing = program_.things[step.thing.value];
    const meaning::Stated& stated = program_.stated[thing.first_slot + step.slot];
    if (step.how == evaluate::How::stated) {
      if (stated.citation.given()) return judgement_.wording().citation(program_.citations[stated.citation.value]);
      return stated.place.given() ? fmt::format("{}:{}", judged_.sources[stated.place.file].path(), judged_.sources[stated.place.file].line_column(stated.place.span.begin).line) : "";
    }
    citations = program_.field(thing.kind, step.slot).citations;
  }
  std::string words_of;
  for (u32 at = 0; at < citations.count; ++at) words_of += (words_of.empty() ? "" : "; ") + judgement_.wording().citation(program_.citations[citations.first + at]);
  return words_of;
}

// What holds with numbers: tightest first.
void Assembler::margins() {
  std::vector<const Finding*> rows;
  for (const settle::Settled& settled : judged_.settled.findings) {
    const Finding& finding = judgement_.findings()[settled.finding];
    if (finding.outcome == Outcome::holds && finding.margin.numeric) rows.push_back(&finding);
  }
  std::stable_sort(rows.begin(), rows.end(), [](const Finding* a, const Finding* b) { return a->margin.relative() < b->margin.relative(); });
  MarginList list;
  std::vector<const Finding*> shown;
  for (const Finding* finding : rows) {
    if (list.rows.size() == 24) break;
    const auto bar = bar_of(*finding);
    if (!bar) continue;
    const meaning::Type type = program_.types[program_.expr_notes[finding->margin.left.value].type.value];
    if (type.kind == TypeKind::quantity && program_.catalogue[quantities::DimensionId{type.of}].vector.plain()) continue;
    // Of alike things the first.
    const auto alike = [&](const Finding* other) { return other->rule == finding->rule && other->margin.found == finding->margin.found && other->margin.limit == finding->margin.limit; };
    if (std::any_of(shown.begin(), shown.end(), alike)) continue;
    shown.push_back(finding);
    MarginRow row;
    row.label = judgement_.id(*finding);
    row.bar = *bar;
    row.note = finding->case_name;
    list.rows.push_back(row);
  }
  if (!list.rows.empty()) add(list);
}

void Assembler::open_questions() {
  Table table;
  table.columns = {{label("who"), Align::left, ""}, {label("question"), Align::left, ""}, {label("decides"), Align::right, ""}};
  std::string last;
  for (const Question& question : questions(judgement_, judged_.settled)) {
    std::string who = question.asks;
    for (char& c : who)
      if (c == '_') c = ' ';
    if (who != last) {
      Row group;
      group.kind = RowKind::group;
      group.cells = {Cell{who}};
      table.rows.push_back(group);
      last = who;
    }
    Row row;
    row.cells = {Cell{}, Cell{question.words}, Cell{std::to_string(question.rules)}};
    table.rows.push_back(row);
  }
  if (!table.rows.empty()) add(table);
}
}  // namespace dripleg::reports
