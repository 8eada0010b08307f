#include "reports/prose.hpp"

#include "reports/unicode.hpp"

#include <algorithm>
#include <cmark.h>
#include <cstdlib>
#include <memory>
#include <string>
#include <vector>

namespace dripleg::reports {
struct ProseDoor {
  static HtmlProse html(std::string text) { return HtmlProse(EscapePass(), std::move(text)); }
  static MarkdownProse markdown(std::string text) { return MarkdownProse(EscapePass(), std::move(text)); }
};

namespace {
struct NodeFree {
  void operator()(cmark_node* node) const { cmark_node_free(node); }
};
struct IterFree {
  void operator()(cmark_iter* iter) const { cmark_iter_free(iter); }
};
struct TextFree {
  void operator()(char* text) const { std::free(text); }
};
using Tree = std::unique_ptr<cmark_node, NodeFree>;
using Iter = std::unique_ptr<cmark_iter, IterFree>;

std::string_view literal_of(cmark_node* node) {
  const char* text = cmark_node_get_literal(node);
  return text == nullptr ? std::string_view() : std::string_view(text);
}

// Forbidden characters taken out, line ends made alike.
std::string readable(std::string_view author) {
  std::string out;
  out.reserve(author.size());
  for (std::size_t at = 0; at < author.size();) {
    const Character c = read_character(author, at);
    at += c.bytes;
    if (c.value == '\n' || !is_forbidden(c.value)) append_utf8(out, c.value);
    if (c.value == '\t') out += "    ";
  }
  return out;
}

bool is_blank(char c) { return c == ' '; }

// How many quote and list signs stand in front of a line's words.
std::size_t leading_signs(std::string_view line) {
  std::size_t signs = 0;
  std::size_t at = 0;
  while (at < line.size()) {
    if (is_blank(line[at])) {
      ++at;
      continue;
    }
    std::size_t end = at;
    while (end < line.size() && line[end] >= '0' && line[end] <= '9') ++end;
    const bool numbered = end > at && end < line.size() && (line[end] == '.' || line[end] == ')');
    const bool bullet = end == at && (line[at] == '-' || line[at] == '+' || line[at] == '*');
    const bool quote = line[at] == '>';
    if (!numbered && !bullet && !quote) break;
    at = numbered ? end + 1 : at + 1;
    if (!quote && at < line.size() && !is_blank(line[at])) break;
    ++signs;
  }
  return signs;
}

bool parses_quickly(std::string_view text) {
  if (text.size() > most_prose_bytes) return false;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    if (leading_signs(text.substr(at, end - at)) > most_prose_nesting) return false;
    at = end + 1;
  }
  return true;
}

std::vector<std::string> plain_paragraphs(std::string_view text) {
  std::vector<std::string> paragraphs;
  std::string paragraph;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = text.substr(at, end - at);
    const bool empty = line.find_first_not_of(' ') == std::string_view::npos;
    if (!empty) paragraph += (paragraph.empty() ? "" : "\n") + std::string(line);
    if ((empty || end == text.size()) && !paragraph.empty()) paragraphs.push_back(std::move(paragraph)), paragraph.clear();
    at = end + 1;
  }
  return paragraphs;
}

// ---- making the parsed tree harmless ----------------------------------------------------------

void unwrap(cmark_node* node) {
  while (cmark_node* child = cmark_node_first_child(node)) {
    cmark_node_unlink(child);
    cmark_node_insert_before(node, child);
  }
  cmark_node_unlink(node);
  cmark_node_free(node);
}

cmark_node* text_node(const std::string& text) {
  cmark_node* node = cmark_node_new(CMARK_NODE_TEXT);
  cmark_node_set_literal(node, text.c_str());
  return node;
}

std::string words_of(cmark_node* node) {
  std::string words;
  const Iter iter(cmark_iter_new(node));
  for (cmark_event_type event; (event = cmark_iter_next(iter.get())) != CMARK_EVENT_DONE;) {
    cmark_node* at = cmark_iter_get_node(iter.get());
    const cmark_node_type type = cmark_node_get_type(at);
    if (event == CMARK_EVENT_ENTER && (type == CMARK_NODE_TEXT || type == CMARK_NODE_CODE)) words += literal_of(at);
  }
  return words;
}

void settle_link(cmark_node* node) {
  const char* raw = cmark_node_get_url(node);
  const std::optional<WebAddress> address = web_address(raw == nullptr ? "" : raw);
  if (!address || cmark_node_first_child(node) == nullptr) return unwrap(node);
  cmark_node_set_url(node, address->address.c_str());
  cmark_node_set_title(node, "");
  if (words_of(node).find(address->host) != std::string::npos) return;
  cmark_node_insert_after(node, text_node(" (" + address->host + ")"));
}

