#include "commands/arguments.hpp"

#include "base/printable.hpp"
#include "base/spelling.hpp"
#include "commands/option_table.hpp"
#include "quantities/reading.hpp"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <array>
#include <charconv>

namespace dripleg::commands {
namespace {
using notices::Code;

std::string ticked(std::string_view word) { return "`" + base::printable(word) + "`"; }

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) text += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + ticked(words[i]);
  return text;
}

void complain(notices::Notices& notices, Code code, std::string headline, std::string cure) {
  auto& notice = notices.add(code, {}, std::move(headline));
  if (!cure.empty()) notice.cures.push_back(std::move(cure));
}

std::string did_you_mean(std::string_view word, const std::vector<std::string_view>& known, std::string otherwise) {
  const auto near = base::near_spellings(word, known);
  return near.empty() ? std::move(otherwise) : "did you mean " + joined(near);
}

std::optional<Command> command_of(std::string_view word) {
  for (const CommandEntry& entry : all_commands)
    if (entry.word == word) return entry.command;
  return std::nullopt;
}

void unknown_command(std::string_view word, notices::Notices& notices) {
  std::vector<std::string_view> known;
  for (const CommandEntry& entry : all_commands) known.push_back(entry.word);
  complain(notices, Code::usage_command, ticked(word) + " is no command", did_you_mean(word, known, "see `dripleg --help`"));
}

void unknown_option(std::string_view word, const CommandEntry& entry, notices::Notices& notices) {
  const std::string_view name = word.substr(0, word.find('='));
  std::vector<std::string_view> known;
  bool elsewhere = false;
  for (const OptionEntry& option : all_options) {
    if (option.commands & of(entry.command)) known.push_back(option.name);
    else if (option.name == name) elsewhere = true;
  }
  const std::string page = "see `dripleg " + std::string(entry.word) + " --help`";
  if (elsewhere)
    complain(notices, Code::usage_option, ticked(name) + " is no option of `dripleg " + std::string(entry.word) + "`", page);
  else
    complain(notices, Code::usage_option, ticked(name) + " is no option", did_you_mean(name, known, page));
}

// What CLI11 hands over: the texts as typed, before any of them is understood.
struct Typed {
  std::array<std::vector<std::string>, all_options.size()> values;
  std::array<bool, all_options.size()> flags{};
  std::vector<std::string> operands;
};

// CLI11 reads one command's own options; its exceptions end here. Words that are left over are either
// operands or options that the command does not have.
bool read_words(std::vector<std::string> words, const CommandEntry& entry, Typed& typed, notices::Notices& notices) {
  CLI::App app;
  app.set_help_flag();
  app.allow_extras();
  for (std::size_t i = 0; i < all_options.size(); ++i) {
    const OptionEntry& option = all_options[i];
    if (!(option.commands & of(entry.command))) continue;
    const std::string name(option.name);
    if (option.value.empty()) app.add_flag(name, typed.flags[i]);
    else app.add_option(name, typed.values[i])->expected(1)->allow_extra_args(false)->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  }
  std::reverse(words.begin(), words.end());   // it takes them from the back
  try {
    app.parse(std::move(words));
  } catch (const CLI::ParseError& mistake) {
    std::string name(mistake.what());
    name = name.substr(0, name.find_first_of(": "));
    complain(notices, Code::usage_value, ticked(name) + " wants a value", "see `dripleg " + std::string(entry.word) + " --help`");
    return false;
  }
  bool right = true;
  for (const std::string& word : app.remaining()) {
    if (word.size() > 1 && word.front() == '-') {
      unknown_option(word, entry, notices);
      right = false;
    } else {
      typed.operands.push_back(word);
    }
  }
  return right;
}

std::optional<i32> read_day(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  std::array<int, 3> parts{};
  const std::array<std::string_view, 3> words{text.substr(0, 4), text.substr(5, 2), text.substr(8, 2)};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto [end, error] = std::from_chars(words[i].data(), words[i].data() + words[i].size(), parts[i]);
    if (error != std::errc() || end != words[i].data() + words[i].size()) return std::nullopt;
  }
  return quantities::days_of(parts[0], parts[1], parts[2]);
}

std::optional<i32> day_of_epoch(std::string_view text) {
  u64 seconds = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), seconds);
  if (text.empty() || error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  constexpr u64 seconds_a_day = 86400, most_days = 2932896;   // the last day of the year 9999
  if (seconds / seconds_a_day > most_days) return std::nullopt;
  return static_cast<i32>(seconds / seconds_a_day);
}

bool wrong_value(std::string_view name, std::string_view value, std::string_view wanted, notices::Notices& notices) {
  complain(notices, Code::usage_value, ticked(value) + " is no value of `" + std::string(name) + "`", "write " + std::string(wanted));
  return false;
}

