// The shapes of nodes that kinds.hpp promises, form by form.
#include "reading.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::syntax;
using namespace dripleg::syntax::testing;

namespace {
// One line: (kind child child), a leaf as its text; keywords in 'quotes'.
std::string brief(const Parsed& parsed, NodeIndex at) {
  const Kind kind = parsed.tree.kind(at);
  const std::string text((*parsed.sources)[parsed.file].text(parsed.tree[at].span()));
  if (kind == Kind::keyword) return "'" + text + "'";
  if (is_leaf(kind)) return kind == Kind::measure ? "<" + text + ">" : text;
  std::string out = "(" + std::string(text_of(kind));
  for (const NodeIndex child : parsed.tree.children(at)) out += " " + brief(parsed, child);
  return out + ")";
}

std::string item(std::string text) {
  const Parsed parsed = parse_text(std::move(text));
  for (const auto& notice : parsed.notices.all()) FAIL_CHECK(notice.headline);
  CHECK(why_lossy(parsed.text(), parsed.tree) == "");
  return brief(parsed, parsed.tree.children(parsed.tree.root()).front());
}

std::string formula(std::string text) {
  base::Sources sources;
  const FileId file = sources.add("f.drip", "{" + text + "}");
  notices::Notices notices;
  const base::Place stretch{file, {1, static_cast<u32>(text.size()) + 1}};
  Parsed parsed;
  parsed.file = parsed.sources->add("f.drip", "{" + text + "}");
  parsed.tree = parse_formula(sources, stretch, notices);
  if (notices.size() != 0) return notices.all().front().headline;
  return brief(parsed, parsed.tree.root());
}
}  // namespace

TEST_CASE("heads") {
  CHECK(item("use trade 2026.1") == "(use 'use' trade <2026.1>)");
  CHECK(item("use \"makers/a.drip\" as b") == "(use 'use' \"makers/a.drip\" 'as' b)");
  CHECK(item("language 1") == "(language 'language' <1>)");
  CHECK(item("unit in = 0.0254 m { also inch }") ==
        "(decl_job 'unit' in (equals = <0.0254 m>) (block { (entry also inch) }))");
  CHECK(item("dimension head is length { apart }") == "(decl_job 'dimension' head (d_is 'is' length) (block { (entry apart) }))");
  CHECK(item("kind fuel stock { }") == "(decl_lib 'kind' fuel (shape stock) (block { }))");
  CHECK(item("case one_alone for a in appliance { firing [a] }") ==
        "(decl_job 'case' one_alone (d_for 'for' (binders (binder a 'in' (range appliance)))) (block { (entry firing (list [ a ])) }))");
  CHECK(item("table t by length up, size exact gives flow { }") ==
        "(decl_lib 'table' t (keys 'by' (key length up) , (key size exact)) (d_gives 'gives' flow) (block { }))");
  CHECK(item("function f(a list of b, c d) gives e\n  = a\n  per practice \"x\" \"y\"") ==
        "(decl_lib 'function' f (params ( (param a list of b) , (param c d) )) (d_gives 'gives' e) (equals = a) "
        "(per 'per' practice \"x\") (prose \"y\"))");
  CHECK(item("function f() gives e\n  per practice \"x\"\n  = 2") ==
        "(decl_lib 'function' f (params ( )) (d_gives 'gives' e) (per 'per' practice \"x\") (equals = <2>))");
  CHECK(item("agrees f(3 ft) = 2 in within 0.5 %\n  per computed \"x\"") ==
        "(agrees 'agrees' (postfix f (args ( <3 ft> ))) = <2 in> 'within' <0.5 %> (per 'per' computed \"x\"))");
  CHECK(item("condition c list of a = a \"b\"") == "(decl_job 'condition' c (shape list of a) (equals = a) (prose \"b\"))");
  CHECK(item("sketch s { a -> b  3 ft }") ==
        "(decl_lib 'sketch' s (block { (run (chain (place a) -> (place b)) <3 ft>) }))");
}

