// Networks as the library declares them: the four hidden kinds (the block itself, points, legs, runs),
// and the `joins` of kinds with the formulas that they put in place of the network's own.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
void Checker::declare_networks() {
  for (const auto& [id, where] : networks) {
    const std::string word(name_text(program.networks[id.value].name));
    const base::Place place = program.networks[id.value].place;
    const KindId net = new_kind(word, true, place);
    const KindId point = new_kind(word + ".point", true, place);
    const KindId leg = new_kind(word + ".leg", true, place);
    const KindId run = new_kind(word + ".run", true, place);
    for (const KindId kind : {net, point, leg, run}) program.kinds.edit(kind.value).network = id;
    program.kinds.edit(run.value).parent = leg;
    Network& network = program.networks.edit(id.value);
    network.net = net;
    network.point = point;
    network.leg = leg;
    network.run = run;
  }
}

namespace {
Type thing_of(KindId kind, bool or_none = false) { return {TypeKind::thing, or_none, 0, kind.value}; }
}  // namespace

void Checker::read_network(NetworkId id, Cursor decl, const SourceTree& unit) {
  Network network = program.networks[id.value];
  type_network = id;
  const std::string_view word = name_text(network.name);
  const Type legs = {TypeKind::list, false, 0, type_id(thing_of(network.leg)).value};
  std::vector<Field> net_fields, point_fields, leg_fields, run_fields;
  std::vector<FieldAlias> net_aliases, point_aliases, leg_aliases, run_aliases;
  point_fields.push_back(built_in_field("from", thing_of(network.point)));
  point_fields.push_back(built_in_field("inward", thing_of(network.leg)));
  point_fields.push_back(built_in_field("onward", legs));
  point_fields.push_back(built_in_field("net", thing_of(network.net)));
  point_fields.push_back(built_in_field("root", thing_of(network.point)));
  point_fields.push_back(built_in_field("thing", {TypeKind::thing, true, 0, 0xFFFFFFFFu}));
  point_fields.push_back(built_in_field("arrivals", legs));
  leg_fields.push_back(built_in_field("from", thing_of(network.point)));
  leg_fields.push_back(built_in_field("to", thing_of(network.point)));
  leg_fields.push_back(built_in_field("net", thing_of(network.net)));
  leg_fields.push_back(built_in_field("root", thing_of(network.point)));
  leg_fields.push_back(built_in_field("thing", {TypeKind::thing, true, 0, 0xFFFFFFFFu}));

  read_balance(id, decl, point_fields, leg_fields);
  network = program.networks[id.value];
  const Type points = {TypeKind::list, false, 0, type_id(thing_of(network.point)).value};
  net_fields.push_back(built_in_field("points", points));
  net_fields.push_back(built_in_field("legs", legs));
  net_fields.push_back(built_in_field("runs", {TypeKind::list, false, 0, type_id(thing_of(network.run)).value}));
  std::vector<KindId> roots;
  Cursor point_block, leg_block, run_block;
  struct Owned { std::size_t begin, end; KindId kind; };
  std::vector<Owned> owned;
  const auto read_lines = [&](Cursor block, KindId kind, std::vector<Field>& fields, std::vector<FieldAlias>& aliases,
                              std::string_view name_for) {
    const std::size_t begin = formulas.size();
    for (const Cursor line : block.children()) {
      if (is_leaf(line.kind())) continue;
      if (line.is(Node::field)) read_field(line, kind, fields, aliases, unit, name_for);
      else if (line.is(Node::settles)) read_settles(line, kind, fields, unit);
      else if (line.is(Node::row) || line.is(Node::prose)) continue;
      else fail(Code::bad_declaration, line, "a point, leg or run has lines that begin with needs, may, gives or settles");
    }
    owned.push_back({begin, formulas.size(), kind});
  };
  for (const Cursor block : decl.children(Node::block))
    for (const Cursor item : block.children()) {
      if (is_leaf(item.kind())) {
        if (item.is(Node::text)) network.docs = text(plain_text(item));
        continue;
      }
      if (item.is(Node::row) || item.is(Node::prose)) {
        network.docs = text(prose_text(item));
        continue;
      }
      if (item.is(Node::field)) {
        const std::size_t begin = formulas.size();
        read_field(item, network.net, net_fields, net_aliases, unit, word);
        owned.push_back({begin, formulas.size(), network.net});
        continue;
      }
      if (item.is(Node::balance) || item.is(Node::datum)) continue;     // read first
      if (item.is(Node::shut) || item.is(Node::one_way)) {
        if (const auto parts = item.parts(); !parts.empty()) leg_tests.push_back({id, item.is(Node::one_way), parts.front()});
        continue;
      }
      if (!item.is(Node::entry)) {
        fail(Code::bad_declaration, item, "this line does not belong in a network");
        continue;
      }
      const auto kids = item.children();
      const std::string_view head = kids.front().text();
      if (head == "shape") {
        for (std::size_t at = 1; at < kids.size(); ++at) {
          const std::string_view part = kids[at].text();
          if (part == "tree") network.form = Form::tree;
          else if (part == "graph") network.form = Form::graph;
          else if (part == "arrows" || part == "from") continue;
          else if (part == "either") network.arrows_either = true;
          else if (kids[at].is(Node::path)) {
            const Symbol* const kind = known(Symbol::What::kind, name(kids[at]));
            if (kind != nullptr) roots.push_back(KindId{kind->index});
            else fail(Code::unknown_kind, kids[at], fmt::format("no kind is named {}", part));
          }
        }
      } else if (head == "fittings" && kids.size() > 1) {
        const Symbol* const kind = known(Symbol::What::kind, name(kids[1]));
        if (kind != nullptr) network.fitting = KindId{kind->index};
        else fail(Code::unknown_kind, kids[1], fmt::format("no kind is named {}", kids[1].text()));
      } else if (head == "point") {
        point_block = item.child(Node::block);
      } else if (head == "leg") {
        leg_block = item.child(Node::block);
      } else if (head == "run") {
        run_block = item.child(Node::block);
      } else if (head != "junction" && head != "also") {
        fail(Code::bad_declaration, kids.front(), fmt::format("a network has no line `{}`", head));
      }
    }
  if (point_block.given()) read_lines(point_block, network.point, point_fields, point_aliases, fmt::format("{}.point", word));
  if (leg_block.given()) read_lines(leg_block, network.leg, leg_fields, leg_aliases, fmt::format("{}.leg", word));
  program.networks.edit(id.value) = network;
  finish_balance(id, decl, point_fields, leg_fields);
  network = program.networks[id.value];
  const u16 leg_count = static_cast<u16>(leg_fields.size());
  run_fields = leg_fields;
  run_aliases = leg_aliases;
  if (network.fitting.given()) {
    std::vector<Field> slots(3);
    slots[0].name = name("count");
    slots[0].type = type_id({TypeKind::quantity, false, 0, program.catalogue.plain().value});
    slots[1].name = name("fitting");
    slots[1].type = type_id(thing_of(network.fitting));
    slots[2].name = name("implied");
    slots[2].role = Role::may;
    slots[2].type = type_id({TypeKind::yes_no, false, 0, 0});
    network.fitting_record = record_kind(fmt::format("{}.fitting", word), slots, network.place);
    Field field = built_in_field("fittings", {TypeKind::list, false, 0, type_id(thing_of(network.fitting_record)).value});
    field.holding = Holding::many;
    field.record = network.fitting_record;
    run_fields.push_back(field);
  }
  if (run_block.given()) read_lines(run_block, network.run, run_fields, run_aliases, fmt::format("{}.run", word));
  const u32 first_root = program.kind_lists.append(roots);
  network.roots = {first_root, static_cast<u32>(roots.size())};
  const auto finish = [&](KindId kind, std::vector<Field>& fields, std::vector<FieldAlias>& aliases, u16 own) {
    finish_kind(kind, fields, own, program.kinds[kind.value], aliases);
    const u32 first = program.kinds[kind.value].fields.first;
    for (const Owned& stretch : owned)
      if (stretch.kind == kind)
        for (std::size_t at = stretch.begin; at < stretch.end; ++at)
          if (formulas[at].self == kind) formulas[at].index += first;
  };
  finish(network.net, net_fields, net_aliases, 0);
  finish(network.point, point_fields, point_aliases, 0);
  finish(network.leg, leg_fields, leg_aliases, 0);
  finish(network.run, run_fields, run_aliases, leg_count);
  network.net_class = program.kinds[network.net.value].plain;
  network.junction_class = program.kinds[network.point.value].plain;
  network.run_class = program.kinds[network.run.value].plain;
  program.networks.edit(id.value) = network;
  type_network = {};
}

