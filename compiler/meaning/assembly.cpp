// The joining up of a network: which point feeds which, from the roots on; what cannot be a tree is said;
// fittings at junctions are counted; every port is listed as connected, denied or neither.
#include "meaning/runs.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::meaning {
void Checker::assemble_networks() {
  std::vector<NetworkId> listed;
  for (const PendingNetwork& pending : network_blocks) {
    Runs runs(*this, pending);
    runs.read_block(pending.block);
    runs.assemble();
  }
  for (const PendingNetwork& pending : network_blocks) {
    if (std::find(listed.begin(), listed.end(), pending.network) != listed.end()) continue;
    listed.push_back(pending.network);
    list_ports(pending.network);
  }
}

void Runs::assemble() {
  copy_likes();
  check_junctions();
  for (u32 at = 0; at < edges.size(); ++at) {
    points[point_number[edges[at].from.value]].edges.push_back(at);
    points[point_number[edges[at].to.value]].edges.push_back(at);
  }
  list_members();
  link_tree();
  add_junction_fittings();
}

// What a net is made of, as lists of it. A net may stand in several blocks.
void Runs::list_members() {
  std::vector<Value> of_points, of_legs, of_runs;
  for (const Point& point : points) of_points.push_back(Value::index(point.thing.value));
  for (const Edge& edge : edges) {
    of_legs.push_back(Value::index(edge.leg.value));
    if (edge.plain) of_runs.push_back(Value::index(edge.leg.value));
  }
  const auto put = [&](u16 slot, const std::vector<Value>& more) {
    Value& input = program.inputs.edit(program.things[net_thing.value].first_slot + slot);
    std::vector<Value> all;
    if (input.known()) {
      const Slice before = program.lists[input.index()].items;
      for (u32 at = 0; at < before.count; ++at) all.push_back(program.list_items[before.first + at]);
    }
    all.insert(all.end(), more.begin(), more.end());
    input = Value::index(c.add_list(all));
  };
  put(net_slot::points, of_points);
  put(net_slot::legs, of_legs);
  put(net_slot::runs, of_runs);
}

bool Runs::is_root(ThingId point) const {
  const ThingId owner = program.things[point.value].owner;
  if (!owner.given()) return false;
  for (u32 n = 0; n < network.roots.count; ++n)
    if (program.is_a(program.things[owner.value].kind, program.kind_lists[network.roots.first + n])) return true;
  return false;
}

