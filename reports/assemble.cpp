// The doors, and the walk over a layout: its items, its variants and its frame.
#include "reports/assembler.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::reports {
using judge::Finding;
using judge::Outcome;
using meaning::ExprId;
using meaning::LayoutItem;
using meaning::LayoutOp;
using meaning::Value;
using settle::Call;

std::vector<std::string_view> layout_names(const meaning::Program& program) {
  std::vector<std::string_view> names;
  for (u32 at = 0; at < program.layouts.size(); ++at) names.push_back(program.text(program.layouts[at].name));
  return names;
}

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

Assembler::Assembler(const Judged& judged, const meaning::Layout& layout)
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

Paper Assembler::run() {
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

evaluate::WorldId Assembler::counted_world() {
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

void Assembler::number_findings() {
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

const meaning::Layout* Assembler::parent_of(const meaning::Layout& layout) const {
  if (!layout.parent.given()) return nullptr;
  const meaning::Symbol* const symbol = program_.symbols.find(layout.parent, meaning::Symbol::What::layout);
  return symbol == nullptr ? nullptr : &program_.layouts[symbol->index];
}

// What variants put before or behind a named part.
void Assembler::variants(LayoutOp op, NameId name) {
  for (std::size_t at = line_.size() - 1; name.given() && at-- > 0;)
    for_each_item(*line_[at], [&](u32 number, const LayoutItem& item) {
      if (item.op == op && item.name == name) items(number + 1, item.items_end);
    });
}

// Whether a variant drops a named part.
bool Assembler::dropped(NameId name) {
  bool found = false;
  for (std::size_t at = 0; name.given() && at + 1 < line_.size(); ++at)
    for_each_item(*line_[at], [&](u32, const LayoutItem& item) {
      if (item.op != LayoutOp::drop) return;
      for (u32 n = 0; n < item.words.count; ++n) found = found || program_.name_lists[item.words.first + n] == name;
    });
  return found;
}

std::string Assembler::words(meaning::Slice parts) { return judgement_.wording().templated(parts, scope(), world_); }

bool Assembler::is_so(ExprId test) {
  if (!test.given()) return true;
  const Value value = judgement_.evaluation().expr(test, scope(), world_);
  return value.known() && value.yes();
}

Section& Assembler::section() {
  if (document_->sections.empty()) document_->sections.push_back({});
  return document_->sections.back();
}

void Assembler::items(u32 first, u32 end) {
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) item(at);
}

void Assembler::item(u32 at) {
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
      const std::size_t own = document_->sections.size();
      ++depth_;
      items(inside, end);
      --depth_;
      // What a job has nothing of is not headed either.
      if (document_->sections.size() == own && document_->sections.back().blocks.empty()) document_->sections.pop_back();
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
    case LayoutOp::item: named(item, inside, end); return;
    case LayoutOp::before: case LayoutOp::after: case LayoutOp::drop: case LayoutOp::column: case LayoutOp::property:
    case LayoutOp::mark: case LayoutOp::blank: return;
  }
}

void Assembler::named(const LayoutItem& item, u32 inside, u32 end) {
  const std::string_view word = program_.text(item.name);
  if (word == "cautions") cautions();
  else if (word == "units") units();
  else if (word == "margins") margins();
  else if (word == "sheet") sheet(item, inside, end);
}

// A sentence that a condition brings up: grave if anything breaks, waiting if anything is asked.
Tone Assembler::tone_of_say() const {
  return judged_.settled.breaks != 0 ? Tone::breaks : judged_.settled.open != 0 ? Tone::open : Tone::holds;
}

void Assembler::frame(u32 first, u32 end) {
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

std::string Assembler::code_words() {
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
std::string Assembler::label(std::string_view word) {
  const auto found = labels_.find(std::string(word));
  return found == labels_.end() ? std::string(word) : found->second;
}
}  // namespace dripleg::reports
