// Kinds: their fields in slots (inherited ones first), the hidden kinds behind entries of several parts,
// and the order in which parents come before children.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
KindId Checker::new_kind(std::string_view spelling, bool hidden, base::Place place) {
  Kind kind;
  kind.name = name(spelling);
  kind.hidden = hidden;
  kind.place = place;
  return KindId{program.kinds.push(kind)};
}

Field Checker::built_in_field(std::string_view spelling, Type type) {
  Field field;
  field.name = name(spelling);
  field.type = type_id(type);
  field.role = Role::built_in;
  return field;
}

std::optional<u32> Checker::slot_of(KindId kind, NameId field) const {
  if (!kind.given()) return std::nullopt;
  const Kind& record = program.kinds[kind.value];
  for (u32 slot = 0; slot < record.fields.count; ++slot)
    if (program.fields[record.fields.first + slot].name == field) return slot;
  for (u32 at = 0; at < record.aliases.count; ++at)
    if (program.field_aliases[record.aliases.first + at].alias == field)
      return program.field_aliases[record.aliases.first + at].slot;
  return std::nullopt;
}

std::vector<std::string_view> Checker::field_names(KindId kind) const {
  std::vector<std::string_view> names;
  const Kind& record = program.kinds[kind.value];
  for (u32 slot = 0; slot < record.fields.count; ++slot) {
    const Field& field = program.fields[record.fields.first + slot];
    if (field.role != Role::built_in) names.push_back(name_text(field.name));
  }
  return names;
}

// A hidden kind: slots for the parts of an entry, then its place among its like and the thing it belongs to.
KindId Checker::record_kind(std::string_view spelling, std::vector<Field> fields, base::Place place) {
  const KindId kind = new_kind(spelling, true, place);
  quantities::DimensionId plain = program.catalogue.plain();
  fields.push_back(built_in_field("order", {TypeKind::quantity, false, 0, plain.value}));
  fields.push_back(built_in_field("owner", {TypeKind::thing, false, 0, record_owner.value}));
  std::vector<FieldAlias> aliases;
  finish_kind(kind, fields, 0, program.kinds[kind.value], aliases);
  return kind;
}

void Checker::finish_kind(KindId kind, std::vector<Field>& fields, u16 own_first, const Kind& details,
                          std::vector<FieldAlias>& aliases) {
  Kind record = details;
  const u32 first = program.fields.append(fields);
  record.fields = {first, static_cast<u32>(fields.size())};
  record.own_first = own_first;
  record.aliases = {program.field_aliases.append(aliases), static_cast<u32>(aliases.size())};
  record.plain = ClassId{program.classes.push({kind, {}})};
  program.kinds.edit(kind.value) = record;
}

// The pattern of an entry: words that must stand, slots that take values.
void Checker::read_pattern(Field& field, Cursor shape, std::string_view record_name, bool many, Cursor block,
                           const SourceTree& unit) {
  std::vector<Field> slots;
  std::vector<PatternPart> parts;
  const auto add_slot = [&](Cursor slot, bool optional) {
    const Cursor param = slot.child(Node::param);
    if (!param.given()) return;
    std::vector<Cursor> words;
    for (const Cursor part : param.parts()) {
      if (part.is(Node::phrase))
        for (const Cursor inner : part.parts()) words.push_back(inner);
      else
        words.push_back(part);
    }
    if (words.empty()) return;
    Field inner;
    inner.name = name(words[0]);
    inner.place = words[0].place();
    inner.role = optional ? Role::may : Role::needs;
    bool ok = true;
    std::size_t at = 1;
    const Type type = read_type(words, at, slot, ok);
    if (!ok) return;
    for (; at < words.size(); ++at)
      if (words[at].text() == "choice") inner.choice = true;
    Type stored = type;
    if (stored.or_none && !optional) inner.role = Role::needs;
    if (optional) stored.or_none = stored.kind != TypeKind::yes_no;
    inner.type = type_id(stored);
    PatternPart part;
    part.slot = static_cast<u32>(slots.size());
    part.optional = optional;
    part.names_rest = type.kind == TypeKind::list;
    parts.push_back(part);
    slots.push_back(inner);
  };
  const auto add_word = [&](Cursor word, bool optional) {
    PatternPart part;
    part.word = name(word);
    part.optional = optional;
    parts.push_back(part);
  };
  const auto walk = [&](auto&& self, Cursor node, bool optional) -> void {
    for (const Cursor child : node.parts()) {
      if (child.is(Node::slot)) add_slot(child, optional);
      else if (child.is(Node::list)) self(self, child, true);
      else if (child.is(Node::phrase) || child.is(Node::shape)) self(self, child, optional);
      else add_word(child, optional);
    }
  };
  walk(walk, shape, false);
  if (slots.empty()) return;
  field.pattern = {program.pattern_parts.append(parts), static_cast<u32>(parts.size())};
  const Type key = type_of(slots[0].type);
  const bool keyed = !many && key.kind == TypeKind::thing && key.of < program.kinds.size() &&
                     program.kinds[key.of].stock && slots.size() > 1;
  field.holding = many ? Holding::many : keyed ? Holding::keyed : Holding::record;
  const std::size_t first_formula = formulas.size();
  if (block.given()) {       // what else an entry has, behind its pattern
    std::vector<FieldAlias> aliases;
    for (const Cursor item : block.children(Node::field)) read_field(item, {}, slots, aliases, unit, record_name);
  }
  field.record = record_kind(record_name, slots, shape.place());
  give_record_formulas(field.record, first_formula);
  const Type record{TypeKind::thing, false, 0, field.record.value};
  if (many) field.type = type_id({TypeKind::list, false, 0, type_id(record).value});
  else if (keyed && slots.size() == 2) field.type = slots[1].type;
  else field.type = type_id(record);
}

