// The text of a new job. What stands in it comes from the library, which keeps it as a sketch; only the
// two lines that every job begins with, and the indentation, are made here.
#pragma once
#include "base/source.hpp"
#include "commands/options.hpp"
#include "syntax/tree.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace dripleg::commands {
inline constexpr std::string_view survey_sketch = "survey";

// What stands between the braces of the sketch of this name, in whichever tree has it.
std::optional<std::string_view> sketch_block(const base::Sources& sources, std::span<const syntax::Tree* const> trees,
                                             std::string_view name);

// The block's lines without its own indentation, behind the head of a job that uses the library of this name.
std::string new_job_text(std::string_view block, std::string_view library);

// The whole of `dripleg new FOLDER`, once the library's trees are at hand: makes FOLDER/job.drip, never over a
// file that is there. Prints what was made and what to do next, or what stood in the way; gives the exit status.
int create_job(const Options& options, const base::Sources& sources, std::span<const syntax::Tree* const> trees,
               std::string_view library);
}  // namespace dripleg::commands
