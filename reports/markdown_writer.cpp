#include "reports/markdown_writer.hpp"

#include "reports/markdown_table.hpp"
#include "reports/outline.hpp"
#include "reports/prose.hpp"
#include "reports/text_width.hpp"

#include <algorithm>

namespace dripleg::reports {
namespace {
bool is_slug_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'); }

// The anchor that forges give a heading. Only for headings on which they agree; else empty.
std::string slug_of(std::string_view heading) {
  std::string slug;
  for (const char c : heading) {
    if (is_slug_letter(c)) {
      slug.push_back(c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c);
    } else if (c == ' ') {
      slug.push_back('-');
    } else {
      return {};
    }
  }
  return slug;
}

class MarkdownWriter {
 public:
  explicit MarkdownWriter(const Document& document) : document_(document), outline_(document) {
    for (std::size_t i = 0; i < document.sections.size(); ++i) slugs_.push_back(slug_of(heading(i)));
    std::vector<std::string> known = slugs_;
    known.push_back(slug_of(document.title));
    for (std::string& slug : slugs_) {
      if (std::count(known.begin(), known.end(), slug) > 1) slug.clear();
    }
  }

  std::string write() {
    put_head();
    put_contents();
    for (std::size_t i = 0; i < document_.sections.size(); ++i) put_section(i);
    if (!document_.foot.empty()) {
      open_block();
      out_ << "---\n\n" << markdown_text(document_.foot) << "\n";
    }
    return out_.take();
  }

 private:
  void open_block() {
    if (!out_.empty()) out_ << "\n";
  }

  std::string heading(std::size_t index) const {
    const Section& section = document_.sections[index];
    return document_.numbered ? outline_.section_number(index) + " " + section.heading : section.heading;
  }

  void put_strong(MarkdownSink& out, std::string_view raw) const {
    const MarkdownCell text = markdown_cell(raw);
    if (!text.empty()) out << "**" << text << "**";
  }

  // Where a heading agrees with its anchor on every forge, the words lead there.
  void put_linked(MarkdownSink& out, std::string_view raw, std::string_view target) const {
    const PartId* part = outline_.find(target);
    const bool linked = part != nullptr && part->part == Part::section && !slugs_[part->number - 1].empty();
    if (linked) {
      out << "[" << markdown_cell(raw) << "](#" << markdown_cell(slugs_[part->number - 1]) << ")";
    } else {
      out << markdown_cell(raw);
    }
  }

  void put_key_line(MarkdownSink& out, const KeyLine& line) const {
    put_strong(out, line.key);
    if (!line.key.empty()) out << " ";
    put_linked(out, line.value, line.link);
  }

  void put_head() {
    if (!document_.title.empty()) out_ << "# " << markdown_cell(document_.title) << "\n";
    if (!document_.subtitle.empty()) {
      open_block();
      out_ << markdown_text(document_.subtitle) << "\n";
    }
    if (document_.head.empty()) return;
    open_block();
    for (std::size_t i = 0; i < document_.head.size(); ++i) {
      if (i > 0) out_ << " · ";
      put_key_line(out_, document_.head[i]);
    }
    out_ << "\n";
  }

  void put_contents() {
    if (document_.words.contents.empty() || document_.sections.size() < 2) return;
    open_block();
    put_strong(out_, document_.words.contents);
    out_ << "\n\n";
    for (std::size_t i = 0; i < document_.sections.size(); ++i) {
      if (document_.sections[i].heading.empty()) continue;
      out_.repeat(' ', 2 * static_cast<std::size_t>(std::clamp(document_.sections[i].level, 1, 4) - 1)) << "- ";
      if (slugs_[i].empty()) {
        out_ << markdown_text(heading(i)) << "\n";
      } else {
        out_ << "[" << markdown_cell(heading(i)) << "](#" << markdown_cell(slugs_[i]) << ")\n";
      }
    }
  }

  void put_section(std::size_t index) {
    const Section& section = document_.sections[index];
    level_ = std::clamp(section.level, 1, 4) + 1;
    if (!section.heading.empty()) {
      open_block();
      out_.repeat('#', static_cast<std::size_t>(level_)) << " " << markdown_cell(heading(index)) << "\n";
    }
    put_blocks(section.blocks);
  }

