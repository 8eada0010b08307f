#include "project/load.hpp"

#include "base/limits.hpp"
#include "base/printable.hpp"
#include "project/folder_walk.hpp"
#include "project/refusal.hpp"
#include "syntax/parser.hpp"

#include <map>
#include <set>
#include <optional>

namespace dripleg::project {
namespace {
using meaning::is_rows_file;
using notices::Code;
using syntax::Kind;
using syntax::NodeIndex;

// One `use` line, taken apart.
struct UseLine {
  base::Place place;              // of the path, without its quotes, or of the name
  std::string target;
  bool is_file = false;
  std::string alias;
  base::Place edition;
};

std::vector<NodeIndex> top_nodes(const syntax::Tree& tree) {
  return tree.nodes.empty() ? std::vector<NodeIndex>{} : tree.children(tree.root());
}

std::optional<UseLine> read_use(const base::Sources& sources, const syntax::Tree& tree, NodeIndex at) {
  UseLine line;
  bool after_as = false;
  bool target_known = false;
  for (const NodeIndex child : tree.children(at)) {
    const base::Place place{tree.file, tree[child].span()};
    const std::string_view text = sources.text(place);
    const Kind kind = tree.kind(child);
    if (kind == Kind::keyword) {
      after_as = text == "as";
    } else if (kind == Kind::text && !target_known) {
      const bool closed = text.size() >= 2 && text.back() == '"';
      line.place = {tree.file, {place.span.begin + 1, place.span.end - (closed ? 1u : 0u)}};
      line.target = sources.text(line.place);
      line.is_file = target_known = true;
    } else if (kind == Kind::path && after_as) {
      line.alias = text;
    } else if (kind == Kind::path && !target_known) {
      line.place = place;
      line.target = text;
      target_known = true;
    } else if (kind == Kind::measure) {
      line.edition = place;
    }
  }
  if (!target_known) return std::nullopt;
  return line;
}

bool ends_with(std::string_view text, std::string_view ending) {
  return text.size() > ending.size() && text.ends_with(ending);
}
bool is_language_file(std::string_view path) { return ends_with(path, ".drip"); }

// `FIELD from "rows.csv"` in any block: what a field fills its rows from. Another ending is none of ours: a field
// may have a form of its own with `from` in it, and of a table it is told where the table is filled.
std::optional<UseLine> read_from(const base::Sources& sources, const syntax::Tree& tree, NodeIndex at) {
  const auto children = tree.children(at);
  if (children.size() < 3 || !syntax::is_leaf(tree.kind(children[1])) || tree.kind(children[2]) != Kind::text) return std::nullopt;
  if (sources.text({tree.file, tree[children[1]].span()}) != "from") return std::nullopt;
  UseLine line;
  line.place = {tree.file, tree[children[2]].span()};
  std::string_view text = sources.text(line.place);
  if (text.size() < 2 || text.back() != '"') return std::nullopt;
  line.target = text.substr(1, text.size() - 2);
  line.is_file = true;
  if (!is_rows_file(line.target)) return std::nullopt;
  return line;
}

std::string stem(std::string_view path) {
  const std::string_view name = file_of(path);
  return std::string(name.substr(0, name.rfind('.')));
}

bool is_address(std::string_view target) {
  const bool drive = target.size() >= 2 && target[1] == ':';
  return target.starts_with('/') || drive || target.find("://") != std::string_view::npos ||
         target.find('\\') != std::string_view::npos;
}

class Loader {
 public:
  Loader(const Root* root, std::string shown_prefix, base::Sources& sources, notices::Notices& notices)
      : root_(root), shown_prefix_(std::move(shown_prefix)), sources_(sources), notices_(notices) {
    loaded_.complete = true;
  }

  // Adds a file whose bytes are at hand; gives its index.
  u32 add(std::string path, std::string shown, std::string bytes) {
    const u32 index = static_cast<u32>(loaded_.files.size());
    total_ += bytes.size();
    LoadedFile file;
    file.path = std::move(path);
    file.is_text = !is_rows_file(file.path);
    file.file = sources_.add(std::move(shown), std::move(bytes));
    const u32 errors = notices_.errors();
    if (file.is_text) file.tree = syntax::parse(sources_, file.file, notices_);
    else syntax::check_text(sources_, file.file, notices_);
    if (!file.is_text && notices_.errors() != errors) spoilt_.insert(index);
    known_.emplace(file.path, index);
    loaded_.files.push_back(std::move(file));
    return index;
  }

  // Depth first, so that the chain of files being read is at hand; bounded by the depth of the chain.
  void follow_uses(u32 index) {
    chain_.push_back(index);
    follow_rows(index);
    for (const NodeIndex at : top_nodes(loaded_.files[index].tree)) {
      if (loaded_.files[index].tree.kind(at) != Kind::use) continue;
      const auto line = read_use(sources_, loaded_.files[index].tree, at);
      if (!line) continue;
      if (line->is_file) use_file(index, *line);
      else loaded_.files[index].libraries.push_back({line->place, line->target, line->edition});
    }
    chain_.pop_back();
  }

