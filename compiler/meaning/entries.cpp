// Entries: the lines in a thing's block, read into the thing's fields by the form that the kind declares.
#include "meaning/checker.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::meaning {
void Checker::set_input(Block& block, u32 slot, Value value, base::Span where, Cursor entry, const std::vector<Cursor>& pers) {
  const Thing& thing = program.things[block.thing.value];
  program.inputs.edit(thing.first_slot + slot) = value;
  Stated stated;
  stated.place = {entry.tree().file, where};
  if (where.end > where.begin && where.size() < 200) stated.as_typed = text(entry.file_text().substr(where.begin, where.size()));
  if (!pers.empty())
    if (const auto citation = read_per(pers.front(), false)) stated.citation = CitationId{program.citations.push(*citation)};
  program.stated.edit(thing.first_slot + slot) = stated;
  block.given.insert(slot);
}

void Checker::read_block(Block& block, Cursor node) {
  for (const Cursor item : node.children()) {
    if (is_leaf(item.kind())) continue;
    if (item.is(Node::per_line)) {
      for (const Cursor per : item.children(Node::per))
        if (const auto citation = read_per(per, block.unit->library)) block.whole = *citation, block.whole_given = true;
      continue;
    }
    if (item.is(Node::row) || item.is(Node::prose)) continue;     // the thing's own description
    if (!item.is(Node::entry)) {
      fail(Code::bad_declaration, item, "this line does not belong in the block of a thing");
      continue;
    }
    read_entry(block, item);
  }
}

void Checker::close_block(Block& block) {
  const Thing thing = program.things[block.thing.value];
  for (const u32 slot : block.gathered_order) {
    const Field& field = program.field(thing.kind, slot);
    std::vector<Value> items = block.gathered[slot];
    const Value before = program.inputs[thing.first_slot + slot];
    if (field.holding == Holding::keyed && before.known()) {   // a part's other keys stay
      const Slice old = program.lists[before.index()].items;
      for (u32 at = 0; at < old.count; ++at) {
        const Value record = program.list_items[old.first + at];
        const Value key = program.inputs[program.things[record.index()].first_slot];
        const bool replaced = std::any_of(items.begin(), items.end(), [&](Value item) {
          const Value own = program.inputs[program.things[item.index()].first_slot];
          return own == key || !own.known();
        });
        if (!replaced) items.push_back(record);
      }
    }
    program.inputs.edit(thing.first_slot + slot) = Value::index(add_list(items));
    if (!program.stated[thing.first_slot + slot].place.given())
      program.stated.edit(thing.first_slot + slot).place = program.things[items.front().index()].place;
  }
  if (block.whole_given) {
    const CitationId whole{program.citations.push(block.whole)};
    for (u32 slot = 0; slot < thing.slots; ++slot)
      if (block.given.contains(slot) && !program.stated[thing.first_slot + slot].citation.given())
        program.stated.edit(thing.first_slot + slot).citation = whole;
  }
}

void Checker::read_entry(Block& block, Cursor entry) {
  const auto kids = entry.children();
  const Cursor head = kids.front();
  const Thing thing = program.things[block.thing.value];
  if (head.text() == "also" && thing.is_stock) return;
  const auto slot = slot_of(thing.kind, name(head));
  if (!slot && head.text() == "code" && program.kinds[thing.kind.value].one && block.unit->job) {
    if (program.job_code.given()) {
      fail(Code::given_twice, head, "code is given twice").labels.push_back({program.job_code_place, "the first time"});
      return;
    }
    if (kids.size() < 2) {
      fail(Code::value_missing, head, "code is given nothing").cures.push_back("name the set of documents that the job is held to");
      return;
    }
    if (const Symbol* code = known(Symbol::What::code, name(kids[1])); code != nullptr) {
      program.job_code = CodeSetId{code->index};
      program.job_code_place = kids[1].place();
      for (std::size_t at = 2; at < kids.size(); ++at)
        if (kids[at].is(Node::path)) {
          fail(Code::value_left_over, kids[at], fmt::format("code takes one name, and {} follows it", kids[at].text())).cures.push_back("end the line, or part two entries by a comma");
          break;
        }
      return;
    }
    auto& notice = fail(Code::code_unknown, kids[1], fmt::format("no code is named {}", kids[1].text()));
    std::vector<std::string_view> words;
    for (u32 at = 0; at < program.codes.size(); ++at) words.push_back(name_text(program.codes[at].name));
    suggest(notice, kids[1].text(), words);
    return;
  }
  if (!slot) {
    auto& notice = fail(Code::unknown_field, head, fmt::format("{} has no field {}", with_article(name_text(program.kinds[thing.kind.value].name)), head.text()));
    suggest(notice, head.text(), field_names(thing.kind));
    return;
  }
  const Field& field = program.field(thing.kind, *slot);
  std::vector<Cursor> values;
  Cursor nested;
  for (std::size_t at = 1; at < kids.size(); ++at) {
    const Cursor kid = kids[at];
    if (kid.is(Node::block)) nested = kid;
    else if (kid.is(Node::fittings)) fail(Code::value_left_over, kid, "`with` belongs to a run");
    else if (!kid.is(Node::per) && !kid.is(Node::keyword) && !kid.is(Node::punct) && !kid.is(Node::op) && !kid.is(Node::missing) && !kid.is(Node::junk) && !kid.is(Node::prose))
      values.push_back(kid);
  }
  if (entry.broken()) return;      // spoken of already
  if (field.role == Role::port) {
    if (values.size() == 1 && values[0].text() == "none") {
      set_input(block, *slot, Value::none(), values[0].span(), entry, {});
      return;
    }
    fail(Code::value_wrong, head, fmt::format("{} is a port: a run ends there, or it is said to be none", head.text()));
    return;
  }
  if (field.role == Role::built_in || field.role == Role::gives) {
    fail(Code::value_wrong, head, fmt::format("{} is worked out, not stated", head.text()));
    return;
  }
  read_values(block, *slot, entry, values, nested);
}

