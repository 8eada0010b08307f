#include "meaning/cursor.hpp"

#include <algorithm>

namespace dripleg::meaning {
using syntax::Kind;

std::vector<Cursor> Cursor::children() const {
  std::vector<Cursor> found;
  tree_->each_child_backwards(at_, [&](syntax::NodeIndex child) { found.push_back(at(child)); });
  std::reverse(found.begin(), found.end());
  return found;
}

std::vector<Cursor> Cursor::parts() const {
  std::vector<Cursor> found;
  tree_->each_child_backwards(at_, [&](syntax::NodeIndex child) {
    const Kind what = tree_->kind(child);
    const bool part = what != Kind::keyword && what != Kind::op && what != Kind::punct && what != Kind::missing && what != Kind::junk;
    if (part || (what == Kind::keyword && at(child).text() == "none")) found.push_back(at(child));
  });
  std::reverse(found.begin(), found.end());
  return found;
}

Cursor Cursor::child(Kind wanted) const {
  Cursor found;
  tree_->each_child_backwards(at_, [&](syntax::NodeIndex child) {
    if (tree_->kind(child) == wanted) found = at(child);
  });
  return found;
}

std::vector<Cursor> Cursor::children(Kind wanted) const {
  std::vector<Cursor> found;
  tree_->each_child_backwards(at_, [&](syntax::NodeIndex child) {
    if (tree_->kind(child) == wanted) found.push_back(at(child));
  });
  std::reverse(found.begin(), found.end());
  return found;
}

std::string_view Cursor::head() const {
  const Cursor word = child(Kind::keyword);
  return word.given() ? word.text() : std::string_view{};
}

bool Cursor::has_keyword(std::string_view word) const {
  bool found = false;
  tree_->each_child_backwards(at_, [&](syntax::NodeIndex child) {
    if (tree_->kind(child) == Kind::keyword && at(child).text() == word) found = true;
  });
  return found;
}

bool Cursor::broken() const {
  const syntax::NodeIndex first = at_ + 1 - (*tree_)[at_].size;
  for (syntax::NodeIndex node = first; node <= at_; ++node)
    if (tree_->kind(node) == Kind::junk || tree_->kind(node) == Kind::missing) return true;
  return false;
}

std::string plain_text(Cursor leaf) {
  std::string_view raw = leaf.text();
  if (!raw.empty() && raw.front() == '"') raw.remove_prefix(1);
  if (!raw.empty() && raw.back() == '"') raw.remove_suffix(1);
  std::string plain;
  plain.reserve(raw.size());
  for (std::size_t at = 0; at < raw.size(); ++at) {
    if (raw[at] == '\\' && at + 1 < raw.size()) ++at;
    plain += raw[at];
  }
  return plain;
}

std::string prose_text(Cursor prose) {
  if (!prose.given()) return {};
  if (prose.is(Kind::text)) return plain_text(prose);
  std::string all;
  bool after_break = true;
  for (const Cursor part : prose.children(Kind::text)) {
    const std::string text = plain_text(part);
    if (text.empty()) {
      all += "\n\n";
      after_break = true;
      continue;
    }
    if (!after_break) all += ' ';
    all += text;
    after_break = false;
  }
  return all;
}
}  // namespace dripleg::meaning
