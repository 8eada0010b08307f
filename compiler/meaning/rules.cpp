// Rules: what they ask, of what, during which cases, and what they say when it is not so.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
void Checker::read_rules() {
  for (const auto& [id, where] : rules) read_rule(id, where.first, *where.second);
}

void Checker::read_rule(RuleId id, Cursor decl, const SourceTree& unit) {
  Rule rule;
  rule.name = name(decl.children(Node::path).front());
  rule.place = decl.children(Node::path).front().place();
  rule.file = unit.tree->file;
  std::vector<Cursor> pers = decl.children(Node::per), requirements, remedies, says_lines;
  Cursor binder_list, unknown_line;
  std::vector<Example> examples;
  std::vector<CaseId> during;
  std::vector<TextId> cautions;
  std::vector<std::pair<Limit, std::vector<Cursor>>> limits;
  const Cursor block = decl.child(Node::block);
  if (!block.given()) {
    fail(Code::bad_declaration, decl, fmt::format("rule {} has no block", name_text(rule.name)));
    return;
  }
  Cursor otherwise;
  for (const Cursor item : block.children()) {
    if (is_leaf(item.kind())) continue;
    switch (item.kind()) {
      case Node::per_line:
        for (const Cursor per : item.children(Node::per)) pers.push_back(per);
        break;
      case Node::per: pers.push_back(item); break;
      case Node::says: {
        const std::string_view head = item.head();
        const Cursor prose = item.child(Node::prose).given() ? item.child(Node::prose) : item.child(Node::text);
        if (head == "says") rule.says = text(prose_text(prose));
        else if (head == "caution") cautions.push_back(text(prose_text(prose)));
        else otherwise = prose;
        break;
      }
      case Node::weight: {
        const auto words = item.children(Node::path);
        const std::string_view word = words.empty() ? "" : words.front().text();
        if (word == "danger") rule.weight = Weight::danger;
        else if (word == "fault") rule.weight = Weight::fault;
        else if (word == "advice") rule.weight = Weight::advice;
        else fail(Code::bad_declaration, item, "a weight is danger, fault or advice");
        break;
      }
      case Node::field: {
        if (item.head() != "limit") {
          fail(Code::bad_declaration, item, "a rule has limits, no fields");
          break;
        }
        const Cursor leaf = item.child(Node::path);
        const Cursor shape = item.child(Node::shape);
        if (!leaf.given()) break;
        const NameId limit_name = name(leaf);
        auto found = std::find_if(limits.begin(), limits.end(), [&](const auto& l) { return l.first.name == limit_name; });
        if (found == limits.end()) {
          Limit limit;
          limit.name = limit_name;
          limit.rule = id;
          const Shaped shaped = read_shape(shape, item);
          if (!shaped.ok) break;
          limit.type = type_id(shaped.type);
          limits.push_back({limit, {}});
          found = limits.end() - 1;
        }
        found->second.push_back(item);
        break;
      }
      case Node::during:
        for (const Cursor word : item.children(Node::path)) {
          const Symbol* const during_case = known(Symbol::What::case_, name(word));
          if (during_case != nullptr) {
            during.push_back(CaseId{during_case->index});
            continue;
          }
          auto& notice = fail(Code::unknown_name, word, fmt::format("no case is named {}", word.text()));
          std::vector<std::string_view> words;
          for (u32 at = 0; at < program.cases.size(); ++at) words.push_back(name_text(program.cases[at].name));
          suggest(notice, word.text(), words);
        }
        break;
      case Node::for_line: binder_list = item.child(Node::binders); break;
      case Node::require: requirements.push_back(item); break;
      case Node::remedy: remedies.push_back(item); break;
      case Node::was: rule.was = name(item.children(Node::path).front()); break;
      case Node::unknown:
        rule.unknown_breaks = true;
        unknown_line = item;
        break;
      case Node::accepts: rule.accepts_open = true; break;
      case Node::example: {
        const auto words = item.children(Node::path);
        const Cursor text_block = item.child(Node::block);
        if (words.empty() || !text_block.given()) break;
        const std::string_view outcome = words.front().text();
        if (outcome != "holds" && outcome != "breaks" && outcome != "open")
          fail(Code::bad_declaration, words.front(), "an example holds, breaks or is open");
        else
          examples.push_back({name(outcome), text_block.place(), words.front().place()});
        break;
      }
      case Node::agrees: agreements.emplace_back(item, &unit); break;
      case Node::prose: break;
      default: fail(Code::bad_declaration, item, "this line does not belong in a rule"); break;
    }
  }
  rule.citations = read_citations(pers, unit.library);
  rule.during = {program.case_ids.append(during), static_cast<u32>(during.size())};
  rule.examples = {program.examples.append(examples), static_cast<u32>(examples.size())};
  rule.cautions = {program.text_ids.append(cautions), static_cast<u32>(cautions.size())};
  // Limits first, so that formulas know their names; their values after.
  const u32 first_limit = program.limits.size();
  for (const auto& [limit, lines] : limits) program.limits.push(limit);
  rule.limits = {first_limit, static_cast<u32>(limits.size())};
  program.rules.edit(id.value) = rule;
  bool any_citation = rule.citations.count != 0;
  for (u32 at = 0; at < limits.size(); ++at) {
    std::vector<LimitChoice> choices;
    for (const Cursor line : limits[at].second) {
      const Cursor equals = line.child(Node::equals);
      if (!equals.given() || equals.parts().empty()) {
        fail(Code::bad_declaration, line, "a limit says its value: = …");
        continue;
      }
      Scope scope;
      scope.rule = id;
      LimitChoice choice;
      choice.value = formula_as(equals.parts().front(), scope, type_of(limits[at].first.type)).expr;
      choice.citations = read_citations(line.children(Node::per), unit.library);
      any_citation = any_citation || choice.citations.count != 0;
      choices.push_back(choice);
    }
    program.limits.edit(first_limit + at).choices = {program.limit_choices.append(choices), static_cast<u32>(choices.size())};
  }
  rule.has_citation = any_citation;
  if (!any_citation && unit.library)
    fail(Code::no_source, rule.place, fmt::format("rule {} has no source", name_text(rule.name)))
        .cures.push_back("say where it comes from: per DOCUMENT \"clause\", or per practice \"…\"");
  Scope scope;
  scope.rule = id;
  if (binder_list.given()) rule.binders = read_binders(binder_list, scope, rule.where);
  std::vector<Requirement> tests;
  if (requirements.empty()) fail(Code::bad_declaration, rule.place, fmt::format("rule {} requires nothing", name_text(rule.name)));
  const std::size_t given_before = scope.given.size();
  for (const Cursor line : requirements) {
    Cursor test;
    for (const Cursor part : line.children())
      if (!part.is(Node::keyword)) test = part;
    if (!test.given()) continue;
    const Typed typed = formula_as(test, scope, Type{TypeKind::yes_no, false, 0, 0});
    tests.push_back({typed.expr, line.head() == "advise"});
  }
  rule.requirements = {program.requirements.append(tests), static_cast<u32>(tests.size())};
  if (otherwise.given()) {
    // What is said when it is not so speaks of values that may be none: they print as such.
    rule.otherwise = read_template(otherwise, scope, true);
  } else {
    fail(Code::bad_declaration, rule.place, fmt::format("rule {} does not say what is wrong: otherwise \"…\"", name_text(rule.name)));
  }
  if (!rule.says.given()) fail(Code::bad_declaration, rule.place, fmt::format("rule {} does not state itself: says \"…\"", name_text(rule.name)));
  if (unknown_line.given())
    if (const Cursor test = unknown_line.child(Node::where); test.given() && !test.parts().empty())
      rule.unknown_where = formula_as(test.parts().front(), scope, Type{TypeKind::yes_no, false, 0, 0}).expr;
  scope.given.resize(given_before);
  std::vector<Remedy> cures;
  for (const Cursor line : remedies) {
    const Scope before = scope;
    Cursor target, list;
    for (const Cursor part : line.children()) {
      if (part.is(Node::keyword)) continue;
      (part.is(Node::binders) ? list : target) = part;
    }
    if (!target.given() || !list.given()) continue;
    Remedy remedy;
    remedy.binders = read_binders(list, scope, remedy.where);
    const Typed typed = formula(target, scope, nullptr);
    scope.locals = before.locals;
    scope.given = before.given;
    if (typed.type.failed) continue;
    const Expr& expr = program.exprs[typed.expr.value];
    if (expr.op != Op::field) {
      fail(Code::bad_declaration, target, "a remedy names a field that may be changed: r.size for r in …");
      continue;
    }
    const KindId holder{type_of(program.expr_notes[expr.a].type).of};
    if (!program.field(holder, expr.b).choice) {
      fail(Code::bad_declaration, target, fmt::format("{} is no choice of the designer's, so no remedy may change it", target.text()));
      continue;
    }
    remedy.target = typed.expr;
    remedy.slot = static_cast<u16>(expr.b);
    cures.push_back(remedy);
  }
  rule.remedies = {program.remedies.append(cures), static_cast<u32>(cures.size())};
  rule.locals = scope.most_locals;
  program.rules.edit(id.value) = rule;
}

