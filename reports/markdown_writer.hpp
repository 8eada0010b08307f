// A document as plain Markdown that reads well before it is rendered: aligned tables, bars in
// characters, no markup but folded details. The same document gives the same bytes.
#pragma once
#include "reports/document.hpp"

#include <string>

namespace dripleg::reports {
std::string write_markdown(const Document& document);
}
