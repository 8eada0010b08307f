// What names mean at the outermost level. A name may mean several things of different sorts (a kind and
// a dimension); the place where it stands says which sort is asked for. Ours and the image's in one table.
#pragma once
#include "base/ids.hpp"
#include "base/pool.hpp"

#include <unordered_map>

namespace dripleg::meaning {
struct Symbol {
  enum class What : u8 {
    kind, network, function, table, condition, case_, rule, document, code, stock, part, job_thing,
    layout, sketch, built_in, module, file_layout,
  };
  What what;
  bool alias = false;
  u32 index = 0;
  NameId name;
  NameId prefix;           // of a catalogue's parts: the name it is used under
  u32 next = 0;            // 1 + the symbol of the same name declared before it
};

class Symbols {
 public:
  Symbols() = default;
  Symbols(base::Pool<Symbol> symbols, base::Pool<u32> heads) : symbols_(symbols), heads_(heads) {}

  void add(Symbol symbol) {
    symbol.next = head(symbol.name);
    own_heads_[symbol.name.value] = symbols_.push(symbol) + 1;
  }
  template <class Want>
  const Symbol* find_if(NameId name, Want&& want) const {
    if (!name.given()) return nullptr;
    for (u32 at = head(name); at != 0; at = symbols_[at - 1].next)
      if (want(symbols_[at - 1])) return &symbols_[at - 1];
    return nullptr;
  }
  const Symbol* find(NameId name, Symbol::What what) const {
    return find_if(name, [what](const Symbol& s) { return s.what == what; });
  }
  const base::Pool<Symbol>& all() const { return symbols_; }
  // For an image: the head of each name's chain, in order of the names.
  std::vector<u32> heads(u32 names) const {
    std::vector<u32> heads(names);
    for (u32 at = 0; at < names; ++at) heads[at] = head(NameId{at});
    return heads;
  }

 private:
  u32 head(NameId name) const {
    if (!own_heads_.empty())
      if (const auto own = own_heads_.find(name.value); own != own_heads_.end()) return own->second;
    return name.value < heads_.size() ? heads_[name.value] : 0;
  }
  base::Pool<Symbol> symbols_;
  base::Pool<u32> heads_;
  std::unordered_map<u32, u32> own_heads_;
};
}  // namespace dripleg::meaning
