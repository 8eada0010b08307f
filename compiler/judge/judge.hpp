// Every rule in force, asked of everything that it binds, in every case it names. Takes a checked program
// and gives findings in a fixed order (rule, subjects); changes nothing.
#pragma once
#include "evaluate/evaluation.hpp"
#include "judge/finding.hpp"
#include "judge/in_force.hpp"
#include "judge/wording.hpp"

namespace dripleg::judge {
inline constexpr u32 most_family = 64;        // cases of a family that are judged
inline constexpr u32 most_boxes = 300;        // of a subdivision, for each margin

struct InputChange {                          // a choice under trial
  meaning::ThingId thing;
  u32 slot = 0;
  meaning::Value value;
};
struct Options {
  std::optional<meaning::RuleId> only;        // one rule alone
  std::vector<InputChange> changes;           // judged as if these stood in the job
  bool everything = false;                    // every rule, whatever code the job is held to
  quantities::System system = quantities::System::us;
};

class Judgement {
 public:
  // Program, notices and options must outlive it.
  Judgement(const meaning::Program& program, notices::Notices& notices, const Options& options);
  Judgement(const Judgement&) = delete;
  void run();

  const std::vector<Finding>& findings() const { return findings_; }
  const InForce& in_force() const { return in_force_; }
  evaluate::Evaluation& evaluation() { return evaluation_; }
  const Wording& wording() const { return wording_; }
  const meaning::Program& program() const { return program_; }
  const Options& options() const { return options_; }
  std::vector<evaluate::CaseWorld> worlds_of(meaning::CaseId case_id);   // of a case, the family cut at most_family
  bool family_cut(meaning::CaseId case_id) const { return cut_[case_id.value] != 0; }
  std::string case_name(meaning::CaseId case_id, const evaluate::CaseWorld& world);
  std::string sentence(const Finding& finding);
  // The text that identifies a finding: RULE @ SUBJECT, SUBJECT.
  std::string id(const Finding& finding);

 private:
  struct World {
    evaluate::WorldId id;
    meaning::CaseId case_id;
    std::string name;
    bool swept = false;
    double at = 0;             // of a sweep
  };
  struct Verdict {
    Outcome outcome = Outcome::holds;
    Margin margin;
    meaning::ExprId test;
    bool advises = false;
    meaning::Value state;
    Sureness sureness = Sureness::exact;
    u32 points = 0;
  };
  void judge_rule(meaning::RuleId rule);
  std::vector<World> worlds_for(const meaning::Rule& rule);
  void judge_subject(meaning::RuleId rule, std::vector<meaning::Value>& locals, const std::vector<World>& worlds);
  Verdict verdict(const meaning::Rule& rule, const evaluate::Scope& scope, evaluate::WorldId world);
  Verdict test(meaning::ExprId test, const evaluate::Scope& scope, evaluate::WorldId world);
  void over_ranges(const meaning::Rule& rule, Verdict& verdict, const evaluate::Scope& scope, evaluate::WorldId& world);
  void try_answers();
  std::vector<meaning::Value> answers_of(const meaning::Hole& hole) const;
  void collect_holes(Finding& finding, meaning::Value value);

  const meaning::Program& program_;
  notices::Notices& notices_;
  Options options_;
  evaluate::Evaluation evaluation_;
  InForce in_force_;
  Wording wording_;
  std::vector<Finding> findings_;
  std::vector<std::optional<std::vector<evaluate::CaseWorld>>> case_worlds_;
  std::vector<char> cut_;
  evaluate::Reads ranges_ = 0;
  evaluate::WorldId base_{0};                  // with the changes, if any
};
}  // namespace dripleg::judge