void settle_markup(cmark_node* node, bool block) {
  std::string text(literal_of(node));
  while (!text.empty() && text.back() == '\n') text.pop_back();
  cmark_node* words = text_node(text);
  if (block) {
    cmark_node* paragraph = cmark_node_new(CMARK_NODE_PARAGRAPH);
    cmark_node_append_child(paragraph, words);
    words = paragraph;
  }
  cmark_node_insert_before(node, words);
  cmark_node_unlink(node);
  cmark_node_free(node);
}

void settle_node(cmark_node* node, int heading_level) {
  switch (static_cast<int>(cmark_node_get_type(node))) {
    case CMARK_NODE_HEADING:
      cmark_node_set_heading_level(node, std::clamp(heading_level + cmark_node_get_heading_level(node), 1, 6));
      break;
    case CMARK_NODE_CODE_BLOCK: cmark_node_set_fence_info(node, ""); break;
    case CMARK_NODE_HTML_BLOCK: settle_markup(node, true); break;
    case CMARK_NODE_HTML_INLINE: settle_markup(node, false); break;
    case CMARK_NODE_IMAGE: unwrap(node); break;
    case CMARK_NODE_LINK: settle_link(node); break;
    default: break;   // the other kinds of a foreign library are harmless as they are
  }
}

Tree parse(std::string_view text, int heading_level) {
  Tree tree(cmark_parse_document(text.data(), text.size(), CMARK_OPT_VALIDATE_UTF8));
  std::vector<cmark_node*> nodes;
  {
    const Iter iter(cmark_iter_new(tree.get()));
    for (cmark_event_type event; (event = cmark_iter_next(iter.get())) != CMARK_EVENT_DONE;) {
      if (event == CMARK_EVENT_ENTER) nodes.push_back(cmark_iter_get_node(iter.get()));
    }
  }
  // Children come after their parents in this order: unwrapping from the end never frees a node
  // that is still to be visited.
  for (std::size_t i = nodes.size(); i-- > 0;) settle_node(nodes[i], heading_level);
  cmark_consolidate_text_nodes(tree.get());
  return tree;
}

// ---- Markdown again ---------------------------------------------------------------------------

class MarkdownProseWriter {
 public:
  std::string write(cmark_node* root) {
    const Iter iter(cmark_iter_new(root));
    for (cmark_event_type event; (event = cmark_iter_next(iter.get())) != CMARK_EVENT_DONE;) {
      cmark_node* node = cmark_iter_get_node(iter.get());
      event == CMARK_EVENT_ENTER ? enter(node) : leave(node);
    }
    while (!out_.empty() && (out_.back() == '\n' || out_.back() == ' ')) out_.pop_back();
    if (!out_.empty()) out_.push_back('\n');
    return std::move(out_);
  }

 private:
  void begin_line() {
    if (!at_line_start_) return;
    out_ += pending_;
    pending_ = prefix_;
    at_line_start_ = false;
    fresh_line_ = true;
  }

  void end_line() {
    out_.push_back('\n');
    at_line_start_ = true;
  }

  void begin_block() {
    if (!first_in_container_ && !tight_) {
      std::string bare = pending_;
      while (!bare.empty() && bare.back() == ' ') bare.pop_back();
      out_ += bare;
      end_line();
    }
    first_in_container_ = false;
    begin_line();
  }

  void open_container(const std::string& first, const std::string& rest) {
    if (at_line_start_) begin_block();
    out_ += first;
    prefixes_.push_back(prefix_.size());
    prefix_ += rest;
    pending_ = prefix_;
    first_in_container_ = true;
    // Words that follow on this very line belong to the container's first block.
    inside_line_ = true;
  }

  void close_container() {
    if (inside_line_) end_line();
    inside_line_ = false;
    prefix_.resize(prefixes_.back());
    prefixes_.pop_back();
    pending_ = prefix_;
    first_in_container_ = false;
  }

  void begin_words() {
    if (inside_line_) {
      inside_line_ = false;
      first_in_container_ = false;
      at_line_start_ = false;
      fresh_line_ = true;
    } else {
      begin_block();
    }
  }

  void text(std::string_view words) {
    const std::size_t first = words.find_first_not_of(' ');
    if (first == std::string_view::npos) {
      if (!fresh_line_) out_.append(words);
      return;
    }
    const std::size_t last = words.find_last_not_of(' ');
    if (!fresh_line_) out_.append(first, ' ');
    out_ += fresh_line_ ? markdown_text(words).text() : markdown_cell(words).text();
    out_.append(words.size() - 1 - last, ' ');
    fresh_line_ = false;
  }

  void sign(std::string_view mark) {
    out_ += mark;
    fresh_line_ = false;
  }

  void block_lines(const std::string& lines) {
    begin_words();
    std::size_t at = 0;
    while (at < lines.size()) {
      const std::size_t end = std::min(lines.find('\n', at), lines.size());
      if (at > 0) begin_line();
      out_ += lines.substr(at, end - at);
      end_line();
      at = end + 1;
    }
  }

