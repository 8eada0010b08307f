// `dripleg why`: how a value or a verdict came about, step by step to inputs, tables and sources.
#include "base/spelling.hpp"
#include "commands/commands.hpp"
#include "commands/findings.hpp"
#include "commands/opening.hpp"
#include "commands/output.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::commands {
namespace {
using evaluate::How;
using evaluate::Step;
using meaning::State;
using meaning::ThingId;

class Teller {
 public:
  Teller(project::Session& session) : session_(session), judgement_(*session.judgement), program_(session.program) {}

  void tell(const evaluate::Derivation& derivation, u32 at, u32 depth, std::string& out) {
    const Step& step = derivation.steps[at];
    out.append(depth * 2, ' ');
    out += line(step);
    out += '\n';
    for (const u32 from : step.from) tell(derivation, from, depth + 1, out);
    if (step.cut) {
      out.append((depth + 1) * 2, ' ');
      out += "… (--all shows what lies below)\n";
    }
  }
  void write(const evaluate::Derivation& derivation, u32 at, JsonWriter& json) {
    const Step& step = derivation.steps[at];
    json.begin_object();
    json.member("what", std::string_view(what(step))).member("value", std::string_view(value(step))).member("how", how_word(step.how));
    json.member("source", std::string_view(source(step)));
    json.member("formula", std::string_view(formula(step)));
    json.key("from").begin_array();
    for (const u32 from : step.from) write(derivation, from, json);
    json.end_array();
    if (step.cut) json.member("cut", true);
    json.end_object();
  }

 private:
  static std::string_view how_word(How how) {
    switch (how) {
      case How::stated: return "stated";
      case How::range: return "uncertain";
      case How::not_stated: return "not stated";
      case How::built_in: return "as it is joined";
      case How::balanced: return "balanced";
      case How::settled: return "settled";
      case How::usual: return "usual value";
      case How::formula: return "formula";
      case How::condition_set: return "set by the case";
      case How::condition: return "condition";
      case How::limit: return "limit";
      case How::table: return "table";
      case How::call: return "function";
      case How::collection: return "all of a kind";
      case How::other_world: return "in another case";
      case How::expression: return "asked";
    }
    return "";
  }
  std::string what(const Step& step) {
    if (step.how == How::condition || step.how == How::condition_set) return std::string(program_.text(program_.conditions[step.condition.value].name));
    if (step.how == How::limit) return "limit " + std::string(program_.text(program_.limits[step.limit.value].name));
    if (step.how == How::table) return step.table.given() && program_.tables[step.table.value].name.given() ? "table " + std::string(program_.text(program_.tables[step.table.value].name)) : std::string("a table");
    if (step.how == How::call) return std::string(program_.text(program_.functions[step.function.value].name));
    if (step.how == How::collection) return "every " + std::string(program_.text(program_.kinds[step.kind.value].name));
    if (step.thing.given()) return fmt::format("{}.{}", judgement_.evaluation().name_of(step.thing), program_.text(program_.field(program_.things[step.thing.value].kind, step.slot).name));
    return "";
  }
  std::string value(const Step& step) {
    meaning::Type type;
    if (step.how == How::condition || step.how == How::condition_set) type = program_.types[program_.conditions[step.condition.value].type.value];
    else if (step.how == How::limit) type = program_.types[program_.limits[step.limit.value].type.value];
    else if (step.how == How::call) type = program_.types[program_.functions[step.function.value].result.value];
    else if (step.thing.given()) {
      const meaning::Field& field = program_.field(program_.things[step.thing.value].kind, step.slot);
      if (field.holding == meaning::Holding::keyed) return judgement_.wording().entries(step.value, field);
      return judgement_.wording().value(step.value, program_.types[field.type.value], step.world, program_.text(field.shown));
    } else if (step.expr.given()) type = program_.types[program_.expr_notes[step.expr.value].type.value];
    if (step.how == How::collection) return "";
    return judgement_.wording().value(step.value, type, step.world);
  }
  std::string formula(const Step& step) {
    if (!step.expr.given() || (step.how != How::formula && step.how != How::settled && step.how != How::usual)) return {};
    const base::Place place = program_.expr_notes[step.expr.value].place;
    if (!place.given()) return {};
    std::string words(session_.sources.text(place));
    // One line: what stands on several is drawn together.
    std::string flat;
    bool blank = false;
    for (const char c : words) {
      if (c == '\n' || c == ' ' || c == '\t' || c == '\r') blank = !flat.empty();
      else {
        if (blank) flat += ' ';
        blank = false;
        flat += c;
      }
    }
    return flat.size() > 160 ? flat.substr(0, 157) + "…" : flat;
  }
  // Rows that stand in a file: where.
  std::string row_place(const Step& step) {
    meaning::TableId table = step.how == How::table ? step.table : meaning::TableId{};
    u32 row = step.row;
    if (step.how == How::stated && step.thing.given() && step.value.known()) {
      const meaning::Field& field = program_.field(program_.things[step.thing.value].kind, step.slot);
      if (program_.types[field.type.value].kind == meaning::TypeKind::table) table = meaning::TableId{step.value.index()}, row = 0;
    }
    if (!table.given() || table.value >= program_.tables.size() || program_.tables[table.value].first_line == 0) return {};
    const meaning::Table& filled = program_.tables[table.value];
    return fmt::format("{}:{}", session_.sources[filled.place.file].path(), filled.first_line + row);
  }
  std::string source(const Step& step) {
    std::string words = row_place(step);
    if (const std::string cited = cited_source(step); !cited.empty()) words += (words.empty() ? "" : ", ") + cited;
    return words;
  }
  std::string cited_source(const Step& step) {
    meaning::Slice citations;
    if (step.how == How::call) citations = program_.functions[step.function.value].citations;
    else if (step.how == How::table && step.table.given()) citations = program_.tables[step.table.value].citations;
    else if (step.how == How::limit) citations = judgement_.in_force().limit(step.limit).citations;
    else if (step.thing.given()) {
      const meaning::Thing& thing = program_.things[step.thing.value];
      const meaning::Stated& stated = program_.stated[thing.first_slot + step.slot];
      if ((step.how == How::stated || step.how == How::range) && stated.citation.given()) return judgement_.wording().citation(program_.citations[stated.citation.value]);
      if (step.how == How::usual || step.how == How::formula || step.how == How::settled) citations = program_.field(thing.kind, step.slot).citations;
    }
    std::string words;
    for (u32 at = 0; at < citations.count; ++at) words += (words.empty() ? "" : "; ") + judgement_.wording().citation(program_.citations[citations.first + at]);
    return words;
  }
  std::string line(const Step& step) {
    std::string words = what(step);
    const std::string shown = value(step);
    if (!shown.empty()) words += (words.empty() ? "" : " = ") + shown;
    std::string beside;
    if (step.how == How::stated && step.thing.given()) {
      const meaning::Thing& thing = program_.things[step.thing.value];
      const base::Place place = program_.stated[thing.first_slot + step.slot].place;
      if (place.given()) {
        const auto& file = session_.sources[place.file];
        beside = fmt::format("stated, {}:{}", file.path(), file.line_column(place.span.begin).line);
      } else {
        beside = "stated";
      }
    } else {
      beside = how_word(step.how);
    }
    const std::string from = source(step);
    if (!from.empty()) beside += ", " + from;
    words += "   (" + beside + ")";
    if (const std::string text = formula(step); !text.empty()) words += "   = " + text;
    return words;
  }

