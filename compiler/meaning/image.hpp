// A program as one stretch of bytes without addresses, and back. Reading only makes views into the bytes,
// which must outlive the program and the sources; nothing is copied, hashed or allocated per record.
// Equal programs from equal sources give equal bytes, whatever stood in memory before.
#pragma once
#include "base/source.hpp"
#include "meaning/program.hpp"

#include <string>
#include <string_view>

namespace dripleg::meaning {
// Where bytes of an image must begin: at a multiple of this.
inline constexpr std::size_t image_alignment = 64;

// The program must have been made from these sources alone, without an image beneath it, and without a job.
std::string write_image(const Program& program, const base::Sources& sources);

// Takes the place of an empty program and of empty sources; the files get the numbers that they had in the
// writer. False, with both untouched: the bytes are no image, or one of another layout of records.
bool read_image(std::string_view bytes, Program& program, base::Sources& sources);
}  // namespace dripleg::meaning
