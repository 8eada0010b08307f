// Names in formulas, fields behind dots, calls, and what stands in brackets.
#include "meaning/formula.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
struct BuiltInEntry {
  std::string_view word;
  BuiltIn what;
  u32 least, most;
};
constexpr std::array<BuiltInEntry, 33> built_ins{{
    {"abs", BuiltIn::abs, 1, 1},           {"sqrt", BuiltIn::sqrt, 1, 1},
    {"cbrt", BuiltIn::cbrt, 1, 1},         {"exp", BuiltIn::exp, 1, 1},
    {"ln", BuiltIn::ln, 1, 1},             {"log10", BuiltIn::log10, 1, 1},
    {"sin", BuiltIn::sin, 1, 1},           {"cos", BuiltIn::cos, 1, 1},
    {"tan", BuiltIn::tan, 1, 1},           {"asin", BuiltIn::asin, 1, 1},
    {"acos", BuiltIn::acos, 1, 1},         {"atan", BuiltIn::atan, 1, 1},
    {"least", BuiltIn::least, 1, 32},      {"most", BuiltIn::most, 1, 32},
    {"clamp", BuiltIn::clamp, 3, 3},       {"mean", BuiltIn::mean, 1, 32},
    {"round_up_to", BuiltIn::round_up_to, 2, 2},
    {"round_down_to", BuiltIn::round_down_to, 2, 2},
    {"round_to", BuiltIn::round_to, 2, 2}, {"from_zero", BuiltIn::from_zero, 1, 1},
    {"first_given", BuiltIn::first_given, 1, 32},
    {"choose", BuiltIn::choose, 2, 2},     {"normal_below", BuiltIn::normal_below, 1, 1},
    {"normal_density", BuiltIn::normal_density, 1, 1},
    {"pi", BuiltIn::pi, 0, 0},             {"first_of", BuiltIn::first_of, 1, 1},
    {"last_of", BuiltIn::last_of, 1, 1},   {"path", BuiltIn::path, 1, 1},
    {"downstream", BuiltIn::downstream, 1, 1},
    {"between", BuiltIn::between_points, 2, 2},
    {"count_of", BuiltIn::count_of, 1, 1}, {"subsets", BuiltIn::subsets, 2, 2},
    {"binned", BuiltIn::binned, 2, 4},
}};
const BuiltInEntry* built_in_of(std::string_view word) {
  for (const BuiltInEntry& entry : built_ins)
    if (entry.word == word) return &entry;
  return nullptr;
}
}  // namespace

BuiltIn built_in_named(std::string_view word) { return built_in_of(word)->what; }
std::pair<u32, u32> built_in_counts(std::string_view word) {
  return {built_in_of(word)->least, built_in_of(word)->most};
}

Typed Formula::self_expr(Cursor where) {
  Etype type;
  type.type = {TypeKind::thing, false, 0, scope.self.value};
  return {c.push({.op = Op::self}, type, where), type};
}

Typed Formula::narrowed(Typed typed) {
  if (typed.type.type.or_none && !scope.given.empty() &&
      std::find(scope.given.begin(), scope.given.end(), c.path_key(typed.expr)) != scope.given.end())
    typed.type.type.or_none = false;
  return typed;
}

Typed Formula::field_expr(Typed thing, u32 slot, Cursor where) {
  const KindId kind{thing.type.type.of};
  const Field& field = program.field(kind, slot);
  Etype type = c.etype(c.type_of(field.type));
  type.keyed = field.holding == Holding::keyed;
  return narrowed({c.push({.op = Op::field, .a = thing.expr.value, .b = slot}, type, where), type});
}

