// Tables and lists of a layout: rows of the job's things, and what stands at the end of a paper.
#include "reports/assembler.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace dripleg::reports {
using evaluate::Scope;
using judge::Finding;
using judge::Outcome;
using meaning::ExprId;
using meaning::LayoutItem;
using meaning::LayoutOp;
using meaning::ThingId;
using meaning::TypeKind;
using meaning::Value;
using settle::Call;

namespace {
// `a -> r[3]` without its number.
std::string stem(std::string_view text) { return std::string(text.substr(0, text.find('['))); }
}  // namespace

ThingId Assembler::bound_thing(const LayoutItem& item) {
  for (u32 at = 0; at < item.binders.count; ++at) {
    const meaning::Binder& binder = program_.binders[item.binders.first + at];
    const meaning::Type list = program_.types[program_.expr_notes[binder.source.value].type.value];
    if (list.kind == TypeKind::list && program_.types[list.of].kind == TypeKind::thing && locals_[binder.local].known()) return ThingId{locals_[binder.local].index()};
  }
  return {};
}

// Marks of the findings whose subject a row's thing is.
std::vector<Mark> Assembler::marks_of(ThingId thing, Tone& tone) {
  std::vector<Mark> marks;
  for (u32 at = 0; at < judged_.settled.findings.size(); ++at) {
    if (numbers_[at] == 0) continue;
    const settle::Settled& settled = judged_.settled.findings[at];
    const Finding& finding = judgement_.findings()[settled.finding];
    if (std::find(finding.subjects.begin(), finding.subjects.end(), thing) == finding.subjects.end()) continue;
    marks.push_back({settled.call == Call::stop ? Tone::breaks : Tone::open, fmt::format("{} {}", label("see"), numbers_[at])});
    if (settled.call == Call::stop) tone = Tone::breaks;
    else if (tone == Tone::plain) tone = Tone::open;
  }
  return marks;
}

bool Assembler::counts(ExprId expr) {
  const TypeKind kind = program_.types[program_.expr_notes[expr.value].type.value].kind;
  return kind == TypeKind::quantity || kind == TypeKind::date || kind == TypeKind::clock;
}

void Assembler::grid(const LayoutItem& item, u32 first, u32 end) {
  Table table;
  std::vector<ExprId> columns;
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op == LayoutOp::column) {
      table.columns.push_back({words(inner.text), counts(inner.expr) ? Align::right : Align::left, ""});
      columns.push_back(inner.expr);
    } else if (inner.op == LayoutOp::blank) {
      table.columns.push_back({words(inner.text), Align::left, ""});
      columns.push_back({});
      table.form = true;
    } else if (inner.op == LayoutOp::text) {
      table.caption = words(inner.text);
    } else if (inner.op == LayoutOp::item && program_.text(inner.name) == "note") {
      table.notes.push_back(words(inner.text));
    }
  }
  // Alike things one after another are one line: the first, and how many.
  std::vector<Row> rows;
  std::vector<std::vector<std::string>> last;
  u32 alike = 0;
  each_row(item, [&] {
    const ThingId thing = bound_thing(item);
    Row row;
    Tone tone = Tone::plain;
    std::vector<std::string> texts;
    for (const ExprId column : columns) {
      if (!column.given()) {
        texts.push_back("");
        row.cells.push_back(Cell{"", {}, "", CellKind::blank});
        continue;
      }
      std::string text = judgement_.wording().expr(column, scope(), world_);
      if (text == "none") text = "–";
      texts.push_back(text);
      row.cells.push_back(Cell{text});
    }
    if (thing.given() && !row.cells.empty()) row.cells.front().marks = marks_of(thing, tone);
    row.tone = tone;
    const bool numbered = thing.given() && (program_.things[thing.value].number != 0 || program_.text(program_.things[thing.value].name).find('[') != std::string_view::npos);
    const bool same = numbered && !last.empty() && last.back().size() == texts.size() && tone == rows.back().tone &&
                      std::equal(texts.begin() + 1, texts.end(), last.back().begin() + 1) && stem(texts[0]) == stem(last.back()[0]);
    if (same) {
      ++alike;
      rows.back().cells.front().text = fmt::format("{} ({} alike)", stem(texts[0]), alike + 1);
      return;
    }
    alike = 0;
    last.push_back(texts);
    rows.push_back(row);
  });
  table.rows = std::move(rows);
  if (!table.rows.empty()) add(table);
}

