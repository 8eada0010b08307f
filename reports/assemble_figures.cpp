// Figures of a layout: what they have in common, a tree of the legs of a network, bars of parts.
#include "reports/assembler.hpp"

#include "reports/figure_bars.hpp"
#include "reports/figure_tree.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace dripleg::reports {
using meaning::ExprId;
using meaning::LayoutItem;
using meaning::LayoutOp;
using meaning::ThingId;
using meaning::TypeKind;
using meaning::Value;

void Assembler::figure(const LayoutItem& item, u32 first, u32 end) {
  const std::string_view kind = program_.text(item.name);
  Figure made;
  if (kind == "chart") made = chart(item, first, end);
  else if (kind == "tree") made = tree(item, first, end);
  else if (kind == "graph") made = graph(item, first, end);
  else if (kind == "bars") made = bars(item, first, end);
  else return;
  if (made.svg.empty() && made.alternative.rows.empty()) return;
  made.file = drawing_name(kind);
  if (!made.svg.empty()) paper_->drawings.emplace_back(made.file, svg_file(made.svg));
  else made.file.clear();
  add(made);
}

std::string Assembler::drawing_name(std::string_view name) {
  std::string plain(name);
  for (char& c : plain)
    if (!((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'))) c = '_';
  return fmt::format("{}_{}.svg", program_.text(layout_.name), plain + (++drawn_[plain] > 1 ? std::to_string(drawn_[plain]) : ""));
}

double Assembler::on_axis(ExprId expr, AxisUnit& axis) {
  const Value value = judgement_.evaluation().expr(expr, scope(), world_);
  if (!value.known()) return std::nan("");
  const meaning::Type type = program_.types[program_.expr_notes[expr.value].type.value];
  if (type.kind != TypeKind::quantity) return value.number();
  if (!axis.display) {
    const quantities::DimensionId dimension{type.of};
    const std::string_view own = judgement_.wording().unit_of(expr);
    if (!own.empty()) axis.display = judgement_.wording().printer().display_in(own, dimension);
    if (!axis.display) axis.display = judgement_.wording().printer().display(dimension, value.number());
  }
  return (value.number() - axis.display->zero) / axis.display->factor;
}

double Assembler::number_of(ExprId expr) {
  const Value value = judgement_.evaluation().expr(expr, scope(), world_);
  return value.known() ? value.number() : 0;
}

Figure Assembler::tree(const LayoutItem& item, u32 first, u32 end) {
  TreeFigure tree;
  tree.caption = words(item.text);
  tree.target = fmt::format("figure-{}", program_.text(item.name));
  tree.heads = {label("begins"), label("reaches"), label("over_it"), label("under_it"), label("through"), label("see")};
  std::map<u32, std::size_t> node_of;
  const auto node = [&](Value point) {
    const auto [found, fresh] = node_of.emplace(point.index(), tree.nodes.size());
    if (fresh) tree.nodes.push_back({judgement_.evaluation().name_of(ThingId{point.index()}), ""});
    return found->second;
  };
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& inner = program_.layout_items[at];
    if (inner.op != LayoutOp::grid && inner.op != LayoutOp::list) continue;
    each_row(inner, [&] {
      const ThingId leg = bound_thing(inner);
      if (!leg.given()) return;
      const meaning::Thing& thing = program_.things[leg.value];
      const Value from = program_.inputs[thing.first_slot + meaning::leg_slot::from], to = program_.inputs[thing.first_slot + meaning::leg_slot::to];
      if (!from.known() || !to.known()) return;
      TreeEdge edge;
      edge.from = node(from);
      edge.to = node(to);
      Tone tone = Tone::plain;
      for (const Mark& mark : marks_of(leg, tone)) edge.mark += (edge.mark.empty() ? "" : ", ") + mark.word;
      if (thing.owner.given()) {
        edge.things.push_back(judgement_.evaluation().name_of(thing.owner));
        for (const Mark& mark : marks_of(thing.owner, tone)) edge.mark += (edge.mark.empty() ? "" : ", ") + mark.word;
      }
      for (u32 n = at + 1; n < inner.items_end; ++n) {
        const LayoutItem& column = program_.layout_items[n];
        if (column.op != LayoutOp::column) continue;
        const std::string name = words(column.text);
        if (name == "above") edge.above = shown(column.expr);
        else if (name == "below") edge.below = shown(column.expr);
        else if (name == "length") edge.length = number_of(column.expr);
        else if (name == "thick") edge.thickness = number_of(column.expr);
        else if (name == "note") tree.nodes[edge.to].note = shown(column.expr);
      }
      tree.edges.push_back(edge);
    });
  }
  // The root is the node that no edge enters.
  std::vector<char> entered(tree.nodes.size(), 0);
  for (const TreeEdge& edge : tree.edges) entered[edge.to] = 1;
  for (std::size_t at = 0; at < entered.size(); ++at)
    if (!entered[at]) {
      tree.root = at;
      break;
    }
  return make_figure(tree);
}

// A bar for each row: columns with these names say what is beside it, each other one is a part of it.
Figure Assembler::bars(const LayoutItem& item, u32 first, u32 end) {
  BarsFigure figure;
  figure.caption = words(item.text);
  figure.target = fmt::format("figure-{}", program_.text(item.name));
  figure.heads = {label("part_of_it"), label("amount"), label("in_all"), label("at_most"), label("spare")};
  AxisUnit unit;
  for (u32 at = first; at < end; at = std::max(program_.layout_items[at].items_end, at + 1)) {
    const LayoutItem& grid = program_.layout_items[at];
    if (grid.op != LayoutOp::grid && grid.op != LayoutOp::list) continue;
    each_row(grid, [&] {
      StackedBar bar;
      for (u32 n = at + 1; n < grid.items_end; ++n) {
        const LayoutItem& column = program_.layout_items[n];
        if (column.op != LayoutOp::column) continue;
        const std::string name = words(column.text), text = shown(column.expr);
        if (name == "name") bar.name = text;
        else if (name == "note") bar.note = text;
        else if (name == "total") bar.total_text = text;
        else if (name == "margin") bar.margin_text = text;
        else if (const double amount = on_axis(column.expr, unit); name == "limit") {
          if (std::isfinite(amount)) bar.limit = amount, bar.limit_text = label("at_most") + " " + text;
        } else bar.parts.push_back({name, text, amount});
      }
      figure.bars.push_back(std::move(bar));
    });
  }
  return make_figure(figure);
}

// A value as it is printed; nothing where there is none.
std::string Assembler::shown(ExprId expr) {
  std::string text = judgement_.wording().expr(expr, scope(), world_);
  return text == "none" ? std::string() : text;
}
}  // namespace dripleg::reports
