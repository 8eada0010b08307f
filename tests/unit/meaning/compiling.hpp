// A library text, and a job if one is given, compiled upon the trade's own dimensions and units; then what was
// said of them. The notices of a text are told by their codes, in the order in which they came.
#pragma once
#include "meaning/check.hpp"
#include "syntax/parser.hpp"

#include <fstream>
#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace dripleg::meaning::test {
inline std::string file_text(const std::string& path) {
  std::ifstream file(std::string(DRIPLEG_SOURCE_DIR) + "/" + path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}
inline const std::string& dimensions_text() {
  static const std::string text = file_text("stdlib/base/dimensions.drip");
  return text;
}
inline const std::string& units_text() {
  static const std::string text = file_text("stdlib/base/units.drip");
  return text;
}

// Every formula of tests/formulas, with the documents that they cite.
inline std::string formulas_text() {
  std::string all = file_text("stdlib/codes/documents.drip");
  for (const char* subject : {"sources", "gas", "water", "heat_loss", "hot_water",
                              "may_be_none"})
    all += file_text("tests/formulas/" + std::string(subject) + ".drip");
  return all;
}

struct Compiled {
  base::Sources sources;
  notices::Notices notices;
  Program program;
  std::vector<std::unique_ptr<syntax::Tree>> trees;

  explicit Compiled(std::string_view library, std::string_view job = {}) {
    std::vector<SourceTree> units;
    add(units, "lib/dimensions.drip", dimensions_text(), true);
    add(units, "lib/units.drip", units_text(), true);
    add(units, "lib/test.drip", library, true);
    if (!job.empty()) add(units, "job.drip", job, false);
    compile(program, sources, units, notices);
  }
  Compiled(const Compiled&) = delete;

  // "code code …", for comparing whole.
  std::string codes() const {
    std::string all;
    for (const notices::Notice& notice : notices.all()) {
      if (!all.empty()) all += ' ';
      all += notices::text_of(notice.code);
    }
    return all;
  }
  std::string said() const {
    std::string all;
    for (const notices::Notice& notice : notices.all()) {
      all += notice.headline;
      all += '\n';
    }
    return all;
  }
  ThingId thing(std::string_view name, u32 number = 0) const {
    for (u32 at = 0; at < program.things.size(); ++at)
      if (program.text(program.things[at].name) == name && program.things[at].number == number) return ThingId{at};
    return {};
  }
  std::optional<u32> slot(ThingId id, std::string_view field) const {
    const Kind& kind = program.kinds[program.things[id.value].kind.value];
    for (u32 at = 0; at < kind.fields.count; ++at)
      if (program.text(program.field(program.things[id.value].kind, at).name) == field) return at;
    return std::nullopt;
  }
  // What is stated, as it lies among the inputs.
  Value input(std::string_view name, std::string_view field, u32 number = 0) const {
    const ThingId id = thing(name, number);
    return program.inputs[program.things[id.value].first_slot + slot(id, field).value()];
  }

 private:
  void add(std::vector<SourceTree>& units, std::string path, std::string_view text, bool library) {
    const FileId file = sources.add(std::move(path), std::string(text));
    trees.push_back(std::make_unique<syntax::Tree>(syntax::parse(sources, file, notices)));
    units.push_back({trees.back().get(), {}, library, !library});
  }
};
}  // namespace dripleg::meaning::test