void Runs::reach_from(u32 root) {
  std::vector<u32> queue{root};
  points[root].reached = true;
  points[root].root = points[root].thing;
  std::vector<char> used(edges.size(), 0);
  std::vector<u32> against;
  const auto input = [&](ThingId thing, u16 slot) -> Value& {
    return program.inputs.edit(program.things[thing.value].first_slot + slot);
  };
  input(points[root].thing, point_slot::root) = Value::index(points[root].thing.value);
  input(points[root].thing, point_slot::from) = Value::none();
  input(points[root].thing, point_slot::inward) = Value::none();
  for (std::size_t at = 0; at < queue.size(); ++at) {
    const u32 here = queue[at];
    std::vector<Value> onward;
    for (const u32 number : points[here].edges) {
      const Edge& edge = edges[number];
      const bool forward = edge.from == points[here].thing;
      const ThingId other = forward ? edge.to : edge.from;
      const u32 there = point_number[other.value];
      if (points[here].thing.value != points[root].thing.value &&
          input(points[here].thing, point_slot::inward) == Value::index(edge.leg.value))
        continue;
      if (points[there].reached) {
        if (used[number] == 0) {
          used[number] = 1;
          const Point& far = points[there];
          const bool is_root = program.inputs[program.things[far.thing.value].first_slot + point_slot::inward].is(State::none);
          if (is_root && !(far.root == points[root].root)) continue;
          torn = true;
          c.fail(Code::network_loop, edge.where.child(Node::chain).given() ? edge.where.child(Node::chain) : edge.where,
                 fmt::format("this run closes a ring; {} is a tree", c.name_text(network.name)))
              .cures.push_back("one of the runs of the ring ends at another point, or is not there");
        }
        continue;
      }
      used[number] = 1;
      if (!forward && !network.arrows_either && !is_root(other)) against.push_back(number);
      points[there].reached = true;
      points[there].root = points[root].thing;
      queue.push_back(there);
      onward.push_back(Value::index(edge.leg.value));
      input(edge.leg, leg_slot::from) = Value::index(points[here].thing.value);
      input(edge.leg, leg_slot::to) = Value::index(other.value);
      input(edge.leg, leg_slot::root) = Value::index(points[root].thing.value);
      input(other, point_slot::from) = Value::index(points[here].thing.value);
      input(other, point_slot::inward) = Value::index(edge.leg.value);
      input(other, point_slot::root) = Value::index(points[root].thing.value);
    }
    input(points[here].thing, point_slot::onward) = Value::index(c.add_list(onward));
    input(points[here].thing, point_slot::arrivals) = Value::index(c.add_list({}));
  }
  // In a ring every way round is against some arrow: the ring itself is what to speak of.
  if (torn) return;
  for (const u32 number : against) {
    const Edge& edge = edges[number];
    const Cursor chain = edge.where.child(Node::chain);
    const base::Place place = chain.given() ? chain.place() : edge.where.given() ? edge.where.place() : program.things[edge.leg.value].place;
    if (!edge.plain) {
      c.fail(Code::network_against, place, fmt::format("{} is passed against its way, from {} on", c.name_text(program.things[edge.leg.value].name), c.name_text(program.things[points[root].thing.value].name)))
          .cures.push_back("lead the run that feeds it to it, and the run that it feeds from it");
      continue;
    }
    c.fail(Code::network_against, place, fmt::format("this run is written against the way from {}", c.name_text(program.things[points[root].thing.value].name)))
        .cures.push_back(fmt::format("write {} -> {}", c.name_text(program.things[edge.to.value].name), c.name_text(program.things[edge.from.value].name)));
  }
}

void Runs::link_tree() {
  if (network.form != Form::tree) {
    fill_unlinked();
    return;
  }
  std::vector<u32> roots;
  for (u32 at = 0; at < points.size(); ++at) {
    if (is_root(points[at].thing)) roots.push_back(at);
  }
  for (const u32 root : roots) {
    if (points[root].reached) {
      const ThingId first = points[root].root;
      torn = true;
      c.fail(Code::network_two_roots, program.things[points[root].thing.value].place,
             fmt::format("{} and {} feed one piece of {}", c.name_text(program.things[first.value].name),
                         c.name_text(program.things[points[root].thing.value].name), c.name_text(network.name)))
          .labels.push_back({program.things[first.value].place, "the other"});
      continue;
    }
    reach_from(root);
  }
  // Pieces that no root reaches: one notice each, unless a junction named once already says why.
  for (u32 at = 0; at < points.size(); ++at) {
    if (points[at].reached) continue;
    std::vector<u32> piece{at};
    points[at].reached = true;
    bool spoken = false;
    for (std::size_t next = 0; next < piece.size(); ++next) {
      spoken = spoken || broken.contains(points[piece[next]].thing.value);
      for (const u32 number : points[piece[next]].edges)
        for (const ThingId end : {edges[number].from, edges[number].to}) {
          const u32 other = point_number[end.value];
          if (points[other].reached) continue;
          points[other].reached = true;
          piece.push_back(other);
        }
    }
    if (spoken || c.notices.any_errors()) continue;
    const Cursor where = points[at].edges.empty() ? Cursor{} : edges[points[at].edges.front()].where;
    std::string names;
    for (std::size_t n = 0; n < piece.size() && n < 4; ++n) names += fmt::format("{}{}", n == 0 ? "" : ", ", c.name_text(program.things[points[piece[n]].thing.value].name));
    std::string kinds;
    for (u32 n = 0; n < network.roots.count; ++n) kinds += fmt::format("{}{}", n == 0 ? "" : " or ", c.name_text(program.kinds[program.kind_lists[network.roots.first + n].value].name));
    c.fail(Code::network_unfed, where.given() ? (where.child(Node::chain).given() ? where.child(Node::chain).place() : where.place()) : program.things[points[at].thing.value].place,
           fmt::format("nothing feeds {}", names))
        .cures.push_back(fmt::format("lead a run there from a {} or from a point that one feeds", kinds));
  }
  fill_unlinked();
}

