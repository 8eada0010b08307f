// One layout being filled in for one judged job. Internal to this folder: `assemble` makes one a layout, runs it
// once and lets it go; it owns the paper's numbering, labels and found cures, and borrows everything else.
// While it runs, `locals_` holds what the binders around the item at hand are bound to.
#pragma once
#include "reports/assemble.hpp"

#include <algorithm>
#include <functional>
#include <map>
#include <optional>

namespace dripleg::reports {
struct Chart;
struct GraphNode;
struct GraphEdge;

class Assembler {
 public:
  Assembler(const Judged& judged, const meaning::Layout& layout);
  Paper run();

 private:
  // A number on an axis: all that stands on one axis is in one unit, that of the first value met.
  struct AxisUnit { std::optional<quantities::Display> display; };
  struct ChartUnits { AxisUnit across, up, beneath; };

  // assemble.cpp: what a layout may ask of the judged job, and the walk over its items. Items are numbers in
  // the program's layout_items; `first` and `end` bound what is inside one.
  evaluate::WorldId counted_world();            // conditions that carry the counts of findings
  void number_findings();
  const meaning::Layout* parent_of(const meaning::Layout& layout) const;
  void variants(meaning::LayoutOp op, NameId name);
  bool dropped(NameId name);
  std::string words(meaning::Slice parts);
  bool is_so(meaning::ExprId test);             // no test at all is so
  Section& section();
  void items(u32 first, u32 end);
  void item(u32 at);
  void named(const meaning::LayoutItem& item, u32 inside, u32 end);
  Tone tone_of_say() const;
  void frame(u32 first, u32 end);
  std::string code_words();
  std::string label(std::string_view word);

  // assemble_findings.cpp; `at` is a place among the settled findings.
  void findings(const meaning::LayoutItem& item);
  FindingBlock finding_block(u32 at, bool whole);
  const std::optional<remedy::Cure>& cure_of(u32 at);
  std::optional<MarginBar> bar_of(const judge::Finding& finding);
  std::string sureness(const judge::Finding& finding);
  std::string place_words(const judge::Finding& finding);
  void derive(const judge::Finding& finding, FindingBlock& block);
  std::string step_words(const evaluate::Step& step);
  std::string step_source(const evaluate::Step& step);
  void margins();
  void open_questions();

  // assemble_tables.cpp
  meaning::ThingId bound_thing(const meaning::LayoutItem& item);
  std::vector<Mark> marks_of(meaning::ThingId thing, Tone& tone);
  bool counts(meaning::ExprId expr);            // its values are numbers, and stand to the right
  void grid(const meaning::LayoutItem& item, u32 first, u32 end);
  void list(const meaning::LayoutItem& item, u32 first, u32 end);
  void checklist(u32 first, u32 end);
  void checks(u32 first, u32 end, Checklist& list);
  void assumptions();
  void sources();
  void cautions();
  void units();

  // assemble_sheet.cpp
  struct Sheet { Table table; std::vector<char> blank; };   // which columns are there to be filled in
  void sheet(const meaning::LayoutItem& item, u32 first, u32 end);
  void sheet_heads(u32 first, u32 end, Sheet& sheet);
  void sheet_lines(u32 first, u32 end, Sheet& sheet);
  void sheet_line(u32 at, Sheet& sheet);

  // assemble_figures.cpp
  void figure(const meaning::LayoutItem& item, u32 first, u32 end);
  std::string drawing_name(std::string_view name);
  double on_axis(meaning::ExprId expr, AxisUnit& axis);     // in the axis' unit; not a number if not known
  double number_of(meaning::ExprId expr);                   // in base units; 0 if not known
  std::string shown(meaning::ExprId expr);
  Figure tree(const meaning::LayoutItem& item, u32 first, u32 end);
  Figure bars(const meaning::LayoutItem& item, u32 first, u32 end);

  // assemble_graph.cpp; `at` is the grid that columns are read of.
  Figure graph(const meaning::LayoutItem& item, u32 first, u32 end);
  void graph_point(u32 at, GraphNode& node);
  void graph_leg(u32 at, meaning::ThingId thing, GraphEdge& edge);

  // assemble_chart.cpp
  Figure chart(const meaning::LayoutItem& item, u32 first, u32 end);
  void chart_items(u32 first, u32 end, Chart& chart, ChartUnits& units);
  void chart_named(u32 at, Chart& chart, ChartUnits& units);
  void chart_property(const meaning::LayoutItem& inner, Chart& chart, AxisUnit& up);
  void chart_lines(u32 at, Chart& chart, ChartUnits& units);
  void chart_dot(u32 at, Chart& chart, ChartUnits& units);
  void chart_limit(u32 at, Chart& chart, AxisUnit& unit, bool upright);
  void chart_stretch(u32 at, const std::string& name, Chart& chart, AxisUnit& across);
  void chart_column(u32 at, Chart& chart, ChartUnits& units);
  void for_columns(u32 at, const std::function<void(std::string_view, const meaning::LayoutItem&)>& take);

  evaluate::Scope scope() { return evaluate::Scope{{}, locals_}; }
  template <class T>
  void add(T block) {
    section().blocks.push_back({std::move(block)});
  }
  template <class F>
  void for_each_item(const meaning::Layout& layout, F&& f) {
    for (u32 at = layout.first_item; at < layout.items_end; at = std::max(program_.layout_items[at].items_end, at + 1)) f(at, program_.layout_items[at]);
  }
  // Once for each binding for which the item's `where` is known to be so.
  template <class F>
  void each_row(const meaning::LayoutItem& item, F&& f) {
    judgement_.evaluation().each(item.binders, item.where, scope(), world_, [&](meaning::Value applies) {
      if (applies.known() && applies.yes()) f();
      return true;
    });
  }

  const Judged& judged_;
  judge::Judgement& judgement_;
  const meaning::Program& program_;
  remedy::Search search_;
  const meaning::Layout& layout_;
  std::vector<const meaning::Layout*> line_;       // the layout asked for, then what it is a variant of
  std::vector<meaning::Value> locals_;
  evaluate::WorldId world_;
  std::vector<u32> numbers_;                        // of findings shown, by place in settled; 0: none
  std::map<u32, u32> shared_;                       // by number: how many alike findings stand under it besides
  std::map<u32, std::optional<remedy::Cure>> cures_;
  std::map<std::string, std::string> labels_;
  std::map<std::string, u32> drawn_;                // how many drawings bear a name already
  int depth_ = 0;
  Document* document_ = nullptr;
  Paper* paper_ = nullptr;
};
}  // namespace dripleg::reports
