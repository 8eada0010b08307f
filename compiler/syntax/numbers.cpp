// What begins like a number and is none: which slip it is, and how it is written.
#include "syntax/builder.hpp"

#include <algorithm>

namespace dripleg::syntax {
using notices::Code;
using notices::Notice;

namespace {
std::string without_commas(std::string_view text, std::string_view put) {
  std::string out;
  for (const char c : text)
    if (c == ',') out += put;
    else out.push_back(c);
  return out;
}

// How far what was meant as one number and its unit goes.
const char* attempt_end(const char* p, const char* end) {
  const char* q = p + 1;
  while (q != end) {
    if (is_unit_sign(q, end)) {
      q += 2;
      continue;
    }
    const bool range = *q == '.' && q + 1 != end && q[1] == '.';
    const bool comma = *q == ',' && q[-1] != '.' && q + 1 != end && is_digit(q[1]);
    const bool inside = is_word_char(*q) || *q == '.' || *q == '-' || *q == '/' || *q == '^' || *q == '*';
    if (range || !(inside || comma)) break;
    ++q;
  }
  return q;
}

// 14,600 and 1,014,600: groups of three behind at most three digits.
bool parts_thousands(std::string_view number) {
  std::size_t at = number.starts_with('-') ? 1 : 0;
  std::size_t comma = number.find(',', at);
  if (number[at] == '0' || comma - at > 3) return false;
  while (comma < number.size() && number[comma] == ',') {
    at = comma + 1;
    comma = at;
    while (comma < number.size() && is_digit(number[comma])) ++comma;
    if (comma - at != 3) return false;
  }
  return true;
}
}  // namespace

bool Builder::is_bad_measure(const char* p) const {
  if (p == end) return false;
  if (*p == '-') ++p;
  return p != end && is_digit(*p);
}

void Builder::comma_in_number(const char* p, const char* q) {
  const std::string_view number(p, static_cast<std::size_t>(q - p));
  if (parts_thousands(number)) {
    if (Notice* notice = complain(Code::syntax_number_comma, p, q, "a comma ends the item; a number has none"))
      notice->cures.push_back("write " + words(p, q) + " as " + without_commas(number, "_") + " or " + without_commas(number, ""));
  } else if (std::count(p, q, ',') == 1) {
    const std::string cured = without_commas(number, ".");
    if (Notice* notice = complain(Code::syntax_number_comma, p, q, "a decimal point is a dot: " + cured))
      notice->cures.push_back("write " + cured);
  } else {
    complain(Code::syntax_number_comma, p, q, "a comma ends the item; a number has none");
  }
}

void Builder::no_number(const char* p, const char* q) {
  const char* rest = *p == '-' ? p + 1 : p;
  const bool hexadecimal = q - rest > 2 && *rest == '0' && (rest[1] == 'x' || rest[1] == 'X');
  while (rest != q && (is_digit(*rest) || *rest == '_' || *rest == '.')) ++rest;
  const bool unit_may_begin = rest != q && (is_letter(*rest) || is_unit_sign(rest, q) || (*rest == '/' && q - rest > 1 && is_letter(rest[1])));
  if (unit_may_begin && !hexadecimal && scan_unit(rest, q) == q) {
    if (Notice* notice = complain(Code::syntax_unit_blank, p, q, "one blank is missing between the number and its unit"))
      notice->cures.push_back("write " + words(p, rest) + " " + words(rest, q));
    return;
  }
  Notice* notice = complain(Code::syntax_number, p, q, "`" + words(p, q) + "` is no number");
  if (notice && std::any_of(p, q, [](char c) { return c == '-' || c == '/' || c == '*'; }))
    notice->cures.emplace_back("an operator has a blank on both sides; a mixed number is written 1-1/4");
}

const char* Builder::bad_measure(const char* p) {
  const char* q = attempt_end(p, end);
  const char* figures = *p == '-' ? p + 1 : p;
  while (figures != q && (is_digit(*figures) || *figures == '_')) ++figures;
  if (figures != q && *figures == ',') {
    while (figures != q && (is_digit(*figures) || *figures == ',' || *figures == '.')) ++figures;
    comma_in_number(p, figures);
  } else {
    no_number(p, q);
  }
  const char* unit = q != end && *q == ' ' ? scan_unit(q + 1, end) : nullptr;
  if (unit) q = unit;
  leaf(Kind::junk, p, q);
  return q;
}
}  // namespace dripleg::syntax
