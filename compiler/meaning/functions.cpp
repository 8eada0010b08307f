// Functions: their heads first, so that they may name each other, then their bodies; no rings.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
void Checker::read_signatures() {
  for (const PendingFunction& pending : functions) {
    Function function = program.functions[pending.function.value];
    std::vector<TypeId> types;
    std::vector<NameId> names;
    for (const Cursor params : pending.decl.children(Node::params))
      for (const Cursor param : params.children(Node::param)) {
        std::vector<Cursor> words;
        for (const Cursor part : param.parts()) {
          if (part.is(Node::phrase))
            for (const Cursor inner : part.parts()) words.push_back(inner);
          else
            words.push_back(part);
        }
        if (words.empty()) continue;
        bool ok = true;
        std::size_t at = 1;
        types.push_back(type_id(read_type(words, at, param, ok)));
        names.push_back(name(words[0]));
      }
    function.parameters = static_cast<u32>(types.size());
    function.parameter_types = {program.type_lists.append(types), static_cast<u32>(types.size())};
    function.parameter_names = {program.name_lists.append(names), static_cast<u32>(names.size())};
    std::vector<Cursor> result_words;
    for (const Cursor gives : pending.decl.children(Node::d_gives))
      for (const Cursor part : gives.parts()) result_words.push_back(part);
    // `T or none`, `list of T`: the words behind `gives NAME` are a shape.
    for (const Cursor shape : pending.decl.children(Node::shape))
      for (const Cursor part : shape.parts()) {
        if (part.is(Node::phrase))
          for (const Cursor inner : part.parts()) result_words.push_back(inner);
        else
          result_words.push_back(part);
      }
    if (result_words.empty()) {
      fail(Code::bad_declaration, pending.decl.children(Node::path).front(),
           fmt::format("function {} does not say what it gives", name_text(function.name)));
      function.result = type_id({TypeKind::quantity, false, 0, program.catalogue.plain().value});
    } else {
      bool ok = true;
      std::size_t at = 0;
      function.result = type_id(read_type(result_words, at, pending.decl, ok));
    }
    for (const Cursor prose : pending.decl.children(Node::prose)) function.docs = text(prose_text(prose));
    program.functions.edit(pending.function.value) = function;
  }
  for (const PendingTable& pending : tables) {
    const Cursor block = pending.decl.child(Node::block);
    std::string_view gives;
    Cursor gives_node = pending.decl.child(Node::d_gives);
    if (gives_node.given() && !gives_node.parts().empty()) {
      std::size_t end = gives_node.span().end;
      for (const Cursor shape : pending.decl.children(Node::shape)) end = std::max<std::size_t>(end, shape.span().end);
      const u32 begin = gives_node.parts().front().span().begin;
      gives = pending.decl.file_text().substr(begin, end - begin);
    }
    if (!block.given()) continue;
    bool ok = true;
    std::vector<Cursor> rows;
    const ShapeId shape = read_table_shape(pending.decl, block, pending.decl.children(Node::keys), gives, ok, &rows);
    if (ok) program.tables.edit(pending.table.value).shape = shape;
  }
  for (const auto& [id, decl] : conditions) {
    Condition condition;
    const auto words = decl.children(Node::path);
    condition.name = name(words.front());
    condition.place = words.front().place();
    const Cursor shape = decl.child(Node::shape);
    if (shape.given()) {
      const Shaped shaped = read_shape(shape, decl);
      condition.type = type_id(shaped.type);
    } else {
      fail(Code::bad_declaration, decl, fmt::format("condition {} has no type", name_text(condition.name)));
      condition.type = type_id({TypeKind::yes_no, false, 0, 0});
    }
    for (const Cursor prose : decl.children(Node::prose)) condition.docs = text(prose_text(prose));
    condition.variable = VariableId{program.variables.push({.kind = VariableKind::condition, .condition = id, .place = condition.place})};
    program.conditions.edit(id.value) = condition;
  }
}

