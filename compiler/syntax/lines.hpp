// Lines and blocks: items one after another, parted by line ends or commas, and what happens when one
// of them goes on after it is complete or does not begin at all. Private to this folder.
#pragma once
#include "syntax/grammar.hpp"

namespace dripleg::syntax::grammar {
struct job_lines {
  using item = job_item;
  using tail = job_tail;
  static constexpr Body body = Body::job;
};
struct library_lines {
  using item = library_item;
  using tail = library_tail;
  static constexpr Body body = Body::library;
};
struct rule_lines {
  using item = rule_item;
  using tail = tail_of<rule_block, value>;
  static constexpr Body body = Body::rule;
};
struct layout_lines {
  using item = layout_item;
  using tail = layout_tail;
  static constexpr Body body = Body::layout;
};
struct top_lines {
  using item = top_item;
  using tail = job_tail;
  static constexpr Body body = Body::top;
};

// ---- what goes on after an item that was complete -----------------------------------------------------
// The sort of an item says which block may follow it.
inline Body body_after(Kind item, Body around) {
  if (item == Kind::decl_rule) return Body::rule;
  if (item == Kind::decl_layout) return Body::layout;
  if (item == Kind::decl_lib) return Body::library;
  if (around == Body::rule) return Body::library;
  return around == Body::top ? Body::job : around;
}
inline void run_tails(Input& in, Builder& b, Body body) {
  switch (body) {
    case Body::library: run<peg::star<library_tail>>(in, b); break;
    case Body::rule: run<peg::star<rule_lines::tail>>(in, b); break;
    case Body::layout: run<peg::star<layout_tail>>(in, b); break;
    case Body::top:
    case Body::job: run<peg::star<job_tail>>(in, b); break;
  }
}

// From the end of an item to the stop behind it; what stands between is made part of the item.
template <class Lines>
void finish_item(Input& in, Builder& b, u32 mark, Kind item) {
  for (;;) {
    const char* p = skip_blanks(in.current(), b.end);
    go_to(in, p);
    if (p == b.end || *p == '}') return;
    if (*p == ',') {
      run<comma>(in, b);
      run<space>(in, b);
      return;
    }
    if (*p == '\n' || *p == '#') {
      run<space>(in, b);
      return;
    }
    b.reopen_last();
    const Body body = body_after(item, Lines::body);
    if (*p == '{') b.complain(notices::Code::syntax_line_end, p, p + 1, "no block belongs to this line");
    else go_to(in, b.stray(p, body));
    run_tails(in, b, body);
    b.close(item, mark);
  }
}

template <class Lines>
void read_item(Input& in, Builder& b, u32 first) {
  const char* const p = in.current();
  b.begin_statement();
  u32 mark = b.size();
  Kind item = Kind::entry;
  if (*p == '{') {   // belongs to the end of the line before
    if (auto* notice = b.complain(notices::Code::syntax_brace_line, p, p + 1, "put { at the end of the line it belongs to"))
      notice->cures.emplace_back("join it to the line above");
    if (mark > first && !is_leaf(b.nodes.back().what())) {
      item = b.nodes.back().what();
      mark -= b.nodes.back().size;
      b.reopen_last();
    }
    run_tails(in, b, body_after(item, Lines::body));
    b.close(item, mark);
  } else if (run<typename Lines::item>(in, b)) {
    item = b.nodes.back().what();
  } else {
    go_to(in, b.bad_head(p, Lines::body));
    b.close(item, mark);
  }
  finish_item<Lines>(in, b, mark, item);
  b.begin_statement();
}

template <class Lines>
struct block {
  using rule_t = block;
  using subs_t = peg::empty_list;
  template <peg::apply_mode A, peg::rewind_mode M, template <class...> class Action, template <class...> class Control>
  static bool match(Input& in, Builder& b) {
    const char* const brace = in.current();
    if (brace == b.end || *brace != '{') return false;
    if (b.depth >= base::limits::nesting) return skip(in, b);
    const u32 mark = b.size();
    const u32 column = b.by_column ? b.column_of_line(brace) : 0;
    ++b.depth;
    run<sign<'{'>>(in, b);
    run<space>(in, b);
    read_lines(in, b, b.offset(brace), column);
    --b.depth;
    b.close(Kind::block, mark);
    return true;
  }
  static void read_lines(Input& in, Builder& b, u32 brace, u32 column) {
    const u32 first = b.size();
    for (;;) {
      const char* const p = in.current();
      const bool at_end = p == b.end;
      const bool closes = !at_end && *p == '}';
      if (at_end || closes_by_column(b, p, column, closes)) {
        b.unclosed(brace);
        if (!at_end) go_back(in, b.text + b.last_end());
        return;
      }
      if (closes) {
        run<sign<'}'>>(in, b);
        return;
      }
      read_item<Lines>(in, b, first);
    }
  }
  // Second reading only: a line that begins at or left of the line that opened the block is not in it.
  static bool closes_by_column(Builder& b, const char* p, u32 column, bool brace) {
    if (!b.by_column || !b.first_of_line(p)) return false;
    const u32 here = b.column_of_line(p);
    return brace ? here < column : here <= column;
  }
  static bool skip(Input& in, Builder& b) {
    const char* p = in.current();
    const char* q = skip_bracketed(p, b.end);
    while (is_space(q[-1])) --q;
    b.too_deep(p);
    b.leaf(Kind::junk, p, q);
    go_to(in, q);
    return true;
  }
};

// A whole file. Whatever the bytes are, this reads to their end.
inline void read_file(Input& in, Builder& b) {
  run<space>(in, b);
  while (in.current() != b.end) {
    if (*in.current() == '}') {
      b.extra_brace(in.current());
      go_to(in, in.current() + 1);
      run<space>(in, b);
      continue;
    }
    read_item<top_lines>(in, b, 0);
  }
}
}  // namespace dripleg::syntax::grammar

namespace tao::pegtl {
// For the analysis of the grammar: a block takes its brace first, so it always makes progress.
template <class Name, class Lines>
struct analyze_traits<Name, dripleg::syntax::grammar::block<Lines>> : analyze_any_traits<typename Lines::item> {};
}  // namespace tao::pegtl
