// The one list of what an image holds, in the order in which it lies there: what every run reads first, what
// is read for messages alone last. Writer and reader both go by it. A pool that is missing here, or named
// twice, does not compile.
#pragma once
#include "base/names.hpp"
#include "meaning/program.hpp"

#include <span>
#include <tuple>
#include <type_traits>

namespace dripleg::meaning::image {
// Every pool of the program.
inline constexpr std::tuple pools{
    &Program::kinds, &Program::fields, &Program::types, &Program::word_sets, &Program::name_lists,
    &Program::type_lists, &Program::kind_lists, &Program::field_aliases, &Program::pattern_parts, &Program::joins,
    &Program::classes, &Program::slot_formulas, &Program::networks, &Program::settlings, &Program::things,
    &Program::inputs, &Program::variables, &Program::holes, &Program::ranges, &Program::lists,
    &Program::list_items, &Program::conditions, &Program::cases, &Program::settings, &Program::case_ids,
    &Program::rules, &Program::requirements, &Program::limits, &Program::limit_choices, &Program::binders,
    &Program::exprs, &Program::expr_lists, &Program::constants, &Program::finds, &Program::carries,
    &Program::functions, &Program::local_names, &Program::tables, &Program::shapes, &Program::columns,
    &Program::table_cells, &Program::file_columns, &Program::file_layouts, &Program::codes, &Program::amendments, &Program::document_ids, &Program::thing_ids,
    &Program::acceptances,
    // Only for messages, papers and proofs.
    &Program::expr_notes, &Program::stated, &Program::citations, &Program::documents, &Program::template_parts,
    &Program::text_ids, &Program::remedies, &Program::agreements, &Program::layouts, &Program::layout_items,
    &Program::examples, &Program::sketches};
inline constexpr std::size_t pool_count = std::tuple_size_v<decltype(pools)>;

// Every part of a catalogue.
inline constexpr std::tuple catalogue_parts{
    &quantities::Catalogue::Image::dimension_slots, &quantities::Catalogue::Image::unit_slots,
    &quantities::Catalogue::Image::bases, &quantities::Catalogue::Image::dimensions,
    &quantities::Catalogue::Image::units, &quantities::Catalogue::Image::expressions,
    &quantities::Catalogue::Image::reads, &quantities::Catalogue::Image::shown,
    &quantities::Catalogue::Image::named, &quantities::Catalogue::Image::unit_words};

// Is no member named twice in a list?
template <class... Members>
consteval bool distinct(const std::tuple<Members...>& members) {
  const auto same = [](auto a, auto b) {
    if constexpr (std::is_same_v<decltype(a), decltype(b)>) return a == b;
    else return false;
  };
  return std::apply(
      [&](auto... all) {
        const auto times = [&](auto one) { return (0 + ... + (same(one, all) ? 1 : 0)); };
        return (... && (times(all) == 1));
      },
      members);
}
static_assert(distinct(pools) && distinct(catalogue_parts));
// Distinct and as many as there is room for: so none is missing.
static_assert(sizeof(Program) == sizeof(base::Names) + sizeof(quantities::Catalogue) + sizeof(Symbols) +
                                     pool_count * sizeof(base::Pool<u8>) + sizeof(CodeSetId) + sizeof(base::Place));
static_assert(sizeof(quantities::Catalogue::Image) ==
              std::tuple_size_v<decltype(catalogue_parts)> * sizeof(std::span<const u8>));
static_assert(sizeof(base::Names::Image) == 3 * sizeof(std::span<const u8>));

// Where the path and the text of a file lie in the texts.
struct FileRecord {
  u32 path_at = 0, path_length = 0;
  u32 text_at = 0, text_length = 0;
};

template <class Member>
struct ElementOf;
template <class Owner, class T>
struct ElementOf<base::Pool<T> Owner::*> {
  using type = T;
};
template <class Tuple>
struct SpansOf;
template <class... Members>
struct SpansOf<const std::tuple<Members...>> {
  using type = std::tuple<std::span<const typename ElementOf<Members>::type>...>;
};

// Views of everything: into pools when an image is written, into its bytes when it is read.
struct Parts {
  base::Names::Image names;
  std::span<const u32> heads;
  std::span<const Symbol> symbols;
  quantities::Catalogue::Image catalogue;
  SpansOf<decltype(pools)>::type program;    // in the order of `pools`
  std::span<const FileRecord> files;
  std::span<const char> texts;               // all paths, then all texts
};

template <class Visit>
void each_part(Parts& parts, Visit&& visit) {
  visit(parts.names.slots);
  visit(parts.names.entries);
  visit(parts.names.text);
  visit(parts.heads);
  visit(parts.symbols);
  std::apply([&](auto... member) { (visit(parts.catalogue.*member), ...); }, catalogue_parts);
  std::apply([&](auto&... span) { (visit(span), ...); }, parts.program);
  visit(parts.files);
  visit(parts.texts);
}
inline constexpr std::size_t part_count = 5 + std::tuple_size_v<decltype(catalogue_parts)> + pool_count + 2;
}  // namespace dripleg::meaning::image
