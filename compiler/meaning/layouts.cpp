// Layouts: what a paper shows, in order. Items lie flat; each knows where what is inside it ends.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
LayoutOp op_of(std::string_view word) {
  if (word == "title") return LayoutOp::title;
  if (word == "page") return LayoutOp::page;
  if (word == "section") return LayoutOp::section;
  if (word == "frame") return LayoutOp::frame;
  if (word == "before") return LayoutOp::before;
  if (word == "after") return LayoutOp::after;
  if (word == "drop") return LayoutOp::drop;
  if (word == "text") return LayoutOp::text;
  if (word == "say") return LayoutOp::say;
  if (word == "findings") return LayoutOp::findings;
  if (word == "open") return LayoutOp::open_questions;
  if (word == "assumptions") return LayoutOp::assumptions;
  if (word == "grid") return LayoutOp::grid;
  if (word == "list") return LayoutOp::list;
  if (word == "column") return LayoutOp::column;
  if (word == "figure") return LayoutOp::figure;
  if (word == "mark") return LayoutOp::mark;
  if (word == "checklist") return LayoutOp::checklist;
  if (word == "blank") return LayoutOp::blank;
  if (word == "sources") return LayoutOp::sources;
  return LayoutOp::item;
}
Cursor prose_of(Cursor item) {
  const Cursor prose = item.child(Node::prose);
  return prose.given() ? prose : item.child(Node::text);
}
}  // namespace

void Checker::read_layout_items(Cursor block, Scope& scope) {
  for (const Cursor item : block.children()) {
    if (is_leaf(item.kind()) || item.is(Node::per_line)) continue;
    const std::size_t locals_before = scope.locals.size(), given_before = scope.given.size();
    LayoutItem record;
    record.place = item.place();
    const std::string_view head = item.children().front().text();
    const u32 at = program.layout_items.push(record);
    record.op = item.is(Node::bind) ? LayoutOp::property : op_of(head);
    Cursor inner = item.child(Node::block);
    std::vector<NameId> words;
    switch (item.kind()) {
      case Node::section: {
        if (const auto paths = item.children(Node::path); !paths.empty()) record.name = name(paths.front());
        record.text = read_template(prose_of(item), scope, true);
        break;
      }
      case Node::grid: {
        record.binders = read_binders(item.child(Node::binders), scope, record.where);
        break;
      }
      case Node::findings: {
        for (const Cursor word : item.children(Node::path)) words.push_back(name(word));
        if (const Cursor where = item.child(Node::where); where.given() && !where.parts().empty()) {
          Scope finding_scope = scope;
          const Symbol* const kind = known(Symbol::What::kind, name("finding"));
          if (kind != nullptr) {
            Etype type;
            type.type = {TypeKind::thing, false, 0, kind->index};
            finding_scope.add_local(name("f"), type);
          }
          record.where = formula_as(where.parts().front(), finding_scope, Type{TypeKind::yes_no, false, 0, 0}).expr;
          scope.most_locals = std::max(scope.most_locals, finding_scope.most_locals);
          record.binders = {0, 0};
        }
        break;
      }
      case Node::say: {
        record.text = read_template(prose_of(item), scope, true);
        Cursor test;
        for (const Cursor part : item.children())
          if (!part.is(Node::keyword) && !part.is(Node::prose) && !part.is(Node::text)) test = part;
        if (test.given()) record.where = formula_as(test, scope, Type{TypeKind::yes_no, false, 0, 0}).expr;
        break;
      }
      case Node::figure: {
        if (const auto paths = item.children(Node::path); !paths.empty()) record.name = name(paths.front());
        record.text = read_template(prose_of(item), scope, true);
        break;
      }
      case Node::column: {
        record.text = read_template(prose_of(item), scope, false);
        Cursor value;
        for (const Cursor part : item.children())
          if (!part.is(Node::keyword) && !part.is(Node::text)) value = part;
        if (value.given()) record.expr = formula(value, scope, nullptr).expr;
        break;
      }
      case Node::mark: {
        record.binders = read_binders(item.child(Node::binders), scope, record.where);
        break;
      }
      case Node::bind: {
        const auto parts = item.parts();
        if (parts.size() < 2) break;
        record.name = name(parts[0]);
        record.expr = formula(parts[1], scope, nullptr).expr;
        break;
      }
      case Node::row:
      case Node::entry:
      default: {
        for (const Cursor part : item.children())
          if (part.is(Node::path) && !(part.node() == item.children().front().node())) words.push_back(name(part));
        if (record.op == LayoutOp::item) record.name = name(head);
        for (const Cursor part : item.children())
          if (part.is(Node::text)) record.text = read_template(part, scope, true);
        break;
      }
    }
    record.words = {program.name_lists.append(words), static_cast<u32>(words.size())};
    if (inner.given()) read_layout_items(inner, scope);
    record.items_end = program.layout_items.size();
    program.layout_items.edit(at) = record;
    scope.locals.resize(locals_before);
    scope.given.resize(given_before);
  }
}

void Checker::read_layouts() {
  for (const auto& [index, where] : layouts) {
    const Cursor decl = where.first;
    Layout layout;
    layout.name = name(decl.children(Node::path).front());
    layout.place = decl.children(Node::path).front().place();
    if (const Cursor is = decl.child(Node::d_is); is.given() && !is.parts().empty()) {
      layout.parent = name(is.parts().front());
      if (known(Symbol::What::layout, layout.parent) == nullptr)
        fail(Code::unknown_name, is.parts().front(), fmt::format("no layout is named {}", is.parts().front().text()));
    }
    layout.first_item = program.layout_items.size();
    Scope scope;
    for (const Cursor block : decl.children(Node::block)) read_layout_items(block, scope);
    layout.items_end = program.layout_items.size();
    layout.locals = scope.most_locals;
    program.layouts.edit(index) = layout;
  }
}
}  // namespace dripleg::meaning
