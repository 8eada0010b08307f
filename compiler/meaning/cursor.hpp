// A place in one file's tree, with the handful of questions that checking asks of it. Cheap to copy;
// refers to a tree and a text that outlive it.
#pragma once
#include "base/source.hpp"
#include "syntax/tree.hpp"

#include <string_view>
#include <vector>

namespace dripleg::meaning {
class Cursor {
 public:
  Cursor() = default;
  Cursor(const syntax::Tree* tree, std::string_view text, syntax::NodeIndex at)
      : tree_(tree), text_(text), at_(at) {}

  bool given() const { return tree_ != nullptr; }
  syntax::Kind kind() const { return tree_->kind(at_); }
  bool is(syntax::Kind wanted) const { return given() && kind() == wanted; }
  base::Span span() const { return (*tree_)[at_].span(); }
  base::Place place() const { return {tree_->file, span()}; }
  std::string_view text() const { return text_.substr(span().begin, span().size()); }
  std::string_view file_text() const { return text_; }
  const syntax::Tree& tree() const { return *tree_; }
  syntax::NodeIndex node() const { return at_; }
  Cursor at(syntax::NodeIndex node) const { return {tree_, text_, node}; }

  // All children, leaves too.
  std::vector<Cursor> children() const;
  // Without keywords (but `none`, which is a value), operators, punctuation, missing pieces and junk.
  std::vector<Cursor> parts() const;
  // First child of a kind; not given if there is none.
  Cursor child(syntax::Kind wanted) const;
  std::vector<Cursor> children(syntax::Kind wanted) const;
  // The first keyword among the children ("" if none).
  std::string_view head() const;
  bool has_keyword(std::string_view word) const;
  // Something in here is missing or does not belong: a syntax notice was given already.
  bool broken() const;

 private:
  const syntax::Tree* tree_ = nullptr;
  std::string_view text_;
  syntax::NodeIndex at_ = 0;
};

// The text of a `text` leaf without quotes and escapes; of a `prose` node its texts joined by blanks,
// an empty one being a paragraph break.
std::string plain_text(Cursor leaf);
std::string prose_text(Cursor prose);
}  // namespace dripleg::meaning
