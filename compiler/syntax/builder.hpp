// What one parse of one file owns: the nodes so far, the notices so far, and what was found out about
// the present position (its word, the operator behind it). Leaves are pushed in order; a node is
// pushed when its rule closes. Rolling back means setting two counts back.
#pragma once
#include "base/limits.hpp"
#include "notices/notice.hpp"
#include "syntax/scan.hpp"
#include "syntax/tree.hpp"

#include <optional>
#include <string>
#include <utility>

namespace dripleg::syntax {
enum class Body : u8 { top, job, library, rule, layout };   // whose lines are read

// What can be missing; the words for each are in messages.cpp.
enum class Lack : u8 {
  name, value, formula, source, text, type, end_of_run, count, then_, else_, in_, for_, within_, to_,
  from_, by_, at_, where_, when_, equals, same_as, closing_paren, closing_bracket, block, breaks_,
};

enum class Group : u8 { none, multiply, add, compare, test, both, either, power };
enum class Slip : u8 { none, spacing, assignment };

struct OperatorAt {
  Group group = Group::none;
  Slip slip = Slip::none;
  bool keyword = false;
  const char* begin = nullptr;
  const char* end = nullptr;
};

struct WordAt {
  u32 length = 0;   // 0: no word here
  Word word = Word::plain;
};

// Where a parse stands; the rules look at it and move `end` never to the right.
struct ParseState {
  FileId file;
  const char* text = nullptr;    // offset 0 of the file
  const char* begin = nullptr;   // of what is read
  const char* end = nullptr;     // moved to the left when a limit is met
  bool by_column = false;        // the column of a line's first word can close a block
  bool unbalanced = false;       // a brace is missing or too many
  bool stopped = false;          // the limit of nodes was met
  u32 depth = 0;
  std::vector<Node> nodes;
};

class Builder : public ParseState {
 public:
  struct Mark {
    u32 nodes;
    u32 notices;
  };

  // Reads [from, to) of the text of a file that starts at `whole`.
  Builder(FileId read, const char* whole, const char* from, const char* to, bool columns);

  // ---- nodes ----
  u32 size() const { return static_cast<u32>(nodes.size()); }
  void leaf(Kind kind, const char* from, const char* to) {
    nodes.push_back(Node{offset(from), offset(to), 1, static_cast<u32>(kind)});
    if (nodes.size() >= base::limits::tree_nodes) [[unlikely]] stop_at(to);
  }
  void path_leaf(const char* from, const char* to) {
    if (to - from > static_cast<std::ptrdiff_t>(base::limits::name_bytes)) [[unlikely]] check_name(from, to);
    leaf(Kind::path, from, to);
  }
  void measure_leaf(const char* from, const char* to);
  const char* text_leaf(const char* from, const char* to, bool closed);   // gives where it ends
  void close(Kind kind, u32 mark);
  void reopen_last();                                 // the next close() ends it anew
  bool last_is(Kind kind) const { return !nodes.empty() && nodes.back().what() == kind; }
  u32 last_end() const { return nodes.empty() ? offset(begin) : nodes.back().end; }

  Mark mark() const { return {size(), notice_count_}; }
  void rewind(Mark mark) {
    if (nodes.size() != mark.nodes) nodes.resize(mark.nodes);
    if (notice_count_ != mark.notices) [[unlikely]] forget_notices(mark.notices);
  }

  // ---- what stands at a position ----
  WordAt word_at(const char* p) {
    if (p != word_position_) find_word(p);
    return word_;
  }
  const OperatorAt& operator_at(const char* p) {
    if (p != operator_position_) find_operator(p);
    return operator_;
  }
  // `=` belongs to an outer rule while this is set; gives the setting before.
  bool keep_assignment_out(bool keep) {
    operator_position_ = nullptr;
    return std::exchange(no_assignment_, keep);
  }
  bool first_of_line(const char* p) const;            // only blanks between it and the line's begin
  bool looks_like_head(const char* p);                // a head of a line, not the begin of a formula
  u32 column_of_line(const char* p);                  // the indentation of the line that holds p

  // ---- notices ----
  u32 offset(const char* p) const { return static_cast<u32>(p - text); }
  notices::Notice* complain(notices::Code code, const char* from, const char* to, std::string headline);
  bool may_complain() const { return notice_count_ == statement_notices_; }
  void begin_statement() { statement_notices_ = notice_count_; }
  void missing(Lack lack);
  void unclosed(u32 brace);                           // a block whose `{` is at that offset ends without `}`
  void extra_brace(const char* p);
  void too_deep(const char* p);                       // says so once
  bool deep_said() const { return deep_notice_ != 0; }
  void operator_slip(const OperatorAt& op);
  void wrong_arrow(const char* from, const char* to);
  const char* bad_measure(const char* p);             // end of what was meant as a number; makes the leaf
  bool is_bad_measure(const char* p) const;
  // Something that does not belong: complains, makes a junk leaf, gives where it ends.
  const char* stray(const char* p, Body body);
  void stray_until(const char* p, const char* q);     // the same for all of [p, q), blanks at its end apart
  // The same at the begin of a line, where no item could begin.
  const char* bad_head(const char* p, Body body);
  const char* salvage(const char* p, char closing);   // the closing bracket further on in the line, or nullptr
  void note_suppressed();                             // how many more there were
  u32 notice_count() const { return notice_count_; }
  u32 suppressed() const { return suppressed_; }
  notices::Notices take_notices() { return std::move(notices_); }

 private:
  void find_word(const char* p);
  void find_operator(const char* p);
  void check_name(const char* from, const char* to);
  void check_digits(const char* from, const char* to);
  void stop_at(const char* p);
  void forget_notices(u32 count);
  std::string words(const char* from, const char* to) const;   // for a message: cut, without controls
  void comma_in_number(const char* p, const char* q);
  void no_number(const char* p, const char* q);
  bool refused_already(const char* p) const;
  const char* bad_rule_head(const char* p);
  struct Stray;
  bool describe_foreign(const char* p, Stray& stray) const;
  const char* complain_of_stray(const char* p, Body body);
  Stray describe_stray(const char* p, Body body) const;

  const char* word_position_ = nullptr;
  WordAt word_;
  const char* operator_position_ = nullptr;
  OperatorAt operator_;
  bool no_assignment_ = false;
  const char* line_known_until_ = nullptr;
  u32 line_column_ = 0;
  notices::Notices notices_;
  u32 notice_count_ = 0;
  u32 statement_notices_ = 0;
  u32 suppressed_ = 0;
  u32 deep_notice_ = 0;   // its number from 1, 0: not said
};
}  // namespace dripleg::syntax
