// The checked program: everything that library, packs and job declare, as arrays of plain records that
// refer to one another by index. The library's part may lie in the read-only image; a job appends to it.
// After checking, nothing here changes (evaluation keeps its own state), and every index is in range.
#pragma once
#include "base/names.hpp"
#include "base/place.hpp"
#include "base/pool.hpp"
#include "meaning/expr.hpp"
#include "meaning/program_ids.hpp"
#include "meaning/symbols.hpp"
#include "meaning/value.hpp"
#include "quantities/catalogue.hpp"

namespace dripleg::meaning {
// ---- types ---------------------------------------------------------------------------------------
enum class TypeKind : u8 {
  quantity,   // of: index of a dimension in the catalogue
  yes_no,
  text,
  date,       // days since 1970-01-01
  clock,      // minutes since midnight
  size,       // label; the value is the NameId of its canonical spelling
  choice,     // one of some words; of: index of a WordSet; the value is the NameId of the word
  thing,      // of: KindId
  list,       // of: TypeId of the element
  range,      // of: dimension; value: index of a Range
  table,      // of: ShapeId; value: TableId
  row,        // of: ShapeId; value: row_value(table, row)
  nothing,    // the type of `none` alone
};
struct Type {
  TypeKind kind = TypeKind::nothing;
  bool or_none = false;
  u16 unused = 0;
  u32 of = 0;
  friend bool operator==(const Type&, const Type&) = default;
};

// ---- provenance ----------------------------------------------------------------------------------
enum class Basis : u8 { published, practice, maker, firm, recalled, computed, stated, estimated };
struct Document {
  NameId name;             // law_2018
  TextId title, number;    // "The law of …", "LAW 2018"
  u32 year = 0;
  DocumentId carries_on;   // the edition before, whose clauses count until re-read
  base::Place place;
};
struct Citation {
  Basis basis = Basis::stated;
  bool carried = false;
  DocumentId document;     // may be none: practice, computed, or a bare text in a job
  TextId clause;           // "402.4(2)", or the whole text
  base::Place place;
};

// ---- kinds ---------------------------------------------------------------------------------------
enum class Role : u8 {
  needs,      // unstated: not known
  may,        // unstated: its formula, else none
  gives,      // always its formula
  port,       // the point of a network where this thing joins it
  built_in,   // filled by the compiler: from, to, inward, onward, net, root, thing, owner, order …
};
enum class Holding : u8 {
  one,        // one value
  record,     // one thing of a hidden kind (an entry of several slots)
  many,       // list of things of a hidden kind, in the order written; or list of values if of one slot
  keyed,      // list of hidden things; slot 0 of each is the key (none: holds for every key)
};
// How an entry is read: words that must stand there, and slots, in order.
struct PatternPart {
  NameId word;             // given: this word must stand here
  u32 slot = 0;            // else: index of the slot (its place among the hidden kind's own fields)
  bool optional = false;   // belongs to a tail that may be left out
  bool names_rest = false; // a list slot takes all that is left
};
struct Field {
  NameId name;
  TypeId type;             // of what an expression gets: value, hidden kind's thing, list …
  Role role = Role::needs;
  Holding holding = Holding::one;
  bool choice = false;     // the designer's to choose (size, remedy); otherwise a fact
  bool spread_given = false;
  double spread = 0;       // relative, for `about`
  bool least_given = false, most_given = false;
  double least = 0, most = 0;   // `at least 0 ft`, `at most`; in base units
  ExprId formula;          // default of `may`, formula of `gives`
  KindId record;           // hidden kind of a patterned field
  Slice pattern;           // of pattern_parts
  NetworkId network;       // of a port
  TextId docs;
  Slice citations;
  NameId shown;            // unit to show it in, if its own
  u32 settling = 0;        // 1 + index of its Settling, if it settles
  NameId asks;             // who knows the answer to it ("mains_company", "owner", "site", "maker", "designer", "authority"); none: site
  TextId question;         // the question in words, if the library says one
  base::Place place;
};
// What may depend on itself: its formula is solved for, together with all that it meets, from a cold start.
struct Settling {
  ExprId low, high;        // it is looked for between these; at an end it has run away
  ExprId start;
  double within = 0;       // true error, in base units
};
struct FieldAlias { NameId alias; u32 slot; };
struct Kind {
  NameId name;             // lamp; hidden ones: lamp.sight_limit, mains.run, mains.point
  KindId parent;
  Slice fields;            // inherited ones first, so slot n is the same field in every child
  u16 own_first = 0;       // first slot that this kind adds
  bool stock = false;      // a job that names a member again amends it
  bool one = false;        // at most one in a job
  bool hidden = false;     // record of an entry, or point/leg/run/net of a network
  NetworkId network;       // for point, leg, run, net kinds
  Slice joins;             // of joins, inherited ones too
  Slice aliases;           // of field_aliases, inherited ones too
  ClassId plain;           // class of its ordinary members
  Slice head;              // of pattern_parts: what stands behind its name in place of a name of its own
  TextId docs;
  base::Place place;
};

// ---- classes: which formula computes which slot --------------------------------------------------
struct SlotFormula {
  ExprId formula;
  bool of_owner = false;   // the formula speaks as the thing that joins: evaluate with self = owner
};
struct Class {
  KindId kind;
  Slice formulas;          // of slot_formulas, one a slot of the kind
};
struct Join {
  KindId kind;
  NetworkId network;
  u16 from_slot = 0, to_slot = 0;   // slots of the ports; the same for a join at one port
  bool through = false;             // joins … from … to …: makes a leg
  u16 leg_slot = 0;                 // built-in slot of the joining kind that holds its leg (through only)
  ClassId at_class, to_class, leg_class;   // classes of its point(s) and its leg
};

// ---- things --------------------------------------------------------------------------------------
struct Thing {
  KindId kind;
  ClassId cls;
  NameId name;             // as typed; for runs `a -> b` or its `as` name; for records none
  u32 number = 0;          // 1.. for one of N alike, else 0
  u32 first_slot = 0;      // in inputs; the same number of cells in an evaluation
  ThingId owner;           // of a record, of a point or leg that a thing brought
  ThingId part;            // the catalogue part that it is
  u16 slots = 0;
  bool in_job = false;     // counts in `for x in kind`; parts and library things (but stock) do not
  bool is_stock = false;
  bool weak = false;       // junctions: their names are not shown as changes
  bool implied = false;    // made by the compiler (a fitting at a junction)
  base::Place place;
};
// Where a stated value came from; parallel to inputs, never touched by judging.
struct Stated {
  base::Place place;       // of the value
  CitationId citation;
  TextId as_typed;         // how it was written, e.g. "7 m"
};

// ---- variables: what differs from world to world -------------------------------------------------
enum class VariableKind : u8 { condition, range, spread, hole, choice };
struct Variable {
  VariableKind kind = VariableKind::condition;
  ConditionId condition;        // of a condition
  ThingId thing;                // else the input it stands in
  u16 slot = 0;
  double low = 0, high = 0;     // of a range or spread, in base units
  double nominal = 0;           // of a spread: what was written; of a range: its middle
  double step = 0;              // of a sweep `by`, else 0
  base::Place place;
};
struct Hole {                   // a fact or choice that is not there yet
  ThingId thing;
  u16 slot = 0;
  bool written = false;         // `?` was typed; else the entry is missing
  bool bounded_low = false, bounded_high = false;
  double low = 0, high = 0;
  bool keyed = false;           // an entry of a keyed field is missing: the one for `key`
  Value key;
  base::Place place;            // of the `?`, or of the thing that lacks the entry
};
struct Range { Value low, high; };
struct List { Slice items; };   // of list_items

// ---- functions ---------------------------------------------------------------------------------
struct Function {
  NameId name;
  u32 parameters = 0;      // the first locals of the frame
  u32 locals = 0;          // size of the frame
  Slice local_names;       // of local_names: formulas of local names, frame index = parameters + i
  ExprId body;
  Slice parameter_types;   // of type_lists
  Slice parameter_names;   // of name_lists
  TypeId result;
  Slice citations;
  TextId docs;
  bool empirical = false;  // has a read-out or a number that is no exact constant: wants an agreement
  base::Place place;
};

// ---- tables --------------------------------------------------------------------------------------
enum class LookUp : u8 { exact, up, down, between };
enum class Beyond : u8 { refused, held, straight };
struct Column {
  NameId name;
  TypeId type;
  bool key = false;
  LookUp mode = LookUp::exact;
  Beyond beyond = Beyond::refused;
  u32 each = 0;            // 1 + group, for columns made by `each` (one a member); else 0
  Value each_key;          // the member that an `each` column is for
};
struct Shape {             // what the columns of a table are
  Slice columns;           // keys first, in the order of `by`
  u16 keys = 0;
  bool two_way = false;    // keys[1] runs along the head line; one value type
  TypeId value;            // of a two-way table, or of the only value column
};
struct Table {
  NameId name;             // none for tables that are fields
  ShapeId shape;
  u32 rows = 0;
  u32 across = 0;          // two-way: number of heads
  u32 first_cell = 0;      // in table_cells; column by column: cell(c, r) = first_cell + c * rows + r
                           // two-way: row keys (rows), then heads (across), then cells row by row
  u32 first_line = 0;      // filled from a file: the line of its first row, in the file of `place`; else 0
  Slice citations;
  TextId docs;
  base::Place place;
};
// How a file of rows is laid out whose heading does not say it.
struct FileColumn {
  NameId name;             // of the table's column that it fills
  u32 number = 0;          // which cell of a row, from 1; 0: the one under `heading`
  TextId heading;
  TextId unit;             // none: a plain number, or no number
  Slice missing;           // of text_ids: what stands where nothing was measured
  base::Place place;
};
struct FileLayout {
  NameId name;
  u32 skip = 0;            // lines before the first row
  u32 sign = ',';          // between cells
  Slice columns;           // of file_columns
  Slice citations;
  TextId docs;
  base::Place place;
};
inline constexpr double row_stride = 67108864.0;   // 2^26
inline Value row_value(TableId table, u32 row) { return Value::number(table.value * row_stride + row); }

// ---- networks ------------------------------------------------------------------------------------
enum class Form : u8 { tree, graph };
struct Network {
  NameId name;
  Form form = Form::tree;
  bool arrows_either = false;
  Slice roots;             // of kind_lists: a port of a thing of such a kind is a root
  KindId net, point, leg, run;
  ClassId net_class, junction_class, run_class;
  KindId fitting;          // kind of what stands after `with`
  KindId fitting_record;   // hidden kind {count, fitting, implied}
  ThingId branch, through; // members of the fitting kind for a junction, if declared
  // Of a graph whose legs carry a balanced flow; a slot of 0 is none.
  u16 flow = 0, drop = 0;              // of a leg: what is kept at every point, and what cancels round every ring
  u16 entering = 0, carried = 0;       // of a leg: the point that feeds it, and the flow without its sign
  u16 head = 0;                        // of a point: none where nothing fixes it
  u16 arriving = 0, departing = 0;     // of a point: its legs by the way of their flow
  double within = 0;                   // of the flow, in base units
  ExprId shut, one_way;                // of a leg
  KindId datum;                        // where a thing of this kind joins, the head is zero
  bool balanced() const { return flow != 0; }
  TextId docs;
  base::Place place;
};
// Fixed slots of the built-in fields, the same in every network.
namespace point_slot { enum : u16 { from, inward, onward, net, root, thing, arrivals, first_own }; }
namespace net_slot { enum : u16 { points, legs, runs, first_own }; }
namespace leg_slot { enum : u16 { from, to, net, root, thing, first_own }; }

// ---- conditions and cases --------------------------------------------------------------------------
struct Condition {
  NameId name;
  TypeId type;
  ExprId formula;          // its value unless a case says otherwise
  TextId docs;
  VariableId variable;
  base::Place place;
};
struct Setting {
  ConditionId condition;
  ExprId value;            // of a sweep: a range
  ExprId step;             // of a sweep `low .. high by step`, else none
};
struct Case {
  NameId name;
  Slice binders;           // a family: one case for each; locals 0.. of its frame
  ExprId where;
  u32 locals = 0;
  Slice settings;
  TextId docs;
  bool in_job = false;
  base::Place place;
};

// ---- texts with figures in them ------------------------------------------------------------------
struct TemplatePart {
  TextId text;             // plain words, if expr is none
  ExprId expr;
  NameId unit;             // `as UNIT`
};

// ---- rules -----------------------------------------------------------------------------------------
enum class Weight : u8 { danger, fault, advice };
struct Requirement {
  ExprId test;
  bool advises = false;
};
struct Limit {
  NameId name;
  TypeId type;
  Slice choices;           // of limit_choices, in the order written
  RuleId rule;
};
struct LimitChoice {
  ExprId value;
  Slice citations;
};
struct Example {
  NameId outcome;          // holds, breaks, open
  base::Place block;       // its job text, with braces, in the rule's own file
  base::Place place;
};
struct Sketch {            // job text that examples may begin with
  NameId name;
  base::Place block;
};
struct Remedy {
  ExprId target;           // a field expression: its thing and slot are what may be changed
  u16 slot = 0;
  Slice binders;
  ExprId where;
};
struct Rule {
  NameId name;             // with dots
  TextId says;
  Slice citations;
  Weight weight = Weight::fault;
  Slice during;            // of case_ids; empty: every condition at its usual value
  Slice binders;
  ExprId where;
  u32 locals = 0;
  Slice requirements;
  Slice otherwise;         // of template_parts
  Slice cautions;          // of text_ids
  Slice limits;            // LimitIds, consecutive
  Slice remedies;
  Slice examples;
  NameId was;
  bool unknown_breaks = false;
  ExprId unknown_where;
  bool accepts_open = false;
  bool has_citation = false;
  FileId file;
  base::Place place;
};

// ---- codes -----------------------------------------------------------------------------------------
struct Amendment {
  RuleId rule;
  LimitId limit;           // none: the rule is dropped
  ExprId value;
  Slice citations;
  base::Place place;
};
struct CodeSet {
  NameId name;
  CodeSetId parent;
  Slice adopts;            // of document_ids
  Slice amendments;
  TextId docs;
  base::Place place;
};

// ---- agreements ------------------------------------------------------------------------------------
struct Agreement {
  ExprId left, right;
  double tolerance = 0;    // relative, or in base units
  bool relative = true;
  FunctionId function;     // what it is about, if one
  TableId table;
  Slice citations;
  base::Place place;
};

// ---- acceptances (of a job) --------------------------------------------------------------------------
struct Acceptance {
  RuleId rule;
  NameId rule_name;        // as typed, if there is no such rule
  Slice subjects;          // of thing_ids
  TextId because, by;
  double until = 0;        // days since 1970; NaN bits: not given
  bool until_given = false;
  bool no_worse_given = false;
  double no_worse = 0;
  base::Place place;
};

// ---- layouts -----------------------------------------------------------------------------------------
enum class LayoutOp : u8 {
  title, page, section, frame, before, after, drop, text, say, findings, open_questions, assumptions,
  grid, list, column, figure, property, mark, checklist, blank, sources, item,
};
struct LayoutItem {
  LayoutOp op = LayoutOp::item;
  NameId name;             // of a section, a figure's generator, a property
  Slice words;             // of name_lists: further words
  Slice text;              // of template_parts
  Slice binders;
  ExprId where;            // also the condition of `say`
  ExprId expr;             // of a column or property
  u32 items_end = 0;       // items from here + 1 to items_end are inside
  base::Place place;
};
struct Layout {
  NameId name;
  NameId parent;
  u32 first_item = 0, items_end = 0;
  u32 locals = 0;
  base::Place place;
};

// ---- the whole ---------------------------------------------------------------------------------------
struct WordSet { Slice words; };   // of name_lists
struct Program {
  base::Names names;
  quantities::Catalogue catalogue;
  Symbols symbols;

