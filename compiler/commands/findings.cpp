#include "commands/findings.hpp"

#include "notices/order.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::commands {
using reports::cure_words;
using reports::headline;
using reports::margin_words;
using reports::MarginWords;
using reports::place_of;
using reports::Question;
using reports::question_of;
using reports::questions;
using reports::sources_of;
using judge::Finding;
using judge::Outcome;
using meaning::Op;
using settle::Call;
using settle::Standing;

namespace {
// How the verdict was reached over ranges; empty if nothing uncertain was read.
std::string sureness_words(const Finding& finding) {
  switch (finding.sureness) {
    case judge::Sureness::exact: return {};
    case judge::Sureness::every_value: return "for every value of what is uncertain";
    case judge::Sureness::swept: return "at every step of the sweep";
    case judge::Sureness::sampled: return fmt::format("judged at {} points of what is uncertain, not proved", finding.points);
    case judge::Sureness::certain: return "whatever the missing answer is";
  }
  return {};
}


std::vector<std::string> all_sources(const judge::Judgement& judgement, const Finding& finding) {
  bool carried = false;
  std::vector<std::string> words = sources_of(judgement, finding, carried);
  if (carried) words.push_back("clauses of earlier editions, not re-read for the later one");
  return words;
}

void key_line(std::string& out, std::string_view key, std::string_view words) {
  if (words.empty()) return;
  out += fmt::format("      {:<10} {}\n", key, words);
}

void draw_break(project::Session& session, const Finding& finding, const settle::Settled& settled, remedy::Search& search, u32 alike,
                const notices::Drawing& drawing, std::string& out) {
  judge::Judgement& judgement = *session.judgement;
  const meaning::Program& program = judgement.program();
  const meaning::Rule& rule = program.rules[finding.rule.value];
  const std::string_view word = settled.call == Call::stop ? "breaks" : "breaks (advice)";
  out += notices::with_right_hand(headline(judgement, finding, finding.sentence), word, drawing.width);
  out += "\n\n";
  if (const base::Place place = place_of(program, finding); place.given())
    notices::draw_excerpts(session.sources, {{place, ""}}, "", drawing, out);
  if (alike != 0) key_line(out, "alike", fmt::format("{} more, numbered on from it", alike));
  std::string worst = finding.case_name;
  if (!finding.first_uncovered.empty()) worst += fmt::format(", from {} to {}", finding.first_uncovered, finding.last_uncovered);
  key_line(out, "worst", worst);
  key_line(out, "judged", sureness_words(finding));
  if (finding.margin.numeric) {
    const MarginWords margin = margin_words(judgement, finding.margin);
    if (!margin.found.empty()) key_line(out, "found", fmt::format("{}, limit {}, {} {}", margin.found, margin.limit, margin.word, margin.spare));
  }
  key_line(out, "rule", fmt::format("{}   {}", program.text(rule.says), program.text(rule.name)));
  std::string all;
  for (const std::string& source : all_sources(judgement, finding)) all += (all.empty() ? "" : "; ") + source;
  key_line(out, "source", all);
  if (const auto cure = search.find(finding)) key_line(out, "do", cure_words(judgement, *cure));
  if (settled.standing == Standing::ran_out) key_line(out, "accepted", "not any more: see the acceptance");
  if (settled.standing == Standing::impossible) key_line(out, "accepted", "a danger cannot be accepted");
  for (u32 at = 0; at < rule.cautions.count; ++at) key_line(out, "caution", program.text(program.text_ids[rule.cautions.first + at]));
  out += "\n";
}

std::string plural(u32 count, std::string_view word) { return fmt::format("{} {}{}", count, word, count == 1 ? "" : "s"); }
}  // namespace

void draw_findings(project::Session& session, const Options& options, const notices::Drawing& drawing, std::string& out) {
  judge::Judgement& judgement = *session.judgement;
  remedy::Search search(judgement);
  for (const Call call : {Call::stop, Call::look})
    for (u32 at = 0; at < session.settled.findings.size(); ++at) {
      const settle::Settled& settled = session.settled.findings[at];
      const Finding& finding = judgement.findings()[settled.finding];
      if (settled.call != call || finding.outcome != Outcome::breaks) continue;
      const u32 alike = reports::alike_behind(judgement, session.settled, at);
      draw_break(session, finding, settled, search, alike, drawing, out);
      at += alike;
    }
  const auto asked = questions(*session.judgement, session.settled);
  for (const Question& question : asked) {
    std::string who = question.asks;
    for (char& c : who)
      if (c == '_') c = ' ';
    out += notices::with_right_hand(question.words, fmt::format("ask: {}   open", who), drawing.width) + "\n";
  }
  if (!asked.empty()) out += "\n";
  if (options.all)
    for (const settle::Settled& settled : session.settled.findings) {
      const Finding& finding = judgement.findings()[settled.finding];
      if (finding.outcome != Outcome::holds) continue;
      std::string words = judgement.id(finding);
      if (finding.margin.numeric) {
        const MarginWords margin = margin_words(judgement, finding.margin);
        if (!margin.found.empty()) words += fmt::format("   {} of {}, spare {}{}", margin.found, margin.limit, margin.spare, margin.tight ? " (tight)" : "");
      }
      out += notices::with_right_hand(words, "holds", drawing.width) + "\n";
    }
  const settle::Result& result = session.settled;
  u32 rules = 0;
  for (u32 at = 0; at < session.program.rules.size(); ++at) rules += judgement.in_force().rule(meaning::RuleId{at}) ? 1 : 0;
  out += fmt::format("{}, {}: {} {}, {} open, {} accepted, {} {}", plural(rules, "rule"), plural(static_cast<u32>(result.findings.size() - result.silent), "finding"),
                     result.breaks, result.breaks == 1 ? "breaks" : "break", result.open, result.accepted, result.holds, result.holds == 1 ? "holds" : "hold");
  if (result.advice != 0) out += fmt::format(", {} to look at", result.advice);
  if (result.failed != 0) out += fmt::format(", {} could not be judged", result.failed);
  out += "\n";
}

