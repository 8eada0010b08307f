#include "reports/assemble.hpp"

#include "reports/figure_chart.hpp"
#include "reports/figure_tree.hpp"

#include <algorithm>
#include <cmath>
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

std::vector<std::string_view> layout_names(const meaning::Program& program) {
  std::vector<std::string_view> names;
  for (u32 at = 0; at < program.layouts.size(); ++at) names.push_back(program.text(program.layouts[at].name));
  return names;
}

namespace {
class Assembler {
 public:
  Assembler(const Judged& judged, const meaning::Layout& layout)
      : judged_(judged), judgement_(judged.judgement), program_(judged.judgement.program()), search_(judged.judgement),
        layout_(layout) {
    // A layout that is another's variant: the first of the line is read, the others change it.
    for (const meaning::Layout* at = &layout; at != nullptr && line_.size() < 16; at = parent_of(*at)) {
      line_.push_back(at);
      locals_.resize(std::max<std::size_t>(locals_.size(), std::max<u32>(at->locals, 1)));
    }
    world_ = counted_world();
    number_findings();
  }

  Paper run() {
    Paper paper;
    paper.layout = program_.text(layout_.name);
    document_ = &paper.document;
    paper_ = &paper;
    items(line_.back()->first_item, line_.back()->items_end);
    // What a variant says outside of before, after and drop comes in place of the parent's, or at the end.
    for (std::size_t at = line_.size() - 1; at-- > 0;)
      for_each_item(*line_[at], [&](u32 number, const LayoutItem& item) {
        if (item.op != LayoutOp::before && item.op != LayoutOp::after && item.op != LayoutOp::drop) this->item(number);
      });
    return paper;
  }

 private:
  // ---- what a layout may ask of the judged job: conditions that carry counts ----
  evaluate::WorldId counted_world() {
    const std::pair<std::string_view, u32> counts[] = {
        {"breaking", judged_.settled.breaks}, {"asked", judged_.settled.open},   {"accepted", judged_.settled.accepted},
        {"holding", judged_.settled.holds},   {"advised", judged_.settled.advice}, {"not_judged", judged_.settled.failed}};
    std::vector<evaluate::WorldSetting> settings;
    for (const auto& [word, count] : counts) {
      const meaning::Symbol* const symbol = program_.symbols.find(program_.names.find(word), meaning::Symbol::What::condition);
      if (symbol != nullptr) settings.push_back({program_.conditions[symbol->index].variable, Value::number(count)});
    }
    return judgement_.evaluation().world(settings);
  }
  void number_findings() {
    u32 number = 0;
    numbers_.resize(judged_.settled.findings.size(), 0);
    for (const Call call : {Call::stop, Call::look})
      for (u32 at = 0; at < judged_.settled.findings.size(); ++at) {
        const settle::Settled& settled = judged_.settled.findings[at];
        const Finding& finding = judgement_.findings()[settled.finding];
        if (settled.call != call || finding.outcome != Outcome::breaks) continue;
        numbers_[at] = ++number;
        // Alike ones of N share a number and one entry.
        for (u32 more = alike_behind(judgement_, judged_.settled, at); more > 0; --more) numbers_[++at] = number, ++shared_[number];
      }
  }

  const meaning::Layout* parent_of(const meaning::Layout& layout) const {
    if (!layout.parent.given()) return nullptr;
    const meaning::Symbol* const symbol = program_.symbols.find(layout.parent, meaning::Symbol::What::layout);
    return symbol == nullptr ? nullptr : &program_.layouts[symbol->index];
  }
  template <class F>
  void for_each_item(const meaning::Layout& layout, F&& f) {
    for (u32 at = layout.first_item; at < layout.items_end; at = std::max(program_.layout_items[at].items_end, at + 1)) f(at, program_.layout_items[at]);
  }
  // What variants put before or behind a named part, or whether one drops it.
  void variants(LayoutOp op, NameId name) {
    for (std::size_t at = line_.size() - 1; name.given() && at-- > 0;)
      for_each_item(*line_[at], [&](u32 number, const LayoutItem& item) {
        if (item.op == op && item.name == name) items(number + 1, item.items_end);
      });
  }
  bool dropped(NameId name) {
    bool found = false;
    for (std::size_t at = 0; name.given() && at + 1 < line_.size(); ++at)
      for_each_item(*line_[at], [&](u32, const LayoutItem& item) {
        if (item.op != LayoutOp::drop) return;
        for (u32 n = 0; n < item.words.count; ++n) found = found || program_.name_lists[item.words.first + n] == name;
      });
    return found;
  }