Typed Formula::field_of(Typed thing, std::string_view word, Cursor where) {
  if (thing.type.failed) return thing;
  const Type type = thing.type.type;
  if (type.or_none)
    return wrong(Code::may_be_none, where, fmt::format("what stands before .{} may be none", word),
                 "guard it with `… is given`");
  const NameId field_name = c.name(word);
  if (type.kind == TypeKind::range && (word == "low" || word == "high")) {
    Etype of = c.etype({TypeKind::quantity, false, 0, type.of});
    const Slice args = c.expr_list({thing.expr});
    return {c.push({.op = Op::built_in, .n = 1, .a = args.first,
                    .b = static_cast<u32>(word == "low" ? BuiltIn::low_of : BuiltIn::high_of)}, of, where), of};
  }
  if (type.kind == TypeKind::row) {
    const Shape& shape = program.shapes[type.of];
    for (u32 at = 0; at < shape.columns.count; ++at) {
      const Column& column = program.columns[shape.columns.first + at];
      if (column.name != field_name) continue;
      const Etype of = c.etype(c.type_of(column.type));
      return narrowed({c.push({.op = Op::row_column, .a = thing.expr.value, .b = at}, of, where), of});
    }
    return wrong(Code::unknown_field, where, fmt::format("the table has no column {}", word));
  }
  if (type.kind == TypeKind::list)
    return wrong(Code::wrong_type, where, fmt::format(".{} is asked of a list", word),
                 "say it of each: `… for x in LIST`, or take one: first_of(LIST)");
  if (type.kind != TypeKind::thing || type.of == 0xFFFFFFFFu || type.of >= program.kinds.size())
    return wrong(Code::wrong_type, where, fmt::format("{} has no field {}", c.describe(thing.type), word));
  const KindId kind{type.of};
  const auto slot = c.slot_of(kind, field_name);
  if (!slot) {
    auto& notice = c.fail(Code::unknown_field, where,
                          fmt::format("a {} has no field {}", c.name_text(program.kinds[kind.value].name), word));
    c.suggest(notice, word, c.field_names(kind));
    return failed(where);
  }
  Typed found = field_expr(thing, *slot, where);
  // The thing at a tree's root is of the kind that the tree starts from.
  const NetworkId network = program.kinds[kind.value].network;
  if (network.given() && program.kinds[kind.value].hidden && kind == program.networks[network.value].point &&
      *slot == point_slot::thing) {
    const Expr& before = program.exprs[thing.expr.value];
    const Network& net = program.networks[network.value];
    if (before.op == Op::field && net.roots.count == 1 &&
        (before.b == point_slot::root || before.b == leg_slot::root)) {
      found.type.type = {TypeKind::thing, false, 0, program.kind_lists[net.roots.first].value};
    }
  }
  return found;
}

std::optional<Typed> Formula::own_field(NameId name, Cursor where) {
  if (!scope.self.given()) return std::nullopt;
  if (const auto slot = c.slot_of(scope.self, name)) return field_expr(self_expr(where), *slot, where);
  if (scope.join != nullptr && scope.join->through) {
    const Network& network = program.networks[scope.join->network.value];
    if (const auto slot = c.slot_of(network.leg, name))
      return field_expr(field_expr(self_expr(where), scope.join->leg_slot, where), *slot, where);
  }
  return std::nullopt;
}

