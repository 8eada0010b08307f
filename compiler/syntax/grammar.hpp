// The grammar of the language: docs/grammar.peg as PEGTL rules. What begins with a word of the
// language expects everything that follows it; lines and blocks are in lines.hpp. Private to this folder.
#pragma once
#include "syntax/rules.hpp"

namespace dripleg::syntax::grammar {
template <class Context>
struct block;   // `{` lines `}`; in lines.hpp
struct job_lines;
struct library_lines;
struct rule_lines;
struct layout_lines;
using job_block = block<job_lines>;
using library_block = block<library_lines>;
using rule_block = block<rule_lines>;
using layout_block = block<layout_lines>;

struct expr;
struct either;
struct negation;
struct sum;
struct choice;
struct list;
struct value;

template <class R>
using inner = operand<deep<R>>;   // a formula one level further in
using comma = sign<','>;

// ---- formulas -----------------------------------------------------------------------------------------
struct where_clause : node<Kind::where, kw<Word::where_>, inner<either>> {};
struct where : peg::seq<space, where_clause> {};   // may begin the next line: no item begins with it

struct compound : level<Kind::compound, measure, digit_after_one_blank> {};
struct args : node<Kind::args, sign<'('>, space, peg::opt<deep<expr>, peg::star<gap, comma, inner<expr>>>,
                   closing<')', Lack::closing_paren>> {};
struct index : node<Kind::index, sign<'['>, inner<expr>, closing<']', Lack::closing_bracket>> {};
struct member : node<Kind::member, member_name> {};

struct world_when : node<Kind::world_when, kw<Word::when_>, gap, expect<any_path<>, Lack::name>, space,
                         expect<equals_sign, Lack::equals>, inner<sum>> {};
struct world_during : node<Kind::world_during, kw<Word::during_>, gap, expect<any_path<>, Lack::name>> {};
struct paren : node<Kind::paren, sign<'('>, inner<expr>, peg::star<space, peg::sor<world_when, world_during>>,
                    closing<')', Lack::closing_paren>> {};

struct postfix;
struct range : node<Kind::range, postfix, peg::opt<gap, dots, gap, expect<postfix, Lack::value>>> {};
struct binder : node<Kind::binder, expect<bound_name, Lack::name>, gap, expect<kw<Word::in_>, Lack::in_>, gap,
                     expect<deep<range>, Lack::value>> {};
struct binder_ahead : looking_token<binder_ahead> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    if (here.length == 0 || is_reserved(here.word)) return false;
    p = skip_blanks(p + here.length, b.end);
    return b.word_at(p).word == Word::in_;
  }
};
struct binders : node<Kind::binders, binder, peg::star<gap, comma, space, binder_ahead, binder>, peg::opt<where>> {};

struct weighted : peg::seq<gap, kw<Word::by_>, inner<sum>> {};
using fold_word = kw<Word::sum_, Word::product_, Word::max_, Word::min_, Word::count_, Word::all_, Word::any_, Word::list_,
                     Word::mean_>;
struct nothing_after_fold : looking_token<nothing_after_fold> {
  static bool scan(Input& in, Builder& b) {
    const OperatorAt found = b.operator_at(in.current());
    if (found.group == Group::add || found.group == Group::multiply)
      if (auto* notice = b.complain(notices::Code::syntax_fold_alone, found.begin, found.end,
                                    "put the fold in parentheses before going on with an operator"))
        notice->cures.emplace_back("write (sum of … for … in …) and then the operator");
    return true;
  }
};
struct fold : node<Kind::fold, kw_before<fold_word, Word::of_>, gap, kw<Word::of_>, inner<either>, peg::opt<weighted>,
                   peg::sor<peg::seq<space, kw<Word::for_>, gap, binders, nothing_after_fold>, lacking<Lack::for_>>> {};
struct first : node<Kind::first, kw<Word::first_>, gap, binder, peg::opt<weighted>, peg::opt<where>> {};
struct equal_in_find : peg::sor<operator_of<Group::compare>, lacking<Lack::same_as>> {};
struct find : node<Kind::find, kw<Word::find_>, gap, binder,
                   peg::sor<peg::seq<space, kw<Word::where_>, inner<sum>, equal_in_find, inner<sum>>, lacking<Lack::where_>>> {};
