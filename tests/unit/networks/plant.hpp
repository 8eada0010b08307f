// Temperatures of a plant for the tests: a point has the mean of what arrives by flow, and what leaves a leg follows
// from what enters it. Flows in gpm, temperatures in degF, heat in Btu/h; 500 Btu/h warms 1 gpm by 1 degF.
#pragma once
#include "laws.hpp"

#include "networks/settle.hpp"

namespace dripleg::networks::test {
// `below_air`: what leaves may be colder than the air, as an arithmetic mean has it at little flow.
inline double emitter_leaving(double entering, double flow, double air, double k, double n, bool log_mean, bool below_air) {
  if (entering <= air) return entering;
  const double rate = 500 * flow, in = entering - air;
  const auto mean = [&](double out) { return log_mean && in - out > 1e-9 * in ? (in - out) / std::log(in / out) : (in + out) / 2; };
  double low = 0, high = (below_air ? 2 : 1) * rate * in;  // of the heat given off
  for (int i = 0; i < 200 && high - low > 1e-14 * rate * in; ++i) {
    const double heat = (low + high) / 2, out = in - heat / rate;
    if ((!below_air && out <= 0) || heat > k * std::pow(std::max(0.0, mean(out)), n)) high = heat;
    else low = heat;
  }
  return entering - (low + high) / 2 / rate;
}

struct Part {
  enum class Kind : u8 { plain, boiler, emitter } kind = Kind::plain;
  double target = 0, out = 0, air = 0, k = 0, n = 1;
  bool log_mean = false, below_air = false;
};
inline Part read_part(const Json& json) {
  Part part;
  if (json["kind"] == "boiler") {
    part.kind = Part::Kind::boiler;
    part.target = json["target"], part.out = json["out"];
  } else {
    part.kind = Part::Kind::emitter;
    part.air = json["air"], part.k = json["K"], part.n = json["n"];
    part.log_mean = json.value("mean", "mean") == "log";
  }
  return part;
}

struct Way { u32 from, to; Part part; };
class Plant : public Formulas {
 public:
  std::vector<Way> ways;
  std::vector<double> flows;                               // by way
  std::vector<std::vector<u32>> at_point;                  // ways by point
  double cold = 70;

  double leaving(const Way& way, double entering, double flow) const {
    const Part& part = way.part;
    switch (part.kind) {
      case Part::Kind::boiler: return std::max(entering, std::min(part.target, entering + part.out / (500 * flow)));
      case Part::Kind::emitter: return emitter_leaving(entering, flow, part.air, part.k, part.n, part.log_mean, part.below_air);
      case Part::Kind::plain: break;
    }
    return entering;
  }
  double mixed(u32 point, const std::vector<double>& values, ReadSet* reads) const {
    double heat = 0, sum = 0;
    for (const u32 index : at_point[point]) {
      const Way& way = ways[index];
      const bool along = way.to == point;
      const double flow = along ? flows[index] : -flows[index];
      if (flow < 0.001) continue;
      const u32 other = along ? way.from : way.to;
      if (reads) reads->add(other);
      heat += flow * leaving(way, values[other], flow);
      sum += flow;
    }
    return sum > 0 ? heat / sum : cold;
  }
  double value(u32 cell, const std::vector<double>& values, ReadSet* reads) override { return mixed(cell, values, reads); }

  void join(u32 points) {
    at_point.assign(points, {});
    for (u32 i = 0; i < ways.size(); ++i) {
      at_point[ways[i].to].push_back(i);
      if (ways[i].from != ways[i].to) at_point[ways[i].from].push_back(i);
    }
  }
  std::vector<SettleCell> cells(u32 points, double start, double tolerance) const {
    return std::vector<SettleCell>(points, SettleCell{start, 32, 400, tolerance});
  }
};
}  // namespace dripleg::networks::test
