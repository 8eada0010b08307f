// Columns: statements on lines that follow one another, in one block and of one sort, get the same stops.
// Lines too different in length are aligned in parts; columns that are aligned already stay.
#include "tidy/lines.hpp"

#include <algorithm>

namespace dripleg::tidy {
namespace {
constexpr u32 most_padding = 12, most_cell_padding = 64, widest_gap = 3, most_cells = 256;

enum class Sort : u8 { other, entry, table, run, keyword, declaration };

// In the order in which they stand on a line; cells of a table count on from the last.
enum Tag : u32 { head, shape, inner_block, equals, with, per, prose, block, cell };

struct Stop {
  u32 tag = head;
  u32 leaf = 0;         // what begins there
  bool always = false;  // a column even where one blank parts it
};
struct Statement {
  NodeIndex node = 0;
  u32 line = 0, last_line = 0;
  Sort sort = Sort::other;
  std::vector<Stop> stops;   // tags rise
  std::size_t done = 0;      // of the stops
  u32 reached = 0, end = 0;  // a leaf, and the column where it ends in the new layout, indentation not counted
};
// One line's part of a column.
struct Member {
  Stop stop;
  u32 end = 0;               // where what stands before it ends
};

bool is_trailing(u32 tag) { return tag == inner_block || (tag >= per && tag <= block); }

// One blank after a number can make what follows its unit; such a gap is no stop.
bool pinned(const Page& page, u32 leaf) {
  const Kind left = page.tree.kind(page.leaves[leaf - 1].node), right = page.tree.kind(page.leaves[leaf].node);
  return left == Kind::measure && (right == Kind::path || right == Kind::measure);
}

Sort sort_of(Kind kind) {
  if (kind == Kind::entry || kind == Kind::row) return Sort::entry;
  if (kind == Kind::run) return Sort::run;
  if (kind == Kind::field || kind == Kind::require || kind == Kind::for_line || kind == Kind::during || kind == Kind::remedy ||
      kind == Kind::says || kind == Kind::weight || kind == Kind::was || kind == Kind::per_line)
    return Sort::keyword;
  if (kind == Kind::decl_lib || kind == Kind::decl_job || kind == Kind::bind) return Sort::declaration;
  return Sort::other;
}

std::optional<u32> tag_of(const Page& page, NodeIndex statement, NodeIndex child, u32 place) {
  const Kind kind = page.tree.kind(statement), own = page.tree.kind(child);
  const bool field = kind == Kind::field;
  if (own == Kind::block) return field ? inner_block : block;
  if (own == Kind::per) return per;
  if (own == Kind::prose && kind != Kind::says) return prose;
  if (own == Kind::fittings) return with;
  if (own == Kind::shape && field) return shape;
  if (own == Kind::equals || (kind == Kind::bind && own == Kind::op)) return equals;
  if (kind == Kind::entry && own == Kind::text && place > 1) return prose;
  return std::nullopt;
}

class Columns {
 public:
  explicit Columns(Page& page) : page_(page) {}
  void align_all() {
    gather();
    find_tables();
    for (std::size_t at = 0; at < statements_.size();) {
      std::size_t past = at + 1;
      while (past < statements_.size() && follows(statements_[past - 1], statements_[past])) ++past;
      if (statements_[at].sort != Sort::other) align_run(at, past);
      at = past;
    }
  }

 private:
  NodeIndex holder(const Statement& statement) const { return page_.parent[statement.node]; }
  bool adjacent(const Statement& a, const Statement& b) const { return a.last_line + 1 == b.line && holder(a) == holder(b); }
  bool follows(const Statement& a, const Statement& b) const { return a.sort == b.sort && adjacent(a, b); }

  // Alone on its lines: nothing of another statement stands before or behind it, apart from a comma.
  std::optional<Statement> statement_of(NodeIndex node) const {
    const u32 first = page_.first_leaf(node);
    if (first >= page_.leaves.size() || !page_.begins_line(first)) return std::nullopt;
    Statement statement{node, page_.leaves[first].line, page_.line_at(page_.tree[node].end - 1), sort_of(page_.tree.kind(node)), {}};
    for (u32 at = statement.line; at <= statement.last_line; ++at)
      if (page_.lines[at].kept) return std::nullopt;
    const Line& last = page_.lines[statement.last_line];
    u32 behind = last.last - 1;
    if (page_.text[page_.node_of(page_.leaves[behind]).begin] == ',' && page_.node_of(page_.leaves[behind]).end > page_.tree[node].end) --behind;
    if (page_.node_of(page_.leaves[behind]).end != page_.tree[node].end) return std::nullopt;
    return statement;
  }