  project::Session& session_;
  judge::Judgement& judgement_;
  const meaning::Program& program_;
};

// `B1.inlet.level`, `a -> b.drop`, `"a -> b".drop`: a thing of the job, then fields.
struct Target {
  ThingId thing;
  u32 slot = 0;
};
std::optional<Target> find_target(project::Session& session, std::string asked, evaluate::WorldId world, std::string& trouble) {
  const meaning::Program& program = session.program;
  std::erase(asked, '"');
  // The longest name of a thing that the text begins with.
  ThingId thing;
  std::size_t used = 0;
  bool of_job = false;           // a job's own thing comes before one of the library that is called alike
  std::vector<std::string> names;
  for (u32 at = 0; at < program.things.size(); ++at) {
    const meaning::Thing& record = program.things[at];
    if ((!record.in_job && !record.is_stock) || !record.name.given()) continue;
    if (record.implied) continue;                         // what the compiler lists stands under its thing
    if (record.owner.given() && program.kinds[record.kind.value].network.given()) continue;      // points and legs are reached by their thing
    const std::string name = session.judgement->evaluation().name_of(ThingId{at});
    if (asked.starts_with(name) && (name.size() > used || (name.size() == used && record.in_job && !of_job)) && (asked.size() == name.size() || asked[name.size()] == '.'))
      thing = ThingId{at}, used = name.size(), of_job = record.in_job;
    names.push_back(name);
  }
  if (!thing.given()) {
    trouble = "there is no such thing in the job";
    std::vector<std::string_view> known(names.begin(), names.end());
    for (const std::string& near : base::near_spellings(asked.substr(0, asked.find('.')), known)) trouble += "; did you mean `" + near + "`";
    return std::nullopt;
  }
  std::string_view rest = std::string_view(asked).substr(used);
  if (rest.empty()) {
    trouble = "name a field too, as in THING.FIELD";
    return std::nullopt;
  }
  while (!rest.empty()) {
    rest.remove_prefix(1);
    const std::string_view word = rest.substr(0, rest.find('.'));
    rest = rest.substr(word.size());
    const meaning::KindId kind = program.things[thing.value].kind;
    std::optional<u32> slot;
    std::vector<std::string_view> fields;
    for (u32 at = 0; at < program.kinds[kind.value].fields.count; ++at) {
      fields.push_back(program.text(program.field(kind, at).name));
      if (fields.back() == word) slot = at;
    }
    if (!slot) {
      trouble = fmt::format("{} has no field {}", session.judgement->evaluation().name_of(thing), word);
      for (const std::string& near : base::near_spellings(word, fields)) trouble += "; did you mean `" + near + "`";
      return std::nullopt;
    }
    if (rest.empty()) return Target{thing, *slot};
    const meaning::Value value = session.judgement->evaluation().field(thing, *slot, world);
    if (program.types[program.field(kind, *slot).type.value].kind != meaning::TypeKind::thing || !value.known()) {
      trouble = fmt::format("{} is no thing, so it has no fields", word);
      return std::nullopt;
    }
    thing = ThingId{value.index()};
  }
  return std::nullopt;
}

int complain_place(project::Session& session, const Options& options, std::string words) {
  notices::Notices notices;
  notices.add(notices::Code::place_unknown, {}, std::move(words));
  complain_notices(session.sources, notices.all(), options);
  return 2;
}
// What kept the asked value from being computed.
void complain_failure(project::Session& session, const evaluate::Derivation& derivation, const Options& options) {
  if (derivation.steps.empty() || !derivation.steps.front().value.is(meaning::State::failed)) return;
  const u32 number = derivation.steps.front().value.payload();
  const auto& all = session.notices.all();
  if (number < all.size()) complain_notices(session.sources, std::vector<notices::Notice>{all[number]}, options);
}
}  // namespace

