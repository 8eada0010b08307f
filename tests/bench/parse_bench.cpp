// How fast text becomes a tree: the example blocks of tests/syntax_blocks, repeated to about a megabyte.
#include "syntax/parser.hpp"

#include <benchmark/benchmark.h>

#include <fstream>
#include <sstream>
#include <string>

using namespace dripleg;

namespace {
std::string repeated(const char* path, std::size_t size) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  const std::string once = out.str();
  std::string text;
  while (!once.empty() && text.size() < size) text += once;
  return text;
}

void parse_file(benchmark::State& state, const char* path) {
  base::Sources sources;
  const FileId file = sources.add("bench.drip", repeated(path, static_cast<std::size_t>(state.range(0))));
  std::size_t nodes = 0;
  for (auto _ : state) {
    notices::Notices notices;
    const syntax::Tree tree = syntax::parse(sources, file, notices);
    nodes = tree.nodes.size();
    if (notices.size() != 0) state.SkipWithError("the text has a mistake");
    benchmark::DoNotOptimize(nodes);
  }
  state.SetBytesProcessed(static_cast<std::int64_t>(state.iterations()) * static_cast<std::int64_t>(sources[file].text().size()));
  state.counters["nodes"] = static_cast<double>(nodes);
}
}  // namespace

BENCHMARK_CAPTURE(parse_file, job, DRIPLEG_SOURCE_DIR "/tests/syntax_blocks/sample_01.drip")->Arg(20'000)->Arg(1'000'000);
BENCHMARK_CAPTURE(parse_file, library, DRIPLEG_SOURCE_DIR "/tests/syntax_blocks/gas_01.drip")->Arg(1'000'000);
BENCHMARK_CAPTURE(parse_file, formulas, DRIPLEG_SOURCE_DIR "/tests/syntax_blocks/formulas_04.drip")->Arg(1'000'000);
