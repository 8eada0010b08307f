#include "syntax/kinds.hpp"

#include <array>

namespace dripleg::syntax {
namespace {
constexpr std::array<std::string_view, static_cast<std::size_t>(Kind::count)> names{
    "junk", "missing", "measure", "text", "path", "digits", "keyword", "op", "punct", "file", "use",
    "language", "decl_rule", "decl_layout", "decl_lib", "decl_job", "d_gives", "d_is", "d_from", "d_for",
    "keys", "key", "params", "param", "agrees", "block", "field", "shape", "slot", "settles", "joins",
    "balance", "datum", "shut", "one_way", "rises", "section", "grid", "findings", "say", "figure", "column",
    "mark", "require", "for_line", "during", "remedy", "says", "weight", "was", "unknown", "accepts",
    "example", "run", "chain", "length", "place", "run_as", "run_like", "fittings", "link", "entry", "row",
    "bind", "per_line", "equals", "per", "prose", "range_value", "spread_value", "list", "phrase",
    "call_value", "choice", "either", "both", "negation", "comparison", "is_test", "sum", "product", "minus",
    "power", "postfix", "member", "args", "index", "compound", "paren", "world_when", "world_during", "fold",
    "first", "find", "carry", "binders", "binder", "range", "where",
};
}  // namespace

std::string_view text_of(Kind kind) { return names[static_cast<std::size_t>(kind)]; }
}  // namespace dripleg::syntax
