#include "quantities/terms.hpp"

#include <fmt/format.h>

namespace dripleg::quantities {
namespace {
constexpr int deepest = 8;

class TermReader {
 public:
  TermReader(std::string_view text, const TermStyle& style, Problem& problem)
      : text_(text), style_(style), problem_(problem) {}

  std::optional<Terms> read() {
    skip_blanks();
    int sign = 1;
    bool stroke = false;
    if (style_.leading_stroke && here() == '/') {
      ++at_;
      sign = -1;
      stroke = true;
    }
    if (!read_product(sign, 0)) return std::nullopt;
    if (at_ < text_.size()) return fail(at_, at_ + 1, "has nothing to do in a");
    result_.one_word = !stroke && plain_ && result_.terms.size() == 1;
    return std::move(result_);
  }

 private:
  char here() const { return at_ < text_.size() ? text_[at_] : '\0'; }
  void skip_blanks() {
    if (style_.blanks)
      while (here() == ' ' || here() == '\t' || here() == '\n' || here() == '\r') ++at_;
  }

  bool read_product(int sign, int depth) {
    int factor_sign = sign;
    while (true) {
      if (!read_factor(factor_sign, depth)) return false;
      skip_blanks();
      if (here() != '*' && here() != '/') return true;
      plain_ = false;
      factor_sign = here() == '/' ? -sign : sign;
      ++at_;
      skip_blanks();
    }
  }

  bool read_factor(int sign, int depth) {
    const std::size_t first = result_.terms.size();
    const u32 begin = at_;
    if (here() == '(') {
      plain_ = false;
      if (depth == deepest) return complain(begin, begin + 1, fmt::format("brackets in this {} go too deep", style_.what));
      ++at_;
      skip_blanks();
      if (!read_product(sign, depth + 1)) return false;
      skip_blanks();
      if (here() != ')') return complain(begin, begin + 1, fmt::format("this bracket is not closed in the {}", style_.what));
      ++at_;
    } else if (style_.blanks && here() == '1' && !(at_ + 1 < text_.size() && is_word_byte(text_[at_ + 1], false))) {
      ++at_;
    } else if (is_word_byte(here(), true)) {
      while (at_ < text_.size() && is_word_byte(text_[at_], false)) ++at_;
      if (result_.terms.size() == most_terms)
        return complain(begin, at_, fmt::format("this {} has more than {} words", style_.what, most_terms));
      result_.terms.push_back({{begin, at_}, sign});
    } else {
      const u32 end = at_ < text_.size() ? at_ + 1 : at_;
      return complain(begin, end, fmt::format("a {} is missing here", style_.what));
    }
    return read_power(first);
  }

  bool read_power(std::size_t first) {
    skip_blanks();
    if (here() != '^') return true;
    plain_ = false;
    const u32 begin = at_++;
    skip_blanks();
    int sign = 1;
    if (here() == '-') {
      sign = -1;
      ++at_;
    }
    int power = 0;
    const u32 digits = at_;
    while (here() >= '0' && here() <= '9' && at_ - digits < 3) power = power * 10 + (text_[at_++] - '0');
    if (at_ == digits) return complain(begin, begin + 1, "a whole number belongs behind `^`");
    if (power > most_written_power) {
      complain(begin, at_, fmt::format("a power in a {} is at most {}", style_.what, most_written_power));
      problem_.code = notices::Code::unit_power;
      return false;
    }
    for (std::size_t i = first; i < result_.terms.size(); ++i) result_.terms[i].power *= sign * power;
    return true;
  }

  bool complain(u32 begin, u32 end, std::string headline) {
    problem_ = {notices::Code::unit_malformed, {begin, end}, std::move(headline), {}};
    return false;
  }
  std::nullopt_t fail(u32 begin, u32 end, std::string_view words) {
    complain(begin, end, fmt::format("`{}` {} {}", text_.substr(begin, end - begin), words, style_.what));
    return std::nullopt;
  }

  std::string_view text_;
  const TermStyle& style_;
  Problem& problem_;
  Terms result_;
  u32 at_ = 0;
  bool plain_ = true;
};
}  // namespace

bool is_word_byte(char byte, bool first) {
  const auto code = static_cast<unsigned char>(byte);
  if (code >= 0x80 || byte == '_' || (byte >= 'a' && byte <= 'z') || (byte >= 'A' && byte <= 'Z')) return true;
  return !first && byte >= '0' && byte <= '9';
}

std::optional<Terms> read_terms(std::string_view text, const TermStyle& style, Problem& problem) {
  return TermReader(text, style, problem).read();
}
}  // namespace dripleg::quantities
