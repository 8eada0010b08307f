// Tables filled from files: what is read, what is told, and the layouts that a library declares.
#include "tests/unit/meaning/compiling.hpp"

#include "base/limits.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using namespace dripleg::meaning;
using namespace dripleg::meaning::test;

namespace {
constexpr std::string_view library = R"(
kind year one {
  may hourly table {
    outdoor temperature
    wind    speed or none
  }
  may kept table {
    by at length up
    needs load number
  }
  may days table {
    needs on   date
    needs word one of [dry, wet]
    needs note text
    needs share share
  }
}
file_layout plain_lines {
  "Two lines of heading, four cells."
  per practice "for the test"
  skip 2
  outdoor { column 3, unit "degC", missing [99.9, "n/a"] }
  wind    { column 4, unit "m/s" }
}
file_layout by_words {
  per practice "for the test"
  skip 1, parted semicolon
  outdoor { column "Air outside", unit degF }
}
)";

// A job of one line in `year { … }`, and the files that it names.
struct Filled {
  base::Sources sources;
  notices::Notices notices;
  Program program;
  std::vector<std::unique_ptr<syntax::Tree>> trees;
  FileId rows;

  Filled(std::string_view line, std::string_view text, std::string_view more_library = {}) {
    std::vector<SourceTree> units;
    std::vector<RowFile> named;
    const auto add = [&](std::string path, std::string content, bool is_library) {
      const FileId file = sources.add(std::move(path), std::move(content));
      trees.push_back(std::make_unique<syntax::Tree>(syntax::parse(sources, file, notices)));
      units.push_back({.tree = trees.back().get(), .prefix = {}, .library = is_library, .job = !is_library, .rows = {}});
    };
    add("lib/dimensions.drip", dimensions_text(), true);
    add("lib/units.drip", units_text(), true);
    add("lib/test.drip", std::string(library) + std::string(more_library), true);
    const std::string job = "year { " + std::string(line) + " }\n";
    add("job.drip", job, false);
    rows = sources.add("rows.csv", std::string(text));
    const FileId file = units.back().tree->file;
    for (std::size_t at = job.find('"'); at != std::string::npos; at = job.find('"', job.find('"', at + 1) + 1))
      named.push_back({{file, {static_cast<u32>(at), static_cast<u32>(job.find('"', at + 1) + 1)}}, rows});
    units.back().rows = named;
    compile(program, sources, units, notices);
  }
  std::string said() const {
    std::string all;
    for (const notices::Notice& notice : notices.all()) {
      all += std::string(notices::text_of(notice.code)) + ' ';
      if (notice.place.given() && notice.place.file == rows) {
        const auto at = sources[rows].line_column(notice.place.span.begin);
        all += std::to_string(at.line) + ':' + std::to_string(at.column) + ' ';
      }
      all += notice.headline + '\n';
    }
    return all;
  }
  const Table& table(std::string_view field = "hourly") const {
    for (u32 at = 0; at < program.things.size(); ++at) {
      const Thing& thing = program.things[at];
      if (!thing.in_job) continue;
      for (u32 slot = 0; slot < thing.slots; ++slot)
        if (program.text(program.field(thing.kind, slot).name) == field) return program.tables[program.inputs[thing.first_slot + slot].index()];
    }
    throw 0;
  }
  Value cell(u32 column, u32 row, std::string_view field = "hourly") const {
    const Table& of = table(field);
    return program.table_cells[of.first_cell + column * of.rows + row];
  }
};
}  // namespace

TEST_CASE("rows: columns by their headings, with units, in any order") {
  const Filled filled("hourly from \"rows.csv\"", "\xEF\xBB\xBFwind [km/h], outdoor (degC)\r\n36,-5\r\n7.2,+10.5\r\n,\"20\"\r\n\r\n\r\n");
  CHECK(filled.said() == "");
  REQUIRE(filled.table().rows == 3);
  CHECK(filled.cell(0, 0).number() == doctest::Approx(268.15));
  CHECK(filled.cell(0, 1).number() == doctest::Approx(283.65));
  CHECK(filled.cell(0, 2).number() == doctest::Approx(293.15));
  CHECK(filled.cell(1, 0).number() == doctest::Approx(10));
  CHECK(filled.cell(1, 1).number() == doctest::Approx(2));
  CHECK(filled.cell(1, 2).is(State::none));
  CHECK(filled.table().first_line == 2);
  CHECK(filled.table().place.file == filled.rows);
}

TEST_CASE("rows: a column that may be none may be left out") {
  const Filled filled("hourly from \"rows.csv\"", "outdoor (degF)\n32\n?\n");
  CHECK(filled.said() == "");
  CHECK(filled.cell(0, 0).number() == doctest::Approx(273.15));
  CHECK(filled.cell(0, 1).is(State::unknown));
  CHECK(filled.cell(1, 1).is(State::none));
  CHECK(filled.program.text(filled.program.stated[filled.program.things[filled.program.things.size() - 1].first_slot].as_typed) == "from \"rows.csv\"");
}

