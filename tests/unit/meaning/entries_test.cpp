// What a job states: forms, keys, records, several alike, parts of a catalogue, stock amended, values that are
// not known or known within bounds.
#include "tests/unit/meaning/compiling.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::meaning;
using meaning::test::Compiled;

namespace {
constexpr std::string_view yard = R"(
kind fuel stock { needs value length, may dense yes_no = no }
fuel gas_one { value 3 ft, per practice "as sold" }
fuel gas_two { value 5 ft, per practice "as sold" }
kind burner {
  needs height   length at least 0 ft at most 20 ft { spread 10 % }
  needs burns    fuel
  needs rate     (of_fuel fuel) (most power)
  needs allowed  range of pressure
  may   holds    (volume volume) [at (under pressure)]
  may   derate   (loss share) above (start length)
  may   place    one of [indoors, outdoors] = indoors
  may   sizes    list of size
  may   near     burner or none
  may   note     text or none
  may   on       date or none
  may   bare     yes_no = no
  may   hose {
    needs length length at least 0 ft
    may   new    yes_no = yes
  }
  may   many check {
    needs found pressure
    may   by    text or none
  }
  gives doubled length = height * 2
}
kind site one { needs level length }
burner small { per maker "a sheet", height 1 ft, rate gas_one 10 kW, note "from the sheet" }
)";

struct Job {
  Compiled compiled;
  explicit Job(std::string_view text) : compiled(yard, text) {}

  double number(std::string_view name, std::string_view field, u32 at = 0) const {
    const Value value = compiled.input(name, field, at);
    REQUIRE(value.known());
    return value.number();
  }
  // Of a field of several entries: its records, in order.
  std::vector<ThingId> records(std::string_view name, std::string_view field) const {
    std::vector<ThingId> found;
    const Value list = compiled.input(name, field);
    REQUIRE(list.known());
    const Slice items = compiled.program.lists[list.index()].items;
    for (u32 at = 0; at < items.count; ++at) found.push_back(ThingId{compiled.program.list_items[items.first + at].index()});
    return found;
  }
  Value of(ThingId thing, std::string_view field) const {
    return compiled.program.inputs[compiled.program.things[thing.value].first_slot + compiled.slot(thing, field).value()];
  }
  std::string_view text(Value value) const { return compiled.program.text(NameId{value.index()}); }
};
// The notices of a burner that has this as its block.
std::string codes_of(std::string_view block) {
  return Job("burner B { " + std::string(block) + " }\n").compiled.codes();
}
constexpr double foot = 0.3048;
}  // namespace

TEST_CASE("plain fields hold what is stated, in base units, with the words that were typed") {
  const Job job("burner B { height 4 ft 6 in, burns gas_two, place outdoors, on 2026-02-03, bare, note \"by the door\" }\n");
  CHECK(job.compiled.said() == "");
  CHECK(job.number("B", "height") == doctest::Approx(4.5 * foot));
  CHECK(job.number("B", "burns") == job.compiled.thing("gas_two").value);
  CHECK(job.text(job.compiled.input("B", "place")) == "outdoors");
  CHECK(job.text(job.compiled.input("B", "note")) == "by the door");
  CHECK(job.number("B", "on") == 20487);
  CHECK(job.number("B", "bare") == 1);
  CHECK(job.compiled.input("B", "near").is(State::unstated));
  const ThingId burner = job.compiled.thing("B");
  const Stated& stated = job.compiled.program.stated[job.compiled.program.things[burner.value].first_slot + job.compiled.slot(burner, "height").value()];
  CHECK(job.compiled.program.text(stated.as_typed) == "4 ft 6 in");
}

TEST_CASE("none is stated, and is not the same as nothing") {
  const Job job("burner A { near none }\nburner B { near A }\n");
  CHECK(job.compiled.said() == "");
  CHECK(job.compiled.input("A", "near").is(State::none));
  CHECK(job.number("B", "near") == job.compiled.thing("A").value);
  CHECK(codes_of("height none") == "entry.value_wrong");
}