  void put_blocks(const std::vector<Block>& blocks) {
    for (const Block& block : blocks) std::visit([this](const auto& part) { put(part); }, block.value);
  }

  void put(const Paragraph& paragraph) {
    const MarkdownProse prose = markdown_prose(paragraph.prose, level_);
    if (prose.empty()) return;
    open_block();
    out_ << prose;
  }

  void put(const Line& line) {
    if (line.text.empty()) return;
    open_block();
    if (line.weight == Weight::strong) {
      put_strong(out_, line.text);
    } else if (!line.link.empty()) {
      put_linked(out_, line.text, line.link);
    } else {
      out_ << markdown_text(line.text);
    }
    out_ << "\n";
  }

  void put(const KeyList& list) {
    if (list.lines.empty()) return;
    open_block();
    for (const KeyLine& line : list.lines) {
      out_ << "- ";
      put_key_line(out_, line);
      out_ << "\n";
    }
  }

  void put(const Banner& banner) {
    if (banner.words.empty()) return;
    open_block();
    out_ << "> ";
    put_strong(out_, banner.words);
    if (!banner.note.empty()) out_ << " · " << markdown_cell(banner.note);
    out_ << "\n";
  }

  MarkdownSink cell_text(const Cell& cell, RowKind kind) const {
    MarkdownSink out;
    if (cell.kind == CellKind::box) out << "☐ ";
    if (cell.kind == CellKind::blank && cell.text.empty()) out << "______";
    if (kind == RowKind::plain) {
      put_linked(out, cell.text, cell.link);
    } else {
      put_strong(out, cell.text);
    }
    for (const Mark& mark : cell.marks) {
      if (mark.word.empty()) continue;
      if (!out.empty()) out << " ";
      mark.tone == Tone::plain ? void(out << markdown_cell(mark.word)) : put_strong(out, mark.word);
    }
    return out;
  }

  void put(const Table& table) {
    if (table.columns.empty()) return;
    if (!table.caption.empty()) {
      open_block();
      put_strong(out_, table.caption);
      out_ << "\n";
    }
    MarkdownGrid grid;
    grid.rows.emplace_back();
    for (const Column& column : table.columns) {
      grid.aligns.push_back(column.align);
      MarkdownSink head;
      head << markdown_cell(column.head);
      if (!column.unit.empty()) head << (column.head.empty() ? Literal("") : Literal(", ")) << markdown_cell(column.unit);
      grid.rows.front().push_back(std::move(head));
    }
    for (const Row& row : table.rows) {
      grid.rows.emplace_back();
      for (const Cell& cell : row.cells) grid.rows.back().push_back(cell_text(cell, row.kind));
    }
    open_block();
    put_grid(out_, grid);
    if (table.notes.empty()) return;
    open_block();
    for (const std::string& note : table.notes) out_ << "- " << markdown_text(note) << "\n";
  }

  void put(const FindingBlock& finding) {
    if (finding.call.empty() && finding.sentence.empty()) return;
    open_block();
    std::string call = finding.call;
    if (finding.ordinal > 0) call += (call.empty() ? "" : " ") + std::to_string(finding.ordinal);
    put_strong(out_, call);
    if (!call.empty()) out_ << " ";
    out_ << markdown_cell(finding.sentence) << "\n";
    const bool listed = finding.margin || !finding.lines.empty() || !finding.remedy.empty() || !finding.cautions.empty();
    if (listed) open_block();
    if (finding.margin) {
      const MarginBar& bar = *finding.margin;
      out_ << "- ";
      put_strong(out_, document_.words.margin);
      if (!document_.words.margin.empty()) out_ << " ";
      out_ << markdown_code(margin_line(bar)) << " " << markdown_cell(margin_words(bar)) << "\n";
    }
    for (const KeyLine& line : finding.lines) {
      out_ << "- ";
      put_key_line(out_, line);
      out_ << "\n";
    }
    if (!finding.remedy.empty()) put_item(document_.words.remedy, finding.remedy);
    for (const std::string& caution : finding.cautions) put_item(document_.words.caution, caution);
    put_derivation(finding.derivation);
  }

