// The common slips: each gives one message, at the place that is wrong, and the rest is still read.
#include "reading.hpp"

#include <doctest/doctest.h>

#include <array>

using namespace dripleg;
using namespace dripleg::syntax;
using namespace dripleg::syntax::testing;
using notices::Code;

namespace {
struct Slip {
  std::string_view text;
  Code code;
  std::string_view marked;     // the stretch that the notice is about
  u32 begin;                   // where it begins
  std::string_view headline;
};

const Slip slips[] = {
    {"zone a { heat_loss 14,600 Btu/h }", Code::syntax_number_comma, "14,600", 19, "a comma ends the item; a number has none"},
    {"zone a { flowing 0,5 inwc }", Code::syntax_number_comma, "0,5", 17, "a decimal point is a dot: 0.5"},
    {"zone a { x 7inwc }", Code::syntax_unit_blank, "7inwc", 11, "one blank is missing between the number and its unit"},
    {"zone a { x 70°F }", Code::syntax_unit_blank, "70°F", 11, "one blank is missing between the number and its unit"},
    {"zone a { x 3/4/5 in }", Code::syntax_number, "3/4/5", 11, "`3/4/5` is no number"},
    {"zone a { x 0x10 }", Code::syntax_number, "0x10", 11, "`0x10` is no number"},
    {"zone a { x 1_0__0 ft }", Code::syntax_number, "1_0__0", 11, "`1_0__0` is no number"},
    {"function f(a number) gives number = a/b", Code::syntax_operator_blank, "/", 37, "an operator has a blank on both sides"},
    {"function f(b length) gives length = b -1 ft", Code::syntax_operator_blank, "-", 38, "an operator has a blank on both sides"},
    {"function f(b number) gives yes_no = b>= 1", Code::syntax_operator_blank, ">=", 37, "an operator has a blank on both sides"},
    {"function f(a number) gives number = a ^ 2", Code::syntax_operator_blank, "^", 38, "^ stands without blanks: a^2"},
    {"gas {\n  a {\n    x 3 ft\n  b {\n    y 4 ft\n  }\n}\nzone c { z 4 ft }", Code::syntax_missing_brace, "", 22, "a } is missing here"},
    {"zone a {\n  x 3 ft\n\nzone b {\n  y 4 ft\n}\n", Code::syntax_missing_brace, "", 17, "a } is missing here"},
    {"zone a { x 3 ft }\n}\nzone b { y 2 ft }", Code::syntax_extra_brace, "}", 18, "this } closes nothing"},
    {"job \"Juniper Row\nzone b { x 3 ft }", Code::syntax_open_text, "\"Juniper Row", 4, "the text is not closed on its line"},
    {"zone a { x \"Juniper }\nzone b { x 3 ft }", Code::syntax_open_text, "\"Juniper", 11, "the text is not closed on its line"},
    {"rule a.b {\n  requires a >= b\n  weight fault\n}", Code::syntax_rule_line, "requires", 13, "no line of a rule begins with `requires`"},
    {"rule a.b {\n  requird {\n x 3 ft\n }\n}", Code::syntax_rule_line, "requird", 13, "no line of a rule begins with `requird`"},
    {"rule a.b {\n  require a >= b\n  else \"no.\"\n}", Code::syntax_rule_line, "else", 30, "a rule says otherwise, not else"},
    {"function f(a length) gives length = if a > 3 ft a else b", Code::syntax_missing, "", 47, "then is missing after the condition"},
    {"function f(a length) gives length = if a > 3 ft then a", Code::syntax_missing, "", 54, "else is missing: every if says what holds otherwise"},
    {"function f(a list of x) gives number = sum of x for r in a / 2", Code::syntax_fold_alone, "/", 59, "put the fold in parentheses before going on with an operator"},
    {"function f(a list of x) gives number = sum of x", Code::syntax_missing, "", 47, "for is missing: over what is this taken"},
    {"function f(a x) gives y = 3 + if a then 1 else 2", Code::syntax_if_alone, "if", 30, "put ( ) around an if inside a formula"},
    {"site {\n  elevation = 820 ft\n}", Code::syntax_equals, "=", 19, "no = or : between a field and its value"},
    {"site {\n  elevation: 820 ft\n}", Code::syntax_equals, ":", 18, "no = or : between a field and its value"},
    {"site {\n  elevation 820 ft;\n}", Code::syntax_semicolon, ";", 25, "no ; at the end of a line"},
    {"gas {\n  a ->\n  b -> c 3 ft\n}", Code::syntax_end_of_run, "", 12, "the run has no end after ->"},
    {"gas {\n  a -> 3 ft of 1 in steel\n}", Code::syntax_end_of_run, "", 17, "the run has no end after ->"},
    {"gas {\n  a → b 3 ft\n}", Code::syntax_arrow, "→", 10, "write -> between the ends of a run"},
    {"gas {\n  a --> b 3 ft\n}", Code::syntax_arrow, "-->", 10, "write -> between the ends of a run"},
    {"gas {\n  a - > b 3 ft\n}", Code::syntax_arrow, "- >", 10, "write -> between the ends of a run"},
    {"gas {\n  a -> b 3 ft with elbow_90, 1 ball_valve\n}", Code::syntax_count, "", 24, "a count is missing after with"},
    {"gas {\n  a -> b 3 ft with 2 elbow_90 and 1 ball_valve\n}", Code::syntax_count, "and", 36, "what stands after with is parted by commas"},
    {"rule a.b {\n  require t.a = t.b\n}", Code::syntax_compare, "=", 25, "compare with =="},
    {"kind k {\n  gives x power = load when outdoor = 3 degF\n}", Code::syntax_world_alone, "when", 32, "put ( ) around a formula with when or during"},
    {"zone flat-A { x 3 ft }", Code::syntax_dash, "-A", 9, "a name has no - in it; write _"},
    {"zone b\n{\n x 3 ft\n}\nzone c { y 3 ft }", Code::syntax_brace_line, "{", 7, "put { at the end of the line it belongs to"},
    {"kind b\n{\n needs x power = 3 kW\n}", Code::syntax_brace_line, "{", 7, "put { at the end of the line it belongs to"},
    {"zone a { name “Juniper Row” }", Code::syntax_quotes, "“Juniper Row”", 14, "write straight quotes: \"…\""},
    {"// hello there\nzone a { x 3 ft }", Code::syntax_comment, "// hello there", 0, "a comment begins with #"},
    {"zone a {\n  x 3 ft // no\n}", Code::syntax_comment, "// no", 18, "a comment begins with #"},
    {"zone a {\n  /* no */\n  x 3 ft\n}", Code::syntax_comment, "/* no */", 11, "a comment begins with #"},
    {"function f(a x) gives y = (a + b * 2\nzone b { x 3 ft }", Code::syntax_bracket, "", 36, ") is missing"},
    {"zone a { x [b, c\n y 3 ft }", Code::syntax_bracket, "", 16, "] is missing"},
    {"zone a { x 3 ft ) }", Code::syntax_bracket, ")", 16, "this ) closes nothing"},
    {"rule a.b {\n  for of in tank\n}", Code::syntax_reserved, "of", 17, "this word of the language cannot be a name"},
    {"function f(at temperature, b x) gives y = b", Code::syntax_reserved, "at", 11, "this word of the language cannot be a name"},
    {"rule a.b {\n  for t tank\n}", Code::syntax_missing, "", 18, "in is missing after the name"},
    {"zone a { x 3 ft .. , y 3 ft }", Code::syntax_missing, "", 18, "a value is missing here"},
    {"zone a { x [1 ft, , 2 ft] }", Code::syntax_missing, "", 17, "a value is missing here"},
    {"zone a {\n  elevation 3 ft per\n}", Code::syntax_missing, "", 29, "a source is missing after per"},
    {"rule a.b {\n  require a >=\n  otherwise \"x\"\n}", Code::syntax_missing, "", 25, "a formula is missing here"},
    {"kind k {\n  needs many\n}", Code::syntax_missing, "", 21, "a name is missing here"},
    {"function f(a, b x) gives y = b", Code::syntax_missing, "", 12, "a type is missing here"},
    {"agrees f(3 ft) = 3 ft", Code::syntax_missing, "", 21, "within and a tolerance are missing"},
    {"rule a.b {\n  unknown\n}", Code::syntax_missing, "", 20, "breaks is missing after unknown"},
    {"rule a.b {\n  example holds\n}", Code::syntax_missing, "", 26, "a block is missing here: { and }"},
    {"rule a.b {\n  says\n}", Code::syntax_missing, "", 17, "a text in quotes is missing here"},
    {"kind k {\n  joins water\n}", Code::syntax_missing, "", 22, "at or from is missing here"},
    {"use", Code::syntax_missing, "", 3, "a name is missing here"},
    {"3 ft of steel  # no\nzone a { x 3 ft }", Code::syntax_top_line, "3 ft of steel", 0, "a line at the outermost level begins with a word"},
    {"function f() gives x = a b c", Code::syntax_line_end, "b", 25, "the line should end here; `b` does not belong to it"},
    {"kind k { gives x power = f(a b, c) + 2 }", Code::syntax_line_end, "b", 29, "the line should end here; `b` does not belong to it"},
    {"zone a { x 3 ft, , y 4 ft }", Code::syntax_line_end, ",", 17, "this comma parts nothing"},
    {"zone a { x \"a\"b }", Code::syntax_line_end, "b", 14, "a blank is missing before `b`"},
    {"rule a.b { require a { y 3 ft } }", Code::syntax_line_end, "{", 21, "no block belongs to this line"},
    {"kind k { gives y power = a ≥ b }", Code::syntax_sign, "≥", 27, "write >= for at least"},
    {"kind k { gives y power = a × b }", Code::syntax_sign, "×", 27, "write * for times"},
    {"kind k { gives y power = a && b }", Code::syntax_sign, "&&", 27, "write and for &&"},
    {"boiler В1 { x 3 ft }", Code::text_letter, "В1", 7, "names are plain letters; this is U+0412"},
    {"zone a { x ٣ ft }", Code::text_letter, "٣", 11, "numbers are plain digits; this is U+0663"},
};
}  // namespace