struct carry : node<Kind::carry, kw<Word::carry_>, gap, expect<bound_name, Lack::name>, gap,
                    expect<kw<Word::from_>, Lack::from_>, inner<sum>, space, expect<kw<Word::for_>, Lack::for_>, gap,
                    without_assignment<binders>, gap, expect<equals_sign, Lack::equals>, inner<sum>> {};
// An `if` where only a simpler formula can stand: read all the same.
struct if_out_of_place : looking_token<if_out_of_place> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    if (here.word != Word::if_) return false;
    if (auto* notice = b.complain(notices::Code::syntax_if_alone, p, p + here.length, "put ( ) around an if inside a formula"))
      notice->cures.emplace_back("write (if … then … else …)");
    return true;
  }
};
struct primary : peg::sor<compound, fold, reference, paren, text, list, kw<Word::none_>, first, find, carry,
                          peg::seq<if_out_of_place, deep<choice>>> {};
struct postfix : level<Kind::postfix, primary, peg::success, peg::sor<member, args, index>> {};
struct power : headed<postfix, form<Kind::power, operator_of<Group::power>, peg::opt<minus_sign>, operand<postfix>>> {};
struct unary : peg::sor<node<Kind::minus, minus_sign, operand<power>>, power> {};
struct product : level<Kind::product, unary, operator_of<Group::multiply>, operand<unary>> {};
struct sum : level<Kind::sum, product, operator_of<Group::add>, operand<product>> {};
struct tested : peg::sor<kw<Word::none_>, any_path<>> {};
struct comparison : headed<sum, form<Kind::comparison, operator_of<Group::compare>, operand<sum>>,
                           form<Kind::is_test, operator_of<Group::test>, gap, expect<tested, Lack::name>>> {};
struct negation : peg::sor<node<Kind::negation, kw<Word::not_>, inner<negation>>, comparison> {};
struct both : level<Kind::both, negation, operator_of<Group::both>, operand<negation>> {};
struct either : level<Kind::either, both, operator_of<Group::either>, operand<both>> {};
struct choice : node<Kind::choice, kw<Word::if_>, inner<either>, expect<peg::seq<space, kw<Word::then_>>, Lack::then_>,
                     inner<expr>, expect<peg::seq<space, kw<Word::else_>>, Lack::else_>, inner<expr>> {};
struct expr : peg::sor<choice, either> {};

// ---- values -------------------------------------------------------------------------------------------
struct index_digits : peg::seq<sign<'['>, digits, sign<']'>> {};
using value_path = any_path<Word::per_, Word::with_>;
struct named : headed<value_path, form<Kind::call_value, args>, form<Kind::place, index_digits>> {};
struct simple : peg::sor<named, measure, text, list> {};
struct by_step : looking_token<by_step> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    if (here.word != Word::by_) return false;
    p = skip_blanks(p + here.length, b.end);
    return p != b.end && (is_digit(*p) || *p == '?' || *p == '-');
  }
};
using range_form = form<Kind::range_value, gap, dots, gap, expect<simple, Lack::value>,
                        peg::opt<gap, by_step, kw<Word::by_>, gap, measure>>;
using spread_form = form<Kind::spread_value, gap, plus_minus, gap, expect<compound, Lack::value>>;
struct value : headed<simple, range_form, spread_form> {};
struct phrase : level<Kind::phrase, value, blanks> {};
struct list : node<Kind::list, sign<'['>, space,
                   peg::opt<deep<phrase>, peg::star<gap, comma, space, expect<deep<phrase>, Lack::value>>>,
                   closing<']', Lack::closing_bracket>> {};

struct per : node<Kind::per, kw<Word::per_>, gap,
                  peg::sor<peg::seq<free_path, peg::opt<blanks, free_path>, peg::opt<gap, text>>, text, lacking<Lack::source>>> {};
