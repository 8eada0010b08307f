// The declaring half of the catalogue: what the library's lines about dimensions and units come to.
#include "base/spelling.hpp"
#include "quantities/catalogue.hpp"
#include "quantities/reading.hpp"
#include "quantities/terms.hpp"
#include "quantities/unit_reader.hpp"

#include <fmt/format.h>

namespace dripleg::quantities {
namespace {
using notices::Code;

Problem complain(Code code, std::string headline, std::string cure = {}) {
  Problem problem{code, {}, std::move(headline), {}};
  if (!cure.empty()) problem.cures.push_back(std::move(cure));
  return problem;
}

Problem unknown_dimension(const base::Names& names, const Catalogue& catalogue, std::string_view word, base::Span within) {
  Problem problem{Code::dimension_unknown, within, fmt::format("no dimension is called `{}`", word), {}};
  std::vector<std::string_view> known;
  for (u32 i = 0; i < catalogue.dimension_count(); ++i)
    if (const NameId name = catalogue[DimensionId{i}].name; name.given()) known.push_back(names.text(name));
  for (const auto& near : base::near_spellings(word, known)) problem.cures.push_back(fmt::format("did you mean `{}`", near));
  return problem;
}

// A number and a unit as one measure: `12 span` is 12 times the unit's factor.
struct Definition {
  UnitExpression measure;
  std::string_view unit;        // its text; `%` of a percentage, empty for a plain number
};

std::optional<Definition> read_definition(const base::Names& names, const Catalogue& catalogue, std::string_view text,
                                          Problem& problem, DimensionId as = {}) {
  const auto written = read_measure(text, problem);
  if (!written) return std::nullopt;
  if (written->kind != MeasureKind::plain && written->kind != MeasureKind::percent && written->kind != MeasureKind::with_unit) {
    problem = {Code::unit_number, {0, static_cast<u32>(text.size())}, "a number belongs here", {}};
    return std::nullopt;
  }
  if (written->number.negative || written->number.value == 0) {
    problem = {Code::unit_number, {0, static_cast<u32>(text.size())}, "a unit's size must be above zero", {}};
    return std::nullopt;
  }
  Definition result;
  if (written->kind == MeasureKind::with_unit) {
    const auto unit = read_unit(names, catalogue, written->unit, problem, as);
    if (!unit) {
      const u32 shift = static_cast<u32>(written->unit.data() - text.data());
      problem.within.begin += shift;
      problem.within.end += shift;
      return std::nullopt;
    }
    result.measure = *unit;
    result.unit = written->unit;
  } else if (written->kind == MeasureKind::percent) {
    result.unit = "%";
  }
  const UnitExpression unit = result.measure;
  result.measure.factor = written->number.value * unit.factor;
  const auto exact = written->number.is_exact && unit.is_exact ? product(written->number.exact, unit.exact) : std::nullopt;
  result.measure.is_exact = exact.has_value();
  if (exact) {
    result.measure.exact = reduced(*exact);
    result.measure.factor = to_double(*exact);
  }
  return result;
}

// `span`, `1 span/beat` or `1 %`.
std::optional<Definition> read_meaning(const base::Names& names, const Catalogue& catalogue, std::string_view text,
                                       Problem& problem, DimensionId as = {}) {
  if (!text.empty() && !(text[0] >= '0' && text[0] <= '9') && text != "%") {
    const auto unit = read_unit(names, catalogue, text, problem, as);
    if (!unit) return std::nullopt;
    return Definition{*unit, text};
  }
  return read_definition(names, catalogue, text == "%" ? "1 %" : text, problem, as);
}

bool one_level(const Definition& definition) { return definition.measure.is_level(); }

Problem no_level(std::string_view unit) {
  return {Code::unit_level, {}, fmt::format("`{}` reads a scale; a definition needs a unit of plain size", unit), {}};
}
}  // namespace

// ---- dimensions --------------------------------------------------------------------------------------
Catalogue::Outcome Catalogue::take_dimension(const base::Names& names, Dimension dimension) {
  if (find_dimension(dimension.name).given())
    return complain(Code::unit_taken, fmt::format("there is already a dimension `{}`", names.text(dimension.name)));
  const u32 at = dimensions_.push(dimension);
  dimension_table_.add(dimension.name, at);
  return {};
}

Catalogue::Outcome Catalogue::declare_base(const base::Names& names, NameId name, const Traits& traits) {
  if (traits.level != Level::no || traits.apart || traits.share || traits.angle)
    return complain(Code::dimension_traits, fmt::format("`{}` stands on its own, so nothing can be said of what it is beside another",
                                                        names.text(name)), "write `is` and another dimension before the block");
  if (bases_.size() == most_bases)
    return complain(Code::dimension_bases, fmt::format("`{}` is one base dimension too many: {} is the most", names.text(name), most_bases));
  Dimension dimension;
  dimension.name = name;
  dimension.vector.power[bases_.size()] = 1;
  if (auto problem = take_dimension(names, dimension)) return problem;
  bases_.push({find_dimension(name), false, false});
  return {};
}

Catalogue::Outcome Catalogue::declare_is(const base::Names& names, NameId name, NameId parent_name, const Traits& traits) {
  const DimensionId parent = find_dimension(parent_name);
  if (!parent.given()) return unknown_dimension(names, *this, names.text(parent_name), {});
  const Dimension& of = dimensions_[parent.value];
  if (of.level != Level::no)
    return complain(Code::dimension_traits, fmt::format("`{}` is a level already; nothing can be made of it", names.text(parent_name)));
  if (traits.apart && traits.level != Level::no)
    return complain(Code::dimension_traits, fmt::format("`{}` cannot be apart and a level at once", names.text(name)));
  if (traits.share && (traits.apart || !of.vector.plain()))
    return complain(Code::dimension_traits, fmt::format("`{}` is no plain number, so it can be no share", names.text(name)));
  if (traits.angle && !traits.apart)
    return complain(Code::dimension_traits, fmt::format("`{}` must be apart to be an angle", names.text(name)));
  if (traits.angle && angle().given())
    return complain(Code::dimension_traits, fmt::format("there is already an angle: `{}`", describe(names, angle())));
  if (traits.apart && bases_.size() == most_bases)
    return complain(Code::dimension_bases, fmt::format("`{}` is one base dimension too many: {} is the most", names.text(name), most_bases));
  Dimension dimension;
  dimension.name = name;
  dimension.parent = parent;
  dimension.vector = of.vector;
  dimension.level = traits.level;
  dimension.apart = traits.apart;
  dimension.share = traits.share || (of.share && !traits.apart);
  dimension.angle = traits.angle || (of.angle && !traits.apart);
  if (traits.apart) dimension.vector.power[bases_.size()] = 1;
  if (auto problem = take_dimension(names, dimension)) return problem;
  if (traits.apart) bases_.push({find_dimension(name), true, traits.angle});
  return {};
}

Catalogue::Outcome Catalogue::declare_formula(const base::Names& names, NameId name, std::string_view formula, const Traits& traits) {
  if (traits.level != Level::no || traits.apart || traits.share || traits.angle)
    return complain(Code::dimension_traits, fmt::format("`{}` is given by a formula, so its block can say only what it reads and how it is shown",
                                                        names.text(name)));
  Problem problem;
  const auto terms = read_terms(formula, {.blanks = true, .what = "dimension"}, problem);
  if (!terms) return problem;
  Dimension dimension;
  dimension.name = name;
  std::vector<DimensionId> named;
  for (const Term& term : terms->terms) {
    const std::string_view word = formula.substr(term.word.begin, term.word.size());
    const DimensionId part = find_dimension(names.find(word));
    if (!part.given()) return unknown_dimension(names, *this, word, term.word);
    if (dimensions_[part.value].level != Level::no) {
      const std::string difference = describe(names, difference_of(part));
      return Problem{Code::unit_level, term.word, fmt::format("`{}` is a level and has no place in a product", word),
                     {fmt::format("write `{}`", difference)}};
    }
    const auto raised = power(dimensions_[part.value].vector, term.power);
    const auto vector = raised ? product(dimension.vector, *raised) : std::nullopt;
    if (!vector) return Problem{Code::unit_power, term.word, fmt::format("the powers in `{}` are too big", formula), {}};
    dimension.vector = *vector;
    named.push_back(part);
  }
  if (find_dimension(name).given()) return take_dimension(names, dimension);
  dimension.first_named = named_.append(named);
  dimension.named = static_cast<u32>(named.size());
  return take_dimension(names, dimension);
}

Catalogue::Outcome Catalogue::add_reads(const base::Names& names, DimensionId dimension, NameId word, std::string_view meaning) {
  if (dimension.value < dimensions_.base_size())
    return complain(Code::dimension_traits, fmt::format("`{}` belongs to the library; what it reads is said there", describe(names, dimension)));
  Problem problem;
  const auto definition = read_meaning(names, *this, meaning, problem);
  if (!definition) return problem;
  if (one_level(*definition)) return no_level(meaning);
  Reads reads{word, find_unit(word), expressions_.push(definition->measure), dimensions_[dimension.value].reads};
  dimensions_.edit(dimension.value).reads = reads_.push(reads) + 1;
  return {};
}

Catalogue::Outcome Catalogue::add_shown(base::Names& names, DimensionId id, const ShownText& text) {
  if (id.value < dimensions_.base_size())
    return complain(Code::dimension_traits, fmt::format("`{}` belongs to the library; how it is shown is said there", describe(names, id)));
  Problem problem;
  const auto read_here = [&](std::string_view words) -> std::optional<UnitExpression> {
    const auto definition = read_meaning(names, *this, words, problem);
    if (!definition) return std::nullopt;
    UnitExpression measure = definition->measure;
    const Dimension& dimension = dimensions_[id.value];
    const bool fits = measure.is_level() ? units_[measure.level.value].dimension == id
                                         : dimension.level == Level::no && (measure.vector == dimension.vector ||
                                                                            readable_in(measure.vector, dimension.vector));
    if (fits) return measure;
    problem = wrong_dimension(names, *this, words, measure, id);
    return std::nullopt;
  };
  const auto unit = read_here(text.unit);
  if (!unit) return problem;
  Shown shown;
  if (text.from) {
    const bool bare = !text.from->empty() && !((*text.from)[0] >= '0' && (*text.from)[0] <= '9');
    const auto from = read_here(*text.from);
    if (!from || bare) {
      if (from) problem = {Code::unit_number, {}, fmt::format("`from {}` needs a number", *text.from), {}};
      return problem;
    }
    shown.from = from->factor + from->zero;
  }
  const auto definition = read_meaning(names, *this, text.unit, problem);
  shown.spelling = names.intern(definition->unit);
  if (text.prints) shown.prints = names.intern(*text.prints);
  shown.expression = expressions_.push(*unit);
  shown.before = dimensions_[id.value].shown;
  shown.si = text.si;
  dimensions_.edit(id.value).shown = shown_.push(shown) + 1;
  return {};
}

// ---- units -------------------------------------------------------------------------------------------
Catalogue::Outcome Catalogue::take_unit_name(const base::Names& names, NameId name, UnitId unit) {
  const UnitId other = find_unit(name);
  if (other.given()) {
    const std::string_view own = names.text(units_[other.value].name);
    return complain(Code::unit_taken, own == names.text(name) ? fmt::format("there is already a unit `{}`", own)
                                                              : fmt::format("`{}` is already another name of the unit `{}`", names.text(name), own));
  }
  unit_table_.add(name, unit.value);
  unit_words_.push(name);
  return {};
}

Catalogue::Outcome Catalogue::take_unit(const base::Names& names, Unit unit) {
  if (auto problem = take_unit_name(names, unit.name, {units_.size()})) return problem;
  units_.push(unit);
  return {};
}

Catalogue::Outcome Catalogue::declare_base_unit(const base::Names& names, NameId name, NameId dimension_name) {
  const DimensionId id = find_dimension(dimension_name);
  if (!id.given()) return unknown_dimension(names, *this, names.text(dimension_name), {});
  const Dimension& dimension = dimensions_[id.value];
  if (dimension.level != Level::no)
    return complain(Code::unit_level, fmt::format("a unit of `{}` needs a step and where its zero is", names.text(dimension_name)),
                    "write `step` and `zero_at` in its block");
  bool base = false;
  for (u32 i = 0; i < bases_.size(); ++i) base = base || bases_[i].dimension == id;
  if (!base)
    return complain(Code::unit_mismatch, fmt::format("`{}` is no base dimension, so a unit of it needs a size", names.text(dimension_name)),
                    fmt::format("write `unit {} =` and how much it is", names.text(name)));
  for (u32 i = 0; i < units_.size(); ++i)
    if (units_[i].measure.vector == dimension.vector && units_[i].measure.factor == 1 && !units_[i].measure.is_level())
      return complain(Code::unit_taken, fmt::format("`{}` is the base unit of `{}` already", names.text(units_[i].name), names.text(dimension_name)));
  Unit unit;
  unit.name = name;
  unit.dimension = id;
  unit.measure.vector = dimension.vector;
  return take_unit(names, unit);
}

Catalogue::Outcome Catalogue::declare_unit(const base::Names& names, NameId name, std::string_view text) {
  Problem problem;
  const auto definition = read_definition(names, *this, text, problem);
  if (!definition) return problem;
  if (one_level(*definition)) return no_level(definition->unit);
  if (find_unit(name).given()) return take_unit_name(names, name, {});
  Unit unit;
  unit.name = name;
  unit.dimension = dimension_for(definition->measure.vector);
  unit.measure = definition->measure;
  unit.measure.softened = false;
  return take_unit(names, unit);
}

Catalogue::Outcome Catalogue::declare_level_unit(base::Names& names, NameId name, NameId dimension_name, std::string_view step_text,
                                                 std::optional<std::string_view> zero_text) {
  const DimensionId id = find_dimension(dimension_name);
  if (!id.given()) return unknown_dimension(names, *this, names.text(dimension_name), {});
  const Dimension& dimension = dimensions_[id.value];
  if (dimension.level == Level::no)
    return complain(Code::unit_level, fmt::format("`{}` is no level, so a unit of it has no step", names.text(dimension_name)));
  Problem problem;
  const auto step = read_definition(names, *this, step_text, problem);
  if (!step) return problem;
  if (one_level(*step)) return no_level(step->unit);
  if (step->measure.vector != dimension.vector) return wrong_dimension(names, *this, step->unit, step->measure, difference_of(id));
  Unit unit;
  unit.name = name;
  unit.dimension = id;
  unit.step = names.intern(step->unit);
  unit.measure = step->measure;
  unit.measure.softened = false;
  unit.measure.level = {units_.size()};
  if (zero_text) {
    const auto written = read_measure(*zero_text, problem);
    if (!written) return problem;
    const auto of = read_unit(names, *this, written->unit, problem);
    if (!of) return problem;
    if (of->is_level()) return no_level(written->unit);
    if (of->vector != dimension.vector) return wrong_dimension(names, *this, written->unit, *of, difference_of(id));
    if (written->number.negative)
      return complain(Code::unit_number, fmt::format("the zero of `{}` cannot lie below the true zero", names.text(name)));
    unit.measure.zero = value_of(written->number, *of);
    const auto exact = written->number.is_exact && of->is_exact ? product(written->number.exact, of->exact) : std::nullopt;
    if (exact) unit.measure.exact_zero = reduced(*exact);
    unit.measure.is_exact = unit.measure.is_exact && exact.has_value();
  }
  return take_unit(names, unit);
}

Catalogue::Outcome Catalogue::declare_sized_unit(const base::Names& names, NameId name, NameId dimension_name, std::string_view size_text) {
  const DimensionId id = find_dimension(dimension_name);
  if (!id.given()) return unknown_dimension(names, *this, names.text(dimension_name), {});
  Problem problem;
  const auto size = read_definition(names, *this, size_text, problem);
  if (!size) return problem;
  if (one_level(*size)) return no_level(size->unit);
  const Vector vector = dimensions_[id.value].vector;
  if (dimensions_[id.value].level != Level::no || (size->measure.vector != vector && !readable_in(size->measure.vector, vector)))
    return wrong_dimension(names, *this, size->unit, size->measure, id);
  Unit unit;
  unit.name = name;
  unit.dimension = id;
  unit.measure = size->measure;
  unit.measure.softened = false;
  unit.measure.vector = vector;
  return take_unit(names, unit);
}

Catalogue::Outcome Catalogue::add_alias(const base::Names& names, UnitId unit, NameId alias) {
  return take_unit_name(names, alias, unit);
}

void Catalogue::set_prints(UnitId unit, NameId text) { units_.edit(unit.value).prints = text; }
}  // namespace dripleg::quantities