TEST_CASE("an entry of several parts is read by its form") {
  const Job job("burner A { holds 5 gal at 3 psi }\nburner B { holds 5 gal, derate 4 % above 2000 ft }\n");
  CHECK(job.compiled.said() == "");
  const ThingId with{job.compiled.input("A", "holds").index()}, without{job.compiled.input("B", "holds").index()};
  CHECK(job.of(with, "under").number() == doctest::Approx(3 * 6894.757293168));
  CHECK_FALSE(job.of(without, "under").known());
  CHECK(job.of(without, "volume").number() == job.of(with, "volume").number());
  const ThingId derate{job.compiled.input("B", "derate").index()};
  CHECK(job.of(derate, "loss").number() == doctest::Approx(0.04));
  CHECK(job.of(derate, "start").number() == doctest::Approx(2000 * foot));
}

TEST_CASE("what is not in the form of its field is refused") {
  CHECK(codes_of("derate 4 % below 2000 ft") == "entry.form");
  CHECK(codes_of("derate 4 %") == "entry.form");
  CHECK(codes_of("derate 4 % above 2000 psi") == "entry.unit_wrong");
  CHECK(codes_of("holds 5 gal at 3 psi 4 psi") == "entry.form");
  CHECK(codes_of("height 4 ft 5 psi") == "entry.left_over");
  CHECK(codes_of("height") == "entry.value_missing");
  CHECK(codes_of("height 4") == "entry.unit_missing");
  CHECK(codes_of("height 4 psi") == "entry.unit_wrong");
  CHECK(codes_of("height gas_one") == "entry.value_wrong");
  CHECK(codes_of("place upstairs") == "names.unknown_member");
  CHECK(codes_of("burns gas_three") == "names.unknown_thing");
  CHECK(codes_of("near gas_one") == "names.wrong_kind");
  CHECK(codes_of("hight 4 ft") == "names.unknown_field");
  CHECK(codes_of("doubled 4 ft") == "entry.value_wrong");
  CHECK(codes_of("height 4 ft, height 5 ft") == "entry.given_twice");
}

TEST_CASE("a keyed field has an entry for each key") {
  const Job job("burner B { rate gas_one 10 kW, rate gas_two 12 kW }\n");
  CHECK(job.compiled.said() == "");
  const auto rates = job.records("B", "rate");
  REQUIRE(rates.size() == 2);
  CHECK(job.of(rates[0], "of_fuel").index() == job.compiled.thing("gas_one").value);
  CHECK(job.of(rates[0], "most").number() == doctest::Approx(10000));
  CHECK(job.of(rates[1], "of_fuel").index() == job.compiled.thing("gas_two").value);
  CHECK(job.of(rates[1], "most").number() == doctest::Approx(12000));
}

TEST_CASE("a keyed field without its key holds for every key, and not beside one") {
  const Job job("burner B { rate 11 kW }\n");
  CHECK(job.compiled.said() == "");
  const auto rates = job.records("B", "rate");
  REQUIRE(rates.size() == 1);
  CHECK(job.of(rates[0], "of_fuel").is(State::none));
  CHECK(codes_of("rate 11 kW, rate gas_one 10 kW") == "entry.given_twice");
  CHECK(codes_of("rate gas_one 10 kW, rate 11 kW") == "entry.given_twice");
  CHECK(codes_of("rate gas_one 11 kW, rate gas_one 10 kW") == "entry.given_twice");
}