struct prose : node<Kind::prose, text, peg::star<space, text>> {};
struct per_line : node<Kind::per_line, per, peg::opt<gap, prose>> {};
struct equals : node<Kind::equals, equals_sign, operand<expr>> {};

// ---- declarations -------------------------------------------------------------------------------------
struct tail_gap : peg::sor<next_line_goes_on, gap> {};
struct word_ahead : looking_token<word_ahead> {
  static bool scan(Input& in, Builder& b) { return b.word_at(in.current()).length != 0; }
};
struct param : node<Kind::param, expect<bound_name, Lack::name>, gap, expect<value, Lack::type>, peg::star<blanks, value>> {};
struct params : node<Kind::params, sign<'('>, space, peg::opt<word_ahead, param, peg::star<gap, comma, space, param>>,
                     closing<')', Lack::closing_paren>> {};

template <Word... Not>
struct shape_goes_on : looking_token<shape_goes_on<Not...>> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (p == b.end || *p == '"') return false;
    const Word word = b.word_at(p).word;
    return word != Word::per_ && ((word != Not) && ...);
  }
};
struct shape_list;
struct slot : node<Kind::slot, sign<'('>, space, deep<param>, closing<')', Lack::closing_paren>> {};
template <Word... Not>
struct shape_atom : peg::sor<slot, shape_list, peg::seq<shape_goes_on<Not...>, value>> {};
template <Word... Not>
struct shape_of : node<Kind::shape, shape_atom<Not...>, peg::star<blanks, shape_atom<Not...>>> {};
struct shape_words : level<Kind::phrase, peg::sor<slot, shape_list, value>, blanks> {};
struct shape_list : node<Kind::list, sign<'['>, space,
                         peg::opt<deep<shape_words>, peg::star<gap, comma, space, expect<deep<shape_words>, Lack::value>>>,
                         closing<']', Lack::closing_bracket>> {};
struct shape : shape_of<> {};
struct decl_shape : shape_of<Word::gives_, Word::is_, Word::by_, Word::from_, Word::for_> {};

struct d_gives : node<Kind::d_gives, kw<Word::gives_>, gap, expect<any_path<>, Lack::type>> {};
struct d_is : node<Kind::d_is, kw<Word::is_>, gap, expect<any_path<>, Lack::name>> {};
struct d_from : node<Kind::d_from, kw<Word::from_>, gap, expect<peg::sor<text, postfix>, Lack::name>> {};
struct d_for : node<Kind::d_for, kw<Word::for_>, gap, binders> {};
struct key : node<Kind::key, name, peg::star<blanks, name>> {};
struct keys : node<Kind::keys, kw<Word::by_>, gap, expect<key, Lack::name>, peg::star<gap, comma, space, key>> {};
struct d_part : peg::sor<d_gives, d_is, keys, d_from, d_for, per, prose> {};

using decl_name = expect<any_path<>, Lack::name>;
template <class Block>
struct decl_tail : peg::seq<peg::star<tail_gap, peg::sor<d_part, Block, decl_shape>>,
                            peg::opt<tail_gap, equals, peg::star<tail_gap, peg::sor<per, prose, Block>>>> {};
struct decl_rule : node<Kind::decl_rule, kw<Word::rule_>, gap, decl_name,
                        peg::star<tail_gap, peg::sor<d_is, per, prose, rule_block>>> {};
struct decl_layout : node<Kind::decl_layout, kw<Word::layout_>, gap, decl_name,
                          peg::star<tail_gap, peg::sor<d_is, per, prose, layout_block>>> {};
struct decl_lib : node<Kind::decl_lib, kw<Word::kind_, Word::network_, Word::table_, Word::function_>, gap, decl_name,
                       peg::opt<gap, params>, decl_tail<library_block>> {};
struct decl_sketch : node<Kind::decl_lib, kw<Word::sketch_>, gap, decl_name, decl_tail<job_block>> {};
struct decl_job : node<Kind::decl_job,
                       kw<Word::case_, Word::condition_, Word::unit_, Word::dimension_, Word::source_, Word::code_>, gap,
                       decl_name, decl_tail<job_block>> {};