// Built-in fields of points and legs that no root reached: known to be none, or the ends as written.
void Runs::fill_unlinked() {
  const auto fill = [&](ThingId thing, u16 slot, Value value) {
    Value& input = program.inputs.edit(program.things[thing.value].first_slot + slot);
    if (input.is(State::unstated)) input = value;
  };
  for (const Edge& edge : edges) {
    fill(edge.leg, leg_slot::from, Value::index(edge.from.value));
    fill(edge.leg, leg_slot::to, Value::index(edge.to.value));
    fill(edge.leg, leg_slot::root, Value::index(edge.from.value));
  }
  const Value empty = Value::index(c.add_list({}));
  for (const Point& point : points) {
    fill(point.thing, point_slot::from, Value::none());
    fill(point.thing, point_slot::inward, Value::none());
    if (network.form == Form::graph) {     // as drawn
      std::vector<Value> out, in;
      for (const u32 number : point.edges) (edges[number].from == point.thing ? out : in).push_back(Value::index(edges[number].leg.value));
      fill(point.thing, point_slot::onward, Value::index(c.add_list(out)));
      fill(point.thing, point_slot::arrivals, Value::index(c.add_list(in)));
    }
    fill(point.thing, point_slot::onward, empty);
    fill(point.thing, point_slot::arrivals, empty);
    fill(point.thing, point_slot::root, Value::index(point.thing.value));
  }
}

// The runs at a point that part there, as drawn: in a tree those that lead on; in a graph those that leave, or,
// where only one leaves, those that come in and join.
std::vector<ThingId> Runs::parting_runs(const Point& point, std::size_t& ends) const {
  std::vector<ThingId> runs, joining;
  ends = 0;
  if (network.form == Form::tree) {
    const Thing thing = program.things[point.thing.value];
    const Value list = program.inputs[thing.first_slot + point_slot::onward];
    if (!list.known() || !program.inputs[thing.first_slot + point_slot::inward].known()) return {};
    const Slice onward = program.lists[list.index()].items;
    ends = onward.count;
    for (u32 at = 0; at < onward.count; ++at) {
      const ThingId leg{program.list_items[onward.first + at].index()};
      if (program.things[leg.value].kind == network.run) runs.push_back(leg);
    }
    return runs;
  }
  for (const u32 number : point.edges)
    if (edges[number].plain) (edges[number].from == point.thing ? runs : joining).push_back(edges[number].leg);
  if (runs.size() + joining.size() < 3) return {};
  if (runs.size() < 2) runs = joining;
  ends = runs.size();
  return runs;
}

