#include "library_reader.hpp"
#include "quantities/print.hpp"
#include "quantities/unit_reader.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::quantities;
using test::Library;
using test::library;

namespace {
Library small() {
  Library one;
  CHECK(!one.catalogue.declare_base(one.names, one.name("span")));
  CHECK(!one.catalogue.declare_base(one.names, one.name("beat")));
  CHECK(!one.catalogue.declare_formula(one.names, one.name("count"), "1"));
  CHECK(!one.catalogue.declare_formula(one.names, one.name("pace"), "span / beat"));
  CHECK(!one.catalogue.declare_is(one.names, one.name("mark"), one.name("span"), {.level = Level::level}));
  CHECK(!one.catalogue.declare_base_unit(one.names, one.name("ell"), one.name("span")));
  return one;
}
std::string headline(const Catalogue::Outcome& outcome) { return outcome ? outcome->headline : "fine"; }
}  // namespace

TEST_CASE("formulas of dimensions") {
  Library one = small();
  auto& catalogue = one.catalogue;
  const auto vector = [&](std::string_view name) { return catalogue[one.dimension(name)].vector; };
  CHECK(!catalogue.declare_formula(one.names, one.name("a"), "span^2 / (beat * span)"));
  CHECK(vector("a") == vector("pace"));
  CHECK(!catalogue.declare_formula(one.names, one.name("b"), "1 / beat^2"));
  CHECK(vector("b").power[1] == -2);
  CHECK(!catalogue.declare_formula(one.names, one.name("c"), "(span / beat)^2"));
  CHECK(vector("c") == *power(vector("pace"), 2));
  CHECK(headline(catalogue.declare_formula(one.names, one.name("d"), "spam / beat")) == "no dimension is called `spam`");
  const auto near = catalogue.declare_formula(one.names, one.name("d"), "spam / beat");
  CHECK(near->cures.at(0) == "did you mean `span`");
  CHECK(near->within == base::Span{0, 4});
  const auto level = catalogue.declare_formula(one.names, one.name("d"), "beat * mark");
  CHECK(headline(level) == "`mark` is a level and has no place in a product");
  CHECK(level->cures.at(0) == "write `span`");
  CHECK(headline(catalogue.declare_formula(one.names, one.name("d"), "span *")) == "a dimension is missing here");
  CHECK(headline(catalogue.declare_formula(one.names, one.name("pace"), "span")) == "there is already a dimension `pace`");
  CHECK(!one.dimension("d").given());
}

TEST_CASE("traits that do not fit together") {
  Library one = small();
  auto& catalogue = one.catalogue;
  const auto is = [&](std::string_view parent, Traits traits) {
    return headline(catalogue.declare_is(one.names, one.name("x"), one.name(parent), traits));
  };
  CHECK(is("mark", {}) == "`mark` is a level already; nothing can be made of it");
  CHECK(is("span", {.share = true}) == "`x` is no plain number, so it can be no share");
  CHECK(is("span", {.level = Level::level, .apart = true}) == "`x` cannot be apart and a level at once");
  CHECK(is("count", {.angle = true}) == "`x` must be apart to be an angle");
  CHECK(headline(catalogue.declare_base(one.names, one.name("x"), {.level = Level::level})).starts_with("`x` stands on its own"));
  Traits traits;
  CHECK(add_trait(traits, "true_zero"));
  CHECK(add_trait(traits, "level"));
  CHECK(traits.level == Level::true_zero);
  CHECK(!add_trait(traits, "shown"));
}

TEST_CASE("twelve bases and no more") {
  Library one;
  for (int i = 0; i < 12; ++i) CHECK(!one.catalogue.declare_base(one.names, one.name("base" + std::to_string(i))));
  CHECK(headline(one.catalogue.declare_base(one.names, one.name("last"))) == "`last` is one base dimension too many: 12 is the most");
  CHECK(headline(one.catalogue.declare_is(one.names, one.name("last"), one.name("base0"), {.apart = true})).starts_with("`last` is one base"));
}