ThingId Checker::new_record(const Field& field, ThingId owner, u32 order, Cursor where) {
  const KindId kind = field.record;
  const ThingId record = add_thing(kind, program.kinds[kind.value].plain, {}, where.place());
  Thing& made = program.things.edit(record.value);
  made.owner = owner;
  const u32 count = made.slots;
  program.inputs.edit(made.first_slot + count - 2) = Value::number(order);
  program.inputs.edit(made.first_slot + count - 1) = Value::index(owner.value);
  return record;
}

void Checker::read_values(Block& block, u32 slot, Cursor entry, const std::vector<Cursor>& values, Cursor nested) {
  const Thing thing = program.things[block.thing.value];
  const Field field = program.field(thing.kind, slot);
  const auto pers = entry.children(Node::per);
  const Type type = type_of(field.type);
  const bool repeats = field.holding == Holding::many || field.holding == Holding::keyed;
  if (block.given.contains(slot) && !repeats) {
    fail(Code::given_twice, entry.children().front(), fmt::format("{} is given twice", name_text(field.name)))
        .labels.push_back({program.stated[thing.first_slot + slot].place, "the first time"});
    return;
  }
  if (type.kind == TypeKind::table) {
    if (!values.empty() && values.front().text() == "from") fill_table_from_file(block, slot, values, entry);
    else fill_table_field(block, slot, nested, entry);
    return;
  }
  if (field.record.given()) {
    const u32 order = static_cast<u32>(block.gathered[slot].size() + 1);
    const ThingId record = new_record(field, block.thing, order, entry);
    Block inner;
    inner.thing = record;
    inner.unit = block.unit;
    if (field.pattern.count != 0) {
      if (values.empty() && !nested.given()) {
        fail(Code::value_missing, entry, fmt::format("{} is given nothing", name_text(field.name))).cures.push_back("it is written: " + form_of(field));
        return;
      }
      const std::size_t used = match_pattern(field, inner, values, entry);
      if (used == static_cast<std::size_t>(-1)) return;
    } else if (values.size() == 1 && values.front().is(Node::path)) {
      program.things.edit(record.value).name = name(values.front());   // what people call this one
    } else if (!values.empty()) {
      fail(Code::value_left_over, values.front(), fmt::format("{} has its parts in braces", name_text(field.name)));
      return;
    }
    if (nested.given()) read_block(inner, nested);
    close_block(inner);
    if (!pers.empty())
      if (const auto citation = read_per(pers.front(), false)) {
        const CitationId id{program.citations.push(*citation)};
        const Thing made = program.things[record.value];
        for (u32 at = 0; at < made.slots; ++at)
          if (program.stated[made.first_slot + at].place.given()) program.stated.edit(made.first_slot + at).citation = id;
      }
    block.given.insert(slot);
    if (repeats) {
      if (field.holding == Holding::keyed) {
        const Value key = program.inputs[program.things[record.value].first_slot];
        for (const Value other : block.gathered[slot])
          if (const Value before = program.inputs[program.things[other.index()].first_slot];
              before == key || before.is(State::none) || key.is(State::none)) {
            fail(Code::given_twice, entry.children().front(),
                 fmt::format("{} is given twice for the same{}", name_text(field.name),
                             before == key ? "" : ": once for all, and once for one alone"));
            return;
          }
      }
      auto& list = block.gathered[slot];
      if (list.empty()) block.gathered_order.push_back(slot);
      list.push_back(Value::index(record.value));
    } else {
      set_input(block, slot, Value::index(record.value), entry.span(), entry, pers);
    }
    return;
  }
  if (nested.given()) {
    fail(Code::value_left_over, nested, fmt::format("{} takes no block", name_text(field.name)));
    return;
  }
  if (field.holding == Holding::many) {       // plain values, one an entry
    Field element = field;
    element.type = TypeId{type.of};
    for (const Cursor value : values)
      if (const auto read = read_value(value, element, block.thing, slot, false)) {
        auto& list = block.gathered[slot];
        if (list.empty()) block.gathered_order.push_back(slot);
        list.push_back(*read);
      }
    block.given.insert(slot);
    return;
  }
  if (values.empty()) {
    if (type.kind == TypeKind::yes_no) {
      set_input(block, slot, Value::yes_no(true), entry.children().front().span(), entry, pers);
      return;
    }
    fail(Code::value_missing, entry, fmt::format("{} is given nothing", name_text(field.name)))
        .cures.push_back(fmt::format("write what it is, or ? if it is not known yet"));
    return;
  }
  const std::size_t next = read_one(block, slot, values, 0, entry, pers);
  if (next == static_cast<std::size_t>(-1)) return;
  if (next < values.size()) {
    fail(Code::value_left_over, values[next], fmt::format("{} takes one value, and {} follows it", name_text(field.name), values[next].text()))
        .cures.push_back("end the line, or part two entries by a comma");
  }
}

