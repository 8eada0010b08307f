// Findings for people and for machines: what `check` prints, drawn or as JSON.
#pragma once
#include "commands/json.hpp"
#include "commands/options.hpp"
#include "notices/draw.hpp"
#include "project/session.hpp"
#include "reports/finding_words.hpp"

namespace dripleg::commands {
void draw_findings(project::Session& session, const Options& options, const notices::Drawing& drawing, std::string& out);
void write_json(project::Session& session, JsonWriter& json, int exit);
}  // namespace dripleg::commands
