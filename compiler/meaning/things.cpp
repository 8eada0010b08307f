// Things: stock and parts of library and catalogues, and those of the job. Names first, so that any may
// refer to any; then their blocks, a part's before those of the things that are it.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
ThingId Checker::add_thing(KindId kind, ClassId cls, NameId thing_name, base::Place place) {
  Thing thing;
  thing.kind = kind;
  thing.cls = cls;
  thing.name = thing_name;
  thing.place = place;
  thing.slots = static_cast<u16>(program.kinds[kind.value].fields.count);
  thing.first_slot = program.inputs.size();
  for (u32 slot = 0; slot < thing.slots; ++slot) {
    program.inputs.push(Value::unstated());
    program.stated.push({});
  }
  return ThingId{program.things.push(thing)};
}

ThingId Checker::one_of_kind(KindId kind, base::Place place) {
  for (u32 at = first_thing; at < program.things.size(); ++at)
    if (program.things[at].kind == kind && program.things[at].in_job) return ThingId{at};
  const ThingId thing = add_thing(kind, program.kinds[kind.value].plain, program.kinds[kind.value].name, place);
  program.things.edit(thing.value).in_job = true;
  program.symbols.add({.what = Symbol::What::job_thing, .index = thing.value, .name = program.kinds[kind.value].name});
  return thing;
}

// A block of a network: with a name of its own it is a net of its own, else the one of its kind.
ThingId Checker::net_of(const Network& network, Cursor item) {
  const auto kids = item.children();
  const Cursor head = kids.front();
  const Cursor named = kids.size() > 1 && kids[1].is(Node::path) ? kids[1] : Cursor{};
  if (!named.given()) {
    const ThingId net = one_of_kind(network.net, head.place());
    program.things.edit(net.value).place = head.place();
    return net;
  }
  const NameId net_name = name(named);
  if (const Symbol* const before = known(Symbol::What::job_thing, net_name); before != nullptr && before->index >= first_thing) {
    if (program.things[before->index].kind == network.net) return ThingId{before->index};
    fail(Code::declared_twice, named, fmt::format("{} is the name of something else already", named.text()))
        .labels.push_back({program.things[before->index].place, "here"});
  }
  const ThingId net = add_thing(network.net, program.kinds[network.net.value].plain, net_name, named.place());
  program.things.edit(net.value).in_job = true;
  program.symbols.add({.what = Symbol::What::job_thing, .index = net.value, .name = net_name, .prefix = {}});
  return net;
}

void Checker::add_missing_one(KindId kind, base::Place place) {
  for (u32 at = first_thing; at < program.things.size(); ++at)
    if (program.things[at].kind == kind && program.things[at].in_job) return;
  program.things.edit(one_of_kind(kind, place).value).implied = true;
}

// Formulas speak of the one thing of a `one` kind, so a job has it even if it says nothing of it.
void Checker::add_missing_ones() {
  base::Place place;
  for (const SourceTree& unit : units)
    if (unit.job) place = {unit.tree->file, {0, 0}};
  for (u32 at = 0; at < program.kinds.size(); ++at)
    if (program.kinds[at].one && !program.kinds[at].hidden) add_missing_one(KindId{at}, place);
  for (u32 at = 0; at < program.networks.size(); ++at) add_missing_one(program.networks[at].net, place);
}

void Checker::read_stock_and_parts() {
  for (const auto& [item, unit] : job_heads)
    if (!unit->job) declare_entry(item, *unit);
  read_pending_things();
}

void Checker::read_job_things() {
  bool any_job = false;
  for (const SourceTree& unit : units) any_job = any_job || unit.job;
  for (const auto& [item, unit] : job_heads)
    if (unit->job) declare_entry(item, *unit);
  if (any_job) add_missing_ones();
  read_pending_things();
}

// What a top-level line declares: a thing of a kind, the block of a network, an acceptance.
void Checker::declare_entry(Cursor item, const SourceTree& unit) {
  const Cursor head = item.children().front();
  const std::string_view word = head.text();
  if (word == "accept") {
    if (unit.job) acceptances.emplace_back(item, &unit);
    else fail(Code::only_library, head, "an acceptance stands in the job that it is for");
    return;
  }
  if (const Symbol* kind = known(Symbol::What::kind, name(head)); kind != nullptr) {
    declare_named(item, KindId{kind->index}, unit);
    return;
  }
  if (const Symbol* symbol = known(Symbol::What::network, name(head)); symbol != nullptr) {
    if (!unit.job) {
      fail(Code::only_library, head, "a network stands in a job");
      return;
    }
    const Network& network = program.networks[symbol->index];
    const ThingId net = net_of(network, item);
    for (const Cursor block : item.children(Node::block)) {
      network_blocks.push_back({net, NetworkId{symbol->index}, block, &unit});
      for (const Cursor line : block.children(Node::entry)) {   // things of joining kinds stand inside too
        const Cursor line_head = line.children().front();
        if (slot_of(network.net, name(line_head))) continue;
        if (const Symbol* inner = known(Symbol::What::kind, name(line_head)); inner != nullptr)
          declare_named(line, KindId{inner->index}, unit);
      }
    }
    return;
  }
  auto& notice = fail(Code::unknown_kind, head, fmt::format("{} is no kind of thing", word));
  for (const Cursor leaf : item.children(Node::path)) spoilt_names.insert(name(leaf).value);
  std::vector<std::string_view> words;
  for (u32 at = 0; at < program.kinds.size(); ++at)
    if (!program.kinds[at].hidden) words.push_back(name_text(program.kinds[at].name));
  for (u32 at = 0; at < program.networks.size(); ++at) words.push_back(name_text(program.networks[at].name));
  words.push_back("accept");
  suggest(notice, word, words);
}

