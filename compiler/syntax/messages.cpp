// What the parser says. One message for each mistake, at the narrowest place, with its cure; the rule
// that recognises the mistake lives in the grammar, the words live here.
#include "base/printable.hpp"
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
constexpr std::array<LackWords, 25> lacks{{
    {Lack::name, Code::syntax_missing, "a name is missing here", ""},
    {Lack::value, Code::syntax_missing, "a value is missing here", ""},
    {Lack::formula, Code::syntax_missing, "a formula is missing here", ""},
    {Lack::source, Code::syntax_missing, "a source is missing after per", "name a document, or say in quotes where it comes from"},
    {Lack::text, Code::syntax_missing, "a text in quotes is missing here", ""},
    {Lack::type, Code::syntax_missing, "a type is missing here", ""},
    {Lack::end_of_run, Code::syntax_end_of_run, "the run has no end after ->", "write where it leads: a -> b"},
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
    {Lack::breaks_, Code::syntax_missing, "breaks is missing after unknown", "write unknown breaks"},
}};

const LackWords& words_of(Lack lack) {
  return *std::find_if(lacks.begin(), lacks.end(), [lack](const LackWords& entry) { return entry.lack == lack; });
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
  if (deep_said() || stopped) return;
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
  if (deep_said()) return;
  begin_statement();
  if (Notice* notice = complain(Code::limit_nesting, p, p + 1,
                                "things stand inside one another deeper than " + std::to_string(base::limits::nesting) + " levels"))
    notice->cures.emplace_back("give the inner part a name of its own");
  deep_notice_ = notice_count_;
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

const char* Builder::text_leaf(const char* from, const char* to, bool closed) {
  if (!closed) {
    if (to[-1] == '}' && to - from > 2 && is_blank(to[-2]))   // rather the end of the block than of the text
      do --to;
      while (is_blank(to[-1]));
    if (Notice* notice = complain(Code::syntax_open_text, from, to, "the text is not closed on its line"))
      notice->cures.emplace_back("put \" at its end");
    leaf(Kind::junk, from, to);
    return to;
  }
  if (to - from > static_cast<std::ptrdiff_t>(base::limits::prose_bytes) + 2)
    complain(Code::limit_text, from, to, "this text is longer than " + std::to_string(base::limits::prose_bytes) + " bytes");
  leaf(Kind::text, from, to);
  return to;
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
}  // namespace dripleg::syntax