TEST_CASE("runs") {
  const auto line = [](std::string_view text) { return item("gas { " + std::string(text) + " }"); };
  const auto in_gas = [](std::string_view text) { return "(entry gas (block { " + std::string(text) + " }))"; };
  CHECK(line("a -> b.out  1 in with 4 elbow, ? trap") ==
        in_gas("(run (chain (place a) -> (place b.out)) <1 in> (fittings 'with' <4 elbow> , <? trap>))"));
  CHECK(line("a -> 14 ft -> b -> about 5 ft 4 in +- 1 in -> c   of 1 in x") ==
        in_gas("(run (chain (place a) -> (length <14 ft>) -> (place b) -> (length 'about' (compound <5 ft> <4 in>) +- <1 in>) -> "
               "(place c)) of <1 in> x)"));
  CHECK(line("c -> d[12] as e  like a -> b") ==
        in_gas("(run (chain (place c) -> (place d [ 12 ])) (run_as 'as' e) (run_like 'like' (place a) -> (place b)))"));
  CHECK(line("a[1] -> b[2] { straight }") ==
        in_gas("(run (chain (place a [ 1 ]) -> (place b [ 2 ])) (block { (entry straight) }))"));
  CHECK(line("a -> R1   12 ft 6 in of 1 in x") == in_gas("(run (chain (place a) -> (place R1)) <12 ft> <6 in> of <1 in> x)"));
}

TEST_CASE("entries") {
  CHECK(item("accept a.b for c { by \"d\" }") == "(entry accept a.b 'for' c (block { (entry by \"d\") }))");
  CHECK(item("accept a.b for c[3] { until 2026-12-31 }") ==
        "(entry accept a.b 'for' (place c [ 3 ]) (block { (entry until <2026-12-31>) }))");
  CHECK(item("accept a.b for c -> d[1]") == "(entry accept a.b 'for' (link (place c) -> (place d [ 1 ])))");
  CHECK(item("a B1 B2 is c.d_96 { e f }") == "(entry a B1 B2 is c.d_96 (block { (entry e f) }))");
  CHECK(item("a flat 16 of { x 1_000 W  per \"sheet\" }") ==
        "(entry a flat <16> of (block { (entry x <1_000 W> (per 'per' \"sheet\")) }))");
  CHECK(item("a { p -6 degF +- 2 Fdeg, q 4 in .. 12 in by 1 in, r [b c, 3 %] }") ==
        "(entry a (block { (entry p (spread_value <-6 degF> +- <2 Fdeg>)) , "
        "(entry q (range_value <4 in> .. <12 in> 'by' <1 in>)) , (entry r (list [ (phrase b c) , <3 %> ])) }))");
  CHECK(item("a { 2 in   38 ft  \"A\"\n1/2 in  ?\n9:10  -3 }") ==
        "(entry a (block { (row <2 in> <38 ft> \"A\") (row <1/2 in> <?>) (row <9:10> <-3>) }))");
  CHECK(item("a { per maker \"b\" \"c\"\n\"d\" }") == "(entry a (block { (per_line (per 'per' maker \"b\") (prose \"c\" \"d\")) }))");
  CHECK(item("a x [\n b, # first\n c\n ]") == "(entry a x (list [ b , c ]))");
  CHECK(item("a f(\n b,\n c + 1\n )") == "(entry a (call_value f (args ( b , (sum c + <1>) ))))");
}

