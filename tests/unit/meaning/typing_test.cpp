// What a formula may do with quantities: slips that are refused, each with its notice, and the natural forms
// that are accepted.
#include "tests/unit/meaning/compiling.hpp"

#include <doctest/doctest.h>

using namespace dripleg;
using meaning::test::Compiled;

namespace {
constexpr std::string_view around = R"(
function gas_constant gives molar_specific_heat = 8.31446261815324 J/(mol*K) per computed "exact"
function gravity gives head_gravity = 9.80665 m2/(s^2*m_head) per computed "exact"
function as_head(height length) gives head = height * 1 m_head / 1 m per computed "a height, taken as head"
function vapour(under absolute_pressure) gives share = under / 14.7 psia per computed "for the test"
kind zone { needs area area, needs warm temperature, may loss power or none = none }
kind metal stock { needs roughness length, may lined metal or none = none }
metal brass { roughness 0.0015 mm, per practice "smooth" }
table bore_of by size exact { per practice "for the test"
  needs size size
  needs bore length
  size    bore
  1/2 in  0.622 in
  1 in    1.049 in
}
table most_at by length up gives gas_flow { per practice "for the test"
  needs length length
  needs most gas_flow
  length  most
  10 ft   100 ft3/h
}
)";

// `function f` and the rest of its one line.
std::string codes_of(std::string_view rest) {
  const std::string text = std::string(around) + "function f" + std::string(rest) + " per computed \"under test\"\n";
  const Compiled compiled(text);
  return compiled.codes();
}
struct Slip {
  std::string_view what, text, code;
};
const Slip slips[] = {
    // what is kept apart
    {"head and a length of pipe", "(h head, z length) gives head = h + z", "types.mismatch"},
    {"head compared with a height", "(h head, z length) gives yes_no = h > z", "types.mismatch"},
    {"head for a pressure", "(h head) gives pressure = h", "types.mismatch"},
    {"velocity head without gravity", "(v speed) gives head = v^2 / 2", "types.mismatch"},
    {"density and gravity alone", "(d density) gives pressure = d * gravity", "types.mismatch"},
    {"net value for gross input", "(flow gas_flow, value net_heating_value) gives gross_power = flow * value", "types.mismatch"},
    {"input given as output", "(input gross_power) gives power = input", "types.mismatch"},
    {"net efficiency of gross input", "(input gross_power, e net_efficiency) gives power = input * e", "types.mismatch"},
    {"output over input as a share", "(output power, input gross_power) gives share = output / input", "types.mismatch"},
    {"gross less net", "(a gross_power, b net_power) gives gross_power = a - b", "types.mismatch"},
    {"cubic feet at the meter for those at reference", "(flow volume_flow, value gross_heating_value) gives gross_power = flow * value", "types.mismatch"},
    {"flow of gas as flow at the meter", "(flow gas_flow) gives volume_flow = flow", "types.mismatch"},
    {"gallons of gas", "(flow gas_flow) gives yes_no = flow > 3 gpm", "types.mismatch"},
    // levels
    {"gauge into absolute", "(p pressure) gives absolute_pressure = p", "types.level_in_product"},
    {"gauge where absolute is asked", "(p pressure) gives share = vapour(p)", "types.level_in_product"},
    {"a gauge literal where absolute is asked", "(n number) gives share = n * vapour(7 psi)", "types.level_in_product"},
    {"absolute compared with gauge", "(a absolute_pressure, p pressure) gives yes_no = a > p", "types.mismatch"},
    {"a reading for a difference", "(flow mass_flow, c specific_heat, t temperature) gives power = flow * c * t", "types.level_in_product"},
    {"mean of two readings by hand", "(a temperature, b temperature) gives temperature = (a + b) / 2", "types.level_in_product"},
    {"ratio of Fahrenheits", "(a temperature, b temperature) gives ratio = a / b", "types.level_in_product"},
    {"twice a temperature", "(t temperature) gives temperature = t * 2", "types.level_in_product"},
    {"a number of readings", "(n number) gives temperature = n * 1 degF", "types.level_in_product"},
    {"a reading by two degrees", "(t temperature) gives number = t / 2 degF", "types.level_in_product"},
    {"a reading with its sign turned", "(t temperature) gives temperature = -t", "types.level_in_product"},
    {"a reading squared", "(t temperature) gives number = t^2 / 1 degF", "types.level_in_product"},
    {"460 and a reading", "(t temperature) gives temperature = 460 + t", "types.mismatch"},
    {"a difference less a reading", "(d temperature_difference, t temperature) gives temperature = d - t", "types.level_in_product"},
    {"a reading compared with a difference", "(d temperature_difference, t temperature) gives yes_no = t > d", "types.mismatch"},
    {"a reading compared with bare zero", "(t temperature) gives yes_no = t > 0", "types.mismatch"},
    {"the sum of readings", "(zones list of zone) gives temperature = sum of z.warm for z in zones", "types.level_in_product"},
    {"a reading rounded", "(t temperature) gives temperature = round_to(t, 1 Fdeg)", "types.mismatch"},
    {"the least of a reading and a difference", "(t temperature) gives temperature = least(t, 5 Fdeg)", "types.mismatch"},
    {"degree days from a reading", "(t temperature) gives degree_days = t * 1 d", "types.level_in_product"},
    {"a plain pressure by an absolute unit", "(drop pressure) gives number = drop / 1 psia", "types.level_in_product"},
    // dimensions
    {"R for U", "(a area, r resistance, dt temperature_difference) gives power = a * r * dt", "types.mismatch"},
    {"U for an edge factor", "(l length, u transmittance, dt temperature_difference) gives power = l * u * dt", "types.mismatch"},
    {"conductivity for conductance", "(k conductivity, dt temperature_difference) gives power = k * dt", "types.mismatch"},
    {"a bare constant beside a resistance", "(r resistance) gives resistance = r + 8", "types.mismatch"},
    {"kinematic for dynamic viscosity", "(n kinematic_viscosity) gives viscosity = n", "types.mismatch"},
    {"diameter for area", "(q volume_flow, d length) gives speed = q / d", "types.mismatch"},
    {"energy for power", "(e energy) gives power = e", "types.mismatch"},
    {"mass flow for volume flow", "(m mass_flow) gives volume_flow = m", "types.mismatch"},
    {"a pressure against a bare number", "(p pressure) gives yes_no = p > 5", "types.mismatch"},
    {"a literal through a local name", "(input gross_power) gives number {\n  k = 1000 Btu/h\n  = input / k\n}", "types.mismatch"},
    {"the difference of squares as a pressure", "(a absolute_pressure, b absolute_pressure) gives absolute_pressure = a^2 - b^2", "types.mismatch"},
    {"a length to the half", "(d length) gives number = d^0.5 / 1 ft", "types.bad_power"},
    {"the root of a length", "(d length) gives length = sqrt(d)", "types.bad_power"},
    {"a power with a unit", "(d length) gives number = 2^d", "types.bad_power"},
    {"a logarithm of a length", "(d length) gives number = ln(d)", "types.bad_power"},
    {"a reading in an exponent", "(t temperature) gives number = exp(t)", "types.bad_power"},
    // shares and angles
    {"20.9 beside a share", "(o2 share) gives share = 20.9 - o2", "types.not_a_share"},
    {"a share over thirty", "(co share) gives yes_no = co > 30", "types.not_a_share"},
    {"the greater of a share and five", "(x share) gives share = most(x, 5)", "types.not_a_share"},
    {"degrees in a sine", "(day number) gives number = sin(0.986 * day - 90)", "types.mismatch"},
    {"an angle for a number", "(x number) gives number = atan(x)", "types.mismatch"},
    {"an angle in an exponent", "(a angle) gives number = exp(a)", "types.bad_power"},
    // sorts
    {"a size for a length", "(s size) gives length = s", "types.wrong_type"},
    {"a size in a product", "(s size) gives area = s * 1 ft", "types.wrong_type"},
    {"the larger size", "(a size, b size) gives yes_no = a > b", "types.wrong_type"},
    {"a length where a size is asked", "(d length) gives length = bore_of(d)", "types.wrong_type"},
    {"yes or no in a sum", "(y yes_no) gives number = 1 + y", "types.wrong_type"},
    {"a number where yes or no is asked", "(n number) gives number = if n then 1 else 2", "types.wrong_type"},
    {"two sorts of branches", "(y yes_no) gives length = if y then 1 ft else 1 psi", "types.mismatch"},
    {"a thing for its field", "(m metal) gives length = m", "types.wrong_type"},
    {"a list for one of it", "(m list of metal) gives length = m.roughness", "types.wrong_type"},
    // may be none
    {"unguarded in a sum", "(x length or none) gives length = x + 1 ft", "types.may_be_none"},
    {"unguarded in a comparison", "(x length or none) gives yes_no = x < 1 ft", "types.may_be_none"},
    {"unguarded as an argument", "(x length or none) gives head = as_head(x)", "types.may_be_none"},
    {"unguarded as the result", "(x length or none) gives length = x", "types.may_be_none"},
    {"unguarded before a dot", "(m metal) gives length = m.lined.roughness", "types.may_be_none"},
    {"guarded by another", "(x length or none, y length or none) gives length = if y is given then x else 1 ft", "types.may_be_none"},
    {"guarded the wrong way", "(x length or none) gives length = if x is none then x else 1 ft", "types.may_be_none"},
    {"guarded by or", "(x length or none, big yes_no) gives yes_no = x is given or x > 1 ft", "types.may_be_none"},
    {"a branch of none", "(y yes_no) gives length = if y then 1 ft else none", "types.may_be_none"},
    // calls
    {"too few arguments", "(x number) gives share = x * vapour()", "types.wrong_arguments"},
    {"too many arguments", "(z length) gives head = as_head(z, z)", "types.wrong_arguments"},
    {"brackets behind a parameter", "(z length) gives length = z(1 ft)", "types.not_callable"},
    {"calling itself", "(z length) gives length = f(z)", "types.cycle"},
    {"a name that nothing declares", "(z length) gives length = z + zz", "names.unknown_name"},
    {"a field that is not there", "(m metal) gives length = m.rough", "names.unknown_field"},
    {"a parameter named as a function", "(vapour length) gives length = vapour", "names.shadows"},
    {"a kind seen from a function", "(x power) gives power = x + (sum of z.area for z in zone) * 1 W/m2", "types.scope_of_function"},
};
}  // namespace