TEST_CASE("one message for each slip") {
  for (const Slip& slip : slips) {
    CAPTURE(slip.text);
    const Parsed parsed = parse_text(std::string(slip.text));
    for (const auto& notice : parsed.notices.all()) CAPTURE(notice.headline);
    CHECK(why_lossy(parsed.text(), parsed.tree) == "");
    REQUIRE(parsed.notices.size() == 1);
    const auto& notice = parsed.notices.all().front();
    CHECK(notices::text_of(notice.code) == notices::text_of(slip.code));
    CHECK(notice.headline == slip.headline);
    CHECK(parsed.text(notice) == slip.marked);
    CHECK(notice.place.span.begin == slip.begin);
    CHECK(parsed.count(Kind::junk) + parsed.count(Kind::missing) +
              (slip.code == Code::syntax_operator_blank || slip.code == Code::syntax_compare || slip.code == Code::syntax_arrow ||
               slip.code == Code::syntax_fold_alone || slip.code == Code::syntax_if_alone || slip.code == Code::syntax_brace_line ||
               slip.code == Code::syntax_missing_brace || slip.code == Code::syntax_top_line || slip.code == Code::syntax_number ||
               slip.headline == "no block belongs to this line")
          >= 1);
  }
}

TEST_CASE("cures") {
  const auto cure = [](std::string text) {
    const Parsed parsed = parse_text(std::move(text));
    REQUIRE(parsed.notices.size() == 1);
    REQUIRE(!parsed.notices.all().front().cures.empty());
    return parsed.notices.all().front().cures.front();
  };
  CHECK(cure("zone a { heat_loss 14,600 Btu/h }") == "write 14,600 as 14_600 or 14600");
  CHECK(cure("zone a { heat_loss 1,014,600 Btu/h }") == "write 1,014,600 as 1_014_600 or 1014600");
  CHECK(cure("zone a { x 1,25 ft }") == "write 1.25");
  CHECK(cure("zone a { x 7inwc }") == "write 7 inwc");
  CHECK(cure("zone a { x 0.4/h }") == "write 0.4 /h");
  CHECK(cure("rule a.b {\n requires a >= b\n}") == "did you mean `require`");
  CHECK(cure("rule a.b {\n otherwize \"a\"\n}") == "did you mean `otherwise`");
}