namespace {
// Which functions a formula calls.
void callees(const Program& program, ExprId id, std::vector<u32>& out, u32 lowest) {
  // Children always stand before their parents; everything from `lowest` on belongs to this body.
  for (u32 at = lowest; at <= id.value; ++at)
    if (program.exprs[at].op == Op::call) out.push_back(program.exprs[at].b);
}
}  // namespace

void Checker::read_function_bodies() {
  std::vector<std::pair<u32, std::vector<u32>>> calls;
  for (const PendingFunction& pending : functions) {
    const FunctionId id = pending.function;
    Function function = program.functions[id.value];
    Scope scope;
    scope.function = true;
    for (u32 at = 0; at < function.parameters; ++at) {
      const NameId parameter = program.name_lists[function.parameter_names.first + at];
      if (known(Symbol::What::function, parameter) != nullptr || known(Symbol::What::table, parameter) != nullptr)
        fail(Code::shadows, pending.decl, fmt::format("{} is the name of a function or table already", name_text(parameter)));
      scope.add_local(parameter, etype(type_of(program.type_lists[function.parameter_types.first + at])));
    }
    // Local names have places behind the parameters; names bound inside formulas come behind those.
    for (const Cursor block : pending.decl.children(Node::block))
      scope.next_local += static_cast<u32>(block.children(Node::bind).size());
    scope.most_locals = scope.next_local;
    const u32 lowest = program.exprs.size();
    std::vector<ExprId> local_formulas;
    std::vector<Cursor> pers = pending.decl.children(Node::per);
    Cursor body = pending.decl.child(Node::equals);
    for (const Cursor block : pending.decl.children(Node::block))
      for (const Cursor item : block.children()) {
        if (is_leaf(item.kind())) continue;
        if (item.is(Node::per_line)) {
          for (const Cursor per : item.children(Node::per)) pers.push_back(per);
        } else if (item.is(Node::bind)) {
          const auto parts = item.parts();
          if (parts.size() < 2) continue;
          const NameId local = name(parts[0]);
          Typed value = formula(parts[1], scope, nullptr);
          value.type.literal = {};
          value.type.bare = value.type.zero = value.type.pure_literal = false;
          scope.locals.push_back({local, function.parameters + static_cast<u32>(local_formulas.size()), value.type});
          local_formulas.push_back(value.expr);
        } else if (item.is(Node::equals)) {
          body = item;
        } else if (item.is(Node::rises) || item.is(Node::row) || item.is(Node::prose)) {
          continue;
        } else if (item.is(Node::agrees)) {
          agreements.emplace_back(item, nullptr);
        } else {
          fail(Code::bad_declaration, item, "a function has lines per, name = formula, and = formula");
        }
      }
    if (!body.given() || body.parts().empty()) {
      fail(Code::bad_declaration, pending.decl, fmt::format("function {} has no formula", name_text(function.name)));
      continue;
    }
    Typed result = formula_as(body.parts().front(), scope, type_of(function.result));
    function.body = result.expr;
    function.local_names = {program.local_names.append(local_formulas), static_cast<u32>(local_formulas.size())};
    function.locals = std::max(scope.most_locals, scope.next_local);
    function.citations = read_citations(pers, true);
    function.empirical = scope.empirical;
    if (function.citations.count == 0 && pers.empty())     // a source that is not there was told of
      fail(Code::no_source, pending.decl, fmt::format("function {} has no source", name_text(function.name)))
          .cures.push_back("say where it comes from: per DOCUMENT \"clause\", or a basis: practice, recalled, computed");
    program.functions.edit(id.value) = function;
    std::vector<u32> called;
    callees(program, function.body, called, lowest);
    calls.emplace_back(id.value, std::move(called));
  }
  // Rings: a function reached from itself.
  std::unordered_map<u32, std::vector<u32>> graph(calls.begin(), calls.end());
  std::unordered_map<u32, int> state;
  for (const auto& [start, list] : calls) {
    std::vector<std::pair<u32, std::size_t>> stack{{start, 0}};
    if (state[start] != 0) continue;
    state[start] = 1;
    while (!stack.empty()) {
      auto& [function, next] = stack.back();
      const auto found = graph.find(function);
      if (found == graph.end() || next >= found->second.size()) {
        state[function] = 2;
        stack.pop_back();
        continue;
      }
      const u32 callee = found->second[next++];
      if (state[callee] == 1) {
        fail(Code::cycle_of_formulas, program.functions[callee].place,
             fmt::format("function {} calls itself by way of others", name_text(program.functions[callee].name)));
        Function broken = program.functions[callee];
        broken.body = {};
        if (callee >= program.functions.base_size()) program.functions.edit(callee) = broken;
      } else if (state[callee] == 0 && graph.contains(callee)) {
        state[callee] = 1;
        stack.emplace_back(callee, 0);
      }
    }
  }
}

