// Findings for people and for machines: what `check` prints, drawn or as JSON.
#pragma once
#include "commands/json.hpp"
#include "commands/options.hpp"
#include "notices/draw.hpp"
#include "project/session.hpp"
#include "remedy/cure.hpp"

namespace dripleg::commands {
struct MarginWords {
  std::string found, limit, spare, unit;
  std::string word;        // OVER, SHORT, spare
  bool turned = false, tight = false;
};
// Found, limit and what is left, in one unit and alike digits. Only for numeric margins.
MarginWords margin_words(judge::Judgement& judgement, const judge::Margin& margin);
base::Place place_of(const meaning::Program& program, const judge::Finding& finding);
// Every document that the rule and its limits rest on, as people read it, without repeats.
std::vector<std::string> sources_of(const judge::Judgement& judgement, const judge::Finding& finding);
std::string cure_words(judge::Judgement& judgement, const remedy::Cure& cure);
// How the verdict was reached over ranges; empty if nothing uncertain was read.
std::string sureness_words(const judge::Finding& finding);
std::string question_of(judge::Judgement& judgement, meaning::HoleId hole, std::string& asks);
void draw_findings(project::Session& session, const Options& options, const notices::Drawing& drawing, std::string& out);
void write_json(project::Session& session, JsonWriter& json, int exit);
}  // namespace dripleg::commands
