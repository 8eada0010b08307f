// Every dimension and unit that library and packs declare. Owned by the program; plain arrays, so its
// library part may lie in an image. Declarations are texts as they stand in the source (`12 span`,
// `span_of_way / time`) and must come after what they name; after that, the catalogue never changes.
#pragma once
#include "base/names.hpp"
#include "base/pool.hpp"
#include "quantities/name_table.hpp"
#include "quantities/problem.hpp"
#include "quantities/unit.hpp"

#include <string>
#include <string_view>

namespace dripleg::quantities {
struct Base {
  DimensionId dimension;    // that declared it
  bool apart = false;
  bool angle = false;
};

// How a dimension's values are to be shown, as written in its block.
struct ShownText {
  std::string_view unit;                       // `span`, `1 span/beat`, `1 %`
  std::optional<std::string_view> from;        // `1 span`
  std::optional<std::string_view> prints;      // finished text, without quotes
  bool si = false;                             // `shown_si`
};

class Catalogue {
 public:
  struct Image {
    std::span<const Base> bases;
    std::span<const Dimension> dimensions;
    std::span<const Unit> units;
    std::span<const UnitExpression> expressions;
    std::span<const Reads> reads;
    std::span<const Shown> shown;
    std::span<const DimensionId> named;
    std::span<const NameId> unit_words;
    std::span<const NameTable::Slot> dimension_slots, unit_slots;
  };
  Catalogue() = default;
  explicit Catalogue(const Image& image);
  Image image() const;      // of a catalogue that has no image below it; valid until it is changed

  // ---- dimensions: each gives what is wrong, or nothing ---------------------------------------------
  using Outcome = std::optional<Problem>;
  // `dimension NAME { traits }`: a new base. Traits may not say level (a level is of another dimension).
  Outcome declare_base(const base::Names& names, NameId name, const Traits& traits = {});
  // `dimension NAME is PARENT { traits }`; apart adds a base.
  Outcome declare_is(const base::Names& names, NameId name, NameId parent, const Traits& traits);
  // `dimension NAME = FORMULA`: names of dimensions, 1, * / ^ and brackets. `= 1` is the plain number.
  Outcome declare_formula(const base::Names& names, NameId name, std::string_view formula, const Traits& traits = {});
  // `reads WORD as MEANING`; MEANING is `span` or `1 span/beat`. It holds too for dimensions whose
  // formula names this one.
  Outcome add_reads(const base::Names& names, DimensionId dimension, NameId word, std::string_view meaning);
  Outcome add_shown(base::Names& names, DimensionId dimension, const ShownText& shown);

  // ---- units ------------------------------------------------------------------------------------------
  // `unit NAME is DIMENSION`: the unit that is 1 in that base.
  Outcome declare_base_unit(const base::Names& names, NameId name, NameId dimension);
  // `unit NAME = DEFINITION`: `12 span`, `5/9 span`, `0.000001`.
  Outcome declare_unit(const base::Names& names, NameId name, std::string_view definition);
  // `unit NAME is DIMENSION { step STEP, zero_at ZERO }`; zero_at left out is zero.
  Outcome declare_level_unit(base::Names& names, NameId name, NameId dimension, std::string_view step,
                             std::optional<std::string_view> zero_at);
  // `unit NAME is DIMENSION { size SIZE }`: a unit of an apart dimension, as big as SIZE.
  Outcome declare_sized_unit(const base::Names& names, NameId name, NameId dimension, std::string_view size);
  Outcome add_alias(const base::Names& names, UnitId unit, NameId alias);
  void set_prints(UnitId unit, NameId text);             // only for units declared here, not in the image

  // ---- look-up ------------------------------------------------------------------------------------------
  DimensionId find_dimension(NameId name) const;         // none if there is none
  UnitId find_unit(NameId name) const;                   // by name or alias
  const Dimension& operator[](DimensionId id) const { return dimensions_[id.value]; }
  const Unit& operator[](UnitId id) const { return units_[id.value]; }
  u32 dimension_count() const { return dimensions_.size(); }
  u32 unit_count() const { return units_.size(); }
  const base::Pool<Base>& bases() const { return bases_; }

  // The dimension that a computed value has: the first declared with this vector and level that says how
  // it is shown, else the first declared; shares and angles of other vectors do not count. None if nothing is declared so.
  DimensionId dimension_of(const Vector& vector, Level level = Level::no) const;
  // The same, and makes one without a name if there is none.
  DimensionId dimension_for(const Vector& vector, Level level = Level::no);
  DimensionId plain();                                   // of bare numbers
  DimensionId angle() const;                             // none if none is declared
  // The dimension of a level's differences: its own vector, level taken off.
  DimensionId difference_of(DimensionId level);

  Vector plain_vector(const Vector& vector) const;       // without the apart bases
  bool bears_apart(const Vector& vector) const;
  bool same_plain(const Vector& a, const Vector& b) const { return plain_vector(a) == plain_vector(b); }
  // May a literal of this vector be read in a dimension: plain vector alike, no apart base in itself, and
  // no angle wanted?
  bool readable_in(const Vector& literal, const Vector& wanted) const;

  // What a word means inside a dimension by `reads`, of itself, its parents, and what its formula names.
  const UnitExpression* read_as(DimensionId dimension, NameId word) const;
  // How to show a value of this size; none if the dimension says nothing. Looks at parents too, if they
  // have the same vector; the other system's list stands in for a missing one.
  const Shown* shown_for(DimensionId dimension, double value, bool si) const;
  // The spellings of a dimension's shown units, in order of declaration.
  std::vector<std::string_view> shown_units(const base::Names& names, DimensionId dimension, bool si) const;
  const UnitExpression& expression(u32 at) const { return expressions_[at]; }

  // For messages: its name, or powers of bases as a formula: `way * heap / time^2`.
  std::string describe(const base::Names& names, DimensionId dimension) const;
  std::string describe(const base::Names& names, const Vector& vector, Level level = Level::no) const;
  // Unit names (not aliases) of a vector, in order of declaration; for a list of what could be meant.
  std::vector<std::string_view> units_of(const base::Names& names, const Vector& vector, Level level) const;
  // Every name and alias of units, in order of declaration.
  std::vector<std::string_view> unit_names(const base::Names& names) const;

 private:
  Outcome take_dimension(const base::Names& names, Dimension dimension);
  Outcome take_unit(const base::Names& names, Unit unit);
  Outcome take_unit_name(const base::Names& names, NameId name, UnitId unit);
  const UnitExpression* read_as(DimensionId dimension, NameId word, UnitId unit, u32 depth) const;
  const Shown* shown_in(DimensionId dimension, double value, bool si) const;
  bool has_shown(const Dimension& dimension) const { return dimension.shown != 0; }
  bool apart_base(u32 base) const { return base < bases_.size() && bases_[base].apart; }

  base::Pool<Base> bases_;
  base::Pool<Dimension> dimensions_;
  base::Pool<Unit> units_;
  base::Pool<UnitExpression> expressions_;
  base::Pool<Reads> reads_;
  base::Pool<Shown> shown_;
  base::Pool<DimensionId> named_;
  base::Pool<NameId> unit_words_;      // names and aliases, in order of declaration
  NameTable dimension_table_, unit_table_;
};
}  // namespace dripleg::quantities
