// A value in 64 bits: a double, or a quiet NaN that says why there is none. What the bits stand for
// (a number, an index of a thing, a list, a text …) is known from the static type, never from the bits.
#pragma once
#include "base/ids.hpp"

#include <bit>
#include <cmath>

namespace dripleg::meaning {
enum class State : u8 {
  known,
  none,        // there is no such thing
  unknown,     // not known yet; payload: index of a set of holes
  failed,      // could not be computed; payload: index of the first notice
  unstated,    // only in inputs: nothing was written
  variable,    // only in inputs: differs from world to world; payload: index of a variable
  pending,     // only in frames and cells: not computed yet
};

class Value {
 public:
  constexpr Value() = default;
  static constexpr Value number(double value) { return Value(std::bit_cast<u64>(value)); }
  static constexpr Value index(u32 value) { return number(static_cast<double>(value)); }
  static constexpr Value yes_no(bool value) { return number(value ? 1.0 : 0.0); }
  static constexpr Value none() { return special(State::none, 0); }
  static constexpr Value unknown(u32 holes) { return special(State::unknown, holes); }
  static constexpr Value failed(u32 notice) { return special(State::failed, notice); }
  static constexpr Value unstated() { return special(State::unstated, 0); }
  static constexpr Value variable(u32 variable) { return special(State::variable, variable); }
  static constexpr Value pending() { return special(State::pending, 0); }

  constexpr bool known() const { return (bits_ & tag_mask) != tag; }
  constexpr State state() const {
    return known() ? State::known : static_cast<State>((bits_ >> 32) & 7);
  }
  constexpr bool is(State state_asked) const { return state() == state_asked; }
  constexpr u32 payload() const { return static_cast<u32>(bits_); }
  constexpr double number() const { return std::bit_cast<double>(bits_); }
  constexpr u32 index() const { return static_cast<u32>(number()); }
  constexpr bool yes() const { return number() != 0.0; }
  constexpr u64 bits() const { return bits_; }
  // Same bits: equal numbers (but +0 and -0), equal states.
  friend constexpr bool operator==(Value, Value) = default;

 private:
  static constexpr u64 tag = 0x7FFD'0000'0000'0000ull;        // quiet NaN with our mark
  static constexpr u64 tag_mask = 0xFFFF'0000'0000'0000ull;
  constexpr explicit Value(u64 bits) : bits_(bits) {}
  static constexpr Value special(State state, u32 payload) {
    return Value(tag | (static_cast<u64>(state) << 32) | payload);
  }
  u64 bits_ = 0;
};
static_assert(sizeof(Value) == 8);
}  // namespace dripleg::meaning
