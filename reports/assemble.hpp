// A document from a layout and a judged job: the layout's items are read one after another, their formulas
// computed, their tables filled. Knows the words of the layout language and none of the trade.
#pragma once
#include "base/source.hpp"
#include "reports/document.hpp"
#include "reports/finding_words.hpp"

namespace dripleg::reports {
struct Judged {
  judge::Judgement& judgement;
  const settle::Result& settled;
  const base::Sources& sources;
  std::string job_path;
  std::string tool, library;
};
struct Paper {
  std::string layout;          // its name
  Document document;
  std::vector<std::pair<std::string, std::string>> drawings;   // file name and content, for the Markdown
};
// Every layout that the library or a pack declares, in order; or the one asked for (none if there is no such).
std::vector<Paper> assemble(const Judged& judged, std::string_view only);
std::vector<std::string_view> layout_names(const meaning::Program& program);
}  // namespace dripleg::reports
