// Runs one Markdown file of tests: `suite_runner FILE.md DRIPLEG`. What a suite may say stands in
// tests/suites/README.md. With DRIPLEG_ACCEPT=1 the `output` blocks are written anew instead of compared.
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <string_view>
#include <sys/wait.h>
#include <unistd.h>
#include <vector>

namespace {
namespace fs = std::filesystem;

struct Block {
  std::size_t line = 0;          // of the fence, from 1
  std::string fence;             // its back-ticks
  std::vector<std::string> info; // words behind them
  std::vector<std::string> lines;
};
struct Test {
  std::string name;
  std::size_t line = 0;
  std::vector<Block> blocks;
};
struct Expectation {
  std::string file, verb, code, words;
  std::size_t line = 0;          // in that file
  std::size_t suite_line = 0;
  bool met = false;
};

std::string read_file(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}
void write_file(const fs::path& path, std::string_view text) {
  if (path.has_parent_path()) fs::create_directories(path.parent_path());
  std::ofstream(path, std::ios::binary) << text;
}
std::vector<std::string> split_lines(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    lines.emplace_back(text.substr(0, end));
    text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
  }
  return lines;
}
std::vector<std::string> split_words(std::string_view text) {
  std::vector<std::string> words;
  std::size_t at = 0;
  while ((at = text.find_first_not_of(" \t\r", at)) != std::string_view::npos) {
    const std::size_t end = std::min(text.find_first_of(" \t\r", at), text.size());
    words.emplace_back(text.substr(at, end - at));
    at = end;
  }
  return words;
}
std::string join_lines(const std::vector<std::string>& lines) {
  std::string text;
  for (const auto& line : lines) text += line + "\n";
  return text;
}

std::vector<Test> read_suite(const std::vector<std::string>& lines) {
  std::vector<Test> tests{{"(before the first heading)", 1, {}}};
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const std::string& line = lines[i];
    if (line.starts_with("## ")) tests.push_back({line.substr(3), i + 1, {}});
    const std::size_t ticks = std::min(line.find_first_not_of('`'), line.size());
    if (ticks < 3) continue;
    Block block{i + 1, line.substr(0, ticks), split_words(line.substr(ticks)), {}};
    while (++i < lines.size() && lines[i] != block.fence) block.lines.push_back(lines[i]);
    tests.back().blocks.push_back(std::move(block));
  }
  return tests;
}