bool take_value(const OptionEntry& option, const std::string& value, Options& options, notices::Notices& notices) {
  switch (option.id) {
    case OptionId::format:
      if (value == "text") options.format = Format::text;
      else if (value == "json") options.format = Format::json;
      else return wrong_value(option.name, value, "`text` or `json`", notices);
      return true;
    case OptionId::color:
      if (value == "auto") options.colour = Colour::automatic;
      else if (value == "always") options.colour = Colour::always;
      else if (value == "never") options.colour = Colour::never;
      else return wrong_value(option.name, value, "`auto`, `always` or `never`", notices);
      return true;
    case OptionId::on:
      options.day = read_day(value);
      options.day_source = DaySource::option;
      return options.day ? true : wrong_value(option.name, value, "a day of the calendar as year, month and day: 2026-03-14", notices);
    case OptionId::case_name: options.case_name = value; break;
    case OptionId::layout: options.layout = value; break;
    case OptionId::out: options.out = value; break;
    case OptionId::library: options.library = value; break;
    case OptionId::root: options.root = value; break;
    case OptionId::name: options.name = value; break;
    case OptionId::all:
    case OptionId::strict:
    case OptionId::check_only:
    case OptionId::help: return true;
  }
  return value.empty() ? wrong_value(option.name, value, std::string(option.value) + " behind it", notices) : true;
}

void take_flag(OptionId id, Options& options) {
  switch (id) {
    case OptionId::all: options.all = true; return;
    case OptionId::strict: options.strict = true; return;
    case OptionId::check_only: options.check_only = true; return;
    case OptionId::help: options.help = true; return;
    case OptionId::format:
    case OptionId::color:
    case OptionId::on:
    case OptionId::case_name:
    case OptionId::layout:
    case OptionId::out:
    case OptionId::library:
    case OptionId::root:
    case OptionId::name: return;
  }
}

bool understand(const Typed& typed, Options& options, notices::Notices& notices) {
  bool right = true;
  for (std::size_t i = 0; i < all_options.size(); ++i) {
    const OptionEntry& option = all_options[i];
    if (typed.flags[i]) take_flag(option.id, options);
    if (typed.values[i].size() > 1) {
      complain(notices, Code::usage_value, "`" + std::string(option.name) + "` is given twice", "leave one of them out");
      right = false;
    } else if (!typed.values[i].empty()) {
      right = take_value(option, typed.values[i].front(), options, notices) && right;
    }
  }
  return right;
}

bool right_number(const CommandEntry& entry, const Options& options, notices::Notices& notices) {
  const std::size_t have = options.operands.size();
  const bool any_number = entry.most == 0 && !entry.operands.empty();
  const std::string form = "write `dripleg " + std::string(entry.word) + (entry.operands.empty() ? "" : " ") + std::string(entry.operands) + "`";
  if (have < entry.least) {
    complain(notices, Code::usage_operand, "`dripleg " + std::string(entry.word) + "` wants more than is given", form);
    return false;
  }
  if (!any_number && have > entry.most) {
    complain(notices, Code::usage_operand, ticked(options.operands[entry.most]) + " is one too many", form);
    return false;
  }
  return true;
}

bool take_environment(const Environment& environment, Options& options, notices::Notices& notices) {
  options.no_colour_asked = environment.no_color && !environment.no_color->empty();
  if (options.day || !environment.source_date_epoch) return true;
  options.day = day_of_epoch(*environment.source_date_epoch);
  options.day_source = DaySource::environment;
  if (options.day) return true;
  complain(notices, Code::usage_value, "SOURCE_DATE_EPOCH is " + ticked(*environment.source_date_epoch) + ", which is no number of seconds",
           "unset it, or give the day with --on");
  return false;
}
}  // namespace

const CommandEntry& entry_of(Command command) { return all_commands[static_cast<std::size_t>(command)]; }

std::optional<Options> read_arguments(std::span<const std::string> words, const Environment& environment,
                                      notices::Notices& notices) {
  Options options;
  if (words.empty() || words[0] == "--help" || words[0] == "-h" || words[0] == "help") {
    options.help = true;
    if (words.size() > 1 && !words[1].starts_with('-')) {
      options.command = command_of(words[1]);
      if (!options.command) return unknown_command(words[1], notices), std::nullopt;
    }
    return options;
  }
  if (words[0] == "--version") {
    options.version = true;
    return options;
  }
  options.command = command_of(words[0]);
  if (!options.command) {
    unknown_command(words[0], notices);
    return std::nullopt;
  }
  const CommandEntry& entry = entry_of(*options.command);
  const auto dashes = std::find(words.begin() + 1, words.end(), "--");
  Typed typed;
  // Both are asked, so that all mistakes are told at once.
  const bool read = read_words({words.begin() + 1, dashes}, entry, typed, notices);
  const bool understood = understand(typed, options, notices);
  options.operands = std::move(typed.operands);
  if (dashes != words.end()) options.operands.insert(options.operands.end(), dashes + 1, words.end());
  if (!read || !understood || !take_environment(environment, options, notices)) return std::nullopt;
  if (options.help) return options;
  if (!right_number(entry, options, notices)) return std::nullopt;
  return options;
}
}  // namespace dripleg::commands
