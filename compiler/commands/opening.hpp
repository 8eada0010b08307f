// What commands on one job have in common: what the options ask of a session, and the job opened and judged.
#pragma once
#include "commands/options.hpp"
#include "project/session.hpp"

namespace dripleg::commands {
project::Asked asked_of(const Options& options);
// Opens and judges the first operand; false, after complaining: it cannot be judged.
bool open_and_judge(project::Session& session, const Options& options);
}  // namespace dripleg::commands
