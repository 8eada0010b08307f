// Codes: which documents a job is held to, what a place amends or drops, and the acceptances of a job.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
std::vector<std::string_view> rule_names(const Program& program) {
  std::vector<std::string_view> words;
  for (u32 at = 0; at < program.rules.size(); ++at) words.push_back(program.text(program.rules[at].name));
  return words;
}
}  // namespace

void Checker::read_codes() {
  for (const auto& [id, where] : codes) {
    const auto& [decl, unit] = where;
    CodeSet code;
    code.name = name(decl.children(Node::path).front());
    code.place = decl.children(Node::path).front().place();
    if (const Cursor is = decl.child(Node::d_is); is.given() && !is.parts().empty()) {
      const Symbol* const parent = known(Symbol::What::code, name(is.parts().front()));
      if (parent != nullptr) code.parent = CodeSetId{parent->index};
      else fail(Code::code_unknown, is.parts().front(), fmt::format("no code is named {}", is.parts().front().text()));
    }
    for (const Cursor prose : decl.children(Node::prose)) code.docs = text(prose_text(prose));
    std::vector<DocumentId> adopts;
    std::vector<Amendment> amendments;
    const auto rule_of = [&](Cursor leaf) -> RuleId {
      const Symbol* const rule = known(Symbol::What::rule, name(leaf));
      if (rule != nullptr) return RuleId{rule->index};
      auto& notice = fail(Code::unknown_rule, leaf, fmt::format("no rule is named {}", leaf.text()));
      suggest(notice, leaf.text(), rule_names(program));
      return {};
    };
    for (const Cursor block : decl.children(Node::block))
      for (const Cursor item : block.children()) {
        if (is_leaf(item.kind()) || item.is(Node::per_line)) continue;
        if (item.is(Node::row) || item.is(Node::prose)) {
          code.docs = text(prose_text(item.is(Node::row) ? item.parts().front() : item));
          continue;
        }
        const auto kids = item.children();
        const std::string_view head = kids.front().text();
        if (head == "adopts") {
          const auto add = [&](auto&& self, Cursor node) -> void {
            if (node.is(Node::list) || node.is(Node::phrase)) {
              for (const Cursor part : node.parts()) self(self, part);
              return;
            }
            const Symbol* const document = known(Symbol::What::document, name(node));
            if (document != nullptr) adopts.push_back(DocumentId{document->index});
            else fail(Code::unknown_document, node, fmt::format("no source is named {}", node.text()));
          };
          for (std::size_t at = 1; at < kids.size(); ++at)
            if (!kids[at].is(Node::keyword) && !kids[at].is(Node::punct)) add(add, kids[at]);
        } else if (head == "drop" && kids.size() > 1) {
          Amendment amendment;
          amendment.rule = rule_of(kids[1]);
          amendment.citations = read_citations(item.children(Node::per), unit->library);
          amendment.place = item.place();
          if (amendment.citations.count == 0) fail(Code::no_source, item, "a rule is dropped without a source");
          if (amendment.rule.given()) amendments.push_back(amendment);
        } else if (head == "amend" && kids.size() > 1) {
          const RuleId rule = rule_of(kids[1]);
          const Cursor lines = item.child(Node::block);
          if (!rule.given() || !lines.given()) continue;
          for (const Cursor line : lines.children(Node::entry)) {
            const auto words = line.children();
            Amendment amendment;
            amendment.rule = rule;
            amendment.place = line.place();
            const Slice limits = program.rules[rule.value].limits;
            std::vector<std::string_view> known_limits;
            for (u32 at = 0; at < limits.count; ++at) {
              known_limits.push_back(name_text(program.limits[limits.first + at].name));
              if (program.limits[limits.first + at].name == name(words.front())) amendment.limit = LimitId{limits.first + at};
            }
            if (!amendment.limit.given()) {
              auto& notice = fail(Code::unknown_field, words.front(), fmt::format("rule {} has no limit {}", name_text(program.rules[rule.value].name), words.front().text()));
              suggest(notice, words.front().text(), known_limits);
              continue;
            }
            Field field;
            field.name = name(words.front());
            field.type = program.limits[amendment.limit.value].type;
            if (words.size() < 2) continue;
            const auto value = read_value(words[1], field, {}, 0, false);
            if (!value) continue;
            amendment.value = constant(*value, etype(type_of(field.type)), words[1]);
            amendment.citations = read_citations(line.children(Node::per), unit->library);
            if (amendment.citations.count == 0) fail(Code::no_source, line, "a limit is amended without a source");
            amendments.push_back(amendment);
          }
        } else {
          fail(Code::bad_declaration, kids.front(), fmt::format("a code has no line `{}`", head));
        }
      }
    code.adopts = {program.document_ids.append(adopts), static_cast<u32>(adopts.size())};
    code.amendments = {program.amendments.append(amendments), static_cast<u32>(amendments.size())};
    program.codes.edit(id.value) = code;
  }
}

