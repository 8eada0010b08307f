// Runs of a job's networks: chains are taken apart into runs and what they pass through, ends become
// points, and the words of a run fill its fields. The joining up stands in assembly.cpp.
#include "meaning/runs.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
std::string normal_name(std::string_view typed) {
  std::string normal;
  for (const char c : typed) {
    char d = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    if (d == 'l' || d == 'i') d = '1';
    if (d == 'o') d = '0';
    normal += d;
  }
  return normal;
}
}  // namespace

Runs::Runs(Checker& checker, const PendingNetwork& pending)
    : c(checker), program(checker.program), net_thing(pending.net), id(pending.network),
      network(checker.program.networks[pending.network.value]), unit(*pending.unit) {}

void Runs::read_block(Cursor block) {
  Checker::Block own;
  own.thing = net_thing;
  own.unit = &unit;
  for (const Cursor item : block.children()) {
    if (is_leaf(item.kind()) || item.is(Node::per_line) || item.is(Node::prose) || item.is(Node::row)) continue;
    if (item.is(Node::run)) {
      if (!item.broken()) read_run(item);
      continue;
    }
    if (!item.is(Node::entry)) {
      c.fail(Code::bad_declaration, item, "this line does not belong in a network");
      continue;
    }
    const Cursor head = item.children().front();
    if (c.slot_of(network.net, c.name(head))) {
      c.read_entry(own, item);
    } else if (c.known(Symbol::What::kind, c.name(head)) == nullptr) {
      auto& notice = c.fail(Code::unknown_field, head,
                            fmt::format("{} is neither a field of {} nor a kind of thing", head.text(), c.name_text(network.name)));
      auto words = c.field_names(network.net);
      for (u32 at = 0; at < program.kinds.size(); ++at)
        if (!program.kinds[at].hidden) words.push_back(c.name_text(program.kinds[at].name));
      c.suggest(notice, head.text(), words);
    }
  }
  c.close_block(own);
}

// Which way a thing joins this network; by the port, if one is named.
const Join* Runs::join_of(ThingId thing, std::string_view port, Cursor where, bool entering, u16& slot) {
  const Kind& kind = program.kinds[program.things[thing.value].kind.value];
  std::vector<const Join*> joining;
  for (u32 at = 0; at < kind.joins.count; ++at) {
    const Join& join = program.joins[kind.joins.first + at];
    if (join.network == id) joining.push_back(&join);
  }
  const std::string thing_name(c.name_text(program.things[thing.value].name));
  if (joining.empty()) {
    c.fail(Code::network_port, where, fmt::format("{} is a {}, which does not join {}", thing_name, c.name_text(kind.name), c.name_text(network.name)))
        .cures.push_back("give the point another name, or name the thing that the run ends at");
    return nullptr;
  }
  if (!port.empty()) {
    std::vector<std::string_view> ports;
    for (const Join* join : joining)
      for (const u16 candidate : {join->from_slot, join->to_slot}) {
        const auto word = c.name_text(program.fields[kind.fields.first + candidate].name);
        ports.push_back(word);
        if (word == port) {
          slot = candidate;
          return join;
        }
      }
    auto& notice = c.fail(Code::network_port, where, fmt::format("{} has no port {} on {}", thing_name, port, c.name_text(network.name)));
    c.suggest(notice, port, ports);
    return nullptr;
  }
  if (joining.size() > 1) {
    std::string ports;
    for (const Join* join : joining) {
      const auto word = c.name_text(program.fields[kind.fields.first + join->from_slot].name);
      ports += fmt::format("{}{}.{}", ports.empty() ? "" : " or ", thing_name, word);
    }
    c.fail(Code::network_port, where, fmt::format("{} joins {} at several ports", thing_name, c.name_text(network.name)))
        .cures.push_back("say which: " + ports);
    return nullptr;
  }
  slot = entering ? joining[0]->from_slot : joining[0]->to_slot;
  return joining[0];
}

