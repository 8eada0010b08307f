// Lists, folds and their bound names, `first`, `find`, `carry`, and values taken in another world.
#include "meaning/formula.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
Type Formula::element_of(const Typed& list) const { return c.type_of(TypeId{list.type.type.of}); }

std::optional<Binder> Formula::binder(Cursor node) {
  const auto parts = node.parts();
  if (parts.size() < 2) return std::nullopt;
  const NameId name = c.name(parts[0]);
  if (c.known(Symbol::What::function, name) != nullptr || c.known(Symbol::What::table, name) != nullptr)
    c.fail(Code::shadows, parts[0], fmt::format("{} is the name of a function or table already", parts[0].text()));
  Typed source = at(parts[1], nullptr);
  if (const Expr one = source.type.failed ? Expr{} : program.exprs[source.expr.value]; one.op == Op::the_one) {
    // Of a kind of which a job has one: that one, if the job writes it.
    Etype list;
    list.type = {TypeKind::list, false, 0, c.type_id(source.type.type).value};
    source = {c.push({.op = Op::all_of_kind, .flags = written_only, .b = one.b}, list, parts[1]), list};
  }
  Etype element;
  if (source.type.failed) {
    element = failed_type();
  } else if (source.type.type.kind == TypeKind::list) {
    element = c.etype(element_of(source));
  } else if (source.type.type.kind == TypeKind::table && !source.type.type.or_none) {
    element.type = {TypeKind::row, false, 0, source.type.type.of};
    Etype list;
    list.type = {TypeKind::list, false, 0, c.type_id(element.type).value};
    source = {c.push({.op = Op::all_of_table, .a = source.expr.value}, list, parts[1]), list};
  } else if (source.type.type.kind == TypeKind::table) {
    wrong(Code::may_be_none, parts[1], fmt::format("{} may be none", parts[1].text()), "guard it: `if … is given then … else …`");
    element = failed_type();
  } else {
    wrong(Code::wrong_type, parts[1], fmt::format("{} is no list", parts[1].text()));
    element = failed_type();
  }
  const u32 local = scope.add_local(name, element);
  return Binder{local, source.expr};
}

// The bound names stay in scope; the caller takes them away.
Slice Formula::binders(Cursor node, ExprId& where) {
  std::vector<Binder> found;
  for (const Cursor part : node.children(Node::binder))
    if (const auto one = binder(part)) found.push_back(*one);
  if (const Cursor test = node.child(Node::where); test.given()) {
    const auto parts = test.parts();
    if (!parts.empty()) {
      const Typed condition_found = condition(parts.front());
      where = condition_found.expr;
      if (!condition_found.type.failed) c.facts(where, true, scope.given);
    }
  }
  return {program.binders.append(found), static_cast<u32>(found.size())};
}

Slice Checker::read_binders(Cursor node, Scope& scope, ExprId& where) {
  Formula formula(*this, scope, node.file_text());
  return formula.binders(node, where);
}

namespace {
struct Saved {
  Scope& scope;
  std::size_t locals, given;
  explicit Saved(Scope& s) : scope(s), locals(s.locals.size()), given(s.given.size()) {}
  ~Saved() {
    scope.locals.resize(locals);
    scope.given.resize(given);
  }
};
}  // namespace