  // Files of rows use nothing in turn, so they are no link of the chain.
  void follow_rows(u32 index) {
    const NodeIndex count = static_cast<NodeIndex>(loaded_.files[index].tree.nodes.size());
    for (NodeIndex at = 0; at < count; ++at) {
      if (loaded_.files[index].tree.kind(at) != Kind::entry) continue;
      const auto line = read_from(sources_, loaded_.files[index].tree, at);
      if (!line) continue;
      const auto used = rows_file(index, *line);
      loaded_.files[index].rows.push_back({line->place, used && !spoilt_.contains(*used) ? loaded_.files[*used].file : FileId{}});
    }
  }

  Loaded take() { return std::move(loaded_); }
  void incomplete() { loaded_.complete = false; }

 private:
  std::string shown(std::string_view path) const { return shown_prefix_ + std::string(path); }

  void refuse(Code code, base::Place place, std::string headline, std::string cure) {
    notices_.add(code, place, std::move(headline)).cures.push_back(std::move(cure));
    incomplete();
  }

  // The path from the root, or none with a notice.
  std::optional<std::string> resolve(u32 index, const UseLine& line) {
    const std::string name = ticked(line.target);
    if (!base::is_printable(line.target)) {
      refuse(Code::file_name, line.place, "the file name " + name + " holds characters that cannot be shown",
             "rename the file with plain letters");
      return std::nullopt;
    }
    if (is_address(line.target)) {
      refuse(Code::file_address, line.place, name + " is no path from this file",
             "write the way from this file's own folder, with `/` between the names");
      return std::nullopt;
    }
    if (!root_) {
      refuse(Code::file_outside, line.place, "a text that is no file can use no file",
             "leave the line out, or judge the file itself");
      return std::nullopt;
    }
    const std::string_view folder = folder_of(loaded_.files[index].path);
    auto path = plain_path(std::string(folder) + "/" + line.target);
    if (!path) {
      refuse(Code::file_outside, line.place, name + " lies outside the job's folder",
             "put the file beneath the folder of the job, or name a folder above both with --root");
      return std::nullopt;
    }
    return path;
  }

  // True, with a notice, if the file is on the chain that leads here.
  bool closes_circle(const std::string& path, base::Place place) {
    for (std::size_t i = 0; i < chain_.size(); ++i) {
      if (loaded_.files[chain_[i]].path != path) continue;
      std::string circle;
      for (std::size_t at = i; at < chain_.size(); ++at) circle += ticked(loaded_.files[chain_[at]].path) + " -> ";
      refuse(Code::file_cycle, place,
             chain_.size() == i + 1 ? ticked(path) + " uses itself" : "files use one another in a circle: " + circle + ticked(path),
             "leave out one of these `use` lines");
      return true;
    }
    return false;
  }

  bool over_limit(base::Place place, std::size_t more) {
    using namespace base::limits;
    if (chain_.size() > use_depth) {
      refuse(Code::limit_use_depth, place, "files use one another in a chain of more than " + std::to_string(use_depth),
             "use the last files from the job itself");
    } else if (loaded_.files.size() >= files) {
      refuse(Code::limit_files, place, "the job uses more than " + std::to_string(files) + " files", "join some of them");
    } else if (total_ + more > closure_bytes) {
      refuse(Code::limit_closure, place,
             "the job and what it uses are longer than " + std::to_string(closure_bytes / (1024 * 1024)) + " MiB together",
             "leave out what the job does not need");
    } else {
      return false;
    }
    return true;
  }

  void use_file(u32 index, const UseLine& line) {
    const auto path = resolve(index, line);
    if (!path) return;
    if (!is_language_file(*path)) {
      refuse(Code::file_ending, line.place, ticked(line.target) + " does not end in `.drip`",
             is_rows_file(*path) ? "rows are read where they are wanted: FIELD from " + ticked(line.target) : "use a file with this ending");
      return;
    }
    if (closes_circle(*path, line.place)) return;
    const std::string alias = line.alias.empty() ? stem(*path) : line.alias;
    if (const auto known = known_.find(*path); known != known_.end()) {
      loaded_.files[index].imports.push_back({line.place, alias, known->second});
      return;
    }
    const auto used = open(*path, line);
    if (!used) return;
    loaded_.files[index].imports.push_back({line.place, alias, *used});
    follow_uses(*used);
  }

  std::optional<u32> rows_file(u32 index, const UseLine& line) {
    const auto path = resolve(index, line);
    if (!path) return std::nullopt;
    if (const auto known = known_.find(*path); known != known_.end()) return known->second;
    return open(*path, line);
  }