ThingId Runs::new_point(ClassId cls, NameId point_name, base::Place place, ThingId owner) {
  const ThingId point = c.add_thing(network.point, cls, point_name, place);
  Thing& made = program.things.edit(point.value);
  made.in_job = true;
  made.owner = owner;
  made.weak = !owner.given();
  if (owner.given()) made.number = program.things[owner.value].number;
  const u32 first = made.first_slot;
  program.inputs.edit(first + point_slot::net) = Value::index(net_thing.value);
  program.inputs.edit(first + point_slot::thing) = owner.given() ? Value::index(owner.value) : Value::none();
  point_number[point.value] = static_cast<u32>(points.size());
  points.push_back({point, {}, {}, false});
  return point;
}

ThingId Runs::new_leg(KindId kind, ClassId cls, NameId leg_name, base::Place place, ThingId owner, ThingId from, ThingId to, Cursor where, bool plain) {
  const ThingId leg = c.add_thing(kind, cls, leg_name, place);
  Thing& made = program.things.edit(leg.value);
  made.in_job = true;
  made.owner = owner;
  const u32 first = made.first_slot;
  program.inputs.edit(first + leg_slot::net) = Value::index(net_thing.value);
  program.inputs.edit(first + leg_slot::thing) = owner.given() ? Value::index(owner.value) : Value::none();
  edges.push_back({leg, from, to, where, plain});
  return leg;
}

// The point of a thing's port; through joins bring both points and the leg between them.
ThingId Runs::port_point(ThingId thing, const Join& join, u16 slot, Cursor where) {
  const Thing record = program.things[thing.value];
  const Value now = program.inputs[record.first_slot + slot];
  if (now.known()) return ThingId{now.index()};
  if (now.is(State::none)) {
    c.fail(Code::network_twice, where, fmt::format("this port of {} is said to be none", c.name_text(record.name)))
        .labels.push_back({program.stated[record.first_slot + slot].place, "said here"});
    return {};
  }
  const auto make = [&](u16 at, ClassId cls) {
    const ThingId point = new_point(cls, record.name, record.place, thing);
    program.inputs.edit(record.first_slot + at) = Value::index(point.value);
    program.stated.edit(record.first_slot + at).place = where.place();
    return point;
  };
  if (!join.through) return make(join.from_slot, join.at_class);
  // Both points are made; the one where no run ends counts as not connected.
  const ThingId from = make(join.from_slot, join.at_class);
  const ThingId to = make(join.to_slot, join.to_class);
  const ThingId leg = new_leg(network.leg, join.leg_class, record.name, record.place, thing, from, to, where, false);
  program.things.edit(leg.value).number = record.number;
  program.inputs.edit(record.first_slot + join.leg_slot) = Value::index(leg.value);
  return slot == join.from_slot ? from : to;
}

// Where a run's end is: one point, or one for each of N alike things.
std::vector<Runs::End> Runs::ends_of(Cursor place, bool entering) {
  std::string_view spelling = place.text();
  u32 number = 0;
  std::string_view word = spelling, port;
  if (const auto bracket = spelling.find('['); bracket != std::string_view::npos) {
    word = spelling.substr(0, bracket);
    for (const char digit : spelling.substr(bracket + 1))
      if (digit >= '0' && digit <= '9' && number < 10'000'000) number = number * 10 + static_cast<u32>(digit - '0');
  }
  if (const auto dot = word.find('.'); dot != std::string_view::npos) {
    port = word.substr(dot + 1);
    word = word.substr(0, dot);
  }
  const NameId name = c.name(word);
  const Symbol* const symbol = c.known(Symbol::What::job_thing, name);
  if (symbol == nullptr) {
    if (!port.empty()) {
      (void)c.find_thing(place, {}, false);
      return {};
    }
    const NameId key = c.name(spelling);
    auto& junction = junctions[key.value];
    if (!junction.point.given()) {
      junction.point = new_point(network.junction_class, key, place.place(), {});
      junction.first = place;
      junction_order.push_back(key);
    }
    ++junction.uses;
    return {{junction.point, {}, 0}};
  }
  std::vector<ThingId> things;
  const Thing& first = program.things[symbol->index];
  if (first.number != 0 && number == 0) {
    for (u32 at = symbol->index; at < program.things.size() && program.things[at].name == name && program.things[at].number == at - symbol->index + 1; ++at)
      things.push_back(ThingId{at});
  } else if (number != 0) {
    const auto one = c.find_thing(place, {}, false);
    if (!one) return {};
    things.push_back(*one);
  } else {
    things.push_back(ThingId{symbol->index});
  }
  std::vector<End> ends;
  for (const ThingId thing : things) {
    u16 slot = 0;
    const Join* const join = join_of(thing, port, place, entering, slot);
    if (join == nullptr) return {};
    const ThingId point = port_point(thing, *join, slot, place);
    if (!point.given()) return {};
    c.connected_ports.insert((static_cast<u64>(thing.value) << 16) | slot);
    ends.push_back({point, thing, program.things[thing.value].number});
  }
  return ends;
}