int run_why(const Options& options) {
  project::Session session;
  if (!open_and_judge(session, options)) return 2;
  judge::Judgement& judgement = *session.judgement;
  evaluate::WorldId world = evaluate::nominal_world;
  const std::string& place = options.operands[1];
  // A finding by its id: RULE @ SUBJECT.
  const judge::Finding* finding = nullptr;
  if (place.find('@') != std::string::npos) {
    for (const judge::Finding& one : judgement.findings())
      if (judgement.id(one) == place) finding = &one;
    if (finding == nullptr) return complain_place(session, options, fmt::format("there is no finding `{}`", place));
    world = finding->world;
  }
  if (!options.case_name.empty()) {
    bool found = false;
    for (u32 at = 0; at < session.program.cases.size() && !found; ++at)
      for (const evaluate::CaseWorld& one : judgement.worlds_of(meaning::CaseId{at})) {
        std::string name = judgement.case_name(meaning::CaseId{at}, one), plain = name;
        std::replace(plain.begin(), plain.end(), ' ', '_');
        if (options.case_name == name || options.case_name == plain || options.case_name == session.program.text(session.program.cases[at].name)) {
          world = one.world;
          found = true;
          break;
        }
      }
    if (!found) return complain_place(session, options, fmt::format("there is no case `{}`", options.case_name));
  }
  evaluate::Evaluation::Depth depth;
  if (options.all) depth = {64, 10'000};
  evaluate::Derivation derivation;
  std::string head;
  if (finding != nullptr) {
    std::vector<meaning::Value> locals = finding->locals;
    const meaning::Rule& rule = session.program.rules[finding->rule.value];
    locals.resize(std::max<std::size_t>(locals.size(), rule.locals));
    derivation = judgement.evaluation().explain(finding->test, evaluate::Scope{{}, locals}, world, depth);
    head = fmt::format("{}\n", finding->sentence.empty() ? std::string(session.program.text(rule.says)) : finding->sentence);
    if (!finding->case_name.empty()) head += fmt::format("case: {}\n", finding->case_name);
  } else {
    std::string trouble;
    const auto target = find_target(session, place, world, trouble);
    if (!target) return complain_place(session, options, fmt::format("`{}`: {}", place, trouble));
    derivation = judgement.evaluation().explain(target->thing, target->slot, world, depth);
  }
  Teller teller(session);
  if (options.format == Format::json) {
    std::string document;
    JsonWriter json(document);
    json.begin_object();
    json.member("format", "dripleg.why/1").member("asked", std::string_view(place));
    json.key("derivation");
    if (derivation.steps.empty()) json.null();
    else teller.write(derivation, 0, json);
    json.end_object();
    json.finish();
    put(document);
    return 0;
  }
  put(head);
  std::string out;
  if (!derivation.steps.empty()) teller.tell(derivation, 0, 0, out);
  put(out);
  complain_failure(session, derivation, options);
  return 0;
}
}  // namespace dripleg::commands