void Checker::add_join(KindId kind, Cursor line, std::vector<Field>& fields, std::vector<Join>& joins) {
  const auto paths = line.children(Node::path);
  if (paths.size() < 2) return;
  const Symbol* const symbol = known(Symbol::What::network, name(paths[0]));
  if (symbol == nullptr) {
    fail(Code::unknown_kind, paths[0], fmt::format("no network is named {}", paths[0].text()));
    return;
  }
  const Network& network = program.networks[symbol->index];
  Join join;
  join.kind = kind;
  join.network = NetworkId{symbol->index};
  join.through = paths.size() > 2;
  const auto port = [&](Cursor leaf) {
    Field field;
    field.name = name(leaf);
    field.place = leaf.place();
    field.role = Role::port;
    field.network = join.network;
    field.type = type_id(thing_of(network.point));
    for (const Field& other : fields)
      if (other.name == field.name) fail(Code::declared_twice, leaf, fmt::format("{} is already a field of this kind", leaf.text()));
    fields.push_back(field);
    return static_cast<u16>(fields.size() - 1);
  };
  join.from_slot = port(paths[1]);
  join.to_slot = join.through ? port(paths[2]) : join.from_slot;
  if (join.through) {
    fields.push_back(built_in_field(fmt::format("{}_leg", name_text(network.name)), thing_of(network.leg)));
    join.leg_slot = static_cast<u16>(fields.size() - 1);
  }
  const u32 number = static_cast<u32>(joins.size());
  joins.push_back(join);
  if (const Cursor block = line.child(Node::block); block.given())
    for (const Cursor item : block.children()) {
      if (is_leaf(item.kind())) continue;
      if (!item.is(Node::bind)) {
        fail(Code::bad_declaration, item, "a `joins` block has lines of the form attribute = formula");
        continue;
      }
      const auto parts = item.parts();
      if (parts.size() < 2) continue;
      const std::string_view left = parts[0].text();
      PendingOverride override_line;
      override_line.join = number;
      override_line.expr = parts[1];
      override_line.target = join.through ? 2 : 0;
      std::string_view attribute = left;
      if (const auto dot = left.find('.'); dot != std::string_view::npos) {
        const std::string_view at_port = left.substr(0, dot);
        attribute = left.substr(dot + 1);
        if (at_port == paths[1].text()) override_line.target = 0;
        else if (join.through && at_port == paths[2].text()) override_line.target = 1;
        else {
          fail(Code::unknown_field, parts[0], fmt::format("{} is not a port of this join", at_port));
          continue;
        }
      }
      const KindId target = override_line.target == 2 ? network.leg : network.point;
      const auto slot = slot_of(target, name(attribute));
      if (!slot) {
        auto& notice = fail(Code::unknown_field, parts[0],
                            fmt::format("a {} of {} has no attribute {}", override_line.target == 2 ? "leg" : "point",
                                        name_text(network.name), attribute));
        suggest(notice, attribute, field_names(target));
        continue;
      }
      override_line.slot = *slot;
      overrides.push_back(override_line);
    }
}