TEST_CASE("six mistakes in a file give six messages") {
  const Parsed parsed = parse_text(
      "site {\n"
      "  elevation = 820 ft\n"
      "  snow_depth 14in\n"
      "}\n"
      "zone a {\n"
      "  heat_loss 14,600 Btu/h\n"
      "}\n"
      "gas {\n"
      "  street -> 40 ft of 1 in steel\n"
      "  a -> b  3 ft of 1 in steel with elbow_90\n"
      "}\n"
      "rule a.b {\n"
      "  require a = b\n"
      "  otherwise \"no\"\n"
      "}\n");
  REQUIRE(parsed.notices.size() == 6);
  u32 line = 0;
  for (const u32 expected : {2u, 3u, 6u, 9u, 10u, 13u})
    CHECK((*parsed.sources)[parsed.file].line_column(parsed.notices.all()[line++].place.span.begin).line == expected);
  CHECK(why_lossy(parsed.text(), parsed.tree) == "");
}

TEST_CASE("what follows a mistake is read as usual") {
  const Parsed broken = parse_text("zone flat-A { x 3 ft, y = 4 ft }\nzone b { z 5 ft }");
  CHECK(broken.dump() ==
        "file\n"
        "  entry\n    path zone\n    path flat\n    junk -A\n"
        "    block\n      punct {\n"
        "      entry\n        path x\n        measure 3 ft\n      punct ,\n"
        "      entry\n        path y\n        junk =\n        measure 4 ft\n      punct }\n"
        "  entry\n    path zone\n    path b\n    block\n      punct {\n"
        "      entry\n        path z\n        measure 5 ft\n      punct }\n");
}

TEST_CASE("a missing brace is found by the indentation") {
  const Parsed parsed = parse_text(
      "water heating {\n"
      "  fluid water\n"
      "  tank {\n"
      "    volume 4 gal\n"
      "\n"
      "gas {\n"
      "  a -> b  3 ft\n"
      "}\n"
      "zone c { z 4 ft }\n");
  REQUIRE(parsed.notices.size() == 2);   // two braces are missing
  const auto& notice = parsed.notices.all()[0];
  CHECK(notice.code == Code::syntax_missing_brace);
  REQUIRE(notice.labels.size() == 1);
  CHECK(parsed.sources->text(notice.labels[0].place) == "{");
  CHECK(parsed.count(Kind::run) == 1);
  CHECK(parsed.tree.children(parsed.tree.root()).size() == 3);
}

TEST_CASE("the first mistake of a statement silences the rest of it") {
  CHECK(parse_text("zone a { x 7inwc = $ ) 8inwc }").notices.size() == 1);
  CHECK(parse_text("rule a.b {\n require (a > (b = \n weight x\n}").notices.size() == 1);
}
