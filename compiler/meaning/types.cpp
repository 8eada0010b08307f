// Types as they are written behind a field's, parameter's or column's name.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
TypeId Checker::type_id(const Type& type) {
  for (u32 at = 0; at < program.types.size(); ++at)
    if (program.types[at] == type) return TypeId{at};
  return TypeId{program.types.push(type)};
}

u32 Checker::word_set(const std::vector<NameId>& words) {
  for (u32 at = 0; at < program.word_sets.size(); ++at) {
    const Slice slice = program.word_sets[at].words;
    if (slice.count != words.size()) continue;
    bool same = true;
    for (u32 i = 0; i < slice.count && same; ++i) same = program.name_lists[slice.first + i] == words[i];
    if (same) return at;
  }
  const u32 first = program.name_lists.append(words);
  return program.word_sets.push({{first, static_cast<u32>(words.size())}});
}

// Reads one type from words[at] on; leaves `at` behind it.
Type Checker::read_type(const std::vector<Cursor>& words, std::size_t& at, Cursor where, bool& ok) {
  Type type;
  if (at >= words.size()) {
    ok = false;
    fail(Code::bad_declaration, where, "a type is missing here");
    return type;
  }
  const Cursor first = words[at];
  const std::string_view word = first.text();
  const auto said = [&](std::size_t offset, std::string_view wanted) {
    return at + offset < words.size() && words[at + offset].text() == wanted;
  };
  const NameId word_name = name(first);
  if (type_network.given() && (word == "point" || word == "leg" || word == "run")) {
    const Network& net = program.networks[type_network.value];
    type.kind = TypeKind::thing;
    type.of = (word == "point" ? net.point : word == "run" ? net.run : net.leg).value;
    ++at;
  } else if (word == "thing") type.kind = TypeKind::thing, type.of = 0xFFFFFFFFu, ++at;   // of any kind
  else if (word == "yes_no") type.kind = TypeKind::yes_no, ++at;
  else if (word == "text") type.kind = TypeKind::text, ++at;
  else if (word == "date") type.kind = TypeKind::date, ++at;
  else if (word == "clock") type.kind = TypeKind::clock, ++at;
  else if (word == "size") type.kind = TypeKind::size, ++at;
  else if (word == "one" && said(1, "of") && at + 2 < words.size() && words[at + 2].is(Node::list)) {
    std::vector<NameId> choices;
    for (const Cursor item : words[at + 2].parts()) {
      if (item.is(Node::phrase))
        for (const Cursor inner : item.parts()) choices.push_back(name(inner));
      else
        choices.push_back(name(item));
    }
    type.kind = TypeKind::choice;
    type.of = word_set(choices);
    at += 3;
  } else if (word == "list" && said(1, "of")) {
    at += 2;
    const Type of = read_type(words, at, where, ok);
    type.kind = TypeKind::list;
    type.of = type_id(of).value;
    return type;     // `or none` binds to the element
  } else if (word == "range" && said(1, "of")) {
    at += 2;
    const Type of = read_type(words, at, where, ok);
    if (of.kind != TypeKind::quantity) {
      ok = false;
      fail(Code::bad_declaration, where, "a range is of a quantity");
    }
    type.kind = TypeKind::range;
    type.of = of.of;
  } else if (const Symbol* network = nullptr;
             word.find('.') != std::string_view::npos &&
             (network = known(Symbol::What::network, name(word.substr(0, word.find('.'))))) != nullptr) {
    const std::string_view part = word.substr(word.find('.') + 1);
    const Network& net = program.networks[network->index];
    type.kind = TypeKind::thing;
    type.of = (part == "point" ? net.point : part == "run" ? net.run : net.leg).value;
    ++at;
  } else if (const KindId record = word.find('.') != std::string_view::npos ? record_named(word_name) : KindId{}; record.given()) {
    type.kind = TypeKind::thing;
    type.of = record.value;
    ++at;
  } else if (const auto dimension = program.catalogue.find_dimension(word_name); dimension.given()) {
    type.kind = TypeKind::quantity;
    type.of = dimension.value;
    ++at;
  } else if (const Symbol* kind = known(Symbol::What::kind, word_name); kind != nullptr) {
    type.kind = TypeKind::thing;
    type.of = kind->index;
    ++at;
  } else {
    ok = false;
    auto& notice = fail(Code::unknown_dimension, first, fmt::format("{} is neither a dimension nor a kind", word));
    std::vector<std::string_view> all{"yes_no", "text", "date", "clock", "size", "table"};
    for (u32 i = 0; i < program.catalogue.dimension_count(); ++i)
      all.push_back(name_text(program.catalogue[quantities::DimensionId{i}].name));
    for (u32 i = 0; i < program.kinds.size(); ++i) all.push_back(name_text(program.kinds[i].name));
    suggest(notice, word, all);
    ++at;
  }
  if (said(0, "or") && said(1, "none")) {
    type.or_none = true;
    at += 2;
  }
  return type;
}

// The entries of a field that has several parts: `KIND.FIELD`.
KindId Checker::record_named(NameId word) const {
  for (u32 at = 0; at < program.kinds.size(); ++at)
    if (program.kinds[at].hidden && program.kinds[at].name == word && !program.kinds[at].network.given()) return KindId{at};
  return {};
}

namespace {
bool holds_slot(Cursor node) {
  for (const Cursor child : node.children())
    if (child.is(Node::slot) || (!is_leaf(child.kind()) && holds_slot(child))) return true;
  return false;
}
void pour(Cursor node, std::vector<Cursor>& out) {
  for (const Cursor part : node.parts()) {
    if (part.is(Node::phrase)) pour(part, out);
    else out.push_back(part);
  }
}
}  // namespace

Checker::Shaped Checker::read_shape(Cursor shape, Cursor owner) {
  Shaped shaped;
  if (!shape.given()) {
    shaped.ok = false;
    return shaped;
  }
  if (holds_slot(shape)) {
    shaped.pattern = shape;
    return shaped;
  }
  std::vector<Cursor> words;
  pour(shape, words);
  std::size_t at = 0;
  if (!words.empty() && words[0].text() == "table") {
    shaped.type.kind = TypeKind::table;
    at = 1;
    if (words.size() > 2 && words[1].text() == "or" && words[2].text() == "none") {
      shaped.type.or_none = true;
      at = 3;
    }
  } else {
    shaped.type = read_type(words, at, owner, shaped.ok);
  }
  while (at < words.size()) {
    const std::string_view mark = words[at].text();
    if (mark == "choice") {
      shaped.choice = true;
      ++at;
    } else if (mark == "fact") {
      ++at;
    } else if (mark == "at" && at + 2 < words.size() &&
               (words[at + 1].text() == "least" || words[at + 1].text() == "most")) {
      (words[at + 1].text() == "least" ? shaped.least : shaped.most) = words[at + 2];
      at += 3;
    } else {
      fail(Code::bad_declaration, words[at], fmt::format("`{}` does not belong behind a type", mark));
      shaped.ok = false;
      break;
    }
  }
  return shaped;
}
}  // namespace dripleg::meaning
