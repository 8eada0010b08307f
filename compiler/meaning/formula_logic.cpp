// Tests: comparison, `is`, and/or/not, and `if`; what they tell about values that may be none (R11).
#include "meaning/formula.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
Typed Formula::condition(Cursor node) {
  Typed value = at(node, nullptr);
  if (value.type.failed) return value;
  if (value.type.type.kind != TypeKind::yes_no || value.type.type.or_none)
    return wrong(Code::wrong_type, node, fmt::format("a test is wanted, and this is {}", c.describe(value.type)));
  return value;
}

namespace {
bool is_bare_word(Cursor node) { return node.is(Node::path) && node.text().find('.') == std::string_view::npos; }
}  // namespace

Typed Formula::comparison(Cursor node) {
  const auto kids = node.children();
  if (kids.size() < 3) return failed(node);
  const std::string_view op = kids[1].text();
  // A bare word is understood by the type of the other side.
  Typed left, right;
  if (is_bare_word(kids[0]) && !is_bare_word(kids[2]) && op != "in") {
    right = at(kids[2], nullptr);
    left = at(kids[0], &right.type);
  } else {
    left = at(kids[0], nullptr);
    right = at(kids[2], op == "in" ? nullptr : &left.type);
  }
  if (left.type.failed || right.type.failed) return failed(node);
  if (!given(left, kids[0]) || !given(right, kids[2])) return failed(node);
  const Etype result = yes_no_type();
  if (op == "in") {
    if (right.type.type.kind == TypeKind::range) {
      const Etype of = c.etype({TypeKind::quantity, false, 0, right.type.type.of});
      if (!coerce(left, of, kids[0])) return failed(node);
      return {c.push({.op = Op::in_range, .a = left.expr.value, .b = right.expr.value}, result, node), result};
    }
    if (right.type.type.kind != TypeKind::list)
      return wrong(Code::wrong_type, kids[2], "what stands behind `in` is neither a list nor a range");
    return {c.push({.op = Op::in_list, .a = left.expr.value, .b = right.expr.value}, result, node), result};
  }
  if (left.type.quantity() && right.type.quantity()) {
    meet(left, right, kids[0], kids[2]);
    if (left.type.failed || right.type.failed) return failed(node);
    if (!(left.type.vector == right.type.vector) || left.type.level != right.type.level) {
      auto& notice = c.fail(Code::type_mismatch, node,
                            fmt::format("{} is compared with {}", c.describe(left.type), c.describe(right.type)));
      notice.labels.push_back({kids[0].place(), c.describe(left.type)});
      notice.labels.push_back({kids[2].place(), c.describe(right.type)});
      return failed(node);
    }
    const Op what = op == "==" ? Op::equal : op == "!=" ? Op::unequal : op == "<" ? Op::less : op == "<=" ? Op::at_most
                    : op == ">" ? Op::greater : Op::at_least;
    return {c.push({.op = what, .a = left.expr.value, .b = right.expr.value}, result, node), result};
  }
  const bool ordered = (left.type.type.kind == TypeKind::date || left.type.type.kind == TypeKind::clock) &&
                       left.type.type.kind == right.type.type.kind;
  if (op != "==" && op != "!=") {
    if (!ordered) return wrong(Code::wrong_type, node, fmt::format("{} and {} have no order", c.describe(left.type), c.describe(right.type)));
    const Op what = op == "<" ? Op::less : op == "<=" ? Op::at_most : op == ">" ? Op::greater : Op::at_least;
    return {c.push({.op = what, .a = left.expr.value, .b = right.expr.value}, result, node), result};
  }
  if (left.type.type.kind != right.type.type.kind ||
      (left.type.type.kind == TypeKind::choice && left.type.type.of != right.type.type.of))
    return wrong(Code::wrong_type, node, fmt::format("{} is compared with {}", c.describe(left.type), c.describe(right.type)));
  return {c.push({.op = op == "==" ? Op::same : Op::not_same, .a = left.expr.value, .b = right.expr.value}, result, node), result};
}