Typed Formula::fold(Cursor node, const Etype* expected) {
  const Saved saved(scope);
  const std::string_view word = node.head();
  Cursor body, weight, binder_list;
  bool after_by = false;
  for (const Cursor child : node.children()) {
    if (child.is(Node::keyword) || (child.is(Node::path) && !body.given() && child.text() == word)) {
      if (child.text() == "by") after_by = true;
      if (child.is(Node::keyword)) continue;
    }
    if (child.is(Node::binders)) binder_list = child;
    else if (!is_leaf(child.kind()) || child.is(Node::measure) || child.is(Node::path) || child.is(Node::text))
      (after_by ? weight : body) = child;
  }
  if (!body.given() || !binder_list.given()) return failed(node);
  ExprId where;
  const Slice bound = binders(binder_list, where);
  const bool test = word == "any" || word == "all";
  const Etype* const inner_expected = word == "sum" || word == "max" || word == "min" || word == "mean" ? expected : nullptr;
  Typed value;
  if (word == "count") {
    value = at(body, nullptr);
  } else if (test) {
    value = condition(body);
  } else {
    value = at(body, inner_expected);
  }
  if (value.type.failed) return failed(node);
  Etype type = value.type;
  type.literal = {};
  type.bare = type.zero = type.pure_literal = false;
  Op op = Op::fold_sum;
  u32 extra = 0xFFFFFFFFu;
  if (word == "sum" || word == "product") {
    if (!need_number(value, body)) return failed(node);
    if (inner_expected != nullptr && inner_expected->quantity()) coerce(value, *inner_expected, body, true), type.type = value.type.type, type.vector = value.type.vector;
    if (value.type.level != quantities::Level::no)
      return wrong(Code::level_in_product, body, "readings on a scale are summed", "say mean of …, or sum their differences");
    if (word == "product" && !value.type.vector.plain()) return wrong(Code::bad_power, body, "a product over a list is of plain numbers");
    op = word == "sum" ? Op::fold_sum : Op::fold_product;
  } else if (word == "max" || word == "min") {
    if (!given(value, body)) return failed(node);
    op = word == "max" ? Op::fold_max : Op::fold_min;
  } else if (word == "count") {
    op = Op::fold_count;
    type = number_type();
    // `count of x for x in … where …` counts the members; a test counts those for which it is so.
  } else if (test) {
    op = word == "any" ? Op::fold_any : Op::fold_all;
    type = yes_no_type();
  } else if (word == "list") {
    op = Op::fold_list;
    Type element = value.type.type;
    if (value.type.quantity() && element.of == 0xFFFFFFFFu) element.of = program.catalogue.dimension_for(value.type.vector, value.type.level).value;
    type = Etype{};
    type.type = {TypeKind::list, false, 0, value.type.type.kind == TypeKind::list ? value.type.type.of : c.type_id(element).value};
  } else if (word == "mean") {
    if (!need_number(value, body)) return failed(node);
    op = Op::fold_mean;
    if (weight.given()) {
      Typed by = at(weight, nullptr);
      if (!need_number(by, weight)) return failed(node);
      extra = program.expr_lists.push(by.expr);
    }
  }
  const Slice slots{bound.first, bound.count};
  // extra (the weight) stands right behind: list n at a of binders, body b, where c; the weight in expr_lists.
  Expr expr{.op = op, .n = static_cast<u16>(slots.count), .a = slots.first, .b = value.expr.value, .c = where.value};
  if (op == Op::fold_mean && extra != 0xFFFFFFFFu) {
    expr.b = program.expr_lists.append(std::vector<ExprId>{value.expr, program.expr_lists[extra]});
    expr.flags |= weighted;
  }
  return {c.push(expr, type, node), type};
}

Typed Formula::first(Cursor node) {
  const Saved saved(scope);
  const Cursor bound = node.child(Node::binder);
  if (!bound.given()) return failed(node);
  const auto one = binder(bound);
  if (!one) return failed(node);
  const u32 at_binder = program.binders.push(*one);
  ExprId by, where;
  bool after_by = false;
  for (const Cursor child : node.children()) {
    if (child.is(Node::keyword)) {
      after_by = child.text() == "by";
      continue;
    }
    if (child.is(Node::where)) {
      const auto parts = child.parts();
      if (!parts.empty()) where = condition(parts.front()).expr;
    } else if (after_by && !child.is(Node::binder)) {
      Typed order = at(child, nullptr);
      need_number(order, child);
      by = order.expr;
    }
  }
  Etype type = scope.locals.back().type;
  if (type.failed) return failed(node);
  type.type.or_none = true;
  return {c.push({.op = Op::first, .a = at_binder, .b = by.value, .c = where.value}, type, node), type};
}

