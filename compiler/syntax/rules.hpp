// The building blocks of the grammar: rules that push a node when they close, that expect what has to
// follow, and that bound how deep things may stand inside one another. Private to this folder.
#pragma once
#include "syntax/tokens.hpp"

#include <tao/pegtl/contrib/analyze_traits.hpp>

namespace dripleg::syntax::grammar {
// ---- rules that make nodes ------------------------------------------------------------------------------
template <class... R>
bool run_all(Input& in, Builder& b) {
  return (run<R>(in, b) && ...);
}

template <Kind K, class... R>
struct node {
  using rule_t = node;
  using subs_t = peg::type_list<R...>;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    auto m = in.template mark<M>();
    const u32 mark = b.size();
    if (!run_all<R...>(in, b)) return m(false);
    b.close(K, mark);
    return m(true);
  }
};

// R, then as often as it goes Separator R; a node only if there was more than one.
template <Kind K, class R, class Separator, class Next = R>
struct level {
  using rule_t = level;
  using subs_t = peg::type_list<R, Separator, Next>;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    const u32 mark = b.size();
    if (!run<R>(in, b)) return false;
    bool more = false;
    while (run<peg::seq<Separator, Next>>(in, b)) more = true;
    if (more) b.close(K, mark);
    return true;
  }
};

// What follows a head decides what the whole is.
template <Kind K, class... R>
struct form {
  using rule = peg::seq<peg::success, R...>;
  static bool after(Input& in, Builder& b, u32 mark) {
    if (!run<rule>(in, b)) return false;
    b.close(K, mark);
    return true;
  }
};
template <class Head, class... Forms>
struct headed {
  using rule_t = headed;
  using subs_t = peg::type_list<Head>;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    const u32 mark = b.size();
    if (!run<Head>(in, b)) return false;
    (void)(Forms::after(in, b, mark) || ...);
    return true;
  }
};

template <Lack L>
struct lacking {
  using rule_t = lacking;
  using subs_t = peg::empty_list;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input&, Builder& b) {
    b.missing(L);
    return true;
  }
};
template <class R, Lack L>
struct expect {
  using rule_t = expect;
  using subs_t = peg::type_list<R>;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    if (!run<R>(in, b)) b.missing(L);
    return true;
  }
};
// A formula that has to follow, on this line or the next. The head of a line is none, and nothing is
// looked for on the next line once something is missing.
template <class R>
struct operand {
  using rule_t = operand;
  using subs_t = peg::type_list<R>;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    const char* const before = in.current();
    const char* const p = skip_space(before, b.end);
    const bool next_line = p != before && b.first_of_line(p);
    if (!next_line || (!b.last_is(Kind::missing) && !b.looks_like_head(p))) {
      go_to(in, p);
      if (run<R>(in, b)) return true;
      go_back(in, before);
    }
    b.missing(Lack::formula);
    return true;
  }
};
// Every cycle of the grammar passes here: beyond the limit the rest is skipped by counting brackets.
template <class R>
struct deep {
  using rule_t = deep;
  using subs_t = peg::type_list<R>;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    if (b.depth >= base::limits::nesting) return skip(in, b);
    ++b.depth;
    const bool matched = run<R>(in, b);
    --b.depth;
    return matched;
  }
  static bool skip(Input& in, Builder& b) {
    const char* const p = skip_space(in.current(), b.end);
    const char* q = p;
    while (q != b.end && *q != '\n' && *q != '#' && *q != ')' && *q != ']' && *q != '}') {
      bool closed = false;
      if (*q == '(' || *q == '[' || *q == '{') q = skip_bracketed(q, b.end);
      else if (*q == '"') q = scan_text(q, b.end, closed);
      else ++q;
    }
    while (q != p && is_blank(q[-1])) --q;
    if (q == p) return false;
    b.too_deep(p);
    b.leaf(Kind::junk, p, q);
    go_to(in, q);
    return true;
  }
};
// `=` after a formula in here belongs to the rule outside.
template <class R>
struct without_assignment {
  using rule_t = without_assignment;
  using subs_t = peg::type_list<R>;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    const bool before = b.keep_assignment_out(true);
    const bool matched = run<R>(in, b);
    b.keep_assignment_out(before);
    return matched;
  }
};
// The closing bracket, perhaps on a later line; what stands before it on this line is set aside.
template <char C, Lack L>
struct closing {
  using rule_t = closing;
  using subs_t = peg::empty_list;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    const char* p = skip_space(in.current(), b.end);
    if (p == b.end || *p != C) {
      p = skip_blanks(in.current(), b.end);
      const char* q = b.salvage(p, C);
      if (!q || q == p) {
        b.missing(L);
        return true;
      }
      b.stray_until(p, q);
      p = q;
    }
    go_to(in, p);
    return run<sign<C>>(in, b);
  }
};
}  // namespace dripleg::syntax::grammar

namespace tao::pegtl {
template <class Name, class Self>
struct analyze_traits<Name, dripleg::syntax::grammar::taking_token<Self>> : analyze_any_traits<> {};
template <class Name, class Self>
struct analyze_traits<Name, dripleg::syntax::grammar::looking_token<Self>> : analyze_opt_traits<> {};
template <class Name, dripleg::syntax::Kind K, class... R>
struct analyze_traits<Name, dripleg::syntax::grammar::node<K, R...>> : analyze_traits<Name, typename seq<R...>::rule_t> {};
template <class Name, dripleg::syntax::Kind K, class R, class Separator, class Next>
struct analyze_traits<Name, dripleg::syntax::grammar::level<K, R, Separator, Next>>
    : analyze_traits<Name, typename seq<R, star<Separator, Next>>::rule_t> {};
template <class Name, class Head, class... Forms>
struct analyze_traits<Name, dripleg::syntax::grammar::headed<Head, Forms...>>
    : analyze_traits<Name, typename seq<Head, sor<success, typename Forms::rule...>>::rule_t> {};
template <class Name, dripleg::syntax::Lack L>
struct analyze_traits<Name, dripleg::syntax::grammar::lacking<L>> : analyze_opt_traits<> {};
template <class Name, class R, dripleg::syntax::Lack L>
struct analyze_traits<Name, dripleg::syntax::grammar::expect<R, L>> : analyze_opt_traits<R> {};
template <class Name, class R>
struct analyze_traits<Name, dripleg::syntax::grammar::operand<R>> : analyze_opt_traits<R> {};
template <class Name, class R>
struct analyze_traits<Name, dripleg::syntax::grammar::deep<R>> : analyze_traits<Name, typename seq<R>::rule_t> {};
template <class Name, class R>
struct analyze_traits<Name, dripleg::syntax::grammar::without_assignment<R>>
    : analyze_traits<Name, typename seq<R>::rule_t> {};
template <class Name, char C, dripleg::syntax::Lack L>
struct analyze_traits<Name, dripleg::syntax::grammar::closing<C, L>> : analyze_opt_traits<> {};
}  // namespace tao::pegtl
