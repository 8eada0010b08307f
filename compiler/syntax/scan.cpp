#include "syntax/scan.hpp"

namespace dripleg::syntax {
namespace {
constexpr int most_unit_brackets = 16;

const char* unit_within(const char* p, const char* end, int brackets);

const char* unit_power(const char* p, const char* end, int brackets) {
  if (p == end) return nullptr;
  if (*p == '(') {
    if (brackets == most_unit_brackets) return nullptr;
    p = unit_within(p + 1, end, brackets + 1);
    return p && p != end && *p == ')' ? p + 1 : nullptr;
  }
  const char* q = p;
  bool plain = true;
  for (;;) {
    if (q != end && (is_letter(*q) || (q != p && is_digit(*q)))) {
      ++q;
    } else if (is_unit_sign(q, end)) {
      plain = false;
      q += 2;
    } else {
      break;
    }
  }
  if (q == p) return nullptr;
  if (plain && is_reserved(word_of({p, static_cast<std::size_t>(q - p)}))) return nullptr;
  if (q != end && *q == '^') {
    const char* r = q + 1;
    if (r != end && *r == '-') ++r;
    if (r != end && is_digit(*r)) q = r + 1;
  }
  return q;
}

const char* unit_within(const char* p, const char* end, int brackets) {
  if (p != end && *p == '/') ++p;
  p = unit_power(p, end, brackets);
  while (p && p != end && (*p == '*' || *p == '/')) {
    const char* next = unit_power(p + 1, end, brackets);
    if (!next) break;
    p = next;
  }
  return p;
}

bool number_may_end(const char* p, const char* end) {
  if (p == end) return true;
  if (is_word_char(*p) || *p == '/' || *p == '-' || is_unit_sign(p, end)) return false;
  return !(*p == ',' && p + 1 != end && is_digit(p[1]));
}
}  // namespace

const char* scan_unit(const char* p, const char* end) { return unit_within(p, end, 0); }

const char* scan_date(const char* p, const char* end) {
  static constexpr std::string_view shape = "dddd-dd-dd";
  if (static_cast<std::size_t>(end - p) < shape.size()) return nullptr;
  for (std::size_t at = 0; at < shape.size(); ++at)
    if (shape[at] == 'd' ? !is_digit(p[at]) : p[at] != '-') return nullptr;
  p += shape.size();
  return p != end && (is_digit(*p) || *p == '-') ? nullptr : p;
}

const char* scan_clock(const char* p, const char* end) {
  const char* colon = scan_digits(p, end);
  if (!colon || colon - p > 2 || end - colon < 3 || *colon != ':') return nullptr;
  if (!is_digit(colon[1]) || !is_digit(colon[2])) return nullptr;
  return colon + 3 != end && is_digit(colon[3]) ? nullptr : colon + 3;
}

const char* scan_number(const char* p, const char* end) {
  if (p != end && *p == '-') ++p;
  const char* q = scan_digits(p, end);
  if (!q) return nullptr;
  if (q != end && (*q == '-' || *q == '/')) {   // 1-1/4, 3/4
    const char* r = scan_digits(q + 1, end);
    if (r && *q == '-') r = r != end && *r == '/' ? scan_digits(r + 1, end) : nullptr;
    return r && number_may_end(r, end) ? r : nullptr;
  }
  while (q != end && (is_digit(*q) || *q == '_')) ++q;
  if (q != end && *q == '.')
    if (const char* r = scan_digits(q + 1, end)) q = r;
  if (q != end && (*q == 'e' || *q == 'E')) {
    const char* r = q + 1;
    if (r != end && (*r == '+' || *r == '-')) ++r;
    if (const char* s = scan_digits(r, end)) q = s;
  }
  return number_may_end(q, end) ? q : nullptr;
}

const char* scan_measure(const char* p, const char* end) {
  const char* q = nullptr;
  if (p == end) return nullptr;
  if (*p == '?') {
    q = p + 1;
  } else {
    if (*p != '-') {
      q = scan_date(p, end);
      if (!q) q = scan_clock(p, end);
      if (q) return q;
    }
    q = scan_number(p, end);
    if (!q) return nullptr;
  }
  if (q == end) return q;
  if (*q == '%') return q + 1;
  if (*q != ' ' || q + 1 == end) return q;
  if (q[1] == '%') return q + 2;
  const char* unit = scan_unit(q + 1, end);
  return unit ? unit : q;
}

const char* scan_text(const char* p, const char* end, bool& closed) {
  closed = false;
  for (++p; p != end && *p != '\n'; ++p) {
    if (*p == '"') {
      closed = true;
      return p + 1;
    }
    if (*p == '\\' && p + 1 != end && p[1] != '\n') ++p;
  }
  while (p[-1] == '\r' || p[-1] == ' ' || p[-1] == '\t') --p;
  return p;
}

const char* skip_bracketed(const char* p, const char* end) {
  u32 open = 0;
  while (p != end) {
    const char c = *p;
    if (c == '"') {
      bool closed = false;
      p = scan_text(p, end, closed);
      continue;
    }
    if (c == '#') {
      p = skip_to_line_end(p, end);
      continue;
    }
    ++p;
    if (c == '{' || c == '(' || c == '[') ++open;
    if ((c == '}' || c == ')' || c == ']') && --open == 0) return p;
  }
  return end;
}
}  // namespace dripleg::syntax