void Runs::read_run(Cursor run) {
  const Cursor chain = run.child(Node::chain);
  if (!chain.given()) return;
  std::vector<Cursor> places, lengths;
  for (const Cursor part : chain.children()) {
    if (part.is(Node::place) || part.is(Node::path)) {
      places.push_back(part);
      lengths.resize(places.size());
    } else if (part.is(Node::length) || part.is(Node::measure) || part.is(Node::compound)) {
      if (!places.empty()) lengths[places.size() - 1] = part;
    }
  }
  if (places.size() < 2) return;
  Take take;
  take.run = run;
  for (const Cursor part : run.children()) {
    if (part.is(Node::chain) || part.is(Node::per)) continue;
    if (part.is(Node::fittings)) take.fittings.push_back(part);
    else if (part.is(Node::run_as)) take.as = part.child(Node::path);
    else if (part.is(Node::run_like)) take.like = part;
    else if (part.is(Node::block)) take.block = part;
    else if (!part.is(Node::keyword) && !part.is(Node::punct) && !part.is(Node::op)) take.values.push_back(part);
  }
  bool has_lengths = false;
  for (const Cursor length : lengths) has_lengths = has_lengths || length.given();
  if (has_lengths) {
    for (std::size_t at = 0; at + 1 < places.size(); ++at) make_run({places[at], places[at + 1]}, lengths[at], take);
  } else {
    make_run(places, {}, take);
  }
}

