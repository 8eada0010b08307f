// `dripleg prove`: the library's agreements and examples, run; what does not come out is said.
#include "commands/commands.hpp"
#include "commands/findings.hpp"
#include "commands/opening.hpp"
#include "commands/output.hpp"
#include "evaluate/children.hpp"
#include "judge/in_force.hpp"
#include "judge/prove.hpp"
#include "project/examples.hpp"
#include "project/library.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::commands {
namespace {
// A module is a file of the library: `mains.rules_size` for mains/rules_size; a rule's name or family counts too.
bool wanted(const Options& options, std::string_view path, std::string_view name) {
  if (options.operands.empty()) return true;
  std::string module(path);
  if (module.ends_with(".drip")) module.resize(module.size() - 5);
  std::replace(module.begin(), module.end(), '/', '.');
  for (const std::string& operand : options.operands) {
    if (name == operand || (name.starts_with(operand) && name.size() > operand.size() && name[operand.size()] == '.')) return true;
    if (module == operand || module.ends_with("." + operand)) return true;
  }
  return false;
}
}  // namespace

int run_prove(const Options& options) {
  project::Asked asked = asked_of(options);
  project::Session session;
  const bool good = session.open_library(asked);
  complain_notices(session.sources, session.notices.all(), options);
  if (!good) return 2;
  std::optional<project::LibraryImage> image;     // each example is a job over this library
  if (!asked.library.empty()) asked.image = image.emplace(session.program, session.sources).bytes();
  const meaning::Program& program = session.program;
  notices::Notices found;
  u32 agreements = 0, examples = 0, rules = 0;
  evaluate::Evaluation evaluation(program, found);
  const judge::Wording wording(program, evaluation, quantities::System::us);
  std::vector<char> reached(program.functions.size(), 0);
  for (u32 at = 0; at < program.agreements.size(); ++at) {
    const meaning::Agreement& agreement = program.agreements[at];
    // Every function that the left side calls, at any depth, is reached.
    const auto mark = [&](auto&& self, meaning::FunctionId id) -> void {
      if (!id.given() || reached[id.value] != 0) return;
      reached[id.value] = 1;
      const meaning::Function& function = program.functions[id.value];
      if (!function.body.given()) return;
      const auto walk = [&](auto&& again, meaning::ExprId expr) -> void {
        if (!expr.given()) return;
        const meaning::Expr& e = program.exprs[expr.value];
        if (e.op == meaning::Op::call) self(self, meaning::FunctionId{e.b});
        evaluate::for_each_child(program, e, [&](meaning::ExprId child) { again(again, child); });
      };
      walk(walk, function.body);
      for (u32 n = 0; n < function.local_names.count; ++n) walk(walk, program.local_names[function.local_names.first + n]);
    };
    mark(mark, agreement.function);
    const std::string_view path = session.sources[agreement.place.file].path();
    if (!wanted(options, path, agreement.function.given() ? program.text(program.functions[agreement.function.value].name) : "")) continue;
    ++agreements;
    const judge::AgreementResult result = judge::check_agreement(program, evaluation, wording, agreement);
    if (!result.agrees)
      found.add(notices::Code::agreement_not_so, agreement.place,
                fmt::format("{}: off by {}, more than it may", result.words,
                            agreement.relative ? quantities::format_number(result.off * 100) + " %" : quantities::format_number(result.off)));
  }
  if (options.operands.empty())
    for (u32 at = 0; at < program.functions.size(); ++at)
      if (program.functions[at].empirical && reached[at] == 0)
        found.add(notices::Code::function_unproved, program.functions[at].place, fmt::format("no agreement reaches {}", program.text(program.functions[at].name)));
  std::vector<judge::InForce> held{judge::InForce(program, {}, false)};
  for (u32 at = 0; at < program.codes.size(); ++at) held.emplace_back(program, meaning::CodeSetId{at}, false);
  for (u32 at = 0; at < program.rules.size(); ++at) {
    const meaning::Rule& rule = program.rules[at];
    const std::string_view name = program.text(rule.name);
    if (!wanted(options, session.sources[rule.file].path(), name)) continue;
    ++rules;
    bool seen[3] = {false, false, false};
    for (u32 n = 0; n < rule.examples.count; ++n) {
      const meaning::Example& example = program.examples[rule.examples.first + n];
      const std::string_view outcome = program.text(example.outcome);
      seen[outcome == "holds" ? 0 : outcome == "breaks" ? 1 : 2] = true;
      ++examples;
      const project::ExampleText text = project::example_text(program, session.sources, example.block);
      if (text.sketch_missing) {
        found.add(notices::Code::example_not_so, example.place, fmt::format("{}: there is no sketch {}", name, text.sketch));
        continue;
      }
      const project::ExampleResult result = project::judge_example(asked, text.text, name, outcome);
      if (!result.comes_out) found.add(notices::Code::example_not_so, example.place, fmt::format("{}: the example that {} does not: {}", name, outcome == "open" ? "is open" : outcome, result.got));
    }
    if (std::none_of(held.begin(), held.end(), [&](const judge::InForce& code) { return code.rule(meaning::RuleId{at}); }))
      found.add(notices::Code::rule_never_held, rule.place, fmt::format("no set of documents adopts what {} rests on, so no job is held to it", name))
          .cures.push_back("let a `code` adopt the document, or say on what basis else it rests: practice, maker, computed");
    for (const auto& [has, word] : {std::pair{seen[0], "holds"}, std::pair{seen[1], "breaks"}, std::pair{seen[2], "is open"}})
      if (!has) found.add(notices::Code::example_missing, rule.place, fmt::format("{} has no example that {}", name, word));
  }
  put_notices(session.sources, found.all(), options);
  put(fmt::format("{} agreements, {} rules, {} examples: {} not so\n", agreements, rules, examples, found.errors()));
  return found.errors() == 0 ? 0 : 1;
}
}  // namespace dripleg::commands
