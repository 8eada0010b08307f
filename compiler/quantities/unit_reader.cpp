#include "quantities/unit_reader.hpp"

#include "base/spelling.hpp"
#include "quantities/terms.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::quantities {
namespace {
char lower(char byte) { return byte >= 'A' && byte <= 'Z' ? static_cast<char>(byte + ('a' - 'A')) : byte; }

bool same_but_case(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i)
    if (lower(a[i]) != lower(b[i])) return false;
  return true;
}

// `word3` where there is a unit `word`: the power was written without its sign.
std::optional<std::string> with_power(const base::Names& names, const Catalogue& catalogue, std::string_view word) {
  static constexpr std::string_view raised_two = "\u00B2", raised_three = "\u00B3";
  std::string_view stem;
  char digit = 0;
  if (word.ends_with(raised_two) || word.ends_with(raised_three)) {
    stem = word.substr(0, word.size() - 2);
    digit = word.ends_with(raised_two) ? '2' : '3';
  } else if (word.size() > 1 && word.back() >= '2' && word.back() <= '9') {
    stem = word.substr(0, word.size() - 1);
    digit = word.back();
  }
  if (stem.empty() || !catalogue.find_unit(names.find(stem)).given()) return std::nullopt;
  return fmt::format("{}^{}", stem, digit);
}

Problem unknown_unit(const base::Names& names, const Catalogue& catalogue, std::string_view word, base::Span span) {
  Problem problem{notices::Code::unit_unknown, span, fmt::format("no unit is called `{}`", word), {}};
  if (const auto power = with_power(names, catalogue, word)) {
    problem.cures.push_back(fmt::format("write `{}`", *power));
    return problem;
  }
  const auto known = catalogue.unit_names(names);
  std::vector<std::string> near;
  for (const auto name : known)
    if (same_but_case(name, word)) near.emplace_back(name);
  for (auto& name : base::near_spellings(word, known)) {
    if (near.size() >= 3) break;
    if (std::find(near.begin(), near.end(), name) == near.end()) near.push_back(std::move(name));
  }
  for (const auto& name : near) problem.cures.push_back(fmt::format("did you mean `{}`", name));
  return problem;
}

// Multiplies one word's measure into a product, exactly as long as that fits.
bool multiply_in(UnitExpression& product_, const UnitExpression& word, int power_) {
  const auto raised = power(word.vector, power_);
  const auto vector = raised ? product(product_.vector, *raised) : std::nullopt;
  if (!vector) return false;
  product_.vector = *vector;
  std::optional<Rational> exact;
  if (product_.is_exact && word.is_exact) {
    const auto factor = power(word.exact, power_);
    if (factor) exact = product(product_.exact, *factor);
  }
  if (exact) {
    product_.exact = *exact;
    product_.factor = to_double(*exact);
  } else {
    product_.is_exact = false;
    for (int i = 0; i < power_; ++i) product_.factor *= word.factor;
    for (int i = 0; i > power_; --i) product_.factor /= word.factor;
  }
  return true;
}
}  // namespace

std::optional<UnitExpression> read_unit(const base::Names& names, const Catalogue& catalogue, std::string_view text,
                                        Problem& problem, DimensionId as) {
  UnitExpression result;
  if (text == "%") {
    result.exact = make_rational(1, 100);
    result.factor = to_double(result.exact);
    return result;
  }
  const auto terms = read_terms(text, {.leading_stroke = true, .what = "unit"}, problem);
  if (!terms) return std::nullopt;
  for (const Term& term : terms->terms) {
    const std::string_view word = text.substr(term.word.begin, term.word.size());
    const NameId name = names.find(word);
    const UnitExpression* measure = as.given() ? catalogue.read_as(as, name) : nullptr;
    if (measure == nullptr) {
      const UnitId unit = catalogue.find_unit(name);
      if (!unit.given()) {
        problem = unknown_unit(names, catalogue, word, term.word);
        return std::nullopt;
      }
      measure = &catalogue[unit].measure;
    }
    if (measure->is_level() && terms->one_word) return *measure;
    result.softened = result.softened || measure->is_level() || measure->softened;
    if (!multiply_in(result, *measure, term.power)) {
      problem = {notices::Code::unit_power, term.word, fmt::format("the powers in `{}` are too big", text), {}};
      return std::nullopt;
    }
  }
  return result;
}

std::optional<UnitExpression> UnitReader::read_as(std::string_view text, DimensionId dimension, Problem& problem) {
  const u64 hash = base::hash_bytes(text) ^ (static_cast<u64>(dimension.value) * 0x9E3779B97F4A7C15ull);
  const auto same_text = [&](const Entry& entry) {
    return entry.hash == hash && entry.dimension == dimension &&
           std::string_view(texts_).substr(entry.at, entry.length) == text;
  };
  if (!slots_.empty()) {
    for (std::size_t at = hash & (slots_.size() - 1); slots_[at] != 0; at = (at + 1) & (slots_.size() - 1))
      if (same_text(entries_[slots_[at] - 1])) return entries_[slots_[at] - 1].measure;
  }
  auto measure = read_unit(names_, catalogue_, text, problem, dimension);
  if (!measure) return std::nullopt;
  entries_.push_back({*measure, hash, static_cast<u32>(texts_.size()), static_cast<u32>(text.size()), dimension});
  texts_.append(text);
  remember(static_cast<u32>(entries_.size()));
  return measure;
}

