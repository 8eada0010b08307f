// The tokens of the grammar, each found in one scan and pushed as one leaf, and the control that takes
// back what a failing rule has left. On top of PEGTL; private to this folder.
#pragma once
#include "syntax/builder.hpp"

#include <tao/pegtl.hpp>

namespace dripleg::syntax::grammar {
namespace peg = tao::pegtl;

using Input = peg::memory_input<peg::tracking_mode::lazy, peg::eol::lf, const char*>;

// ---- how rules are run --------------------------------------------------------------------------------
struct token {};        // leaves nothing half made behind when it fails
struct taking {};       // of a token: consumes when it succeeds

// A rule that fails leaves no node and no notice behind.
template <class Rule>
struct control : peg::normal<Rule> {
  static constexpr bool enable = false;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    if constexpr (std::is_base_of_v<token, Rule>) {
      return Rule::scan(in, b);
    } else {
      const Builder::Mark mark = b.mark();
      if (peg::match<Rule, A, M, Action, Control>(in, b)) return true;
      b.rewind(mark);
      return false;
    }
  }
};

template <class Rule>
bool run(Input& in, Builder& b) {
  return control<Rule>::template match<peg::apply_mode::action, peg::rewind_mode::required, peg::nothing, control>(in, b);
}

inline void go_to(Input& in, const char* p) { in.bump_in_this_line(static_cast<std::size_t>(p - in.current())); }
inline void go_back(Input& in, const char* p) { in.iterator() = p; }

// ---- tokens -------------------------------------------------------------------------------------------
template <class Self>
struct taking_token : token, taking {
  using rule_t = taking_token;
  using subs_t = peg::empty_list;
};
template <class Self>
struct looking_token : token {
  using rule_t = looking_token;
  using subs_t = peg::empty_list;
};

template <Word... W>
struct kw : taking_token<kw<W...>> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    if (!((here.word == W) || ...)) return false;
    b.leaf(Kind::keyword, p, p + here.length);
    go_to(in, p + here.length);
    return true;
  }
};
// A word that acts only before another word on the same line: `list for`, `sum of`.
template <class First, Word Second>
struct kw_before : taking_token<kw_before<First, Second>> {
  static bool scan(Input& in, Builder& b) {
    const char* const p = in.current();
    const WordAt here = b.word_at(p);
    if (here.word == Word::plain) return false;
    const char* next = skip_blanks(p + here.length, b.end);
    if (next == p + here.length || b.word_at(next).word != Second) return false;
    return First::scan(in, b);
  }
};
template <char C>
struct sign : taking_token<sign<C>> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (p == b.end || *p != C) return false;
    b.leaf(Kind::punct, p, p + 1);
    go_to(in, p + 1);
    return true;
  }
};
struct gap : looking_token<gap> {   // blanks, or none
  static bool scan(Input& in, Builder& b) {
    go_to(in, skip_blanks(in.current(), b.end));
    return true;
  }
};
struct blanks : taking_token<blanks> {
  static bool scan(Input& in, Builder& b) {
    const char* q = skip_blanks(in.current(), b.end);
    if (q == in.current()) return false;
    go_to(in, q);
    return true;
  }
};
struct space : looking_token<space> {   // blanks, line ends, comments, or none
  static bool scan(Input& in, Builder& b) {
    go_to(in, skip_space(in.current(), b.end));
    return true;
  }
};
struct after_blank : looking_token<after_blank> {
  static bool scan(Input& in, Builder& b) { return in.current() != b.begin && is_space(in.current()[-1]); }
};
// A line that begins with =, per or gives goes on with the declaration above it.
struct next_line_goes_on : taking_token<next_line_goes_on> {
  static bool scan(Input& in, Builder& b) {
    const char* p = skip_blanks(in.current(), b.end);
    if (p == b.end || (*p != '\n' && *p != '#')) return false;
    p = skip_space(p, b.end);
    if (p == b.end) return false;
    const Word word = b.word_at(p).word;
    const bool equals = *p == '=' && (p + 1 == b.end || p[1] != '=');
    if (!equals && word != Word::per_ && word != Word::gives_) return false;
    go_to(in, p);
    return true;
  }
};