TEST_CASE("rows: keys, dates, words, texts, shares") {
  const Filled keys("kept from \"rows.csv\"", "load,at (ft)\n3,1\n4,2\n");
  CHECK(keys.said() == "");
  CHECK(keys.cell(0, 1, "kept").number() == doctest::Approx(0.6096));
  const Filled days("days from \"rows.csv\"", "on,word,note,share (%)\n2026-04-02,wet,\"rain, at last\",12.5\n");
  CHECK(days.said() == "");
  CHECK(days.cell(0, 0, "days").number() == doctest::Approx(20545));
  CHECK(days.program.text(NameId{days.cell(1, 0, "days").index()}) == "wet");
  CHECK(days.program.text(NameId{days.cell(2, 0, "days").index()}) == "rain, at last");
  CHECK(days.cell(3, 0, "days").number() == doctest::Approx(0.125));
}

TEST_CASE("rows: a file layout says where the columns stand") {
  const Filled by_number("hourly from \"rows.csv\" as plain_lines", "Somewhere,1,2\nnothing\na,b,20,3\na,b,99.90,3\na,b,n/a,3\n");
  CHECK(by_number.said() == "");
  REQUIRE(by_number.table().rows == 3);
  CHECK(by_number.cell(0, 0).number() == doctest::Approx(293.15));
  CHECK(by_number.cell(0, 1).is(State::unknown));
  CHECK(by_number.cell(0, 2).is(State::unknown));
  CHECK(by_number.cell(1, 0).number() == doctest::Approx(3));
  CHECK(by_number.table().first_line == 3);
  const Filled by_heading("hourly from \"rows.csv\" as by_words", "Day;Air outside\n1;212\n");
  CHECK(by_heading.said() == "");
  CHECK(by_heading.cell(0, 0).number() == doctest::Approx(373.15));
}

namespace {
struct Slip {
  std::string_view what, line, text, said;
};
const Slip slips[] = {
    {"no file", "hourly from \"rows.csv\"", "", "rows.none \"rows.csv\" is empty\n"},
    {"a heading alone", "hourly from \"rows.csv\"", "outdoor (degC)\n", "rows.none \"rows.csv\" has no rows\n"},
    {"no such column", "hourly from \"rows.csv\"", "outdor (degC)\n1\n", "rows.heading 1:1 the table has no column outdor\n"},
    {"a column of none", "hourly from \"rows.csv\"", "outdoor (degC),\n1,2\n", "rows.heading 1:16 a column has no name\n"},
    {"twice", "hourly from \"rows.csv\"", "outdoor (degC),outdoor (degC)\n1,2\n", "rows.heading 1:16 two columns are named outdoor\n"},
    {"a column is missing", "hourly from \"rows.csv\"", "wind (m/s)\n1\n", "rows.heading 1:1 the file has no column outdoor\n"},
    {"no unit", "hourly from \"rows.csv\"", "outdoor\n1\n", "rows.unit 1:1 outdoor is a level (temperature), and its unit is not said\n"},
    {"another unit", "hourly from \"rows.csv\"", "outdoor (m)\n1\n", "rows.unit 1:1 outdoor is a level (temperature), and m is not a unit of it\n"},
    {"no known unit", "hourly from \"rows.csv\"", "outdoor (warmths)\n1\n", "rows.unit 1:1 no unit is called `warmths`\n"},
    {"words in numbers", "hourly from \"rows.csv\"", "outdoor (degC)\nwarm\ncold\n7\n", "rows.cell 2:1 outdoor takes a number, and warm is none, and 1 more like it\n"},
    {"no number", "hourly from \"rows.csv\"", "outdoor (degC)\nnan\ninf\n", "rows.cell 2:1 outdoor takes a number, and nan is none, and 1 more like it\n"},
    {"a decimal comma", "hourly from \"rows.csv\"", "outdoor (degC)\n\"1,5\"\n", "rows.cell 2:1 outdoor takes a number, and 1,5 is none\n"},
    {"an empty cell", "hourly from \"rows.csv\"", "outdoor (degC),wind (m/s)\n,1\n", "rows.cell 2:1 outdoor is given nothing\n"},
    {"a ragged row", "hourly from \"rows.csv\"", "outdoor (degC)\n1\n2,3\n", "rows.ragged 3:1 this row has 2 cells, and the heading has 1\n"},
    {"a hole between rows", "hourly from \"rows.csv\"", "outdoor (degC)\n1\n\n2\n", "rows.ragged 3:1 this line is empty, and rows follow it\n"},
    {"an open quote", "hourly from \"rows.csv\"", "outdoor (degC)\n\"1\n2\n", "rows.quotes 2:1 a quote in this row is not closed\n"},
    {"keys that fall", "kept from \"rows.csv\"", "at (ft),load\n2,1\n1,1\n", "rows.order 3:1 at does not rise from the row before\n"},
    {"a share of many", "days from \"rows.csv\"", "on,word,note,share\n2026-01-01,dry,x,50\n", "rows.cell 2:18 share is a share of a whole, and 50 is more than all of it\n"},
    {"no such word", "days from \"rows.csv\"", "on,word,note,share\n2026-01-01,damp,x,0.5\n", "rows.cell 2:12 damp is none of the words that word takes\n"},
    {"no such day", "days from \"rows.csv\"", "on,word,note,share\n2026-02-30,dry,x,0.5\n", "rows.cell 2:1 on is a date, and 2026-02-30 is none\n"},
    {"no layout of the name", "hourly from \"rows.csv\" as plain_line", "x\n", "rows.layout no file layout is named plain_line\n"},
    {"a layout of other columns", "kept from \"rows.csv\" as plain_lines", "a\nb\nc,d\n",
     "rows.layout file layout plain_lines does not say where at stands\nrows.layout file layout plain_lines does not say where load stands\n"},
    {"shorter than its layout", "hourly from \"rows.csv\" as plain_lines", "a\n", "rows.none \"rows.csv\" ends within the 2 lines before its first row\n"},
    {"too few cells", "hourly from \"rows.csv\" as plain_lines", "a\nb\n1,2\n", "rows.ragged 3:1 this row has 2 cells, and outdoor is wanted from cell 3\n"},
    {"no such heading", "hourly from \"rows.csv\" as by_words", "Day;Air outsid\n1;2\n", "rows.heading 1:1 no column has the heading \"Air outside\"\n"},
    {"not said from where", "hourly from", "", "entry.form hourly does not say whole from which file its rows are\n"},
    {"another ending", "hourly from \"rows.dat\"", "", "rows.file \"rows.dat\" has an ending from which no rows are read\n"},
};
}  // namespace

