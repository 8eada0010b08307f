// How far a found value stands from its limits, as a bar: in characters for plain text, as a small
// drawing for a page. All texts come finished from the caller (same unit, same digits); the bar
// only places them. A value known as a range is drawn as a stretch.
#pragma once
#include "reports/svg.hpp"

#include <optional>
#include <string>

namespace dripleg::reports {
enum class Tone { plain, holds, tight, breaks, open, accepted };

struct MarginBar {
  std::optional<double> low{};  // least that is allowed
  std::optional<double> high{}; // most that is allowed
  double found_low = 0;
  double found_high = 0;        // equal to found_low when one value is known
  std::string found_text{};     // the value as printed
  std::string needs_text{};     // the limits as printed
  std::string margin_text{};    // the margin with its word
  std::string tight_word{};     // printed behind the margin when the tone is tight
  Tone tone = Tone::plain;
};

// Where the bar begins and ends, in the unit of the value; begin < end. A side without a limit is
// open-ended: an upper limit alone starts at zero (or below the value, if that is negative), a
// lower limit alone ends well above both.
struct MarginScale {
  double begin = 0;
  double end = 1;
};
MarginScale margin_scale(const MarginBar& bar);

// So many columns wide, end marks included; never less than 8.
std::string margin_line(const MarginBar& bar, std::size_t width = 24);

// Margin and, when tight, its word.
std::string margin_words(const MarginBar& bar);

Svg margin_drawing(const MarginBar& bar);
}  // namespace dripleg::reports