TEST_CASE("kinds, networks, rules") {
  const auto in_kind = [](std::string_view text) { return item("kind k { " + std::string(text) + " }"); };
  const auto is_kind = [](std::string_view text) { return "(decl_lib 'kind' k (block { " + std::string(text) + " }))"; };
  CHECK(in_kind("needs many at (a b) in (c list of d)") ==
        is_kind("(field 'needs' 'many' at (shape (slot ( (param a b) )) in (slot ( (param c list of d) ))))"));
  CHECK(in_kind("needs c (r f) [at (u p)]") ==
        is_kind("(field 'needs' c (shape (slot ( (param r f) )) (list [ (phrase at (slot ( (param u p) ))) ])))"));
  CHECK(in_kind("may x one of [low, high] = low per practice \"a\" \"b\"") ==
        is_kind("(field 'may' x (shape one of (list [ low , high ])) (equals = low) (per 'per' practice \"a\") (prose \"b\"))"));
  CHECK(in_kind("gives y length { spread 25 % } = 3 ft") ==
        is_kind("(field 'gives' y (shape length) (block { (entry spread <25 %>) }) (equals = <3 ft>))"));
  CHECK(in_kind("joins w from a to b { a.x = 3 }") ==
        is_kind("(joins 'joins' w 'from' a 'to' b (block { (bind a.x = <3>) }))"));
  CHECK(in_kind("joins w at a") == is_kind("(joins 'joins' w 'at' a)"));
  CHECK(in_kind("balance q by h within 0.1 gpm") == is_kind("(balance 'balance' q 'by' h 'within' <0.1 gpm>)"));
  CHECK(in_kind("settles t temperature in 3 K .. 4 K from 5 K within 1 K = x") ==
        is_kind("(settles 'settles' t temperature 'in' (range <3 K> .. <4 K>) 'from' <5 K> 'within' <1 K> (equals = x))"));
  CHECK(in_kind("datum h at t\nshut where not o\none_way where q > 3\nrises a\nfalls b") ==
        is_kind("(datum 'datum' h 'at' t) (shut 'shut' 'where' (negation 'not' o)) (one_way 'one_way' 'where' (comparison q > <3>)) "
                "(rises 'rises' a) (rises 'falls' b)"));
  const auto in_rule = [](std::string_view text) { return item("rule r { " + std::string(text) + " }"); };
  const auto is_rule = [](std::string_view text) { return "(decl_rule 'rule' r (block { " + std::string(text) + " }))"; };
  CHECK(in_rule("for a in b, c in d.e where a.x is given") ==
        is_rule("(for_line 'for' (binders (binder a 'in' (range b)) , (binder c 'in' (range d.e)) (where 'where' (is_test a.x 'is' given))))"));
  CHECK(in_rule("during a, b, require c, weight danger") ==
        is_rule("(during 'during' a , b) , (require 'require' c) , (weight 'weight' danger)"));
  CHECK(in_rule("unknown breaks where a\naccepts_open\nwas b.c\nremedy s.size for s in p(a.b)") ==
        is_rule("(unknown 'unknown' 'breaks' (where 'where' a)) (accepts 'accepts_open') (was 'was' b.c) "
                "(remedy 'remedy' s.size 'for' (binders (binder s 'in' (range (postfix p (args ( a.b )))))))"));
  CHECK(in_rule("says \"a\"\n \"b\"\nexample open { a -> b 3 ft }") ==
        is_rule("(says 'says' (prose \"a\" \"b\")) (example 'example' open (block { (run (chain (place a) -> (place b)) <3 ft>) }))"));
}

TEST_CASE("layouts") {
  const auto in_layout = [](std::string_view text) { return item("layout l { " + std::string(text) + " }"); };
  const auto is_layout = [](std::string_view text) { return "(decl_layout 'layout' l (block { " + std::string(text) + " }))"; };
  CHECK(in_layout("section a \"B\" { text \"c\" }") ==
        is_layout("(section 'section' a (prose \"B\") (block { (entry text \"c\") }))"));
  CHECK(in_layout("frame { }") == is_layout("(section 'frame' (block { }))"));
  CHECK(in_layout("grid for r in a where r.x { column \"h\" r.y }") ==
        is_layout("(grid 'grid' 'for' (binders (binder r 'in' (range a)) (where 'where' r.x)) (block { (column 'column' \"h\" r.y) }))"));
  CHECK(in_layout("list for r in a { }\nlist x") ==
        is_layout("(grid 'list' 'for' (binders (binder r 'in' (range a))) (block { })) (entry list x)"));
  CHECK(in_layout("findings breaks open where f.x == 3") ==
        is_layout("(findings 'findings' breaks open (where 'where' (comparison f.x == <3>)))"));
  CHECK(in_layout("say \"a\" when any of f.x for f in g") ==
        is_layout("(say 'say' (prose \"a\") 'when' (fold 'any' 'of' f.x 'for' (binders (binder f 'in' (range g)))))"));
  CHECK(in_layout("figure tree \"T\" { above = r.f, mark for f in g }") ==
        is_layout("(figure 'figure' tree (prose \"T\") (block { (bind above = r.f) , (mark 'mark' 'for' (binders (binder f 'in' (range g)))) }))"));
}