std::optional<Typed> Formula::global(NameId name, Cursor where, const Etype* expected) {
  using What = Symbol::What;
  if (const Symbol* function = c.known(What::function, name)) {
    if (program.functions[function->index].parameters == 0) return call_function(FunctionId{function->index}, where, {});
    return std::nullopt;
  }
  if (const Symbol* table = c.known(What::table, name)) {
    if (!program.tables[table->index].shape.given()) return failed(where);   // told where it is declared
    Etype type;
    type.type = {TypeKind::table, false, 0, program.tables[table->index].shape.value};
    return Typed{c.constant(Value::index(table->index), type, where), type};
  }
  if (expected != nullptr && expected->type.kind == TypeKind::thing) {
    const Symbol* const thing = program.symbols.find_if(name, [&](const Symbol& s) {
      return (s.what == What::stock || s.what == What::part) &&
             (expected->type.of == 0xFFFFFFFFu || program.is_a(program.things[s.index].kind, KindId{expected->type.of}));
    });
    if (thing != nullptr) {
      Etype type;
      type.type = {TypeKind::thing, false, 0, program.things[thing->index].kind.value};
      return Typed{c.constant(Value::index(thing->index), type, where), type};
    }
  }
  const auto outside = [&](std::string_view what) {
    return wrong(Code::scope_of_function, where,
                 fmt::format("a function names {} {}", what, c.name_text(name)), "hand it in as a parameter");
  };
  if (const Symbol* condition = c.known(What::condition, name)) {
    if (scope.function) return outside("the condition");
    const Etype type = c.etype(c.type_of(program.conditions[condition->index].type));
    return narrowed({c.push({.op = Op::condition, .a = condition->index}, type, where), type});
  }
  if (const Symbol* network = c.known(What::network, name)) {
    if (scope.function) return outside("the network");
    const Network& net = program.networks[network->index];
    Etype type;
    type.type = {TypeKind::list, false, 0, c.type_id({TypeKind::thing, false, 0, net.net.value}).value};
    return Typed{c.push({.op = Op::all_of_kind, .flags = written_only, .b = net.net.value}, type, where), type};
  }
  if (const Symbol* kind = c.known(What::kind, name)) {
    if (scope.function) return outside("the kind");
    const Kind& record = program.kinds[kind->index];
    Etype type;
    type.type = {TypeKind::thing, false, 0, kind->index};
    if (record.one) return Typed{c.push({.op = Op::the_one, .b = kind->index}, type, where), type};
    type.type = {TypeKind::list, false, 0, c.type_id(type.type).value};
    return Typed{c.push({.op = Op::all_of_kind, .b = kind->index}, type, where), type};
  }
  std::vector<KindId> kinds;      // of library things that are called so
  const Symbol* const thing = program.symbols.find_if(name, [&](const Symbol& s) {
    if (s.what == What::stock && std::find(kinds.begin(), kinds.end(), program.things[s.index].kind) == kinds.end())
      kinds.push_back(program.things[s.index].kind);
    return s.what == What::job_thing;
  }) != nullptr ? program.symbols.find(name, What::job_thing) : program.symbols.find(name, What::stock);
  if (kinds.size() > 1) {
    std::string cure = "say which: ";
    for (std::size_t at = 0; at < kinds.size(); ++at)
      cure += fmt::format("{}{}.{}", at == 0 ? "" : " or ", c.name_text(program.kinds[kinds[at].value].name), c.name_text(name));
    return wrong(Code::unknown_name, where, fmt::format("{} is the name of things of {} kinds", c.name_text(name), kinds.size()), std::move(cure));
  }
  if (thing != nullptr) {
    Etype type;
    type.type = {TypeKind::thing, false, 0, program.things[thing->index].kind.value};
    return Typed{c.constant(Value::index(thing->index), type, where), type};
  }
  return std::nullopt;
}

std::optional<Typed> Formula::word(std::string_view spelling, Cursor where, const Etype* expected) {
  const NameId name = c.name(spelling);
  if (spelling == "self" && scope.self.given()) return self_expr(where);
  for (auto local = scope.locals.rbegin(); local != scope.locals.rend(); ++local)
    if (local->name == name) return narrowed({c.push({.op = Op::local, .a = local->index}, local->type, where), local->type});
  if (expected != nullptr && expected->type.kind == TypeKind::choice) {
    const Slice words = program.word_sets[expected->type.of].words;
    for (u32 at = 0; at < words.count; ++at)
      if (program.name_lists[words.first + at] == name) {
        Etype type = c.etype({TypeKind::choice, false, 0, expected->type.of});
        return Typed{c.constant(Value::index(name.value), type, where), type};
      }
  }
  if (spelling == "yes" || spelling == "no")
    return Typed{c.constant(Value::yes_no(spelling == "yes"), yes_no_type(), where), yes_no_type()};
  if (auto found = own_field(name, where)) return found;
  if (scope.rule.given()) {
    const Slice limits = program.rules[scope.rule.value].limits;
    for (u32 at = 0; at < limits.count; ++at)
      if (program.limits[limits.first + at].name == name) {
        const Etype type = c.etype(c.type_of(program.limits[limits.first + at].type));
        return narrowed({c.push({.op = Op::limit, .a = limits.first + at}, type, where), type});
      }
  }
  if (spelling == "pi") return Typed{c.push({.op = Op::built_in, .b = static_cast<u32>(BuiltIn::pi)}, number_type(), where), number_type()};
  return global(name, where, expected);
}