namespace {
struct Head {
  std::vector<Cursor> names;
  std::optional<u32> count;
  Cursor part;
  std::vector<Cursor> rest;     // values that fill fields of the kind
  bool fresh = false;           // `new`
};
Head read_head(Cursor item) {
  Head head;
  const auto kids = item.children();
  std::size_t at = 1;
  if (at < kids.size() && kids[at].is(Node::path) && kids[at].text() == "new") head.fresh = true, ++at;
  while (at < kids.size() && kids[at].is(Node::path) && kids[at].text() != "is" && kids[at].text() != "of") head.names.push_back(kids[at++]);
  if (at + 1 < kids.size() && kids[at].is(Node::measure) && kids[at + 1].text() == "of") {
    u32 count = 0;
    for (const char c : kids[at].text())
      count = c >= '0' && c <= '9' && count < 10'000'000 ? count * 10 + static_cast<u32>(c - '0') : 0;
    head.count = count;
    at += 2;
  }
  if (at < kids.size() && kids[at].is(Node::path) && kids[at].text() == "is") {
    ++at;
    if (at < kids.size() && kids[at].is(Node::path)) head.part = kids[at++];
  }
  for (; at < kids.size(); ++at)
    if (kids[at].is(Node::text) || kids[at].is(Node::measure) || kids[at].is(Node::path)) head.rest.push_back(kids[at]);
  return head;
}
}  // namespace

void Checker::declare_named(Cursor item, KindId kind, const SourceTree& unit) {
  if (program.kinds[kind.value].head.count != 0) return declare_by_head(item, kind, unit);
  const Head head = read_head(item);
  const Kind& record = program.kinds[kind.value];
  const Cursor first = item.children().front();
  const auto make = [&](NameId thing_name, Cursor where, u32 number) {
    const ThingId thing = add_thing(kind, program.kinds[kind.value].plain, thing_name, where.place());
    Thing& made = program.things.edit(thing.value);
    made.in_job = unit.job && !record.stock;
    made.is_stock = record.stock;
    made.number = number;
    pending_thing_of[thing.value] = pending_things.size();
    pending_things.push_back({thing, item, &unit});
    return thing;
  };
  if (record.one && unit.job) {
    for (u32 at = first_thing; at < program.things.size(); ++at)
      if (program.things[at].kind == kind && program.things[at].in_job) {
        fail(Code::one_only, first, fmt::format("a job has one {}, and this is the second", first.text()))
            .labels.push_back({program.things[at].place, "the first"});
        return;
      }
    const NameId thing_name = head.names.empty() ? name(first) : name(head.names.front());
    const ThingId thing = make(thing_name, first, 0);
    program.symbols.add({.what = Symbol::What::job_thing, .index = thing.value, .name = thing_name});
    return;
  }
  if (head.names.empty()) {
    if (unit.job || !head.rest.empty()) {
      fail(Code::value_missing, first, fmt::format("this {} has no name", first.text()));
      return;
    }
    fail(Code::value_missing, first, fmt::format("this {} has no name", first.text()));
    return;
  }
  for (const Cursor leaf : head.names) {
    const NameId thing_name = name(leaf);
    const auto same = [&](const Symbol& s) {
      return (s.what == Symbol::What::stock || s.what == Symbol::What::job_thing ||
              (s.what == Symbol::What::part && s.prefix == unit.prefix)) &&
             program.is_a(program.things[s.index].kind, kind);
    };
    const Symbol* const known_thing = program.symbols.find_if(thing_name, same);
    if (record.stock && unit.job && !head.fresh) {
      // A stock thing named again amends the library's for this job.
      if (known_thing == nullptr) {
        auto& notice = fail(Code::stock_misspelt, leaf, fmt::format("the library has no {} named {}", first.text(), leaf.text()));
        std::vector<std::string_view> words;
        for (u32 at = 0; at < program.things.size(); ++at)
          if (program.things[at].is_stock && program.is_a(program.things[at].kind, kind)) words.push_back(name_text(program.things[at].name));
        suggest(notice, leaf.text(), words);
        notice.cures.push_back(fmt::format("if it is one of its own, write `{} new {}`", first.text(), leaf.text()));
        continue;
      }
      program.inputs.take_over();
      program.stated.take_over();
      pending_things.push_back({ThingId{known_thing->index}, item, &unit});
      continue;
    }
    const Symbol* const clash = program.symbols.find_if(thing_name, [&](const Symbol& s) {
      if (unit.job) return s.what == Symbol::What::job_thing;
      return (s.what == Symbol::What::stock || s.what == Symbol::What::part) && s.prefix == unit.prefix &&
             program.things[s.index].kind == kind;
    });
    if (clash != nullptr) {
      fail(Code::declared_twice, leaf, fmt::format("there are two things named {}", leaf.text()))
          .labels.push_back({program.things[clash->index].place, "the first"});
      continue;
    }
    Symbol symbol;
    symbol.name = thing_name;
    symbol.what = record.stock ? Symbol::What::stock : unit.job ? Symbol::What::job_thing : Symbol::What::part;
    symbol.prefix = symbol.what == Symbol::What::part ? unit.prefix : NameId{};
    if (head.count) {
      if (*head.count == 0 || *head.count > 100'000) {
        fail(Code::value_wrong, leaf, "the number of alike things is from 1 to 100000");
        continue;
      }
      const ThingId thing = make(thing_name, leaf, 1);
      symbol.index = thing.value;
      program.symbols.add(symbol);
      for (u32 number = 2; number <= *head.count; ++number) make(thing_name, leaf, number);
      continue;
    }
    const ThingId thing = make(thing_name, leaf, 0);
    symbol.index = thing.value;
    program.symbols.add(symbol);
  }
}