void Checker::read_agreements() {
  for (const auto& [node, unit] : agreements) {
    std::vector<Cursor> sides;
    Cursor tolerance;
    bool after_within = false;
    for (const Cursor part : node.children()) {
      if (part.is(Node::keyword) && part.text() == "within") after_within = true;
      if (part.is(Node::keyword) || part.is(Node::op) || part.is(Node::per) || part.is(Node::prose) || part.is(Node::missing)) continue;
      if (after_within) tolerance = part;
      else sides.push_back(part);
    }
    if (sides.size() != 2 || !tolerance.given()) continue;
    Agreement agreement;
    agreement.place = node.place();
    Scope scope;
    const Typed left = formula(sides[0], scope, nullptr);
    if (left.type.failed) continue;
    Typed right = formula(sides[1], scope, &left.type);
    Etype wanted = left.type;
    wanted.type.or_none = true;
    if (!coerce_in(right, wanted, sides[1], scope)) continue;
    agreement.left = left.expr;
    agreement.right = right.expr;
    quantities::Problem problem;
    const auto measure = quantities::read_measure(tolerance.text(), problem);
    if (measure && measure->kind == quantities::MeasureKind::percent) {
      agreement.tolerance = measure->number.value;
    } else {
      agreement.relative = false;
      Field field;
      field.name = name("within");
      Type type = left.type.type;
      if (left.type.level != quantities::Level::no || type.of == 0xFFFFFFFFu) {
        const auto dimension = program.catalogue.dimension_for(left.type.vector, quantities::Level::no);
        type = {TypeKind::quantity, false, 0, dimension.value};
      }
      field.type = type_id(type);
      if (const auto value = read_value(tolerance, field, {}, 0, false); value && value->known()) agreement.tolerance = value->number();
    }
    const Expr& expr = program.exprs[left.expr.value];
    if (expr.op == Op::call) agreement.function = FunctionId{expr.b};
    else if (expr.op == Op::table_value && program.exprs[expr.a].op == Op::constant)
      agreement.table = TableId{program.constants[program.exprs[expr.a].a].index()};
    agreement.citations = read_citations(node.children(Node::per), unit == nullptr || unit->library);
    program.agreements.push(agreement);
  }
}
}  // namespace dripleg::meaning
