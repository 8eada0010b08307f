// A small independent reader of markup for tests: is every tag closed in order, every attribute
// quoted, every sign escaped; and what text and which tags does a reader get.
#pragma once
#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

namespace markup {
struct Reading {
  std::string error;                    // empty when well-formed
  std::vector<std::string> tags;        // in order of opening
  std::vector<std::string> attributes;  // name="value", entities as they stand
  std::vector<std::string> texts;       // of every stretch of text, entities resolved
  bool has_tag(std::string_view tag) const { return std::find(tags.begin(), tags.end(), tag) != tags.end(); }
  bool has_text(std::string_view text) const {
    return std::any_of(texts.begin(), texts.end(), [&](const std::string& t) { return t.find(text) != std::string::npos; });
  }
};

inline std::string resolved(std::string_view raw, std::string& error) {
  std::string out;
  for (std::size_t at = 0; at < raw.size();) {
    if (raw[at] != '&') {
      out.push_back(raw[at++]);
      continue;
    }
    const std::size_t end = raw.find(';', at);
    const std::string_view name = raw.substr(at, end == std::string_view::npos ? 0 : end - at + 1);
    if (name == "&amp;") {
      out.push_back('&');
    } else if (name == "&lt;") {
      out.push_back('<');
    } else if (name == "&gt;") {
      out.push_back('>');
    } else if (name == "&quot;") {
      out.push_back('"');
    } else if (name == "&#39;") {
      out.push_back('\'');
    } else {
      error = "bare ampersand";
      return out;
    }
    at = end + 1;
  }
  return out;
}

inline bool is_void(std::string_view tag) { return tag == "meta" || tag == "br" || tag == "hr"; }

inline Reading read(std::string_view text) {
  Reading reading;
  std::vector<std::string> open;
  std::size_t at = 0;
  while (at < text.size() && reading.error.empty()) {
    if (text[at] != '<') {
      const std::size_t end = std::min(text.find('<', at), text.size());
      reading.texts.push_back(resolved(text.substr(at, end - at), reading.error));
      at = end;
      continue;
    }
    if (text.substr(at, 9) == "<!doctype") {
      at = text.find('>', at) + 1;
      continue;
    }
    std::size_t end = at + 1;
    const bool closing = end < text.size() && text[end] == '/';
    if (closing) ++end;
    const std::size_t name_at = end;
    while (end < text.size() && (std::isalnum(static_cast<unsigned char>(text[end])) != 0 || text[end] == '-')) ++end;
    const std::string name(text.substr(name_at, end - name_at));
    if (name.empty()) {
      reading.error = "a tag without a name";
      break;
    }
    bool self_closed = false;
    while (end < text.size() && text[end] != '>') {
      if (text[end] == ' ' || text[end] == '\n') {
        ++end;
      } else if (text[end] == '/') {
        self_closed = true, ++end;
      } else {
        const std::size_t attribute = end;
        while (end < text.size() && text[end] != '=' && text[end] != ' ' && text[end] != '>') ++end;
        if (end < text.size() && text[end] == '=') {
          if (end + 1 >= text.size() || text[end + 1] != '"') {
            reading.error = "an attribute without quotes in " + name;
            break;
          }
          const std::size_t close = text.find('"', end + 2);
          if (close == std::string_view::npos) {
            reading.error = "an open attribute in " + name;
            break;
          }
          resolved(text.substr(end + 2, close - end - 2), reading.error);
          end = close + 1;
        }
        reading.attributes.emplace_back(text.substr(attribute, end - attribute));
      }
    }
    if (end >= text.size()) {
      if (reading.error.empty()) reading.error = "an open tag " + name;
      break;
    }
    at = end + 1;
    if (closing) {
      if (open.empty() || open.back() != name) {
        reading.error = "</" + name + "> closes " + (open.empty() ? "nothing" : open.back());
        break;
      }
      open.pop_back();
      continue;
    }
    reading.tags.push_back(name);
    if (name == "style") {   // its text is no markup
      at = text.find("</style>", at);
      if (at == std::string_view::npos) {
        reading.error = "an open style";
        break;
      }
      open.push_back(name);
      continue;
    }
    if (!self_closed && !is_void(name)) open.push_back(name);
  }
  if (reading.error.empty() && !open.empty()) reading.error = "never closed: " + open.back();
  return reading;
}
}  // namespace markup
