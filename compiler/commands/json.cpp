#include "commands/json.hpp"

#include "base/utf8.hpp"

#include <charconv>
#include <cmath>

namespace dripleg::commands {
void JsonWriter::line() {
  out_ += '\n';
  out_.append(levels_.size() * 2, ' ');
}

void JsonWriter::before_value() {
  if (after_key_) {
    after_key_ = false;
    return;
  }
  if (levels_.empty()) return;
  if (levels_.back().any) out_ += ',';
  levels_.back().any = true;
  line();
}

void JsonWriter::begin(char bracket) {
  before_value();
  out_ += bracket;
  levels_.push_back({});
}

void JsonWriter::end(char bracket) {
  const bool any = levels_.back().any;
  levels_.pop_back();
  if (any) line();
  out_ += bracket;
}

JsonWriter& JsonWriter::begin_object() { return begin('{'), *this; }
JsonWriter& JsonWriter::end_object() { return end('}'), *this; }
JsonWriter& JsonWriter::begin_array() { return begin('['), *this; }
JsonWriter& JsonWriter::end_array() { return end(']'), *this; }

JsonWriter& JsonWriter::key(std::string_view name) {
  before_value();
  escaped(name);
  out_ += ": ";
  after_key_ = true;
  return *this;
}

void JsonWriter::escaped(std::string_view value) {
  constexpr char digits[] = "0123456789abcdef";
  out_ += '"';
  while (!value.empty()) {
    const unsigned char c = static_cast<unsigned char>(value.front());
    const u32 length = base::decode_utf8(value, 0).length;
    if (length == 0) {
      out_ += "\xEF\xBF\xBD";
    } else if (c == '"' || c == '\\') {
      out_ += '\\';
      out_ += static_cast<char>(c);
    } else if (c == '\n') {
      out_ += "\\n";
    } else if (c == '\t') {
      out_ += "\\t";
    } else if (c < 0x20 || c == 0x7F) {
      out_ += "\\u00";
      out_ += digits[c >> 4];
      out_ += digits[c & 15];
    } else {
      out_ += value.substr(0, length);
    }
    value.remove_prefix(length == 0 ? 1 : length);
  }
  out_ += '"';
}

JsonWriter& JsonWriter::text(std::string_view value) {
  before_value();
  escaped(value);
  return *this;
}

JsonWriter& JsonWriter::number(double value) {
  if (!std::isfinite(value)) return null();
  before_value();
  char digits[40];
  const auto end = std::to_chars(digits, digits + sizeof digits, value == 0 ? 0.0 : value).ptr;
  out_.append(digits, end);
  return *this;
}

JsonWriter& JsonWriter::whole(i64 value) {
  before_value();
  out_ += std::to_string(value);
  return *this;
}

JsonWriter& JsonWriter::member(std::string_view name, u64 value) {
  key(name).before_value();
  out_ += std::to_string(value);
  return *this;
}

JsonWriter& JsonWriter::yes_no(bool value) {
  before_value();
  out_ += value ? "true" : "false";
  return *this;
}

JsonWriter& JsonWriter::null() {
  before_value();
  out_ += "null";
  return *this;
}

void JsonWriter::finish() { out_ += '\n'; }
}  // namespace dripleg::commands
