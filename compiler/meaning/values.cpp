// Values as a job or catalogue writes them, read by the type of the field that they stand in.
#include "meaning/checker.hpp"
#include "quantities/unit_reader.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace dripleg::meaning {
Value Checker::hole(ThingId thing, u32 slot, Cursor where) {
  Hole record;
  record.thing = thing;
  record.slot = static_cast<u16>(slot);
  record.written = true;
  record.place = where.place();
  if (thing.given()) {
    const Field& field = program.field(program.things[thing.value].kind, slot);
    record.bounded_low = field.least_given;
    record.low = field.least;
    record.bounded_high = field.most_given;
    record.high = field.most;
  }
  return Value::unknown(program.holes.push(record));
}

Value Checker::variable(Variable record) { return Value::variable(program.variables.push(record)); }

namespace {
// What a value looks like, for a message: `7 ft` wants a unit of length: ft, in, m …
std::string unit_list(const Program& program, const Etype& type) {
  // First the units in which values are shown; they are the ones that people write.
  std::vector<std::string_view> units;
  if (type.type.kind == TypeKind::quantity && type.level == quantities::Level::no)
    for (const std::string_view unit : program.catalogue.shown_units(program.names, quantities::DimensionId{type.type.of}, false))
      units.insert(units.begin(), unit);
  for (const std::string_view unit : program.catalogue.units_of(program.names, type.vector, type.level))
    if (std::find(units.begin(), units.end(), unit) == units.end()) units.push_back(unit);
  if (units.empty()) units = program.catalogue.units_of(program.names, program.catalogue.plain_vector(type.vector), type.level);
  std::string words;
  for (std::size_t at = 0; at < units.size() && at < 5; ++at) words += fmt::format("{}{}", at == 0 ? "" : ", ", units[at]);
  return words;
}
}  // namespace