TEST_CASE("slips are refused, each with its notice and nothing more") {
  static_assert(std::size(slips) >= 45);
  for (const Slip& slip : slips) {
    CAPTURE(slip.what);
    CAPTURE(slip.text);
    CHECK(codes_of(slip.text) == slip.code);
  }
}

TEST_CASE("a table whose columns are refused is told once, and what asks it says nothing more") {
  const std::string ask = "function f(s size) gives number = broken(s).one per computed \"under test\"\n";
  const Compiled compiled("table broken by size exact gives number {\n  per practice \"x\"\n  cells 1\n  size one two\n  1/2 in 1 2\n}\n" + ask);
  CHECK(compiled.codes() == "kinds.bad_declaration");
  const Compiled column("function f(t table) gives number = t(1) per computed \"under test\"\n");
  CHECK(column.notices.any_errors());
}

TEST_CASE("the notice of a slip stands at what is wrong and names a cure") {
  const Compiled compiled("function f(o2 share) gives share = 20.9 - o2 per computed \"under test\"\n");
  REQUIRE(compiled.notices.size() == 1);
  const notices::Notice& notice = compiled.notices.all()[0];
  CHECK(compiled.sources.text(notice.place) == "20.9");
  REQUIRE(notice.cures.size() == 1);
  CHECK(notice.cures[0].find("20.9 %") != std::string::npos);
}