struct use : node<Kind::use, kw<Word::use_>, gap, expect<peg::sor<text, any_path<>>, Lack::name>, peg::opt<gap, measure>,
                  peg::opt<gap, kw<Word::as_>, gap, expect<name, Lack::name>>> {};
struct language : node<Kind::language, kw<Word::language_>, gap, expect<measure, Lack::value>> {};
struct agrees : node<Kind::agrees, kw<Word::agrees_>, inner<sum>, gap, expect<equals_sign, Lack::equals>, inner<sum>, gap,
                     expect<kw<Word::within_>, Lack::within_>, gap, expect<measure, Lack::value>,
                     peg::opt<tail_gap, per>, peg::opt<gap, prose>> {};

// ---- lines that begin with a name ---------------------------------------------------------------------
struct chain_place : node<Kind::place, free_path, peg::opt<index_digits>> {};
struct length : node<Kind::length, peg::opt<kw<Word::about_>, gap>, compound,
                     peg::opt<gap, plus_minus, gap, expect<compound, Lack::value>>> {};
struct run_end : expect<chain_place, Lack::end_of_run> {};
// A length counts only between two arrows.
struct chain_step : peg::seq<arrow, peg::sor<peg::seq<length, peg::sor<peg::seq<arrow, run_end>, lacking<Lack::end_of_run>>>,
                                             run_end>> {};
struct chain_rest : peg::star<chain_step> {};
template <class Tail>
struct run_form {
  using rule = peg::seq<arrow_follows_place, chain_rest, Tail>;
  static bool after(Input& in, Builder& b, u32 mark) {
    if (!run<arrow_follows_place>(in, b)) return false;
    if (b.last_is(Kind::path)) b.close(Kind::place, mark);
    run<chain_rest>(in, b);
    b.close(Kind::chain, mark);
    run<peg::star<Tail>>(in, b);
    b.close(Kind::run, mark);
    return true;
  }
};
struct link_form {
  using rule = peg::seq<arrow, run_end>;
  static bool after(Input& in, Builder& b, u32 mark) {
    if (!run<arrow_follows_place>(in, b)) return false;
    if (b.last_is(Kind::path)) b.close(Kind::place, mark);
    run<rule>(in, b);
    b.close(Kind::link, mark);
    return true;
  }
};
struct place_head : headed<any_path<>, form<Kind::place, index_digits>> {};
struct job_value : headed<simple, link_form, range_form, spread_form> {};
struct run_as : node<Kind::run_as, kw<Word::as_>, gap, expect<name, Lack::name>> {};
struct run_like : node<Kind::run_like, kw<Word::like_>, gap, expect<chain_place, Lack::name>,
                       expect<peg::seq<arrow, run_end>, Lack::end_of_run>> {};

struct count_ahead : looking_token<count_ahead> {
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    return p != b.end && (is_digit(*p) || *p == '?');
  }
};
struct uncounted : taking_token<uncounted> {   // `with NAME`: taken, with a notice
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    const WordAt here = b.word_at(p);
    b.missing(Lack::count);
    if (here.length == 0) return true;
    b.leaf(Kind::junk, p, p + here.length);
    go_to(in, p + here.length);
    return true;
  }
};
struct and_for_comma : taking_token<and_for_comma> {
  static bool scan(Input& in, Builder& b) {
    const char* p = skip_blanks(in.current(), b.end);
    const WordAt here = b.word_at(p);
    if (here.word != Word::and_) return false;
    if (auto* notice = b.complain(notices::Code::syntax_count, p, p + here.length, "what stands after with is parted by commas"))
      notice->cures.emplace_back("write , for and");
    b.leaf(Kind::junk, p, p + here.length);
    go_to(in, skip_blanks(p + here.length, b.end));
    return true;
  }
};
struct fittings : node<Kind::fittings, kw<Word::with_>, gap, peg::sor<peg::seq<count_ahead, measure>, uncounted>,
                       peg::star<peg::sor<peg::seq<gap, comma, space>, and_for_comma>, count_ahead, measure>> {};