TEST_CASE("units that cannot be declared") {
  Library one = small();
  auto& catalogue = one.catalogue;
  const NameId name = one.name("new");
  CHECK(headline(catalogue.declare_unit(one.names, name, "12 elk")) == "no unit is called `elk`");
  CHECK(catalogue.declare_unit(one.names, name, "12 elk")->within == base::Span{3, 6});
  CHECK(headline(catalogue.declare_unit(one.names, name, "-1 ell")) == "a unit's size must be above zero");
  CHECK(headline(catalogue.declare_unit(one.names, name, "0 ell")) == "a unit's size must be above zero");
  CHECK(headline(catalogue.declare_unit(one.names, name, "1/0 ell")) == "`1/0` divides by zero");
  CHECK(headline(catalogue.declare_unit(one.names, name, "? ell")) == "a number belongs here");
  CHECK(headline(catalogue.declare_unit(one.names, one.name("ell"), "2 ell")) == "there is already a unit `ell`");
  CHECK(headline(catalogue.declare_base_unit(one.names, name, one.name("span"))) == "`ell` is the base unit of `span` already");
  CHECK(headline(catalogue.declare_base_unit(one.names, name, one.name("pace"))).starts_with("`pace` is no base dimension"));
  CHECK(headline(catalogue.declare_base_unit(one.names, name, one.name("mark"))).starts_with("a unit of `mark` needs a step"));
  CHECK(headline(catalogue.declare_level_unit(one.names, name, one.name("span"), "1 ell", {})).starts_with("`span` is no level"));
  CHECK(!catalogue.declare_level_unit(one.names, one.name("rung"), one.name("mark"), "2 ell", "5 ell"));
  CHECK(headline(catalogue.declare_unit(one.names, name, "3 rung")).starts_with("`rung` reads a scale"));
  CHECK(headline(catalogue.declare_level_unit(one.names, name, one.name("mark"), "1 ell", "-5 ell")).starts_with("the zero of `new`"));
  CHECK(headline(catalogue.declare_sized_unit(one.names, name, one.name("beat"), "1 ell")) ==
        "`ell` is a unit of span, where beat is wanted");
  CHECK(!catalogue.add_alias(one.names, catalogue.find_unit(one.name("ell")), one.name("yell")));
  CHECK(headline(catalogue.add_alias(one.names, catalogue.find_unit(one.name("rung")), one.name("yell"))) ==
        "`yell` is already another name of the unit `ell`");
  CHECK(headline(catalogue.add_shown(one.names, one.dimension("beat"), {.unit = "ell", .from = {}, .prints = {}})) == "`ell` is a unit of span, where beat is wanted");
  CHECK(!catalogue.find_unit(name).given());
}

TEST_CASE("what does not fit in a fraction is marked, and close") {
  Library one = small();
  std::string name = "a";
  CHECK(!one.catalogue.declare_unit(one.names, one.name(name), "1.000000000000000001 ell"));
  for (int i = 1; i < 8; ++i) {
    const std::string next(1, static_cast<char>('a' + i));
    CHECK(!one.catalogue.declare_unit(one.names, one.name(next), "1.000000000000000001 " + name));
    name = next;
  }
  CHECK(!one.unit("h").measure.is_exact);
  CHECK(one.unit("h").measure.factor == doctest::Approx(1).epsilon(1e-14));
  CHECK(value_of(*read_number("3"), one.unit("h").measure) == doctest::Approx(3).epsilon(1e-14));
}

TEST_CASE("an image holds the whole catalogue, and more can be declared on top") {
  const Catalogue::Image image = library().catalogue.image();
  Catalogue above(image);
  base::Names names = library().names;
  Problem problem;
  const auto words = library().catalogue.unit_names(names);
  CHECK(above.unit_names(names) == words);
  for (const auto word : words) {
    const auto a = read_unit(names, above, word, problem), b = read_unit(names, library().catalogue, word, problem);
    REQUIRE(a);
    REQUIRE(b);
    CHECK(a->factor == b->factor);
    CHECK(a->vector == b->vector);
  }
  CHECK(Printer(names, above).value(100, above.find_dimension(names.find("pressure"))) ==
        Printer(library().names, library().catalogue).value(100, library().dimension("pressure")));

  const u32 before = above.unit_count();
  CHECK(!above.declare_unit(names, names.intern("cord"), "128 ft3"));
  CHECK(above.unit_count() == before + 1);
  CHECK(read_unit(names, above, "cord/h", problem)->factor == doctest::Approx(128 * 0.028316846592 / 3600).epsilon(1e-14));
  CHECK(!library().catalogue.find_unit(names.find("cord")).given());
  CHECK(headline(above.declare_unit(names, names.find("psi"), "1 Pa")) == "there is already a unit `psi`");
  CHECK(headline(above.add_reads(names, above.find_dimension(names.find("pressure")), names.intern("pound"), "psi")).starts_with("`pressure` belongs to the library"));
  CHECK(!above.declare_formula(names, names.intern("impulse"), "force * time"));
  CHECK(above[above.find_dimension(names.find("impulse"))].vector == read_unit(names, above, "N*s", problem)->vector);
}