void Checker::read_pending_things() {
  // Also-names of stock things first: other blocks may use them.
  for (const PendingThing& pending : pending_things)
    for (const Cursor block : pending.entry.children(Node::block))
      for (const Cursor entry : block.children(Node::entry))
        if (entry.children().front().text() == "also" && program.things[pending.thing.value].is_stock)
          for (const Cursor word : entry.children(Node::path))
            if (word.text() != "also") declare_alias(Symbol::What::stock, pending.thing.value, name(word), word.place());
  for (std::size_t at = 0; at < pending_things.size(); ++at) read_pending(at);
  pending_things.clear();
  pending_thing_of.clear();
}

void Checker::read_pending(std::size_t at) {
  if (pending_things[at].state != PendingThing::State::waiting) {
    if (pending_things[at].state == PendingThing::State::open)
      fail(Code::part_cycle, pending_things[at].entry.children().front(), "parts are each made from the other");
    return;
  }
  pending_things[at].state = PendingThing::State::open;
  const PendingThing pending = pending_things[at];
  const bool by_head = program.kinds[program.things[pending.thing.value].kind.value].head.count != 0;
  const Head head = by_head ? Head{} : read_head(pending.entry);
  if (head.part.given()) inherit_part(pending.thing, head.part);
  Block block;
  block.thing = pending.thing;
  block.unit = pending.unit;
  if (by_head) read_head_values(block, pending.entry);
  // Words behind the name fill fields in order: a text the first text, a name the first reference …
  const KindId kind = program.things[pending.thing.value].kind;
  for (const Cursor value : head.rest) {
    bool taken = false;
    for (u32 slot = 0; slot < program.kinds[kind.value].fields.count && !taken; ++slot) {
      const Field& field = program.field(kind, slot);
      if (field.role == Role::built_in || field.role == Role::gives || field.role == Role::port) continue;
      if (field.holding != Holding::one || block.given.contains(slot)) continue;
      const TypeKind type = type_of(field.type).kind;
      if (value.is(Node::text) != (type == TypeKind::text)) continue;
      if (read_value(value, field, pending.thing, slot, true)) {
        read_one(block, slot, {value}, 0, pending.entry, {});
        taken = true;
      }
    }
    if (!taken) fail(Code::value_left_over, value, fmt::format("{} does not belong here", value.text()));
  }
  for (const Cursor node : pending.entry.children(Node::block)) read_block(block, node);
  close_block(block);
  pending_things[at].state = PendingThing::State::done;
}

// `is PART`: what the part states, the thing has, unless it says otherwise.
void Checker::inherit_part(ThingId thing, Cursor part_leaf) {
  const KindId kind = program.things[thing.value].kind;
  const auto part = find_thing(part_leaf, {}, false);
  if (!part) return;
  if (const auto waiting = pending_thing_of.find(part->value); waiting != pending_thing_of.end()) read_pending(waiting->second);
  const Thing source = program.things[part->value];
  if (!program.is_a(kind, source.kind) && !program.is_a(source.kind, kind)) {
    fail(Code::wrong_kind, part_leaf, fmt::format("{} is a {}, and a {} is wanted", part_leaf.text(),
                                                  name_text(program.kinds[source.kind.value].name), name_text(program.kinds[kind.value].name)));
    return;
  }
  Thing& made = program.things.edit(thing.value);
  made.part = *part;
  const u32 common = std::min<u32>(made.slots, source.slots);
  for (u32 slot = 0; slot < common; ++slot) {
    if (!(program.field(kind, slot).name == program.field(source.kind, slot).name)) break;
    if (program.field(kind, slot).role == Role::built_in) continue;
    program.inputs.edit(made.first_slot + slot) = program.inputs[source.first_slot + slot];
    program.stated.edit(made.first_slot + slot) = program.stated[source.first_slot + slot];
  }
}
}  // namespace dripleg::meaning