Typed Formula::find(Cursor node, const Etype* expected) {
  const Saved saved(scope);
  const Cursor bound = node.child(Node::binder);
  if (!bound.given()) return failed(node);
  const auto bound_parts = bound.parts();
  const auto all = node.parts();
  if (bound_parts.size() < 2 || all.size() < 3) return failed(node);
  if (!bound_parts[1].is(Node::range)) return wrong(Code::wrong_type, bound_parts[1], "find looks between two ends: A .. B");
  const auto ends = bound_parts[1].parts();
  Typed low = at(ends[0], expected), high = at(ends[1], expected);
  if (low.type.failed || high.type.failed) return failed(node);
  meet(low, high, ends[0], ends[1]);
  if (expected != nullptr && expected->quantity()) {
    Etype wanted = *expected;
    wanted.type.or_none = false;
    coerce(low, wanted, ends[0], true);
    coerce(high, wanted, ends[1], true);
  }
  Etype type = low.type;
  type.literal = {};
  type.bare = type.zero = type.pure_literal = false;
  const u32 local = scope.add_local(c.name(bound_parts[0]), type);
  Typed left = at(all[all.size() - 2], nullptr), right = at(all[all.size() - 1], nullptr);
  if (left.type.failed || right.type.failed) return failed(node);
  meet(left, right, all[all.size() - 2], all[all.size() - 1]);
  if (!(left.type.vector == right.type.vector))
    return wrong(Code::type_mismatch, node, fmt::format("{} is to equal {}", c.describe(left.type), c.describe(right.type)));
  const bool or_none = expected != nullptr && expected->type.or_none;
  const u32 info = program.finds.push({local, low.expr, high.expr, left.expr, right.expr, or_none});
  type.type.or_none = or_none;
  return {c.push({.op = Op::find, .a = info}, type, node), type};
}

Typed Formula::carry(Cursor node) {
  const Saved saved(scope);
  Cursor name, start, binder_list, step;
  for (const Cursor child : node.children()) {
    if (child.is(Node::keyword) || child.is(Node::op)) continue;
    if (!name.given()) name = child;
    else if (!start.given()) start = child;
    else if (child.is(Node::binders)) binder_list = child;
    else step = child;
  }
  if (!step.given()) return failed(node);
  Typed from = at(start, nullptr);
  if (from.type.failed) return failed(node);
  Etype type = from.type;
  type.literal = {};
  type.bare = type.zero = type.pure_literal = false;
  const u32 local = scope.add_local(c.name(name), type);
  CarryInfo info;
  info.local = local;
  info.start = from.expr;
  info.binders = binders(binder_list, info.where);
  Typed next = at(step, &type);
  if (!coerce(next, type, step)) return failed(node);
  info.step = next.expr;
  return {c.push({.op = Op::carry, .a = program.carries.push(info)}, type, node), type};
}

Typed Formula::list(Cursor node, const Etype* expected) {
  Type element{TypeKind::nothing, false, 0, 0xFFFFFFFFu};
  bool known_element = false;
  if (expected != nullptr && expected->type.kind == TypeKind::list) {
    element = c.type_of(TypeId{expected->type.of});
    known_element = true;
  }
  Etype wanted = c.etype(element);
  std::vector<ExprId> items;
  bool ok = true;
  const auto add_item = [&](Cursor part) {
    Typed item = at(part, known_element ? &wanted : nullptr);
    if (item.type.failed) {
      ok = false;
      return;
    }
    if (item.type.type.kind == TypeKind::list) {   // a list inside a list is poured out
      if (known_element) {
        Etype list_wanted = *expected;
        ok = coerce(item, list_wanted, part) && ok;
      }
      program.exprs.edit(item.expr.value).flags |= pours;
    } else if (known_element) {
      ok = coerce(item, wanted, part) && ok;
    } else {
      element = item.type.type;
      if (item.type.quantity() && element.of == 0xFFFFFFFFu) element.of = program.catalogue.dimension_for(item.type.vector, item.type.level).value;
      known_element = true;
      wanted = c.etype(element);
    }
    items.push_back(item.expr);
  };
  const auto walk = [&](auto&& self, Cursor inner) -> void {
    for (const Cursor part : inner.parts()) {
      if (part.is(Node::phrase)) self(self, part);
      else add_item(part);
    }
  };
  walk(walk, node);
  if (!ok) return failed(node);
  Etype type;
  type.type = {TypeKind::list, false, 0, known_element ? c.type_id(element).value : 0xFFFFFFFFu};
  const Slice list_of = c.expr_list(items);
  return {c.push({.op = Op::list, .n = static_cast<u16>(list_of.count), .a = list_of.first}, type, node), type};
}

