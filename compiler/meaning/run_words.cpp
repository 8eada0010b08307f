// The words of a run: measures and names fill the fields that a run needs first, marks are words of their own,
// what follows `with` is counted; a size is one that the run's material is made in.
#include "meaning/runs.hpp"
#include "quantities/reading.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::meaning {
void Runs::fill_run(Checker::Block& block, const std::vector<Cursor>& values, Cursor run) {
  const Thing thing = program.things[block.thing.value];
  const Kind& kind = program.kinds[network.run.value];
  for (std::size_t at = 0; at < values.size();) {
    if (values[at].is(Node::path) && values[at].text() == "of") {
      ++at;
      continue;
    }
    const std::size_t first = values[at].text() == "about" && at + 1 < values.size() ? at + 1 : at;
    if (c.wide_gap(values, first)) return;
    if (comma_missing(values[at], run)) return;
    bool taken = false, leading = true;
    for (u32 slot = leg_slot::first_own; slot < kind.fields.count && !taken; ++slot) {
      const Field field = program.field(thing.kind, slot);
      if (field.role == Role::gives || field.role == Role::built_in || field.role == Role::port) continue;
      const TypeKind type = c.type_of(field.type).kind;
      if (type == TypeKind::yes_no) {
        if (values[at].text() == c.name_text(field.name)) {
          if (at + 1 < values.size() && (values[at + 1].text() == "no" || values[at + 1].text() == "yes")) {
            c.set_input(block, slot, Value::yes_no(values[at + 1].text() == "yes"), values[at].span(), run, {});
            ++at;
          } else {
            c.set_input(block, slot, Value::yes_no(true), values[at].span(), run, {});
          }
          ++at;
          taken = true;
        }
        continue;
      }
      // Measures fill what a run needs first; what it may have besides is a word of its own, or stands in the block.
      leading = leading && field.role == Role::needs;
      if (block.given.contains(slot) || field.holding != Holding::one || type == TypeKind::text || type == TypeKind::list) continue;
      if (!leading && !values[first].is(Node::path)) continue;
      Field unbounded = field;
      unbounded.least_given = unbounded.most_given = false;
      if (!c.read_value(values[first], unbounded, block.thing, slot, true)) continue;
      const std::size_t next = c.read_one(block, slot, values, at, run, {});
      if (next == static_cast<std::size_t>(-1)) return;
      at = next;
      taken = true;
    }
    if (taken) continue;
    const Cursor value = values[at];
    // Say what the first field that is still empty takes, if the value is a measure of it or a near word.
    if (value.is(Node::path)) {
      auto& notice = c.fail(Code::value_wrong, value, fmt::format("{} is no word of a run of {}", value.text(), c.name_text(network.name)));
      std::vector<std::string_view> words;
      for (u32 slot = leg_slot::first_own; slot < kind.fields.count; ++slot) {
        const Field& field = program.field(thing.kind, slot);
        const Type type = c.type_of(field.type);
        if (type.kind == TypeKind::yes_no) words.push_back(c.name_text(field.name));
        if (type.kind == TypeKind::thing && !block.given.contains(slot))
          for (u32 n = 0; n < program.things.size(); ++n)
            if (program.things[n].is_stock && program.is_a(program.things[n].kind, KindId{type.of})) words.push_back(c.name_text(program.things[n].name));
      }
      c.suggest(notice, value.text(), words);
      notice.cures.push_back("a run is written: FROM -> TO   LENGTH of SIZE MATERIAL   with COUNT FITTING, …");
    } else {
      // Let the first empty field that a run needs complain in its own words.
      bool said = false;
      for (u32 slot = leg_slot::first_own; slot < kind.fields.count && !said; ++slot) {
        const Field field = program.field(thing.kind, slot);
        if (field.role == Role::gives || field.role == Role::built_in) continue;
        if (field.role != Role::needs) break;
        const TypeKind type = c.type_of(field.type).kind;
        if (block.given.contains(slot) || type == TypeKind::yes_no || type == TypeKind::thing) continue;
        const u32 before = c.notices.size();
        (void)c.read_value(values[first], field, block.thing, slot, false);
        said = c.notices.size() > before;
        block.given.insert(slot);
      }
      if (!said)
        c.fail(Code::value_left_over, value, fmt::format("{} does not belong in this run", value.text()))
            .cures.push_back("a run is written: FROM -> TO   LENGTH of SIZE MATERIAL   with COUNT FITTING, …");
    }
    return;
  }
}

// `with 2 a 1 b`: a measure behind the fittings is one more of them, without its comma.
bool Runs::comma_missing(Cursor value, Cursor run) {
  if (!value.is(Node::measure)) return false;
  for (const Cursor fittings : run.children(Node::fittings))
    if (fittings.span().begin < value.span().begin) {
      c.fail(Code::syntax_count, value, "a comma is missing between two fittings").cures.push_back("part them by commas: with 2 NAME, 1 NAME");
      return true;
    }
  return false;
}