void Assembler::list(const LayoutItem& item, u32 first, u32 end) {
  each_row(item, [&] { items(first, end); });
}

void Assembler::checklist(u32 first, u32 end) {
  Checklist list;
  checks(first, end, list);
  if (!list.items.empty()) add(list);
}

void Assembler::checks(u32 first, u32 end, Checklist& list) {
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op == LayoutOp::text) list.items.push_back({true, false, words(inner.text), {}});
    else if (inner.op == LayoutOp::list) each_row(inner, [&] { checks(at + 1, inner.items_end, list); });
  }
}

// Values nobody stated in the job, on which a verdict rests: the library's usual ones and its stock, with their basis.
void Assembler::assumptions() {
  struct Assumed { std::string what, value, basis; u32 rests = 0; };
  std::vector<Assumed> lines;
  std::map<std::pair<u32, u32>, std::size_t> seen;
  for (const settle::Settled& settled : judged_.settled.findings) {
    const Finding& finding = judgement_.findings()[settled.finding];
    if (finding.outcome == Outcome::does_not_apply || !finding.test.given()) continue;
    std::vector<Value> locals = finding.locals;
    locals.resize(std::max<std::size_t>(locals.size(), program_.rules[finding.rule.value].locals));
    const auto read = judgement_.evaluation().inputs_of(finding.test, Scope{{}, locals}, finding.world, 4000);
    for (const evaluate::InputId& input : read.inputs) {
      const meaning::Thing& thing = program_.things[input.thing.value];
      // Of a collection that was looked through only what was chosen counts, and that shows in the derivation.
      const bool looked_through = std::any_of(read.collections.begin(), read.collections.end(), [&](meaning::KindId kind) { return program_.is_a(thing.kind, kind) && thing.is_stock; });
      if (looked_through) continue;
      const meaning::Field& field = program_.field(thing.kind, input.slot);
      const bool unstated = program_.inputs[thing.first_slot + input.slot].is(meaning::State::unstated);
      const meaning::Stated& stated = program_.stated[thing.first_slot + input.slot];
      meaning::CitationId citation;
      if (unstated && thing.in_job && field.formula.given() && field.citations.count != 0) citation = meaning::CitationId{field.citations.first};
      else if (!unstated && !thing.in_job && thing.is_stock && stated.citation.given()) citation = stated.citation;
      else continue;
      const meaning::Basis basis = program_.citations[citation.value].basis;
      if (basis == meaning::Basis::published || basis == meaning::Basis::stated) continue;
      const TypeKind type = program_.types[field.type.value].kind;
      if (type != TypeKind::quantity) continue;
      // Of alike things one line: the field of the kind.
      const auto key = std::pair{unstated ? 0x80000000u + thing.kind.value : input.thing.value, input.slot};
      if (const auto known = seen.find(key); known != seen.end()) {
        ++lines[known->second].rests;
        continue;
      }
      seen.emplace(key, lines.size());
      Assumed line;
      line.what = fmt::format("{}.{}", unstated ? std::string(program_.text(program_.kinds[thing.kind.value].name)) : judgement_.evaluation().name_of(input.thing), program_.text(field.name));
      line.value = judgement_.wording().value(judgement_.evaluation().field(input.thing, input.slot, finding.world), program_.types[field.type.value], finding.world, program_.text(field.shown));
      line.basis = judgement_.wording().citation(program_.citations[citation.value]);
      line.rests = 1;
      lines.push_back(line);
    }
  }
  Table table;
  table.columns = {{label("assumed"), Align::left, ""}, {label("shown_as"), Align::right, ""}, {label("basis"), Align::left, ""}, {label("rests"), Align::right, ""}};
  for (const Assumed& line : lines) {
    Row row;
    row.cells = {Cell{line.what}, Cell{line.value}, Cell{line.basis}, Cell{std::to_string(line.rests)}};
    table.rows.push_back(row);
  }
  if (!table.rows.empty()) add(table);
}