  Scope scope() { return Scope{{}, locals_}; }
  std::string words(meaning::Slice parts) { return judgement_.wording().templated(parts, scope(), world_); }
  bool is_so(ExprId test) {
    if (!test.given()) return true;
    const Value value = judgement_.evaluation().expr(test, scope(), world_);
    return value.known() && value.yes();
  }
  Section& section() {
    if (document_->sections.empty()) document_->sections.push_back({});
    return document_->sections.back();
  }
  template <class T>
  void add(T block) {
    blocks_ != nullptr ? blocks_->push_back({std::move(block)}) : section().blocks.push_back({std::move(block)});
  }

  void items(u32 first, u32 end) {
    for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) item(at);
  }

  void item(u32 at) {
    const LayoutItem& item = program_.layout_items[at];
    const u32 inside = at + 1, end = item.items_end;
    switch (item.op) {
      case LayoutOp::title: document_->title = words(item.text); return;
      case LayoutOp::frame: frame(inside, end); return;
      case LayoutOp::page:
      case LayoutOp::section: {
        variants(LayoutOp::before, item.name);
        if (dropped(item.name)) return;
        Section made;
        made.target = program_.text(item.name);
        made.heading = words(item.text);
        made.level = 1 + depth_;
        made.new_page = item.op == LayoutOp::page;
        document_->sections.push_back(made);
        ++depth_;
        items(inside, end);
        --depth_;
        variants(LayoutOp::after, item.name);
        return;
      }
      case LayoutOp::text: add(Paragraph{words(item.text)}); return;
      case LayoutOp::say:
        if (is_so(item.where)) add(Banner{tone_of_say(), words(item.text), ""});
        return;
      case LayoutOp::findings: findings(item); return;
      case LayoutOp::open_questions: open_questions(); return;
      case LayoutOp::assumptions: assumptions(); return;
      case LayoutOp::grid: grid(item, inside, end); return;
      case LayoutOp::list: list(item, inside, end); return;
      case LayoutOp::figure: figure(item, inside, end); return;
      case LayoutOp::checklist: checklist(inside, end); return;
      case LayoutOp::sources: sources(); return;
      case LayoutOp::item: named(item); return;
      case LayoutOp::before: case LayoutOp::after: case LayoutOp::drop: case LayoutOp::column: case LayoutOp::property:
      case LayoutOp::mark: case LayoutOp::blank: return;
    }
  }

  // A sentence that a condition brings up: grave if anything breaks, waiting if anything is asked.
  Tone tone_of_say() const {
    return judged_.settled.breaks != 0 ? Tone::breaks : judged_.settled.open != 0 ? Tone::open : Tone::holds;
  }

