// One formula being checked: tree in, typed nodes out. Internal to this folder; made anew for each formula.
#pragma once
#include "meaning/checker.hpp"
#include "quantities/reading.hpp"
#include "quantities/unit_reader.hpp"

namespace dripleg::meaning {
// Built-in functions by name; only for words that are one.
BuiltIn built_in_named(std::string_view word);
std::pair<u32, u32> built_in_counts(std::string_view word);   // fewest and most arguments

class Formula {
 public:
  Formula(Checker& checker, Scope& scope_, std::string_view file_text_)
      : c(checker), program(checker.program), scope(scope_), file_text(file_text_),
        reader(checker.program.names, checker.program.catalogue) {}

  Typed at(Cursor node, const Etype* expected);
  bool coerce(Typed& typed, const Etype& wanted, Cursor where, bool silent = false);
  Slice binders(Cursor node, ExprId& where);

 private:
  // formulas.cpp
  Typed literal(Cursor leaf, const Etype* expected);
  bool read_in(Typed& typed, const Etype& wanted);
  Typed failed(Cursor where);
  Typed wrong(Code code, Cursor where, std::string words, std::string cure = {});
  Etype number_type() const;
  Etype yes_no_type() const;
  Etype quantity(quantities::Vector vector, quantities::Level level = quantities::Level::no) const;
  // formula_names.cpp
  Typed named(Cursor leaf, const Etype* expected);
  std::optional<Typed> word(std::string_view spelling, Cursor where, const Etype* expected);
  std::optional<Typed> own_field(NameId name, Cursor where);
  std::optional<Typed> global(NameId name, Cursor where, const Etype* expected);
  Typed self_expr(Cursor where);
  Typed field_of(Typed thing, std::string_view name, Cursor where);
  Typed field_expr(Typed thing, u32 slot, Cursor where);
  Typed postfix(Cursor node, const Etype* expected);
  Typed call(Cursor callee, Cursor args, const Etype* expected);
  Typed call_function(FunctionId function, Cursor callee, const std::vector<Cursor>& args);
  Typed call_table(Typed table, const std::vector<Cursor>& args, Cursor where, Cursor member);
  Typed call_built_in(std::string_view word, Cursor callee, const std::vector<Cursor>& args, const Etype* expected);
  Typed keyed(Typed field, Cursor index);
  Typed narrowed(Typed typed);
  Typed unknown_name(std::string_view spelling, Cursor where);
  Typed phrase(Cursor node, const Etype* expected);
  // formula_tables.cpp
  Typed between(Cursor callee, const std::vector<Cursor>& args);
  Typed binned(Cursor callee, const std::vector<Cursor>& args, const Etype* expected);
  std::optional<Etype> bin_columns(const Etype& value, const Etype& amount, bool counted, const Etype* expected, Cursor callee);
  // formula_numbers.cpp
  Typed compound(Cursor node);
  Typed sum(Cursor node);
  std::optional<Typed> time_between(const Typed& later, const Typed& earlier, Cursor where);
  Typed add(Typed left, Typed right, bool minus, Cursor where);
  Typed product(Cursor node);
  Typed minus(Cursor node, const Etype* expected);
  Typed power(Cursor node);
  void meet(Typed& left, Typed& right, Cursor left_where, Cursor right_where);
  bool need_number(Typed& typed, Cursor where);
  bool given(Typed& typed, Cursor where);
  // formula_logic.cpp
  Typed comparison(Cursor node);
  Typed is_test(Cursor node);
  Typed negation(Cursor node);
  Typed logic(Cursor node, Op op);
  Typed choice(Cursor node, const Etype* expected);
  Typed condition(Cursor node);
  // formula_folds.cpp
  Typed paren(Cursor node, const Etype* expected);
  Typed list(Cursor node, const Etype* expected);
  Typed range(Cursor node, const Etype* expected);
  Typed fold(Cursor node, const Etype* expected);
  Typed first(Cursor node);
  Typed find(Cursor node, const Etype* expected);
  Typed carry(Cursor node);
  std::optional<Binder> binder(Cursor node);
  Type element_of(const Typed& list) const;

  Checker& c;
  Program& program;
  Scope& scope;
  std::string_view file_text;
  quantities::UnitReader reader;
};
}  // namespace dripleg::meaning