void Assembler::sources() {
  struct Used { std::string document, clauses; u32 uses = 0; bool recalled = false, cites = false; };
  std::map<std::string, Used> lines;
  for (const settle::Settled& settled : judged_.settled.findings) {
    const Finding& finding = judgement_.findings()[settled.finding];
    if (finding.outcome == Outcome::does_not_apply) continue;
    const meaning::Rule& rule = program_.rules[finding.rule.value];
    for (u32 n = 0; n < rule.citations.count; ++n) {
      const meaning::Citation& citation = program_.citations[rule.citations.first + n];
      if (citation.document.given() && program_.job_code.given() && !judgement_.in_force().distance(citation.document)) continue;
      std::string name = citation.document.given() ? std::string(program_.text(program_.documents[citation.document.value].number)) : std::string(judge::basis_word(citation.basis));
      if (name.empty()) name = program_.text(program_.documents[citation.document.value].title);
      Used& line = lines[name];
      line.document = name;
      if (citation.document.given() && program_.documents[citation.document.value].title.given() && line.uses == 0)
        line.document += ": " + std::string(program_.text(program_.documents[citation.document.value].title));
      ++line.uses;
      line.cites = citation.document.given();
      line.recalled = line.recalled || citation.basis == meaning::Basis::recalled;
      const std::string clause(program_.text(citation.clause));
      if (citation.document.given() && !clause.empty() && line.clauses.size() < 240 && line.clauses.find(clause) == std::string::npos) line.clauses += (line.clauses.empty() ? "" : "; ") + clause;
    }
  }
  Table table;
  table.columns = {{label("document"), Align::left, ""}, {label("clauses"), Align::left, ""}, {label("basis"), Align::left, ""}, {label("uses"), Align::right, ""}};
  for (const auto& [name, line] : lines) {
    Row row;
    row.cells = {Cell{line.document}, Cell{line.clauses}, Cell{line.recalled ? label("recalled") : line.cites ? label("read") : label("unread")}, Cell{std::to_string(line.uses)}};
    table.rows.push_back(row);
  }
  if (!table.rows.empty()) add(table);
}

void Assembler::cautions() {
  std::vector<std::string> all;
  for (const settle::Settled& settled : judged_.settled.findings) {
    const Finding& finding = judgement_.findings()[settled.finding];
    if (finding.outcome == Outcome::does_not_apply) continue;
    const meaning::Rule& rule = program_.rules[finding.rule.value];
    for (u32 n = 0; n < rule.cautions.count; ++n) {
      std::string text(program_.text(program_.text_ids[rule.cautions.first + n]));
      if (std::find(all.begin(), all.end(), text) == all.end()) all.push_back(text);
    }
  }
  for (const std::string& text : all) add(Line{text, Weight::plain, ""});
}

// The definitions of the units that the job is written in.
void Assembler::units() {
  std::map<std::string, std::string> used;
  for (u32 at = 0; at < program_.things.size(); ++at) {
    const meaning::Thing& thing = program_.things[at];
    if (!thing.in_job) continue;
    for (u32 slot = 0; slot < thing.slots; ++slot) {
      const std::string_view typed = program_.text(program_.stated[thing.first_slot + slot].as_typed);
      if (typed.empty() || program_.types[program_.field(thing.kind, slot).type.value].kind != TypeKind::quantity) continue;
      quantities::Problem problem;
      const auto measure = quantities::read_measure(typed, problem);
      if (!measure || measure->unit.empty()) continue;
      const auto unit = program_.catalogue.find_unit(program_.names.find(measure->unit));
      if (!unit.given()) continue;
      const auto& record = program_.catalogue[unit];
      used[std::string(judgement_.wording().printer().unit_text(measure->unit))] =
          fmt::format("{} {}", quantities::format_shortest(record.measure.factor), program_.catalogue.describe(program_.names, record.measure.vector));
    }
  }
  Table table;
  table.columns = {{label("unit_word"), Align::left, ""}, {label("defined"), Align::left, ""}};
  for (const auto& [unit, definition] : used) {
    Row row;
    row.cells = {Cell{unit}, Cell{definition}};
    table.rows.push_back(row);
  }
  if (!table.rows.empty()) add(table);
}
}  // namespace dripleg::reports
