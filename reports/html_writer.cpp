#include "reports/html_writer.hpp"

#include "reports/outline.hpp"
#include "reports/prose.hpp"
#include "reports/style.hpp"

#include <algorithm>
#include <array>

namespace dripleg::reports {
namespace {
constexpr std::size_t many_columns = 12;   // wider tables are set smaller on paper

Literal tone_class(Tone tone) {
  switch (tone) {
    case Tone::plain: return "plain";
    case Tone::holds: return "holds";
    case Tone::tight: return "tight";
    case Tone::breaks: return "breaks";
    case Tone::open: return "open";
    case Tone::accepted: return "accepted";
  }
  return "plain";
}

Literal align_class(Align align) {
  switch (align) {
    case Align::left: return "l";
    case Align::right: return "r";
    case Align::centre: return "c";
  }
  return "l";
}

Literal heading_open(int level) {
  switch (level) {
    case 1: return "<h1";
    case 2: return "<h2";
    case 3: return "<h3";
    case 4: return "<h4";
    case 5: return "<h5";
    default: return "<h6";
  }
}

Literal heading_close(int level) {
  switch (level) {
    case 1: return "</h1>\n";
    case 2: return "</h2>\n";
    case 3: return "</h3>\n";
    case 4: return "</h4>\n";
    case 5: return "</h5>\n";
    default: return "</h6>\n";
  }
}

Literal letter_of(Part part) {
  switch (part) {
    case Part::section: return "s";
    case Part::finding: return "f";
    case Part::table: return "t";
    case Part::figure: return "g";
    case Part::margins: return "m";
  }
  return "x";
}

class HtmlWriter {
 public:
  explicit HtmlWriter(const Document& document) : document_(document), outline_(document) {}

  std::string write() {
    put_page_head();
    out_ << "<body>\n";
    if (!document_.words.skip.empty()) {
      out_ << "<a class=\"skip\" href=\"#main\">" << html_text(document_.words.skip) << "</a>\n";
    }
    put_title_block();
    out_ << "<main id=\"main\">\n";
    put_contents();
    for (std::size_t i = 0; i < document_.sections.size(); ++i) put_section(i);
    out_ << "</main>\n";
    if (!document_.foot.empty()) out_ << "<footer><p>" << html_text(document_.foot) << "</p></footer>\n";
    out_ << "</body>\n</html>\n";
    return out_.take();
  }

 private:
  void put_page_head() {
    out_ << "<!doctype html>\n<html lang=\"" << html_attribute(document_.language.empty() ? "en" : document_.language)
         << "\">\n<head>\n<meta charset=\"utf-8\">\n"
            "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
            "img-src data:; base-uri 'none'; form-action 'none'\">\n"
            "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
            "<meta name=\"color-scheme\" content=\"light dark\">\n"
            "<meta name=\"referrer\" content=\"no-referrer\">\n<title>"
         << html_text(document_.title) << "</title>\n<style>\n" << page_style() << drawing_style();
    if (!document_.running_head.empty()) {
      out_ << "@page{@top-left{content:\"" << css_string(document_.running_head) << "\"}}\n";
    }
    if (!document_.foot.empty()) out_ << "@page{@bottom-left{content:\"" << css_string(document_.foot) << "\"}}\n";
    out_ << "</style>\n</head>\n";
  }

  void put_title_block() {
    out_ << "<header class=\"title\">\n<h1>" << html_text(document_.title) << "</h1>\n";
    if (!document_.subtitle.empty()) out_ << "<p class=\"subtitle\">" << html_text(document_.subtitle) << "</p>\n";
    if (!document_.head.empty()) {
      out_ << "<dl class=\"head\">\n";
      for (const KeyLine& line : document_.head) put_key_line(line);
      out_ << "</dl>\n";
    }
    out_ << "</header>\n";
  }

  std::string heading(std::size_t index) const {
    const Section& section = document_.sections[index];
    return document_.numbered ? outline_.section_number(index) + " " + section.heading : section.heading;
  }

