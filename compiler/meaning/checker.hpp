// The state that the steps of checking share while one set of files is turned into program records.
// Internal to this folder; lives for one call of compile(). Declared here, its steps each in a file.
#pragma once
#include "base/source.hpp"
#include "meaning/check.hpp"
#include "meaning/cursor.hpp"
#include "meaning/program.hpp"
#include "meaning/etype.hpp"
#include "quantities/reading.hpp"
#include "notices/notice.hpp"

#include <optional>
#include <string>
#include <unordered_map>
#include <unordered_set>

namespace dripleg::meaning {
using notices::Code;
using Node = syntax::Kind;
using syntax::is_leaf;

// Whose bare names a formula may use.
struct Scope {
  KindId self;                       // its fields; none: there is no self
  const Join* join = nullptr;        // in `joins`: also the attributes of its leg
  bool function = false;             // parameters, local names, functions and tables only
  RuleId rule;                       // its limits
  struct Local { NameId name; u32 index; Etype type; };
  std::vector<Local> locals;
  u32 next_local = 0;
  u32 most_locals = 0;
  std::vector<std::string> given;    // paths known not to be none here
  bool empirical = false;            // met a read-out or a number that is no exact constant

  u32 add_local(NameId name, const Etype& type) {
    locals.push_back({name, next_local, type});
    ++next_local;
    if (next_local > most_locals) most_locals = next_local;
    return next_local - 1;
  }
};
struct Typed {
  ExprId expr;
  Etype type;
};

// A formula that waits until everything that it may name is declared.
struct PendingFormula {
  enum class Where : u8 { field, join, function_local, function_body, condition } where;
  u32 index = 0;                     // of the field, slot formula …
  Cursor expr;
  KindId self;
  u32 extra = 0;
  const SourceTree* unit = nullptr;
  bool done = false;                 // read before the others
};
struct PendingKind {
  KindId kind;
  Cursor decl;
  const SourceTree* unit;
  enum class State : u8 { waiting, open, done } state = State::waiting;
};
struct PendingFunction { FunctionId function; Cursor decl; };
struct PendingTable { TableId table; Cursor decl; const SourceTree* unit; };
struct PendingOverride {             // one line of a `joins` block
  u32 join = 0;
  u8 target = 0;                     // 0 point of `at` or `from`, 1 point of `to`, 2 the leg
  u32 slot = 0;
  Cursor expr;
  ExprId formula;
};
struct PendingThing {
  ThingId thing;
  Cursor entry;
  const SourceTree* unit;
  enum class State : u8 { waiting, open, done } state = State::waiting;
};
struct PendingSettling { u32 settling = 0; KindId self; TypeId type; Cursor low, high, start, within; };
struct PendingLegTest {              // `shut where …`, `one_way where …`
  NetworkId network;
  bool one_way = false;
  Cursor expr;
};
struct PendingNetwork { ThingId net; NetworkId network; Cursor block; const SourceTree* unit; };

class Checker {
 public:
  Checker(Program& program_, const base::Sources& sources_, std::span<const SourceTree> units_,
          notices::Notices& notices_)
      : program(program_), sources(sources_), units(units_), notices(notices_) {}

  void run();

  // ---- notices (checker.cpp) ----
  notices::Notice& fail(Code code, Cursor where, std::string headline);
  notices::Notice& fail(Code code, base::Place where, std::string headline);
  std::unordered_set<u32> spoilt_names;   // names in lines that could not be read: not told of again
  // `300  ft`: says so and gives true if more than one blank, or a tab, parts a bare number and the unit behind it.
  bool wide_gap(const std::vector<Cursor>& values, std::size_t at);
  // Whether the measure at `at + 1` goes on with the one before: the same dimension in a smaller unit, one blank between.
  bool goes_on(const std::vector<Cursor>& values, std::size_t at, const Field& field);
  static std::string with_article(std::string_view noun);
  void suggest(notices::Notice& notice, std::string_view word, const std::vector<std::string_view>& known);
  std::string_view name_text(NameId name) const { return program.text(name); }
  NameId name(std::string_view spelling) { return program.names.intern(spelling); }
  NameId name(Cursor leaf) { return program.names.intern(leaf.text()); }
  TextId text(std::string_view words) { return program.names.intern(words); }

  // ---- heads (heads.cpp): names of everything, before anything is read ----
  void declare_heads();
  void declare(Symbol::What what, u32 index, Cursor name_leaf, const SourceTree& unit);
  void declare_alias(Symbol::What what, u32 index, NameId alias, base::Place place);
  const Symbol* known(Symbol::What what, NameId word) const { return program.symbols.find(word, what); }

  // ---- dimensions, units, documents, provenance (measures.cpp, sources.cpp) ----
  void read_dimensions_and_units();
  void read_documents();
  std::optional<Citation> read_per(Cursor per, bool in_library);
  Slice read_citations(const std::vector<Cursor>& pers, bool in_library);