// One run from the first place to the second, then through the things that follow.
void Runs::make_run(const std::vector<Cursor>& places, Cursor length, const Take& take) {
  std::vector<std::vector<End>> enters, leaves;
  for (std::size_t at = 0; at < places.size(); ++at) {
    leaves.push_back(at + 1 < places.size() ? ends_of(places[at], false) : std::vector<End>{});
    enters.push_back(at > 0 ? ends_of(places[at], true) : std::vector<End>{});
    // A place that is passed is entered and left: it counts as two ends of one run.
  }
  if (leaves.front().empty()) return;
  for (std::size_t at = 1; at < places.size(); ++at)
    if (enters[at].empty()) return;
  std::size_t wide = 1;
  for (std::size_t at = 0; at < places.size(); ++at) {
    const std::size_t size = at == 0 ? leaves[at].size() : enters[at].size();
    if (size > 1 && wide > 1 && size != wide) {
      c.fail(Code::network_number, places[at], fmt::format("{} alike things meet {} here", size, wide));
      return;
    }
    wide = std::max(wide, size);
  }
  const auto pick = [](const std::vector<End>& ends, std::size_t n) { return ends[ends.size() == 1 ? 0 : n]; };
  // Runs are only as many as their own two ends ask for; what lies behind may widen later.
  const std::size_t copies = std::max(leaves[0].size(), enters[1].size());
  for (std::size_t n = 0; n < copies; ++n) {
    const End from = pick(leaves[0], n), to = pick(enters[1], n);
    if (from.point == to.point) {
      c.fail(Code::network_itself, places[1], "this run begins and ends at one point");
      return;
    }
    const auto spell = [&](Cursor place, const End& end, std::size_t count) {
      return count > 1 ? fmt::format("{}[{}]", place.text(), end.number) : std::string(place.text());
    };
    std::string spelling = take.as.given() ? std::string(take.as.text())
                                           : fmt::format("{} -> {}", spell(places.front(), from, leaves[0].size()),
                                                         spell(places.back(), places.size() == 2 ? to : pick(enters.back(), n), enters.back().size() == copies ? copies : 1));
    if (take.as.given() && copies > 1) spelling += fmt::format("[{}]", n + 1);
    // Two circuits between the same points are told apart by what they pass through.
    if (!take.as.given() && places.size() > 2 && run_names.contains(c.name(spelling).value)) {
      spelling = spell(places.front(), from, leaves[0].size());
      for (std::size_t at = 1; at < places.size(); ++at) {
        const End passed = at == 1 ? to : pick(enters[at], std::min(n, enters[at].size() - 1));
        spelling += " -> " + spell(places[at], passed, enters[at].size() == copies ? copies : 1);
      }
    }
    const NameId run_name = c.name(spelling);
    if (!run_names.insert(run_name.value).second) {
      c.fail(Code::network_same_run, places.front(), fmt::format("there are two runs {}", spelling)).cures.push_back("name one of them with `as`: FROM -> TO … as NAME");
      return;
    }
    const ThingId run = new_leg(network.run, network.run_class, run_name, take.run.child(Node::chain).place(), {}, from.point, to.point, take.run, true);
    c.program.symbols.add({.what = Symbol::What::job_thing, .index = run.value, .name = run_name});
    Checker::Block block;
    block.thing = run;
    block.unit = &unit;
    if (length.given()) fill_length(block, length);
    fill_run(block, take.values, take.run);
    for (const Cursor fittings : take.fittings) add_fittings(block, fittings);
    if (take.block.given()) c.read_block(block, take.block);
    c.close_block(block);
    check_sizes(program.things[run.value]);
    if (take.like.given()) likes.push_back({run, take.like, block.given});
  }
  for (std::size_t at = 1; at + 1 < places.size(); ++at) {
    const std::size_t joints = std::max(leaves[at].size(), enters[at + 1].size());
    for (std::size_t n = 0; n < joints; ++n) {
      const End from = pick(leaves[at], n), to = pick(enters[at + 1], n);
      if (from.point == to.point) continue;
      new_leg(network.leg, joint_class(), c.name(fmt::format("{} -> {}", places[at].text(), places[at + 1].text())), places[at + 1].place(), {}, from.point, to.point, take.run, false);
    }
  }
}

void Runs::fill_length(Checker::Block& block, Cursor length) {
  // The first plain field of the run is its length.
  for (u32 slot = leg_slot::first_own; slot < program.kinds[network.run.value].fields.count; ++slot) {
    const Field& field = program.field(network.run, slot);
    if (field.role == Role::gives || field.role == Role::built_in || c.type_of(field.type).kind != TypeKind::quantity) continue;
    std::vector<Cursor> values;
    if (length.is(Node::length)) {
      const auto kids = length.children();
      bool spread = false;
      for (const Cursor kid : kids) spread = spread || (kid.is(Node::op) && kid.text() == "+-");
      if (spread) {
        std::vector<Cursor> parts = length.parts();
        Field copy = field;
        const auto middle = c.read_value(parts.front(), copy, block.thing, slot, false);
        quantities::Problem problem;
        const auto width = quantities::read_measure(parts.back().text(), problem);
        if (middle && middle->known() && width && width->kind == quantities::MeasureKind::percent) {
          Variable record{.kind = VariableKind::spread, .thing = block.thing, .slot = static_cast<u16>(slot)};
          record.nominal = middle->number();
          record.low = record.nominal * (1 - width->number.value);
          record.high = record.nominal * (1 + width->number.value);
          record.place = length.place();
          c.set_input(block, slot, c.variable(record), length.span(), length, {});
        }
        return;
      }
      bool about = false;
      Cursor value;
      for (const Cursor kid : kids) {
        if (kid.text() == "about") about = true;
        else if (kid.is(Node::measure) || kid.is(Node::compound)) value = kid;
      }
      if (!value.given()) return;
      if (const auto read = c.read_value(value, field, block.thing, slot, false, about)) c.set_input(block, slot, *read, length.span(), length, {});
      return;
    }
    if (const auto read = c.read_value(length, field, block.thing, slot, false)) c.set_input(block, slot, *read, length.span(), length, {});
    return;
  }
}