// A .. B: whole numbers to count through where a list is wanted, else a range of a quantity.
Typed Formula::range(Cursor node, const Etype* expected) {
  const auto parts = node.parts();
  if (parts.size() < 2) return parts.empty() ? failed(node) : at(parts.front(), expected);
  Typed low = at(parts[0], nullptr), high = at(parts[1], nullptr);
  if (!need_number(low, parts[0]) || !need_number(high, parts[1])) return failed(node);
  meet(low, high, parts[0], parts[1]);
  if (expected != nullptr && expected->type.kind == TypeKind::range) {
    const Etype of = c.etype({TypeKind::quantity, false, 0, expected->type.of});
    if (!coerce(low, of, parts[0]) || !coerce(high, of, parts[1])) return failed(node);
    return {c.push({.op = Op::range, .a = low.expr.value, .b = high.expr.value}, *expected, node), *expected};
  }
  if (low.type.vector.plain() && high.type.vector.plain() && low.type.level == quantities::Level::no) {
    Etype type;
    type.type = {TypeKind::list, false, 0, c.type_id({TypeKind::quantity, false, 0, program.catalogue.plain().value}).value};
    return {c.push({.op = Op::count_up, .a = low.expr.value, .b = high.expr.value}, type, node), type};
  }
  if (!(low.type.vector == high.type.vector))
    return wrong(Code::type_mismatch, node, fmt::format("a range from {} to {}", c.describe(low.type), c.describe(high.type)));
  Etype type;
  type.type = {TypeKind::range, false, 0, program.catalogue.dimension_for(low.type.vector, low.type.level).value};
  return {c.push({.op = Op::range, .a = low.expr.value, .b = high.expr.value}, type, node), type};
}

Typed Formula::paren(Cursor node, const Etype* expected) {
  const auto parts = node.parts();
  if (parts.empty()) return failed(node);
  Typed value = at(parts.front(), expected);
  if (value.type.keyed) return wrong(Code::wrong_type, node, "this field has a value for each of several; say for which in [ ]");
  value.type.pure_literal = false;
  for (std::size_t next = 1; next < parts.size(); ++next) {
    const Cursor world = parts[next];
    if (value.type.failed) return value;
    if (scope.function) return wrong(Code::scope_of_function, world, "a function knows no cases or conditions");
    const auto words = world.parts();
    if (words.empty()) return failed(world);
    Etype type = value.type;
    type.literal = {};
    type.bare = type.zero = false;
    if (world.is(Node::world_during)) {
      const Symbol* const during = c.known(Symbol::What::case_, c.name(words[0]));
      u32 case_index = 0;
      if (during != nullptr) {
        case_index = during->index;
        value = {c.push({.op = Op::during, .a = value.expr.value, .b = case_index}, type, world), type};
        continue;
      }
      // A bound name that stands for a case.
      const Typed local = at(words[0], nullptr);
      if (local.type.failed) return failed(world);
      value = {c.push({.op = Op::during, .flags = bound_case, .a = value.expr.value, .b = local.expr.value}, type, world), type};
      continue;
    }
    const Symbol* const condition_symbol = c.known(Symbol::What::condition, c.name(words[0]));
    if (condition_symbol == nullptr || words.size() < 2)
      return wrong(Code::unknown_name, words[0], fmt::format("no condition is named {}", words[0].text()));
    const Etype wanted = c.etype(c.type_of(program.conditions[condition_symbol->index].type));
    Typed setting = at(words[1], &wanted);
    if (!coerce(setting, wanted, words[1])) return failed(world);
    value = {c.push({.op = Op::when, .a = value.expr.value, .b = condition_symbol->index, .c = setting.expr.value}, type, world), type};
  }
  return value;
}

