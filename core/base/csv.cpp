#include "core/base/csv.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <set>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

struct RawRow {
  std::size_t line = 0;
  std::vector<std::string> cells;
};

// Splits text into rows of cells; one reader, so that quotes may span lines.
class CsvScanner {
 public:
  CsvScanner(std::string_view text, char separator, const std::string& file_name)
      : text_(text), separator_(separator), file_name_(file_name) {}

  std::optional<RawRow> next() {
    while (at_ < text_.size()) {
      RawRow row{line_, {}};
      bool blank = true;
      for (;;) {
        row.cells.push_back(cell());
        blank = blank && row.cells.back().empty();
        if (at_ < text_.size() && text_[at_] == separator_) {
          ++at_;
          continue;
        }
        break;
      }
      end_of_line();
      if (!blank) return row;  // also a row of separators only counts as blank
    }
    return std::nullopt;
  }

 private:
  std::string cell() {
    std::string value;
    if (at_ < text_.size() && text_[at_] == '"') {
      const std::size_t opened = line_;
      ++at_;
      for (;;) {
        if (at_ >= text_.size())
          throw Error(ErrorCode::kBadInput, "a quoted cell is never closed; look for a lone \" mark",
                      file_name_ + ", line " + std::to_string(opened));
        const char c = text_[at_++];
        if (c == '"') {
          if (at_ < text_.size() && text_[at_] == '"') {
            value += '"';
            ++at_;
          } else {
            break;
          }
        } else {
          if (c == '\n') ++line_;
          value += c;
        }
      }
    }
    while (at_ < text_.size() && text_[at_] != separator_ && text_[at_] != '\n' && text_[at_] != '\r')
      value += text_[at_++];
    return std::string(trim(value));
  }

  void end_of_line() {
    if (at_ < text_.size() && text_[at_] == '\r') ++at_;
    if (at_ < text_.size() && text_[at_] == '\n') ++at_;
    ++line_;
  }

  std::string_view text_;
  char separator_;
  const std::string& file_name_;
  std::size_t at_ = 0;
  std::size_t line_ = 1;
};

char guess_separator(std::string_view text) {
  const std::string_view header = text.substr(0, text.find_first_of("\r\n"));
  char best = ',';
  std::ptrdiff_t most = 0;
  for (const char candidate : {',', ';', '\t'}) {
    bool quoted = false;
    std::ptrdiff_t count = 0;
    for (const char c : header) {
      if (c == '"') quoted = !quoted;
      if (c == candidate && !quoted) ++count;
    }
    if (count > most) most = count, best = candidate;
  }
  return best;
}

// "12,5" somewhere and nowhere "12.5": the numbers are written with a decimal comma.
bool has_decimal_commas(const std::vector<TableRow>& rows) {
  bool comma = false;
  for (const TableRow& row : rows)
    for (const std::string& value : row.cells) {
      if (value.find_first_not_of("0123456789.,-+") != std::string::npos) continue;
      if (value.find('.') != std::string::npos && parse_number(value)) return false;
      comma = comma || (value.find(',') != std::string::npos && parse_number(value, ',').has_value());
    }
  return comma;
}

void check_header(const Table& table) {
  std::set<std::string> seen;
  for (std::size_t i = 0; i < table.columns.size(); ++i) {
    if (table.columns[i].empty())
      throw Error(ErrorCode::kBadInput,
                  "column " + std::to_string(i + 1) + " has no heading; give each column a name", table.file);
    if (!seen.insert(table.columns[i]).second)
      throw Error(ErrorCode::kBadInput,
                  "two columns are headed \"" + table.columns[i] + "\"; rename one of them", table.file);
  }
}

}  // namespace

Table read_csv(std::string_view text, const std::string& file_name, const CsvOptions& options) {
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  if (trim(text).empty())
    throw Error(ErrorCode::kBadInput, "the file is empty; it needs a header line and rows", file_name);
  if (text.substr(0, 2) == "\xFF\xFE" || text.substr(0, 2) == "\xFE\xFF" || !is_valid_utf8(text) ||
      text.find('\0') != std::string_view::npos)
    throw Error(ErrorCode::kBadInput, "the text is not UTF-8; save the table again as CSV in UTF-8",
                file_name);
  const char separator = options.separator.value_or(guess_separator(text));
  CsvScanner scanner(text, separator, file_name);
  Table table;
  table.file = file_name;
  if (auto header = scanner.next()) table.columns = std::move(header->cells);
  check_header(table);
  while (auto raw = scanner.next()) {
    TableRow row{raw->line, std::move(raw->cells), {}, {}};
    while (row.cells.size() > table.columns.size() && row.cells.back().empty()) row.cells.pop_back();
    if (row.cells.size() != table.columns.size()) {
      row.issue =
          "this row has " + std::to_string(row.cells.size()) + (row.cells.size() == 1 ? " cell" : " cells") +
          " and the header " + std::to_string(table.columns.size()) +
          "; a comma inside a value needs quotes around the value, and every column needs its separator";
      if (row.cells.size() > table.columns.size()) row.cells.resize(table.columns.size());
    }
    table.rows.push_back(std::move(row));
  }
  if (separator != ',' && has_decimal_commas(table.rows)) table.decimal = ',';
  return table;
}

Table read_csv_file(const std::filesystem::path& file, const CsvOptions& options) {
  std::error_code code;
  if (!std::filesystem::exists(file, code))
    throw Error(ErrorCode::kNotFound, "there is no such file; check the name and the folder", file.string());
  if (std::filesystem::is_directory(file, code))
    throw Error(ErrorCode::kBadInput, "this is a folder; name the file in it", file.string());
  std::ifstream in(file, std::ios::binary);
  if (!in) throw Error(ErrorCode::kStorage, "the file cannot be opened for reading", file.string());
  const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (in.bad()) throw Error(ErrorCode::kStorage, "the file could not be read to its end", file.string());
  return read_csv(text, file.filename().string(), options);
}

std::string csv_cell(std::string_view value) {
  if (value.find_first_of(",\"\r\n") == std::string_view::npos &&
      (value.empty() || (value.front() != ' ' && value.back() != ' ')))
    return std::string(value);
  std::string quoted = "\"";
  for (const char c : value) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

}  // namespace brookmark::core