void Checker::read_acceptances() {
  for (const auto& [entry, unit] : acceptances) {
    const auto kids = entry.children();
    Acceptance acceptance;
    acceptance.place = entry.place();
    std::vector<ThingId> subjects;
    std::vector<Cursor> places;
    bool after_for = false;
    for (std::size_t at = 1; at < kids.size(); ++at) {
      const Cursor kid = kids[at];
      if (kid.text() == "for") {
        after_for = true;
        continue;
      }
      if (kid.is(Node::punct) || kid.is(Node::block) || kid.is(Node::op) || kid.is(Node::per)) continue;
      if (!after_for) {
        acceptance.rule_name = name(kid);
        if (const Symbol* rule = known(Symbol::What::rule, name(kid)); rule != nullptr) {
          acceptance.rule = RuleId{rule->index};
        } else {
          auto& notice = fail(Code::accept_unknown, kid, fmt::format("no rule is named {}", kid.text()));
          suggest(notice, kid.text(), rule_names(program));
        }
      } else {
        places.push_back(kid);
      }
    }
    if (!acceptance.rule.given()) continue;
    const u32 bound = program.rules[acceptance.rule.value].binders.count;
    bool ok = true;
    if (places.empty() && bound != 0) {
      fail(Code::accept_form, kids.front(), "the acceptance does not say what it is for").cures.push_back("accept RULE for PART { … }");
      continue;
    }
    bool by_head = false;
    if (const auto thing = thing_by_head(places, by_head)) subjects.push_back(*thing);
    else if (by_head) ok = false;
    if (by_head) places.clear();
    for (const Cursor place : places) {
      if (place.is(Node::list) || place.is(Node::phrase)) {
        for (const Cursor part : place.parts())
          if (const auto thing = find_thing(part, {}, false)) subjects.push_back(*thing);
          else ok = false;
        continue;
      }
      std::string spelling(place.text());
      if (place.is(Node::link)) {
        const auto ends = place.parts();
        if (ends.size() >= 2) spelling = fmt::format("{} -> {}", ends[0].text(), ends[1].text());
      }
      if (const Symbol* run = known(Symbol::What::job_thing, name(spelling)); run != nullptr && place.is(Node::link)) {
        subjects.push_back(ThingId{run->index});
      } else if (place.is(Node::link)) {
        fail(Code::accept_unknown, place, fmt::format("there is no run {}", spelling));
        ok = false;
      } else if (const auto thing = find_thing(place, {}, false)) {
        subjects.push_back(*thing);
      } else {
        ok = false;
      }
    }
    if (!ok) continue;
    const u32 notices_before = notices.size();
    for (const Cursor block : entry.children(Node::block))
      for (const Cursor line : block.children(Node::entry)) {
        const auto words = line.children();
        const std::string_view head = words.front().text();
        if (words.size() < 2) {
          fail(Code::value_missing, line, fmt::format("{} is given nothing", head));
          continue;
        }
        const auto prose = [&] {
          std::string all;
          for (std::size_t at = 1; at < words.size(); ++at)
            if (words[at].is(Node::text)) all += (all.empty() ? "" : " ") + plain_text(words[at]);
          return text(all);
        };
        if (head == "because") acceptance.because = prose();
        else if (head == "by") acceptance.by = prose();
        else if (head == "until") {
          quantities::Problem problem;
          const auto day = quantities::read_measure(words[1].text(), problem);
          if (day && day->kind == quantities::MeasureKind::date) acceptance.until = day->number.value, acceptance.until_given = true;
          else if (!day && words[1].is(Node::measure)) fail(problem.code, words[1], problem.headline).cures = problem.cures;
          else fail(Code::value_wrong, words[1], "until is a date, like 2026-12-31");
        } else if (head == "no_worse") {
          const Rule& rule = program.rules[acceptance.rule.value];
          if (rule.requirements.count == 0) continue;
          const Expr& test = program.exprs[program.requirements[rule.requirements.first].test.value];
          if (test.op != Op::at_least && test.op != Op::at_most && test.op != Op::greater && test.op != Op::less) {
            fail(Code::accept_form, line, "this rule has no margin that could grow worse");
            continue;
          }
          Field field;
          field.name = name(head);
          const Type type = type_of(program.expr_notes[test.a].type);
          field.type = type_id({TypeKind::quantity, false, 0, program.catalogue.difference_of(quantities::DimensionId{type.of}).value});
          if (const auto value = read_value(words[1], field, {}, 0, false); value && value->known()) acceptance.no_worse = value->number(), acceptance.no_worse_given = true;
        } else {
          auto& notice = fail(Code::unknown_field, words.front(), fmt::format("an acceptance has no line {}", head));
          suggest(notice, head, {"because", "by", "until", "no_worse"});
        }
      }
    const bool troubled = notices.size() > notices_before;   // a line that was told of is not missing
    std::string missing;
    for (const auto& [given, word] : {std::pair{acceptance.because.given(), "because"}, std::pair{acceptance.by.given(), "by"}, std::pair{acceptance.until_given, "until"}})
      if (!given) missing += fmt::format("{}no `{}`", missing.empty() ? "" : " and ", word);
    if (!missing.empty() && !troubled) {
      fail(Code::accept_form, kids.front(), fmt::format("the acceptance has {}", missing))
          .cures.push_back("an acceptance says because, by and until, each on a line of its own or parted by commas");
    }
    ok = ok && missing.empty();
    if (!ok) continue;
    acceptance.subjects = {program.thing_ids.append(subjects), static_cast<u32>(subjects.size())};
    program.acceptances.push(acceptance);
  }
}
}  // namespace dripleg::meaning
