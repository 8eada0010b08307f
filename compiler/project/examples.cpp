#include "project/examples.hpp"

#include "meaning/check.hpp"
#include "meaning/cursor.hpp"
#include "syntax/parser.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::project {
using meaning::Cursor;
using syntax::Kind;

namespace {
// One line of job text: what it is called, and the lines inside its braces.
struct Line {
  std::string key;             // `lamp B1`, `a -> b`, `elevation`; empty: never replaced
  std::string head;            // all but the block
  bool block = false;
  std::vector<Line> inside;
};

std::string run_key(Cursor run) {
  const auto places = run.child(Kind::chain).children();
  std::string first, last;
  for (const Cursor part : places)
    if (part.is(Kind::place) || part.is(Kind::path)) {
      if (first.empty()) first = part.text();
      last = part.text();
    }
  return first + " -> " + last;
}

std::vector<Line> lines_of(Cursor block);

Line line_of(Cursor item) {
  Line line;
  const Cursor inner = item.child(Kind::block);
  const std::string_view all = item.text();
  if (item.is(Kind::run)) {
    line.key = run_key(item);
    line.head = all;           // a run is replaced whole
    return line;
  }
  if (inner.given() && (item.is(Kind::entry) || item.is(Kind::decl_job))) {
    line.head = all.substr(0, inner.span().begin - item.span().begin);
    line.block = true;
    line.inside = lines_of(inner);
    std::string_view key = line.head;
    while (!key.empty() && key.back() == ' ') key.remove_suffix(1);
    // `is PART` is no part of the name; a title neither.
    if (const auto is = key.find(" is "); is != std::string_view::npos) key = key.substr(0, is);
    if (const auto quote = key.find('"'); quote != std::string_view::npos) key = key.substr(0, quote);
    while (!key.empty() && key.back() == ' ') key.remove_suffix(1);
    line.key = key;
    return line;
  }
  line.head = all;
  if (item.is(Kind::entry)) {
    const auto kids = item.children();
    line.key = kids.front().text();
    // Keyed entries and things of their own are told apart by the word behind.
    if (kids.size() > 1 && (kids[1].is(Kind::path) || kids[1].is(Kind::place))) line.key += " " + std::string(kids[1].text());
  }
  return line;
}

std::vector<Line> lines_of(Cursor block) {
  std::vector<Line> lines;
  for (const Cursor item : block.children())
    if (!is_leaf(item.kind())) lines.push_back(line_of(item));
  return lines;
}

std::string_view first_word(std::string_view text) { return text.substr(0, text.find(' ')); }

// Is the word behind `drop` something to take away, not the value of a field of that name?
bool takes_away(std::string_view head) {
  return first_word(head) == "drop" && head.size() > 5 && ((head[5] | 0x20) >= 'a' && (head[5] | 0x20) <= 'z');
}

void merge(std::vector<Line>& into, const std::vector<Line>& changes, bool in_thing) {
  // A field that is changed by several lines is changed as a whole.
  const auto repeated = [&](const Line& change) {
    return in_thing && change.key == first_word(change.key) && !change.key.empty() && !takes_away(change.head) &&
           std::count_if(changes.begin(), changes.end(), [&](const Line& other) { return other.key == change.key; }) > 1;
  };
  for (const Line& change : changes)
    if (repeated(change)) std::erase_if(into, [&](const Line& line) { return first_word(line.key) == change.key; });
  for (const Line& change : changes) {
    if (repeated(change)) {
      into.push_back(change);
      continue;
    }
    if (takes_away(change.head)) {
      std::string_view what = std::string_view(change.head).substr(4);
      while (!what.empty() && what.front() == ' ') what.remove_prefix(1);
      std::erase_if(into, [&](const Line& line) {
        if (line.key == what) return true;
        const auto blank = line.key.rfind(' ');
        return line.key.find("->") == std::string::npos && blank != std::string::npos && std::string_view(line.key).substr(blank + 1) == what;
      });
      continue;
    }
    Line* found = nullptr;
    for (Line& line : into)
      if (!change.key.empty() && line.key == change.key) found = &line;
    // In a thing's block a field is known by its first word, unless its second tells several apart.
    if (found == nullptr && in_thing) {
      u32 alike = 0;
      for (Line& line : into)
        if (first_word(line.key) == first_word(change.key) && change.key.find("->") == std::string::npos) ++alike, found = &line;
      if (alike != 1) found = nullptr;
      if (found != nullptr && first_word(found->key) != found->key && first_word(change.key) != change.key && found->key.find(' ') != std::string::npos &&
          found->block == change.block && found->key != change.key && found->head.find(' ') != std::string::npos) {
        // Two keyed entries of different keys: both stay. Words that are values replace each other.
        const bool keyed = found->block || change.block;
        if (keyed) found = nullptr;
      }
    }
    if (found == nullptr) {
      into.push_back(change);
    } else if (change.block && found->block) {
      if (change.head.find(" is ") != std::string::npos) found->head = change.head;
      merge(found->inside, change.inside, true);
    } else {
      *found = change;
    }
  }
}

void write(const std::vector<Line>& lines, std::string& out, u32 depth) {
  for (const Line& line : lines) {
    out.append(depth * 2, ' ');
    out += line.head;
    if (line.block) {
      if (out.back() != ' ') out += ' ';
      out += "{\n";
      write(line.inside, out, depth + 1);
      out.append(depth * 2, ' ');
      out += "}";
    }
    out += '\n';
  }
}

// The block's tree: parsed anew from the text that stands in the library's file.
std::vector<Line> read_lines(std::string_view text) {
  base::Sources sources;
  notices::Notices notices;
  const FileId file = sources.add("example", std::string(text));
  const syntax::Tree tree = syntax::parse(sources, file, notices);
  return lines_of(Cursor(&tree, sources[file].text(), tree.root()));
}
std::string_view inside_braces(std::string_view block) {
  if (!block.empty() && block.front() == '{') block.remove_prefix(1);
  if (!block.empty() && block.back() == '}') block.remove_suffix(1);
  return block;
}
}  // namespace

