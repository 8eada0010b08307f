// A job over a small library, both as text, upon the trade's own dimensions and units: compiled and ready to be asked.
#pragma once
#include "evaluate/evaluation.hpp"
#include "meaning/check.hpp"
#include "syntax/parser.hpp"

#include <doctest/doctest.h>

#include <fstream>
#include <iterator>
#include <memory>
#include <string>
#include <vector>

namespace dripleg::evaluate::of_text {
using namespace dripleg::meaning;
using evaluate::nominal_world;
using evaluate::WorldId;
using notices::Code;

inline std::string file_text(const std::string& path) {
  std::ifstream file(std::string(DRIPLEG_SOURCE_DIR) + "/" + path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

struct Job {
  base::Sources sources;
  notices::Notices notices;
  Program program;
  std::vector<std::unique_ptr<syntax::Tree>> trees;
  std::unique_ptr<evaluate::Evaluation> evaluation;

  Job(const std::string& library, const std::string& job, evaluate::Budget budget = {}) {
    std::vector<SourceTree> units;
    const auto add = [&](std::string path, std::string content, bool is_library) {
      const FileId file = sources.add(std::move(path), std::move(content));
      trees.push_back(std::make_unique<syntax::Tree>(syntax::parse(sources, file, notices)));
      units.push_back({.tree = trees.back().get(), .prefix = {}, .library = is_library, .job = !is_library, .rows = {}});
    };
    add("lib/dimensions.drip", file_text("stdlib/base/dimensions.drip"), true);
    add("lib/units.drip", file_text("stdlib/base/units.drip"), true);
    add("lib/test.drip", library, true);
    add("job.drip", job, false);
    compile(program, sources, units, notices);
    evaluation = std::make_unique<evaluate::Evaluation>(program, notices, budget);
  }
  std::string said() const {
    std::string all;
    for (const notices::Notice& notice : notices.all()) all += std::string(notices::text_of(notice.code)) + ": " + notice.headline + '\n';
    return all;
  }
  std::pair<ThingId, u32> cell(std::string_view thing, std::string_view field) const {
    for (u32 at = 0; at < program.things.size(); ++at)
      if (program.text(program.things[at].name) == thing)
        for (u32 slot = 0; slot < program.things[at].slots; ++slot)
          if (program.text(program.field(program.things[at].kind, slot).name) == field) return {ThingId{at}, slot};
    FAIL("no field ", std::string(field));
    return {};
  }
  Value value(std::string_view thing, std::string_view field, WorldId world = nominal_world) {
    const auto [of, slot] = cell(thing, field);
    return evaluation->field(of, slot, world);
  }
  VariableId condition(std::string_view name) const {
    for (u32 at = 0; at < program.conditions.size(); ++at)
      if (program.text(program.conditions[at].name) == name) return program.conditions[at].variable;
    return {};
  }
};
}  // namespace dripleg::evaluate::of_text