// The formulas read for the slots of a record, from `first` on, wait for its kind; here they get it. Those of a
// record inside it have theirs already.
void Checker::give_record_formulas(KindId record, std::size_t first) {
  for (std::size_t at = first; at < formulas.size(); ++at) {
    PendingFormula& pending = formulas[at];
    if (pending.where != PendingFormula::Where::field || pending.self.given() || pending.extra == 0) continue;
    pending.self = record;
    pending.index = program.kinds[record.value].fields.first + pending.extra - 1;
    pending.extra = 0;
  }
}

void Checker::read_field(Cursor line, KindId kind, std::vector<Field>& fields, std::vector<FieldAlias>& aliases,
                         const SourceTree& unit, std::string_view kind_name) {
  struct Restore {
    KindId& at;
    KindId before;
    ~Restore() { at = before; }
  } const restore{record_owner, record_owner};
  record_owner = kind;
  const std::string_view head = line.head();
  const bool many = line.has_keyword("many");
  const Cursor leaf = line.child(Node::path);
  if (!leaf.given()) return;
  Field field;
  field.name = name(leaf);
  field.place = leaf.place();
  field.role = head == "needs" ? Role::needs : head == "gives" ? Role::gives : Role::may;
  const std::string record_name = fmt::format("{}.{}", kind_name, leaf.text());
  const Cursor shape = line.child(Node::shape);
  const auto blocks = line.children(Node::block);
  bool block_is_fields = false;
  if (shape.given()) {
    Shaped shaped = read_shape(shape, line);
    if (shaped.pattern) {
      read_pattern(field, *shaped.pattern, record_name, many, blocks.empty() ? Cursor{} : blocks.front(), unit);
    } else if (!shaped.ok) {
      return;
    } else if (shaped.type.kind == TypeKind::table) {
      bool ok = true;
      const bool bare = blocks.empty() && line.child(Node::equals).given();      // its formula says the columns
      const ShapeId table = bare ? ShapeId{program.shapes.push({})} : blocks.empty() ? ShapeId{} : read_table_shape(line, blocks.front(), {}, {}, ok, nullptr);
      if (blocks.empty() && !bare) {
        fail(Code::bad_declaration, line, "a field of type table says its keys and columns in a block");
        return;
      }
      if (!ok) return;
      const bool or_none = shaped.type.or_none || (field.role == Role::may && !line.child(Node::equals).given());
      field.type = type_id({TypeKind::table, or_none, 0, table.value});
      block_is_fields = true;
    } else {
      field.choice = shaped.choice;
      const auto bound = [&](Cursor measure, bool& given, double& into) {
        if (!measure.given()) return;
        Field plain = field;
        plain.type = type_id(shaped.type);
        if (const auto value = read_value(measure, plain, {}, 0, false); value && value->known()) {
          given = true;
          into = value->number();
        }
      };
      bound(shaped.least, field.least_given, field.least);
      bound(shaped.most, field.most_given, field.most);
      Type type = shaped.type;
      if (many) type = {TypeKind::list, false, 0, type_id(shaped.type).value};
      if (many) field.holding = Holding::many;
      field.type = type_id(type);
    }
  } else if (!blocks.empty()) {
    // A block of fields: each entry is a thing of a hidden kind.
    std::vector<Field> inner;
    std::vector<FieldAlias> inner_aliases;
    const std::size_t first_formula = formulas.size();
    for (const Cursor item : blocks.front().children(Node::field))
      read_field(item, {}, inner, inner_aliases, unit, record_name);
    field.record = record_kind(record_name, inner, leaf.place());
    give_record_formulas(field.record, first_formula);
    field.holding = many ? Holding::many : Holding::record;
    const Type record{TypeKind::thing, !many && field.role == Role::may, 0, field.record.value};
    field.type = many ? type_id({TypeKind::list, false, 0, type_id(record).value}) : type_id(record);
    block_is_fields = true;
  } else {
    fail(Code::bad_declaration, line, fmt::format("{} has no type", leaf.text()));
    return;
  }
  // A block of fields may hold them too; a table's own block may not, but a second one may follow.
  std::vector<Cursor> said;
  for (std::size_t at = 0; at < blocks.size(); ++at)
    if (at > 0 || !block_is_fields || field.record.given())
      for (const Cursor entry : blocks[at].children(Node::entry)) said.push_back(entry);
  if (!said.empty())
    for (const Cursor entry : said) {
      const auto kids = entry.children();
      const std::string_view word = kids.front().text();
      if (word == "also") {
        for (std::size_t at = 1; at < kids.size(); ++at)
          if (kids[at].is(Node::path)) aliases.push_back({name(kids[at]), static_cast<u32>(fields.size())});
      } else if (word == "spread" && kids.size() > 1) {
        quantities::Problem problem;
        if (const auto measure = quantities::read_measure(kids[1].text(), problem)) {
          field.spread_given = true;
          field.spread = measure->number.value;
        }
      } else if (word == "asks" && kids.size() > 1) {
        field.asks = name(kids[1]);
      } else if (word == "question" && kids.size() > 1) {
        field.question = text(plain_text(kids[1]));
      } else if (word == "shown" && kids.size() > 1) {
        std::string_view spelling = kids[1].text();
        if (spelling.starts_with("1 ")) spelling.remove_prefix(2);
        field.shown = name(spelling);
      } else {
        fail(Code::bad_declaration, kids.front(), fmt::format("a field's block has no line `{}`", word));
      }
    }
  if (const Cursor prose = line.child(Node::prose); prose.given()) field.docs = text(prose_text(prose));
  field.citations = read_citations(line.children(Node::per), unit.library);
  Type type = type_of(field.type);
  const Cursor equals = line.child(Node::equals);
  if (field.role == Role::may && !equals.given() && field.holding != Holding::many && type.kind != TypeKind::yes_no &&
      type.kind != TypeKind::list && !type.or_none) {
    type.or_none = true;
    field.type = type_id(type);
  }
  if (equals.given()) {
    const auto parts = equals.parts();
    if (!parts.empty()) {
      PendingFormula pending;
      pending.where = PendingFormula::Where::field;
      pending.expr = parts.front();
      pending.self = kind;
      pending.unit = &unit;
      pending.index = static_cast<u32>(fields.size());   // slot, until the kind has its place
      pending.extra = kind.given() ? 0 : static_cast<u32>(fields.size()) + 1;
      formulas.push_back(pending);
    }
  }
  for (u32 slot = 0; slot < fields.size(); ++slot)
    if (fields[slot].name == field.name) {
      const Type was = type_of(fields[slot].type);
      if (!(was == type_of(field.type)) && !(was.kind == type_of(field.type).kind && was.of == type_of(field.type).of)) {
        fail(Code::declared_twice, leaf, fmt::format("{} is already a field of this kind, of another type", leaf.text()));
        return;
      }
      if (equals.given()) formulas.back().index = slot;
      fields[slot] = field;
      return;
    }
  fields.push_back(field);
}