void Checker::read_join_blocks() {
  for (PendingOverride& line : overrides) {
    const Join join = program.joins[line.join];
    const Network& network = program.networks[join.network.value];
    const KindId target = line.target == 2 ? network.leg : network.point;
    Scope scope;
    scope.self = join.kind;
    scope.join = &join;
    const Field& field = program.field(target, line.slot);
    line.formula = formula_as(line.expr, scope, type_of(field.type)).expr;
  }
  // What stands for the fittings of junctions, now that stock things are there.
  for (const auto& [id, where] : networks)
    for (const Cursor block : where.first.children(Node::block))
      for (const Cursor item : block.children(Node::entry)) {
        const auto kids = item.children();
        if (kids.front().text() != "junction" || kids.size() < 4) continue;
        Network& network = program.networks.edit(id.value);
        const auto member = [&](Cursor word) -> ThingId {
          const Symbol* const thing = known(Symbol::What::stock, name(word));
          if (thing != nullptr && program.is_a(program.things[thing->index].kind, network.fitting)) return ThingId{thing->index};
          fail(Code::unknown_thing, word, fmt::format("no {} is named {}", name_text(program.kinds[network.fitting.value].name), word.text()));
          return {};
        };
        network.branch = member(kids[1]);
        network.through = member(kids[3]);
      }
}