ExampleText example_text(const meaning::Program& program, const base::Sources& sources, base::Place block) {
  ExampleText result;
  std::vector<Line> own = read_lines(inside_braces(sources.text(block)));
  std::vector<Line> lines;
  if (!own.empty() && first_word(own.front().head) == "like") {
    std::string_view name = std::string_view(own.front().head).substr(4);
    while (!name.empty() && name.front() == ' ') name.remove_prefix(1);
    result.sketch = name;
    own.erase(own.begin());
    const meaning::Symbol* const symbol = program.symbols.find(program.names.find(result.sketch), meaning::Symbol::What::sketch);
    if (symbol == nullptr) {
      result.sketch_missing = true;
      return result;
    }
    lines = read_lines(inside_braces(sources.text(program.sketches[symbol->index].block)));
  }
  merge(lines, own, false);
  write(lines, result.text, 0);
  return result;
}

ExampleResult judge_example(const Asked& asked, const std::string& text, std::string_view rule_name, std::string_view outcome) {
  ExampleResult result;
  Session session;
  if (!session.open_library(asked)) {
    result.got = "the library has errors";
    return result;
  }
  const meaning::Symbol* const symbol = session.program.symbols.find(session.program.names.find(rule_name), meaning::Symbol::What::rule);
  if (symbol == nullptr) {
    result.got = "there is no such rule";
    return result;
  }
  const meaning::RuleId rule{symbol->index};     // the table of symbols grows with the job
  const FileId file = session.sources.add("example", text);
  const u32 before = session.notices.errors();
  const syntax::Tree tree = syntax::parse(session.sources, file, session.notices);
  meaning::SourceTree unit;
  unit.tree = &tree;
  unit.job = true;
  const bool good = session.check_units({&unit, 1}) && session.notices.errors() == before;
  if (!good) {
    for (const notices::Notice& notice : session.notices.all())
      if (notice.severity == notices::Severity::error) {
        const std::string at = notice.place.given() ? std::string(session.sources.text(notice.place).substr(0, 60)) : std::string();
        result.got = fmt::format("{} (at `{}`)", notice.headline, at);
        break;
      }
    return result;
  }
  Asked own = asked;
  own.everything = true;
  own.only = rule;
  session.judge(own);
  for (const judge::Finding& finding : session.judgement->findings()) {
    switch (finding.outcome) {
      case judge::Outcome::holds: ++result.holds; break;
      case judge::Outcome::breaks:
        ++result.breaks;
        if (result.sentence.empty()) result.sentence = finding.sentence;
        break;
      case judge::Outcome::open: ++result.open; break;
      case judge::Outcome::failed: ++result.failed; break;
      case judge::Outcome::does_not_apply: break;
    }
  }
  if (outcome == "holds") result.comes_out = result.holds != 0 && result.breaks == 0 && result.open == 0 && result.failed == 0;
  else if (outcome == "breaks") result.comes_out = result.breaks != 0 && result.failed == 0;
  else result.comes_out = result.open != 0 && result.breaks == 0 && result.failed == 0;
  if (!result.comes_out) {
    result.got = fmt::format("{} hold, {} break, {} open, {} failed", result.holds, result.breaks, result.open, result.failed);
    if (result.failed != 0)
      for (const notices::Notice& notice : session.notices.all())
        if (notice.severity == notices::Severity::error) {
          result.got += ": " + notice.headline;
          break;
        }
    if (!result.sentence.empty()) result.got += ": " + result.sentence;
  }
  return result;
}
}  // namespace dripleg::project