  void gather() {
    for (NodeIndex at = 0; at < page_.tree.nodes.size(); ++at) {
      if (!page_.is_item(at) || is_leaf(page_.tree.kind(at))) continue;
      if (auto statement = statement_of(at)) {
        find_stops(*statement);
        statements_.push_back(std::move(*statement));
      }
    }
    // Postorder gives inner statements first; lines are what counts here.
    std::sort(statements_.begin(), statements_.end(), [](const Statement& a, const Statement& b) { return a.line < b.line; });
  }

  bool on_first_line(const Statement& statement, u32 leaf) const { return leaf < page_.lines[statement.line].last; }
  bool ends_on_first_line(const Statement& statement, NodeIndex child) const {
    return page_.tree[child].end <= page_.lines[statement.line].span.end;
  }
  bool gap_can_stop(const Statement& statement, u32 leaf) const {
    if (!on_first_line(statement, leaf) || page_.leaves[leaf].gap == 0) return false;
    return page_.leaves[leaf].gap > 1 || !pinned(page_, leaf);
  }

  void find_stops(Statement& statement) const {
    const auto children = page_.tree.children(statement.node);
    const bool single = statement.line == statement.last_line;
    const Kind kind = page_.tree.kind(statement.node);
    const bool opens = !single && page_.tree.kind(children.back()) == Kind::block;
    if (!single && (statement.sort == Sort::declaration || statement.sort == Sort::run || (statement.sort == Sort::entry && opens))) {
      statement.sort = Sort::other;
      return;
    }
    bool headed = false;
    for (u32 place = 1; place < children.size(); ++place) {
      const NodeIndex child = children[place];
      const u32 leaf = page_.first_leaf(child);
      if (!gap_can_stop(statement, leaf)) continue;
      if (page_.tree.kind(child) == Kind::block && !ends_on_first_line(statement, child)) continue;
      if (page_.tree.kind(child) == Kind::run_as) continue;
      std::optional<u32> tag = tag_of(page_, statement.node, child, place);
      bool always = tag == with && statement.sort == Sort::run;
      const bool may_head = !headed && (place == 1 || statement.sort == Sort::run);
      if (may_head && (statement.sort == Sort::entry || statement.sort == Sort::run || statement.sort == Sort::keyword)) {
        headed = true;
        if (tag != with) {
          tag = head;
          always = head_always(statement, kind, children.back());
          if (!always && page_.leaves[leaf].gap < 2) continue;
        }
      }
      if (!tag || (!statement.stops.empty() && statement.stops.back().tag >= *tag)) continue;
      if (is_trailing(*tag) && page_.leaves[leaf].gap < 2) continue;
      statement.stops.push_back({*tag, leaf, always});
    }
  }

  // A field and its value make a column; a thing with a block of its own, a source on a line of its own
  // and what stands outside all blocks do so only where they were set apart.
  bool head_always(const Statement& statement, Kind kind, NodeIndex last_child) const {
    if (kind == Kind::row || kind == Kind::per_line) return false;
    if (statement.sort != Sort::entry) return true;
    return page_.tree.kind(last_child) != Kind::block && page_.tree.kind(holder(statement)) == Kind::block;
  }

  // ---- tables ----
  std::vector<Stop> cells_of(const Statement& statement) const {
    std::vector<Stop> cells;
    const auto children = page_.tree.children(statement.node);
    for (u32 place = 1; place < children.size() && cells.size() < most_cells; ++place) {
      const u32 leaf = page_.first_leaf(children[place]);
      const bool named = page_.tree.kind(statement.node) == Kind::entry && place == 1;
      if (page_.leaves[leaf].gap >= 2 || (named && page_.leaves[leaf].gap == 1))
        cells.push_back({cell + static_cast<u32>(cells.size()), leaf, true});
    }
    return cells;
  }
  bool is_plain(const Statement& statement) const {
    if (statement.sort != Sort::entry || statement.line != statement.last_line) return false;
    for (const NodeIndex child : page_.tree.children(statement.node)) {
      const Kind kind = page_.tree.kind(child);
      if (kind == Kind::block || kind == Kind::per || kind == Kind::fittings || kind == Kind::link || kind == Kind::keyword) return false;
    }
    return true;
  }
  void make_table(std::size_t at, std::size_t past) {
    for (; at < past; ++at) {
      statements_[at].sort = Sort::table;
      statements_[at].stops = cells_of(statements_[at]);
    }
  }
  bool is_wide(const Statement& statement) const { return cells_of(statement).size() >= 2; }