  // ---- types and kinds (types.cpp, kinds.cpp, networks.cpp, joins.cpp) ----
  TypeId type_id(const Type& type);
  Type type_of(TypeId id) const { return program.types[id.value]; }
  TypeId quantity_type(std::string_view dimension);
  struct Shaped { Type type; std::optional<Cursor> pattern; bool choice = false; Cursor least, most; bool ok = true; };
  Shaped read_shape(Cursor shape, Cursor owner);
  Type read_type(const std::vector<Cursor>& words, std::size_t& at, Cursor where, bool& ok);
  KindId record_named(NameId word) const;
  u32 word_set(const std::vector<NameId>& words);
  void read_kinds();
  void read_kind(PendingKind& pending);
  void finish_kind(KindId kind, std::vector<Field>& fields, u16 own_first, const Kind& details,
                   std::vector<FieldAlias>& aliases);
  void read_field(Cursor line, KindId kind, std::vector<Field>& fields, std::vector<FieldAlias>& aliases,
                  const SourceTree& unit, std::string_view kind_name);
  void read_pattern(Field& field, Cursor shape, std::string_view record_name, bool many, Cursor block, const SourceTree& unit);
  void give_record_formulas(KindId record, std::size_t first);
  bool has_head(Cursor decl) const;                    // kind_heads.cpp
  void read_kind_head(Cursor decl, Kind& record, std::vector<Field>& fields);
  KindId new_kind(std::string_view spelling, bool hidden, base::Place place);
  KindId record_kind(std::string_view spelling, std::vector<Field> fields, base::Place place);
  ShapeId read_table_shape(Cursor owner, Cursor block, const std::vector<Cursor>& keys_node, std::string_view gives,
                           bool& ok, std::vector<Cursor>* data_lines);
  void declare_networks();
  void read_settles(Cursor line, KindId kind, std::vector<Field>& fields, const SourceTree& unit);
  void read_pending_settlings();
  void read_balance(NetworkId id, Cursor decl, std::vector<Field>& point_fields, std::vector<Field>& leg_fields);
  void finish_balance(NetworkId id, Cursor decl, std::vector<Field>& point_fields, const std::vector<Field>& leg_fields);
  void read_leg_tests();
  double measure_in(Cursor measure, TypeId type);
  void read_network(NetworkId network, Cursor decl, const SourceTree& unit);
  void add_join(KindId kind, Cursor line, std::vector<Field>& fields, std::vector<Join>& joins);
  void read_join_blocks();
  void make_classes();
  void inherit_join(u32 join, KindId kind);
  Field built_in_field(std::string_view spelling, Type type);
  std::optional<u32> slot_of(KindId kind, NameId field) const;
  std::vector<std::string_view> field_names(KindId kind) const;

  // ---- functions, tables, conditions, cases (functions.cpp, tables.cpp, cases.cpp) ----
  void read_signatures();
  void read_function_bodies();
  void read_table_data();
  void fill_table(TableId table, const std::vector<Cursor>& lines, Cursor where);
  TableId add_table(ShapeId shape, NameId table_name, base::Place place);

  // ---- rows from files (file_layouts.cpp, rows.cpp) ----
  void declare_file_layout(Cursor entry, const SourceTree& unit);
  void read_file_layouts();
  void read_conditions();
  void read_cases(bool of_job);   // a job's own may name its things

  // ---- formulas (formulas.cpp and friends) ----
  Typed formula(Cursor node, Scope& scope, const Etype* expected);
  Typed formula_as(Cursor node, Scope& scope, const Type& wanted);   // coerced; notices what does not fit
  bool coerce_in(Typed& typed, const Etype& wanted, Cursor where, Scope& scope);
  Etype etype(const Type& type) const;
  std::string describe(const Etype& type) const;
  ExprId push(const Expr& expr, const Etype& type, Cursor where);
  ExprId constant(Value value, const Etype& type, Cursor where);
  Slice expr_list(const std::vector<ExprId>& items);
  void read_bare_tables();
  void read_pending_formulas();
  Slice read_template(Cursor prose, Scope& scope, bool figures);
  Slice read_binders(Cursor binders, Scope& scope, ExprId& where);
  void facts(ExprId expr, bool truth, std::vector<std::string>& out) const;
  std::string path_key(ExprId expr) const;

  // ---- rules, codes, agreements, layouts (rules.cpp, codes.cpp, layouts.cpp) ----
  void read_rules();
  void read_rule(RuleId rule, Cursor decl, const SourceTree& unit);
  void read_codes();
  void read_agreements();
  void read_layouts();
  void read_layout_items(Cursor block, Scope& scope);

