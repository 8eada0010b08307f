// Takes apart a text of words joined by * / ^ and brackets, as units and formulas of dimensions are
// written, into its words with their powers. Inside the room only.
#pragma once
#include "quantities/problem.hpp"

#include <optional>
#include <string_view>
#include <vector>

namespace dripleg::quantities {
struct Term {
  base::Span word;
  int power = 1;
};
struct Terms {
  std::vector<Term> terms;
  bool one_word = false;   // a single word, no power, no stroke
};
struct TermStyle {
  bool blanks = false;          // blanks between words, and `1`, as in `1 / time`
  bool leading_stroke = false;  // `/beat`
  std::string_view what;        // for messages: "unit", "dimension"
};
inline constexpr int most_written_power = 9;
inline constexpr std::size_t most_terms = 32;

std::optional<Terms> read_terms(std::string_view text, const TermStyle& style, Problem& problem);

// A letter, digit, underscore, or any byte beyond ASCII (degree signs, small raised digits).
bool is_word_byte(char byte, bool first);
}  // namespace dripleg::quantities