  void put_item(std::string_view label, std::string_view raw) {
    out_ << "- ";
    put_strong(out_, label);
    if (!label.empty()) out_ << " ";
    out_ << markdown_cell(raw) << "\n";
  }

  void put_derivation(const std::vector<DerivationLine>& derivation) {
    if (derivation.empty()) return;
    std::string lines;
    for (const DerivationLine& line : derivation) {
      lines.append(2 * std::min<std::size_t>(line.depth, 20), ' ');
      lines += shown_text(line.text);
      if (!line.source.empty()) lines += "   [" + shown_text(line.source) + "]";
      lines.push_back('\n');
    }
    open_details(document_.words.working, false);
    open_block();
    out_ << markdown_fence(lines);
    close_details();
  }

  void open_details(std::string_view summary, bool open) {
    open_block();
    out_ << (open ? Literal("<details open><summary>") : Literal("<details><summary>")) << markdown_summary(summary)
         << "</summary>\n";
  }

  void close_details() {
    open_block();
    out_ << "</details>\n";
  }

  void put(const MarginList& list) {
    if (list.rows.empty()) return;
    if (!list.caption.empty()) {
      open_block();
      put_strong(out_, list.caption);
      out_ << "\n";
    }
    std::size_t label = 0;
    std::size_t found = 0;
    std::size_t needs = 0;
    for (const MarginRow& row : list.rows) {
      label = std::max(label, columns(shown_text(row.label)));
      found = std::max(found, columns(shown_text(row.bar.found_text)));
      needs = std::max(needs, columns(shown_text(row.bar.needs_text)));
    }
    const auto padded = [](std::string_view raw, std::size_t width) {
      std::string text = shown_text(raw);
      text.append(width - std::min(width, columns(text)) + 2, ' ');
      return text;
    };
    std::string lines;
    for (const MarginRow& row : list.rows) {
      lines += padded(row.label, label) + padded(row.bar.found_text, found) + padded(row.bar.needs_text, needs);
      lines += margin_line(row.bar) + "  " + shown_text(margin_words(row.bar));
      if (!row.note.empty()) lines += "  (" + shown_text(row.note) + ")";
      lines.push_back('\n');
    }
    open_block();
    out_ << markdown_fence(lines);
  }

  void put(const Checklist& list) {
    if (list.items.empty()) return;
    open_block();
    for (const CheckItem& item : list.items) {
      out_ << "-";
      if (item.box) out_ << (item.ticked ? Literal(" [x]") : Literal(" [ ]"));
      if (!item.text.empty()) out_ << " " << markdown_cell(item.text);
      for (const Blank& blank : item.blanks) put_blank(blank);
      out_ << "\n";
    }
  }

  void put_blank(const Blank& blank) {
    if (!blank.label.empty()) out_ << " " << markdown_cell(blank.label);
    out_ << " ";
    if (blank.filled.empty()) {
      // The backslash keeps a lone row of underscores from becoming a rule.
      out_ << "\\_";
      out_.repeat('_', std::clamp<std::size_t>(blank.width, 2, 60) - 1);
    } else {
      put_strong(out_, blank.filled);
    }
    if (!blank.unit.empty()) out_ << " " << markdown_cell(blank.unit);
  }

  void put(const Figure& figure) {
    const std::optional<MarkdownLink> file = markdown_file_link(figure.file);
    if (file && !figure.svg.empty()) {
      open_block();
      out_ << "![" << markdown_cell(figure.caption.empty() ? figure.svg.title : figure.caption) << "](" << *file << ")\n";
    }
    Table table = figure.alternative;
    if (table.caption.empty()) table.caption = figure.caption;
    put(table);
  }

  void put(const Details& details) {
    open_details(details.summary, details.open);
    put_blocks(details.blocks);
    close_details();
  }

  void put(const PageBreak&) {}   // paper only

  const Document& document_;
  Outline outline_;
  std::vector<std::string> slugs_;
  MarkdownSink out_;
  int level_ = 2;
};
}  // namespace

std::string write_markdown(const Document& document) { return MarkdownWriter(document).write(); }
}  // namespace dripleg::reports