template <class Block, class... More>
struct tail_of : peg::seq<gap, peg::sor<Block, peg::seq<after_blank, peg::sor<per, More...>>>> {};
struct job_tail : tail_of<job_block, fittings, kw<Word::for_>, job_value> {};
struct job_run_tail : tail_of<job_block, fittings, run_as, run_like, value> {};
struct library_tail : tail_of<library_block, fittings, value> {};
struct library_run_tail : tail_of<library_block, fittings, run_as, run_like, value> {};
struct layout_tail : tail_of<layout_block, value> {};

template <class Tail>
using entry_form = form<Kind::entry, peg::star<Tail>>;
using bind_form = form<Kind::bind, gap, equals_sign, operand<expr>, peg::opt<gap, per>, peg::opt<gap, prose>>;
template <class Tail>
struct row : node<Kind::row, value, peg::star<Tail>> {};
struct word_job : headed<place_head, run_form<job_run_tail>, entry_form<job_tail>> {};
struct word_library : headed<any_path<>, run_form<library_run_tail>, bind_form, entry_form<library_tail>> {};
struct word_layout : headed<any_path<>, bind_form, entry_form<layout_tail>> {};

// ---- lines of kinds, networks, tables -----------------------------------------------------------------
using a_name = expect<name, Lack::name>;
using a_word = expect<any_word<>, Lack::name>;
struct field : node<Kind::field, kw<Word::needs_, Word::may_, Word::gives_, Word::limit_, Word::each_>, gap,
                    peg::opt<kw<Word::many_>, gap>, a_word, peg::opt<gap, shape>, peg::opt<gap, library_block>,
                    peg::opt<tail_gap, equals>, peg::opt<gap, library_block>, peg::opt<gap, per>,
                    peg::opt<gap, prose>> {};
struct settles : node<Kind::settles, kw<Word::settles_>, gap, a_name, gap, expect<any_path<>, Lack::type>, gap,
                      expect<kw<Word::in_>, Lack::in_>, gap, expect<range, Lack::value>, gap,
                      expect<kw<Word::from_>, Lack::from_>, inner<sum>, gap, expect<kw<Word::within_>, Lack::within_>,
                      inner<sum>, gap, expect<equals, Lack::equals>, peg::opt<gap, per>, peg::opt<gap, prose>> {};
struct joined_at : peg::seq<kw<Word::at_>, gap, a_word> {};
struct joined_from : peg::seq<kw<Word::from_>, gap, a_word, gap, expect<kw<Word::to_>, Lack::to_>, gap, a_word> {};
struct joins : node<Kind::joins, kw<Word::joins_>, gap, expect<any_path<>, Lack::name>, gap,
                    peg::sor<joined_at, joined_from, lacking<Lack::at_>>, peg::opt<gap, library_block>> {};
struct balance : node<Kind::balance, kw<Word::balance_>, gap, a_name, gap, expect<kw<Word::by_>, Lack::by_>, gap, a_name,
                      peg::opt<gap, kw<Word::within_>, gap, expect<measure, Lack::value>>> {};
struct datum : node<Kind::datum, kw<Word::datum_>, gap, a_name, gap, expect<kw<Word::at_>, Lack::at_>, gap, a_name> {};
struct shut : node<Kind::shut, kw<Word::shut_>, gap, expect<kw<Word::where_>, Lack::where_>, inner<expr>> {};
struct one_way : node<Kind::one_way, kw<Word::one_way_>, gap, expect<kw<Word::where_>, Lack::where_>, inner<expr>> {};
struct rises : node<Kind::rises, kw<Word::rises_, Word::falls_>, gap, a_name> {};
struct library_item : peg::sor<field, joins, settles, balance, datum, shut, one_way, rises, per_line, agrees, word_library,
                               equals, row<library_tail>> {};

