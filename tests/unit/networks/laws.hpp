// Laws of legs for the tests, and networks read from tests/facts/networks: what the library says in the language is
// said here in C++. Lengths in ft, diameters in in, flows in gpm, heads in ft, unless a network says SI.
#pragma once
#include "networks/balance.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <functional>
#include <map>
#include <sstream>
#include <string>

namespace dripleg::networks::test {
using Json = nlohmann::ordered_json;
inline Json facts(const char* file) {
  std::ifstream in(std::string(DRIPLEG_SOURCE_DIR "/tests/facts/networks/") + file);
  return Json::parse(in);
}

enum class Friction : u8 {
  engine,   // Swamee-Jain, a cubic between Re 2000 and 4000, g 32.2
  jump,     // Colebrook above Re 2300, laminar below
  blend,    // laminar to 2000, Colebrook from 4000, straight between
  churchill,
};

inline double colebrook(double reynolds, double rough) {
  double root = -2 * std::log10(rough / 3.7 + 5.74 / std::pow(reynolds, 0.9));   // 1/sqrt(f)
  for (int i = 0; i < 30; ++i) {
    const double next = -2 * std::log10(rough / 3.7 + 2.51 / reynolds * root);
    if (std::fabs(next - root) < 1e-15 * root) break;
    root = next;
  }
  return 1 / (root * root);
}
inline double engine_factor(double re, double rough) {
  const auto swamee = [&](double r) { return std::pow(std::log10(rough / 3.7 + 5.74 / std::pow(r, 0.9)), 2); };
  if (re <= 2000) return 64 / re;
  if (re >= 4000) return 0.25 / swamee(re);
  // Dunlop's cubic in Re/2000: value and slope of Swamee-Jain at 4000, of 64/Re at 2000.
  const double at_4000 = rough / 3.7 + 5.74 / std::pow(4000.0, 0.9), y3 = -0.86859 * std::log(at_4000);
  const double fa = 1 / (y3 * y3), fb = (2 - 0.00514215 / (at_4000 * y3)) * fa, r = re / 2000;
  const double x1 = 7 * fa - fb, x2 = 0.128 - 17 * fa + 2.5 * fb, x3 = -0.128 + 13 * fa - 2 * fb, x4 = 0.032 - 3 * fa + 0.5 * fb;
  return x1 + r * (x2 + r * (x3 + r * x4));
}
inline double churchill(double re, double rough) {
  if (re < 1) return 64 / re;   // its own limit there, where its powers do not fit a number
  const double a = std::pow(2.457 * std::log(1 / (std::pow(7 / re, 0.9) + 0.27 * rough)), 16), b = std::pow(37530 / re, 16);
  return 8 * std::pow(std::pow(8 / re, 12) + 1 / std::pow(a + b, 1.5), 1.0 / 12);
}
inline double friction_factor(Friction friction, double re, double rough) {
  switch (friction) {
    case Friction::engine: return engine_factor(re, rough);
    case Friction::jump: return re < 2300 ? 64 / re : colebrook(re, rough);
    case Friction::churchill: return churchill(re, rough);
    case Friction::blend: break;
  }
  if (re <= 2000) return 64 / re;
  if (re >= 4000) return colebrook(re, rough);
  return 0.032 + (colebrook(4000, rough) - 0.032) * (re - 2000) / 2000;
}

using Drop = std::function<double(double)>;
struct PipeShape { double length, bore, roughness, k; };   // in the units of the constants
struct Units { double velocity, gravity, viscosity; };     // velocity = flow * this / bore^2
inline Drop pipe_law(Friction friction, const PipeShape& shape, const Units& units) {
  const double velocity = units.velocity / (shape.bore * shape.bore), reynolds = velocity * shape.bore / units.viscosity;
  const double slender = shape.length / shape.bore, rough = shape.roughness / shape.bore, k = shape.k, g2 = 2 * units.gravity;
  return [=](double flow) {
    const double q = std::fabs(flow), v = velocity * q;
    const double re = std::max(reynolds * q, 1e-30);
    const double drop = (friction_factor(friction, re, rough) * slender + k) * v * v / g2;
    return flow < 0 ? -drop : drop;
  };
}
inline Drop cv_law(double cv) {
  return [=](double flow) { return 2.31 * flow * std::fabs(flow) / (cv * cv); };
}
inline double on_curve(const std::vector<std::pair<double, double>>& points, double flow, bool held) {
  if (held) flow = std::clamp(flow, points.front().first, points.back().first);
  std::size_t i = 1;
  while (i + 1 < points.size() && flow > points[i].first) ++i;
  const auto [q0, h0] = points[i - 1];
  const auto [q1, h1] = points[i];
  return h0 + (h1 - h0) * (flow - q0) / (q1 - q0);
}
using Points = std::vector<std::pair<double, double>>;
inline Drop curve_law(Points points, double speed = 1, bool held = false) {
  for (auto& [q, h] : points) q *= speed, h *= speed * speed;
  return [points, held](double flow) { return -on_curve(points, flow, held); };
}
inline Drop capped_law(Points points, double head) {
  return [points, head](double flow) { return -std::min(head, on_curve(points, flow, false)); };
}
inline Drop proportional_law(Points points, double head, double at) {
  return [points, head, at](double flow) { return -std::min(head * (0.5 + 0.5 * std::max(flow, 0.0) / at), on_curve(points, flow, false)); };
}
inline Drop limiting_law(double cv, double limit) {
  return [inner = cv_law(cv), limit](double flow) { return inner(flow) + 1e4 * std::max(0.0, flow - limit); };
}

// A network with names, and its law as it is asked.
struct Named : Law {
  Net net;
  std::vector<Drop> drops;
  std::vector<std::string> leg_names, point_names;
  std::map<std::string, u32> legs, points;
  u64 calls = 0;

