#include "syntax/builder.hpp"

namespace dripleg::syntax {
Builder::Builder(FileId read, const char* whole, const char* from, const char* to, bool columns)
    : ParseState{read, whole, from, to, columns, false, false, 0, {}}, line_known_until_(from) {
  nodes.reserve(static_cast<std::size_t>(to - from) / 5 + 16);
}

void Builder::close(Kind kind, u32 mark) {
  const u32 count = size() - mark + 1;
  if (count == 1) {
    const u32 at = last_end();
    nodes.push_back(Node{at, at, 1, static_cast<u32>(kind)});
    return;
  }
  nodes.push_back(Node{nodes[mark].begin, nodes.back().end, count, static_cast<u32>(kind)});
}

void Builder::reopen_last() { nodes.pop_back(); }

void Builder::stop_at(const char* p) {
  if (!stopped) {
    stopped = true;
    begin_statement();
    complain(notices::Code::limit_nodes, p, p, "the file has too many parts; the rest of it is not read");
  }
  end = p;
}

void Builder::forget_notices(u32 count) {
  notices_.shrink_to(count);
  notice_count_ = count;
  if (deep_notice_ > count) deep_notice_ = 0;
  if (statement_notices_ > count) statement_notices_ = count;
}

void Builder::find_word(const char* p) {
  word_position_ = p;
  const char* q = scan_word(p, end);
  if (!q) {
    word_ = {};
    return;
  }
  const auto length = static_cast<u32>(q - p);
  word_ = {length, length <= 12 ? word_of({p, length}) : Word::plain};
}

bool Builder::first_of_line(const char* p) const {
  while (p != begin && is_blank(p[-1])) --p;
  return p == begin || p[-1] == '\n';
}

u32 Builder::column_of_line(const char* p) {
  const char* q = p;
  while (q != begin && q[-1] != '\n') {
    if (q == line_known_until_) {   // the same line as last time
      line_known_until_ = p;
      return line_column_;
    }
    --q;
  }
  line_known_until_ = p;
  line_column_ = static_cast<u32>(skip_blanks(q, end) - q);
  return line_column_;
}

// A head of a line is followed by more words; a name in a formula by an operator, a dot, a bracket.
bool Builder::looks_like_head(const char* p) {
  const WordAt here = word_at(p);
  if (here.length == 0) return false;
  if (here.word == Word::accepts_open_) return true;
  if (!is_head(here.word)) return false;
  const char* after = p + here.length;
  const char* next = skip_blanks(after, end);
  if (next == after || next == end) return false;
  if (*next == '"' || is_digit(*next)) return true;
  const WordAt second = word_at(next);
  if (second.length == 0) return false;
  return !continues_formula(second.word);
}

namespace {
bool parts_operator(const char* p, const char* end) { return p == end || is_space(*p) || *p == '#'; }

// An operator of signs at `q`, without regard to blanks.
OperatorAt sign_at(const char* q, const char* end) {
  const char second = q + 1 == end ? '\0' : q[1];
  OperatorAt found;
  found.begin = q;
  found.end = q + 1;
  switch (*q) {
    case '+':
      if (second != '-' && second != '+') found.group = Group::add;
      break;
    case '-':
      if (second != '>' && second != '-') found.group = Group::add;
      break;
    case '*': found.group = second == '*' ? Group::none : Group::multiply; break;
    case '/': found.group = second == '/' || second == '*' ? Group::none : Group::multiply; break;
    case '^': found.group = Group::power; break;
    case '<':
    case '>':
      found.group = Group::compare;
      if (second == '=') ++found.end;
      break;
    case '!':
      if (second == '=') {
        found.group = Group::compare;
        ++found.end;
      }
      break;
    case '=':
      if (second == '>') break;
      found.group = Group::compare;
      if (second == '=') ++found.end;
      else found.slip = Slip::assignment;
      break;
    default: break;
  }
  return found;
}
}  // namespace

void Builder::find_operator(const char* p) {
  operator_position_ = p;
  operator_ = {};
  const char* q = skip_blanks(p, end);
  if (q == end) return;
  if (*q == '\n' || *q == '#') {   // a line may begin with an operator and a blank
    q = skip_to_line_end(q, end);
    if (q == end) return;
    q = skip_blanks(q + 1, end);
    if (q == end || end - q < 2) return;
    if (*q == '+' || *q == '-' || *q == '*' || *q == '/') {
      if (is_blank(q[1])) operator_ = sign_at(q, end);
      return;
    }
    const WordAt word = word_at(q);
    if (word.word != Word::and_ && word.word != Word::or_) return;
    if (q + word.length == end || !is_blank(q[word.length])) return;
    operator_ = {word.word == Word::and_ ? Group::both : Group::either, Slip::none, true, q, q + word.length};
    return;
  }
  const bool blank_before = q != p;
  if (is_letter(*q)) {
    const WordAt word = word_at(q);
    Group group = Group::none;
    if (word.word == Word::and_) group = Group::both;
    if (word.word == Word::or_) group = Group::either;
    if (word.word == Word::in_) group = Group::compare;
    if (word.word == Word::is_) group = Group::test;
    if (group != Group::none)
      operator_ = {group, blank_before ? Slip::none : Slip::spacing, true, q, q + word.length};
    return;
  }
  OperatorAt found = sign_at(q, end);
  if (found.group == Group::none) return;
  if (found.slip == Slip::assignment) {
    if (no_assignment_) return;
  } else if (found.group == Group::power) {
    if (blank_before || parts_operator(found.end, end)) found.slip = Slip::spacing;
  } else if (!blank_before || !parts_operator(found.end, end)) {
    found.slip = Slip::spacing;
  }
  operator_ = found;
}
}  // namespace dripleg::syntax
