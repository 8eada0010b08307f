#include "quantities/catalogue.hpp"

#include "quantities/comparison.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace dripleg::quantities {
Catalogue::Catalogue(const Image& image)
    : bases_(image.bases), dimensions_(image.dimensions), units_(image.units), expressions_(image.expressions),
      reads_(image.reads), shown_(image.shown), named_(image.named), unit_words_(image.unit_words),
      dimension_table_(image.dimension_slots), unit_table_(image.unit_slots) {}

Catalogue::Image Catalogue::image() const {
  const auto all = [](const auto& pool) { return pool.slice(0, pool.size()); };
  return {all(bases_),  all(dimensions_), all(units_),      all(expressions_),        all(reads_),
          all(shown_),  all(named_),      all(unit_words_), dimension_table_.slots(), unit_table_.slots()};
}

// ---- look-up ---------------------------------------------------------------------------------------
DimensionId Catalogue::find_dimension(NameId name) const {
  const auto found = dimension_table_.find(name);
  return found ? DimensionId{*found} : DimensionId{};
}

UnitId Catalogue::find_unit(NameId name) const {
  const auto found = unit_table_.find(name);
  return found ? UnitId{*found} : UnitId{};
}

DimensionId Catalogue::dimension_of(const Vector& vector, Level level) const {
  DimensionId first;
  for (u32 i = 0; i < dimensions_.size(); ++i) {
    const Dimension& dimension = dimensions_[i];
    if (dimension.vector != vector || dimension.level != level || dimension.share) continue;
    if (has_shown(dimension)) return {i};
    if (!first.given()) first = {i};
  }
  return first;
}

DimensionId Catalogue::dimension_for(const Vector& vector, Level level) {
  const DimensionId known = dimension_of(vector, level);
  if (known.given()) return known;
  Dimension dimension;
  dimension.vector = vector;
  dimension.level = level;
  return {dimensions_.push(dimension)};
}

DimensionId Catalogue::plain() { return dimension_for(Vector{}); }

DimensionId Catalogue::angle() const {
  for (u32 i = 0; i < bases_.size(); ++i)
    if (bases_[i].angle) return bases_[i].dimension;
  return {};
}

DimensionId Catalogue::difference_of(DimensionId level) {
  DimensionId at = level;
  while (dimensions_[at.value].level != Level::no && dimensions_[at.value].parent.given()) at = dimensions_[at.value].parent;
  return dimensions_[at.value].level == Level::no ? at : dimension_for(dimensions_[level.value].vector);
}

Vector Catalogue::plain_vector(const Vector& vector) const {
  Vector plain = vector;
  for (u32 i = 0; i < bases_.size(); ++i)
    if (bases_[i].apart) plain.power[i] = 0;
  return plain;
}

bool Catalogue::bears_apart(const Vector& vector) const {
  for (u32 i = 0; i < bases_.size(); ++i)
    if (bases_[i].apart && vector.power[i] != 0) return true;
  return false;
}

bool Catalogue::readable_in(const Vector& literal, const Vector& wanted) const {
  for (u32 i = 0; i < bases_.size(); ++i) {
    if (bases_[i].apart && literal.power[i] != 0) return false;
    if (bases_[i].angle && wanted.power[i] != 0) return false;
  }
  return literal == plain_vector(wanted);
}

const UnitExpression* Catalogue::read_as(DimensionId dimension, NameId word) const {
  return dimension.given() && word.given() ? read_as(dimension, word, find_unit(word), 0) : nullptr;
}

const UnitExpression* Catalogue::read_as(DimensionId id, NameId word, UnitId unit, u32 depth) const {
  static constexpr u32 deepest = 8;
  const Dimension& dimension = dimensions_[id.value];
  for (u32 at = dimension.reads; at != 0; at = reads_[at - 1].before) {
    const Reads& reads = reads_[at - 1];
    if (reads.word == word || (unit.given() && reads.unit == unit)) return &expressions_[reads.expression];
  }
  if (depth == deepest) return nullptr;
  if (dimension.parent.given() && !dimension.apart)
    if (const auto* found = read_as(dimension.parent, word, unit, depth + 1)) return found;
  for (u32 i = 0; i < dimension.named; ++i)
    if (const auto* found = read_as(named_[dimension.first_named + i], word, unit, depth + 1)) return found;
  return nullptr;
}

