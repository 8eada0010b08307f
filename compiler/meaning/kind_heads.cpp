// Kinds whose things have no name of their own: what stands behind the kind's name says which one it is,
// `reading L1 on 2026-04-02 { … }` for `kind reading (unit lamp) on (day date)`. The words are matched as those of
// an entry are; the thing is called by them.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
bool holds_slot(Cursor shape) {
  for (const Cursor part : shape.parts())
    if (part.is(Node::slot) || ((part.is(Node::list) || part.is(Node::phrase)) && holds_slot(part))) return true;
  return false;
}
}  // namespace

bool Checker::has_head(Cursor decl) const {
  if (decl.child(Node::params).given()) return true;
  for (const Cursor shape : decl.children(Node::shape))
    if (holds_slot(shape)) return true;
  return false;
}

// The pattern, and its slots among the fields of the kind: a line of the block may say more of them.
void Checker::read_kind_head(Cursor decl, Kind& record, std::vector<Field>& fields) {
  std::vector<PatternPart> parts;
  const auto add_slot = [&](Cursor param, bool optional) {
    std::vector<Cursor> words;
    for (const Cursor part : param.parts()) {
      if (part.is(Node::phrase))
        for (const Cursor inner : part.parts()) words.push_back(inner);
      else
        words.push_back(part);
    }
    if (words.empty()) return;
    bool ok = true;
    std::size_t at = 1;
    Type type = read_type(words, at, param, ok);
    if (!ok) return;
    type.or_none = optional && type.kind != TypeKind::yes_no;
    Field field;
    field.name = name(words[0]);
    field.place = words[0].place();
    field.role = optional ? Role::may : Role::needs;
    field.type = type_id(type);
    PatternPart part;
    part.optional = optional;
    part.names_rest = type.kind == TypeKind::list;
    part.slot = static_cast<u32>(fields.size());
    for (u32 slot = 0; slot < fields.size(); ++slot)
      if (fields[slot].name == field.name) part.slot = slot;
    if (part.slot == fields.size()) fields.push_back(field);
    parts.push_back(part);
  };
  bool marked = record.one || record.stock;
  const auto walk = [&](auto&& self, Cursor node, bool optional) -> void {
    for (const Cursor child : node.parts()) {
      if (child.is(Node::slot)) {
        if (const Cursor param = child.child(Node::param); param.given()) add_slot(param, optional);
      } else if (child.is(Node::list)) {
        self(self, child, true);
      } else if (child.is(Node::phrase)) {
        self(self, child, optional);
      } else {
        marked = marked || child.text() == "one" || child.text() == "stock";
        PatternPart part;
        part.word = name(child);
        part.optional = optional;
        parts.push_back(part);
      }
    }
  };
  for (const Cursor params : decl.children(Node::params))
    for (const Cursor param : params.children(Node::param)) add_slot(param, false);
  for (const Cursor shape : decl.children(Node::shape)) walk(walk, shape, false);
  if (marked)
    fail(Code::bad_declaration, decl.children(Node::path).front(), fmt::format("{} is named by what it is about, so it is neither `one` nor `stock`", name_text(record.name)));
  record.head = {program.pattern_parts.append(parts), static_cast<u32>(parts.size())};
}

namespace {
// What stands between the kind's name and the block.
std::vector<Cursor> head_values(Cursor item) {
  std::vector<Cursor> values;
  const auto kids = item.children();
  for (std::size_t at = 1; at < kids.size(); ++at) {
    const Cursor kid = kids[at];
    if (kid.is(Node::block) || kid.is(Node::per) || kid.is(Node::punct) || kid.is(Node::prose) || kid.is(Node::missing) || kid.is(Node::junk)) continue;
    values.push_back(kid);
  }
  return values;
}
}  // namespace

std::string Checker::head_name(Cursor first, const std::vector<Cursor>& values) const {
  std::string words(first.text());
  for (const Cursor value : values) words += fmt::format(" {}", value.text());
  return words;
}

void Checker::declare_by_head(Cursor item, KindId kind, const SourceTree& unit) {
  const Cursor first = item.children().front();
  if (!unit.job) {
    fail(Code::bad_declaration, first, fmt::format("{} is about a thing of the job, so it stands in the job", with_article(first.text())));
    return;
  }
  const auto values = head_values(item);
  const base::Place place{item.place().file, {first.span().begin, values.empty() ? first.span().end : values.back().span().end}};
  const NameId thing_name = name(head_name(first, values));
  if (const Symbol* const clash = known(Symbol::What::job_thing, thing_name); clash != nullptr) {
    fail(Code::declared_twice, place, fmt::format("there are two of {}", name_text(thing_name))).labels.push_back({program.things[clash->index].place, "the first"});
    return;
  }
  const ThingId thing = add_thing(kind, program.kinds[kind.value].plain, thing_name, place);
  program.things.edit(thing.value).in_job = true;
  program.symbols.add({.what = Symbol::What::job_thing, .index = thing.value, .name = thing_name});
  pending_thing_of[thing.value] = pending_things.size();
  pending_things.push_back({thing, item, &unit});
}

void Checker::read_head_values(Block& block, Cursor item) {
  const Kind& kind = program.kinds[program.things[block.thing.value].kind.value];
  Field form;
  form.name = kind.name;
  form.record = program.things[block.thing.value].kind;
  form.pattern = kind.head;
  (void)match_pattern(form, block, head_values(item), item);
}

// `accept RULE for reading L1 on 2026-04-02`: none if the words do not begin with such a kind.
std::optional<ThingId> Checker::thing_by_head(const std::vector<Cursor>& words, bool& spoken) {
  const Symbol* const kind = words.empty() ? nullptr : known(Symbol::What::kind, name(words.front()));
  spoken = kind != nullptr && program.kinds[kind->index].head.count != 0;
  if (!spoken) return std::nullopt;
  const std::string wanted = head_name(words.front(), {words.begin() + 1, words.end()});
  if (const Symbol* const thing = known(Symbol::What::job_thing, name(wanted)); thing != nullptr) return ThingId{thing->index};
  auto& notice = fail(Code::accept_unknown, words.front(), fmt::format("there is no {}", wanted));
  std::vector<std::string_view> names;
  for (u32 at = 0; at < program.things.size(); ++at)
    if (program.things[at].in_job && program.is_a(program.things[at].kind, KindId{kind->index})) names.push_back(name_text(program.things[at].name));
  suggest(notice, wanted, names);
  return std::nullopt;
}
}  // namespace dripleg::meaning
