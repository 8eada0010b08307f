// What a measure of the text says: a number exactly as written, and the unit's text behind it, or a date,
// or a time of day. Views point into the text that was handed in.
#pragma once
#include "quantities/catalogue.hpp"

namespace dripleg::quantities {
struct Number {
  double value = 0;            // nearest double; percent already taken (25 % is 0.25)
  Rational exact;              // size of it, meaningful if is_exact
  bool is_exact = true;
  bool negative = false;
  bool fraction = false;       // written with a stroke: 3/4, 1-1/4
  u8 digits = 0;               // significant digits as written; 0 for fractions
  u8 decimals = 0;             // behind the point
};

enum class MeasureKind : u8 {
  plain,      // 12
  percent,    // 12 %
  with_unit,  // 12 span
  hole,       // ?  or  ? span
  date,       // number.value: days since 1970-01-01
  clock,      // number.value: minutes since midnight
};
struct Measure {
  MeasureKind kind = MeasureKind::plain;
  Number number;
  std::string_view number_text;   // `1-1/4`, `21_400`, `?`
  std::string_view unit;          // empty if none
};

// `1-1/4`, `3/4`, `21_400`, `1e-6`, `-5`. None: not a number, or over nothing (`1/0`), or beyond all doubles.
std::optional<Number> read_number(std::string_view text);
// A whole measure leaf. None: `problem` says why.
std::optional<Measure> read_measure(std::string_view text, Problem& problem);
// Days since 1970-01-01 of a day of the Gregorian calendar; none if there is no such day.
std::optional<i32> days_of(int year, int month, int day);

// The value in base units, correctly rounded once from the exact number and the exact unit.
double value_of(const Number& number, const UnitExpression& unit);
// The sum of several (`5 span 4 inset`); rounded once if all parts are exact. Negative first part: all are.
struct Part {
  Number number;
  UnitExpression unit;
};
double value_of(std::span<const Part> parts);
// How many of the unit a value in base units is.
double in_unit(double value, const UnitExpression& unit);

// The one spelling of a size: `1-1/4 span` for `1-1/4 spans` and `1.25 span` alike. The word need
// be no unit; if it is one, its name stands for its aliases. None: not a positive exact number with a word.
std::optional<std::string> size_label(const base::Names& names, const Catalogue& catalogue, const Measure& measure);
}  // namespace dripleg::quantities