TEST_CASE("formulas") {
  CHECK(formula("a + b * c^2 - -d") == "(sum a + (product b * (power c ^ <2>)) - (minus - d))");
  CHECK(formula("-a^2") == "(minus - (power a ^ <2>))");
  CHECK(formula("a^-2") == "(power a ^ <-2>)");
  CHECK(formula("a - -3 ft") == "(sum a - <-3 ft>)");
  CHECK(formula("3/4 in") == "<3/4 in>");
  CHECK(formula("3 / 4 in") == "(product <3> / <4 in>)");
  CHECK(formula("5 ft 4 in + a") == "(sum (compound <5 ft> <4 in>) + a)");
  CHECK(formula("12 in in 66 s") == "(comparison <12 in> 'in' <66 s>)");
  CHECK(formula("a or b and not c > d") == "(either a 'or' (both b 'and' (negation 'not' (comparison c > d))))");
  CHECK(formula("a\n  + b\n  and c") == "(both (sum a + b) 'and' c)");
  CHECK(formula("a is none or a is given") == "(either (is_test a 'is' 'none') 'or' (is_test a 'is' given))");
  CHECK(formula("if a then b else if c then d\n else e") == "(choice 'if' a 'then' b 'else' (choice 'if' c 'then' d 'else' e))");
  CHECK(formula("f(a, b).c[d].e") == "(postfix f (args ( a , b )) (member . c) (index [ d ]) (member . e))");
  CHECK(formula("from.pressure - to.x") == "(sum from.pressure - to.x)");
  CHECK(formula("mean of a by b for c in d where e") ==
        "(fold 'mean' 'of' a 'by' b 'for' (binders (binder c 'in' (range d)) (where 'where' e)))");
  CHECK(formula("mean(a, sum)") == "(postfix mean (args ( a , sum )))");
  CHECK(formula("product of a for b in 1 .. n") == "(fold 'product' 'of' a 'for' (binders (binder b 'in' (range <1> .. n))))");
  CHECK(formula("first t in a by t.x where t.y") ==
        "(first 'first' (binder t 'in' (range a)) 'by' t.x (where 'where' t.y))");
  CHECK(formula("find q in 0 W .. 9 W\n where a - q == 0 W") ==
        "(find 'find' (binder q 'in' (range <0 W> .. <9 W>)) 'where' (sum a - q) == <0 W>)");
  CHECK(formula("carry s from 0 for x in l where x.y = s + x.z") ==
        "(carry 'carry' s 'from' <0> 'for' (binders (binder x 'in' (range l)) (where 'where' x.y)) = (sum s + x.z))");
  CHECK(formula("(a when b = [c] when d = 3) > (a during e)") ==
        "(comparison (paren ( a (world_when 'when' b = (list [ c ])) (world_when 'when' d = <3>) )) > (paren ( a (world_during 'during' e) )))");
  CHECK(formula("0.4 /h * 2 Btu/(h*ft2*degF) * 70 °F") == "(product <0.4 /h> * <2 Btu/(h*ft2*degF)> * <70 °F>)");
  CHECK(formula("{") == "a formula is missing here");
  CHECK(formula("a as psi") == "a");
  CHECK(formula(" f(a).b  as psi") == "(postfix f (args ( a )) (member . b))");
  CHECK(formula("") == "a formula is missing here");
  CHECK(formula("a b") == "the line should end here; `b` does not belong to it");
}

TEST_CASE("where a unit ends") {
  CHECK(item("a 2 ft3 in 66 s") == "(entry a <2 ft3> in <66 s>)");
  CHECK(item("a 7.3 inwc at 9:10") == "(entry a <7.3 inwc> at <9:10>)");
  CHECK(item("a 12 in to window") == "(entry a <12 in> to window)");
  CHECK(item("a 40  ft") == "(entry a <40> ft)");
  CHECK(item("a 40\tft") == "(entry a <40> ft)");
  CHECK(item("a 9.1 % 9.1% 3e5 W 1.5e-3 m/s^2") == "(entry a <9.1 %> <9.1%> <3e5 W> <1.5e-3 m/s^2>)");
}
