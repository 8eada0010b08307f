#include "judge/wording.hpp"

#include <fmt/format.h>

namespace dripleg::judge {
using meaning::State;
using meaning::Type;
using meaning::TypeKind;
using meaning::Value;

std::string_view basis_word(meaning::Basis basis) {
  switch (basis) {
    case meaning::Basis::published: return "published";
    case meaning::Basis::practice: return "common practice";
    case meaning::Basis::maker: return "maker";
    case meaning::Basis::firm: return "firm";
    case meaning::Basis::recalled: return "from memory, check";
    case meaning::Basis::computed: return "computed";
    case meaning::Basis::stated: return "stated";
    case meaning::Basis::estimated: return "estimated";
  }
  return "";
}

std::string_view Wording::unit_of(meaning::ExprId id) const {
  const meaning::Expr& e = program_.exprs[id.value];
  if (e.op != meaning::Op::field) return {};
  const Type holder = program_.types[program_.expr_notes[e.a].type.value];
  if (holder.kind != TypeKind::thing || holder.of >= program_.kinds.size()) return {};
  const meaning::Field& field = program_.field(meaning::KindId{holder.of}, e.b);
  return field.shown.given() ? program_.text(field.shown) : std::string_view{};
}

std::string Wording::value(Value value, const Type& type, evaluate::WorldId world, std::string_view unit) const {
  switch (value.state()) {
    case State::known: break;
    case State::none: return "none";
    case State::unknown: return "not known";
    case State::failed: return "not computed";
    case State::unstated: return "not stated";
    case State::variable: return this->value(evaluation_.variable(meaning::VariableId{value.payload()}, world), type, world, unit);
    case State::pending: return "";
  }
  switch (type.kind) {
    case TypeKind::quantity: {
      const quantities::DimensionId dimension{type.of};
      if (!unit.empty())
        if (const auto display = printer_.display_in(unit, dimension)) return printer_.value_in(value.number(), *display);
      return printer_.value(value.number(), dimension);
    }
    case TypeKind::yes_no: return value.yes() ? "yes" : "no";
    case TypeKind::text: return std::string(program_.names.text(NameId{value.index()}));
    case TypeKind::choice: {
      std::string words(program_.names.text(NameId{value.index()}));
      for (char& c : words)
        if (c == '_') c = ' ';
      return words;
    }
    case TypeKind::size: return printer_.size(program_.names.text(NameId{value.index()}));
    case TypeKind::date: return quantities::format_date(value.number());
    case TypeKind::clock: return quantities::format_clock(value.number());
    case TypeKind::thing: return evaluation_.name_of(meaning::ThingId{value.index()});
    case TypeKind::list: {
      std::string words;
      const Type element = program_.types[type.of];
      u32 shown = 0;
      const auto items = evaluation_.items(value, world);
      if (items.empty()) return "none";
      for (const Value item : items) {
        if (shown++ == 12) {
          words += fmt::format(", and {} more", items.size() - 12);
          break;
        }
        words += (shown == 1 ? "" : ", ") + this->value(item, element, world, unit);
      }
      return words;
    }
    case TypeKind::range: {
      const meaning::Range range = evaluation_.range(value, world);
      const Type of{TypeKind::quantity, false, 0, type.of};
      return this->value(range.low, of, world, unit) + " to " + this->value(range.high, of, world, unit);
    }
    case TypeKind::table: return "a table";
    case TypeKind::row: return "a row";
    case TypeKind::nothing: return "none";
  }
  return "";
}

std::string Wording::field(meaning::ThingId id, u32 slot, evaluate::WorldId world) const {
  const meaning::Thing& thing = program_.things[id.value];
  const meaning::Field& field = program_.field(thing.kind, slot);
  const Value stated = program_.inputs[thing.first_slot + slot];
  const Type type = program_.types[field.type.value];
  if (stated.known() && type.kind == TypeKind::quantity) {
    const auto typed = program_.text(program_.stated[thing.first_slot + slot].as_typed);
    if (!typed.empty() && typed.find('\n') == std::string_view::npos && typed.find("+-") == std::string_view::npos)
      return printer_.as_typed(typed);
  }
  return value(evaluation_.field(id, slot, world), type, world, program_.text(field.shown));
}

std::string Wording::expr(meaning::ExprId id, const evaluate::Scope& scope, evaluate::WorldId world, std::string_view unit) const {
  const Value result = evaluation_.expr(id, scope, world);
  if (unit.empty()) unit = unit_of(id);
  return value(result, program_.types[program_.expr_notes[id.value].type.value], world, unit);
}

std::string Wording::templated(meaning::Slice parts, const evaluate::Scope& scope, evaluate::WorldId world) const {
  std::string words;
  for (u32 at = 0; at < parts.count; ++at) {
    const meaning::TemplatePart& part = program_.template_parts[parts.first + at];
    if (part.expr.given()) {
      words += expr(part.expr, scope, world, program_.text(part.unit));
      continue;
    }
    std::string_view text = program_.text(part.text);
    // A unit that ends in a full stop closes the sentence too.
    if (!words.empty() && words.back() == '.' && !text.empty() && text.front() == '.') text.remove_prefix(1);
    words += text;
    if (words.size() > 2048) return words.substr(0, 2045) + "…";
  }
  return words;
}

std::string Wording::citation(const meaning::Citation& citation) const {
  std::string words;
  if (citation.document.given()) {
    const meaning::Document& document = program_.documents[citation.document.value];
    words = document.number.given() ? std::string(program_.text(document.number))
            : document.title.given() ? std::string(program_.text(document.title)) : std::string(program_.text(document.name));
    if (citation.clause.given()) words += ", " + std::string(program_.text(citation.clause));
  } else if (citation.clause.given()) {
    words = program_.text(citation.clause);
  }
  const bool plain = citation.basis == meaning::Basis::published || citation.basis == meaning::Basis::stated;
  if (plain) return words;
  return words.empty() ? std::string(basis_word(citation.basis)) : fmt::format("{} ({})", words, basis_word(citation.basis));
}

std::string Wording::entries(Value list, const meaning::Field& field) const {
  if (!list.known()) return value(list, {}, evaluate::nominal_world);
  std::string words;
  for (const Value record : evaluation_.items(list, evaluate::nominal_world)) {
    const meaning::Thing& thing = program_.things[record.index()];
    std::string one;
    for (u32 slot = 0; slot + 2 < thing.slots; ++slot) {
      const meaning::Field& part = program_.field(field.record, slot);
      const Value stated = evaluation_.field(meaning::ThingId{record.index()}, slot, evaluate::nominal_world);
      if (slot == 0 && stated.is(State::none)) continue;
      one += (one.empty() ? "" : " ") + value(stated, program_.types[part.type.value], evaluate::nominal_world, program_.text(part.shown));
    }
    words += (words.empty() ? "" : ", ") + one;
  }
  return words;
}

std::string Wording::hole(const meaning::Hole& hole) const {
  if (!hole.thing.given()) return "a cell of a table";
  const meaning::Thing& thing = program_.things[hole.thing.value];
  return fmt::format("{}.{}", evaluation_.name_of(hole.thing), program_.text(program_.field(thing.kind, hole.slot).name));
}
}  // namespace dripleg::judge