// A joint has no length: attributes that its network leaves to those who join are nothing there.
ClassId Runs::joint_class() {
  if (joint.given()) return joint;
  const Class plain = program.classes[program.kinds[network.leg.value].plain.value];
  std::vector<SlotFormula> formulas;
  for (u32 slot = 0; slot < plain.formulas.count; ++slot) {
    SlotFormula formula = program.slot_formulas[plain.formulas.first + slot];
    const Field& field = program.field(network.leg, slot);
    if (!formula.formula.given() && field.role == Role::gives) {
      const u32 constant = program.constants.push(Value::number(0));
      const ExprId zero{program.exprs.push({.op = Op::constant, .a = constant})};
      program.expr_notes.push({field.place, field.type});
      formula.formula = zero;
    }
    formulas.push_back(formula);
  }
  const u32 first = program.slot_formulas.append(formulas);
  joint = ClassId{program.classes.push({network.leg, {first, static_cast<u32>(formulas.size())}})};
  return joint;
}

// `like a -> b`: what that run says, where this one says nothing.
void Runs::copy_likes() {
  for (const Like& like : likes) {
    const auto places = like.node.children(Node::place);
    std::vector<Cursor> ends = places;
    if (ends.size() < 2) {
      ends.clear();
      for (const Cursor part : like.node.parts()) ends.push_back(part);
    }
    if (ends.size() < 2) continue;
    const std::string spelling = fmt::format("{} -> {}", ends[0].text(), ends[1].text());
    const Symbol* const other = c.known(Symbol::What::job_thing, c.name(spelling));
    if (other == nullptr) {
      c.fail(Code::unknown_thing, like.node, fmt::format("there is no run {}", spelling));
      continue;
    }
    const Thing from = program.things[other->index], to = program.things[like.run.value];
    for (u32 slot = leg_slot::first_own; slot < to.slots; ++slot) {
      if (like.given.contains(slot) || program.field(network.run, slot).role == Role::gives) continue;
      program.inputs.edit(to.first_slot + slot) = program.inputs[from.first_slot + slot];
      program.stated.edit(to.first_slot + slot) = program.stated[from.first_slot + slot];
    }
  }
}

void Runs::check_junctions() {
  std::unordered_map<std::string, NameId> normal;
  for (const NameId key : junction_order) {
    const Junction& junction = junctions[key.value];
    const std::string_view spelling = c.name_text(key);
    if (junction.uses < 2 && c.spoilt_names.contains(key.value)) {
      broken.insert(junction.point.value);     // its own line is told of already
    } else if (junction.uses < 2) {
      auto& notice = c.fail(Code::network_once, junction.first, fmt::format("{} is named once: no thing has this name, and no other run ends there", spelling));
      std::vector<std::string_view> words;
      for (const NameId other : junction_order)
        if (!(other == key)) words.push_back(c.name_text(other));
      const auto& all = program.symbols.all();
      for (u32 at = 0; at < all.size(); ++at)
        if (all[at].what == Symbol::What::job_thing && all[at].index >= c.first_thing) {
          const Kind& kind = program.kinds[program.things[all[at].index].kind.value];
          for (u32 n = 0; n < kind.joins.count; ++n)
            if (program.joins[kind.joins.first + n].network == id) {
              words.push_back(c.name_text(all[at].name));
              break;
            }
        }
      c.suggest(notice, spelling, words);
      broken.insert(junction.point.value);
    }
    const auto [found, fresh] = normal.emplace(normal_name(spelling), key);
    if (!fresh) {
      c.fail(Code::network_look_alike, junction.first, fmt::format("{} and {} are two points whose names look alike", c.name_text(found->second), spelling))
          .cures.push_back("if they are one point, write both alike; else give one another name");
    }
  }
}
}  // namespace dripleg::meaning