namespace {
void write_place(JsonWriter& json, const base::Sources& sources, base::Place place) {
  if (!place.given()) {
    json.key("place").null();
    return;
  }
  const auto& source = sources[place.file];
  const auto begin = source.line_column(place.span.begin), end = source.line_column(place.span.end);
  json.key("place").begin_object();
  json.member("path", source.path()).member("line", begin.line).member("column", begin.column).member("end_line", end.line).member("end_column", end.column);
  json.end_object();
}
void write_quantity(JsonWriter& json, std::string_view key, double value, const std::string& shown) {
  json.key(key).begin_object();
  json.member("value", value).member("shown", std::string_view(shown));
  json.end_object();
}
void write_finding(project::Session& session, const settle::Settled& settled, JsonWriter& json) {
  judge::Judgement& judgement = *session.judgement;
  const Finding& finding = judgement.findings()[settled.finding];
  const meaning::Program& program = session.program;
  const meaning::Rule& rule = program.rules[finding.rule.value];
  json.begin_object();
  json.member("id", std::string_view(judgement.id(finding)));
  json.member("fingerprint", std::string_view(project::fingerprint(session.job_path, judgement, finding)));
  json.member("rule", program.text(rule.name));
  json.key("subjects").begin_array();
  for (const meaning::ThingId subject : finding.subjects) json.text(judgement.evaluation().name_of(subject));
  json.end_array();
  const std::string_view outcome = finding.outcome == Outcome::holds ? "holds" : finding.outcome == Outcome::breaks ? "breaks"
                                   : finding.outcome == Outcome::open ? "open" : finding.outcome == Outcome::failed ? "failed" : "does_not_apply";
  json.member("outcome", outcome).member("standing", settle::word_of(settled.standing));
  json.member("weight", rule.weight == meaning::Weight::danger ? "danger" : finding.advises ? "advice" : "fault");
  json.member("call", settle::word_of(settled.call));
  json.member("says", program.text(rule.says));
  json.member("sentence", std::string_view(finding.sentence));
  json.key("cited").begin_array();
  for (const std::string& source : all_sources(judgement, finding)) json.text(source);
  json.end_array();
  json.member("case", std::string_view(finding.case_name));
  json.member("judged", std::string_view(sureness_words(finding)));
  if (finding.margin.numeric) {
    const MarginWords words = margin_words(judgement, finding.margin);
    write_quantity(json, "found", finding.margin.found, words.found);
    write_quantity(json, "limit", finding.margin.limit, words.limit);
    write_quantity(json, "margin", finding.margin.spare(), words.spare);
  }
  json.key("missing").begin_array();
  for (const meaning::HoleId hole : finding.holes) {
    std::string asks;
    const std::string question = question_of(judgement, hole, asks);
    json.begin_object();
    json.member("question", std::string_view(question)).member("asks", std::string_view(asks));
    json.end_object();
  }
  json.end_array();
  write_place(json, session.sources, place_of(program, finding));
  json.end_object();
}
}  // namespace

void write_json(project::Session& session, JsonWriter& json, int exit) {
  json.begin_object();
  json.member("format", "dripleg.check/1");
  json.member("tool", DRIPLEG_VERSION).member("language", 1).member("library", project::library_edition());
  if (session.program.job_code.given()) json.member("code", session.program.text(session.program.codes[session.program.job_code.value].name));
  else json.key("code").null();
  json.key("job").begin_object();
  json.member("path", std::string_view(session.job_path));
  json.end_object();
  json.key("notices").begin_array();
  for (const notices::Notice& notice : notices::in_order(session.sources, session.notices.all())) {
    json.begin_object();
    json.member("code", notices::text_of(notice.code)).member("severity", notices::word_of(notice.severity)).member("headline", std::string_view(notice.headline));
    json.key("cures").begin_array();
    for (const std::string& cure : notice.cures) json.text(cure);
    json.end_array();
    write_place(json, session.sources, notice.place);
    json.end_object();
  }
  json.end_array();
  json.key("findings").begin_array();
  if (session.could_judge())
    for (const settle::Settled& settled : session.settled.findings)
      if (settled.call != Call::silent) write_finding(session, settled, json);
  json.end_array();
  json.key("open").begin_array();
  if (session.could_judge())
    for (const Question& question : questions(*session.judgement, session.settled)) {
      json.begin_object();
      json.member("question", std::string_view(question.words)).member("asks", std::string_view(question.asks)).member("decides", question.rules);
      json.end_object();
    }
  json.end_array();
  const settle::Result& result = session.settled;
  json.key("counts").begin_object();
  json.member("breaks", result.breaks).member("advice", result.advice).member("open", result.open).member("accepted", result.accepted)
      .member("holds", result.holds).member("does_not_apply", result.silent).member("failed", result.failed);
  json.end_object();
  json.member("exit", exit);
  json.end_object();
}
}  // namespace dripleg::commands