  template <class T> using Pool = base::Pool<T>;
  Pool<Type> types;
  Pool<WordSet> word_sets;
  Pool<NameId> name_lists;
  Pool<TypeId> type_lists;
  Pool<KindId> kind_lists;
  Pool<Document> documents;
  Pool<Citation> citations;
  Pool<Kind> kinds;
  Pool<Field> fields;
  Pool<FieldAlias> field_aliases;
  Pool<PatternPart> pattern_parts;
  Pool<Class> classes;
  Pool<SlotFormula> slot_formulas;
  Pool<Join> joins;
  Pool<Thing> things;
  Pool<Value> inputs;
  Pool<Stated> stated;             // parallel to inputs
  Pool<Variable> variables;
  Pool<Hole> holes;
  Pool<Range> ranges;
  Pool<List> lists;
  Pool<Value> list_items;
  Pool<Value> constants;
  Pool<Expr> exprs;
  Pool<ExprNote> expr_notes;       // parallel to exprs
  Pool<ExprId> expr_lists;
  Pool<Binder> binders;
  Pool<FindInfo> finds;
  Pool<CarryInfo> carries;
  Pool<Function> functions;
  Pool<ExprId> local_names;
  Pool<Column> columns;
  Pool<Shape> shapes;
  Pool<Table> tables;
  Pool<Value> table_cells;
  Pool<FileColumn> file_columns;
  Pool<FileLayout> file_layouts;
  Pool<Network> networks;
  Pool<Settling> settlings;
  Pool<Condition> conditions;
  Pool<Setting> settings;
  Pool<Case> cases;
  Pool<CaseId> case_ids;
  Pool<TemplatePart> template_parts;
  Pool<Rule> rules;
  Pool<Requirement> requirements;
  Pool<Limit> limits;
  Pool<LimitChoice> limit_choices;
  Pool<Example> examples;
  Pool<Sketch> sketches;
  Pool<Remedy> remedies;
  Pool<TextId> text_ids;
  Pool<CodeSet> codes;
  Pool<DocumentId> document_ids;
  Pool<Amendment> amendments;
  Pool<Agreement> agreements;
  Pool<Acceptance> acceptances;
  Pool<ThingId> thing_ids;
  Pool<LayoutItem> layout_items;
  Pool<Layout> layouts;

  // Of the job alone, never in an image.
  CodeSetId job_code;              // the set of documents that the job is held to; none: it does not say
  base::Place job_code_place;

  std::string_view text(NameId name) const { return name.given() ? names.text(name) : std::string_view{}; }
  const Field& field(KindId kind, u32 slot) const { return fields[kinds[kind.value].fields.first + slot]; }
  bool is_a(KindId kind, KindId wanted) const {
    for (; kind.given(); kind = kinds[kind.value].parent)
      if (kind == wanted) return true;
    return false;
  }
};
}  // namespace dripleg::meaning
