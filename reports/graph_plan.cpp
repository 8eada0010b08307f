#include "reports/graph_plan.hpp"

#include "reports/graph_rows.hpp"

#include <algorithm>
#include <numeric>

namespace dripleg::reports {
namespace {
class Planner {
 public:
  explicit Planner(const GraphFigure& graph) : nodes_(graph.nodes.size()) { plan_.strands = strands_of(graph); }

  GraphPlan plan() {
    plan_.placings.resize(plan_.strands.size());
    plan_.rail_of.assign(nodes_, no_rail);
    count_ends();
    find_stubs();
    find_rails();
    find_layers();
    settle_rows(plan_);
    return std::move(plan_);
  }

 private:
  bool usual(std::size_t s) const { return plan_.placings[s].way != Way::stub; }

  void count_ends() {
    ends_.assign(nodes_, 0);
    for (const Strand& strand : plan_.strands) ++ends_[strand.from], ++ends_[strand.to];
  }

  // A strand that ends where nothing else begins, unless it does so at both ends.
  void find_stubs() {
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
      const Strand& strand = plan_.strands[s];
      const bool starts_bare = ends_[strand.from] == 1;
      const bool ends_bare = ends_[strand.to] == 1;
      if (starts_bare != ends_bare) plan_.placings[s].way = Way::stub;
    }
  }

  // Bare strands make rails: the thickest first, as long as no node has more than two of them and none closes a ring.
  void find_rails() {
    std::vector<std::size_t> order(plan_.strands.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return plan_.strands[a].thickness > plan_.strands[b].thickness; });
    std::vector<std::size_t> group(nodes_);
    std::iota(group.begin(), group.end(), 0);
    const auto head = [&](std::size_t n) {
      while (group[n] != n) n = group[n] = group[group[n]];
      return n;
    };
    uprights_.assign(nodes_, {});
    for (const std::size_t s : order) {
      const Strand& strand = plan_.strands[s];
      if (!strand.bare || !usual(s) || strand.first || head(strand.from) == head(strand.to)) continue;
      if (uprights_[strand.from].size() == 2 || uprights_[strand.to].size() == 2) continue;
      uprights_[strand.from].push_back(s);
      uprights_[strand.to].push_back(s);
      group[head(strand.from)] = head(strand.to);
      plan_.placings[s].way = Way::upright;
    }
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
      const Strand& strand = plan_.strands[s];
      const bool stub = !usual(s);
      if (!stub || ends_[strand.from] > 1) make_rail(strand.from);
      if (!stub || ends_[strand.to] > 1) make_rail(strand.to);
    }
    for (std::size_t s = 0; s < plan_.strands.size(); ++s)
      if (plan_.placings[s].way == Way::across && plan_.rail_of[plan_.strands[s].from] == plan_.rail_of[plan_.strands[s].to]) plan_.placings[s].way = Way::loop;
  }

  // The rail that a node stands in, from one of its ends; as written from the top where there is a choice.
  void make_rail(std::size_t node) {
    if (plan_.rail_of[node] != no_rail) return;
    std::size_t at = node;
    std::size_t came = no_rail;
    for (std::size_t next = step(at, came); next != no_rail; next = step(at, came)) at = across(next, at), came = next;
    Rail rail;
    came = no_rail;
    std::size_t down = 0;
    for (;;) {
      rail.nodes.push_back(at);
      plan_.rail_of[at] = plan_.rails.size();
      const std::size_t next = step(at, came);
      if (next == no_rail) break;
      down += plan_.strands[next].from == at ? 1 : 0;
      rail.uprights.push_back(next);
      at = across(next, at);
      came = next;
    }
    if (2 * down < rail.uprights.size()) std::reverse(rail.nodes.begin(), rail.nodes.end()), std::reverse(rail.uprights.begin(), rail.uprights.end());
    plan_.rails.push_back(std::move(rail));
  }

  // The upright strand at a node that is not the one it was reached by.
  std::size_t step(std::size_t node, std::size_t came) const {
    for (const std::size_t s : uprights_[node])
      if (s != came) return s;
    return no_rail;
  }

  std::size_t across(std::size_t s, std::size_t node) const {
    return plan_.strands[s].from == node ? plan_.strands[s].to : plan_.strands[s].from;
  }

  // Layers from the rail at which the first strand arrives: as far to the right as the longest way there, ways that
  // lead back left out.
  void find_layers() {
    leaving_.assign(plan_.rails.size(), {});
    std::size_t root = no_rail;
    for (std::size_t s = 0; s < plan_.strands.size(); ++s) {
      const std::size_t from = plan_.rail_of[plan_.strands[s].from], to = plan_.rail_of[plan_.strands[s].to];
      if (plan_.strands[s].first && root == no_rail && to != no_rail) root = to;
      if (plan_.placings[s].way == Way::across && !plan_.strands[s].first) leaving_[from].push_back(to);
    }
    colour_.assign(plan_.rails.size(), 0);
    std::vector<std::size_t> order;
    if (root != no_rail) visit(root, order);
    for (std::size_t r = 0; r < plan_.rails.size(); ++r) visit(r, order);
    for (std::size_t i = order.size(); i-- > 0;)
      for (const std::size_t to : kept_[order[i]]) plan_.rails[to].layer = std::max(plan_.rails[to].layer, plan_.rails[order[i]].layer + 1);
    for (const Rail& rail : plan_.rails) plan_.layers = std::max(plan_.layers, rail.layer + 1);
  }

  // Depth first without recursion; a rail enters the order when all behind it has.
  void visit(std::size_t root, std::vector<std::size_t>& order) {
    kept_.resize(plan_.rails.size());
    if (colour_[root] != 0) return;
    std::vector<std::pair<std::size_t, std::size_t>> stack{{root, 0}};
    colour_[root] = 1;
    while (!stack.empty()) {
      const std::size_t at = stack.back().first;
      if (stack.back().second == leaving_[at].size()) {
        colour_[at] = 2;
        order.push_back(at);
        stack.pop_back();
        continue;
      }
      const std::size_t to = leaving_[at][stack.back().second++];
      if (colour_[to] == 1) continue;
      kept_[at].push_back(to);
      if (colour_[to] == 0) colour_[to] = 1, stack.push_back({to, 0});
    }
  }

  std::size_t nodes_;
  GraphPlan plan_;
  std::vector<std::size_t> ends_;                    // of strands at each node
  std::vector<std::vector<std::size_t>> uprights_;   // strands, at each node
  std::vector<std::vector<std::size_t>> leaving_;    // rails behind each rail
  std::vector<std::vector<std::size_t>> kept_;       // the same without ways back
  std::vector<char> colour_;
};
}  // namespace

GraphPlan plan_of(const GraphFigure& graph) { return Planner(graph).plan(); }
}  // namespace dripleg::reports
