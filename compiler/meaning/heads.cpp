// First pass: what every file declares at its outermost level, so that names are free of order.
#include "meaning/checker.hpp"

#include <fmt/format.h>

namespace dripleg::meaning {
namespace {
std::string_view what_word(Symbol::What what) {
  switch (what) {
    case Symbol::What::kind: return "kind";
    case Symbol::What::network: return "network";
    case Symbol::What::function: return "function";
    case Symbol::What::table: return "table";
    case Symbol::What::condition: return "condition";
    case Symbol::What::case_: return "case";
    case Symbol::What::rule: return "rule";
    case Symbol::What::document: return "source";
    case Symbol::What::code: return "code";
    case Symbol::What::stock: return "stock thing";
    case Symbol::What::part: return "part";
    case Symbol::What::job_thing: return "thing";
    case Symbol::What::layout: return "layout";
    case Symbol::What::sketch: return "sketch";
    case Symbol::What::built_in: return "built-in function";
    case Symbol::What::module: return "module";
    case Symbol::What::file_layout: return "file layout";
  }
  return "";
}
}  // namespace

void Checker::declare(Symbol::What what, u32 index, Cursor name_leaf, const SourceTree& unit) {
  const NameId word = name(name_leaf);
  if (known(what, word) != nullptr)
    fail(Code::declared_twice, name_leaf,
         fmt::format("there are two {}s named {}", what_word(what), name_leaf.text()));
  program.symbols.add({.what = what, .index = index, .name = word, .prefix = unit.prefix});
}

void Checker::declare_alias(Symbol::What what, u32 index, NameId alias, base::Place place) {
  if (known(what, alias) != nullptr)
    fail(Code::declared_twice, place,
         fmt::format("there are two {}s named {}", what_word(what), name_text(alias)));
  program.symbols.add({.what = what, .alias = true, .index = index, .name = alias});
}

namespace {
// The leaf after the head keyword.
Cursor name_of(Cursor decl) {
  for (const Cursor child : decl.children())
    if (child.is(Node::path)) return child;
  return {};
}
}  // namespace

void Checker::declare_heads() {
  for (const SourceTree& unit : units) {
    const Cursor root(unit.tree, sources[unit.tree->file].text(), unit.tree->root());
    for (const Cursor item : root.children()) {
      const Node what = item.kind();
      if (is_leaf(what)) continue;
      if (what == Node::language) {
        const auto words = item.children(Node::measure);
        if (!words.empty() && words.front().text() != "1")
          fail(Code::edition_unknown, words.front(), fmt::format("language {} is not known here", words.front().text())).cures.push_back("this program reads language 1");
        continue;
      }
      if (what == Node::use) continue;
      if (what == Node::entry) {
        if (item.children().front().text() == "file_layout") declare_file_layout(item, unit);
        else job_heads.emplace_back(item, &unit);
        continue;
      }
      const Cursor leaf = name_of(item);
      const std::string_view head = item.head();
      const bool of_job = what == Node::decl_job && head == "case";
      if (!unit.library && !of_job) {
        if (what == Node::run)
          fail(Code::bad_declaration, item, "a run stands in the block of its network")
              .cures.push_back("put it inside the braces of the network that it belongs to");
        else
          fail(Code::only_library, item,
               fmt::format("{} is for libraries and packs; a job declares things and values",
                           head.empty() ? "this line" : fmt::format("`{}`", head)));
        continue;
      }
      if (what == Node::agrees) {
        agreements.emplace_back(item, &unit);
        continue;
      }
      if (!leaf.given()) continue;      // the parser spoke of it
      if (what == Node::decl_rule) {
        const RuleId rule{program.rules.push({})};
        declare(Symbol::What::rule, rule.value, leaf, unit);
        rules.push_back({rule, {item, &unit}});
      } else if (what == Node::decl_layout) {
        const u32 layout = program.layouts.push({});
        declare(Symbol::What::layout, layout, leaf, unit);
        layouts.push_back({layout, {item, &unit}});
      } else if (what == Node::decl_lib) {
        if (head == "kind") {
          const KindId kind = new_kind(leaf.text(), false, leaf.place());
          declare(Symbol::What::kind, kind.value, leaf, unit);
          pending_kind_of[kind.value] = static_cast<u32>(kinds.size());
          kinds.push_back({kind, item, &unit});
        } else if (head == "network") {
          const NetworkId network{program.networks.push({})};
          program.networks.edit(network.value).name = name(leaf);
          program.networks.edit(network.value).place = leaf.place();
          declare(Symbol::What::network, network.value, leaf, unit);
          networks.push_back({network, {item, &unit}});
        } else if (head == "table") {
          const TableId table{program.tables.push({})};
          program.tables.edit(table.value).name = name(leaf);
          program.tables.edit(table.value).place = leaf.place();
          declare(Symbol::What::table, table.value, leaf, unit);
          tables.push_back({table, item, &unit});
        } else if (head == "function") {
          const FunctionId function{program.functions.push({})};
          program.functions.edit(function.value).name = name(leaf);
          program.functions.edit(function.value).place = leaf.place();
          declare(Symbol::What::function, function.value, leaf, unit);
          functions.push_back({function, item});
        } else if (head == "sketch") {
          const Cursor block = item.child(Node::block);
          const u32 sketch = program.sketches.push({name(leaf), block.given() ? block.place() : leaf.place()});
          declare(Symbol::What::sketch, sketch, leaf, unit);
        }
      } else if (what == Node::decl_job) {
        if (head == "dimension") dimensions.emplace_back(item, &unit);
        else if (head == "unit") unit_lines.emplace_back(item, &unit);
        else if (head == "source") {
          const DocumentId document{program.documents.push({})};
          program.documents.edit(document.value).name = name(leaf);
          program.documents.edit(document.value).place = leaf.place();
          declare(Symbol::What::document, document.value, leaf, unit);
          documents.emplace_back(item, &unit);
        } else if (head == "condition") {
          const ConditionId condition{program.conditions.push({})};
          declare(Symbol::What::condition, condition.value, leaf, unit);
          conditions.emplace_back(condition, item);
        } else if (head == "case") {
          const CaseId id{program.cases.push({})};
          declare(Symbol::What::case_, id.value, leaf, unit);
          cases.push_back({id, {item, &unit}});
        } else if (head == "code") {
          const CodeSetId code{program.codes.push({})};
          declare(Symbol::What::code, code.value, leaf, unit);
          codes.push_back({code, {item, &unit}});
        }
      } else {
        fail(Code::bad_declaration, item, "this does not stand at the outermost level");
      }
    }
  }
}
}  // namespace dripleg::meaning
