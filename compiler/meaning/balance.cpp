// What a network says of its balance — which attribute of a leg is kept at every point, by which other one it is
// driven, where the head is counted from, which legs are shut or let through one way only — and what settles.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
// The lines of a network's block that begin so.
std::vector<Cursor> lines_of(Cursor decl, Node kind) {
  std::vector<Cursor> found;
  for (const Cursor block : decl.children(Node::block))
    for (const Cursor line : block.children(kind)) found.push_back(line);
  return found;
}
std::optional<u16> slot_named(const std::vector<Field>& fields, NameId wanted) {
  for (std::size_t at = 0; at < fields.size(); ++at)
    if (fields[at].name == wanted) return static_cast<u16>(at);
  return std::nullopt;
}
}  // namespace

// A stretch of a measure as a number of the type, 0 if it is none (spoken of then).
double Checker::measure_in(Cursor measure, TypeId type) {
  Field field;
  field.name = name("within");
  field.type = type;
  const auto value = read_value(measure, field, {}, 0, false);
  return value && value->known() ? value->number() : 0;
}

// The fields that a balance brings stand right behind the built-in ones, before those that the library writes.
void Checker::read_balance(NetworkId id, Cursor decl, std::vector<Field>& point_fields, std::vector<Field>& leg_fields) {
  const auto lines = lines_of(decl, Node::balance);
  if (lines.empty()) return;
  if (lines.size() > 1) fail(Code::bad_declaration, lines[1], "a network has one balance");
  const Cursor line = lines.front();
  const auto parts = line.parts();
  if (parts.size() < 3) {
    fail(Code::bad_declaration, line, "a balance says to within what: balance FLOW by DROP within MEASURE");
    return;
  }
  Scope scope;
  const Typed measure = formula(parts[2], scope, nullptr);
  if (measure.type.failed) return;
  const auto dimension = program.catalogue.dimension_of(measure.type.vector);
  const Type flow{TypeKind::quantity, false, 0, dimension.value};
  Network& network = program.networks.edit(id.value);
  const Type point{TypeKind::thing, false, 0, network.point.value};
  const Type legs{TypeKind::list, false, 0, type_id({TypeKind::thing, false, 0, network.leg.value}).value};
  const auto add = [](std::vector<Field>& fields, Field field) {
    fields.push_back(std::move(field));
    return static_cast<u16>(fields.size() - 1);
  };
  Field flow_field = built_in_field(parts[0].text(), flow);
  flow_field.place = parts[0].place();
  network.flow = add(leg_fields, flow_field);
  network.entering = add(leg_fields, built_in_field("entering", point));
  network.carried = add(leg_fields, built_in_field("carried", flow));
  network.arriving = add(point_fields, built_in_field("arriving", legs));
  network.departing = add(point_fields, built_in_field("departing", legs));
  for (const Cursor datum : lines_of(decl, Node::datum)) {
    const auto words = datum.parts();
    if (words.size() < 2) continue;
    Field head = built_in_field(words[0].text(), flow);     // its type is the drop's, once that is read
    head.place = words[0].place();
    network.head = add(point_fields, head);
    if (const Symbol* const kind = known(Symbol::What::kind, name(words[1]))) network.datum = KindId{kind->index};
    else fail(Code::unknown_kind, words[1], fmt::format("no kind is named {}", words[1].text()));
  }
  network.within = measure_in(parts[2], type_id(flow));
  if (network.within <= 0) fail(Code::bad_declaration, parts[2], "a flow is balanced to within more than nothing");
}

void Checker::finish_balance(NetworkId id, Cursor decl, std::vector<Field>& point_fields,
                             const std::vector<Field>& leg_fields) {
  Network& network = program.networks.edit(id.value);
  if (!network.balanced()) {
    for (const Node kind : {Node::datum, Node::shut, Node::one_way})
      for (const Cursor line : lines_of(decl, kind))
        fail(Code::bad_declaration, line, "this line is of networks that say `balance FLOW by DROP within MEASURE`");
    return;
  }
  const Cursor line = lines_of(decl, Node::balance).front();
  if (network.form != Form::graph)
    fail(Code::bad_declaration, line, "a tree needs no balance: its flows follow from what is drawn")
        .cures.push_back("say `shape graph`, or give the flow a formula");
  const Cursor drop = line.parts()[1];
  const auto slot = slot_named(leg_fields, name(drop));
  if (!slot) {
    auto& notice = fail(Code::unknown_field, drop, fmt::format("a leg of {} has no attribute {}", name_text(network.name), drop.text()));
    std::vector<std::string_view> words;
    for (const Field& field : leg_fields) words.push_back(name_text(field.name));
    suggest(notice, drop.text(), words);
    return;
  }
  network.drop = *slot;
  if (network.head == 0) return;
  Type head = type_of(leg_fields[*slot].type);
  head.or_none = true;
  point_fields[network.head].type = type_id(head);
}