void Checker::read_kinds() {
  // Marks first: whether a kind is stock decides how patterns elsewhere are read.
  for (PendingKind& pending : kinds) {
    Kind& record = program.kinds.edit(pending.kind.value);
    for (const Cursor shape : pending.decl.children(Node::shape))
      for (const Cursor mark : has_head(pending.decl) ? std::vector<Cursor>{} : shape.parts()) {
        if (mark.text() == "stock") record.stock = true;
        else if (mark.text() == "one") record.one = true;
        else fail(Code::bad_declaration, mark, fmt::format("a kind has no mark `{}`", mark.text()));
      }
    if (const Cursor is = pending.decl.child(Node::d_is); is.given()) {
      const auto parts = is.parts();
      const Symbol* const parent = parts.empty() ? nullptr : known(Symbol::What::kind, name(parts.front()));
      if (parent != nullptr) record.parent = KindId{parent->index};
      else if (!parts.empty())
        fail(Code::unknown_kind, parts.front(), fmt::format("no kind is named {}", parts.front().text()));
    }
  }
  for (PendingKind& pending : kinds) {   // a child of a stock kind is stock
    for (KindId up = program.kinds[pending.kind.value].parent; up.given(); up = program.kinds[up.value].parent) {
      if (up == pending.kind) break;
      if (program.kinds[up.value].stock) program.kinds.edit(pending.kind.value).stock = true;
    }
  }
  for (const auto& [network, where] : networks) read_network(network, where.first, *where.second);
  for (PendingKind& pending : kinds) read_kind(pending);
}

