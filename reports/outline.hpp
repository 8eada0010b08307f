// The ids and numbers of a document's parts, counted in document order, and the way from a
// target's name to them. The first bearer of a name keeps it. Both writers walk the document in the
// same order as this count.
#pragma once
#include "reports/document.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace dripleg::reports {
enum class Part { section, finding, table, figure, margins };

struct PartId {
  Part part = Part::section;
  std::size_t number = 0;      // from 1, within its kind of part
};

class Outline {
 public:
  explicit Outline(const Document& document);

  const PartId* find(std::string_view target) const;          // null when nobody bears the name
  const std::string& section_number(std::size_t index) const { return numbers_[index]; }   // "2.1"

 private:
  struct Bearer {
    std::string_view target;
    std::size_t order = 0;
    PartId id;
  };
  void count(const std::vector<Block>& blocks, std::vector<std::size_t>& counters);
  void bear(std::string_view target, Part part, std::vector<std::size_t>& counters);
  std::vector<Bearer> bearers_;          // sorted by target after construction
  std::vector<std::string> numbers_;
};

// Letter of an id for a kind of part; ids are the letter and the number.
char part_letter(Part part);
}  // namespace dripleg::reports
