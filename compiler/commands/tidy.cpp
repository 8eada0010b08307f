// `dripleg tidy`: lays files out, or says which ones would change.
#include "commands/commands.hpp"
#include "commands/output.hpp"
#include "project/folder_walk.hpp"
#include "project/output_file.hpp"
#include "project/refusal.hpp"
#include "syntax/parser.hpp"
#include "tidy/tidy.hpp"

#include <algorithm>
#include <sys/stat.h>

namespace dripleg::commands {
namespace {
using notices::Code;
using project::Opened;
using project::Refusal;
using project::Root;

bool is_folder(const std::string& path) {
  struct stat about {};
  return ::stat(path.c_str(), &about) == 0 && S_ISDIR(about.st_mode);
}

class Tidying {
 public:
  explicit Tidying(const Options& options) : options_(options) {}

  int run() {
    for (const std::string& path : options_.operands) {
      if (path == "-") take_input();
      else if (is_folder(path)) take_folder(path);
      else take_file(path);
    }
    complain_notices(sources_, notices_.all(), options_);
    if (faults_) return 3;
    if (notices_.any_errors()) return 2;
    return options_.check_only && changes_ ? 1 : 0;
  }

 private:
  void take_input() {
    const std::string shown = options_.name.empty() ? "-" : options_.name;
    const auto text = laid_out(project::read_standard_input(), shown);
    if (!text) return;
    if (options_.check_only) say_if_changed(*text, shown);
    else put(text->after);
  }

  void take_folder(const std::string& folder) {
    const auto root = Root::open(folder);
    if (!root) {
      notices_.add(Code::file_unreadable, {}, project::ticked(folder) + " cannot be opened");
      return;
    }
    const std::string prefix = folder.back() == '/' ? folder : folder + "/";
    for (const std::string& path : project::files_beneath(*root, prefix, ".drip", notices_).paths) take(*root, path, prefix + path);
  }

  void take_file(const std::string& path) {
    const std::string folder(project::folder_of(path));
    const auto root = Root::open(!folder.empty() ? folder : path.starts_with('/') ? "/" : ".");
    const std::string name(project::file_of(path));
    if (root && !name.empty()) take(*root, name, path);
    else notices_.add(Code::file_missing, {}, "there is no file " + project::ticked(path));
  }

  // A file that was met already, beneath another path of the command line, is not read again.
  void take(const Root& root, const std::string& path, const std::string& shown) {
    if (std::find(taken_.begin(), taken_.end(), shown) != taken_.end()) return;
    taken_.push_back(shown);
    const auto text = laid_out(root.read(path), shown);
    if (!text || !say_if_changed(*text, shown) || options_.check_only) return;
    std::string why;
    if (!project::write_file(shown, text->after, why))
      notices_.add(Code::file_not_written, {}, project::ticked(shown) + " could not be written: " + why);
  }

  struct Texts {
    std::string_view before;
    std::string after;
  };
  std::optional<Texts> laid_out(Opened opened, const std::string& shown) {
    if (opened.refusal != Refusal::none) {
      project::report_refusal(opened, shown, {}, notices_);
      return std::nullopt;
    }
    const FileId file = sources_.add(shown, std::move(opened.bytes));
    notices::Notices found;
    const syntax::Tree tree = syntax::parse(sources_, file, found);
    tidy::Tidied tidied = tidy::tidy(sources_[file], tree, found);
    notices_.take(std::move(found));
    faults_ = faults_ || tidied.outcome == tidy::Outcome::failed;
    notices_.take(std::move(tidied.faults));
    return Texts{sources_[file].text(), std::move(tidied.text)};
  }

  bool say_if_changed(const Texts& texts, const std::string& shown) {
    if (texts.before == texts.after) return false;
    changes_ = true;
    put(shown + "\n");
    return true;
  }

  const Options& options_;
  base::Sources sources_;
  notices::Notices notices_;
  std::vector<std::string> taken_;
  bool changes_ = false, faults_ = false;
};
}  // namespace

int run_tidy(const Options& options) { return Tidying(options).run(); }
}  // namespace dripleg::commands