Typed Formula::unknown_name(std::string_view spelling, Cursor where) {
  auto& notice = c.fail(Code::unknown_name, where, fmt::format("nothing here is named {}", spelling));
  std::vector<std::string_view> words;
  for (const auto& local : scope.locals) words.push_back(c.name_text(local.name));
  if (scope.self.given())
    for (const auto field : c.field_names(scope.self)) words.push_back(field);
  for (u32 at = 0; at < program.functions.size(); ++at) words.push_back(c.name_text(program.functions[at].name));
  if (!scope.function) {
    for (u32 at = 0; at < program.conditions.size(); ++at) words.push_back(c.name_text(program.conditions[at].name));
    for (u32 at = 0; at < program.kinds.size(); ++at) words.push_back(c.name_text(program.kinds[at].name));
  }
  c.suggest(notice, spelling, words);
  return failed(where);
}

// A path with dots: the first word is looked up, the others are fields.
Typed Formula::named(Cursor leaf, const Etype* expected) {
  std::string_view rest = leaf.text();
  const auto take = [&] {
    const auto dot = rest.find('.');
    const std::string_view word = rest.substr(0, dot);
    rest = dot == std::string_view::npos ? std::string_view{} : rest.substr(dot + 1);
    return word;
  };
  const std::string_view first_word = take();
  Typed value;
  if (const Symbol* network = c.known(Symbol::What::network, c.name(first_word));
      network != nullptr && !rest.empty() && !scope.function) {
    const bool shadowed = std::any_of(scope.locals.begin(), scope.locals.end(),
                                      [&](const auto& local) { return c.name_text(local.name) == first_word; });
    if (!shadowed) {
      const Network& net = program.networks[network->index];
      const std::string_view part = take();
      const KindId kind = part == "run" ? net.run : part == "leg" ? net.leg : part == "point" ? net.point : KindId{};
      if (kind.given()) {
        Etype type;
        type.type = {TypeKind::list, false, 0, c.type_id({TypeKind::thing, false, 0, kind.value}).value};
        value = {c.push({.op = Op::all_of_kind, .b = kind.value}, type, leaf), type};
      } else {
        Etype type;
        type.type = {TypeKind::thing, false, 0, net.net.value};
        value = field_of({c.push({.op = Op::the_one, .b = net.net.value}, type, leaf), type}, part, leaf);
      }
      while (!rest.empty()) value = field_of(value, take(), leaf);
      return value;
    }
  }
  const bool dotted = !rest.empty();
  if (const Symbol* const kind = dotted ? c.known(Symbol::What::kind, c.name(first_word)) : nullptr;
      kind != nullptr && program.kinds[kind->index].stock) {      // `KIND.NAME`: the stock thing of that kind
    const NameId member = c.name(rest.substr(0, rest.find('.')));
    const Symbol* const found = program.symbols.find_if(member, [&](const Symbol& s) {
      return s.what == Symbol::What::stock && program.is_a(program.things[s.index].kind, KindId{kind->index});
    });
    if (found != nullptr) {
      take();
      Etype type;
      type.type = {TypeKind::thing, false, 0, program.things[found->index].kind.value};
      value = {c.constant(Value::index(found->index), type, leaf), type};
      while (!rest.empty()) value = field_of(value, take(), leaf);
      return value;
    }
  }
  if (dotted) {   // a catalogue's part, or a thing behind a prefix
    const auto dot = rest.find('.');
    const NameId prefix = c.name(first_word), part = c.name(rest.substr(0, dot));
    const Symbol* const found = program.symbols.find_if(part, [&](const Symbol& s) {
      return s.what == Symbol::What::part && s.prefix == prefix;
    });
    if (found != nullptr) {
      take();
      Etype type;
      type.type = {TypeKind::thing, false, 0, program.things[found->index].kind.value};
      value = {c.constant(Value::index(found->index), type, leaf), type};
      while (!rest.empty()) value = field_of(value, take(), leaf);
      return value;
    }
  }
  auto found = word(first_word, leaf, dotted ? nullptr : expected);
  if (!found) return unknown_name(first_word, leaf);
  value = *found;
  while (!rest.empty()) {
    if (value.type.keyed)
      return wrong(Code::wrong_type, leaf, "this field has a value for each of several; say for which in [ ]");
    value = field_of(value, take(), leaf);
  }
  return value;
}

