// What does not belong where it stands: which slip it is, how far it goes, and the cure.
#include "base/spelling.hpp"
#include "base/utf8.hpp"
#include "syntax/builder.hpp"

#include <algorithm>
#include <array>

namespace dripleg::syntax {
using notices::Code;
using notices::Notice;

namespace {
bool ends_token(char c) {
  return is_space(c) || c == '{' || c == '}' || c == ',' || c == '"' || c == '#' || c == '(' || c == ')' ||
         c == '[' || c == ']' || c == ';';
}

const char* token_end(const char* p, const char* end) {
  const char* q = p + 1;
  if (is_word_char(*p) || static_cast<unsigned char>(*p) >= 0x80 || !ends_token(*p))
    while (q != end && !ends_token(*q)) ++q;
  while (q != end && (static_cast<unsigned char>(*q) & 0xC0) == 0x80) ++q;
  return q;
}

bool starts_with(const char* p, const char* end, std::string_view text) {
  return static_cast<std::size_t>(end - p) >= text.size() && std::string_view(p, text.size()) == text;
}

bool begins_comment(const char* p, const char* end) {
  return starts_with(p, end, "//") || starts_with(p, end, "/*");
}
}  // namespace

const char* Builder::salvage(const char* p, char closing) {
  if (!may_complain()) return nullptr;
  const char* q = p;
  while (q != end && *q != '\n' && *q != '#' && *q != '}' && *q != '{') {
    if (*q == closing) break;
    if (*q == '"') {
      bool closed = false;
      q = scan_text(q, end, closed);
    } else if (*q == '(' || *q == '[') {
      const char* line = skip_to_line_end(q, end);
      q = skip_bracketed(q, line);
    } else {
      ++q;
    }
  }
  return q != end && *q == closing ? q : nullptr;
}

struct Builder::Stray {
  Code code = Code::syntax_line_end;
  const char* end = nullptr;
  std::string headline;
  std::string cure;
};

namespace {
struct ForeignSign {
  std::string_view sign;
  Code code;
  std::string_view headline;
};
constexpr auto foreign_signs = std::to_array<ForeignSign>({
    {"→", Code::syntax_arrow, "write -> between the ends of a run"},
    {"×", Code::syntax_sign, "write * for times"},
    {"·", Code::syntax_sign, "write * for times"},
    {"÷", Code::syntax_sign, "write / for divided by"},
    {"−", Code::syntax_sign, "write the plain - for minus"},
    {"–", Code::syntax_sign, "write the plain - for minus, and .. for a range"},
    {"—", Code::syntax_sign, "write the plain - for minus, and .. for a range"},
    {"≥", Code::syntax_sign, "write >= for at least"},
    {"≤", Code::syntax_sign, "write <= for at most"},
    {"≠", Code::syntax_sign, "write != for not equal"},
    {"±", Code::syntax_sign, "write +- for a spread"},
    {"…", Code::syntax_sign, "write .. between the ends of a range"},
    {"=>", Code::syntax_sign, "write >= for at least, -> for an arrow"},
    {"=<", Code::syntax_sign, "write <= for at most"},
    {"&&", Code::syntax_sign, "write and for &&"},
    {"||", Code::syntax_sign, "write or for ||"},
    {"**", Code::syntax_sign, "write ^ for a power"},
    {"!", Code::syntax_sign, "write not for !"},
});

constexpr auto quote_signs = std::to_array<std::string_view>({"“", "”", "„", "‟", "«", "»", "‘", "’", "‚", "'", "`"});

const char* quoted_end(const char* p, const char* end, std::size_t opening) {
  const char* line = skip_to_line_end(p, end);
  for (const char* q = p + opening; q != line; ++q)
    for (const std::string_view quote : quote_signs)
      if (starts_with(q, line, quote)) return q + quote.size();
  return token_end(p, end);
}

bool is_foreign_digit(char32_t c) {
  return (c >= 0x660 && c <= 0x669) || (c >= 0x6F0 && c <= 0x6F9) || (c >= 0x966 && c <= 0x96F) ||
         (c >= 0xFF10 && c <= 0xFF19);
}
}  // namespace

bool Builder::describe_foreign(const char* p, Stray& stray) const {
  for (const std::string_view quote : quote_signs)
    if (starts_with(p, end, quote)) {
      stray.code = Code::syntax_quotes;
      stray.headline = "write straight quotes: \"…\"";
      stray.end = quoted_end(p, end, quote.size());
      return true;
    }
  for (const ForeignSign& sign : foreign_signs)
    if (starts_with(p, end, sign.sign)) {
      stray.code = sign.code;
      stray.headline = sign.headline;
      stray.end = p + sign.sign.size();
      return true;
    }
  if (static_cast<unsigned char>(*p) < 0x80) return false;
  const base::Decoded decoded = base::decode_utf8({text, static_cast<std::size_t>(end - text)}, offset(p));
  if (decoded.length == 0) return false;
  stray.code = Code::text_letter;
  stray.headline = (is_foreign_digit(decoded.character) ? "numbers are plain digits; this is " : "names are plain letters; this is ") +
                   base::code_point_name(decoded.character);
  stray.end = token_end(p, end);
  return true;
}

Builder::Stray Builder::describe_stray(const char* p, Body body) const {
  Stray stray;
  stray.end = token_end(p, end);
  const bool glued = p != begin && !is_space(p[-1]);
  const std::string here = words(p, stray.end);
  if (begins_comment(p, end)) {
    stray.code = Code::syntax_comment;
    stray.headline = "a comment begins with #";
    stray.end = skip_to_line_end(p, end);
    while (is_blank(stray.end[-1])) --stray.end;
  } else if (*p == ';') {
    stray.code = Code::syntax_semicolon;
    stray.headline = "no ; at the end of a line";
    stray.cure = "leave the ; out; a line end or a comma parts two items";
  } else if ((*p == '=' || *p == ':') && body == Body::job && !starts_with(p, end, "==")) {
    stray.code = Code::syntax_equals;
    stray.headline = "no = or : between a field and its value";
    stray.cure = "leave the " + std::string(1, *p) + " out";
    stray.end = p + 1;
  } else if (*p == '-' && glued && p + 1 != end && is_word_char(p[1])) {
    stray.code = Code::syntax_dash;
    stray.headline = "a name has no - in it; write _";
  } else if (*p == ')' || *p == ']') {
    stray.code = Code::syntax_bracket;
    stray.headline = std::string("this ") + *p + " closes nothing";
  } else if (describe_foreign(p, stray)) {
    return stray;
  } else if (starts_with(p, end, "when") || starts_with(p, end, "during")) {
    stray.code = Code::syntax_world_alone;
    stray.headline = "put ( ) around a formula with when or during";
  } else if (glued && (is_word_char(*p) || *p == '"')) {
    stray.code = Code::syntax_line_end;
    stray.headline = "a blank is missing before `" + here + "`";
  } else {
    stray.headline = "the line should end here; `" + here + "` does not belong to it";
  }
  return stray;
}

// A character that no text may hold was complained of when the characters were checked.
bool Builder::refused_already(const char* p) const {
  const auto left = std::min<std::size_t>(static_cast<std::size_t>(end - p), 4);
  const auto offences = base::check_text({p, left});
  return !offences.empty() && offences.front().span.begin == 0;
}

const char* Builder::complain_of_stray(const char* p, Body body) {
  if (!may_complain() || refused_already(p)) return token_end(p, end);
  Stray found = describe_stray(p, body);
  const char* q = found.end;
  if (Notice* notice = complain(found.code, p, q, std::move(found.headline)))
    if (!found.cure.empty()) notice->cures.push_back(std::move(found.cure));
  return q;
}

const char* Builder::stray(const char* p, Body body) {
  const char* q = complain_of_stray(p, body);
  leaf(Kind::junk, p, q);
  return q;
}

void Builder::stray_until(const char* p, const char* q) {
  complain_of_stray(p, Body::library);
  while (is_blank(q[-1])) --q;
  leaf(Kind::junk, p, q);
}

const char* Builder::bad_rule_head(const char* p) {
  static constexpr auto heads = std::to_array<std::string_view>(
      {"require", "advise", "for", "during", "says", "otherwise", "caution", "per", "needs", "may", "gives", "limit", "each",
       "remedy", "weight", "was", "unknown", "accepts_open", "example", "agrees"});
  const char* q = scan_word(p, end);
  const std::string_view word(p, static_cast<std::size_t>(q - p));
  if (word == "else") {
    if (Notice* notice = complain(Code::syntax_rule_line, p, q, "a rule says otherwise, not else"))
      notice->cures.emplace_back("write otherwise");
  } else if (Notice* notice = complain(Code::syntax_rule_line, p, q, "no line of a rule begins with `" + words(p, q) + "`")) {
    for (const std::string& candidate : base::near_spellings(word, {heads.begin(), heads.end()}))
      notice->cures.push_back("did you mean `" + candidate + "`");
  }
  leaf(Kind::junk, p, q);
  return q;
}

const char* Builder::bad_head(const char* p, Body body) {
  if (body == Body::rule && is_letter(*p)) return bad_rule_head(p);
  const char* q = token_end(p, end);
  Stray found;
  if (*p == ',') {
    complain(Code::syntax_line_end, p, q, "this comma parts nothing");
  } else if (describe_foreign(p, found) || std::string_view(";)]").find(*p) != std::string_view::npos || begins_comment(p, end)) {
    return stray(p, body);
  } else if (!refused_already(p)) {
    complain(Code::syntax_line_end, p, q, "no line begins with `" + words(p, q) + "`");
  }
  leaf(Kind::junk, p, q);
  return q;
}
}  // namespace dripleg::syntax
