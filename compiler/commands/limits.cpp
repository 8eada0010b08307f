#include "base/limits.hpp"
#include "commands/commands.hpp"
#include "commands/json.hpp"
#include "commands/output.hpp"

namespace dripleg::commands {
namespace {
std::string as_text() {
  std::string text;
  for (const auto& limit : base::all_limits) {
    const std::string number = std::to_string(limit.value);
    std::string line = std::string(number.size() < 10 ? 10 - number.size() : 0, ' ') + number + " " + std::string(limit.counted);
    line += std::string(line.size() < 24 ? 24 - line.size() : 1, ' ');
    line += std::string(limit.name);
    line += std::string(line.size() < 46 ? 46 - line.size() : 1, ' ');
    text += line + std::string(limit.about) + "\n";
  }
  return text;
}

std::string as_json() {
  std::string text;
  JsonWriter json(text);
  json.begin_object().member("format", "dripleg.limits/1").key("limits").begin_array();
  for (const auto& limit : base::all_limits)
    json.begin_object()
        .member("name", limit.name)
        .member("value", limit.value)
        .member("counted", limit.counted)
        .member("about", limit.about)
        .end_object();
  json.end_array().end_object().finish();
  return text;
}
}  // namespace

int run_limits(const Options& options) {
  put(options.format == Format::json ? as_json() : as_text());
  return 0;
}
}  // namespace dripleg::commands