// In a case or a job a list may stand as bare words.
Typed Formula::phrase(Cursor node, const Etype* expected) {
  if (expected != nullptr && expected->type.kind == TypeKind::list) return list(node, expected);
  const auto parts = node.parts();
  if (parts.size() == 1) return at(parts.front(), expected);
  return wrong(Code::wrong_type, node, "one value is wanted here");
}

Typed Formula::keyed(Typed field, Cursor index) {
  const Expr node = program.exprs[field.expr.value];
  const Type holder = c.type_of(program.expr_notes[node.a].type);
  const Field& declared = program.field(KindId{holder.of}, node.b);
  const Field& key_slot = program.field(declared.record, 0);
  const Etype wanted = c.etype(c.type_of(key_slot.type));
  Typed key = at(index.parts().front(), &wanted);
  coerce(key, wanted, index);
  Etype type = field.type;
  type.keyed = false;
  return narrowed({c.push({.op = Op::keyed, .a = node.a, .b = node.b, .c = key.expr.value}, type, index), type});
}

Typed Formula::postfix(Cursor node, const Etype* expected) {
  const auto kids = node.children();
  Typed value;
  std::size_t next = 1;
  if (kids.size() > 1 && kids[1].is(Node::args)) {
    value = call(kids[0], kids[1], expected);
    next = 2;
  } else {
    value = at(kids[0], nullptr);
  }
  for (; next < kids.size(); ++next) {
    const Cursor part = kids[next];
    if (value.type.failed) return value;
    if (part.is(Node::member)) {
      const auto words = part.parts();
      if (words.empty()) return failed(part);
      const std::string_view word = words.front().text();
      // A table with one value column gives the value; its column may be named all the same.
      if (program.exprs[value.expr.value].op == Op::table_value && value.type.type.kind != TypeKind::row) {
        const Expr table = program.exprs[value.expr.value];
        const Type type = c.type_of(program.expr_notes[table.a].type);
        const Shape& shape = program.shapes[type.of];
        if (shape.columns.count > shape.keys && c.name_text(program.columns[shape.columns.first + shape.keys].name) == word) continue;
      }
      std::string_view rest = word;
      while (!rest.empty()) {
        const auto dot = rest.find('.');
        value = field_of(value, rest.substr(0, dot), part);
        rest = dot == std::string_view::npos ? std::string_view{} : rest.substr(dot + 1);
      }
    } else if (part.is(Node::index)) {
      if (value.type.keyed) value = keyed(value, part);
      else if (value.type.type.kind == TypeKind::row) {
        const Shape& shape = program.shapes[value.type.type.of];
        const Column* each = nullptr;
        for (u32 at_column = 0; at_column < shape.columns.count; ++at_column)
          if (program.columns[shape.columns.first + at_column].each != 0) each = &program.columns[shape.columns.first + at_column];
        if (each == nullptr) return wrong(Code::wrong_type, part, "the table has no columns for each of something");
        Typed key = at(part.parts().front(), nullptr);
        const Etype type = c.etype(c.type_of(each->type));
        value = {c.push({.op = Op::index_column, .a = value.expr.value, .b = each->each - 1, .c = key.expr.value}, type, part), type};
      } else {
        return wrong(Code::wrong_type, part, "[ ] stands behind something that has one value only");
      }
    } else if (part.is(Node::args)) {
      if (value.type.type.kind != TypeKind::table) return wrong(Code::not_callable, part, "( ) stands behind something that is no table");
      value = call_table(value, part.parts(), part, {});
    }
  }
  if (value.type.keyed && !value.type.failed)
    return wrong(Code::wrong_type, node, "this field has a value for each of several; say for which in [ ]");
  // The whole stretch, as `why` shows it.
  program.expr_notes.edit(value.expr.value).place = node.place();
  return value;
}