// A size that the table of the run's own material does not have is none; it is told where it is written.
void Runs::check_sizes(const Thing& thing) {
  const Kind& kind = program.kinds[network.run.value];
  for (u32 slot = leg_slot::first_own; slot < kind.fields.count; ++slot) {
    if (c.type_of(program.field(thing.kind, slot).type).kind != TypeKind::size || !program.inputs[thing.first_slot + slot].known()) continue;
    for (u32 other = leg_slot::first_own; other < kind.fields.count; ++other) {
      const Field field = program.field(thing.kind, other);
      const Value made_of = program.inputs[thing.first_slot + other];
      if (field.role != Role::needs || c.type_of(field.type).kind != TypeKind::thing || !made_of.known()) continue;
      if (const auto sizes = sizes_of(ThingId{made_of.index()})) return check_size(thing, slot, ThingId{made_of.index()}, *sizes);
    }
  }
}

void Runs::check_size(const Thing& thing, u32 slot, ThingId made_of, const std::vector<std::string_view>& sizes) {
  const std::string_view asked = c.name_text(NameId{program.inputs[thing.first_slot + slot].index()});
  if (std::find(sizes.begin(), sizes.end(), asked) != sizes.end()) return;
  std::string all;
  for (std::size_t at = 0; at < sizes.size(); ++at) all += fmt::format("{}{}", at == 0 ? "" : ", ", sizes[at]);
  c.fail(Code::value_wrong, program.stated[thing.first_slot + slot].place, fmt::format("{} has no size {}", c.name_text(program.things[made_of.value].name), asked))
      .cures.push_back(fmt::format("its sizes: {}", all));
  program.inputs.edit(thing.first_slot + slot) = Value{};
}

// The sizes by which a thing's own table is read, if it has one that is read by size alone.
std::optional<std::vector<std::string_view>> Runs::sizes_of(ThingId id_of) const {
  const Thing& thing = program.things[id_of.value];
  for (u32 slot = 0; slot < program.kinds[thing.kind.value].fields.count; ++slot) {
    const Type type = c.type_of(program.field(thing.kind, slot).type);
    const Value value = program.inputs[thing.first_slot + slot];
    if (type.kind != TypeKind::table || !value.known()) continue;
    const Table& table = program.tables[value.index()];
    const Shape& shape = program.shapes[table.shape.value];
    const Column& key = program.columns[shape.columns.first];
    if (shape.two_way || shape.keys != 1 || c.type_of(key.type).kind != TypeKind::size || key.mode != LookUp::exact) continue;
    std::vector<std::string_view> sizes;
    for (u32 row = 0; row < table.rows; ++row) sizes.push_back(c.name_text(NameId{program.table_cells[table.first_cell + row].index()}));
    return sizes;
  }
  return std::nullopt;
}

void Runs::add_fittings(Checker::Block& block, Cursor fittings) {
  const auto slot = c.slot_of(network.run, c.name("fittings"));
  if (!slot || !network.fitting.given()) {
    c.fail(Code::value_left_over, fittings, fmt::format("a run of {} has no fittings", c.name_text(network.name)));
    return;
  }
  for (const Cursor leaf : fittings.children(Node::measure)) {
    const std::string_view spelling = leaf.text();
    const auto blank = spelling.find(' ');
    if (blank == std::string_view::npos) {
      c.fail(Code::value_wrong, leaf, "a count and a fitting stand here: 2 NAME");
      continue;
    }
    const std::string_view word = spelling.substr(blank + 1);
    const auto thing = fitting_named(word, leaf);
    if (!thing) continue;
    const Field field = program.field(network.run, *slot);
    const ThingId record = c.new_record(field, block.thing, static_cast<u32>(block.gathered[*slot].size() + 1), leaf);
    const u32 first = program.things[record.value].first_slot;
    Value count;
    if (spelling.front() == '?') {
      count = c.hole(record, 0, leaf);
    } else {
      const auto number = quantities::read_number(spelling.substr(0, blank));
      if (!number || number->value < 0 || number->value != std::floor(number->value)) {
        c.fail(Code::value_wrong, leaf, "a count of fittings is a whole number");
        continue;
      }
      count = Value::number(number->value);
    }
    program.inputs.edit(first) = count;
    program.inputs.edit(first + 1) = Value::index(thing->value);
    program.inputs.edit(first + 2) = Value::yes_no(false);
    program.stated.edit(first).place = leaf.place();
    auto& list = block.gathered[*slot];
    if (list.empty()) block.gathered_order.push_back(*slot);
    list.push_back(Value::index(record.value));
  }
}

std::optional<ThingId> Runs::fitting_named(std::string_view word, Cursor where) {
  const Symbol* const symbol = program.symbols.find_if(c.name(word), [&](const Symbol& s) {
    return s.what == Symbol::What::stock && program.is_a(program.things[s.index].kind, network.fitting);
  });
  if (symbol != nullptr) return ThingId{symbol->index};
  auto& notice = c.fail(Code::unknown_thing, where, fmt::format("no fitting of {} is named {}", c.name_text(network.name), word));
  std::vector<std::string_view> words;
  const auto& all = program.symbols.all();
  for (u32 at = 0; at < all.size(); ++at)
    if (all[at].what == Symbol::What::stock && program.is_a(program.things[all[at].index].kind, network.fitting)) words.push_back(c.name_text(all[at].name));
  c.suggest(notice, word, words);
  return std::nullopt;
}

}  // namespace dripleg::meaning