Typed Formula::call_built_in(std::string_view word, Cursor callee, const std::vector<Cursor>& args, const Etype* expected) {
  const BuiltIn what = built_in_named(word);
  const auto [least_count, most_count] = built_in_counts(word);
  if (args.size() < least_count || args.size() > most_count)
    return wrong(Code::wrong_arguments, callee, fmt::format("{} takes {} value{}", word, least_count, least_count == 1 ? "" : "s"));
  if (what == BuiltIn::between_points) return between(callee, args);
  if (what == BuiltIn::binned) return binned(callee, args, expected);
  std::vector<Typed> values;
  const bool alike = what == BuiltIn::least || what == BuiltIn::most || what == BuiltIn::mean || what == BuiltIn::clamp ||
                     what == BuiltIn::round_up_to || what == BuiltIn::round_down_to || what == BuiltIn::round_to ||
                     what == BuiltIn::first_given;
  for (const Cursor arg : args) {
    values.push_back(at(arg, alike ? expected : nullptr));
    if (values.back().type.failed) return failed(callee);
  }
  Etype type = number_type();
  const auto all_numbers = [&] {
    for (std::size_t i = 0; i < values.size(); ++i)
      if (!need_number(values[i], args[i])) return false;
    return true;
  };
  const auto plain = [&](std::size_t i) {
    if (values[i].type.vector.plain() && values[i].type.level == quantities::Level::no) return true;
    c.fail(Code::bad_power, args[i], fmt::format("{} takes a plain number, and this is {}", word, c.describe(values[i].type)))
        .cures.push_back("read it out: X / 1 UNIT");
    return false;
  };
  const auto no_level = [&](std::size_t i) {
    if (values[i].type.level == quantities::Level::no) return true;
    c.fail(Code::level_in_product, args[i], fmt::format("{} of a reading on a scale", word)).cures.push_back("take a difference first");
    return false;
  };
  const auto emit = [&] {
    std::vector<ExprId> exprs;
    for (const Typed& value : values) exprs.push_back(value.expr);
    const Slice list_of = c.expr_list(exprs);
    type.literal = {};
    type.bare = type.zero = type.pure_literal = false;
    return Typed{c.push({.op = Op::built_in, .n = static_cast<u16>(list_of.count), .a = list_of.first, .b = static_cast<u32>(what)}, type, callee), type};
  };
  switch (what) {
    case BuiltIn::abs:
      if (!all_numbers() || !no_level(0)) return failed(callee);
      type = values[0].type;
      return emit();
    case BuiltIn::sqrt:
    case BuiltIn::cbrt: {
      if (!all_numbers()) return failed(callee);
      if (values[0].type.level == quantities::Level::level) return wrong(Code::level_in_product, args[0], "a root of a reading on a scale");
      const auto vector = quantities::root(values[0].type.vector, what == BuiltIn::sqrt ? 2 : 3);
      if (!vector) return wrong(Code::bad_power, args[0], fmt::format("the root of {} has no whole powers of its bases", c.describe(values[0].type)), "read it out first: X / 1 UNIT");
      type = quantity(*vector);
      return emit();
    }
    case BuiltIn::exp: case BuiltIn::ln: case BuiltIn::log10: case BuiltIn::normal_below: case BuiltIn::normal_density:
      if (!all_numbers() || !plain(0)) return failed(callee);
      return emit();
    case BuiltIn::sin: case BuiltIn::cos: case BuiltIn::tan: {
      if (!all_numbers()) return failed(callee);
      const auto angle = program.catalogue.angle();
      if (!angle.given() || !(values[0].type.vector == program.catalogue[angle].vector))
        return wrong(Code::type_mismatch, args[0], fmt::format("{} takes an angle, and this is {}", word, c.describe(values[0].type)), "give it a unit of angle");
      return emit();
    }
    case BuiltIn::asin: case BuiltIn::acos: case BuiltIn::atan:
      if (!all_numbers() || !plain(0)) return failed(callee);
      type = c.etype({TypeKind::quantity, false, 0, program.catalogue.angle().value});
      return emit();
    case BuiltIn::least: case BuiltIn::most: case BuiltIn::clamp: case BuiltIn::mean:
    case BuiltIn::round_up_to: case BuiltIn::round_down_to: case BuiltIn::round_to: {
      if (!all_numbers()) return failed(callee);
      // All alike: what is no literal leads.
      std::size_t leader = 0;
      for (std::size_t i = 0; i < values.size(); ++i)
        if (!values[i].type.literal.given() && !values[i].type.bare) {
          leader = i;
          break;
        }
      for (std::size_t i = 0; i < values.size(); ++i) {
        if (i == leader) continue;
        if (leader < i) meet(values[leader], values[i], args[leader], args[i]);
        else meet(values[i], values[leader], args[i], args[leader]);
        if (values[i].type.failed || values[leader].type.failed) return failed(callee);
        if (!(values[i].type.vector == values[leader].type.vector) || values[i].type.level != values[leader].type.level)
          return wrong(Code::type_mismatch, args[i], fmt::format("{} beside {}", c.describe(values[i].type), c.describe(values[leader].type)));
      }
      if (what == BuiltIn::round_up_to || what == BuiltIn::round_down_to || what == BuiltIn::round_to)
        if (!no_level(0)) return failed(callee);
      bool share = true;
      for (const Typed& value : values) share = share && value.type.share;
      type = values[leader].type;
      type.share = share;
      return emit();
    }
    case BuiltIn::from_zero:
      if (!all_numbers()) return failed(callee);
      if (values[0].type.level == quantities::Level::no) return wrong(Code::wrong_type, args[0], "from_zero takes a reading on a scale");
      type = quantity(values[0].type.vector);
      return emit();
    case BuiltIn::first_given: {
      const Typed& last = values.back();
      for (std::size_t i = 0; i + 1 < values.size(); ++i) {
        Etype wanted = last.type;
        wanted.type.or_none = true;
        wanted.literal = {};
        if (!coerce(values[i], wanted, args[i])) return failed(callee);
      }
      if (values.size() > 1) {
        Etype wanted = values.front().type;
        wanted.type.or_none = last.type.type.or_none;
        if (!coerce(values.back(), wanted, args.back())) return failed(callee);
      }
      type = values.back().type;
      return emit();
    }
    case BuiltIn::choose:
      if (!all_numbers() || !plain(0) || !plain(1)) return failed(callee);
      return emit();
    case BuiltIn::first_of: case BuiltIn::last_of:
      if (values[0].type.type.kind != TypeKind::list) return wrong(Code::wrong_type, args[0], "a list is wanted");
      type = c.etype(element_of(values[0]));
      return emit();
    case BuiltIn::count_of:
      if (values[0].type.type.kind != TypeKind::list) return wrong(Code::wrong_type, args[0], "a list is wanted");
      return emit();
    case BuiltIn::subsets:
      if (values[0].type.type.kind != TypeKind::list) return wrong(Code::wrong_type, args[0], "a list is wanted");
      if (!need_number(values[1], args[1]) || !plain(1)) return failed(callee);
      type = Etype{};
      type.type = {TypeKind::list, false, 0, c.type_id(values[0].type.type).value};
      return emit();
    case BuiltIn::path: case BuiltIn::downstream: {
      const KindId kind{values[0].type.type.of};
      if (values[0].type.type.kind != TypeKind::thing || kind.value >= program.kinds.size() || !program.kinds[kind.value].network.given())
        return wrong(Code::wrong_type, args[0], fmt::format("{} takes a point of a network", word));
      const Network& network = program.networks[program.kinds[kind.value].network.value];
      if (kind != network.point) return wrong(Code::wrong_type, args[0], fmt::format("{} takes a point of a network", word));
      // The runs of the way: what is passed through has no fields of a run.
      type = Etype{};
      type.type = {TypeKind::list, false, 0, c.type_id({TypeKind::thing, false, 0, network.run.value}).value};
      return emit();
    }
    case BuiltIn::between_points: case BuiltIn::binned: case BuiltIn::pi: case BuiltIn::low_of: case BuiltIn::high_of: break;
  }
  return failed(callee);
}
}  // namespace dripleg::meaning
