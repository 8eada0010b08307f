#include "meaning/checker.hpp"

#include "base/spelling.hpp"

namespace dripleg::meaning {
notices::Notice& Checker::fail(Code code, base::Place where, std::string headline) {
  return notices.add(code, where, std::move(headline));
}
notices::Notice& Checker::fail(Code code, Cursor where, std::string headline) {
  return notices.add(code, where.place(), std::move(headline));
}

void Checker::suggest(notices::Notice& notice, std::string_view word,
                      const std::vector<std::string_view>& known_words) {
  const auto near = base::near_spellings(word, known_words);
  if (near.empty()) return;
  std::string cure = "did you mean ";
  for (std::size_t at = 0; at < near.size(); ++at) {
    if (at != 0) cure += at + 1 == near.size() ? " or " : ", ";
    cure += '`' + near[at] + '`';
  }
  notice.cures.push_back(std::move(cure));
}

void Checker::run() {
  first_kind = program.kinds.size();
  first_field = program.fields.size();
  first_thing = program.things.size();
  first_network = program.networks.size();
  declare_heads();
  read_dimensions_and_units();
  read_documents();
  read_file_layouts();
  declare_networks();
  read_kinds();
  read_signatures();
  read_bare_tables();
  read_stock_and_parts();
  read_function_bodies();
  read_table_data();
  read_conditions();
  read_join_blocks();
  read_pending_formulas();
  read_pending_settlings();
  read_leg_tests();
  read_cases(false);
  make_classes();
  read_rules();
  read_agreements();
  read_codes();
  read_layouts();
  read_job_things();
  assemble_networks();
  read_cases(true);
  read_acceptances();
}

void compile(Program& program, const base::Sources& sources, std::span<const SourceTree> units,
             notices::Notices& notices) {
  Checker checker(program, sources, units, notices);
  checker.run();
}
}  // namespace dripleg::meaning