void UnitReader::remember(u32 number) {
  const auto place = [&](u32 entry) {
    std::size_t at = entries_[entry - 1].hash & (slots_.size() - 1);
    while (slots_[at] != 0) at = (at + 1) & (slots_.size() - 1);
    slots_[at] = entry;
  };
  if (entries_.size() * 2 <= slots_.size()) return place(number);
  slots_.assign(slots_.empty() ? 64 : slots_.size() * 2, 0);
  for (u32 entry = 1; entry <= entries_.size(); ++entry) place(entry);
}

std::optional<UnitExpression> UnitReader::read_in(std::string_view text, DimensionId wanted, Where where,
                                                  std::optional<Problem>& problem) {
  const Dimension& dimension = catalogue_[wanted];
  UnitExpression measure;
  if (!text.empty()) {
    Problem found;
    const auto read_one = read(text, found);
    if (!read_one) {
      problem = std::move(found);
      return std::nullopt;
    }
    measure = *read_one;
  }
  if (dimension.level != Level::no) {
    if (measure.is_level() && catalogue_[measure.level].dimension == wanted) return measure;
    return std::nullopt;
  }
  if (measure.is_level()) {
    // In an entry the declared type reads the literal: twenty steps of a scale as a difference. A scale
    // with a true zero is never taken so: what it reads is another thing.
    const Level level = catalogue_[catalogue_[measure.level].dimension].level;
    if (where == Where::formula || level != Level::level || measure.vector != dimension.vector) return std::nullopt;
    measure.level = {};
    measure.zero = 0;
    measure.exact_zero = {};
    measure.softened = true;
    return measure;
  }
  if (measure.vector == dimension.vector) return measure;
  if (!catalogue_.readable_in(measure.vector, dimension.vector)) {
    Problem unused;
    const auto other = text.empty() ? std::nullopt : read_as(text, wanted, unused);
    if (!other || other->is_level()) return std::nullopt;
    measure = *other;
    if (measure.vector != dimension.vector && !catalogue_.readable_in(measure.vector, dimension.vector)) return std::nullopt;
  }
  measure.vector = dimension.vector;
  return measure;
}

namespace {
std::vector<std::string> units_to_write(const base::Names& names, const Catalogue& catalogue, DimensionId wanted) {
  std::vector<std::string> units;
  for (const bool si : {false, true})
    for (const auto unit : catalogue.shown_units(names, wanted, si))
      if (std::find(units.begin(), units.end(), unit) == units.end()) units.emplace_back(unit);
  if (units.empty())
    for (const auto unit : catalogue.units_of(names, catalogue[wanted].vector, catalogue[wanted].level)) units.emplace_back(unit);
  if (units.size() > 4) units.resize(4);
  return units;
}
}  // namespace

Problem wrong_dimension(const base::Names& names, const Catalogue& catalogue, std::string_view text,
                        const UnitExpression& measure, DimensionId wanted) {
  const Dimension& dimension = catalogue[wanted];
  const std::string wish = catalogue.describe(names, wanted);
  const DimensionId given = measure.is_level() ? catalogue[measure.level].dimension : catalogue.dimension_of(measure.vector);
  const std::string is = given.given() ? catalogue.describe(names, given) : catalogue.describe(names, measure.vector);
  Problem problem{notices::Code::unit_mismatch, {0, static_cast<u32>(text.size())}, {}, {}};
  if (text.empty()) {
    problem.headline = fmt::format("a number without a unit, where {} is wanted", wish);
  } else if (measure.vector == dimension.vector && measure.is_level() != (dimension.level != Level::no)) {
    problem.headline = measure.is_level() ? fmt::format("`{}` reads a scale ({}), where {} is wanted", text, is, wish)
                                          : fmt::format("`{}` measures a difference ({}), where {} is wanted", text, is, wish);
  } else {
    problem.headline = fmt::format("`{}` is a unit of {}, where {} is wanted", text, is, wish);
  }
  const auto units = units_to_write(names, catalogue, wanted);
  if (units.empty()) return problem;
  std::string cure = "write it in ";
  for (std::size_t i = 0; i < units.size(); ++i)
    cure += fmt::format("{}`{}`", i == 0 ? "" : i + 1 == units.size() ? " or " : ", ", units[i]);
  problem.cures.push_back(std::move(cure));
  return problem;
}
}  // namespace dripleg::quantities