  void put_contents() {
    if (document_.words.contents.empty() || document_.sections.size() < 2) return;
    out_ << "<nav class=\"contents\">\n<p>" << html_text(document_.words.contents) << "</p>\n<ul>\n";
    std::size_t number = 0;
    for (std::size_t i = 0; i < document_.sections.size(); ++i) {
      ++number;
      if (document_.sections[i].heading.empty()) continue;
      out_ << "<li class=\"l" << static_cast<std::size_t>(std::clamp(document_.sections[i].level, 1, 4)) << "\"><a href=\"#s"
           << number << "\">" << html_text(heading(i)) << "</a></li>\n";
    }
    out_ << "</ul>\n</nav>\n";
  }

  // The next id of this kind of part, as ` id="f3"`.
  void put_id(Part part) {
    out_ << " id=\"" << letter_of(part) << ++counters_[static_cast<std::size_t>(part)] << "\"";
  }

  void put_section(std::size_t index) {
    const Section& section = document_.sections[index];
    level_ = std::clamp(section.level, 1, 4) + 1;
    out_ << "<section";
    put_id(Part::section);
    if (section.new_page) out_ << " class=\"new-page\"";
    out_ << ">\n";
    if (!section.heading.empty()) out_ << heading_open(level_) << ">" << html_text(heading(index)) << heading_close(level_);
    put_blocks(section.blocks);
    out_ << "</section>\n";
  }

  void put_blocks(const std::vector<Block>& blocks) {
    for (const Block& block : blocks) std::visit([this](const auto& part) { put(part); }, block.value);
  }

  void put_linked(std::string_view raw, std::string_view target) {
    const PartId* part = outline_.find(target);
    if (part == nullptr || raw.empty()) {
      out_ << html_text(raw);
      return;
    }
    out_ << "<a href=\"#" << letter_of(part->part) << part->number << "\">" << html_text(raw) << "</a>";
  }

  void put_mark(const Mark& mark) {
    if (mark.word.empty()) return;
    out_ << "<span class=\"mark " << tone_class(mark.tone) << "\">" << html_text(mark.word) << "</span>";
  }

  void put_key_line(const KeyLine& line) {
    out_ << "<div><dt>" << html_text(line.key) << "</dt><dd>";
    put_linked(line.value, line.link);
    out_ << "</dd></div>\n";
  }

  void put(const Paragraph& paragraph) {
    const HtmlProse prose = html_prose(paragraph.prose, level_);
    if (!prose.empty()) out_ << "<div class=\"prose\">\n" << prose << "</div>\n";
  }

  void put(const Line& line) {
    if (line.text.empty()) return;
    switch (line.weight) {
      case Weight::plain: out_ << "<p>"; break;
      case Weight::strong: out_ << "<p class=\"strong\">"; break;
      case Weight::small: out_ << "<p class=\"small\">"; break;
    }
    put_linked(line.text, line.link);
    out_ << "</p>\n";
  }

  void put(const KeyList& list) {
    if (list.lines.empty()) return;
    out_ << "<dl class=\"keys\">\n";
    for (const KeyLine& line : list.lines) put_key_line(line);
    out_ << "</dl>\n";
  }

  void put(const Banner& banner) {
    if (banner.words.empty()) return;
    out_ << "<div class=\"banner " << tone_class(banner.tone) << "\"><p class=\"words\">" << html_text(banner.words) << "</p>";
    if (!banner.note.empty()) out_ << "<p class=\"note\">" << html_text(banner.note) << "</p>";
    out_ << "</div>\n";
  }

  void put_table_head(const Table& table) {
    if (!table.caption.empty()) out_ << "<caption>" << html_text(table.caption) << "</caption>\n";
    out_ << "<thead><tr>";
    for (const Column& column : table.columns) {
      out_ << "<th scope=\"col\" class=\"" << align_class(column.align) << "\">" << html_text(column.head);
      if (!column.unit.empty()) out_ << "<span class=\"unit\">" << html_text(column.unit) << "</span>";
      out_ << "</th>";
    }
    out_ << "</tr></thead>\n";
  }

  void put_cell_content(const Cell& cell) {
    if (cell.kind == CellKind::box) out_ << "<span class=\"box\" aria-hidden=\"true\"></span>";
    put_linked(cell.text, cell.link);
    for (const Mark& mark : cell.marks) {
      out_ << " ";
      put_mark(mark);
    }
  }

