// Networks whose flows are known from elsewhere: tests/facts/networks says from where.
#include "laws.hpp"

#include "networks/certificate.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::networks;
using namespace dripleg::networks::test;

namespace {
const Json& small() { static const Json read = facts("networks.json"); return read; }
const Json& extra() { static const Json read = facts("networks_extra.json"); return read; }

const Json& entry(const Json& list, const std::string& id) {
  for (const Json& one : list)
    if (one["id"] == id) return one;
  FAIL("no network ", id);
  return list;
}

struct Tally {
  u32 solved = 0, most_rounds = 0;
  double calls_a_leg = 0, most_calls = 0, worst = 0;
  void add(const Named& named, const Balance& result) {
    ++solved;
    const double calls = static_cast<double>(result.law_calls) / static_cast<double>(named.net.legs.size());
    calls_a_leg += calls;
    most_calls = std::max(most_calls, calls);
    for (const PieceResult& piece : result.pieces) most_rounds = std::max(most_rounds, piece.rounds);
  }
  void say(const char* what) const {
    MESSAGE(std::string(what), ": ", solved, " solved, rounds at most ", most_rounds, ", law calls a leg ", calls_a_leg / solved, " mean, ",
            most_calls, " at most, largest error ", worst);
  }
};

bool all_balanced(const Balance& result) {
  return std::all_of(result.pieces.begin(), result.pieces.end(), [](const PieceResult& piece) { return has_flows(piece.outcome); });
}
void check_flows(const Named& named, const Balance& result, const Json& expected, Tally& tally, double share, double least) {
  for (const auto& [id, flow] : expected.items()) {
    const double want = flow, got = result.flows[named.legs.at(id)];
    CAPTURE(id); CAPTURE(want); CAPTURE(got);
    CHECK(std::fabs(got - want) <= std::max(share * std::fabs(want), least));
    tally.worst = std::max(tally.worst, std::fabs(got - want));
  }
}
void check_certified(Named& named, const Balance& result) {
  const Certificate certificate = certify(named.net, named, result.flows, 0.001);
  CAPTURE(certificate.imbalance); CAPTURE(certificate.misfit);
  CHECK(certificate.right);
}

// The networks of networks.json that the variants are made of; two of them differ from an entry by one thing.
Named base_network(const std::string& id) {
  if (id == "B3_four_zone_two_zones_closed") {
    Named named = small_network(entry(small()["networks"], "B_four_zone"), Friction::blend);
    for (const char* zone : {"Z2", "Z3"}) named.net.legs[named.legs.at(zone)].shut = true;
    return named;
  }
  if (id == "B4_four_zone_speed80") {
    Json slow = entry(small()["networks"], "B_four_zone");
    for (Json& link : slow["links"])
      if (link["type"] == "pump") link["speed"] = 0.8;
    return small_network(slow, Friction::blend);
  }
  return small_network(entry(small()["networks"], id), Friction::blend);
}
bool is_given(const std::string& id) {
  if (id.starts_with("B3_") || id.starts_with("B4_")) return true;
  return std::any_of(small()["networks"].begin(), small()["networks"].end(), [&](const Json& one) { return one["id"] == id; });
}
}  // namespace

TEST_CASE("small networks, the engine's own friction law: the engine's flows and the independent solver's") {
  Tally against_engine, against_solver;
  for (const Json& network : small()["networks"]) {
    CAPTURE(network["id"].get<std::string>());
    Named named = small_network(network, Friction::engine);
    const Balance result = balance(named.net, named, within(0.001));
    CHECK(all_balanced(result));
    against_solver.add(named, result);
    against_engine.add(named, result);
    check_flows(named, result, network["flows"]["engine"], against_engine, 0.001, 1e-3);
    check_flows(named, result, network["flows"]["swamee_jain"], against_solver, 1e-5, 1e-5);
    check_certified(named, result);
    for (const auto& [name, head] : network["heads"]["swamee_jain"].items()) {
      CAPTURE(name);
      CHECK(result.heads[named.points.at(name)] == doctest::Approx(head.get<double>()).epsilon(1e-5).scale(1));
    }
  }
  against_engine.say("engine"), against_solver.say("Swamee-Jain");
}

TEST_CASE("small networks, Colebrook and Churchill") {
  for (const auto& [friction, name] : {std::pair{Friction::jump, "colebrook"}, {Friction::churchill, "churchill"}}) {
    Tally tally;
    for (const Json& network : small()["networks"]) {
      CAPTURE(network["id"].get<std::string>());
      Named named = small_network(network, friction);
      const Balance result = balance(named.net, named, within(0.001));
      CHECK(all_balanced(result));
      tally.add(named, result);
      check_flows(named, result, network["flows"][name], tally, 1e-5, 1e-5);
      check_certified(named, result);
    }
    tally.say(name);
  }
}

