// A document as a value: what a layout made of a judged model, before anyone knows whether it
// becomes a page or plain text. It owns all its texts, which are raw: the writers escape. All words
// that a reader sees come from here; the writers add only punctuation, boxes, bars and numbers.
#pragma once
#include "reports/margin_bar.hpp"
#include "reports/svg.hpp"

#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace dripleg::reports {
struct Block;

// A target is a name by which other places may point here (a section, a finding, a table, a
// figure). Writers make ids from counters; a link to a name that nobody bears is plain text.
using Target = std::string;

struct KeyLine {
  std::string key{};
  std::string value{};
  Target link{};    // may be empty
};

enum class Align { left, right, centre };

struct Mark {
  Tone tone = Tone::plain;
  std::string word{};          // always printed: meaning never rests on colour
};

enum class CellKind { text, blank, box };   // blank: room to write; box: a box to tick

struct Cell {
  std::string text{};
  std::vector<Mark> marks{};   // printed behind the text
  Target link{};
  CellKind kind = CellKind::text;
};

struct Column {
  std::string head{};
  Align align = Align::left;
  std::string unit{};          // printed under or behind the head; may be empty
};

enum class RowKind { plain, total, group };   // a group row's first cell heads the rows below it

struct Row {
  std::vector<Cell> cells{};   // missing ones are empty, spare ones are not printed
  RowKind kind = RowKind::plain;
  Tone tone = Tone::plain;     // breaks and open rows carry a bar at their side
};

struct Table {
  Target target{};
  std::string caption{};
  std::vector<Column> columns{};
  std::vector<Row> rows{};
  std::vector<std::string> notes{};
  bool form = false;           // drawn with large ruled cells, for a pen
};

struct Paragraph {
  std::string prose{};         // an author's text, at most 4 KiB, rendered as Markdown prose
};

enum class Weight { plain, strong, small };

struct Line {
  std::string text{};          // plain words
  Weight weight = Weight::plain;
  Target link{};
};

struct KeyList {
  std::vector<KeyLine> lines{};
};

// The big words at the top of a paper, with what they rest on.
struct Banner {
  Tone tone = Tone::plain;
  std::string words{};
  std::string note{};
};

struct DerivationLine {
  std::size_t depth = 0;       // how far below the sought value
  std::string text{};
  std::string source{};
};

struct FindingBlock {
  Target target{};
  std::size_t ordinal = 0;     // 0: not numbered
  Tone tone = Tone::plain;
  std::string call{};          // the outcome in a word
  std::string sentence{};
  std::vector<KeyLine> lines{};
  std::optional<MarginBar> margin{};
  std::string remedy{};
  std::vector<std::string> cautions{};
  std::vector<DerivationLine> derivation{};
};

// Several margins under each other.
struct MarginRow {
  std::string label{};
  MarginBar bar{};
  std::string note{};          // the case, when it is not the usual one
  Target link{};
};

struct MarginList {
  Target target{};
  std::string caption{};
  std::vector<MarginRow> rows{};
};

struct Blank {
  std::string label{};         // before the blank
  std::string unit{};          // behind it
  std::size_t width = 6;       // in digits' widths
  std::string filled{};        // what was already written there
};

struct CheckItem {
  bool box = true;
  bool ticked = false;
  std::string text{};
  std::vector<Blank> blanks{};
};

struct Checklist {
  std::vector<CheckItem> items{};
};

struct Figure {
  Target target{};
  std::string caption{};
  Svg svg{};                   // empty: too many parts to draw, or nothing to draw; the table stands for it
  Table alternative{};         // the same facts in rows
  std::string file{};          // where the caller will store the drawing, relative; may be empty
};

struct Details {
  std::string summary{};
  std::vector<Block> blocks{};
  bool open = false;
};

struct PageBreak {};

struct Block {
  std::variant<Paragraph, Line, KeyList, Banner, Table, FindingBlock, MarginList, Checklist, Figure, Details, PageBreak> value;
};

struct Section {
  Target target{};
  std::string heading{};
  int level = 1;               // 1 is directly below the title; deeper ones up to 4
  std::vector<Block> blocks{};
  bool new_page = false;
};

// The few words that writers need between the parts. An empty one leaves its part out.
struct Words {
  std::string skip{};          // the link past the head of a page
  std::string contents{};      // above the list of sections
  std::string remedy{};        // before a finding's remedy
  std::string caution{};       // before each caution
  std::string margin{};        // before a margin bar in plain text
  std::string working{};       // on the fold over a derivation
  std::string numbers{};       // on the fold over a figure's rows
};

struct Document {
  std::string language = "en";
  std::string title{};
  std::string subtitle{};
  std::vector<KeyLine> head{};
  std::string running_head{};  // on every printed page, where the printer can
  std::string foot{};          // at the end, and on every printed page where the printer can
  bool numbered = false;       // sections get 1, 1.1, …
  Words words{};
  std::vector<Section> sections{};
};
}  // namespace dripleg::reports