  void put_row(const Table& table, const Row& row) {
    out_ << "<tr";
    if (row.kind == RowKind::total) out_ << " class=\"total\"";
    if (row.kind == RowKind::group) out_ << " class=\"group\"";
    if (row.kind == RowKind::plain && row.tone != Tone::plain) out_ << " class=\"row-" << tone_class(row.tone) << "\"";
    out_ << ">";
    if (row.kind == RowKind::group) {
      out_ << "<th scope=\"rowgroup\" colspan=\"" << table.columns.size() << "\">";
      if (!row.cells.empty()) put_cell_content(row.cells.front());
      out_ << "</th></tr>\n";
      return;
    }
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
      const bool head = i == 0 && !row.cells.empty() && row.cells[0].kind == CellKind::text && !row.cells[0].text.empty();
      out_ << (head ? Literal("<th scope=\"row\" class=\"") : Literal("<td class=\"")) << align_class(table.columns[i].align);
      if (i < row.cells.size() && row.cells[i].kind == CellKind::blank) out_ << " blank";
      out_ << "\">";
      if (i < row.cells.size()) put_cell_content(row.cells[i]);
      out_ << (head ? Literal("</th>") : Literal("</td>"));
    }
    out_ << "</tr>\n";
  }

  void put_table(const Table& table) {
    out_ << "<div class=\"wide\" role=\"region\" tabindex=\"0\"";
    if (!table.caption.empty()) out_ << " aria-label=\"" << html_attribute(table.caption) << "\"";
    out_ << ">\n<table";
    put_id(Part::table);
    if (table.form) out_ << " class=\"form\"";
    if (!table.form && table.columns.size() >= many_columns) out_ << " class=\"many\"";
    out_ << ">\n";
    put_table_head(table);
    out_ << "<tbody>\n";
    for (const Row& row : table.rows) put_row(table, row);
    out_ << "</tbody>\n</table>\n</div>\n";
    if (table.notes.empty()) return;
    out_ << "<ul class=\"notes\">\n";
    for (const std::string& note : table.notes) out_ << "<li>" << html_text(note) << "</li>\n";
    out_ << "</ul>\n";
  }

  void put(const Table& table) {
    if (table.columns.empty()) {
      ++counters_[static_cast<std::size_t>(Part::table)];   // counted by the outline too
      return;
    }
    put_table(table);
  }

  void put_margin(const MarginBar& bar) {
    out_ << "<div class=\"margin " << tone_class(bar.tone) << "\">" << svg_element(margin_drawing(bar)) << "<span>"
         << html_text(margin_words(bar)) << "</span></div>\n";
  }

  void put(const FindingBlock& finding) {
    out_ << "<article class=\"finding " << tone_class(finding.tone) << "\"";
    put_id(Part::finding);
    out_ << ">\n<p class=\"call\">" << html_text(finding.call);
    if (finding.ordinal > 0) out_ << "<span class=\"ordinal\"> " << finding.ordinal << "</span>";
    out_ << "</p>\n<div class=\"said\">\n<p class=\"sentence\">" << html_text(finding.sentence) << "</p>\n";
    if (finding.margin) put_margin(*finding.margin);
    if (!finding.remedy.empty()) put_labelled("remedy", document_.words.remedy, finding.remedy);
    for (const std::string& caution : finding.cautions) put_labelled("caution", document_.words.caution, caution);
    if (!finding.lines.empty()) {
      out_ << "<dl class=\"keys\">\n";
      for (const KeyLine& line : finding.lines) put_key_line(line);
      out_ << "</dl>\n";
    }
    put_derivation(finding.derivation);
    out_ << "</div>\n</article>\n";
  }

  void put_labelled(Literal kind, std::string_view label, std::string_view raw) {
    out_ << "<p class=\"" << kind << "\">";
    if (!label.empty()) out_ << "<b>" << html_text(label) << "</b> ";
    out_ << html_text(raw) << "</p>\n";
  }