void Checker::make_classes() {
  // Ordinary members: each field's own formula.
  const auto plain_formulas = [&](KindId kind) {
    const Kind& record = program.kinds[kind.value];
    std::vector<SlotFormula> formulas_of(record.fields.count);
    for (u32 slot = 0; slot < record.fields.count; ++slot)
      formulas_of[slot].formula = program.fields[record.fields.first + slot].formula;
    return formulas_of;
  };
  for (u32 at = first_kind; at < program.kinds.size(); ++at) {
    const auto formulas_of = plain_formulas(KindId{at});
    const u32 first = program.slot_formulas.append(formulas_of);
    const ClassId plain = program.kinds[at].plain;
    if (plain.given()) program.classes.edit(plain.value).formulas = {first, static_cast<u32>(formulas_of.size())};
  }
  for (u32 at = first_kind; at < program.kinds.size(); ++at) {
    const Kind& kind = program.kinds[at];
    for (u32 n = 0; n < kind.joins.count; ++n) {
      const u32 number = kind.joins.first + n;
      Join join = program.joins[number];
      if (join.kind != KindId{at}) continue;
      const Network& network = program.networks[join.network.value];
      const auto make = [&](KindId base_kind, u8 target) {
        auto formulas_of = plain_formulas(base_kind);
        for (const PendingOverride& line : overrides)
          if (line.join == number && line.target == target) formulas_of[line.slot] = {line.formula, true};
        const u32 first = program.slot_formulas.append(formulas_of);
        return ClassId{program.classes.push({base_kind, {first, static_cast<u32>(formulas_of.size())}})};
      };
      join.at_class = make(network.point, 0);
      if (join.through) {
        join.to_class = make(network.point, 1);
        join.leg_class = make(network.leg, 2);
        // A leg's attribute without a formula must be given by each kind that the network passes through.
        const Class& leg = program.classes[join.leg_class.value];
        for (u32 slot = leg_slot::first_own; slot < leg.formulas.count; ++slot)
          if (!program.slot_formulas[leg.formulas.first + slot].formula.given() &&
              program.field(network.leg, slot).role == Role::gives)
            fail(Code::bad_declaration, kind.place,
                 fmt::format("{} passes {} on but does not say its {}", name_text(kind.name), name_text(network.name),
                             name_text(program.field(network.leg, slot).name)));
      }
      program.joins.edit(number) = join;
    }
  }
  // What a kind inherits, once every kind has made its own: children may be read before their parents.
  for (u32 at = first_kind; at < program.kinds.size(); ++at)
    for (u32 n = 0; n < program.kinds[at].joins.count; ++n) inherit_join(program.kinds[at].joins.first + n, KindId{at});
}

void Checker::inherit_join(u32 number, KindId kind) {
  const Join join = program.joins[number];
  if (join.kind == kind) return;
  const Kind& maker = program.kinds[join.kind.value];
  for (u32 n = 0; n < maker.joins.count; ++n) {
    const Join own = program.joins[maker.joins.first + n];
    if (!(own.kind == join.kind) || !(own.network == join.network) || own.from_slot != join.from_slot) continue;
    Join& made = program.joins.edit(number);
    made.at_class = own.at_class;
    made.to_class = own.to_class;
    made.leg_class = own.leg_class;
  }
}
}  // namespace dripleg::meaning
