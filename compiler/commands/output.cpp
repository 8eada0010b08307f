#include "commands/output.hpp"

#include "notices/order.hpp"

#include <cerrno>
#include <string>
#include <sys/ioctl.h>
#include <unistd.h>

namespace dripleg::commands {
namespace {
constexpr std::size_t piece = 1 << 16;
constexpr u32 width_without_terminal = 100, least_width = 60, most_width = 140;

struct Waiting {
  std::string text;
  bool failed = false;
};
// The one thing here that outlives a call: what waits for standard output.
Waiting& waiting() {
  static Waiting held;
  return held;
}

bool write_all(int handle, std::string_view text) {
  while (!text.empty()) {
    const ssize_t done = ::write(handle, text.data(), text.size());
    if (done < 0 && errno == EINTR) continue;
    if (done < 0) return false;
    text.remove_prefix(static_cast<std::size_t>(done));
  }
  return true;
}

notices::Drawing drawing_for(const Options& options, int handle) {
  notices::Drawing drawing;
  drawing.width = width_without_terminal;
  const bool terminal = ::isatty(handle) == 1;
  if (terminal) {
    winsize size{};
    if (::ioctl(handle, TIOCGWINSZ, &size) == 0 && size.ws_col != 0)
      drawing.width = std::min(most_width, std::max<u32>(least_width, size.ws_col));
  }
  switch (options.colour) {
    case Colour::always: drawing.colour = true; break;
    case Colour::never: drawing.colour = false; break;
    case Colour::automatic: drawing.colour = terminal && !options.no_colour_asked; break;
  }
  return drawing;
}

std::string drawn(const base::Sources& sources, const std::vector<notices::Notice>& notices,
                  const notices::Drawing& drawing) {
  std::string text;
  for (const auto& notice : notices::in_order(sources, notices)) {
    if (!text.empty()) text += '\n';
    notices::draw(sources, notice, drawing, text);
  }
  return text;
}
}  // namespace

void put(std::string_view text) {
  waiting().text += text;
  if (waiting().text.size() >= piece) flush();
}

bool flush() {
  Waiting& held = waiting();
  if (!held.failed && !write_all(STDOUT_FILENO, held.text)) held.failed = true;
  held.text.clear();
  return !held.failed;
}

void complain(std::string_view text) {
  flush();
  write_all(STDERR_FILENO, text);
}

notices::Drawing drawing_for_output(const Options& options) { return drawing_for(options, STDOUT_FILENO); }
notices::Drawing drawing_for_errors(const Options& options) { return drawing_for(options, STDERR_FILENO); }

void put_notices(const base::Sources& sources, const std::vector<notices::Notice>& notices, const Options& options) {
  put(drawn(sources, notices, drawing_for_output(options)));
}
void complain_notices(const base::Sources& sources, const std::vector<notices::Notice>& notices, const Options& options) {
  complain(drawn(sources, notices, drawing_for_errors(options)));
}
}  // namespace dripleg::commands