  // Lines with a row among them are a table; so are two lines or more of three cells or more.
  void find_tables() {
    for (std::size_t at = 0; at < statements_.size();) {
      std::size_t past = at + 1;
      if (is_plain(statements_[at])) {
        while (past < statements_.size() && is_plain(statements_[past]) && adjacent(statements_[past - 1], statements_[past])) ++past;
        find_tables(at, past);
      }
      at = past;
    }
  }
  void find_tables(std::size_t at, std::size_t past) {
    for (std::size_t each = at; each < past; ++each)
      if (page_.tree.kind(statements_[each].node) == Kind::row) return make_table(at, past);
    while (at < past) {
      std::size_t end = at;
      while (end < past && is_wide(statements_[end])) ++end;
      if (end - at >= 2) make_table(at, end);
      at = std::max(end, at + 1);
    }
  }

  // ---- aligning ----
  void align_run(std::size_t at, std::size_t past) {
    std::vector<u32> tags;
    for (std::size_t each = at; each < past; ++each)
      for (const Stop& stop : statements_[each].stops) tags.push_back(stop.tag);
    std::sort(tags.begin(), tags.end());
    tags.erase(std::unique(tags.begin(), tags.end()), tags.end());
    for (const u32 tag : tags) {
      std::vector<Member> members;
      for (std::size_t each = at; each < past; ++each) {
        Statement& statement = statements_[each];
        if (statement.done < statement.stops.size() && statement.stops[statement.done].tag == tag) {
          members.push_back(next_member(statement));
        } else if (is_trailing(tag)) {
          // What stands at the end of lines is aligned only where no line in between goes without.
          align_in_parts(members);
          members.clear();
        }
      }
      align_in_parts(members);
    }
  }

  Member next_member(Statement& statement) {
    const Stop stop = statement.stops[statement.done];
    if (statement.done++ == 0) {
      statement.reached = page_.lines[statement.line].first;
      statement.end = page_.leaves[statement.reached].width;
    }
    while (statement.reached + 1 < stop.leaf) {
      const Leaf& leaf = page_.leaves[++statement.reached];
      statement.end += leaf.gap + leaf.width;
    }
    return {stop, statement.end};
  }

  void align_in_parts(const std::vector<Member>& members) {
    std::vector<Member> part;
    u32 least = 0, most = 0;
    for (const Member& member : members) {
      const u32 end = member.end;
      const bool fits = !part.empty() && std::max(most, end) - std::min(least, end) <= (member.stop.tag < cell ? most_padding : most_cell_padding);
      if (!part.empty() && !fits) {
        align_part(part);
        part.clear();
      }
      least = part.empty() ? end : std::min(least, end);
      most = part.empty() ? end : std::max(most, end);
      part.push_back(member);
    }
    if (!part.empty()) align_part(part);
  }

  void align_part(const std::vector<Member>& part) {
    u32 most = 0, gap_of_longest = 0;
    bool aligned = true, wanted = false;
    const u32 column = part.front().end + page_.leaves[part.front().stop.leaf].gap;
    for (const auto& [stop, end] : part) {
      const u32 gap = page_.leaves[stop.leaf].gap;
      if (end > most) gap_of_longest = 0;
      if (end >= most) gap_of_longest = std::max(gap_of_longest, gap);
      most = std::max(most, end);
      aligned = aligned && end + gap == column;
      wanted = wanted || stop.always || gap > 1;
    }
    const u32 tag = part.front().stop.tag;
    if (!wanted || (is_trailing(tag) && aligned) || (aligned && column - most <= most_padding)) return;
    u32 narrowest = is_trailing(tag) || tag >= cell ? 2 : 1;
    for (const Member& member : part)
      if (pinned(page_, member.stop.leaf)) narrowest = 2;
    const u32 target = most + std::clamp(gap_of_longest, narrowest, widest_gap);
    for (const auto& [stop, end] : part) page_.leaves[stop.leaf].gap = target - end;
  }

  Page& page_;
  std::vector<Statement> statements_;
};
}  // namespace

void align(Page& page) {
  Columns(page).align_all();
  for (const Line& line : page.lines)
    for (u32 at = line.first + 1; at < line.last; ++at)
      page.leaves[at].column = page.leaves[at - 1].column + page.leaves[at - 1].width + page.leaves[at].gap;
}
}  // namespace dripleg::tidy
