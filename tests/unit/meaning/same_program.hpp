// Compares programs record by record, whatever part of them lies in an image.
#pragma once
#include "meaning/image_parts.hpp"

#include <cstring>
#include <string>
#include <tuple>

namespace dripleg::meaning::test {
template <class T>
bool same_pool(const base::Pool<T>& left, const base::Pool<T>& right) {
  if (left.size() != right.size()) return false;
  for (u32 at = 0; at < left.size(); ++at) {
    T a = left[at], b = right[at];
    __builtin_clear_padding(&a);
    __builtin_clear_padding(&b);
    if (std::memcmp(&a, &b, sizeof(T)) != 0) return false;
  }
  return true;
}

// Empty if alike, else what differs first: a name, or the number of a pool in the list.
inline std::string first_difference(const Program& left, const Program& right) {
  if (left.names.size() != right.names.size()) return "number of names";
  for (u32 at = 0; at < left.names.size(); ++at) {
    if (left.text(NameId{at}) != right.text(NameId{at})) return "name " + std::string(left.text(NameId{at}));
    if (left.names.find(right.text(NameId{at})) != NameId{at}) return "look-up of " + std::string(right.text(NameId{at}));
  }
  if (!same_pool(left.symbols.all(), right.symbols.all())) return "symbols";
  if (left.symbols.heads(left.names.size()) != right.symbols.heads(left.names.size())) return "heads of symbols";
  const auto& a = left.catalogue;
  const auto& b = right.catalogue;
  if (a.dimension_count() != b.dimension_count() || a.unit_count() != b.unit_count()) return "catalogue";
  for (u32 at = 0; at < left.names.size(); ++at)
    if (a.find_unit(NameId{at}) != b.find_unit(NameId{at}) || a.find_dimension(NameId{at}) != b.find_dimension(NameId{at}))
      return "unit or dimension " + std::string(left.text(NameId{at}));
  int number = 0, differs = -1;
  std::apply(
      [&](auto... pool) {
        ((differs = differs < 0 && !same_pool(left.*pool, right.*pool) ? number : differs, ++number), ...);
      },
      image::pools);
  return differs < 0 ? "" : "pool " + std::to_string(differs);
}
}  // namespace dripleg::meaning::test