Typed Formula::is_test(Cursor node) {
  const auto kids = node.children();
  if (kids.size() < 3) return failed(node);
  Typed left = at(kids[0], nullptr);
  if (left.type.failed) return failed(node);
  const Cursor word = kids.back();
  const std::string_view asked = word.text();
  const Etype result = yes_no_type();
  const auto test = [&](Op op, u32 b = 0xFFFFFFFFu) {
    return Typed{c.push({.op = op, .a = left.expr.value, .b = b}, result, node), result};
  };
  if (asked == "none") return test(Op::is_none);
  if (asked == "given") {
    const Expr thing = program.exprs[left.expr.value];
    if (thing.op != Op::the_one) return test(Op::is_given);
    // A thing of which a job has one is always there; the question is whether the job says anything of it.
    const Typed written{c.push({.op = Op::all_of_kind, .flags = written_only, .b = thing.b}, left.type, node), left.type};
    const Typed empty{c.push({.op = Op::is_empty, .a = written.expr.value}, result, node), result};
    return {c.push({.op = Op::negation, .a = empty.expr.value}, result, node), result};
  }
  if (asked == "empty") {
    if (left.type.type.kind != TypeKind::list) return wrong(Code::wrong_type, kids[0], "only a list is empty or not");
    return test(Op::is_empty);
  }
  const NameId name = c.name(asked);
  if (left.type.type.kind == TypeKind::choice) {
    const Slice words = program.word_sets[left.type.type.of].words;
    std::vector<std::string_view> known;
    for (u32 at_word = 0; at_word < words.count; ++at_word) {
      if (program.name_lists[words.first + at_word] == name) return test(Op::is_word, name.value);
      known.push_back(c.name_text(program.name_lists[words.first + at_word]));
    }
    auto& notice = c.fail(Code::unknown_member, word, fmt::format("{} is none of the words that this can be", asked));
    c.suggest(notice, asked, known);
    return failed(node);
  }
  if (left.type.type.kind == TypeKind::thing) {
    if (const Symbol* kind = c.known(Symbol::What::kind, name)) return test(Op::is_kind, kind->index);
    if (const Symbol* thing = c.known(Symbol::What::stock, name)) return test(Op::is_thing, thing->index);
    return wrong(Code::unknown_name, word, fmt::format("{} is neither a kind nor a stock thing", asked));
  }
  if (left.type.type.kind == TypeKind::yes_no && (asked == "yes" || asked == "no")) {
    if (asked == "yes") return left;
    return {c.push({.op = Op::negation, .a = left.expr.value}, result, node), result};
  }
  return wrong(Code::wrong_type, word, fmt::format("{} cannot be asked of {}", asked, c.describe(left.type)));
}

Typed Formula::negation(Cursor node) {
  const auto parts = node.parts();
  if (parts.empty()) return failed(node);
  Typed inner = condition(parts.front());
  if (inner.type.failed) return inner;
  const Etype result = yes_no_type();
  return {c.push({.op = Op::negation, .a = inner.expr.value}, result, node), result};
}

Typed Formula::logic(Cursor node, Op op) {
  const std::size_t known_before = scope.given.size();
  std::vector<ExprId> items;
  bool ok = true;
  for (const Cursor part : node.parts()) {
    Typed item = condition(part);
    ok = ok && !item.type.failed;
    items.push_back(item.expr);
    if (!item.type.failed) c.facts(item.expr, op == Op::both, scope.given);
  }
  scope.given.resize(known_before);
  Etype result = yes_no_type();
  result.failed = !ok;
  const Slice list_of = c.expr_list(items);
  return {c.push({.op = op, .n = static_cast<u16>(list_of.count), .a = list_of.first}, result, node), result};
}

