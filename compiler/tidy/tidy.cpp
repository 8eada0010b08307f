#include "tidy/tidy.hpp"

#include "base/limits.hpp"
#include "base/utf8.hpp"
#include "syntax/parser.hpp"
#include "tidy/lines.hpp"
#include "tidy/proof.hpp"

#include <optional>

namespace dripleg::tidy {
namespace {
// A file ends its lines the way its first line does.
std::string_view line_end_of(std::string_view text) {
  const std::size_t found = text.find('\n');
  return found != std::string_view::npos && found > 0 && text[found - 1] == '\r' ? "\r\n" : "\n";
}

void write_line(const Page& page, const Line& line, std::string& out) {
  out.append(line.indent, ' ');
  for (u32 at = line.first; at < line.last; ++at) {
    if (at != line.first) out.append(page.leaves[at].gap, ' ');
    const base::Span span = page.node_of(page.leaves[at]).span();
    out += page.text.substr(span.begin, span.size());
  }
  if (!line.comment) return;
  if (line.first != line.last) out.append(line.comment_gap, ' ');
  out += page.text.substr(line.comment->begin, line.comment->size());
}

// None if it would be too long to be read.
std::optional<std::string> written(const Page& page) {
  std::string out(page.text.substr(0, base::begin_of_text(page.text)));
  const std::string_view line_end = line_end_of(page.text);
  bool any = false, gap = false;
  for (u32 at = 0; at < page.lines.size(); ++at) {
    const Line& line = page.lines[at];
    if (!line.kept && line.empty()) {
      gap = any;
      continue;
    }
    if (gap) out += line_end;
    const std::size_t begin = out.size();
    gap = false;
    any = true;
    if (line.kept) {
      const std::size_t next = at + 1 < page.lines.size() ? page.lines[at + 1].span.begin : page.text.size();
      out += page.text.substr(line.span.begin, next - line.span.begin);
      if (out.back() != '\n') out += line_end;
    } else {
      write_line(page, line, out);
      if (out.size() - begin > base::limits::line_bytes) return std::nullopt;
      out += line_end;
    }
    if (out.size() > base::limits::file_bytes) return std::nullopt;
  }
  return out;
}

std::vector<base::Span> places_in(FileId file, const notices::Notices& found) {
  std::vector<base::Span> places;
  for (const notices::Notice& notice : found.all())
    if (notice.place.given() && notice.place.file == file) places.push_back(notice.place.span);
  return places;
}
}  // namespace

Tidied tidy(const base::Source& source, const syntax::Tree& tree, const notices::Notices& found) {
  Tidied tidied{std::string(source.text()), Outcome::laid_out, {}};
  if (tree.nodes.empty()) return tidied;
  const std::vector<base::Span> mistakes = places_in(tree.file, found);
  Page page(source, tree);
  keep_broken(page, mistakes);
  align(page);
  indent(page);
  align_comments(page);
  std::optional<std::string> text = written(page);
  if (!text) tidied.outcome = Outcome::left_alone;
  if (!text || *text == source.text()) return tidied;

  base::Sources again;
  notices::Notices ignored;
  const FileId file = again.add(std::string(source.path()), *text);
  const syntax::Tree reread = syntax::parse(again, file, ignored);
  if (say_the_same(source, tree, again[file], reread)) {
    tidied.text = std::move(*text);
  } else if (!mistakes.empty()) {
    tidied.outcome = Outcome::left_alone;
  } else {
    tidied.outcome = Outcome::failed;
    tidied.faults.add(notices::Code::tidy_fault, {tree.file, {0, 0}}, "this file laid out anew would be read differently; it is left as it was")
        .cures.emplace_back("this is a fault of ours: please report it with the file");
  }
  return tidied;
}
}  // namespace dripleg::tidy