std::optional<Value> Checker::read_value(Cursor node, const Field& field, ThingId thing, u32 slot, bool quiet, bool about) {
  const Type type = type_of(field.type);
  const auto no = [&](Code code, std::string words, std::string cure = {}) -> std::optional<Value> {
    if (!quiet) {
      auto& notice = fail(code, node, std::move(words));
      if (!cure.empty()) notice.cures.push_back(std::move(cure));
    }
    return std::nullopt;
  };
  const std::string_view field_name = name_text(field.name);
  if (node.is(Node::path) && node.text() == "none") {
    if (type.or_none) return Value::none();
    return no(Code::value_wrong, fmt::format("{} cannot be none", field_name.empty() ? "this" : field_name),
              "leave it out, or write ? if it is not known yet");
  }
  if (node.is(Node::measure) && !node.text().empty() && node.text().front() == '?') {
    if (quiet) return Value::unknown(0);
    if (node.text().size() > 2 && type.kind == TypeKind::quantity) {
      // The hole's unit is known: it must be one of this dimension.
      const Etype wanted = etype(type);
      quantities::UnitReader reader(program.names, program.catalogue);
      std::optional<quantities::Problem> trouble;
      const std::string_view unit = node.text().substr(2);
      if (!reader.read_in(unit, quantities::DimensionId{type.of}, quantities::Where::entry, trouble))
        return no(Code::unit_wrong, fmt::format("{} takes {}, and {} is not a unit of it", field_name, describe(wanted), unit),
                  fmt::format("units of it: {}", unit_list(program, wanted)));
    }
    return hole(thing, slot, node);
  }
  switch (type.kind) {
    case TypeKind::quantity: {
      const Etype wanted = etype(type);
      if (node.is(Node::range_value)) {
        const auto parts = node.parts();
        if (parts.size() < 2) return std::nullopt;
        Field plain = field;
        auto high = read_value(parts[1], plain, {}, 0, quiet);
        std::optional<Value> low;
        // A bare number takes the unit at the right.
        quantities::Problem problem;
        const auto low_measure = quantities::read_measure(parts[0].text(), problem);
        const auto high_measure = quantities::read_measure(parts[1].text(), problem);
        if (parts[0].is(Node::measure) && low_measure && low_measure->kind == quantities::MeasureKind::plain &&
            high_measure && high_measure->kind == quantities::MeasureKind::with_unit) {
          quantities::UnitReader reader(program.names, program.catalogue);
          std::optional<quantities::Problem> trouble;
          if (const auto unit = reader.read_in(high_measure->unit, quantities::DimensionId{type.of}, quantities::Where::entry, trouble))
            low = Value::number(quantities::value_of(low_measure->number, *unit));
        }
        if (!low) low = read_value(parts[0], plain, {}, 0, quiet);
        if (!low || !high || !low->known() || !high->known()) return std::nullopt;
        if (low->number() > high->number()) return no(Code::value_wrong, "the range runs from more to less", "write the smaller end first");
        if (quiet) return *low;
        Variable record{.kind = VariableKind::range, .thing = thing, .slot = static_cast<u16>(slot)};
        record.low = low->number();
        record.high = high->number();
        record.nominal = (record.low + record.high) / 2;
        record.place = node.place();
        if (parts.size() > 2) {
          const Etype step_type = etype({TypeKind::quantity, false, 0, program.catalogue.difference_of(quantities::DimensionId{type.of}).value});
          Field step_field = field;
          step_field.type = type_id(step_type.type);
          if (const auto step = read_value(parts[2], step_field, {}, 0, quiet); step && step->known()) record.step = step->number();
        }
        return variable(record);
      }
      if (node.is(Node::spread_value)) {
        const auto parts = node.parts();
        if (parts.size() < 2) return std::nullopt;
        const auto middle = read_value(parts[0], field, {}, 0, quiet);
        if (!middle || !middle->known()) return std::nullopt;
        quantities::Problem problem;
        const auto spread = quantities::read_measure(parts[1].text(), problem);
        double width = 0;
        if (spread && spread->kind == quantities::MeasureKind::percent) {
          width = std::fabs(middle->number()) * spread->number.value;
        } else {
          Field step_field = field;
          step_field.type = type_id({TypeKind::quantity, false, 0, program.catalogue.difference_of(quantities::DimensionId{type.of}).value});
          const auto size = read_value(parts[1], step_field, {}, 0, quiet);
          if (!size || !size->known()) return std::nullopt;
          width = size->number();
        }
        if (width < 0) return no(Code::value_wrong, "a spread is not below zero", "write how far it may be off either way: 44 ft +- 5 ft");
        if (quiet) return *middle;
        Variable record{.kind = VariableKind::spread, .thing = thing, .slot = static_cast<u16>(slot)};
        record.nominal = middle->number();
        record.low = record.nominal - width;
        record.high = record.nominal + width;
        record.place = node.place();
        return variable(record);
      }
      if (node.is(Node::compound)) {
        double total = 0;
        for (const Cursor part : node.parts()) {
          const auto value = read_value(part, field, {}, 0, quiet);
          if (!value || !value->known()) return std::nullopt;
          total += value->number();
        }
        return Value::number(total);
      }
      if (!node.is(Node::measure))
        return no(Code::value_wrong, fmt::format("{} takes {}, and this is none", field_name.empty() ? "this" : field_name, describe(wanted)),
                  fmt::format("write a number and its unit: {}", unit_list(program, wanted)));
      quantities::Problem problem;
      const auto measure = quantities::read_measure(node.text(), problem);
      if (!measure) {
        if (!quiet) fail(problem.code, node, problem.headline).cures = problem.cures;
        return std::nullopt;
      }
      double value = 0;
      const bool plain_dimension = program.catalogue.plain_vector(wanted.vector).plain() && wanted.level == quantities::Level::no;
      if (measure->kind == quantities::MeasureKind::plain || measure->kind == quantities::MeasureKind::percent) {
        const bool angle = program.catalogue.angle().given() && wanted.vector == program.catalogue[program.catalogue.angle()].vector;
        if (!plain_dimension || angle)
          return no(measure->kind == quantities::MeasureKind::plain ? Code::unit_missing : Code::unit_wrong,
                    fmt::format("{} takes {}, and {} has no unit of it", field_name.empty() ? "this" : field_name, describe(wanted), node.text()),
                    fmt::format("write the unit one blank behind the number: {}", unit_list(program, wanted)));
        value = measure->number.value;
        if (wanted.share && measure->kind == quantities::MeasureKind::plain && std::fabs(value) > 1)
          return no(Code::not_a_share, fmt::format("{} is a share of a whole, and {} is more than all of it", field_name, node.text()),
                    fmt::format("write {} %", node.text()));
      } else if (measure->kind == quantities::MeasureKind::with_unit) {
        quantities::UnitReader reader(program.names, program.catalogue);
        std::optional<quantities::Problem> trouble;
        const auto unit = reader.read_in(measure->unit, quantities::DimensionId{type.of}, quantities::Where::entry, trouble);
        if (!unit) {
          if (trouble) {
            if (!quiet) {
              auto& notice = fail(trouble->code, node, trouble->headline);
              notice.cures = trouble->cures;
              const std::string units_of = unit_list(program, wanted);
              if (!units_of.empty() && notice.cures.empty()) notice.cures.push_back(fmt::format("{} is written in: {}", field_name, units_of));
            }
            return std::nullopt;
          }
          return no(Code::unit_wrong, fmt::format("{} takes {}, and {} is not a unit of it", field_name.empty() ? "this" : field_name, describe(wanted), measure->unit),
                    fmt::format("units of it: {}", unit_list(program, wanted)));
        }
        value = quantities::value_of(measure->number, *unit);
      } else {
        return no(Code::value_wrong, fmt::format("{} takes {}, and this is a date or time", field_name, describe(wanted)));
      }
      const auto outside = [&](bool below, double bound) {
        std::string shown = fmt::format("{:.10g}", bound);
        if (measure->kind == quantities::MeasureKind::percent) {
          shown = fmt::format("{:.10g} %", bound * 100);
        } else if (!measure->unit.empty()) {
          quantities::UnitReader reader(program.names, program.catalogue);
          std::optional<quantities::Problem> trouble;
          if (const auto unit = reader.read_in(measure->unit, quantities::DimensionId{type.of}, quantities::Where::entry, trouble)) {
            const double zero = quantities::value_of(quantities::read_number("0").value(), *unit), one = quantities::value_of(quantities::read_number("1").value(), *unit);
            shown = fmt::format("{:.10g} {}", (bound - zero) / (one - zero), measure->unit);
          }
        }
        return no(Code::out_of_bounds, fmt::format("{} cannot be {}", field_name, below ? "as small as this" : "as large as this"),
                  fmt::format("it is {} {}", below ? "at least" : "at most", shown));
      };
      if (field.least_given && value < field.least) return outside(true, field.least);
      if (field.most_given && value > field.most) return outside(false, field.most);
      if (about && !quiet) {
        if (!field.spread_given)
          return no(Code::value_wrong, fmt::format("{} has no usual spread, so `about` says nothing", field_name), "write the spread: 44 ft +- 25 %");
        Variable record{.kind = VariableKind::spread, .thing = thing, .slot = static_cast<u16>(slot)};
        record.nominal = value;
        record.low = value * (1 - field.spread);
        record.high = value * (1 + field.spread);
        record.place = node.place();
        return variable(record);
      }
      return Value::number(value);
    }
    case TypeKind::yes_no:
      if (node.is(Node::path) && node.text() == "yes") return Value::yes_no(true);
      if (node.is(Node::path) && node.text() == "no") return Value::yes_no(false);
      return no(Code::value_wrong, fmt::format("{} is yes or no", field_name));
    case TypeKind::text:
      if (node.is(Node::text)) return Value::index(text(plain_text(node)).value);
      return no(Code::value_wrong, fmt::format("{} is a text", field_name), "put it between straight quotes");
    case TypeKind::date:
    case TypeKind::clock: {
      quantities::Problem problem;
      const auto measure = node.is(Node::measure) ? quantities::read_measure(node.text(), problem) : std::nullopt;
      const auto wanted = type.kind == TypeKind::date ? quantities::MeasureKind::date : quantities::MeasureKind::clock;
      if (measure && measure->kind == wanted) return Value::number(measure->number.value);
      if (!measure && node.is(Node::measure)) return no(problem.code, problem.headline);
      return no(Code::value_wrong, fmt::format("{} is a {}", field_name, type.kind == TypeKind::date ? "date, like 2026-04-02" : "time of day, like 9:10"));
    }
    case TypeKind::size: {
      if (!node.is(Node::measure)) return no(Code::value_wrong, fmt::format("{} is a size", field_name), "write it as it is sold, number and unit: 3/4 in, 1-1/4 in");
      quantities::Problem problem;
      const auto measure = quantities::read_measure(node.text(), problem);
      const auto label = measure && measure->kind == quantities::MeasureKind::with_unit
                             ? quantities::size_label(program.names, program.catalogue, *measure) : std::nullopt;
      if (!label) return no(Code::value_wrong, fmt::format("{} is no size", node.text()), "write it as it is sold, number and unit: 3/4 in, 1-1/4 in");
      return Value::index(name(*label).value);
    }
    case TypeKind::choice: {
      const Slice words = program.word_sets[type.of].words;
      std::vector<std::string_view> known_words;
      for (u32 at = 0; at < words.count; ++at) {
        const NameId word = program.name_lists[words.first + at];
        if (node.is(Node::path) && name_text(word) == node.text()) return Value::index(word.value);
        known_words.push_back(name_text(word));
      }
      if (quiet) return std::nullopt;
      std::string all;
      for (const auto word : known_words) all += fmt::format("{}{}", all.empty() ? "" : ", ", word);
      auto& notice = fail(Code::unknown_member, node, fmt::format("{} is none of the words that {} takes", node.text(), field_name));
      suggest(notice, node.text(), known_words);
      notice.cures.push_back(fmt::format("it takes: {}", all));
      return std::nullopt;
    }
    case TypeKind::thing: {
      if (!node.is(Node::path) && !node.is(Node::place) && !node.is(Node::call_value))
        return no(Code::value_wrong, fmt::format("{} names a {}", field_name, type.of < program.kinds.size() ? name_text(program.kinds[type.of].name) : "thing"));
      const auto found = find_thing(node, type.of < program.kinds.size() ? KindId{type.of} : KindId{}, quiet);
      return found ? std::optional(Value::index(found->value)) : std::nullopt;
    }
    case TypeKind::list: {
      Field element = field;
      element.type = TypeId{type.of};
      std::vector<Value> items;
      bool ok = true;
      const auto add = [&](auto&& self, Cursor part) -> void {
        if (part.is(Node::list) || part.is(Node::phrase)) {
          for (const Cursor inner : part.parts()) self(self, inner);
          return;
        }
        const auto value = read_value(part, element, thing, slot, quiet);
        if (value) items.push_back(*value);
        else ok = false;
      };
      add(add, node);
      if (!ok) return std::nullopt;
      if (quiet) return Value::number(0);
      return Value::index(add_list(items));
    }
    case TypeKind::range: {
      if (!node.is(Node::range_value)) return no(Code::value_wrong, fmt::format("{} is a range: from .. to", field_name));
      const auto parts = node.parts();
      Field end = field;
      end.type = type_id({TypeKind::quantity, false, 0, type.of});
      const auto high = read_value(parts[1], end, {}, 0, quiet);
      std::optional<Value> low;
      quantities::Problem problem;
      const auto low_measure = quantities::read_measure(parts[0].text(), problem);
      const auto high_measure = quantities::read_measure(parts[1].text(), problem);
      if (parts[0].is(Node::measure) && low_measure && low_measure->kind == quantities::MeasureKind::plain && high_measure &&
          high_measure->kind == quantities::MeasureKind::with_unit) {
        quantities::UnitReader reader(program.names, program.catalogue);
        std::optional<quantities::Problem> trouble;
        if (const auto unit = reader.read_in(high_measure->unit, quantities::DimensionId{type.of}, quantities::Where::entry, trouble))
          low = Value::number(quantities::value_of(low_measure->number, *unit));
      }
      if (!low) low = read_value(parts[0], end, {}, 0, quiet);
      if (!low || !high) return std::nullopt;
      if (low->known() && high->known() && low->number() > high->number())
        return no(Code::value_wrong, "the range runs from more to less", "write the smaller end first");
      if (quiet) return Value::number(0);
      return Value::index(program.ranges.push({*low, *high}));
    }
    case TypeKind::table:
    case TypeKind::row:
    case TypeKind::nothing:
      return no(Code::value_wrong, fmt::format("{} is a table; its rows stand in braces", field_name));
  }
  return std::nullopt;
}

