// Why: text files built into the program (see embed_text.cmake): reference tables and the survey file's
// schema.
#pragma once

#include <span>
#include <string_view>

namespace brookmark::core {

struct EmbeddedText {
  std::string_view name;  // path below the folder it was taken from, with '/'
  std::string_view text;
};

std::span<const EmbeddedText> embedded_reference();  // core/reference/**/*.csv, ordered by name
std::span<const EmbeddedText> embedded_schema();     // core/store/sql/*.sql, ordered by name

}  // namespace brookmark::core