TEST_CASE("a record has a block, of one or of many") {
  const Job job("burner B {\n  hose { length 4 ft }\n  check { found 2 psi, by \"the fitter\" }\n  check { found 3 psi }\n}\n");
  CHECK(job.compiled.said() == "");
  const ThingId hose{job.compiled.input("B", "hose").index()};
  CHECK(job.of(hose, "length").number() == doctest::Approx(4 * foot));
  CHECK(job.of(hose, "new").is(State::unstated));
  CHECK(job.compiled.program.things[hose.value].owner == job.compiled.thing("B"));
  const auto checks = job.records("B", "check");
  REQUIRE(checks.size() == 2);
  CHECK(job.of(checks[0], "found").number() < job.of(checks[1], "found").number());
  CHECK(job.text(job.of(checks[0], "by")) == "the fitter");
  CHECK(codes_of("hose { lenght 4 ft }") == "names.unknown_field");
  CHECK(codes_of("hose { length -4 ft }") == "entry.out_of_bounds");
  CHECK(codes_of("hose { length 4 ft }, hose { length 5 ft }") == "entry.given_twice");
}

TEST_CASE("several alike are things of their own, named one by one or numbered") {
  const Job job("burner A B { height 2 ft }\nburner C 3 of { height 4 ft }\nburner D { near C[2] }\n");
  CHECK(job.compiled.said() == "");
  CHECK(job.number("A", "height") == job.number("B", "height"));
  CHECK_FALSE(job.compiled.thing("A") == job.compiled.thing("B"));
  for (u32 at = 1; at <= 3; ++at) CHECK(job.number("C", "height", at) == doctest::Approx(4 * foot));
  CHECK_FALSE(job.compiled.thing("C", 4).given());
  CHECK_FALSE(job.compiled.thing("C", 0).given());
  CHECK(job.number("D", "near") == job.compiled.thing("C", 2).value);
  CHECK(Job("burner C 3 of { height 4 ft }\nburner D { near C[4] }\n").compiled.codes() == "names.unknown_thing");
  CHECK(Job("burner A { height 4 ft }\nburner A { height 5 ft }\n").compiled.codes() == "names.declared_twice");
}

TEST_CASE("a thing that is a part has what the part has, and its own entries win") {
  const Job job("burner A is small { }\nburner B is small { height 3 ft, rate gas_two 9 kW }\n");
  CHECK(job.compiled.said() == "");
  CHECK(job.number("A", "height") == doctest::Approx(foot));
  CHECK(job.number("B", "height") == doctest::Approx(3 * foot));
  CHECK(job.text(job.compiled.input("B", "note")) == "from the sheet");
  CHECK(job.records("A", "rate").size() == 1);
  const ThingId part = job.compiled.thing("small"), made = job.compiled.thing("A");
  CHECK(job.compiled.program.things[made.value].part == part);
  CHECK(job.compiled.program.things[made.value].in_job);
  CHECK_FALSE(job.compiled.program.things[part.value].in_job);
  CHECK(Job("burner A is smal { }\n").compiled.codes() == "names.unknown_thing");
  CHECK(Job("burner A is gas_one { }\n").compiled.codes() == "names.wrong_kind");
}

TEST_CASE("a job that names stock again amends it, entry by entry") {
  const Job job("fuel gas_one { value 4 ft, per \"the letter\" }\n");
  CHECK(job.compiled.said() == "");
  CHECK(job.number("gas_one", "value") == doctest::Approx(4 * foot));
  CHECK(job.number("gas_two", "value") == doctest::Approx(5 * foot));
  u32 named = 0;
  for (u32 at = 0; at < job.compiled.program.things.size(); ++at)
    named += job.compiled.program.text(job.compiled.program.things[at].name) == "gas_one" ? 1 : 0;
  CHECK(named == 1);
  CHECK(Job("fuel gas_oen { value 4 ft }\n").compiled.notices.size() == 1);
}

TEST_CASE("one of a kind there is one of") {
  const Job job("site { level 4 ft }\n");
  CHECK(job.compiled.said() == "");
  CHECK(Job("site { level 4 ft }\nsite { level 5 ft }\n").compiled.codes() == "entry.one_only");
}