  double drop(u32 leg, double flow) override { return ++calls, drops[leg](flow); }
  u32 point(const std::string& name) {
    const auto [at, fresh] = points.try_emplace(name, net.points);
    if (fresh) ++net.points, point_names.push_back(name);
    return at->second;
  }
  u32 add(const std::string& name, const std::string& from, const std::string& to, Drop drop, bool one_way = false, bool shut = false) {
    const u32 a = point(from), b = point(to);
    legs[name] = static_cast<u32>(net.legs.size());
    net.legs.push_back({a, b, one_way, shut});
    drops.push_back(std::move(drop));
    leg_names.push_back(name);
    return legs[name];
  }
  void fix(const std::string& name, double head) {
    const u32 at = point(name);
    net.fixed.resize(net.points);
    net.fixed[at] = head;
  }
  void supply(const std::string& name, double flow) {
    const u32 at = point(name);
    net.supplies.resize(net.points, 0.0);
    net.supplies[at] = flow;
  }
  void complete() {
    if (!net.fixed.empty()) net.fixed.resize(net.points);
    if (!net.supplies.empty()) net.supplies.resize(net.points, 0.0);
  }
};

inline Points points_of(const Json& json) {
  Points points;
  for (const Json& point : json) points.emplace_back(point[0].get<double>(), point[1].get<double>());
  return points;
}

// Constants of flow in gpm, lengths in ft and seconds; g as the law of the file has it.
inline constexpr double pi = 3.14159265358979323846;
inline Units us_units(double viscosity, double gravity, double gpm_per_cfs) { return {4 / (pi * gpm_per_cfs), gravity, viscosity}; }

inline Drop small_curve(const Json& curve, double speed) {
  if (!curve.contains("H0")) return curve_law(points_of(curve["points"]), speed);
  const double h0 = curve["H0"], b = curve["B"], c = curve["C"];
  const double top = speed * speed * h0, slope = b * std::pow(speed, 2 - c);
  return [=](double flow) { return -(top - slope * std::copysign(std::pow(std::fabs(flow), c), flow)); };
}

inline Named small_network(const Json& json, Friction friction) {
  Named named;
  const bool si = json["units"] == "SI";
  const bool engine = friction == Friction::engine;
  const double g = engine ? 32.2 : 32.17405, ft = 0.3048;
  const Units units = si ? Units{4 / (pi * 3600), g * ft, json["fluid"]["nu_m2_s"]}
                         : us_units(json["fluid"]["nu_ft2_s"], g, engine ? 448.831 : 448.8311688);
  for (const Json& link : json["links"]) {
    const std::string type = link["type"];
    Drop drop;
    if (type == "pump") {
      drop = small_curve(json["pump_curves"][link["curve"].get<std::string>()], link["speed"]);
    } else {
      const double bore = link["diam"].get<double>() / (si ? 1000 : 12), rough = link["eps"].get<double>() / (si ? 1000 : 1);
      drop = pipe_law(friction, {link["length"], bore, rough, link["K"]}, units);
    }
    named.add(link["id"], link["from"], link["to"], drop);
  }
  for (const auto& [name, head] : json["reservoirs"].items()) named.fix(name, head);
  named.complete();
  return named;
}

struct ExtraLink {
  std::string id, from, to, type;
  Json more;                                  // fields by name
};
// Large networks have one line of words a leg: id from to type and the numbers of the type.
inline ExtraLink extra_link(const Json& link) {
  if (link.is_object()) return {link["id"], link["from"], link["to"], link["type"], link};
  std::istringstream words(link.get<std::string>());
  ExtraLink result;
  words >> result.id >> result.from >> result.to >> result.type;
  static const std::map<std::string, std::vector<const char*>> columns{
      {"pipe", {"length_ft", "diam_in", "eps_ft", "K"}}, {"cv", {"cv"}}, {"check", {"cv"}}, {"picv", {"cv", "limit_gpm"}},
      {"spring", {"k", "opens_ft"}}, {"pump", {"points"}}, {"const_dp", {"head_ft", "points"}}};
  for (const char* column : columns.at(result.type)) {
    std::string word;
    words >> word;
    result.more[column] = Json::parse(word);
  }
  return result;
}
inline Drop extra_law(const ExtraLink& link, Friction friction) {
  const Json& more = link.more;
  const bool engine = friction == Friction::engine;
  const auto number = [&](const char* name) { return more.at(name).get<double>(); };
  if (link.type == "pipe")
    return pipe_law(friction, {number("length_ft"), number("diam_in") / 12, number("eps_ft"), number("K")},
                    us_units(3.82107e-06, engine ? 32.2 : 32.174049, 448.8311688));
  if (link.type == "cv" || link.type == "check") return cv_law(number("cv"));
  if (link.type == "picv") return limiting_law(number("cv"), number("limit_gpm"));
  if (link.type == "zero") return [](double) { return 0.0; };
  if (link.type == "spring") return [k = number("k"), opens = number("opens_ft")](double q) { return opens + k * q * q; };
  if (link.type == "bypass") return [slope = number("slope"), opens = number("opens_ft")](double q) { return opens + slope * q; };
  if (link.type == "pump") return curve_law(points_of(more["points"]), more.value("speed", 1.0), more.value("beyond", "") == "held");
  if (link.type == "const_dp") return capped_law(points_of(more["points"]), number("head_ft"));
  return proportional_law(points_of(more["points"]), number("head_ft"), number("flow_gpm"));
}
inline Named extra_network(const Json& json, Friction friction) {
  Named named;
  for (const Json& one : json["links"]) {
    const ExtraLink link = extra_link(one);
    const bool one_way = link.type == "check" || link.type == "spring" || link.type == "bypass";
    named.add(link.id, link.from, link.to, extra_law(link, friction), one_way, link.more.value("closed", false));
  }
  for (const auto& [name, head] : json["fixed"].items()) named.fix(name, head);
  for (const auto& [name, flow] : json["supply"].items()) named.supply(name, flow);
  named.complete();
  return named;
}
inline double flow_tolerance(double flow) { return std::max(0.001, 1e-5 * std::fabs(flow)); }
inline BalanceSettings within(double tolerance) {
  BalanceSettings settings;
  settings.tolerance = tolerance;
  return settings;
}
}  // namespace dripleg::networks::test