Typed Formula::choice(Cursor node, const Etype* expected) {
  const auto parts = node.parts();
  if (parts.size() < 3) return failed(node);
  Typed test = condition(parts[0]);
  const std::size_t known_before = scope.given.size();
  if (!test.type.failed) c.facts(test.expr, true, scope.given);
  Typed yes = at(parts[1], expected);
  scope.given.resize(known_before);
  if (!test.type.failed) c.facts(test.expr, false, scope.given);
  Typed no = at(parts[2], expected);
  scope.given.resize(known_before);
  if (test.type.failed || yes.type.failed || no.type.failed) return failed(node);
  // The wanted dimension passes into both branches; else the branches read each other's literals.
  if (expected != nullptr && expected->quantity()) {
    Etype wanted = *expected;
    wanted.type.or_none = true;
    if (yes.type.quantity()) coerce(yes, wanted, parts[1], true);
    if (no.type.quantity()) coerce(no, wanted, parts[2], true);
  } else if (yes.type.quantity() && no.type.quantity()) {
    meet(yes, no, parts[1], parts[2]);
  }
  if (yes.type.failed || no.type.failed) return failed(node);
  Etype type = yes.type.type.kind == TypeKind::nothing ? no.type : yes.type;
  const bool none = yes.type.type.kind == TypeKind::nothing || no.type.type.kind == TypeKind::nothing ||
                    yes.type.type.or_none || no.type.type.or_none;
  if (yes.type.type.kind != TypeKind::nothing && no.type.type.kind != TypeKind::nothing) {
    const bool alike = yes.type.quantity() && no.type.quantity()
                           ? yes.type.vector == no.type.vector && yes.type.level == no.type.level
                           : yes.type.type.kind == no.type.type.kind && (yes.type.type.kind != TypeKind::table || yes.type.type.of == no.type.type.of);
    if (!alike)
      return wrong(Code::type_mismatch, node, fmt::format("the two sides of `if` are {} and {}", c.describe(yes.type), c.describe(no.type)));
    if (type.type.kind == TypeKind::thing && yes.type.type.of != no.type.type.of) {
      // The nearest kind that both are.
      KindId common{yes.type.type.of};
      while (common.given() && !program.is_a(KindId{no.type.type.of}, common)) common = program.kinds[common.value].parent;
      type.type.of = common.value;
    }
  }
  type.type.or_none = none;
  type.literal = {};
  type.bare = type.zero = type.pure_literal = false;
  type.share = yes.type.share && no.type.share;
  return {c.push({.op = Op::choice, .a = test.expr.value, .b = yes.expr.value, .c = no.expr.value}, type, node), type};
}

// What is known to be given when a test came out as `truth`.
void Checker::facts(ExprId expr, bool truth, std::vector<std::string>& out) const {
  const Expr& e = program.exprs[expr.value];
  if ((e.op == Op::is_given && truth) || (e.op == Op::is_none && !truth)) {
    if (auto key = path_key(ExprId{e.a}); !key.empty()) out.push_back(std::move(key));
  } else if (e.op == Op::negation) {
    facts(ExprId{e.a}, !truth, out);
  } else if ((e.op == Op::both && truth) || (e.op == Op::either && !truth)) {
    for (u32 at = 0; at < e.n; ++at) facts(program.expr_lists[e.a + at], truth, out);
  } else if ((e.op == Op::is_kind || e.op == Op::is_thing || e.op == Op::is_word) && truth) {
    if (auto key = path_key(ExprId{e.a}); !key.empty()) out.push_back(std::move(key));
  }
}

// A spelling of a path (names, dots, constant and path indices), alike for alike paths; empty for others.
std::string Checker::path_key(ExprId expr) const {
  const Expr& e = program.exprs[expr.value];
  switch (e.op) {
    case Op::self: return "s";
    case Op::local: return fmt::format("l{}", e.a);
    case Op::parameter: return fmt::format("p{}", e.a);
    case Op::condition: return fmt::format("c{}", e.a);
    case Op::limit: return fmt::format("m{}", e.a);
    case Op::the_one: return fmt::format("o{}", e.b);
    case Op::constant: return fmt::format("k{:x}", program.constants[e.a].bits());
    case Op::field: {
      auto inner = path_key(ExprId{e.a});
      return inner.empty() ? inner : fmt::format("{}.{}", inner, e.b);
    }
    case Op::row_column: {
      auto inner = path_key(ExprId{e.a});
      return inner.empty() ? inner : fmt::format("{}:{}", inner, e.b);
    }
    case Op::keyed: {
      auto inner = path_key(ExprId{e.a}), key = path_key(ExprId{e.c});
      return inner.empty() || key.empty() ? std::string() : fmt::format("{}.{}[{}]", inner, e.b, key);
    }
    case Op::table_value: {
      std::string key = path_key(ExprId{e.a});
      if (key.empty()) return key;
      for (u32 at = 0; at < e.n; ++at) {
        const auto part = path_key(program.expr_lists[e.b + at]);
        if (part.empty()) return part;
        key += '(' + part + ')';
      }
      return key;
    }
    default: return {};
  }
}
}  // namespace dripleg::meaning
