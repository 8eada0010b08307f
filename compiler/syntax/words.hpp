// The words of the language. A word acts as one only where the grammar asks for it; the first group
// can, besides, never be a bound name or a unit. Everything else that is spelled like a word is a name.
#pragma once
#include "base/ids.hpp"

#include <array>
#include <cstring>
#include <string_view>

namespace dripleg::syntax {
#define DRIPLEG_RESERVED_WORDS(W)                                                                     \
  W(of_, "of") W(at_, "at") W(to_, "to") W(per_, "per") W(with_, "with") W(for_, "for")               \
  W(where_, "where") W(when_, "when") W(during_, "during") W(by_, "by") W(within_, "within")          \
  W(as_, "as") W(is_, "is") W(or_, "or") W(and_, "and") W(not_, "not") W(if_, "if")                   \
  W(then_, "then") W(else_, "else") W(from_, "from") W(none_, "none") W(many_, "many")                \
  W(first_, "first") W(find_, "find") W(carry_, "carry") W(gives_, "gives") W(about_, "about")

// Words that can head a line.
#define DRIPLEG_HEAD_WORDS(W)                                                                         \
  W(use_, "use") W(language_, "language") W(rule_, "rule") W(layout_, "layout") W(kind_, "kind")      \
  W(network_, "network") W(table_, "table") W(function_, "function") W(sketch_, "sketch")             \
  W(case_, "case") W(condition_, "condition") W(unit_, "unit") W(dimension_, "dimension")             \
  W(source_, "source") W(code_, "code") W(agrees_, "agrees")                                          \
  W(needs_, "needs") W(may_, "may") W(limit_, "limit") W(each_, "each") W(settles_, "settles")        \
  W(joins_, "joins") W(balance_, "balance") W(datum_, "datum") W(shut_, "shut")                       \
  W(one_way_, "one_way") W(rises_, "rises") W(falls_, "falls")                                        \
  W(section_, "section") W(page_, "page") W(frame_, "frame") W(before_, "before")                     \
  W(after_, "after") W(grid_, "grid") W(findings_, "findings") W(say_, "say")                         \
  W(figure_, "figure") W(column_, "column") W(mark_, "mark")                                          \
  W(require_, "require") W(advise_, "advise") W(remedy_, "remedy") W(says_, "says")                   \
  W(otherwise_, "otherwise") W(caution_, "caution") W(weight_, "weight") W(was_, "was")               \
  W(unknown_, "unknown") W(accepts_open_, "accepts_open") W(example_, "example")

#define DRIPLEG_OTHER_WORDS(W)                                                                        \
  W(breaks_, "breaks") W(like_, "like") W(in_, "in") W(list_, "list") W(sum_, "sum")                  \
  W(product_, "product") W(max_, "max") W(min_, "min") W(count_, "count") W(all_, "all")              \
  W(any_, "any") W(mean_, "mean")

enum class Word : u8 {
  plain,   // no word of the language
#define W(id, text) id,
  DRIPLEG_RESERVED_WORDS(W) last_reserved, DRIPLEG_HEAD_WORDS(W) last_head, DRIPLEG_OTHER_WORDS(W)
#undef W
};

constexpr bool is_reserved(Word word) { return word != Word::plain && word < Word::last_reserved; }
constexpr bool is_head(Word word) {
  return (word > Word::last_reserved && word < Word::last_head) || word == Word::gives_ || word == Word::for_ ||
         word == Word::during_ || word == Word::per_;
}
// After a name these words go on with a formula.
constexpr bool continues_formula(Word word) {
  return word == Word::and_ || word == Word::or_ || word == Word::is_ || word == Word::in_ || word == Word::then_ ||
         word == Word::else_ || word == Word::when_ || word == Word::where_ || word == Word::by_ ||
         word == Word::per_ || word == Word::within_;
}

namespace words_detail {
struct Entry {
  std::string_view text;
  Word word = Word::plain;
};
constexpr u32 slot_of(std::string_view text) {
  const auto first = static_cast<unsigned char>(text.front());
  const auto last = static_cast<unsigned char>(text.back());
  const auto middle = static_cast<unsigned char>(text[text.size() / 2]);
  return (first * 31u + last * 7u + middle * 3u + static_cast<u32>(text.size()) * 17u) & 255u;
}
constexpr std::array<Entry, 256> make_table() {
  std::array<Entry, 256> table{};
  const auto put = [&table](std::string_view text, Word word) {
    u32 at = slot_of(text);
    while (!table[at].text.empty()) at = (at + 1) & 255u;
    table[at] = {text, word};
  };
#define W(id, text) put(text, Word::id);
  DRIPLEG_RESERVED_WORDS(W) DRIPLEG_HEAD_WORDS(W) DRIPLEG_OTHER_WORDS(W)
#undef W
  return table;
}
inline constexpr std::array<Entry, 256> table = make_table();
}  // namespace words_detail

constexpr Word word_of(std::string_view text) {
  for (u32 at = words_detail::slot_of(text); !words_detail::table[at].text.empty(); at = (at + 1) & 255u)
    if (words_detail::table[at].text == text) return words_detail::table[at].word;
  return Word::plain;
}
}  // namespace dripleg::syntax
