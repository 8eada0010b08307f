#include "reports/finding_words.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::reports {
using judge::Finding;
using judge::Outcome;
using meaning::Op;

MarginWords margin_words(judge::Judgement& judgement, const judge::Margin& margin) {
  const meaning::Program& program = judgement.program();
  MarginWords words;
  const meaning::Type type = program.types[program.expr_notes[margin.left.value].type.value];
  words.turned = margin.spare() < -1e-9 * std::fmax(std::fabs(margin.limit), std::fabs(margin.found));
  if (type.kind != meaning::TypeKind::quantity) return words;
  const auto& printer = judgement.wording().printer();
  const quantities::DimensionId dimension{type.of};
  const std::string_view own = judgement.wording().unit_of(margin.left);
  std::optional<quantities::Display> display;
  if (!own.empty()) display = printer.display_in(own, dimension);
  const quantities::Pair pair = display ? printer.pair_in(margin.found, margin.limit, *display) : printer.pair(margin.found, margin.limit, dimension);
  words.found = quantities::join(pair.found, pair.unit);
  words.limit = quantities::join(pair.limit, pair.unit);
  words.spare = quantities::join(pair.spare, pair.spare_unit);
  words.unit = pair.unit;
  const bool wants_more = margin.op == Op::at_least || margin.op == Op::greater;
  words.word = words.turned ? (wants_more ? "SHORT" : "OVER") : "spare";
  words.tight = !words.turned && margin.relative() < 0.05;
  return words;
}

base::Place place_of(const meaning::Program& program, const Finding& finding) {
  for (const meaning::ThingId subject : finding.subjects) {
    const meaning::Thing& thing = program.things[subject.value];
    if (thing.place.given() && thing.in_job) return thing.place;
    if (thing.owner.given() && program.things[thing.owner.value].place.given()) return program.things[thing.owner.value].place;
  }
  // A rule of the whole job: the job's own head, the first thing that it names.
  for (u32 at = 0; at < program.things.size(); ++at)
    if (program.things[at].in_job && program.things[at].place.given()) return program.things[at].place;
  return {};
}

std::vector<std::string> sources_of(const judge::Judgement& judgement, const Finding& finding, bool& carried) {
  const meaning::Program& program = judgement.program();
  const meaning::Rule& rule = program.rules[finding.rule.value];
  std::vector<std::string> words;
  carried = false;
  const auto add = [&](meaning::Slice citations) {
    for (u32 at = 0; at < citations.count; ++at) {
      const meaning::Citation& citation = program.citations[citations.first + at];
      std::string text = judgement.wording().citation(citation);
      if (citation.document.given() && program.job_code.given()) {
        const auto distance = judgement.in_force().distance(citation.document);
        if (!distance) continue;
        carried = carried || *distance > 0;
      }
      if (std::find(words.begin(), words.end(), text) == words.end()) words.push_back(text);
    }
  };
  add(rule.citations);
  for (u32 at = 0; at < rule.limits.count; ++at) add(judgement.in_force().limit(meaning::LimitId{rule.limits.first + at}).citations);
  return words;
}

std::string cure_words(judge::Judgement& judgement, const remedy::Cure& cure) {
  std::string words;
  const meaning::Program& program = judgement.program();
  for (const remedy::Change& change : cure.changes) {
    const meaning::Thing& thing = program.things[change.thing.value];
    const meaning::Field& field = program.field(thing.kind, change.slot);
    words += fmt::format("{}{} on {}", words.empty() ? "" : ", ",
                         judgement.wording().value(change.value, program.types[field.type.value], evaluate::nominal_world),
                         judgement.evaluation().name_of(change.thing));
  }
  if (cure.margin.numeric) {
    const MarginWords margin = margin_words(judgement, cure.margin);
    if (!margin.found.empty()) words += fmt::format(": then {} of {}, spare {}", margin.found, margin.limit, margin.spare);
  }
  if (!cure.turns.empty()) words += fmt::format("; cures {} more", cure.turns.size());
  return words + "; nothing else turns";
}

namespace {
// The field of the owner in which an entry of several parts stands; none for other things.
const meaning::Field* entry_field(const meaning::Program& program, const meaning::Thing& entry) {
  if (!entry.owner.given() || !program.kinds[entry.kind.value].hidden) return nullptr;
  const meaning::Thing& owner = program.things[entry.owner.value];
  for (u32 slot = 0; slot < owner.slots; ++slot) {
    const meaning::Field& field = program.field(owner.kind, slot);
    if (field.record == entry.kind && field.question.given()) return &field;
  }
  return nullptr;
}
}  // namespace