  // ---- things (things.cpp, entries.cpp, values.cpp) ----
  struct Block {                      // what is being read into one thing
    ThingId thing;
    const SourceTree* unit = nullptr;
    std::unordered_set<u32> given;    // slots that this block states
    std::unordered_map<u32, std::vector<Value>> gathered;   // records of many and keyed fields
    std::vector<u32> gathered_order;
    Citation whole;                   // a `per` line of its own
    bool whole_given = false;
  };
  ThingId add_thing(KindId kind, ClassId cls, NameId thing_name, base::Place place);
  void read_stock_and_parts();
  void read_job_things();
  void declare_entry(Cursor item, const SourceTree& unit);
  void declare_named(Cursor item, KindId kind, const SourceTree& unit);
  void declare_by_head(Cursor item, KindId kind, const SourceTree& unit);      // kind_heads.cpp
  void read_head_values(Block& block, Cursor item);
  std::string head_name(Cursor first, const std::vector<Cursor>& values) const;
  std::optional<ThingId> thing_by_head(const std::vector<Cursor>& words, bool& spoken);
  void read_pending_things();
  void read_pending(std::size_t at);
  void inherit_part(ThingId thing, Cursor part_leaf);
  void read_block(Block& block, Cursor node);
  void close_block(Block& block);
  void read_entry(Block& block, Cursor entry);
  void read_values(Block& block, u32 slot, Cursor entry, const std::vector<Cursor>& values, Cursor nested);
  std::size_t read_one(Block& block, u32 slot, const std::vector<Cursor>& values, std::size_t at, Cursor entry, const std::vector<Cursor>& pers);
  ThingId new_record(const Field& field, ThingId owner, u32 order, Cursor where);
  std::size_t match_pattern(const Field& field, Block& record, const std::vector<Cursor>& values, Cursor entry);
  std::string form_of(const Field& field) const;
  void set_input(Block& block, u32 slot, Value value, base::Span where, Cursor entry, const std::vector<Cursor>& pers);
  void fill_table_field(Block& block, u32 slot, Cursor nested, Cursor entry);
  void fill_table_from_file(Block& block, u32 slot, const std::vector<Cursor>& values, Cursor entry);
  std::optional<Value> read_value(Cursor node, const Field& field, ThingId thing, u32 slot, bool quiet, bool about = false);
  u32 add_list(const std::vector<Value>& items);
  std::optional<ThingId> find_thing(Cursor node, KindId wanted, bool quiet);
  Value hole(ThingId thing, u32 slot, Cursor where);
  Value variable(Variable variable);
  ThingId one_of_kind(KindId kind, base::Place place);
  void add_missing_ones();
  void add_missing_one(KindId kind, base::Place place);
  ThingId net_of(const Network& network, Cursor item);

  // ---- runs and networks of a job (runs.cpp) ----
  void read_network_block(const PendingNetwork& pending);
  void assemble_networks();
  void list_ports(NetworkId network);
  void read_acceptances();

  Program& program;
  const base::Sources& sources;
  std::span<const SourceTree> units;
  notices::Notices& notices;

  std::vector<PendingKind> kinds;
  std::unordered_map<u32, u32> pending_kind_of;       // KindId → index in kinds
  std::vector<PendingFormula> formulas;
  std::vector<PendingFunction> functions;
  std::vector<PendingTable> tables;
  std::vector<PendingOverride> overrides;
  std::vector<PendingSettling> settlings;
  std::vector<PendingLegTest> leg_tests;
  std::vector<std::pair<NetworkId, std::pair<Cursor, const SourceTree*>>> networks;
  std::vector<std::pair<ConditionId, Cursor>> conditions;
  std::vector<std::pair<CaseId, std::pair<Cursor, const SourceTree*>>> cases;
  std::vector<std::pair<RuleId, std::pair<Cursor, const SourceTree*>>> rules;
  std::vector<std::pair<CodeSetId, std::pair<Cursor, const SourceTree*>>> codes;
  std::vector<std::pair<Cursor, const SourceTree*>> agreements;
  std::vector<std::pair<u32, std::pair<Cursor, const SourceTree*>>> layouts;
  std::vector<std::pair<u32, std::pair<Cursor, const SourceTree*>>> file_layouts;
  std::vector<std::pair<Cursor, const SourceTree*>> dimensions, unit_lines, documents, entries, acceptances;
  std::vector<std::pair<Cursor, const SourceTree*>> job_heads;    // top-level entries that declare things
  std::vector<PendingNetwork> network_blocks;
  std::unordered_set<u64> connected_ports;            // thing and slot of ports where a run ends
  std::vector<PendingThing> pending_things;
  std::unordered_map<u32, std::size_t> pending_thing_of;   // ThingId → place in pending_things
  NetworkId type_network;                             // whose `point`, `leg` and `run` a type may name
  KindId record_owner;                                // whose entries the records being made are
  u32 first_kind = 0, first_field = 0, first_thing = 0, first_network = 0;
};
}  // namespace dripleg::meaning