std::string quoted_for_shell(const std::string& word) {
  std::string quoted = "'";
  for (const char c : word) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

// Output and errors as one text, in the order in which they were written; the exit status, if it is
// not 0, as a last line `exit N`.
std::string run(const fs::path& folder, const std::string& command, bool with_errors = true) {
  const std::string full = "cd " + quoted_for_shell(folder.string()) + " && { " + command + "\n} </dev/null 2>" + (with_errors ? "&1" : "/dev/null");
  std::FILE* const pipe = ::popen(full.c_str(), "r");
  if (!pipe) return "exit 127\n";
  std::string text;
  char piece[4096];
  while (const std::size_t got = std::fread(piece, 1, sizeof piece, pipe)) text.append(piece, got);
  const int status = ::pclose(pipe);
  const int exit = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  if (!text.empty() && text.back() != '\n') text += '\n';
  return exit == 0 ? text : text + "exit " + std::to_string(exit) + "\n";
}

// `# breaks RULE; says CODE "words"`: everything behind a `#` that begins with one of the verbs.
void read_expectations(const Block& block, const std::string& file, std::vector<Expectation>& expectations) {
  for (std::size_t i = 0; i < block.lines.size(); ++i) {
    const std::string& line = block.lines[i];
    for (std::size_t hash = line.find("# "); hash != std::string::npos; hash = line.find("# ", hash + 1)) {
      std::string_view rest = std::string_view(line).substr(hash + 2);
      const auto verb_here = [&] {
        for (const std::string_view verb : {"breaks ", "open ", "holds ", "says "})
          if (rest.starts_with(verb)) return true;
        return false;
      };
      if (!verb_here()) continue;
      while (!rest.empty()) {
        const std::size_t quote = rest.find('"');
        std::size_t end = rest.find(';');
        std::string words;
        if (quote < end) {
          const std::size_t close = rest.find('"', quote + 1);
          words = rest.substr(quote + 1, close == std::string_view::npos ? close : close - quote - 1);
          end = close == std::string_view::npos ? close : rest.find(';', close);
        }
        const auto parts = split_words(rest.substr(0, std::min(quote, end)));
        if (parts.size() == 2) expectations.push_back({file, parts[0], parts[1], words, i + 1, block.line + i + 1, false});
        rest = end == std::string_view::npos ? std::string_view{} : rest.substr(end + 1);
      }
      break;
    }
  }
}

class Runner {
 public:
  Runner(fs::path suite, bool accept) : suite_(std::move(suite)), accept_(accept) {}

  int run_all() {
    lines_ = split_lines(read_file(suite_));
    const auto tests = read_suite(lines_);
    std::size_t done = 0;
    for (const Test& test : tests) {
      if (test.blocks.empty()) continue;
      run_test(test);
      ++done;
    }
    const bool is_suite = suite_.string().find("suites/") != std::string::npos && suite_.filename() != "README.md";
    if (is_suite && done == 0) fail(1, "there is no test in this file");
    if (accept_ && changed_) write_accepted();
    std::printf("%s: %zu tests, %zu failures\n", suite_.string().c_str(), done, failures_);
    return failures_ == 0 ? 0 : 1;
  }

 private:
  void fail(std::size_t line, const std::string& words) {
    ++failures_;
    std::printf("%s:%zu: %s: %s\n", suite_.string().c_str(), line, name_.c_str(), words.c_str());
  }

  void run_test(const Test& test) {
    name_ = test.name;
    std::string pattern = (fs::temp_directory_path() / "dripleg-suite-XXXXXX").string();
    if (!::mkdtemp(pattern.data())) return fail(test.line, "no folder could be made");
    folder_ = pattern;
    forget();
    for (const Block& block : test.blocks) run_block(block);
    judge();
    fs::remove_all(folder_);
  }

  void forget() {
    files_.clear();
    job_.reset();
    expectations_.clear();
    output_.reset();
    ran_command_ = judged_ = false;
  }

  void run_block(const Block& block) {
    const std::string kind = block.info.empty() ? "" : block.info[0];
    if (kind == "output") return compare(block);
    if (kind == "command") {
      judge();
      output_ = run(folder_, join_lines(block.lines));
      ran_command_ = true;
      return;
    }
    const bool in_docs = suite_.string().find("suites/") == std::string::npos;
    if (kind == "drip" && (block.info.size() < 2 || block.info[1] == "fragment")) {
      if (block.info.size() < 2 && !in_docs) return fail(block.line, "a block of a suite wants a file name: `drip job.drip`");
      return check_form(block);
    }
    const bool is_file = block.info.size() > 1 && (kind == "drip" || kind == "csv" || kind == "file");
    if (is_file) take_file(block, kind);
  }

  void take_file(const Block& block, const std::string& kind) {
    const std::string& name = block.info[1];
    if (std::find(files_.begin(), files_.end(), name) != files_.end()) judge();
    write_file(folder_ / name, join_lines(block.lines));
    files_.push_back(name);
    if (kind != "drip") return;
    if (!job_ || job_->info[1] == name) job_ = block;
    read_expectations(block, name, expectations_);
    output_.reset();
    judged_ = false;
    ran_command_ = false;
  }

  std::string option(std::string_view name) const {
    for (const auto& word : job_->info)
      if (word.starts_with(std::string(name) + "=")) return word.substr(name.size() + 1);
    return {};
  }

  std::string check_command(bool json) const {
    std::string command = "dripleg check " + quoted_for_shell(job_->info[1]);
    if (json) command += " --format json --all";
    for (const char* name : {"library", "on", "root"})
      if (!option(name).empty()) command += " --" + std::string(name) + " " + quoted_for_shell(option(name));
    if (std::find(job_->info.begin(), job_->info.end(), "strict") != job_->info.end()) command += " --strict";
    return command;
  }

  // What was written is judged once, when the next step would change it or the test ends.
  void judge() {
    if (!job_ || judged_) return;
    judged_ = true;
    if (ran_command_ && expectations_.empty()) return;
    const auto result = nlohmann::json::parse(run(folder_, check_command(true) + "; true", false), nullptr, false);
    if (result.is_discarded() || !result.is_object()) {
      fail(job_->line, "`" + check_command(true) + "` gave no JSON:\n" + run(folder_, check_command(false)));
      return;
    }
    for (const auto& notice : result.value("notices", nlohmann::json::array())) take_notice(notice);
    for (const auto& finding : result.value("findings", nlohmann::json::array())) take_finding(finding);
    for (const auto& expected : expectations_)
      if (!expected.met)
        fail(expected.suite_line, "expected here and not found: " + expected.verb + " " + expected.code +
                                      (expected.words.empty() ? "" : " \"" + expected.words + "\""));
    expectations_.clear();
  }

  static std::string text_at(const nlohmann::json& object, const char* key) {
    return object.contains(key) && object[key].is_string() ? object[key].get<std::string>() : std::string();
  }

  // Marks all expectations that fit; true if there was one.
  bool meet(const nlohmann::json& place, const std::string& verb, const std::string& code, const std::string& words) {
    bool met = false;
    const std::string file = text_at(place, "path");
    const std::size_t line = place.is_object() && place.contains("line") ? place["line"].get<std::size_t>() : 0;
    for (auto& expected : expectations_) {
      if (expected.file != file || expected.line != line || expected.verb != verb || expected.code != code) continue;
      if (words.find(expected.words) == std::string::npos) continue;
      expected.met = met = true;
    }
    return met;
  }

  std::string where(const nlohmann::json& place) const {
    if (!place.is_object()) return "without a place";
    return "at " + text_at(place, "path") + ":" + std::to_string(place.value("line", 0));
  }

  void take_notice(const nlohmann::json& notice) {
    const auto place = notice.value("place", nlohmann::json());
    const std::string code = text_at(notice, "code"), headline = text_at(notice, "headline");
    if (!meet(place, "says", code, headline)) fail(job_->line, "unexpected " + where(place) + ": says " + code + " \"" + headline + "\"");
  }

  bool is_looked_at(const std::string& rule) const {
    const std::string only = option("only");
    if (only.empty()) return true;
    return ("," + only + ",").find("," + rule + ",") != std::string::npos;
  }

  void take_finding(const nlohmann::json& finding) {
    const auto place = finding.value("place", nlohmann::json());
    const std::string rule = text_at(finding, "rule"), outcome = text_at(finding, "outcome");
    const bool met = meet(place, outcome, rule, text_at(finding, "sentence"));
    if (!met && outcome == "breaks" && is_looked_at(rule))
      fail(job_->line, "unexpected " + where(place) + ": breaks " + rule + " \"" + text_at(finding, "sentence") + "\"");
  }

  // A piece of the language that is no whole job: nothing may be said of its form.
  void check_form(const Block& block) {
    const std::string name = "fragment.drip";
    write_file(folder_ / name, join_lines(block.lines));
    const auto result = nlohmann::json::parse(run(folder_, "dripleg check " + name + " --format json; true", false), nullptr, false);
    fs::remove(folder_ / name);
    if (result.is_discarded() || !result.is_object()) return fail(block.line, "the fragment was not read");
    for (const auto& notice : result.value("notices", nlohmann::json::array())) {
      const std::string code = text_at(notice, "code");
      if (!code.starts_with("syntax.") && !code.starts_with("text.") && !code.starts_with("limit.")) continue;
      const std::size_t line = notice.contains("place") && notice["place"].is_object() ? notice["place"].value("line", 0u) : 0u;
      fail(block.line + line, code + " \"" + text_at(notice, "headline") + "\"");
    }
  }

  void compare(const Block& block) {
    if (!output_) {
      if (!job_) return fail(block.line, "an output wants a job or a command before it");
      output_ = run(folder_, check_command(false));
      // The whole text is compared here, so that what it says needs no second expectation.
      if (expectations_.empty()) judged_ = true;
    }
    const std::string expected = join_lines(block.lines);
    if (expected == *output_) return;
    if (accept_) {
      accepted_.push_back({block, *output_});
      changed_ = true;
      return;
    }
    fail(block.line, "the output is another\n" + difference(split_lines(expected), split_lines(*output_)));
  }

  static std::string difference(const std::vector<std::string>& expected, const std::vector<std::string>& found) {
    std::size_t same = 0;
    while (same < expected.size() && same < found.size() && expected[same] == found[same]) ++same;
    std::string text = "  the first " + std::to_string(same) + " lines are the same\n";
    const auto show = [&](const char* head, const std::vector<std::string>& lines) {
      for (std::size_t i = same; i < std::min(lines.size(), same + 12); ++i) text += std::string(head) + lines[i] + "\n";
    };
    show("  expected | ", expected);
    show("  found    | ", found);
    return text;
  }

  void write_accepted() {
    std::vector<std::string> lines;
    std::size_t next = 0;
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      lines.push_back(lines_[i]);
      if (next == accepted_.size() || accepted_[next].block.line != i + 1) continue;
      for (auto& line : split_lines(accepted_[next].text)) lines.push_back(std::move(line));
      i += accepted_[next].block.lines.size();
      ++next;
    }
    write_file(suite_, join_lines(lines));
    std::printf("%s: %zu outputs written anew\n", suite_.string().c_str(), accepted_.size());
  }

  struct Accepted {
    Block block;
    std::string text;
  };
  fs::path suite_;
  bool accept_;
  std::vector<std::string> lines_;
  std::string name_;
  fs::path folder_;
  std::vector<std::string> files_;
  std::optional<Block> job_;
  std::vector<Expectation> expectations_;
  std::optional<std::string> output_;
  bool ran_command_ = false, judged_ = false, changed_ = false;
  std::vector<Accepted> accepted_;
  std::size_t failures_ = 0;
};
}  // namespace

int main(int count, char** words) {
  if (count != 3) {
    std::fputs("suite_runner FILE.md DRIPLEG\n", stderr);
    return 2;
  }
  const fs::path program = fs::absolute(words[2]);
  if (program.filename() != "dripleg" || !fs::exists(program)) {
    std::fputs("the second word must be the program `dripleg`\n", stderr);
    return 2;
  }
  const char* const path = std::getenv("PATH");
  ::setenv("PATH", (program.parent_path().string() + ":" + (path ? path : "")).c_str(), 1);
  ::setenv("LC_ALL", "C", 1);
  ::unsetenv("SOURCE_DATE_EPOCH");
  ::unsetenv("NO_COLOR");
  const char* const accept = std::getenv("DRIPLEG_ACCEPT");
  return Runner(words[1], accept && *accept == '1').run_all();
}