std::string question_of(judge::Judgement& judgement, meaning::HoleId id, std::string& asks) {
  const meaning::Program& program = judgement.program();
  const meaning::Hole hole = judgement.evaluation().hole(id);
  asks = "site";
  if (!hole.thing.given()) {
    asks = "designer";
    return "the library's table has no value there: look it up in its source, and state it";
  }
  const meaning::Thing& thing = program.things[hole.thing.value];
  const meaning::Field& part = program.field(thing.kind, hole.slot);
  const meaning::Field& field = part.question.given() || !entry_field(program, thing) ? part : *entry_field(program, thing);
  if (field.asks.given()) asks = program.text(field.asks);
  const std::string where = judgement.evaluation().name_of(thing.owner.given() && program.kinds[thing.kind.value].hidden && !thing.name.given() ? thing.owner : hole.thing);
  if (field.question.given()) return fmt::format("{}: {}", where, program.text(field.question));
  std::string name(program.text(field.name));
  for (char& c : name)
    if (c == '_') c = ' ';
  if (field.role == meaning::Role::port) return fmt::format("{}: where is its {} connected?", where, name);
  return fmt::format("{}: what is its {}?", where, name);
}

std::string headline(judge::Judgement& judgement, const Finding& finding, const std::string& sentence) {
  std::string words = sentence;
  if (finding.outcome == Outcome::breaks && finding.margin.numeric) {
    const MarginWords margin = margin_words(judgement, finding.margin);
    if (margin.turned && !margin.spare.empty()) {
      // The dot of an abbreviation stays: `in. w.c.`
      if (!words.empty() && words.back() == '.' && !(words.size() > 2 && words[words.size() - 3] == '.')) words.pop_back();
      words += fmt::format(": {} {}", margin.word, margin.spare);
    }
  }
  return words;
}

// Open findings, one line a question, with how many rules wait for it.
std::vector<Question> questions(judge::Judgement& judgement, const settle::Result& settled_all) {
  std::vector<Question> found;
  std::vector<u32> of_hole(judgement.evaluation().hole_count(), 0xFFFFFFFFu);
  for (const settle::Settled& settled : settled_all.findings) {
    const Finding& finding = judgement.findings()[settled.finding];
    if (finding.outcome != Outcome::open) continue;
    for (const meaning::HoleId hole : finding.holes) {
      if (hole.value >= of_hole.size()) of_hole.resize(hole.value + 1, 0xFFFFFFFFu);
      u32& at = of_hole[hole.value];
      if (at == 0xFFFFFFFFu) {
        Question question;
        question.words = question_of(judgement, hole, question.asks);
        const auto same = std::find_if(found.begin(), found.end(), [&](const Question& other) { return other.words == question.words; });
        at = static_cast<u32>(same - found.begin());
        if (same == found.end()) found.push_back(question);
      }
      ++found[at].rules;
    }
  }
  std::stable_sort(found.begin(), found.end(), [](const Question& a, const Question& b) { return a.asks < b.asks; });
  return found;
}

u32 alike_behind(judge::Judgement& judgement, const settle::Result& settled, u32 at) {
  const meaning::Program& program = judgement.program();
  const auto same = [&](const Finding& a, const Finding& b) {
    if (!(a.rule == b.rule) || a.outcome != b.outcome || a.subjects.size() != b.subjects.size() || a.advises != b.advises) return false;
    if (a.margin.numeric != b.margin.numeric || a.margin.found != b.margin.found || a.margin.limit != b.margin.limit) return false;
    bool numbered = false;
    for (std::size_t n = 0; n < a.subjects.size(); ++n) {
      const meaning::Thing& x = program.things[a.subjects[n].value];
      const meaning::Thing& y = program.things[b.subjects[n].value];
      if (a.subjects[n] == b.subjects[n]) continue;
      if (!(x.name == y.name) || x.number == 0 || y.number == 0) return false;
      numbered = true;
    }
    return numbered;
  };
  u32 count = 0;
  const Finding& first = judgement.findings()[settled.findings[at].finding];
  while (at + count + 1 < settled.findings.size() && settled.findings[at + count + 1].call == settled.findings[at].call &&
         same(first, judgement.findings()[settled.findings[at + count + 1].finding]))
    ++count;
  return count;
}
}  // namespace dripleg::reports
