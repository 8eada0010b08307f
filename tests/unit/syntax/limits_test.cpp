// Bounds that a stranger's file can meet: one notice each, nothing lost, and time in proportion to length.
#include "base/limits.hpp"
#include "reading.hpp"

#include <doctest/doctest.h>

#include <array>
#include <chrono>
#include <functional>

using namespace dripleg;
using namespace dripleg::syntax;
using namespace dripleg::syntax::testing;
using notices::Code;

namespace {
std::string repeat(std::string_view part, std::size_t times) {
  std::string out;
  out.reserve(part.size() * times);
  for (std::size_t at = 0; at < times; ++at) out += part;
  return out;
}

u32 count_of(const Parsed& parsed, Code code) {
  u32 found = 0;
  for (const auto& notice : parsed.notices.all()) found += notice.code == code;
  return found;
}
}  // namespace

TEST_CASE("nesting") {
  const auto nested = [](std::string_view open, std::string_view inside, std::string_view close, std::size_t depth) {
    return repeat(open, depth) + std::string(inside) + repeat(close, depth);
  };
  SUBCASE("two hundred levels are read") {
    const Parsed blocks = parse_text(nested("a {\n", "x 3 ft\n", "}\n", 200));
    CHECK(blocks.notices.size() == 0);
    CHECK(blocks.count(Kind::block) == 200);
    const Parsed parens = parse_text("function f() gives x = " + nested("(", "a", ")", 199));
    CHECK(parens.notices.size() == 0);
    CHECK(parens.count(Kind::paren) == 199);
  }
  SUBCASE("one more is said once") {
    const std::array<std::string, 11> texts{
        nested("a {\n", "x 3 ft\n", "}\n", 201),
        nested("a {\n", "x 3 ft\n", "}\n", 20'000),
        "function f() gives x = " + nested("(", "a", ")", 20'000),
        "function f() gives x = " + nested("f(", "a", ")", 20'000),
        "function f() gives x = " + nested("a[", "a", "]", 20'000),
        "function f() gives x = " + nested("[", "a", "]", 20'000),
        "function f() gives x = " + repeat("not ", 5'000) + "a",
        "function f() gives x = " + repeat("sum of ", 2'000) + "a" + repeat(" for b in c", 2'000),
        "function f() gives x = " + repeat("if a then b else ", 3'000) + "c",
        "zone a { x " + nested("[", "a", "]", 20'000) + " }",
        "kind k { needs x " + nested("[", "b", "]", 20'000) + " }",
    };
    for (const std::string& text : texts) {
      CAPTURE(text.substr(0, 40));
      const Parsed parsed = parse_text(text);
      CHECK(count_of(parsed, Code::limit_nesting) == 1);
      CHECK(parsed.notices.size() == 1);
      CHECK(why_lossy(parsed.text(), parsed.tree) == "");
    }
  }
  SUBCASE("every recursive rule, not closed") {
    for (const std::string_view open :
         {"(", "f(", "a[", "[", "{", "a {", "a {\n", "not ", "sum of ", "first a in ", "find a in b where ", "carry a from ", "if ",
          "if a then ", "if a then b else ", "a where ", "1 (", "(a when b = ", "- ", "a^", "sum of a by ", "sum of a for b in ", "a.b("})
      for (const std::string_view head : {"", "function f() gives x = ", "rule a { require ", "kind k { needs x ", "layout l { column \"a\" ", "zone a { x "}) {
        const std::string text = std::string(head) + repeat(open, 3'000);
        CAPTURE(text.substr(0, 60));
        const Parsed parsed = parse_text(text);
        CHECK(why_lossy(parsed.text(), parsed.tree) == "");
        CHECK(parsed.notices.size() <= 201);
      }
  }
}

TEST_CASE("names, numbers and texts") {
  CHECK(parse_text("zone " + std::string(256, 'a') + " { x 3 ft }").notices.size() == 0);
  CHECK(count_of(parse_text("zone " + std::string(257, 'a') + " { x 3 ft }"), Code::limit_name) == 1);
  CHECK(count_of(parse_text("zone b." + std::string(257, 'a') + " { x 3 ft }"), Code::limit_name) == 1);
  CHECK(parse_text("zone a { x " + std::string(64, '1') + " ft }").notices.size() == 0);
  CHECK(count_of(parse_text("zone a { x " + std::string(65, '1') + " ft }"), Code::limit_digits) == 1);
  CHECK(parse_text("zone a { x \"" + std::string(4096, 'a') + "\" }").notices.size() == 0);
  CHECK(count_of(parse_text("zone a { x \"" + std::string(4097, 'a') + "\" }"), Code::limit_text) == 1);
}

TEST_CASE("lines and files") {
  CHECK(parse_text("# " + std::string(base::limits::line_bytes - 2, 'a')).notices.size() == 0);
  const Parsed line = parse_text("zone a {\n  x " + repeat("1 + ", 20'000) + "\n}\n");
  CHECK(line.notices.size() == 1);
  CHECK(count_of(line, Code::limit_line) == 1);
  CHECK(why_lossy(line.text(), line.tree) == "");
  const Parsed file = parse_text(std::string(base::limits::file_bytes + 1, '#'));
  CHECK(file.notices.size() == 1);
  CHECK(count_of(file, Code::limit_file) == 1);
}

TEST_CASE("parts of a file") {
  const Parsed parsed = parse_text(repeat(repeat("a,", 20'000) + "\n", 300));
  CHECK(count_of(parsed, Code::limit_nodes) == 1);
  CHECK(parsed.tree.nodes.size() < base::limits::tree_nodes + 1000);
  CHECK(why_lossy(parsed.text(), parsed.tree) == "");
}

TEST_CASE("at most two hundred messages and their number") {
  const Parsed parsed = parse_text(repeat("zone a { x 7inwc }\n", 300));
  CHECK(parsed.notices.size() == 201);
  CHECK(count_of(parsed, Code::limit_notices) == 1);
  CHECK(parsed.notices.all().back().headline == "and 100 more mistakes of writing in this file");
  CHECK(parse_text(repeat("gas {\n", 20'000)).notices.size() <= 201);
}

TEST_CASE("time grows with length") {
  const std::array<std::function<std::string(std::size_t)>, 30> shapes{{
      [](std::size_t n) { return "function f() gives x = " + repeat("(", n) + repeat(")", n); },
      [](std::size_t n) { return "function f() gives x = " + repeat("(", n); },
      [](std::size_t n) { return repeat("function f() gives x = " + repeat("(", 150) + "a" + repeat(")", 150) + "\n", n / 300); },
      [](std::size_t n) { return repeat("function f() gives x = " + repeat("(", 150) + "a b\n", n / 150); },
      [](std::size_t n) { return repeat("a {", n / 3); },
      [](std::size_t n) { return repeat("a {\n", n / 4); },
      [](std::size_t n) { return repeat("a {}", n / 4); },
      [](std::size_t n) { return repeat("}\n", n / 2); },
      [](std::size_t n) { return repeat("a { b {}\n", n / 9); },
      [](std::size_t n) { return "function f() gives x = " + repeat("sum of ", n / 7); },
      [](std::size_t n) { return "function f() gives x = " + repeat("not ", n / 4); },
      [](std::size_t n) { return "function f() gives x = " + repeat("if ", n / 3); },
      [](std::size_t n) { return "zone a { x " + repeat("[", n) + "}"; },
      [](std::size_t n) { return "function f() gives x = a" + repeat("\n + a", n / 5); },
      [](std::size_t n) { return "function f() gives x = a" + repeat(" or\n a", n / 6); },
      [](std::size_t n) { return repeat("a a a a a a a a\n", n / 16); },
      [](std::size_t n) { return repeat("a -> a -> a -> a\n", n / 17); },
      [](std::size_t n) { return repeat("a -> b with 2 c, 3 d, 4 e, 5 f\n", n / 31); },
      [](std::size_t n) { return repeat("a,a,a,a,", n / 8); },
      [](std::size_t n) { return repeat(",,,,,,,,\n", n / 9); },
      [](std::size_t n) { return repeat("x \"abc\n", n / 7); },
      [](std::size_t n) { return repeat("\"\n", n / 2); },
      [](std::size_t n) { return repeat("12345678 ", n / 9); },
      [](std::size_t n) { return repeat("        \n", n / 9); },
      [](std::size_t n) { return repeat("x 1 µµµµµµ\n", n / 17); },
      [](std::size_t n) { return repeat("x 1 m*m*m*m*m/s^2\n", n / 18); },
      [](std::size_t n) { return repeat("x 1 ((((((((((((((((((((\n", n / 25); },
      [](std::size_t n) { return repeat("function f() gives x = ((((((((a #cccccccccccc\n + b))))))))\n", n / 60); },
      [](std::size_t n) { return repeat("a = b $ c ; d } { ( [\n", n / 22); },
      [](std::size_t n) { return "a { b {\n" + repeat("x [1 ft, 2 ft] $ (\n", n / 19); },
  }};
  const auto seconds = [](const std::string& text) {
    double best = 1e9;
    for (int round = 0; round < 3; ++round) {
      const auto start = std::chrono::steady_clock::now();
      const Parsed parsed = parse_text(text);
      const std::chrono::duration<double> spent = std::chrono::steady_clock::now() - start;
      best = std::min(best, spent.count());
      if (round == 0) CHECK(why_lossy(parsed.text(), parsed.tree) == "");
    }
    return best;
  };
  for (const auto& shape : shapes) {
    CAPTURE(shape(200));
    const std::size_t n = 60'000;   // below the limit of a line, so that every shape is really parsed
    const double once = seconds(shape(n / 4)), four_times = seconds(shape(n));
    CHECK(four_times < 12 * once + 0.003);   // quadratic would be sixteen
  }
}