TEST_CASE("a question mark is a hole, with its bounds") {
  const Job job("burner B { height ? ft, burns ?, hose { length ? } }\n");
  CHECK(job.compiled.said() == "");
  const Program& program = job.compiled.program;
  REQUIRE(program.holes.size() == 3);
  CHECK(program.holes[0].written);
  CHECK(program.holes[0].thing == job.compiled.thing("B"));
  CHECK(program.holes[0].bounded_low);
  CHECK(program.holes[0].low == 0);
  CHECK(program.holes[0].bounded_high);
  CHECK(program.holes[0].high == doctest::Approx(20 * foot));
  CHECK(job.compiled.sources.text(program.holes[0].place).substr(0, 1) == "?");
  CHECK(codes_of("height ? psi") == "entry.unit_wrong");
}

TEST_CASE("a range in a field of one value is a variable between its ends") {
  const Job job("burner B { height 4 ft .. 6 ft }\n");
  CHECK(job.compiled.said() == "");
  const Value input = job.compiled.input("B", "height");
  REQUIRE(input.is(State::variable));
  const Variable& variable = job.compiled.program.variables[input.payload()];
  CHECK(variable.kind == VariableKind::range);
  CHECK(variable.low == doctest::Approx(4 * foot));
  CHECK(variable.high == doctest::Approx(6 * foot));
  CHECK(codes_of("height 6 ft .. 4 ft") != "");
  CHECK(codes_of("height 4 ft .. 30 ft") == "entry.out_of_bounds");
}

TEST_CASE("a range in a field of ranges is a value") {
  const Job job("burner B { allowed 3 .. 10 inwc }\n");
  CHECK(job.compiled.said() == "");
  const Range& range = job.compiled.program.ranges[job.compiled.input("B", "allowed").index()];
  CHECK(range.low.number() == doctest::Approx(3 * 249.08891));
  CHECK(range.high.number() == doctest::Approx(10 * 249.08891));
}

TEST_CASE("about takes the spread of its field, and +- its own") {
  const Job job("burner A { height about 10 ft }\nburner B { height 10 ft +- 25 % }\nburner C { height 10 ft +- 6 in }\n");
  CHECK(job.compiled.said() == "");
  const auto ends = [&](std::string_view name) {
    const Value input = job.compiled.input(name, "height");
    REQUIRE(input.is(State::variable));
    const Variable& variable = job.compiled.program.variables[input.payload()];
    CHECK(variable.kind == VariableKind::spread);
    CHECK(variable.nominal == doctest::Approx(10 * foot));
    return std::pair{variable.low / foot, variable.high / foot};
  };
  CHECK(ends("A").first == doctest::Approx(9));
  CHECK(ends("A").second == doctest::Approx(11));
  CHECK(ends("B").first == doctest::Approx(7.5));
  CHECK(ends("B").second == doctest::Approx(12.5));
  CHECK(ends("C").first == doctest::Approx(9.5));
  CHECK(ends("C").second == doctest::Approx(10.5));
  CHECK(codes_of("hose { length about 4 ft }") == "entry.value_wrong");
}

TEST_CASE("a value outside the bounds of its field is refused") {
  CHECK(codes_of("height -1 ft") == "entry.out_of_bounds");
  CHECK(codes_of("height 21 ft") == "entry.out_of_bounds");
  CHECK(codes_of("height 0 ft") == "");
  CHECK(codes_of("height 20 ft") == "");
}

TEST_CASE("a list takes what is in its brackets") {
  const Job job("burner B { sizes [1/2 in, 3/4 in, 1-1/4 in] }\n");
  CHECK(job.compiled.said() == "");
  const Slice items = job.compiled.program.lists[job.compiled.input("B", "sizes").index()].items;
  REQUIRE(items.count == 3);
  CHECK(job.text(job.compiled.program.list_items[items.first + 2]) == "1-1/4 in");
}

TEST_CASE("only a library may declare, and it must say on what basis") {
  CHECK(Job("kind lamp { needs height length }\n").compiled.codes() == "names.only_library");
  CHECK(Compiled("function f(x number) gives number = x * 2\n").codes() == "names.no_source");
  CHECK(Compiled("function f(x number) gives number = x * 2 per nowhere \"1\"\n").codes() == "names.unknown_document");
}