// ---- lines of rules -----------------------------------------------------------------------------------
struct require : node<Kind::require, kw<Word::require_, Word::advise_>, inner<expr>> {};
struct for_line : node<Kind::for_line, kw<Word::for_>, gap, binders> {};
struct during_ahead : looking_token<during_ahead> {   // a case, and then the line ends or goes on with a comma
  static bool scan(Input& in, Builder& b) {
    const char* p = in.current();
    if (is_reserved(b.word_at(p).word)) return false;
    while (p != b.end && (is_word_char(*p) || *p == '.')) ++p;
    p = skip_blanks(p, b.end);
    return p == b.end || *p == ',' || *p == '\n' || *p == '#' || *p == '}';
  }
};
struct during : node<Kind::during, kw<Word::during_>, gap, expect<any_path<>, Lack::name>,
                     peg::star<gap, comma, space, during_ahead, any_path<>>> {};
struct remedy : node<Kind::remedy, kw<Word::remedy_>, inner<postfix>, gap, expect<kw<Word::for_>, Lack::for_>, gap, binders> {};
struct says : node<Kind::says, kw<Word::says_, Word::otherwise_, Word::caution_>, gap, expect<prose, Lack::text>> {};
struct weight : node<Kind::weight, kw<Word::weight_>, gap, a_word> {};
struct was : node<Kind::was, kw<Word::was_>, gap, expect<any_path<>, Lack::name>> {};
struct unknown : node<Kind::unknown, kw<Word::unknown_>, gap, expect<kw<Word::breaks_>, Lack::breaks_>, peg::opt<where>> {};
struct accepts : node<Kind::accepts, kw<Word::accepts_open_>> {};
struct example : node<Kind::example, kw<Word::example_>, gap, a_word, gap, expect<job_block, Lack::block>> {};
struct rule_item : peg::sor<require, for_line, says, per_line, field, remedy, during, weight, was, unknown, accepts, example,
                            agrees, prose> {};

// ---- lines of layouts ---------------------------------------------------------------------------------
struct section : node<Kind::section, kw<Word::section_, Word::page_, Word::frame_, Word::before_, Word::after_>, gap,
                      peg::opt<name, gap>, peg::opt<prose, gap>, layout_block> {};
struct grid : node<Kind::grid, kw_before<kw<Word::grid_, Word::list_>, Word::for_>, gap, kw<Word::for_>, gap, binders, gap,
                   expect<layout_block, Lack::block>> {};
struct findings : node<Kind::findings, kw<Word::findings_>, peg::star<blanks, any_path<Word::where_>>, peg::opt<where>> {};
struct say : node<Kind::say, kw<Word::say_>, gap, expect<prose, Lack::text>, gap, expect<kw<Word::when_>, Lack::when_>,
                  inner<either>> {};
struct figure : node<Kind::figure, kw<Word::figure_>, gap, a_name, peg::opt<gap, prose>, peg::opt<gap, layout_block>> {};
struct column : node<Kind::column, kw<Word::column_>, gap, expect<text, Lack::text>, operand<expr>> {};
struct mark : node<Kind::mark, kw_before<kw<Word::mark_>, Word::for_>, gap, kw<Word::for_>, gap, binders> {};
struct layout_item : peg::sor<section, grid, findings, say, figure, column, mark, per_line, word_layout, row<layout_tail>> {};

// ---- lines of jobs, lines of a file -------------------------------------------------------------------
struct job_item : peg::sor<per_line, word_job, row<job_tail>> {};
struct row_at_top : looking_token<row_at_top> {
  static bool scan(Input& in, Builder& b) {
    const char* const p = in.current();
    if (p == b.end || (!is_digit(*p) && *p != '"' && *p != '?' && *p != '[')) return false;
    const char* q = p;
    while (q != b.end && *q != '\n' && *q != '#') ++q;
    while (is_blank(q[-1])) --q;
    b.complain(notices::Code::syntax_top_line, p, q, "a line at the outermost level begins with a word");
    return true;
  }
};
struct top_item : peg::sor<use, language, decl_rule, decl_layout, decl_lib, decl_sketch, decl_job, agrees, word_job,
                           peg::seq<row_at_top, row<job_tail>>> {};
}  // namespace dripleg::syntax::grammar
