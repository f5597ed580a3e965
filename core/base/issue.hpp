// Why: bad field data is data. An import or a check returns findings; it does not throw for them.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace brookmark::core {

enum class Severity : std::uint8_t { kNote, kWarning, kError };

// One finding. `line` is 1-based in `file`, 0 when the finding has no line.
struct Issue {
  Severity severity = Severity::kError;
  std::string file;
  std::size_t line = 0;
  std::string column;
  std::string text;  // a sentence: what is wrong and what to do
};

using Issues = std::vector<Issue>;

// "error", "warning" or "note".
const char* severity_name(Severity severity);

}  // namespace brookmark::core