  // A file that was not met before, read and added; none with a notice.
  std::optional<u32> open(const std::string& path, const UseLine& line) {
    if (over_limit(line.place, 0)) return std::nullopt;
    Opened opened = root_->read(path);
    if (opened.refusal != Refusal::none) {
      report_refusal(opened, line.target, line.place, notices_);
      incomplete();
      return std::nullopt;
    }
    report_twins(opened, line.target, line.place, notices_);
    if (over_limit(line.place, opened.bytes.size())) return std::nullopt;
    return add(path, shown(path), std::move(opened.bytes));
  }

  const Root* root_;
  std::string shown_prefix_;
  base::Sources& sources_;
  notices::Notices& notices_;
  Loaded loaded_;
  std::map<std::string, u32> known_;   // files by path, few
  std::vector<u32> chain_;             // from the job to the file being read
  std::set<u32> spoilt_;               // files of rows that break the rules of text: told once, not read
  u64 total_ = 0;                      // bytes
};

Loaded nothing() { return {}; }

std::string with_stroke(std::string folder) {
  if (!folder.empty() && folder.back() != '/') folder += '/';
  return folder;
}

// The root's own name, the path of the job below it, and what people are shown in front of a path.
struct Position {
  std::string root;
  std::string path;
  std::string shown_prefix;
};

Position position_of(const JobName& job) {
  if (!job.root.empty()) {
    std::string_view path = job.path;
    const std::string root = with_stroke(job.root);
    if (path.starts_with(root)) path.remove_prefix(root.size());
    return {job.root, plain_path(path).value_or(""), {}};
  }
  std::string_view path = job.path;
  while (path.starts_with("./")) path.remove_prefix(2);
  const std::string folder(folder_of(path));
  const bool is_local = !path.starts_with('/') && plain_path(path).has_value();
  const std::string root = folder.empty() ? (path.starts_with('/') ? "/" : ".") : folder;
  return {root, std::string(file_of(path)), is_local ? with_stroke(plain_path(folder).value_or("")) : std::string{}};
}
}  // namespace

Loaded load_job(const JobName& job, base::Sources& sources, notices::Notices& notices) {
  const bool from_input = job.path == "-";
  const Position at = from_input ? Position{job.root.empty() ? "." : job.root, {}, {}} : position_of(job);
  const auto root = Root::open(at.root);
  if (!root || (!from_input && at.path.empty())) {
    auto& notice = notices.add(Code::file_missing, {}, "there is no file " + ticked(job.path));
    if (!job.root.empty()) notice.cures.push_back("name a file beneath " + ticked(job.root));
    return nothing();
  }
  Opened opened = from_input ? read_standard_input() : root->read(at.path);
  if (opened.refusal != Refusal::none) {
    if (!opened.culprit.empty()) opened.culprit = at.shown_prefix + opened.culprit;
    report_refusal(opened, job.path, {}, notices);
    return nothing();
  }
  report_twins(opened, job.path, {}, notices);
  Loader loader(&*root, at.shown_prefix, sources, notices);
  const std::string shown = from_input ? (job.shown.empty() ? "-" : job.shown) : at.shown_prefix + at.path;
  loader.follow_uses(loader.add(from_input ? shown : at.path, shown, std::move(opened.bytes)));
  return loader.take();
}

Loaded load_library(const std::string& folder, base::Sources& sources, notices::Notices& notices) {
  const auto root = Root::open(folder);
  if (!root) {
    notices.add(Code::file_missing, {}, "there is no folder " + ticked(folder));
    return nothing();
  }
  const std::string prefix = with_stroke(folder);
  Loader loader(&*root, prefix, sources, notices);
  const Walk walk = files_beneath(*root, prefix, ".drip", notices);
  if (!walk.complete) loader.incomplete();
  u64 total = 0;
  for (const auto& path : walk.paths) {
    Opened opened = root->read(path);
    if (opened.refusal != Refusal::none) {
      report_refusal(opened, prefix + path, {}, notices);
      loader.incomplete();
      continue;
    }
    total += opened.bytes.size();
    if (total > base::limits::closure_bytes) {
      notices.add(Code::limit_closure, {}, "the files beneath " + ticked(folder) + " are longer than " +
                                               std::to_string(base::limits::closure_bytes / (1024 * 1024)) + " MiB together");
      loader.incomplete();
      break;
    }
    loader.add(path, prefix + path, std::move(opened.bytes));
  }
  return loader.take();
}

Loaded load_text(std::string shown, std::string text, base::Sources& sources, notices::Notices& notices) {
  Loader loader(nullptr, {}, sources, notices);
  const std::string path = shown;
  loader.follow_uses(loader.add(path, std::move(shown), std::move(text)));
  return loader.take();
}
}  // namespace dripleg::project