TEST_CASE("every slip of a text is told, and what rests on a refused formula is not told again") {
  const Compiled compiled(
      "function f(h head, z length) gives head = h + z per computed \"one\"\n"
      "function g(z length) gives head = f(1 ft_head, z) per computed \"upon it\"\n"
      "function k(p pressure) gives yes_no = p > 5 per computed \"another\"\n");
  CHECK(compiled.codes() == "types.mismatch types.mismatch");
}

namespace {
struct Form {
  std::string_view rule, text;
};
const Form forms[] = {
    // R1 whole exponents
    {"R1 a root that comes out whole", "(a area) gives length = sqrt(a)"},
    {"R1 a cube root", "(v volume) gives length = cbrt(v)"},
    {"R1 a power that comes out whole", "(a area) gives volume = a^(3 / 2)"},
    {"R1 a negative power", "(d length) gives per_length = d^-1"},
    {"R1 a plain number to any power", "(x number, y number) gives number = x^y"},
    // R2 what is kept apart multiplies by itself
    {"R2 velocity head", "(v speed) gives head = v^2 / (2 * gravity)"},
    {"R2 the pressure of a head", "(d density, h head) gives pressure = d * gravity * h"},
    {"R2 efficiency of input", "(input gross_power, e gross_efficiency) gives power = input * e"},
    {"R2 output over input", "(output power, input gross_power) gives gross_efficiency = output / input"},
    {"R2 gross from net", "(e net_efficiency, k gross_per_net) gives gross_efficiency = e / k"},
    {"R2 heat of a flow", "(flow gas_flow, value gross_heating_value) gives gross_power = flow * value"},
    {"R2 what a length comes to", "(h head, z length) gives head = h + as_head(z)"},
    {"R2 the gas law", "(flow gas_flow, t temperature, p absolute_pressure) gives volume_flow = flow * gas_constant * from_zero(t) / p"},
    // R3 levels
    {"R3 the difference of two readings", "(a temperature, b temperature) gives temperature_difference = a - b"},
    {"R3 a reading and a difference", "(a temperature, d temperature_difference) gives temperature = a + d"},
    {"R3 a difference and a reading", "(a temperature, d temperature_difference) gives temperature = d + a"},
    {"R3 mixing by differences", "(a temperature, b temperature, x share) gives temperature = a + (b - a) * x"},
    {"R3 the least of readings", "(a temperature, b temperature) gives temperature = least(a, b, 70 degF)"},
    {"R3 the mean of readings", "(a temperature, b temperature) gives temperature = mean(a, b)"},
    {"R3 the mean of readings by weight", "(zones list of zone) gives temperature = mean of z.warm by z.area for z in zones"},
    {"R3 the warmest", "(zones list of zone) gives temperature = max of z.warm for z in zones"},
    {"R3 held between", "(a temperature) gives temperature = clamp(a, 32 degF, 212 degF)"},
    {"R3 from zero", "(a temperature, b temperature) gives ratio = from_zero(a) / from_zero(b)"},
    {"R3 a search between readings", "(d temperature_difference) gives temperature = find t in 0 degF .. 200 degF where t - 50 degF == d"},
    // R4 literals of a scale's unit
    {"R4 a scale's unit within another is its difference", "(a area, dt temperature_difference) gives power = 1.2 Btu/(h*ft2*degF) * a * dt"},
    {"R4 per degree", "(d length, dt temperature_difference) gives length = d * 6.5e-6 /degF * dt"},
    // R5 a true zero
    {"R5 a reading from a true zero times a number", "(p absolute_pressure) gives absolute_pressure = p * 0.83"},
    {"R5 a reading from a true zero by a number", "(p absolute_pressure) gives absolute_pressure = p / 2"},
    {"R5 the ratio of two", "(a absolute_pressure, b absolute_pressure) gives ratio = a / b"},
    {"R5 back to a reading", "(p pressure) gives absolute_pressure = 0 psia + p"},
    {"R5 squares and back", "(a absolute_pressure, d pressure) gives absolute_pressure = 0 psia + sqrt(a^2 - d * 1 psi)"},
    {"R5 gauge and the air", "(air absolute_pressure, p pressure) gives absolute_pressure = air + p"},
    // R6 literals are read by what they meet
    {"R6 by the declared result", "(n number) gives gas_flow = n * 3 ft3/h"},
    {"R6 by the other side", "(input gross_power) gives yes_no = input <= 10_000 Btu/h"},
    {"R6 in a sum", "(input gross_power) gives gross_power = input + 2 * 1000 Btu/h"},
    {"R6 by a parameter", "(z length) gives share = vapour(101.325 kPa_abs)"},
    {"R6 by the branches", "(y yes_no) gives gas_flow = if y then 2 ft3/h else 3 m3/h"},
    {"R6 gas in cubic metres", "(flow gas_flow) gives yes_no = flow > 1 m3/h"},
    {"R6 gas by its short name", "(flow gas_flow) gives yes_no = flow > 100 cfh"},
    {"R6 a bare number for an efficiency", "(e gross_efficiency) gives gross_efficiency = 1 - e"},
    {"R6 the key of a table", "(x number) gives gas_flow = x * most_at(4 m)"},
    // R7 read-outs
    {"R7 the number of feet", "(z length) gives number = z / 1 ft"},
    {"R7 the number of a thousand", "(input gross_power) gives volume = 50 ft3 * input / 1000 Btu/h"},
    {"R7 a head in feet", "(h head) gives number = h / 1 ft"},
    {"R7 a reading by its own scale", "(t temperature) gives number = t / 1 degC"},
    {"R7 a difference by a scale", "(dt temperature_difference) gives number = dt / 1 degF"},
    {"R7 several in one product", "(flow volume_flow, drop temperature_difference) gives power = 500 Btu/h * flow / 1 gpm * drop / 1 degF"},
    {"R7 a literal times numbers", "(flow gas_flow, bore length) gives number = (flow / (2313 ft3/h * (bore / 1 in)^2.623))^(1 / 0.541)"},
    {"R7 and back", "(n number) gives temperature = 0 degC + n * 1 Cdeg"},
    {"R7 an absolute pressure by its own unit", "(p absolute_pressure) gives number = p / 1 psia"},
    // R8 zero
    {"R8 zero beside a difference", "(dt temperature_difference) gives temperature_difference = most(0, dt)"},
    {"R8 zero compared", "(p pressure) gives yes_no = p > 0"},
    {"R8 zero as a branch", "(y yes_no, p pressure) gives pressure = if y then p else 0"},
    // R9 shares
    {"R9 percent beside a share", "(o2 share) gives share = 20.9 % - o2"},
    {"R9 parts of a million", "(co share) gives yes_no = co > 30 ppm"},
    {"R9 one less a share", "(o2 share) gives share = 1 - o2"},
    {"R9 a ratio beyond one", "(x ratio) gives yes_no = x > 5"},
    // R10 angles
    {"R10 a sine", "(day number) gives number = sin(0.986 * day * 1 deg - 90 deg)"},
    {"R10 an angle from a number", "(rise length, along length) gives angle = atan(rise / along)"},
    // R11 none
    {"R11 guarded by if", "(x length or none) gives length = if x is given then x else 1 ft"},
    {"R11 guarded the other way", "(x length or none) gives length = if x is none then 1 ft else x"},
    {"R11 through and", "(x length or none) gives yes_no = x is given and x > 1 ft"},
    {"R11 through or", "(x length or none) gives yes_no = x is none or x > 1 ft"},
    {"R11 through not", "(x length or none) gives yes_no = not (x is none) and x > 1 ft"},
    {"R11 through two", "(x length or none, y length or none) gives length = if x is given and y is given then x + y else 0 ft"},
    {"R11 through a dot", "(m metal) gives length = if m.lined is given then m.lined.roughness else m.roughness"},
    {"R11 through where", "(zones list of zone) gives power = sum of z.loss for z in zones where z.loss is given"},
    {"R11 the first that is given", "(x length or none, y length) gives length = first_given(x, y)"},
    {"R11 handed on", "(x length or none) gives length or none = x"},
    {"R11 a branch of none", "(y yes_no) gives length or none = if y then 1 ft else none"},
    // R12 local names
    {"R12 names in order", "(bore length) gives number {\n  d = bore / 1 in\n  five = d^5\n  = sqrt(five / (1 + 3.6 / d))\n}"},
    // R13, R14 scope and calls
    {"R13 a parameter named as a kind", "(zone temperature, metal length) gives length = metal"},
    {"R14 a table of one column", "(s size) gives length = bore_of(s).bore"},
    {"R14 sizes alike", "(a size, b size) gives yes_no = a == b"},
};
}  // namespace

TEST_CASE("the natural forms are accepted") {
  for (const Form& form : forms) {
    CAPTURE(form.rule);
    CAPTURE(form.text);
    const std::string text = std::string(around) + "function f" + std::string(form.text) + " per computed \"under test\"\n";
    const Compiled compiled(text);
    CHECK(compiled.said() == "");
  }
}
