// Reads texts of units, like `span/(beat*turn^2)`, and remembers every spelling that it has read. One reader a
// phase: it is not for sharing between threads; catalogue and names must outlive it and may grow.
#pragma once
#include "quantities/catalogue.hpp"

namespace dripleg::quantities {
// One text, nothing remembered. `%` alone is a hundredth. A level unit alone is a level; inside a compound
// or with a power it stands for its difference. With a dimension, words that it `reads` are taken so.
std::optional<UnitExpression> read_unit(const base::Names& names, const Catalogue& catalogue, std::string_view text,
                                        Problem& problem, DimensionId as = {});

// A good unit that does not fit: what it is, what is wanted, and units to write instead. An empty text is a
// number without a unit.
Problem wrong_dimension(const base::Names& names, const Catalogue& catalogue, std::string_view text,
                        const UnitExpression& measure, DimensionId wanted);

// In an entry (of a thing or a table) the declared type alone reads a literal, so a level unit may stand for its
// difference; in a formula a level unit alone is always a level.
enum class Where : u8 { entry, formula };

class UnitReader {
 public:
  UnitReader(const base::Names& names, const Catalogue& catalogue) : names_(names), catalogue_(catalogue) {}

  // None: `problem` says why, within the text.
  std::optional<UnitExpression> read(std::string_view text, Problem& problem) { return read_as(text, {}, problem); }
  // Words that the dimension reads otherwise are taken so. No check that the result is readable in it.
  std::optional<UnitExpression> read_as(std::string_view text, DimensionId dimension, Problem& problem);
  // A literal's unit where a dimension is wanted; empty for a bare number. Taken as itself if it has the very
  // vector (levels: the very dimension) or is readable in it; else by the dimension's `reads` words. The result
  // has the dimension's vector. None with a problem: no good unit. None without: not of this dimension, see
  // wrong_dimension.
  std::optional<UnitExpression> read_in(std::string_view text, DimensionId wanted, Where where,
                                        std::optional<Problem>& problem);

 private:
  struct Entry {
    UnitExpression measure;
    u64 hash = 0;
    u32 at = 0, length = 0;      // in texts_
    DimensionId dimension;
  };
  void remember(u32 number);

  const base::Names& names_;
  const Catalogue& catalogue_;
  std::vector<Entry> entries_;
  std::vector<u32> slots_;       // open-addressed, 1 + index of an entry, 0: empty
  std::string texts_;
};
}  // namespace dripleg::quantities