void Checker::read_leg_tests() {
  for (const PendingLegTest& test : leg_tests) {
    Scope scope;
    scope.self = program.networks[test.network.value].leg;
    const ExprId expr = formula_as(test.expr, scope, {TypeKind::yes_no, false, 0, 0}).expr;
    Network& network = program.networks.edit(test.network.value);
    (test.one_way ? network.one_way : network.shut) = expr;
  }
}

// ---- what settles -----------------------------------------------------------------------------------------------
void Checker::read_settles(Cursor line, KindId kind, std::vector<Field>& fields, const SourceTree& unit) {
  if (line.broken()) return;
  // settles NAME TYPE in LOW .. HIGH from START within ERROR = formula
  std::vector<Cursor> words;
  PendingSettling settling;
  std::string_view after;
  for (const Cursor part : line.children()) {
    if (part.is(Node::keyword)) after = part.text();
    else if (part.is(Node::range) && after == "in") {
      const auto ends = part.parts();
      if (ends.size() == 2) settling.low = ends[0], settling.high = ends[1];
    } else if (part.is(Node::equals) || part.is(Node::per) || part.is(Node::prose) || part.is(Node::op) || part.is(Node::punct)) continue;
    else if (after == "from") settling.start = part;
    else if (after == "within") settling.within = part;
    else words.push_back(part);
  }
  const Cursor equals = line.child(Node::equals);
  if (words.size() < 2 || !settling.low.given() || !settling.start.given() || !settling.within.given() || !equals.given()) {
    fail(Code::bad_declaration, line, "what settles is said so: settles NAME TYPE in LOW .. HIGH from START within ERROR = formula");
    return;
  }
  bool ok = true;
  std::size_t at = 1;
  const Type type = read_type(words, at, line, ok);
  if (!ok) return;
  if (type.kind != TypeKind::quantity || type.or_none) {
    fail(Code::bad_declaration, words[1], "only a quantity settles");
    return;
  }
  Field field;
  field.name = name(words[0]);
  field.place = words[0].place();
  field.role = Role::gives;
  field.type = type_id(type);
  field.settling = 1 + program.settlings.push({});
  if (const Cursor prose = line.child(Node::prose); prose.given()) field.docs = text(prose_text(prose));
  field.citations = read_citations(line.children(Node::per), unit.library);
  settling.settling = field.settling - 1;
  settling.self = kind;
  settling.type = field.type;
  settlings.push_back(settling);
  if (const auto parts = equals.parts(); !parts.empty()) {
    PendingFormula pending;
    pending.where = PendingFormula::Where::field;
    pending.expr = parts.front();
    pending.self = kind;
    pending.unit = &unit;
    pending.index = static_cast<u32>(fields.size());
    formulas.push_back(pending);
  }
  if (slot_named(fields, field.name)) fail(Code::declared_twice, words[0], fmt::format("{} is already a field of this kind", words[0].text()));
  fields.push_back(field);
}

void Checker::read_pending_settlings() {
  for (const PendingSettling& pending : settlings) {
    const Type type = type_of(pending.type);
    const auto end = [&](Cursor where) {
      Scope scope;
      scope.self = pending.self;
      return formula_as(where, scope, type).expr;
    };
    Settling settling;
    settling.low = end(pending.low);
    settling.high = end(pending.high);
    settling.start = end(pending.start);
    const auto difference = program.catalogue.difference_of(quantities::DimensionId{type.of});
    settling.within = measure_in(pending.within, type_id({TypeKind::quantity, false, 0, difference.value}));
    if (settling.within <= 0) fail(Code::bad_declaration, pending.within, "a value settles to within more than nothing");
    program.settlings.edit(pending.settling) = settling;
  }
}
}  // namespace dripleg::meaning
