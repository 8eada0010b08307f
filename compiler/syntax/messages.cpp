// What the parser says. One message for each mistake, at the narrowest place, with its cure; the rule
// that recognises the mistake lives in the grammar, the words live here.
#include "base/printable.hpp"
#include "base/spelling.hpp"
#include "base/utf8.hpp"
#include "syntax/builder.hpp"

#include <algorithm>
#include <array>

namespace dripleg::syntax {
using notices::Code;
using notices::Notice;

namespace {
struct LackWords {
  Lack lack;
  Code code;
  std::string_view headline;
  std::string_view cure;
};
constexpr std::array<LackWords, 27> lacks{{
    {Lack::name, Code::syntax_missing, "a name is missing here", ""},
    {Lack::value, Code::syntax_missing, "a value is missing here", ""},
    {Lack::formula, Code::syntax_missing, "a formula is missing here", ""},
    {Lack::source, Code::syntax_missing, "a source is missing after per", "name a document, or write practice, maker or computed, or a text in quotes"},
    {Lack::text, Code::syntax_missing, "a text in quotes is missing here", ""},
    {Lack::type, Code::syntax_missing, "a type is missing here", ""},
    {Lack::end_of_run, Code::syntax_end_of_run, "the run has no end after ->", "write where it leads: a -> b"},
    {Lack::start_of_length, Code::syntax_missing, "a length is missing here", ""},
    {Lack::count, Code::syntax_count, "a count is missing after with", "write how many, then what: with 1 NAME"},
    {Lack::then_, Code::syntax_missing, "then is missing after the condition", "write if CONDITION then A else B"},
    {Lack::else_, Code::syntax_missing, "else is missing: every if says what holds otherwise", "write if CONDITION then A else B"},
    {Lack::in_, Code::syntax_missing, "in is missing after the name", "write for NAME in WHAT"},
    {Lack::for_, Code::syntax_missing, "for is missing: over what is this taken", "write for NAME in WHAT"},
    {Lack::within_, Code::syntax_missing, "within and a tolerance are missing", "write within 0.5 %, or within a quantity"},
    {Lack::to_, Code::syntax_missing, "to is missing here", "write from PORT to PORT"},
    {Lack::from_, Code::syntax_missing, "from and a start are missing here", ""},
    {Lack::by_, Code::syntax_missing, "by is missing here", ""},
    {Lack::at_, Code::syntax_missing, "at or from is missing here", "write at PORT, or from PORT to PORT"},
    {Lack::where_, Code::syntax_missing, "where is missing here", ""},
    {Lack::when_, Code::syntax_missing, "when and a condition are missing here", ""},
    {Lack::equals, Code::syntax_missing, "= is missing here", ""},
    {Lack::same_as, Code::syntax_missing, "== is missing here", "write find NAME in LOW .. HIGH where A == B"},
    {Lack::closing_paren, Code::syntax_bracket, ") is missing", ""},
    {Lack::closing_bracket, Code::syntax_bracket, "] is missing", ""},
    {Lack::block, Code::syntax_missing, "a block is missing here: { and }", ""},
    {Lack::comma, Code::syntax_missing, "a comma is missing here", ""},
    {Lack::breaks_, Code::syntax_missing, "breaks is missing after unknown", "write unknown breaks"},
}};

const LackWords& words_of(Lack lack) {
  return *std::find_if(lacks.begin(), lacks.end(), [lack](const LackWords& entry) { return entry.lack == lack; });
}

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

std::string without(std::string_view text, char dropped, std::string_view put) {
  std::string out;
  for (const char c : text)
    if (c == dropped) out += put;
    else out.push_back(c);
  return out;
}
}  // namespace

std::string Builder::words(const char* from, const char* to) const {
  constexpr std::ptrdiff_t most = 60;
  if (to - from <= most) return base::printable({from, static_cast<std::size_t>(to - from)});
  const char* cut = from + most;
  while (cut != from && (static_cast<unsigned char>(*cut) & 0xC0) == 0x80) --cut;
  return base::printable({from, static_cast<std::size_t>(cut - from)}) + "…";
}

Notice* Builder::complain(Code code, const char* from, const char* to, std::string headline) {
  if (!may_complain()) return nullptr;
  if (notice_count_ >= base::limits::syntax_notices) {
    ++suppressed_;
    return nullptr;
  }
  ++notice_count_;
  return &notices_.add(code, {file, {offset(from), offset(to)}}, std::move(headline));
}

void Builder::note_suppressed() {
  notices_.add(Code::limit_notices, {file, {last_end(), last_end()}},
               "and " + std::to_string(suppressed_) + " more mistakes of writing in this file");
}

void Builder::missing(Lack lack) {
  const u32 at = last_end();
  const LackWords& entry = words_of(lack);
  if (Notice* notice = complain(entry.code, text + at, text + at, std::string(entry.headline)))
    if (!entry.cure.empty()) notice->cures.emplace_back(entry.cure);
  leaf(Kind::missing, text + at, text + at);
}

void Builder::unclosed(u32 brace) {
  unbalanced = true;
  if (deep_said || stopped) return;
  begin_statement();
  const u32 at = last_end();
  if (Notice* notice = complain(Code::syntax_missing_brace, text + at, text + at, "a } is missing here")) {
    notice->labels.push_back({{file, {brace, brace + 1}}, "this { is not closed"});
    notice->cures.emplace_back("close the block with }");
  }
  begin_statement();
}

void Builder::extra_brace(const char* p) {
  unbalanced = true;
  begin_statement();
  complain(Code::syntax_extra_brace, p, p + 1, "this } closes nothing");
  leaf(Kind::junk, p, p + 1);
}

void Builder::too_deep(const char* p) {
  if (deep_said) return;
  begin_statement();
  if (Notice* notice = complain(Code::limit_nesting, p, p + 1,
                                "things stand inside one another deeper than " + std::to_string(base::limits::nesting) + " levels"))
    notice->cures.emplace_back("give the inner part a name of its own");
  deep_said = true;
}

void Builder::check_name(const char* from, const char* to) {
  const char* word = from;
  for (const char* p = from; p <= to; ++p)
    if (p == to || *p == '.') {
      if (p - word > static_cast<std::ptrdiff_t>(base::limits::name_bytes))
        complain(Code::limit_name, word, p, "this name is longer than " + std::to_string(base::limits::name_bytes) + " letters");
      word = p + 1;
    }
}

void Builder::check_digits(const char* from, const char* to) {
  const auto digits = static_cast<u64>(std::count_if(from, to, is_digit));
  if (digits > base::limits::number_digits)
    complain(Code::limit_digits, from, to, "this number has more than " + std::to_string(base::limits::number_digits) + " digits");
}

void Builder::measure_leaf(const char* from, const char* to) {
  if (is_digit(*from) || *from == '-') {
    const char* q = from;
    bool underscore = false;
    while (q != to && *q != ' ') underscore |= *q++ == '_';
    if (q - from > static_cast<std::ptrdiff_t>(base::limits::number_digits)) check_digits(from, q);
    if (underscore)
      for (const char* p = from; p != q; ++p)
        if (*p == '_' && (!is_digit(p[-1]) || p + 1 == q || !is_digit(p[1]))) {
          if (Notice* notice = complain(Code::syntax_number, from, q, "`" + words(from, q) + "` is no number"))
            notice->cures.emplace_back("put each _ between two digits: 14_600");
          break;
        }
  }
  leaf(Kind::measure, from, to);
}

void Builder::text_leaf(const char* from, const char* to, bool closed) {
  if (!closed) {
    if (Notice* notice = complain(Code::syntax_open_text, from, to, "the text is not closed on its line"))
      notice->cures.emplace_back("put \" at its end");
    leaf(Kind::junk, from, to);
    return;
  }
  if (to - from > static_cast<std::ptrdiff_t>(base::limits::prose_bytes) + 2)
    complain(Code::limit_text, from, to, "this text is longer than " + std::to_string(base::limits::prose_bytes) + " bytes");
  leaf(Kind::text, from, to);
}

void Builder::operator_slip(const OperatorAt& op) {
  const std::string sign = words(op.begin, op.end);
  if (op.slip == Slip::assignment) {
    if (Notice* notice = complain(Code::syntax_compare, op.begin, op.end, "compare with =="))
      notice->cures.emplace_back("write == for the one =");
  } else if (op.group == Group::power) {
    complain(Code::syntax_operator_blank, op.begin, op.end, "^ stands without blanks: a^2");
  } else if (Notice* notice = complain(Code::syntax_operator_blank, op.begin, op.end, "an operator has a blank on both sides")) {
    notice->cures.emplace_back("write a " + sign + " b");
  }
}

void Builder::wrong_arrow(const char* from, const char* to) {
  complain(Code::syntax_arrow, from, to, "write -> between the ends of a run");
}

bool Builder::is_bad_measure(const char* p) const {
  if (p == end) return false;
  if (*p == '-') ++p;
  return p != end && is_digit(*p);
}

const char* Builder::bad_measure(const char* p) {
  const char* q = p + 1;
  while (q != end && (is_word_char(*q) || *q == '.' || *q == '-' || *q == '/' || *q == '^' || *q == '*' || is_unit_sign(q, end) ||
                      (q[-1] != '.' && *q == ',' && q + 1 != end && is_digit(q[1])))) {
    if (*q == '.' && q + 1 != end && q[1] == '.') break;
    q += is_unit_sign(q, end) ? 2 : 1;
  }
  const std::string_view token(p, static_cast<std::size_t>(q - p));
  const char* plain = *p == '-' ? p + 1 : p;
  while (plain != q && (is_digit(*plain) || *plain == '_')) ++plain;
  if (plain != q && *plain == ',') {
    const char* number_end = plain;
    while (number_end != q && (is_digit(*number_end) || *number_end == ',' || *number_end == '.')) ++number_end;
    const std::string_view number(p, static_cast<std::size_t>(number_end - p));
    bool thousands = true;
    for (const char* comma = plain; comma != number_end && *comma == ','; comma += 4) {
      const char* group = scan_digits(comma + 1, number_end);
      if (!group || group - comma != 4) thousands = false;
      if (!thousands) break;
      if (comma + 4 >= number_end) break;
    }
    if (*p == '0' || plain - p > 3) thousands = false;
    if (thousands) {
      if (Notice* notice = complain(Code::syntax_number_comma, p, number_end, "a comma ends the item; a number has none"))
        notice->cures.push_back("write " + words(number.data(), number_end) + " as " + without(number, ',', "_") + " or " + without(number, ',', ""));
    } else if (std::count(number.begin(), number.end(), ',') == 1) {
      const std::string cured = without(number, ',', ".");
      if (Notice* notice = complain(Code::syntax_number_comma, p, number_end, "a decimal point is a dot: " + cured))
        notice->cures.push_back("write " + cured);
    } else {
      complain(Code::syntax_number_comma, p, number_end, "a comma ends the item; a number has none");
    }
  } else {
    const char* number = *p == '-' ? p + 1 : p;
    number = scan_digits(number, q);
    const char* rest = number;
    while (rest != q && (is_digit(*rest) || *rest == '_' || *rest == '.')) ++rest;
    const bool unit = rest != q && (is_letter(*rest) || is_unit_sign(rest, q) || (*rest == '/' && rest + 1 != q && is_letter(rest[1])));
    const char* unit_end = unit ? scan_unit(rest, q) : nullptr;
    if (unit && unit_end == q) {
      const std::string cured = words(p, rest) + " " + words(rest, q);
      if (Notice* notice = complain(Code::syntax_unit_blank, p, q, "one blank is missing between the number and its unit"))
        notice->cures.push_back("write " + cured);
    } else if (Notice* notice = complain(Code::syntax_number, p, q, "`" + words(p, q) + "` is no number")) {
      if (token.find_first_of("-/*") != std::string_view::npos)
        notice->cures.emplace_back("an operator has a blank on both sides; a mixed number is written 1-1/4");
    }
  }
  const char* unit = q != end && *q == ' ' ? scan_unit(q + 1, end) : nullptr;
  if (unit) q = unit;
  leaf(Kind::junk, p, q);
  return q;
}

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

// ---- what does not belong ------------------------------------------------------------------------------
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
  if (starts_with(p, end, "//") || starts_with(p, end, "/*")) {
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

const char* Builder::complain_of_stray(const char* p, Body body) {
  if (!may_complain()) return token_end(p, end);
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

const char* Builder::bad_head(const char* p, Body body) {
  static constexpr std::array<std::string_view, 21> rule_heads{
      "require", "advise", "for", "during", "says", "otherwise", "caution", "per", "needs", "may", "gives",
      "limit", "each", "remedy", "weight", "was", "unknown", "accepts_open", "example", "agrees", "many"};
  if (body == Body::rule && is_letter(*p)) {
    const char* q = scan_word(p, end);
    const std::string_view word(p, static_cast<std::size_t>(q - p));
    if (word == "else") {
      if (Notice* notice = complain(Code::syntax_rule_line, p, q, "a rule says otherwise, not else"))
        notice->cures.emplace_back("write otherwise");
    } else if (Notice* notice = complain(Code::syntax_rule_line, p, q, "no line of a rule begins with `" + words(p, q) + "`")) {
      const auto near = base::near_spellings(word, {rule_heads.begin(), rule_heads.end()});
      for (const std::string& candidate : near) notice->cures.push_back("did you mean `" + candidate + "`");
    }
    leaf(Kind::junk, p, q);
    return q;
  }
  Stray found;
  if (is_letter(*p) || *p == ',' || describe_foreign(p, found) || starts_with(p, end, "//") || starts_with(p, end, "/*") || *p == ';' ||
      *p == ')' || *p == ']')
    return stray(p, body);
  const char* q = token_end(p, end);
  complain(Code::syntax_line_end, p, q, "no line begins with `" + words(p, q) + "`");
  leaf(Kind::junk, p, q);
  return q;
}
}  // namespace dripleg::syntax