u32 Checker::add_list(const std::vector<Value>& items) {
  return program.lists.push({{program.list_items.append(items), static_cast<u32>(items.size())}});
}

// A thing of the job, of stock, or a part, by what is typed; of the kind that is wanted.
std::optional<ThingId> Checker::find_thing(Cursor node, KindId wanted, bool quiet) {
  std::string_view spelling = node.text();
  u32 number = 0;
  std::string_view word = spelling;
  if (const auto bracket = spelling.find('['); bracket != std::string_view::npos) {
    word = spelling.substr(0, bracket);
    for (const char c : spelling.substr(bracket + 1)) {
      if (c >= '0' && c <= '9' && number < 100'000'000) number = number * 10 + static_cast<u32>(c - '0');
    }
  }
  const Symbol* found = nullptr;
  bool other_kind = false;
  const auto acceptable = [&](const Symbol& s) {
    if (s.what != Symbol::What::stock && s.what != Symbol::What::part && s.what != Symbol::What::job_thing) return false;
    if (wanted.given() && !program.is_a(program.things[s.index].kind, wanted)) {
      other_kind = true;
      return false;
    }
    return true;
  };
  if (const auto dot = word.find('.'); dot != std::string_view::npos) {
    const NameId prefix = name(word.substr(0, dot));
    found = program.symbols.find_if(name(word.substr(dot + 1)), [&](const Symbol& s) { return s.prefix == prefix && acceptable(s); });
  } else {
    found = program.symbols.find_if(name(word), [&](const Symbol& s) { return !(s.what == Symbol::What::part && s.prefix.given()) && acceptable(s); });
  }
  if (found != nullptr) {
    ThingId thing{found->index};
    if (number != 0) {
      const Thing& first = program.things[thing.value];
      if (first.number == 0 || thing.value + number - 1 >= program.things.size() ||
          program.things[thing.value + number - 1].name != first.name || program.things[thing.value + number - 1].number != number) {
        if (!quiet) fail(Code::unknown_thing, node, fmt::format("there is no {}", spelling));
        return std::nullopt;
      }
      thing.value += number - 1;
    }
    return thing;
  }
  if (quiet) return std::nullopt;
  const std::string kind_word = wanted.given() ? std::string(name_text(program.kinds[wanted.value].name)) : "thing";
  auto& notice = other_kind ? fail(Code::wrong_kind, node, fmt::format("{} is no {}", word, kind_word))
                            : fail(Code::unknown_thing, node, fmt::format("no {} is named {}", kind_word, word));
  if (other_kind) {
    const auto other = find_thing(node, {}, true);
    if (other) notice.cures.push_back(fmt::format("{} is {}; name {}", word, with_article(name_text(program.kinds[program.things[other->value].kind.value].name)), with_article(kind_word)));
  }
  std::vector<std::string_view> words;
  std::vector<std::string> dotted;
  const auto& all = program.symbols.all();
  for (u32 at = 0; at < all.size(); ++at) {
    const Symbol& s = all[at];
    if (s.what != Symbol::What::stock && s.what != Symbol::What::part && s.what != Symbol::What::job_thing) continue;
    if (wanted.given() && !program.is_a(program.things[s.index].kind, wanted)) continue;
    if (s.prefix.given()) dotted.push_back(fmt::format("{}.{}", name_text(s.prefix), name_text(s.name)));
    else words.push_back(name_text(s.name));
  }
  for (const auto& text_of : dotted) words.push_back(text_of);
  suggest(notice, word, words);
  return std::nullopt;
}
}  // namespace dripleg::meaning
