// Balanced flows and what settles, from text to values: worlds share what they may, and solver work is bounded.
#include "job.hpp"

using namespace dripleg;
using namespace dripleg::evaluate::of_text;

namespace {
const std::string loops = R"(
condition calls list of branch = branch "Branches that carry something."
kind vessel { joins loop at tapping }
kind lift {
  needs gives_head head
  joins loop from suction to discharge { drop = 0 ft_head - gives_head }
}
kind heater {
  needs sends temperature
  joins loop from inlet to outlet {
    drop = 1 ft_head * (flow / 1 gpm) * abs(flow / 1 gpm)
    leaving = sends
  }
}
kind branch {
  joins loop from inlet to outlet {
    open = self in calls
    drop = 2 ft_head * (flow / 1 gpm) * abs(flow / 1 gpm)
    leaving = entering.temperature - (entering.temperature - 70 degF) / 2
  }
}
network loop {
  shape graph
  balance flow by drop within 0.0001 gpm
  datum head at vessel
  shut where not open
  point {
    settles temperature temperature in 32 degF .. 250 degF from 60 degF within 0.01 Fdeg =
      if arriving is empty then 60 degF else mean of l.leaving by l.carried for l in arriving
  }
  leg {
    gives open yes_no = yes
    gives drop head
    gives leaving temperature = entering.temperature
  }
  run {
    may length length = 0 ft
    gives drop head = 0 ft_head
  }
}
)";
const std::string two_branches = R"(
lift P { gives_head 9 ft_head }
heater H { sends 170 degF }
branch A
branch B
vessel T
loop {
  H -> P -> a
  a -> A -> b
  a -> B -> b
  b -> H
  b -> T
}
)";
}  // namespace

TEST_CASE("flows, heads and temperatures of a small loop, against the sums done by hand") {
  // Two equal branches: 9 = q^2 + 2 (q/2)^2, so q^2 = 6; half the excess over 70 degF is left behind them.
  Job job(loops, two_branches);
  REQUIRE(job.said() == "");
  const auto flow = [&](const char* of) {
    const Value leg = job.value(of, "loop_leg");
    const auto& program = job.program;
    const Thing& thing = program.things[leg.index()];
    for (u32 slot = 0; slot < thing.slots; ++slot)
      if (program.text(program.field(thing.kind, slot).name) == "flow") return job.evaluation->field(ThingId{leg.index()}, slot, nominal_world).number();
    return 0.0;
  };
  const double gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;
  CHECK(flow("H") / gpm == doctest::Approx(2.449490).epsilon(1e-4));
  CHECK(flow("A") / gpm == doctest::Approx(1.224745).epsilon(1e-4));
}

TEST_CASE("the limit solver_work bounds what is asked of laws and formulas") {
  evaluate::Budget budget;
  budget.solver_work = 3;
  Job job(loops, two_branches, budget);
  const Value leg = job.value("H", "loop_leg");
  const auto [thing, slot] = job.cell("H", "inlet");
  const Value point = job.evaluation->field(thing, slot, nominal_world);
  for (u32 at = 0; at < job.program.things[point.index()].slots; ++at)
    if (job.program.text(job.program.field(job.program.things[point.index()].kind, at).name) == "temperature")
      CHECK(job.evaluation->field(ThingId{point.index()}, at, nominal_world).is(State::failed));
  CHECK(leg.known());
  CHECK(job.said().find("limit.steps") != std::string::npos);
}
