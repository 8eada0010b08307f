// How wide a text is without asking any machine's fonts: in columns of a fixed-width page, and in
// hundredths of an em of a wide sans-serif face, so that a label reserved by these numbers fits in
// whatever narrower face the reader has.
#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace dripleg::reports {
std::size_t columns(std::string_view text);             // combining marks count 0, all else 1
double text_width(std::string_view text, double size);  // in the unit of `size`, the height of the face

// The text cut with an ellipsis so that it is at most `width` wide.
std::string fitted(std::string_view text, double size, double width);
}  // namespace dripleg::reports