Typed Formula::call(Cursor callee, Cursor args, const Etype* expected) {
  const std::string_view word = callee.text();
  const auto arguments = args.parts();
  if (word.find('.') == std::string_view::npos) {
    const NameId name = c.name(word);
    if (const Symbol* function = c.known(Symbol::What::function, name))
      return call_function(FunctionId{function->index}, callee, arguments);
    if (built_in_of(word) != nullptr) return call_built_in(word, callee, arguments, expected);
  }
  Typed table = at(callee, nullptr);
  if (table.type.failed) return table;
  if (table.type.type.kind != TypeKind::table) {
    auto& notice = c.fail(Code::not_callable, callee, fmt::format("{} is neither a function nor a table", word));
    std::vector<std::string_view> words;
    for (u32 at = 0; at < program.functions.size(); ++at) words.push_back(c.name_text(program.functions[at].name));
    for (const auto& entry : built_ins) words.push_back(entry.word);
    c.suggest(notice, word, words);
    return failed(callee);
  }
  return call_table(table, arguments, callee, {});
}

Typed Formula::call_function(FunctionId id, Cursor callee, const std::vector<Cursor>& args) {
  const Function function = program.functions[id.value];
  if (args.size() != function.parameters) {
    auto& notice = c.fail(Code::wrong_arguments, callee,
                          fmt::format("{} takes {} value{}, and {} stand here", c.name_text(function.name),
                                      function.parameters, function.parameters == 1 ? "" : "s", args.size()));
    std::string form(c.name_text(function.name));
    form += '(';
    for (u32 at = 0; at < function.parameter_names.count; ++at) {
      if (at != 0) form += ", ";
      form += c.name_text(program.name_lists[function.parameter_names.first + at]);
    }
    notice.cures.push_back(form + ')');
    return failed(callee);
  }
  std::vector<ExprId> exprs;
  bool ok = true;
  for (u32 at_arg = 0; at_arg < args.size(); ++at_arg) {
    const Etype wanted = c.etype(c.type_of(program.type_lists[function.parameter_types.first + at_arg]));
    Typed arg = at(args[at_arg], &wanted);
    ok = coerce(arg, wanted, args[at_arg]) && ok && !arg.type.failed;
    exprs.push_back(arg.expr);
  }
  Etype type = c.etype(c.type_of(function.result));
  if (!ok) type.failed = true;
  const Slice list_of = c.expr_list(exprs);
  return {c.push({.op = Op::call, .n = static_cast<u16>(list_of.count), .a = list_of.first, .b = id.value}, type, callee), type};
}

Typed Formula::call_table(Typed table, const std::vector<Cursor>& args, Cursor where, Cursor) {
  if (table.type.type.or_none) return wrong(Code::may_be_none, where, "this table may be none", "guard it with `… is given`");
  const Shape shape = program.shapes[table.type.type.of];
  if (shape.keys == 0)
    return wrong(Code::not_callable, where, "the table has no key, so it cannot be asked by one", "go through its rows: `… for r in TABLE`");
  if (args.size() != shape.keys)
    return wrong(Code::wrong_arguments, where, fmt::format("the table is asked by {} key{}, and {} stand here", shape.keys,
                                                           shape.keys == 1 ? "" : "s", args.size()));
  std::vector<ExprId> keys;
  for (u32 at_key = 0; at_key < shape.keys; ++at_key) {
    const Etype wanted = c.etype(c.type_of(program.columns[shape.columns.first + at_key].type));
    Typed key = at(args[at_key], &wanted);
    if (!coerce(key, wanted, args[at_key]) || key.type.failed) return failed(where);
    keys.push_back(key.expr);
  }
  Etype type;
  if (shape.value.given()) type = c.etype(c.type_of(shape.value));
  else type.type = {TypeKind::row, false, 0, table.type.type.of};
  const Slice list_of = c.expr_list(keys);
  return narrowed({c.push({.op = Op::table_value, .n = static_cast<u16>(list_of.count), .a = table.expr.value, .b = list_of.first, .c = 0}, type, where), type});
}
}  // namespace dripleg::meaning