  void put_derivation(const std::vector<DerivationLine>& derivation) {
    if (derivation.empty()) return;
    out_ << "<details class=\"working\"><summary>" << html_text(document_.words.working) << "</summary>\n<ul>\n";
    for (const DerivationLine& line : derivation) {
      out_ << "<li class=\"d" << std::min<std::size_t>(line.depth, 8) << "\">" << html_text(line.text);
      if (!line.source.empty()) out_ << " <cite>" << html_text(line.source) << "</cite>";
      out_ << "</li>\n";
    }
    out_ << "</ul>\n</details>\n";
  }

  void put(const MarginList& list) {
    out_ << "<div class=\"wide\" role=\"region\" tabindex=\"0\"";
    if (!list.caption.empty()) out_ << " aria-label=\"" << html_attribute(list.caption) << "\"";
    out_ << ">\n<table class=\"margins\"";
    put_id(Part::margins);
    out_ << ">\n";
    if (!list.caption.empty()) out_ << "<caption>" << html_text(list.caption) << "</caption>\n";
    out_ << "<tbody>\n";
    for (const MarginRow& row : list.rows) {
      out_ << "<tr><th scope=\"row\">";
      put_linked(row.label, row.link);
      out_ << "</th><td class=\"r\">" << html_text(row.bar.found_text) << "</td><td>" << html_text(row.bar.needs_text)
           << "</td><td class=\"bar\">" << svg_element(margin_drawing(row.bar)) << "</td><td class=\"" << tone_class(row.bar.tone)
           << "\">" << html_text(margin_words(row.bar));
      if (!row.note.empty()) out_ << " <span class=\"small\">" << html_text(row.note) << "</span>";
      out_ << "</td></tr>\n";
    }
    out_ << "</tbody>\n</table>\n</div>\n";
  }

  void put(const Checklist& list) {
    if (list.items.empty()) return;
    out_ << "<ul class=\"checks\">\n";
    for (const CheckItem& item : list.items) {
      out_ << "<li>";
      if (item.box) out_ << (item.ticked ? Literal("<span class=\"box\">✓</span>") : Literal("<span class=\"box\"></span>"));
      out_ << "<span>" << html_text(item.text) << "</span>";
      for (const Blank& blank : item.blanks) put_blank(blank);
      out_ << "</li>\n";
    }
    out_ << "</ul>\n";
  }

  void put_blank(const Blank& blank) {
    out_ << "<span class=\"entry\">" << html_text(blank.label) << " <span class=\"rule\" style=\"min-width:"
         << std::clamp<std::size_t>(blank.width, 2, 60) << "ch\">" << html_text(blank.filled) << "</span> "
         << html_text(blank.unit) << "</span>";
  }

  void put(const Figure& figure) {
    out_ << "<figure";
    put_id(Part::figure);
    out_ << ">\n";
    if (!figure.caption.empty()) out_ << "<figcaption>" << html_text(figure.caption) << "</figcaption>\n";
    if (!figure.svg.empty()) out_ << "<div class=\"wide\">" << svg_element(figure.svg) << "</div>\n";
    const bool folded = !figure.svg.empty() && !document_.words.numbers.empty();
    if (folded) out_ << "<details class=\"numbers\"><summary>" << html_text(document_.words.numbers) << "</summary>\n";
    if (!figure.alternative.columns.empty() && (folded || figure.svg.empty())) put_alternative(figure.alternative);
    if (folded) out_ << "</details>\n";
    out_ << "</figure>\n";
  }

  // A figure's rows are part of the figure: they take no number of their own.
  void put_alternative(const Table& table) {
    out_ << "<div class=\"wide\"><table>\n";
    put_table_head(table);
    out_ << "<tbody>\n";
    for (const Row& row : table.rows) put_row(table, row);
    out_ << "</tbody>\n</table></div>\n";
  }

  void put(const Details& details) {
    out_ << (details.open ? Literal("<details open><summary>") : Literal("<details><summary>")) << html_text(details.summary)
         << "</summary>\n";
    put_blocks(details.blocks);
    out_ << "</details>\n";
  }

  void put(const PageBreak&) { out_ << "<div class=\"new-page\"></div>\n"; }

  const Document& document_;
  Outline outline_;
  HtmlSink out_;
  std::array<std::size_t, 5> counters_{};
  int level_ = 2;
};
}  // namespace

std::string write_html(const Document& document) { return HtmlWriter(document).write(); }
}  // namespace dripleg::reports
