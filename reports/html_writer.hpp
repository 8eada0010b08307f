// A document as one page: no script, no outside request, a strict content policy, style and
// drawings inline, for screen (light and dark) and paper. The same document gives the same bytes.
#pragma once
#include "reports/document.hpp"

#include <string>

namespace dripleg::reports {
std::string write_html(const Document& document);
}