TEST_CASE("friction laws agree within half a percent in turbulent flow") {
  for (const Json& network : small()["networks"]) {
    Named named = small_network(network, Friction::blend);
    const Balance result = balance(named.net, named, within(0.001));
    for (const auto& [id, re] : network["reynolds"].items()) {
      const double want = network["flows"]["colebrook"][id], got = result.flows[named.legs.at(id)];
      CAPTURE(id);
      if (re.get<double>() > 4000) CHECK(got == doctest::Approx(want).epsilon(0.005));
      else CHECK(got == doctest::Approx(want).epsilon(0.02).scale(0.01));
    }
  }
}

TEST_CASE("three parallel pipes between two fixed heads: White, Fluid Mechanics, example 6.18") {
  Named named = small_network(entry(small()["networks"], "C_white_parallel"), Friction::jump);
  const Balance result = balance(named.net, named, within(0.001));
  const double printed[] = {62.5, 25.9, 11.4};
  for (u32 leg = 0; leg < 3; ++leg) CHECK(result.flows[leg] == doctest::Approx(printed[leg]).epsilon(0.005));
}

TEST_CASE("awkward networks") {
  Tally tally, engine;
  for (const Json& network : extra()["networks"]) {
    const std::string id = network["id"];
    CAPTURE(id);
    Named named = extra_network(network, Friction::blend);
    const Balance result = balance(named.net, named, within(0.001));
    CHECK(all_balanced(result));
    tally.add(named, result);
    check_flows(named, result, network["flow"], tally, 2e-5, 1e-3);
    check_certified(named, result);
    if (!network.contains("engine_flow")) continue;
    Named other = extra_network(network, Friction::engine);
    const Balance theirs = balance(other.net, other, within(0.001));
    engine.add(other, theirs);
    check_flows(other, theirs, network["engine_flow"], engine, 5e-5, 1e-3);
  }
  tally.say("awkward"), engine.say("awkward, by the engine");
}

TEST_CASE("large networks, some circuits shut: from the neighbouring case and cold") {
  for (const char* id : {"L1_direct_200", "L3_plant_2500"}) {
    CAPTURE(id);
    const Json& network = entry(extra()["networks"], id);
    Named named = extra_network(network, Friction::blend);
    const Balance open = balance(named.net, named, within(0.001));
    for (const Json& leg : network["world_2"]["shut"]) named.net.legs[named.legs.at(leg)].shut = true;
    Tally cold, warm, back;
    const Balance from_cold = balance(named.net, named, within(0.001));
    const Balance from_open = balance(named.net, named, within(0.001), open.flows);
    cold.add(named, from_cold), warm.add(named, from_open);
    check_certified(named, from_cold);
    check_certified(named, from_open);
    for (u32 leg = 0; leg < named.net.legs.size(); ++leg)
      CHECK(std::fabs(from_cold.flows[leg] - from_open.flows[leg]) <= flow_tolerance(from_cold.flows[leg]));
    for (Leg& leg : named.net.legs) leg.shut = false;
    const Balance again = balance(named.net, named, within(0.001), from_cold.flows);
    back.add(named, again);
    check_certified(named, again);
    for (u32 leg = 0; leg < named.net.legs.size(); ++leg)
      CHECK(std::fabs(again.flows[leg] - open.flows[leg]) <= flow_tolerance(open.flows[leg]));
    cold.say("cold"), warm.say("warm"), back.say("opened again");
  }
}

TEST_CASE("each leg shut, and each leg with a one-way law against its flow") {
  Tally shut, against, skipped;
  for (const Json& variant : extra()["variants"]) {
    const std::string id = variant["network"], leg = variant["shut"];
    if (!is_given(id)) continue;
    CAPTURE(id); CAPTURE(leg);
    Named named = base_network(id);
    const u32 index = named.legs.at(leg);
    const Balance before = balance(named.net, named, within(0.001));
    const double was = before.flows[index];
    named.net.legs[index].shut = true;
    const Balance result = balance(named.net, named, within(0.001));
    CHECK(all_balanced(result));
    shut.add(named, result);
    check_flows(named, result, variant["flow"], shut, 1e-5, 1e-4);
    check_certified(named, result);

    Leg& turned = named.net.legs[index];
    turned.shut = false;
    if (was == 0) continue;
    turned.one_way = true;
    if (was > 0) {
      std::swap(turned.from, turned.to);
      named.drops[index] = [drop = named.drops[index]](double q) { return -drop(-q); };
    }
    const Balance held = balance(named.net, named, within(0.001));
    CHECK(all_balanced(held));
    against.add(named, held);
    check_flows(named, held, variant["flow"], against, 1e-5, 1e-3);
    check_certified(named, held);

    turned.one_way = true;                               // and along its flow: as if it were not there
    std::swap(turned.from, turned.to);
    named.drops[index] = [drop = named.drops[index]](double q) { return -drop(-q); };
    const Balance free = balance(named.net, named, within(0.001));
    for (u32 i = 0; i < free.flows.size(); ++i)
      CHECK(std::fabs(free.flows[i] - (i == index ? std::fabs(before.flows[i]) : before.flows[i])) <= 1e-3);
  }
  shut.say("shut"), against.say("one-way, against");
  CHECK(shut.solved >= 59);
}