// One value (or all that a list or text takes) from values[at] on; gives the place behind it, or -1.
std::size_t Checker::read_one(Block& block, u32 slot, const std::vector<Cursor>& values, std::size_t at, Cursor entry,
                              const std::vector<Cursor>& pers) {
  const Thing thing = program.things[block.thing.value];
  const Field field = program.field(thing.kind, slot);
  const Type type = type_of(field.type);
  const auto set = [&](Value value, base::Span span) { set_input(block, slot, value, span, entry, pers); };
  constexpr std::size_t wrong = static_cast<std::size_t>(-1);
  if (type.kind == TypeKind::list) {
    Field element = field;
    element.type = TypeId{type.of};
    std::vector<Value> items;
    const auto add = [&](auto&& self, Cursor part) -> bool {
      if (part.is(Node::list) || part.is(Node::phrase)) {
        for (const Cursor inner : part.parts())
          if (!self(self, inner)) return false;
        return true;
      }
      // A kind's name in a list of things is all of them.
      if (part.is(Node::path) && type_of(element.type).kind == TypeKind::thing)
        if (const Symbol* kind = known(Symbol::What::kind, name(part)); kind != nullptr && !find_thing(part, {}, true)) {
          for (u32 n = 0; n < program.things.size(); ++n)
            if (program.things[n].in_job && program.is_a(program.things[n].kind, KindId{kind->index})) items.push_back(Value::index(n));
          return true;
        }
      const auto value = read_value(part, element, block.thing, slot, false);
      if (!value) return false;
      items.push_back(*value);
      return true;
    };
    const base::Span span{values[at].span().begin, values.back().span().end};
    for (; at < values.size(); ++at)
      if (!add(add, values[at])) return wrong;
    set(Value::index(add_list(items)), span);
    return at;
  }
  if (type.kind == TypeKind::text && values[at].is(Node::text)) {
    std::string all;
    const base::Span span{values[at].span().begin, values.back().span().end};
    for (; at < values.size() && values[at].is(Node::text); ++at) all += (all.empty() ? "" : " ") + plain_text(values[at]);
    set(Value::index(text(all).value), span);
    return at;
  }
  bool about = false;
  if (values[at].is(Node::path) && values[at].text() == "about" && at + 1 < values.size()) about = true, ++at;
  if (wide_gap(values, at)) return wrong;
  const auto value = read_value(values[at], field, block.thing, slot, false, about);
  if (!value) return wrong;
  // 5 ft 4 in: measures one after another, of falling units, are one.
  if (value->known() && goes_on(values, at, field)) {
    if (const auto more = read_value(values[at + 1], field, block.thing, slot, true); more && more->known()) {
      set(Value::number(value->number() + more->number()), {values[at].span().begin, values[at + 1].span().end});
      return at + 2;
    }
  }
  set(*value, values[at].span());
  return at + 1;
}

std::string Checker::form_of(const Field& field) const {
  std::string form(name_text(field.name));
  bool optional = false;
  for (u32 at = 0; at < field.pattern.count; ++at) {
    const PatternPart& part = program.pattern_parts[field.pattern.first + at];
    if (part.optional != optional) {
      form += part.optional ? " [" : "]";
      optional = part.optional;
      if (part.optional) {
        form += part.word.given() ? std::string(name_text(part.word)) : std::string();
        if (part.word.given()) continue;
      }
    }
    if (form.back() != '[') form += ' ';
    if (part.word.given()) {
      form += name_text(part.word);
      continue;
    }
    std::string slot(name_text(program.field(field.record, part.slot).name));
    for (char& c : slot)
      if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    form += slot;
  }
  if (optional) form += ']';
  return form;
}

