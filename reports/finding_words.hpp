// Findings in words, for whoever shows them: margins in one unit, sources, cures, what is asked of whom.
#pragma once
#include "remedy/cure.hpp"
#include "settle/settle.hpp"

#include <string>
#include <vector>

namespace dripleg::reports {
struct MarginWords {
  std::string found, limit, spare, unit;
  std::string word;        // OVER, SHORT, spare
  bool turned = false, tight = false;
};
// Found, limit and what is left, in one unit and alike digits. Only for numeric margins.
MarginWords margin_words(judge::Judgement& judgement, const judge::Margin& margin);
base::Place place_of(const meaning::Program& program, const judge::Finding& finding);
// Every document that the rule and its limits rest on, as people read it, without repeats; `carried`: some clause is
// of an earlier edition than the one adopted.
std::vector<std::string> sources_of(const judge::Judgement& judgement, const judge::Finding& finding, bool& carried);
std::string cure_words(judge::Judgement& judgement, const remedy::Cure& cure);
std::string question_of(judge::Judgement& judgement, meaning::HoleId hole, std::string& asks);
// The sentence of a finding that breaks, with its margin behind it.
std::string headline(judge::Judgement& judgement, const judge::Finding& finding, const std::string& sentence);

// Findings of N alike things that came out alike stand as one: how many follow `at` (a place in settled) and are
// the same but for the number of their thing.
u32 alike_behind(judge::Judgement& judgement, const settle::Result& settled, u32 at);

// Open findings, one line a question, with how many rules wait for it; by whom to ask.
struct Question {
  std::string words, asks;
  u32 rules = 0;
};
std::vector<Question> questions(judge::Judgement& judgement, const settle::Result& settled);
}  // namespace dripleg::reports
