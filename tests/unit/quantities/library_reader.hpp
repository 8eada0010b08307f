// Reads just enough of the two library files for the tests of this room: one declaration a line (blocks may go
// on), entries parted by commas. The real reading of them is the meaning phase's.
#pragma once
#include "quantities/catalogue.hpp"

#include <fstream>
#include <sstream>

namespace dripleg::quantities::test {
struct Library {
  base::Names names;
  Catalogue catalogue;
  std::vector<std::string> problems;

  NameId name(std::string_view text) { return names.intern(text); }
  DimensionId dimension(std::string_view text) const { return catalogue.find_dimension(names.find(text)); }
  const Unit& unit(std::string_view text) const { return catalogue[catalogue.find_unit(names.find(text))]; }
};

inline std::string file_text(const std::string& path) {
  std::ifstream in(std::string(DRIPLEG_SOURCE_DIR) + "/" + path);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

inline std::string trimmed(std::string text) {
  const auto first = text.find_first_not_of(" \t\n");
  if (first == std::string::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\n") + 1 - first);
}

struct Declaration {
  std::string head, name, is, formula;       // `unit`, its name, and what follows `is` or `=`
  std::vector<std::string> entries;          // of the block
};

inline std::vector<std::string> split_entries(const std::string& block) {
  std::vector<std::string> entries(1);
  bool quoted = false;
  for (const char byte : block) {
    if (byte == '"') quoted = !quoted;
    if (!quoted && (byte == ',' || byte == '\n'))
      entries.emplace_back();
    else
      entries.back() += byte;
  }
  for (auto& entry : entries) entry = trimmed(entry);
  std::erase(entries, std::string());
  return entries;
}

inline std::vector<Declaration> declarations(const std::string& text) {
  std::vector<Declaration> all;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line[0] == '#') continue;
    while (line.find('{') != std::string::npos && line.find('}') == std::string::npos) {
      std::string more;
      if (!std::getline(lines, more)) break;
      line += "\n" + more;
    }
    Declaration one;
    if (const auto open = line.find('{'); open != std::string::npos) {
      one.entries = split_entries(line.substr(open + 1, line.find('}') - open - 1));
      line.resize(open);
    }
    if (const auto quote = line.find('"'); quote != std::string::npos) line.resize(quote);
    std::istringstream words(line);
    std::string sign;
    words >> one.head >> one.name >> sign;
    std::string rest;
    std::getline(words, rest);
    (sign == "is" ? one.is : one.formula) = trimmed(rest);
    all.push_back(std::move(one));
  }
  return all;
}

// The words of an entry; a text in quotes is one word, without them.
inline std::vector<std::string> words_of(const std::string& entry) {
  std::vector<std::string> words;
  for (std::size_t at = 0; at < entry.size();) {
    if (entry[at] == ' ') {
      ++at;
      continue;
    }
    const bool quoted = entry[at] == '"';
    const std::size_t begin = quoted ? at + 1 : at;
    std::size_t end = entry.find(quoted ? '"' : ' ', begin);
    if (end == std::string::npos) end = entry.size();
    words.push_back(entry.substr(begin, end - begin));
    at = quoted ? end + 1 : end;
  }
  return words;
}

inline std::string joined(const std::vector<std::string>& words, std::size_t from, std::size_t to) {
  std::string text;
  for (std::size_t i = from; i < to; ++i) text += (i == from ? "" : " ") + words[i];
  return text;
}

inline void declare_dimensions(Library& library, const std::vector<Declaration>& all) {
  for (const auto& one : all) {
    Traits traits;
    for (const auto& entry : one.entries) add_trait(traits, entry);
    auto& catalogue = library.catalogue;
    const NameId name = library.name(one.name);
    auto problem = !one.formula.empty() ? catalogue.declare_formula(library.names, name, one.formula, traits)
                   : !one.is.empty()    ? catalogue.declare_is(library.names, name, library.name(one.is), traits)
                                        : catalogue.declare_base(library.names, name, traits);
    if (problem) library.problems.push_back(one.name + ": " + problem->headline);
  }
}

inline void declare_units(Library& library, const std::vector<Declaration>& all) {
  for (const auto& one : all) {
    auto& catalogue = library.catalogue;
    const NameId name = library.name(one.name), dimension = library.name(one.is);
    std::string step, size, prints;
    std::optional<std::string> zero;
    std::vector<std::string> aliases;
    for (const auto& entry : one.entries) {
      const auto words = words_of(entry);
      if (words[0] == "also") aliases.insert(aliases.end(), words.begin() + 1, words.end());
      else if (words[0] == "step") step = joined(words, 1, words.size());
      else if (words[0] == "zero_at") zero = joined(words, 1, words.size());
      else if (words[0] == "size") size = joined(words, 1, words.size());
      else if (words[0] == "prints") prints = words[1];
      else library.problems.push_back(one.name + ": what is " + entry);
    }
    auto problem = !one.formula.empty() ? catalogue.declare_unit(library.names, name, one.formula)
                   : !step.empty()      ? catalogue.declare_level_unit(library.names, name, dimension, step, zero)
                   : !size.empty()      ? catalogue.declare_sized_unit(library.names, name, dimension, size)
                                        : catalogue.declare_base_unit(library.names, name, dimension);
    const UnitId unit = catalogue.find_unit(name);
    for (const auto& alias : aliases)
      if (!problem) problem = catalogue.add_alias(library.names, unit, library.name(alias));
    if (problem) library.problems.push_back(one.name + ": " + problem->headline);
    else if (!prints.empty()) catalogue.set_prints(unit, library.name(prints));
  }
}

inline void declare_showing(Library& library, const std::vector<Declaration>& all) {
  for (const auto& one : all) {
    const DimensionId dimension = library.dimension(one.name);
    for (const auto& entry : one.entries) {
      auto words = words_of(entry);
      Catalogue::Outcome problem;
      if (words[0] == "reads") {
        problem = library.catalogue.add_reads(library.names, dimension, library.name(words[1]), joined(words, 3, words.size()));
      } else if (words[0] == "shown" || words[0] == "shown_si") {
        ShownText shown;
        shown.si = words[0] == "shown_si";
        std::string from, prints;
        if (words.size() > 3 && words[words.size() - 2] == "prints") {
          prints = words.back();
          shown.prints = prints;
          words.resize(words.size() - 2);
        }
        std::size_t end = words.size();
        for (std::size_t i = 1; i < words.size(); ++i)
          if (words[i] == "from") {
            from = joined(words, i + 1, words.size());
            shown.from = from;
            end = i;
          }
        const std::string unit = joined(words, 1, end);
        shown.unit = unit;
        problem = library.catalogue.add_shown(library.names, dimension, shown);
      } else if (Traits unused; !add_trait(unused, entry)) {
        library.problems.push_back(one.name + ": what is " + entry);
      }
      if (problem) library.problems.push_back(one.name + ": " + problem->headline);
    }
  }
}

inline Library read_library() {
  Library library;
  const auto dimensions = declarations(file_text("stdlib/base/dimensions.drip"));
  const auto units = declarations(file_text("stdlib/base/units.drip"));
  declare_dimensions(library, dimensions);
  declare_units(library, units);
  declare_showing(library, dimensions);
  return library;
}

// Read once for all tests of the room; they must not change it.
inline Library& library() {
  static Library one = read_library();
  return one;
}
}  // namespace dripleg::quantities::test