std::size_t Checker::match_pattern(const Field& field, Block& record, const std::vector<Cursor>& values, Cursor entry) {
  constexpr std::size_t wrong = static_cast<std::size_t>(-1);
  const auto mismatch = [&](Cursor where, std::string words) {
    fail(Code::pattern_mismatch, where, std::move(words)).cures.push_back("it is written: " + form_of(field));
    return wrong;
  };
  std::size_t at = 0;
  bool skipping = false, opened = false;   // behind an optional word that is not there, or that is
  for (u32 n = 0; n < field.pattern.count; ++n) {
    const PatternPart part = program.pattern_parts[field.pattern.first + n];
    if (!part.optional) skipping = false;
    if (part.word.given()) {
      if (at < values.size() && values[at].text() == name_text(part.word)) {
        ++at;
        skipping = false;
        opened = true;
      } else if (part.optional) {
        skipping = true;
      } else {
        return mismatch(at < values.size() ? values[at] : entry.children().front(), fmt::format("`{}` is missing here", name_text(part.word)));
      }
      continue;
    }
    if (skipping) continue;
    const Field slot = program.field(field.record, part.slot);
    const Type type = type_of(slot.type);
    if (type.kind == TypeKind::yes_no) {
      if (at < values.size() && values[at].text() == name_text(slot.name)) {
        set_input(record, part.slot, Value::yes_no(true), values[at].span(), entry, {});
        ++at;
      }
      continue;
    }
    if (at >= values.size()) {
      if (part.optional && !opened) continue;
      return mismatch(entry.children().front(), fmt::format("{} is not complete", name_text(field.name)));
    }
    const bool key = field.holding == Holding::keyed && part.slot == 0;
    if (part.names_rest) {
      std::size_t end = values.size();
      for (u32 m = n + 1; m < field.pattern.count; ++m) {
        const PatternPart& later = program.pattern_parts[field.pattern.first + m];
        if (!later.word.given()) continue;
        for (std::size_t v = at; v < end; ++v)
          if (values[v].text() == name_text(later.word)) end = v;
        break;
      }
      const std::vector<Cursor> taken(values.begin() + static_cast<std::ptrdiff_t>(at), values.begin() + static_cast<std::ptrdiff_t>(end));
      if (taken.empty() || read_one(record, part.slot, taken, 0, entry, {}) == wrong) return wrong;
      at = end;
      continue;
    }
    const std::size_t first = values[at].text() == "about" && at + 1 < values.size() ? at + 1 : at;
    if (key || part.optional) {
      if (!read_value(values[first], slot, record.thing, part.slot, true)) {
        if (key) {
          // No key: holds for every one. A name that is none of them is still a slip.
          if (values[at].is(Node::path) && field.pattern.count > 1) {
            const PatternPart& following = program.pattern_parts[field.pattern.first + n + 1];
            if (following.word.given() || !read_value(values[at], program.field(field.record, following.slot), record.thing, following.slot, true)) {
              (void)read_value(values[at], slot, record.thing, part.slot, false);
              return wrong;
            }
          }
          set_input(record, part.slot, Value::none(), values[at].span(), entry, {});
          continue;
        }
        continue;
      }
    }
    const std::size_t next = read_one(record, part.slot, values, at, entry, {});
    if (next == wrong) return wrong;
    at = next;
    opened = false;
  }
  if (at < values.size()) return mismatch(values[at], fmt::format("{} does not belong here", values[at].text()));
  return at;
}

void Checker::fill_table_field(Block& block, u32 slot, Cursor nested, Cursor entry) {
  const Thing thing = program.things[block.thing.value];
  const Field field = program.field(thing.kind, slot);
  if (!nested.given()) {
    for (const Cursor kid : entry.children())
      if (kid.text() == "none" && type_of(field.type).or_none) {
        set_input(block, slot, Value::none(), kid.span(), entry, {});
        return;
      }
    fail(Code::value_missing, entry, fmt::format("{} is a table; its rows stand in braces", name_text(field.name)))
        .cures.push_back(fmt::format("or in a file: {} from \"rows.csv\"", name_text(field.name)));
    return;
  }
  const TableId table = add_table(ShapeId{type_of(field.type).of}, {}, entry.place());
  std::vector<Cursor> lines;
  for (const Cursor item : nested.children())
    if (item.is(Node::row) || item.is(Node::entry)) lines.push_back(item);
  fill_table(table, lines, nested);
  set_input(block, slot, Value::index(table.value), entry.children().front().span(), entry, entry.children(Node::per));
}
}  // namespace dripleg::meaning
