// Why: a spreadsheet's export is the commonest way in. RFC 4180, plus what spreadsheets really write.
// Use: Table t = read_csv_file("records.csv"); t.rows[0].cells[*t.find("taxon")]
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/table.hpp"

namespace brookmark::core {

struct CsvOptions {
  std::optional<char> separator;  // default: whichever of , ; tab splits the header into most cells
};

// Reads text with a header line. Understands quotes, CR LF, a UTF-8 byte order mark, blank lines (skipped).
// Throws Error(kBadInput) for empty text, text that is not UTF-8, an unclosed quote, duplicate or missing
// headers. A row with more or fewer cells than the header is kept with an `issue` on it; it never has more cells
// than the header, and may have fewer.
Table read_csv(std::string_view text, const std::string& file_name, const CsvOptions& options = {});
Table read_csv_file(const std::filesystem::path& file, const CsvOptions& options = {});

// One cell, quoted where RFC 4180 asks for it.
std::string csv_cell(std::string_view value);

}  // namespace brookmark::core