  std::string item_mark(cmark_node* item) const {
    cmark_node* list = cmark_node_parent(item);
    if (cmark_node_get_list_type(list) == CMARK_BULLET_LIST) return "- ";
    std::size_t number = static_cast<std::size_t>(std::max(cmark_node_get_list_start(list), 0));
    for (cmark_node* before = cmark_node_previous(item); before != nullptr; before = cmark_node_previous(before)) ++number;
    return std::to_string(number) + ". ";
  }

  static bool in_tight_list(cmark_node* node) {
    cmark_node* item = cmark_node_parent(node);
    cmark_node* list = item == nullptr ? nullptr : cmark_node_parent(item);
    return list != nullptr && cmark_node_get_type(list) == CMARK_NODE_LIST && cmark_node_get_list_tight(list) != 0;
  }

  void enter(cmark_node* node) {
    switch (static_cast<int>(cmark_node_get_type(node))) {
      case CMARK_NODE_BLOCK_QUOTE: tight_ = false, open_container("> ", "> "); break;
      case CMARK_NODE_ITEM: {
        const bool tight = cmark_node_get_list_tight(cmark_node_parent(node)) != 0;
        tight_ = tight && (cmark_node_previous(node) != nullptr || in_tight_list(cmark_node_parent(node)));
        const std::string mark = item_mark(node);
        open_container(mark, std::string(mark.size(), ' '));
        break;
      }
      case CMARK_NODE_PARAGRAPH: tight_ = in_tight_list(node), begin_words(); break;
      case CMARK_NODE_HEADING:
        tight_ = false, begin_words();
        sign(std::string(static_cast<std::size_t>(cmark_node_get_heading_level(node)), '#') + " ");
        break;
      case CMARK_NODE_THEMATIC_BREAK: tight_ = false, block_lines("---\n"); break;
      case CMARK_NODE_CODE_BLOCK: tight_ = false, block_lines(markdown_fence(literal_of(node)).text()); break;
      case CMARK_NODE_TEXT: text(literal_of(node)); break;
      case CMARK_NODE_CODE: sign(markdown_code(literal_of(node)).text()); break;
      case CMARK_NODE_SOFTBREAK: end_line(), begin_line(); break;
      case CMARK_NODE_LINEBREAK: out_.push_back('\\'), end_line(), begin_line(); break;
      case CMARK_NODE_EMPH: sign("*"); break;
      case CMARK_NODE_STRONG: sign("**"); break;
      case CMARK_NODE_LINK:
        if (!out_.empty() && out_.back() == '!') out_.insert(out_.size() - 1, 1, '\\');   // else a picture
        sign("[");
        break;
      default: break;   // documents and lists print nothing themselves
    }
  }

  void leave(cmark_node* node) {
    switch (static_cast<int>(cmark_node_get_type(node))) {
      case CMARK_NODE_BLOCK_QUOTE:
      case CMARK_NODE_ITEM: close_container(); break;
      case CMARK_NODE_PARAGRAPH:
      case CMARK_NODE_HEADING: end_line(); break;
      case CMARK_NODE_EMPH: sign("*"); break;
      case CMARK_NODE_STRONG: sign("**"); break;
      case CMARK_NODE_LINK: {
        const std::optional<WebAddress> address = web_address(cmark_node_get_url(node));
        sign("](" + (address ? markdown_link(*address).text() : std::string()) + ")");
        break;
      }
      default: break;
    }
  }

  std::string out_;
  std::string prefix_;                  // of every further line of the open containers
  std::string pending_;                 // of the next line
  std::vector<std::size_t> prefixes_;   // lengths to go back to
  bool at_line_start_ = true;
  bool inside_line_ = false;            // just behind a container's mark
  bool first_in_container_ = true;
  bool tight_ = false;
  bool fresh_line_ = true;              // no word on this line yet
};
}  // namespace

HtmlProse html_prose(std::string_view author, int heading_level) {
  const std::string text = readable(author);
  if (!parses_quickly(text)) {
    std::string out;
    for (const std::string& paragraph : plain_paragraphs(text)) out += "<p>" + html_text(paragraph).text() + "</p>\n";
    return ProseDoor::html(std::move(out));
  }
  const Tree tree = parse(text, heading_level);
  const std::unique_ptr<char, TextFree> html(cmark_render_html(tree.get(), CMARK_OPT_DEFAULT));
  return ProseDoor::html(html == nullptr ? std::string() : std::string(html.get()));
}

MarkdownProse markdown_prose(std::string_view author, int heading_level) {
  const std::string text = readable(author);
  if (!parses_quickly(text)) {
    std::string out;
    for (const std::string& paragraph : plain_paragraphs(text)) {
      out += (out.empty() ? "" : "\n") + markdown_text(paragraph).text() + "\n";
    }
    return ProseDoor::markdown(std::move(out));
  }
  const Tree tree = parse(text, heading_level);
  return ProseDoor::markdown(MarkdownProseWriter().write(tree.get()));
}
}  // namespace dripleg::reports