void Checker::read_conditions() {
  for (const auto& [id, decl] : conditions) {
    const Cursor equals = decl.child(Node::equals);
    if (!equals.given() || equals.parts().empty()) {
      fail(Code::bad_declaration, decl, fmt::format("condition {} has no usual value", name_text(program.conditions[id.value].name)));
      continue;
    }
    Scope scope;
    const Typed value = formula_as(equals.parts().front(), scope, type_of(program.conditions[id.value].type));
    program.conditions.edit(id.value).formula = value.expr;
  }
}

void Checker::read_cases(bool of_job) {
  for (const auto& [id, where] : cases) {
    const auto& [decl, unit] = where;
    if (unit->job != of_job) continue;
    Case record;
    record.name = name(decl.children(Node::path).front());
    record.place = decl.children(Node::path).front().place();
    record.in_job = unit->job;
    Scope scope;
    if (const Cursor family = decl.child(Node::d_for); family.given())
      record.binders = read_binders(family.child(Node::binders), scope, record.where);
    for (const Cursor prose : decl.children(Node::prose)) record.docs = text(prose_text(prose));
    std::vector<Setting> settings;
    for (const Cursor block : decl.children(Node::block))
      for (const Cursor item : block.children()) {
        if (is_leaf(item.kind())) continue;
        if (item.is(Node::row) || item.is(Node::prose)) {
          record.docs = text(prose_text(item.is(Node::row) ? item.parts().front() : item));
          continue;
        }
        if (item.is(Node::per_line)) continue;
        const auto kids = item.children();
        const Symbol* const condition = known(Symbol::What::condition, name(kids.front()));
        if (!item.is(Node::entry) || condition == nullptr) {
          auto& notice = fail(Code::unknown_name, kids.front(), fmt::format("no condition is named {}", kids.front().text()));
          std::vector<std::string_view> words;
          for (u32 at = 0; at < program.conditions.size(); ++at) words.push_back(name_text(program.conditions[at].name));
          suggest(notice, kids.front().text(), words);
          continue;
        }
        if (kids.size() < 2) {
          fail(Code::value_missing, item, fmt::format("{} is given nothing", kids.front().text()));
          continue;
        }
        const Type wanted = type_of(program.conditions[condition->index].type);
        if (kids[1].is(Node::range_value) && wanted.kind == TypeKind::quantity) {
          // LOW .. HIGH by STEP: a sweep through a condition that is a number.
          const auto ends = kids[1].parts();
          if (ends.size() < 3) {
            fail(Code::value_wrong, kids[1], "a case that runs over a range says its step").cures.push_back("LOW .. HIGH by STEP");
            continue;
          }
          const Typed range = formula_as(kids[1], scope, Type{TypeKind::range, false, 0, wanted.of});
          const Type step_type{TypeKind::quantity, false, 0, program.catalogue.difference_of(quantities::DimensionId{wanted.of}).value};
          const Typed step = formula_as(ends[2], scope, step_type);
          Setting setting;
          setting.condition = ConditionId{condition->index};
          setting.value = range.expr;
          setting.step = step.expr;
          settings.push_back(setting);
          continue;
        }
        const Typed value = formula_as(kids[1], scope, wanted);
        Setting setting;
        setting.condition = ConditionId{condition->index};
        setting.value = value.expr;
        settings.push_back(setting);
      }
    record.settings = {program.settings.append(settings), static_cast<u32>(settings.size())};
    record.locals = scope.most_locals;
    program.cases.edit(id.value) = record;
  }
}
}  // namespace dripleg::meaning