TEST_CASE("rows: each mistake is told at its place in the file") {
  for (const Slip& slip : slips) {
    CAPTURE(slip.what);
    CHECK(Filled(slip.line, slip.text).said() == slip.said);
  }
}

TEST_CASE("rows: more rows, or wider ones, than the limits") {
  std::string text = "outdoor (degC)\n";
  for (u32 at = 0; at < base::limits::rows; ++at) text += "1\n";
  CHECK(Filled("hourly from \"rows.csv\"", text).said() == "");
  CHECK(Filled("hourly from \"rows.csv\"", text + "1\n").said().starts_with("limit.rows "));
  const std::string wide(base::limits::row_cells, ',');
  CHECK(Filled("hourly from \"rows.csv\" as plain_lines", "a\nb\n" + wide + "\n").said().starts_with("limit.rows "));
  CHECK(Filled("hourly from \"rows.csv\"", wide + "\n1\n").said().starts_with("limit.rows "));
}

TEST_CASE("rows: a file layout is checked where it is declared") {
  const auto said = [](std::string_view more) { return Filled("hourly from \"rows.csv\"", "outdoor (degC)\n1\n", more).said(); };
  CHECK(said("file_layout a { per practice \"x\"\n outdoor { column 1, unit \"degC\" } }\n") == "");
  CHECK(said("file_layout a { outdoor { column 1, unit \"degC\" } }\n") == "names.no_source file layout a has no source\n");
  CHECK(said("file_layout plain_lines { per practice \"x\"\n outdoor { column 1 } }\n").starts_with("names.declared_twice "));
  CHECK(said("file_layout a { per practice \"x\"\n skip 1 }\n") == "kinds.bad_declaration this file layout names no column\n");
  CHECK(said("file_layout a { per practice \"x\"\n outdoor { unit \"degC\" } }\n") == "kinds.bad_declaration it is not said where outdoor stands in a row\n");
  CHECK(said("file_layout a { per practice \"x\"\n outdoor { column 0 } }\n").starts_with("kinds.bad_declaration a column is the number of a cell"));
  CHECK(said("file_layout a { per practice \"x\"\n outdoor { column \"T\" } }\n").starts_with("kinds.bad_declaration a column is named by its heading"));
  CHECK(said("file_layout a { per practice \"x\"\n outdoor { column 1, unit \"warmths\" } }\n").starts_with("units.unknown_unit "));
  CHECK(said("file_layout a { per practice \"x\"\n parted blanks\n outdoor { column 1 } }\n").starts_with("kinds.bad_declaration cells are parted"));
  CHECK(said("file_layout a { per practice \"x\"\n lines 8\n outdoor { column 1 } }\n").starts_with("kinds.bad_declaration a file layout has no line `lines`"));
}
