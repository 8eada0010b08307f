// `dripleg rules`: the catalogue of rules, and one rule's page.
#include "base/spelling.hpp"
#include "commands/commands.hpp"
#include "commands/opening.hpp"
#include "commands/output.hpp"
#include "project/examples.hpp"
#include "project/session.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::commands {
namespace {
std::string_view weight_word(meaning::Weight weight) {
  switch (weight) {
    case meaning::Weight::danger: return "danger";
    case meaning::Weight::fault: return "fault";
    case meaning::Weight::advice: return "advice";
  }
  return "";
}

std::string stretch(const project::Session& session, base::Place place) {
  std::string words(session.sources.text(place));
  return words;
}

// A block of job text, its lines set in by as much as the first is.
std::string set_in(std::string_view block) {
  if (!block.empty() && block.front() == '{') block.remove_prefix(1);
  if (!block.empty() && block.back() == '}') block.remove_suffix(1);
  std::string out;
  std::size_t indent = std::string::npos;
  std::size_t at = 0;
  while (at < block.size()) {
    const std::size_t end = std::min(block.find('\n', at), block.size());
    std::string_view line = block.substr(at, end - at);
    at = end + 1;
    const std::size_t first = line.find_first_not_of(" \t\r");
    if (first == std::string_view::npos) continue;
    if (indent == std::string::npos) indent = first;
    out += "  ";
    out += line.substr(std::min(first, indent));
    out += '\n';
  }
  return out;
}
}  // namespace

// One rule's page in Markdown: statement, weight, sources, limits, what it asks, what it says, examples.
std::string rule_page(project::Session& session, evaluate::Evaluation& evaluation, meaning::RuleId id) {
  const meaning::Program& program = session.program;
  const meaning::Rule& rule = program.rules[id.value];
  const judge::Wording wording(program, evaluation, quantities::System::us);
  std::string out = fmt::format("# {}\n\n{}\n\nWeight: {}.\n\n", program.text(rule.name), program.text(rule.says), weight_word(rule.weight));
  out += "## Sources\n\n";
  for (u32 at = 0; at < rule.citations.count; ++at) out += fmt::format("- {}\n", wording.citation(program.citations[rule.citations.first + at]));
  if (rule.limits.count != 0) out += "\n## Limits\n\n";
  for (u32 at = 0; at < rule.limits.count; ++at) {
    const meaning::Limit& limit = program.limits[rule.limits.first + at];
    for (u32 n = 0; n < limit.choices.count; ++n) {
      const meaning::LimitChoice& choice = program.limit_choices[limit.choices.first + n];
      const meaning::Value value = evaluation.expr(choice.value, {}, evaluate::nominal_world);
      std::string from;
      for (u32 m = 0; m < choice.citations.count; ++m) from += (from.empty() ? "" : "; ") + wording.citation(program.citations[choice.citations.first + m]);
      out += fmt::format("- {}: {}{}\n", program.text(limit.name), wording.value(value, program.types[limit.type.value], evaluate::nominal_world), from.empty() ? "" : " — " + from);
    }
  }
  out += "\n## What it asks\n\n```text\n";
  for (u32 at = 0; at < rule.during.count; ++at) out += fmt::format("during   {}\n", program.text(program.cases[program.case_ids[rule.during.first + at].value].name));
  for (u32 at = 0; at < rule.binders.count; ++at) out += fmt::format("for each {}\n", stretch(session, program.expr_notes[program.binders[rule.binders.first + at].source.value].place));
  if (rule.where.given()) out += fmt::format("where    {}\n", stretch(session, program.expr_notes[rule.where.value].place));
  for (u32 at = 0; at < rule.requirements.count; ++at) {
    const meaning::Requirement& requirement = program.requirements[rule.requirements.first + at];
    out += fmt::format("{}  {}\n", requirement.advises ? "advise " : "require", stretch(session, program.expr_notes[requirement.test.value].place));
  }
  out += "```\n";
  for (u32 at = 0; at < rule.cautions.count; ++at) out += fmt::format("\nCaution: {}\n", program.text(program.text_ids[rule.cautions.first + at]));
  out += "\n## Examples\n";
  for (u32 at = 0; at < rule.examples.count; ++at) {
    const meaning::Example& example = program.examples[rule.examples.first + at];
    const std::string_view outcome = program.text(example.outcome);
    out += fmt::format("\n{}\n\n```text\n{}```\n", outcome == "holds" ? "It holds:" : outcome == "breaks" ? "It breaks:" : "It is open:", set_in(session.sources.text(example.block)));
    if (outcome == "breaks") {
      const project::ExampleText text = project::example_text(program, session.sources, example.block);
      if (!text.sketch_missing) {
        const project::ExampleResult result = project::judge_example({}, text.text, program.text(rule.name), outcome);
        if (!result.sentence.empty()) out += fmt::format("\n> {}\n", result.sentence);
      }
    }
  }
  return out;
}

int run_rules(const Options& options) {
  project::Session session;
  const project::Asked asked = asked_of(options);
  if (!session.open_library(asked)) {
    complain_notices(session.sources, session.notices.all(), options);
    return 2;
  }
  const meaning::Program& program = session.program;
  evaluate::Evaluation evaluation(program, session.notices);
  if (!options.operands.empty()) {
    for (const std::string& operand : options.operands) {
      const meaning::Symbol* const symbol = program.symbols.find(program.names.find(operand), meaning::Symbol::What::rule);
      if (symbol == nullptr) {
        std::vector<std::string_view> names;
        for (u32 at = 0; at < program.rules.size(); ++at) names.push_back(program.text(program.rules[at].name));
        notices::Notices notices;
        auto& notice = notices.add(notices::Code::place_unknown, {}, fmt::format("no rule is named `{}`", operand));
        for (const std::string& near : base::near_spellings(operand, names)) notice.cures.push_back("did you mean `" + near + "`");
        complain_notices(session.sources, notices.all(), options);
        return 2;
      }
      put(rule_page(session, evaluation, meaning::RuleId{symbol->index}));
    }
    return 0;
  }
  std::size_t widest = 0;
  for (u32 at = 0; at < program.rules.size(); ++at) widest = std::max(widest, program.text(program.rules[at].name).size());
  std::vector<u32> order(program.rules.size());
  for (u32 at = 0; at < order.size(); ++at) order[at] = at;
  std::sort(order.begin(), order.end(), [&](u32 a, u32 b) { return program.text(program.rules[a].name) < program.text(program.rules[b].name); });
  for (const u32 at : order) {
    const meaning::Rule& rule = program.rules[at];
    put(fmt::format("{:<{}}  {:<6}  {}\n", program.text(rule.name), widest, weight_word(rule.weight), program.text(rule.says)));
  }
  put(fmt::format("{} rules; `dripleg rules NAME` shows one\n", order.size()));
  return 0;
}
}  // namespace dripleg::commands
