// What a node of the tree is. Leaves come first, so "is a leaf" is one comparison. Every keyword,
// operator and bracket is a leaf of its own; each entry below names the children in order, leaves in
// `quotes` being keywords, operators or punctuation, [ ] optional, ... repeated.
#pragma once
#include "base/ids.hpp"

#include <string_view>

namespace dripleg::syntax {
enum class Kind : u8 {
  // ---- leaves -------------------------------------------------------------------------------------
  junk,         // text that belongs to nothing; a notice speaks of it
  missing,      // nothing, where something should stand; a notice speaks of it
  measure,      // date, clock, number, number and unit, `?`, `? unit`
  text,         // with its quotes
  path,         // a word, or words joined by dots
  digits,       // the number in flat[3]
  keyword,      // a word of the language where it acts as one
  op,           // -> .. +- = == != >= <= > < + - * / ^
  punct,        // { } [ ] ( ) , .
  // ---- file, heads ------------------------------------------------------------------------------
  file,         // top...
  use,          // `use` text|path [measure] [`as` path]
  language,     // `language` measure
  decl_rule,    // `rule` path then d_is | per | prose | block ...
  decl_layout,  // `layout` path then d_is | per | prose | block ...
  decl_lib,     // `kind|network|table|function|sketch` path [params] then parts | block | shape ... [equals] per | prose | block ...
  decl_job,     // `case|condition|unit|dimension|source|code` path then parts | d_for | block | shape ... [equals] ...
  d_gives,      // `gives` path
  d_is,         // `is` path
  d_from,       // `from` text | value
  d_for,        // `for` binders
  keys,         // `by` key [`,` key]...
  key,          // path...              NAME TYPE MODE
  params,       // `(` param... `)`
  param,        // path phrase-values...
  agrees,       // `agrees` expr `=` expr `within` measure [per] [prose]
  block,        // `{` items... `}`     (`,` between items on a line)
  // ---- lines of kinds, networks, tables ---------------------------------------------------------
  field,        // `needs|may|gives|limit|each` [`many`] path [shape] [block] [equals] [block] [per] [prose]
  shape,        // slot | value ...     a type, or a pattern when a slot stands in it
  slot,         // `(` param `)`
  settles,      // `settles` path path `in` range `from` expr `within` expr equals [per] [prose]
  joins,        // `joins` path (`at` path | `from` path `to` path) [block]
  balance,      // `balance` path `by` path [`within` measure]
  datum,        // `datum` path `at` path
  shut,         // `shut` `where` expr
  one_way,      // `one_way` `where` expr
  rises,        // `rises|falls` path
  // ---- lines of layouts -------------------------------------------------------------------------
  section,      // `section|page|frame|before|after` [path] [prose] block
  grid,         // `grid|list` `for` binders block
  findings,     // `findings` path... [where]
  say,          // `say` prose `when` expr
  figure,       // `figure` path [prose] [block]
  column,       // `column` text expr
  mark,         // `mark` `for` binders
  // ---- lines of rules ---------------------------------------------------------------------------
  require,      // `require|advise` expr
  for_line,     // `for` binders
  during,       // `during` path [`,` path]...
  remedy,       // `remedy` expr `for` binders
  says,         // `says|otherwise|caution` prose
  weight,       // `weight` path
  was,          // `was` path
  unknown,      // `unknown` `breaks` [where]
  accepts,      // `accepts_open`
  example,      // `example` path block
  // ---- lines that begin with a name --------------------------------------------------------------
  run,          // chain then value | per | fittings | run_as | run_like | block ...
  chain,        // place then [`->` length] `->` place ...      a length stands only between two arrows
  length,       // [`about`] measure|compound [`+-` measure|compound]
  place,        // path [`[` digits `]`]
  run_as,       // `as` path
  run_like,     // `like` place `->` place
  fittings,     // `with` measure [`,` measure]...
  link,         // place `->` place      a run spoken of
  entry,        // path|place then value | per | fittings | `for` | link | block ...
  row,          // value...              a line that does not begin with a letter
  bind,         // path `=` expr [per] [prose]
  per_line,     // per [prose]
  equals,       // `=` expr
  per,          // `per` [path [path]] [text]
  prose,        // text...
  // ---- values -----------------------------------------------------------------------------------
  range_value,  // value `..` value [`by` measure]
  spread_value, // value `+-` measure|compound
  list,         // `[` phrase|value [`,` ...]... `]`   in a shape also of slots
  phrase,       // value value ...       only where more than one value stands
  call_value,   // path args            of a phrase; path [3] is a place there too
  // ---- formulas (a level that adds nothing makes no node) ---------------------------------------
  choice,       // `if` expr `then` expr `else` expr
  either,       // expr `or` expr ...
  both,         // expr `and` expr ...
  negation,     // `not` expr
  comparison,   // expr (`==` ... | `in`) expr
  is_test,      // expr `is` path|keyword           none, given, empty, a kind, a stock thing, a word
  sum,          // expr (`+`|`-`) expr ...
  product,      // expr (`*`|`/`) expr ...
  minus,        // `-` expr
  power,        // expr `^` [`-`] expr
  postfix,      // expr then member | args | index ...
  member,       // `.` path
  args,         // `(` expr [`,` expr]... `)`
  index,        // `[` expr `]`
  compound,     // measure measure ...   5 ft 4 in
  paren,        // `(` expr [world]... `)`
  world_when,   // `when` path `=` expr
  world_during, // `during` path
  fold,         // `sum|...` `of` expr [`by` expr] `for` binders
  first,        // `first` binder [`by` expr] [where]
  find,         // `find` binder `where` expr `==` expr
  carry,        // `carry` path `from` expr `for` binders `=` expr
  binders,      // binder [`,` binder]... [where]
  binder,       // path `in` range
  range,        // expr [`..` expr]
  where,        // `where` expr
  count
};

constexpr bool is_leaf(Kind kind) { return kind <= Kind::punct; }
std::string_view text_of(Kind kind);   // its name as above, for tests and `tidy`
}  // namespace dripleg::syntax