  void frame(u32 first, u32 end) {
    for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
      const LayoutItem& item = program_.layout_items[at];
      if (item.op == LayoutOp::column) document_->head.push_back({words(item.text), judgement_.wording().expr(item.expr, scope(), world_), ""});
      else if (item.op == LayoutOp::text) document_->foot += (document_->foot.empty() ? "" : " ") + words(item.text);
      else if (item.op == LayoutOp::item) {
        const std::string_view word = program_.text(item.name);
        const std::string said = words(item.text);
        Words& own = document_->words;
        if (word == "subtitle") document_->subtitle = said;
        else if (word == "running") document_->running_head = said;
        else if (word == "numbered") document_->numbered = true;
        else if (word == "skip") own.skip = said;
        else if (word == "contents") own.contents = said;
        else if (word == "remedy") own.remedy = said;
        else if (word == "caution") own.caution = said;
        else if (word == "margin") own.margin = said;
        else if (word == "working") own.working = said;
        else if (word == "numbers") own.numbers = said;
        else if (word == "versions") document_->head.push_back({said, fmt::format("dripleg {}, library {}", judged_.tool, judged_.library), ""});
        else if (word == "code") document_->head.push_back({said, code_words(), ""});
        else labels_[std::string(word)] = said;
      }
    }
  }
  std::string code_words() {
    if (!program_.job_code.given()) return label("no_code");
    const meaning::CodeSet& code = program_.codes[program_.job_code.value];
    std::string list(program_.text(code.name));
    std::string documents;
    for (meaning::CodeSetId at = program_.job_code; at.given(); at = program_.codes[at.value].parent)
      for (u32 n = 0; n < program_.codes[at.value].adopts.count; ++n) {
        const meaning::Document& document = program_.documents[program_.document_ids[program_.codes[at.value].adopts.first + n].value];
        documents += (documents.empty() ? "" : ", ") + std::string(document.number.given() ? program_.text(document.number) : program_.text(document.name));
      }
    return documents.empty() ? list : list + ": " + documents;
  }
  // A word of the layout's frame; one that it does not say prints as its own name.
  std::string label(std::string_view word) {
    const auto found = labels_.find(std::string(word));
    return found == labels_.end() ? std::string(word) : found->second;
  }
  std::string sureness(const Finding& finding) {
    switch (finding.sureness) {
      case judge::Sureness::exact: return {};
      case judge::Sureness::every_value: return label("every_value");
      case judge::Sureness::swept: return label("swept");
      case judge::Sureness::sampled: return fmt::format("{} {}", finding.points, label("sampled"));
      case judge::Sureness::certain: return label("certain");
    }
    return {};
  }

  // ---- findings ----------------------------------------------------------------------------------
  std::optional<MarginBar> bar_of(const Finding& finding) {
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

  std::string place_words(const Finding& finding) {
    const base::Place place = place_of(program_, finding);
    if (!place.given()) return {};
    const auto& source = judged_.sources[place.file];
    return fmt::format("{}:{}", source.path(), source.line_column(place.span.begin).line);
  }

  void derive(const Finding& finding, FindingBlock& block) {
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
  std::string step_words(const evaluate::Step& step) {
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
  std::string step_source(const evaluate::Step& step) {
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

  FindingBlock finding_block(u32 at, bool whole) {
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
  const std::optional<remedy::Cure>& cure_of(u32 at) {
    const auto found = cures_.find(at);
    if (found != cures_.end()) return found->second;
    return cures_[at] = search_.find(judgement_.findings()[judged_.settled.findings[at].finding]);
  }

  void findings(const LayoutItem& item) {
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

  // What holds with numbers: tightest first.
  void margins() {
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

  void open_questions() {
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

  // Values nobody stated in the job, on which a verdict rests: the library's usual ones and its stock, with their basis.
  void assumptions() {
    struct Line { std::string what, value, basis; u32 rests = 0; };
    std::vector<Line> lines;
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
        Line line;
        line.what = fmt::format("{}.{}", unstated ? std::string(program_.text(program_.kinds[thing.kind.value].name)) : judgement_.evaluation().name_of(input.thing), program_.text(field.name));
        line.value = judgement_.wording().value(judgement_.evaluation().field(input.thing, input.slot, finding.world), program_.types[field.type.value], finding.world, program_.text(field.shown));
        line.basis = judgement_.wording().citation(program_.citations[citation.value]);
        line.rests = 1;
        lines.push_back(line);
      }
    }
    Table table;
    table.columns = {{label("assumed"), Align::left, ""}, {label("shown_as"), Align::right, ""}, {label("basis"), Align::left, ""}, {label("rests"), Align::right, ""}};
    for (const Line& line : lines) {
      Row row;
      row.cells = {Cell{line.what}, Cell{line.value}, Cell{line.basis}, Cell{std::to_string(line.rests)}};
      table.rows.push_back(row);
    }
    if (!table.rows.empty()) add(table);
  }

  // ---- tables, lists, figures ------------------------------------------------------------------------
  template <class F>
  void each_row(const LayoutItem& item, F&& f) {
    judgement_.evaluation().each(item.binders, item.where, scope(), world_, [&](Value applies) {
      if (applies.known() && applies.yes()) f();
      return true;
    });
  }
  ThingId bound_thing(const LayoutItem& item) {
    for (u32 at = 0; at < item.binders.count; ++at) {
      const meaning::Binder& binder = program_.binders[item.binders.first + at];
      const meaning::Type list = program_.types[program_.expr_notes[binder.source.value].type.value];
      if (list.kind == TypeKind::list && program_.types[list.of].kind == TypeKind::thing && locals_[binder.local].known()) return ThingId{locals_[binder.local].index()};
    }
    return {};
  }
  // Marks of the findings whose subject a row's thing is.
  std::vector<Mark> marks_of(ThingId thing, Tone& tone) {
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
  bool counts(ExprId expr) {
    const TypeKind kind = program_.types[program_.expr_notes[expr.value].type.value].kind;
    return kind == TypeKind::quantity || kind == TypeKind::date || kind == TypeKind::clock;
  }

  void grid(const LayoutItem& item, u32 first, u32 end) {
    Table table;
    std::vector<ExprId> columns;
    for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
      const LayoutItem& inner = program_.layout_items[at];
      if (inner.op == LayoutOp::column) {
        table.columns.push_back({words(inner.text), counts(inner.expr) ? Align::right : Align::left, ""});
        columns.push_back(inner.expr);
      } else if (inner.op == LayoutOp::text) {
        table.caption = words(inner.text);
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
  // `a -> r[3]` without its number.
  static std::string stem(std::string_view text) { return std::string(text.substr(0, text.find('['))); }

  void list(const LayoutItem& item, u32 first, u32 end) {
    each_row(item, [&] { items(first, end); });
  }

  void checklist(u32 first, u32 end) {
    Checklist list;
    for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1))
      if (program_.layout_items[at].op == LayoutOp::text) list.items.push_back({true, false, words(program_.layout_items[at].text), {}});
    add(list);
  }

  std::string drawing_name(std::string_view name) {
    std::string plain(name);
    for (char& c : plain)
      if (!((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'))) c = '_';
    return fmt::format("{}_{}.svg", program_.text(layout_.name), plain + (++drawn_[plain] > 1 ? std::to_string(drawn_[plain]) : ""));
  }

  void figure(const LayoutItem& item, u32 first, u32 end) {
    const std::string_view kind = program_.text(item.name);
    Figure made;
    if (kind == "chart") made = chart(item, first, end);
    else if (kind == "tree") made = tree(item, first, end);
    else return;
    made.file = drawing_name(kind);
    if (!made.svg.empty()) paper_->drawings.emplace_back(made.file, svg_file(made.svg));
    else made.file.clear();
    add(made);
  }

  // A number on an axis: all that stands on one axis is in one unit, that of the first value met.
  struct AxisUnit { std::optional<quantities::Display> display; };
  double on_axis(ExprId expr, AxisUnit& axis) {
    const Value value = judgement_.evaluation().expr(expr, scope(), world_);
    if (!value.known()) return std::nan("");
    const meaning::Type type = program_.types[program_.expr_notes[expr.value].type.value];
    if (type.kind != TypeKind::quantity) return value.number();
    if (!axis.display) {
      const quantities::DimensionId dimension{type.of};
      const std::string_view own = judgement_.wording().unit_of(expr);
      if (!own.empty()) axis.display = judgement_.wording().printer().display_in(own, dimension);
      if (!axis.display) axis.display = judgement_.wording().printer().display(dimension, value.number());
    }
    return (value.number() - axis.display->zero) / axis.display->factor;
  }

  Figure chart(const LayoutItem& item, u32 first, u32 end) {
    Chart chart;
    chart.caption = words(item.text);
    chart.target = fmt::format("figure-{}", program_.text(item.name));
    AxisUnit across, up;
    for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
      const LayoutItem& inner = program_.layout_items[at];
      if (inner.op == LayoutOp::property) {
        const std::string_view name = program_.text(inner.name);
        const double value = on_axis(inner.expr, up);
        if (!std::isfinite(value)) continue;
        if (chart.bands.empty()) chart.bands.push_back({});
        const std::string text = judgement_.wording().expr(inner.expr, scope(), world_);
        if (name == "low") chart.bands[0].low = value, chart.bands[0].low_label = text;
        else if (name == "high") chart.bands[0].high = value, chart.bands[0].high_label = text;
        else if (name == "limit") chart.limits.push_back({text, value, false});
      } else if (inner.op == LayoutOp::item) {
        const std::string_view name = program_.text(inner.name);
        if (name == "across") chart.across.name = words(inner.text);
        else if (name == "up") chart.up.name = words(inner.text);
        else if (name == "within" && !chart.bands.empty()) chart.bands[0].name = words(inner.text);
      } else if (inner.op == LayoutOp::grid || inner.op == LayoutOp::list) {
        std::vector<LayoutItem> columns;
        for (u32 n = at + 1; n < inner.items_end; ++n)
          if (program_.layout_items[n].op == LayoutOp::column) columns.push_back(program_.layout_items[n]);
        if (columns.size() < 2) continue;
        const std::size_t base = chart.lines.size();
        std::size_t label_column = columns.size();
        for (std::size_t n = 1; n < columns.size(); ++n) {
          if (!counts(columns[n].expr)) {
            label_column = n;
            continue;
          }
          ChartLine line;
          line.name = words(columns[n].text);
          chart.lines.push_back(line);
        }
        each_row(inner, [&] {
          const double x = on_axis(columns[0].expr, across);
          std::size_t line = base;
          for (std::size_t n = 1; n < columns.size(); ++n) {
            if (n == label_column) continue;
            ChartPoint point;
            point.x = x;
            point.y = on_axis(columns[n].expr, up);
            point.text = judgement_.wording().expr(columns[n].expr, scope(), world_);
            if (line == base && label_column < columns.size()) point.label = judgement_.wording().expr(columns[label_column].expr, scope(), world_);
            // Two rows of one point are one dot.
            auto& points = chart.lines[line].points;
            const bool again = !points.empty() && points.back().x == point.x && points.back().y == point.y && points.back().label == point.label;
            if (std::isfinite(point.x) && std::isfinite(point.y) && !again) points.push_back(point);
            ++line;
          }
        });
      }
    }
    if (across.display) chart.across.unit = across.display->unit;
    if (up.display) chart.up.unit = up.display->unit;
    return make_figure(chart);
  }

  Figure tree(const LayoutItem& item, u32 first, u32 end) {
    TreeFigure tree;
    tree.caption = words(item.text);
    tree.target = fmt::format("figure-{}", program_.text(item.name));
    tree.heads = {label("begins"), label("reaches"), label("over_it"), label("under_it"), label("through"), label("see")};
    std::map<u32, std::size_t> node_of;
    const auto node = [&](Value point) {
      const auto [found, fresh] = node_of.emplace(point.index(), tree.nodes.size());
      if (fresh) tree.nodes.push_back({judgement_.evaluation().name_of(ThingId{point.index()}), ""});
      return found->second;
    };
    for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
      const LayoutItem& inner = program_.layout_items[at];
      if (inner.op != LayoutOp::grid && inner.op != LayoutOp::list) continue;
      each_row(inner, [&] {
        const ThingId leg = bound_thing(inner);
        if (!leg.given()) return;
        const meaning::Thing& thing = program_.things[leg.value];
        const Value from = program_.inputs[thing.first_slot + meaning::leg_slot::from], to = program_.inputs[thing.first_slot + meaning::leg_slot::to];
        if (!from.known() || !to.known()) return;
        TreeEdge edge;
        edge.from = node(from);
        edge.to = node(to);
        Tone tone = Tone::plain;
        for (const Mark& mark : marks_of(leg, tone)) edge.mark += (edge.mark.empty() ? "" : ", ") + mark.word;
        if (thing.owner.given()) {
          edge.things.push_back(judgement_.evaluation().name_of(thing.owner));
          for (const Mark& mark : marks_of(thing.owner, tone)) edge.mark += (edge.mark.empty() ? "" : ", ") + mark.word;
        }
        for (u32 n = at + 1; n < inner.items_end; ++n) {
          const LayoutItem& column = program_.layout_items[n];
          if (column.op != LayoutOp::column) continue;
          const std::string name = words(column.text);
          if (name == "above") edge.above = judgement_.wording().expr(column.expr, scope(), world_);
          else if (name == "below") edge.below = judgement_.wording().expr(column.expr, scope(), world_);
          else if (name == "length") edge.length = number_of(column.expr);
          else if (name == "thick") edge.thickness = number_of(column.expr);
          else if (name == "note") tree.nodes[edge.to].note = judgement_.wording().expr(column.expr, scope(), world_);
        }
        if (edge.above == "none") edge.above.clear();
        if (edge.below == "none") edge.below.clear();
        tree.edges.push_back(edge);
      });
    }
    // The root is the node that no edge enters.
    std::vector<char> entered(tree.nodes.size(), 0);
    for (const TreeEdge& edge : tree.edges) entered[edge.to] = 1;
    for (std::size_t at = 0; at < entered.size(); ++at)
      if (!entered[at]) {
        tree.root = at;
        break;
      }
    return make_figure(tree);
  }
  double number_of(ExprId expr) {
    const Value value = judgement_.evaluation().expr(expr, scope(), world_);
    return value.known() ? value.number() : 0;
  }

  // ---- what stands at the end ---------------------------------------------------------------------------
  void sources() {
    struct Line { std::string document, clauses; u32 uses = 0; bool recalled = false, cites = false; };
    std::map<std::string, Line> lines;
    for (const settle::Settled& settled : judged_.settled.findings) {
      const Finding& finding = judgement_.findings()[settled.finding];
      if (finding.outcome == Outcome::does_not_apply) continue;
      const meaning::Rule& rule = program_.rules[finding.rule.value];
      for (u32 n = 0; n < rule.citations.count; ++n) {
        const meaning::Citation& citation = program_.citations[rule.citations.first + n];
        if (citation.document.given() && program_.job_code.given() && !judgement_.in_force().distance(citation.document)) continue;
        std::string name = citation.document.given() ? std::string(program_.text(program_.documents[citation.document.value].number)) : std::string(judge::basis_word(citation.basis));
        if (name.empty()) name = program_.text(program_.documents[citation.document.value].title);
        Line& line = lines[name];
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

  void named(const LayoutItem& item) {
    const std::string_view word = program_.text(item.name);
    if (word == "cautions") cautions();
    else if (word == "units") units();
    else if (word == "margins") margins();
  }
  void cautions() {
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
  void units() {
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

  const Judged& judged_;
  judge::Judgement& judgement_;
  const meaning::Program& program_;
  remedy::Search search_;
  const meaning::Layout& layout_;
  std::vector<const meaning::Layout*> line_;       // the layout asked for, then what it is a variant of
  std::vector<Value> locals_;
  evaluate::WorldId world_;
  std::vector<u32> numbers_;                        // of findings shown, by place in settled; 0: none
  std::map<u32, u32> shared_;                       // by number: how many alike findings stand under it besides
  std::map<u32, std::optional<remedy::Cure>> cures_;
  std::map<std::string, std::string> labels_;
  std::map<std::string, u32> drawn_;
  int depth_ = 0;
  Document* document_ = nullptr;
  Paper* paper_ = nullptr;
  std::vector<Block>* blocks_ = nullptr;
};
}  // namespace

std::vector<Paper> assemble(const Judged& judged, std::string_view only) {
  std::vector<Paper> papers;
  const meaning::Program& program = judged.judgement.program();
  for (u32 at = 0; at < program.layouts.size(); ++at) {
    const meaning::Layout& layout = program.layouts[at];
    if (!only.empty() && program.text(layout.name) != only) continue;
    papers.push_back(Assembler(judged, layout).run());
  }
  return papers;
}
}  // namespace dripleg::reports
