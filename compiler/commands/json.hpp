// Writes one JSON document piece by piece. The writer puts commas, line ends and indentation, and
// makes every text safe: what comes out is always valid JSON in UTF-8, if begin and end calls pair up.
// The caller brings keys in their published order.
#pragma once
#include "base/ids.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace dripleg::commands {
class JsonWriter {
 public:
  explicit JsonWriter(std::string& out) : out_(out) {}

  JsonWriter& begin_object();
  JsonWriter& end_object();
  JsonWriter& begin_array();
  JsonWriter& end_array();
  JsonWriter& key(std::string_view name);

  JsonWriter& text(std::string_view value);     // invalid UTF-8 becomes U+FFFD
  JsonWriter& number(double value);             // shortest that reads back; null for what is not finite
  JsonWriter& whole(i64 value);
  JsonWriter& yes_no(bool value);
  JsonWriter& null();

  // `key` and value in one.
  JsonWriter& member(std::string_view name, std::string_view value) { return key(name).text(value); }
  JsonWriter& member(std::string_view name, const char* value) { return key(name).text(value); }
  JsonWriter& member(std::string_view name, double value) { return key(name).number(value); }
  JsonWriter& member(std::string_view name, bool value) { return key(name).yes_no(value); }
  JsonWriter& member(std::string_view name, int value) { return key(name).whole(value); }
  JsonWriter& member(std::string_view name, u32 value) { return key(name).whole(value); }
  JsonWriter& member(std::string_view name, i64 value) { return key(name).whole(value); }
  JsonWriter& member(std::string_view name, u64 value);

  void finish();                                // a line end; the document is complete

 private:
  void before_value();
  void line();
  void begin(char bracket);
  void end(char bracket);
  void escaped(std::string_view value);

  struct Level { bool any = false; };
  std::string& out_;
  std::vector<Level> levels_;
  bool after_key_ = false;
};
}  // namespace dripleg::commands