void Checker::read_kind(PendingKind& pending) {
  if (pending.state == PendingKind::State::done) return;
  if (pending.state == PendingKind::State::open) {
    fail(Code::part_cycle, pending.decl, fmt::format("kind {} is made from itself", name_text(program.kinds[pending.kind.value].name)));
    program.kinds.edit(pending.kind.value).parent = {};
    return;
  }
  pending.state = PendingKind::State::open;
  Kind record = program.kinds[pending.kind.value];
  std::vector<Field> fields;
  std::vector<FieldAlias> aliases;
  std::vector<Join> joins;
  if (record.parent.given()) {
    if (const auto waiting = pending_kind_of.find(record.parent.value); waiting != pending_kind_of.end())
      read_kind(kinds[waiting->second]);
    record.parent = program.kinds[pending.kind.value].parent;
  }
  if (record.parent.given()) {
    const Kind& parent = program.kinds[record.parent.value];
    for (u32 at = 0; at < parent.fields.count; ++at) fields.push_back(program.fields[parent.fields.first + at]);
    for (u32 at = 0; at < parent.aliases.count; ++at) aliases.push_back(program.field_aliases[parent.aliases.first + at]);
    for (u32 at = 0; at < parent.joins.count; ++at) joins.push_back(program.joins[parent.joins.first + at]);
  }
  if (record.parent.given()) record.head = program.kinds[record.parent.value].head;
  const u16 own_first = static_cast<u16>(fields.size());
  if (has_head(pending.decl)) read_kind_head(pending.decl, record, fields);
  const std::size_t first_formula = formulas.size();
  const std::size_t first_override = overrides.size();
  std::vector<Cursor> pers;
  for (const Cursor block : pending.decl.children(Node::block))
    for (const Cursor item : block.children()) {
      if (is_leaf(item.kind())) {
        if (item.is(Node::text)) record.docs = text(plain_text(item));
        continue;
      }
      if (item.is(Node::field)) {
        read_field(item, pending.kind, fields, aliases, *pending.unit, name_text(record.name));
      } else if (item.is(Node::settles)) {
        read_settles(item, pending.kind, fields, *pending.unit);
      } else if (item.is(Node::joins)) {
        add_join(pending.kind, item, fields, joins);
      } else if (item.is(Node::entry) && item.children().front().text() == "also") {
        for (const Cursor word : item.children(Node::path))
          if (word.text() != "also") declare_alias(Symbol::What::kind, pending.kind.value, name(word), word.place());
      } else if (item.is(Node::row) || item.is(Node::prose)) {
        record.docs = text(prose_text(item));
      } else if (item.is(Node::per_line)) {
        for (const Cursor per : item.children(Node::per)) pers.push_back(per);
      } else {
        fail(Code::bad_declaration, item, "a kind has lines that begin with needs, may, gives, settles, joins or also");
      }
    }
  (void)read_citations(pers, pending.unit->library);
  for (const Cursor prose : pending.decl.children(Node::prose)) record.docs = text(prose_text(prose));
  record.joins = {program.joins.append(joins), static_cast<u32>(joins.size())};
  const ClassId none;
  record.plain = none;
  finish_kind(pending.kind, fields, own_first, record, aliases);
  const u32 first = program.kinds[pending.kind.value].fields.first;
  for (std::size_t at = first_formula; at < formulas.size(); ++at)
    if (formulas[at].where == PendingFormula::Where::field && formulas[at].self == pending.kind)
      formulas[at].index += first;
  const u32 first_join = program.kinds[pending.kind.value].joins.first;
  for (std::size_t at = first_override; at < overrides.size(); ++at) overrides[at].join += first_join;
  pending.state = PendingKind::State::done;
}
}  // namespace dripleg::meaning