const Shown* Catalogue::shown_in(DimensionId id, double value, bool si) const {
  const Shown* lowest = nullptr;
  for (u32 at = dimensions_[id.value].shown; at != 0; at = shown_[at - 1].before) {
    const Shown& shown = shown_[at - 1];
    if (shown.si != si) continue;
    if (at_least(std::fabs(value), shown.from)) return &shown;
    lowest = &shown;
  }
  return lowest;
}

const Shown* Catalogue::shown_for(DimensionId id, double value, bool si) const {
  for (const bool system : {si, !si}) {
    DimensionId at = id;
    while (true) {
      if (const Shown* shown = shown_in(at, value, system)) return shown;
      const Dimension& dimension = dimensions_[at.value];
      if (!dimension.parent.given() || dimension.apart || dimensions_[dimension.parent.value].level != dimension.level) break;
      at = dimension.parent;
    }
  }
  return nullptr;
}

std::vector<std::string_view> Catalogue::shown_units(const base::Names& names, DimensionId dimension, bool si) const {
  std::vector<std::string_view> units;
  for (u32 at = dimensions_[dimension.value].shown; at != 0; at = shown_[at - 1].before)
    if (shown_[at - 1].si == si) units.push_back(names.text(shown_[at - 1].spelling));
  std::reverse(units.begin(), units.end());
  return units;
}

namespace {
void write_power(std::string& text, std::string_view name, int power) {
  text += name;
  if (power != 1) text += fmt::format("^{}", power);
}
}  // namespace

std::string Catalogue::describe(const base::Names& names, DimensionId id) const {
  const Dimension& dimension = dimensions_[id.value];
  return dimension.name.given() ? std::string(names.text(dimension.name)) : describe(names, dimension.vector, dimension.level);
}

std::string Catalogue::describe(const base::Names& names, const Vector& vector, Level level) const {
  const DimensionId known = dimension_of(vector, level);
  if (known.given() && dimensions_[known.value].name.given()) return std::string(names.text(dimensions_[known.value].name));
  // A dimension apart is said by its own name, with what it is besides taken out again.
  struct Factor {
    NameId name;
    int power;
  };
  std::vector<Factor> factors;
  std::array<int, most_bases> rest{};
  for (u32 i = 0; i < most_bases; ++i) rest[i] = vector.power[i];
  for (u32 i = 0; i < bases_.size(); ++i) {
    if (!bases_[i].apart || rest[i] == 0) continue;
    const Dimension& own = dimensions_[bases_[i].dimension.value];
    const int power = rest[i];
    for (u32 k = 0; k < most_bases; ++k) rest[k] -= power * own.vector.power[k];
    factors.push_back({own.name, power});
  }
  for (u32 i = 0; i < bases_.size(); ++i)
    if (rest[i] != 0) factors.push_back({dimensions_[bases_[i].dimension.value].name, rest[i]});
  std::string above, below;
  u32 divisors = 0;
  for (const auto& [name, power] : factors) {
    std::string& side = power > 0 ? above : below;
    if (!side.empty()) side += " * ";
    write_power(side, names.text(name), power > 0 ? power : -power);
    if (power < 0) ++divisors;
  }
  if (above.empty()) above = below.empty() ? "a plain number" : "1";
  if (divisors == 0) return above;
  return divisors == 1 ? fmt::format("{} / {}", above, below) : fmt::format("{} / ({})", above, below);
}

std::vector<std::string_view> Catalogue::units_of(const base::Names& names, const Vector& vector, Level level) const {
  std::vector<std::string_view> units;
  for (u32 i = 0; i < units_.size(); ++i) {
    const Unit& unit = units_[i];
    const Level own = unit.measure.is_level() ? dimensions_[unit.dimension.value].level : Level::no;
    if (unit.measure.vector == vector && own == level) units.push_back(names.text(unit.name));
  }
  return units;
}

std::vector<std::string_view> Catalogue::unit_names(const base::Names& names) const {
  std::vector<std::string_view> words;
  words.reserve(unit_words_.size());
  for (u32 i = 0; i < unit_words_.size(); ++i) words.push_back(names.text(unit_words_[i]));
  return words;
}
}  // namespace dripleg::quantities
