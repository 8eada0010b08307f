// Values as people read them: in the unit that the dimension is shown in, to three digits, rounded half
// away from zero in decimal; a found value and its limit with digits enough to tell them apart.
#pragma once
#include "quantities/catalogue.hpp"
#include "quantities/reading.hpp"
#include "quantities/unit_reader.hpp"

#include <string>

namespace dripleg::quantities {
enum class System : u8 { us, si };

// ---- numbers alone ------------------------------------------------------------------------------------
// Half away from zero in decimal; what lies within 12 digits of a half counts as the half. -0 is 0.
std::string format_decimals(double number, int decimals);
// `digits` significant ones, more where that keeps a whole number of up to four digits whole. Whole numbers and
// those told in one digit more are written out. Zeros behind the point stay only where something was rounded
// away. A power of ten only below 10^-4 and from 10^9 on.
std::string format_number(double number, int digits = 3);
std::string format_shortest(double number);        // reads back as the same double
std::string format_date(double days);              // 2026-02-28
std::string format_clock(double minutes);          // 07:05

// ---- with units -------------------------------------------------------------------------------------
struct Display {             // a unit to print in
  double factor = 1, zero = 0;
  std::string unit;          // as printed; empty for plain numbers
  std::string difference;    // the same for differences; another word only for levels
};
struct Pair {                // all in one unit, same decimals
  std::string found, limit, spare;   // numbers; spare is the size of the shown difference, 0 if equal
  std::string unit, spare_unit;
  bool equal = false;        // within the tolerance of comparison
};

class Printer {
 public:
  Printer(const base::Names& names, const Catalogue& catalogue, System system = System::us)
      : names_(names), catalogue_(catalogue), system_(system) {}

  // The unit for a value of this size, by the dimension's `shown`; else by base units.
  Display display(DimensionId dimension, double value) const;
  // A unit's own text (`as span`); read in the dimension if it can be. None: not a unit of this dimension.
  std::optional<Display> display_in(std::string_view unit, DimensionId dimension) const;

  std::string value(double value, DimensionId dimension, int digits = 3) const;
  std::string value_in(double value, const Display& display, int digits = 3) const;
  Pair pair(double found, double limit, DimensionId dimension) const;
  Pair pair_in(double found, double limit, const Display& display) const;
  // A stated value as it was written, with the unit as the trade prints it: `3.5 span` → `3.5 sp.`
  std::string as_typed(std::string_view measure) const;
  std::string unit_text(std::string_view unit) const;      // `beat*span2` → `beat·span²`
  std::string size(std::string_view label) const;          // a size label with its unit as printed

 private:
  Display base_display(DimensionId dimension) const;
  const base::Names& names_;
  const Catalogue& catalogue_;
  System system_;
};
std::string join(std::string_view number, std::string_view unit);   // `25 %`, `3`, `4 span`
}  // namespace dripleg::quantities
