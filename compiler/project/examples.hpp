// A rule's examples as jobs: the sketch that they begin with, changed by what the example says, judged by
// that rule alone with every document adopted.
#pragma once
#include "project/session.hpp"

namespace dripleg::project {
struct ExampleText {
  std::string text;            // a whole job
  bool sketch_missing = false;
  std::string sketch;          // its name, if one is named
};
// Lines of the example replace those of the sketch with the same name: fields of a thing one by one, runs with
// the same ends whole; `drop NAME` and `drop a -> b` take lines out.
ExampleText example_text(const meaning::Program& program, const base::Sources& sources, base::Place block);

struct ExampleResult {
  bool comes_out = false;
  std::string got;             // what it came to, in a word or the first notice
  u32 holds = 0, breaks = 0, open = 0, failed = 0;
  std::string sentence;        // of the first that breaks
};
ExampleResult judge_example(const Asked& asked, const std::string& text, std::string_view rule_name, std::string_view outcome);
}  // namespace dripleg::project