inline bool take_path(Input& in, Builder& b, u32 first_length) {
  const char* const p = in.current();
  const char* q = p + first_length;
  while (b.end - q >= 2 && *q == '.' && is_letter(q[1])) q = scan_word(q + 1, b.end);
  b.path_leaf(p, q);
  go_to(in, q);
  return true;
}
// Any word or words joined by dots; the words listed are left alone.
template <Word... Not>
struct any_path : taking_token<any_path<Not...>> {
  static bool scan(Input& in, Builder& b) {
    const WordAt here = b.word_at(in.current());
    if (here.length == 0 || ((here.word == Not) || ...)) return false;
    return take_path(in, b, here.length);
  }
};
struct free_path : taking_token<free_path> {   // begins with no reserved word
  static bool scan(Input& in, Builder& b) {
    const WordAt here = b.word_at(in.current());
    return here.length != 0 && !is_reserved(here.word) && take_path(in, b, here.length);
  }
};
template <Word... Not>
struct any_word : taking_token<any_word<Not...>> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    if (here.length == 0 || ((here.word == Not) || ...)) return false;
    b.path_leaf(p, p + here.length);
    go_to(in, p + here.length);
    return true;
  }
};
struct name : taking_token<name> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    if (here.length == 0 || is_reserved(here.word)) return false;
    b.path_leaf(p, p + here.length);
    go_to(in, p + here.length);
    return true;
  }
};
// A name that is bound here; a reserved word is taken with a notice when `Next` says that one was meant.
struct bound_name : taking_token<bound_name> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    if (here.length == 0) return false;
    if (is_reserved(here.word)) {
      const char* next = skip_blanks(p + here.length, b.end);
      if (next == p + here.length || b.word_at(next).length == 0) return false;
      if (auto* notice = b.complain(notices::Code::syntax_reserved, p, p + here.length,
                                    "this word of the language cannot be a name"))
        notice->cures.emplace_back("take another name");
      b.leaf(Kind::junk, p, p + here.length);
    } else {
      b.path_leaf(p, p + here.length);
    }
    go_to(in, p + here.length);
    return true;
  }
};
struct reference : taking_token<reference> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    if (here.length == 0) return false;
    if (is_reserved(here.word)) {
      if (here.word != Word::from_ && here.word != Word::to_) return false;
      const char* dot = p + here.length;
      if (b.end - dot < 2 || *dot != '.' || !is_letter(dot[1])) return false;
    }
    return take_path(in, b, here.length);
  }
};
struct measure : taking_token<measure> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (p == b.end || (!is_digit(*p) && *p != '-' && *p != '?')) return false;
    if (const char* q = scan_measure(p, b.end)) {
      b.measure_leaf(p, q);
      go_to(in, q);
      return true;
    }
    if (!b.is_bad_measure(p)) return false;
    go_to(in, b.bad_measure(p));
    return true;
  }
};
struct text : taking_token<text> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (p == b.end || *p != '"') return false;
    bool closed = false;
    const char* q = scan_text(p, b.end, closed);
    go_to(in, b.text_leaf(p, q, closed));
    return true;
  }
};
struct digits : taking_token<digits> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const char* q = scan_digits(p, b.end);
    if (!q || q - p > static_cast<std::ptrdiff_t>(base::limits::number_digits)) return false;
    b.leaf(Kind::digits, p, q);
    go_to(in, q);
    return true;
  }
};
struct equals_sign : taking_token<equals_sign> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (p == b.end || *p != '=' || (p + 1 != b.end && (p[1] == '=' || p[1] == '>'))) return false;
    b.leaf(Kind::op, p, p + 1);
    go_to(in, p + 1);
    return true;
  }
};
template <char First, char Second>
struct double_sign : taking_token<double_sign<First, Second>> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (b.end - p < 2 || *p != First || p[1] != Second) return false;
    b.leaf(Kind::op, p, p + 2);
    go_to(in, p + 2);
    return true;
  }
};
using dots = double_sign<'.', '.'>;
using plus_minus = double_sign<'+', '-'>;

struct minus_sign : taking_token<minus_sign> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (p == b.end || *p != '-' || (p + 1 != b.end && (is_digit(p[1]) || p[1] == '>'))) return false;
    b.leaf(Kind::op, p, p + 1);
    go_to(in, p + 1);
    return true;
  }
};
// An operator of one group, as found behind the operand that ended here.
template <Group G>
struct operator_of : taking_token<operator_of<G>> {
  static bool scan(Input& in, Builder& b) {
    const OperatorAt found = b.operator_at(in.current());
    if (found.group != G) return false;
    if (found.slip != Slip::none) b.operator_slip(found);
    b.leaf(found.keyword ? Kind::keyword : Kind::op, found.begin, found.end);
    go_to(in, found.end);
    return true;
  }
};
struct digit_after_one_blank : taking_token<digit_after_one_blank> {   // the smaller unit of two
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (b.end - p < 2 || *p != ' ' || !is_digit(p[1])) return false;
    go_to(in, p + 1);
    return true;
  }
};
struct member_name : taking_token<member_name> {   // `.` and a word, glued to what precedes
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (b.end - p < 2 || *p != '.' || !is_letter(p[1])) return false;
    const char* q = scan_word(p + 1, b.end);
    b.leaf(Kind::punct, p, p + 1);
    b.path_leaf(p + 1, q);
    go_to(in, q);
    return true;
  }
};

// ---- arrows -------------------------------------------------------------------------------------------
struct Arrow {
  const char* begin = nullptr;
  const char* end = nullptr;   // nullptr: none
  bool wrong = false;
};
inline Arrow arrow_at(const char* p, const Builder& b) {
  p = skip_blanks(p, b.end);
  const auto left = b.end - p;
  if (left < 2) return {};
  if (*p == '-') {
    if (p[1] == '>') return {p, p + 2, false};
    const char* q = p + 1;
    while (q != b.end && *q == '-') ++q;
    if (q == p + 1) q = skip_blanks(q, b.end);
    return q != b.end && *q == '>' ? Arrow{p, q + 1, true} : Arrow{};
  }
  if (*p == '=' && p[1] == '>') return {p, p + 2, true};
  if (left >= 3 && std::memcmp(p, "\xE2\x86\x92", 3) == 0) return {p, p + 3, true};
  return {};
}
struct arrow : taking_token<arrow> {
  static bool scan(Input& in, Builder& b) {
    const Arrow found = arrow_at(in.current(), b);
    if (!found.end) return false;
    if (found.wrong) b.wrong_arrow(found.begin, found.end);
    b.leaf(Kind::op, found.begin, found.end);
    go_to(in, skip_blanks(found.end, b.end));
    return true;
  }
};
struct arrow_follows_place : looking_token<arrow_follows_place> {
  static bool scan(Input& in, Builder& b) {
    return (b.last_is(Kind::path) || b.last_is(Kind::place)) && arrow_at(in.current(), b).end;
  }
};
}  // namespace dripleg::syntax::grammar
