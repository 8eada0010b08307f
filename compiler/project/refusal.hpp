// Words for a file that could not be read. Internal to this folder.
#pragma once
#include "notices/notice.hpp"
#include "project/opener.hpp"

namespace dripleg::project {
// `shown`: the path as people know it. `place`: the `use` that asked for it, or none.
void report_refusal(const Opened& opened, std::string_view shown, base::Place place, notices::Notices& notices);
void report_twins(const Opened& opened, std::string_view shown, base::Place place, notices::Notices& notices);
std::string ticked(std::string_view name);   // in back-ticks, printable
}  // namespace dripleg::project