// Where one run comes in and several go on, the compiler sees the fitting.
void Runs::add_junction_fittings() {
  if (!network.branch.given()) return;
  const auto fittings_slot = c.slot_of(network.run, c.name("fittings"));
  const auto straight_slot = c.slot_of(network.run, c.name("straight"));
  if (!fittings_slot) return;
  const Field field = program.field(network.run, *fittings_slot);
  for (const NameId key : junction_order) {
    const Point& joined = points[point_number[junctions[key.value].point.value]];
    const Thing point = program.things[joined.thing.value];
    std::size_t ends = 0;
    const std::vector<ThingId> runs = parting_runs(joined, ends);
    if (ends < 2) continue;
    if (ends > 2 && !torn && network.form == Form::tree)
      c.fail(Code::network_cross, point.place, fmt::format("{} runs leave {}", ends, c.name_text(key)))
          .cures.push_back("it is counted as a branch for each; if they leave one after the other, name a second point");
    u32 straight_runs = 0;
    for (const ThingId run : runs) {
      const Thing thing = program.things[run.value];
      const bool straight = straight_slot && program.inputs[thing.first_slot + *straight_slot].known() &&
                            program.inputs[thing.first_slot + *straight_slot].yes();
      if (straight && ++straight_runs == 2)
        c.fail(Code::network_junction, thing.place, fmt::format("two runs go straight on at {}", c.name_text(key)));
      const ThingId fitting = straight ? network.through : network.branch;
      std::vector<Value> items;
      bool listed = false;
      if (const Value before = program.inputs[thing.first_slot + *fittings_slot]; before.known()) {
        const Slice old = program.lists[before.index()].items;
        for (u32 at = 0; at < old.count; ++at) {
          const Value record = program.list_items[old.first + at];
          const Value what = program.inputs[program.things[record.index()].first_slot + 1];
          if (what == Value::index(network.branch.value) || what == Value::index(network.through.value)) {
            listed = true;
            c.fail(Code::network_junction, program.things[record.index()].place, fmt::format("the fitting at the junction {} is counted already", c.name_text(key)))
                .cures.push_back("leave it out; say `straight` on the run that goes through");
          }
          items.push_back(record);
        }
      }
      if (listed) continue;
      const Cursor where = edges.front().where;
      const ThingId record = c.new_record(field, run, static_cast<u32>(items.size() + 1), where);
      Thing& made = program.things.edit(record.value);
      made.implied = true;
      made.place = thing.place;
      program.inputs.edit(made.first_slot) = Value::number(1);
      program.inputs.edit(made.first_slot + 1) = Value::index(fitting.value);
      program.inputs.edit(made.first_slot + 2) = Value::yes_no(true);
      items.push_back(Value::index(record.value));
      program.inputs.edit(thing.first_slot + *fittings_slot) = Value::index(c.add_list(items));
    }
  }
  // A run without fittings has an empty list, not an unknown one.
  for (const Edge& edge : edges) {
    if (!edge.plain) continue;
    Value& input = program.inputs.edit(program.things[edge.leg.value].first_slot + *fittings_slot);
    if (input.is(State::unstated)) input = Value::index(c.add_list({}));
  }
}

// The library asks after ports through the kind `port`, if it declares one.
void Checker::list_ports(NetworkId id) {
  const Symbol* const symbol = known(Symbol::What::kind, name("port"));
  if (symbol == nullptr) return;
  const KindId port{symbol->index};
  const auto slot = [&](std::string_view word) { return slot_of(port, name(word)); };
  const auto thing_slot = slot("thing"), name_slot = slot("name"), connected_slot = slot("connected"), denied_slot = slot("denied");
  if (!thing_slot || !name_slot || !connected_slot || !denied_slot) return;
  const u32 last = program.things.size();
  for (u32 at = first_thing; at < last; ++at) {
    const Thing thing = program.things[at];
    if (!thing.in_job || thing.owner.given()) continue;
    const Kind& kind = program.kinds[thing.kind.value];
    for (u32 n = 0; n < kind.joins.count; ++n) {
      const Join join = program.joins[kind.joins.first + n];
      if (join.network != id) continue;
      for (u32 end = 0; end < (join.through ? 2u : 1u); ++end) {
        const u16 port_slot = end == 0 ? join.from_slot : join.to_slot;
        const NameId port_name = program.fields[kind.fields.first + port_slot].name;
        const ThingId made = add_thing(port, program.kinds[port.value].plain, name(fmt::format("{}.{}", name_text(thing.name), name_text(port_name))), thing.place);
        Thing& record = program.things.edit(made.value);
        record.in_job = true;
        record.implied = true;
        record.number = thing.number;
        const bool denied = program.inputs[thing.first_slot + port_slot].is(State::none);
        program.inputs.edit(record.first_slot + *thing_slot) = Value::index(at);
        program.inputs.edit(record.first_slot + *name_slot) = Value::index(port_name.value);
        program.inputs.edit(record.first_slot + *connected_slot) = Value::yes_no(connected_ports.contains((static_cast<u64>(at) << 16) | port_slot));
        program.inputs.edit(record.first_slot + *denied_slot) = Value::yes_no(denied);
      }
    }
  }
}
}  // namespace dripleg::meaning
