#include "commands/new_job.hpp"

#include "base/printable.hpp"
#include "commands/output.hpp"
#include "project/output_file.hpp"

#include <algorithm>
#include <sys/stat.h>
#include <vector>

namespace dripleg::commands {
namespace {
using syntax::Kind;

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    std::string_view line = text.substr(0, end);
    while (!line.empty() && (line.back() == ' ' || line.back() == '\r')) line.remove_suffix(1);
    lines.push_back(line);
    text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
  }
  return lines;
}
}  // namespace

std::optional<std::string_view> sketch_block(const base::Sources& sources, std::span<const syntax::Tree* const> trees,
                                             std::string_view name) {
  for (const syntax::Tree* const tree : trees) {
    if (tree->nodes.empty()) continue;
    for (const auto at : tree->children(tree->root())) {
      if (tree->kind(at) != Kind::decl_lib) continue;
      std::string_view head, named;
      for (const auto child : tree->children(at)) {
        const std::string_view text = sources.text({tree->file, (*tree)[child].span()});
        if (tree->kind(child) == Kind::keyword) head = text;
        if (tree->kind(child) == Kind::path && named.empty()) named = text;
        if (tree->kind(child) == Kind::block && head == "sketch" && named == name && text.size() >= 2)
          return text.substr(1, text.size() - 2);
      }
    }
  }
  return std::nullopt;
}

std::string new_job_text(std::string_view block, std::string_view library) {
  std::vector<std::string_view> lines = lines_of(block);
  std::size_t indent = std::string_view::npos;
  for (const auto line : lines)
    if (!line.empty()) indent = std::min(indent, line.find_first_not_of(' '));
  const auto is_filled = [](std::string_view line) { return !line.empty(); };
  lines.erase(lines.begin(), std::find_if(lines.begin(), lines.end(), is_filled));
  while (!lines.empty() && lines.back().empty()) lines.pop_back();
  std::string text = "language 1\nuse " + std::string(library) + "\n\n";
  for (const auto line : lines) {
    if (!line.empty()) text += line.substr(indent);
    text += '\n';
  }
  return text;
}

int create_job(const Options& options, const base::Sources& sources, std::span<const syntax::Tree* const> trees,
               std::string_view library) {
  notices::Notices notices;
  const auto refuse = [&](notices::Code code, std::string headline, std::string cure) {
    notices.add(code, {}, std::move(headline)).cures.push_back(std::move(cure));
    complain_notices(sources, notices.all(), options);
    return 2;
  };
  const std::string& folder = options.operands[0];
  const std::string path = folder + (folder.ends_with('/') ? "" : "/") + "job.drip";
  const std::string shown = "`" + base::printable(path) + "`";
  const auto block = sketch_block(sources, trees, survey_sketch);
  if (!block)
    return refuse(notices::Code::file_missing, "the library has no sketch `" + std::string(survey_sketch) + "` to begin a job with",
                  "declare one in the library");
  struct stat about {};
  if (::lstat(path.c_str(), &about) == 0)
    return refuse(notices::Code::file_not_written, "there is a job in " + shown + " already", "name another folder");
  std::string why;
  if (!project::make_folder(folder, why) || !project::write_file(path, new_job_text(*block, library), why))
    return refuse(notices::Code::file_not_written, shown + " cannot be written: " + why, "name a folder that can be written to");
  put(base::printable(path) + " asks what a survey must answer; write over each `?` that you know\n");
  put("then   dripleg check " + base::printable(path) + "\n");
  return 0;
}
}  // namespace dripleg::commands
