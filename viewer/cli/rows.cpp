#include "viewer/cli/rows.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <ostream>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"

namespace brookmark::viewer {

namespace {

std::string cell_text(const Cell& cell) {
  if (const auto* value = std::get_if<std::string>(&cell)) return *value;
  if (const auto* value = std::get_if<std::int64_t>(&cell)) return std::to_string(*value);
  if (const auto* value = std::get_if<Number>(&cell))
    return core::format_fixed(value->value, value->decimals);
  if (const auto* value = std::get_if<bool>(&cell)) return *value ? "yes" : "no";
  return {};
}

bool is_numeric(const Cell& cell) {
  return std::holds_alternative<std::int64_t>(cell) || std::holds_alternative<Number>(cell);
}

// Characters as a terminal counts them: UTF-8 continuation bytes take no room.
std::size_t width_of(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

std::vector<std::string> wrapped(const std::string& text, std::size_t width) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t space = text.find(' ', at);
    const std::string word = text.substr(at, space == std::string::npos ? space : space - at);
    if (!line.empty() && width_of(line) + 1 + width_of(word) > width) {
      lines.push_back(line);
      line.clear();
    }
    line += (line.empty() ? "" : " ") + word;
    at = space == std::string::npos ? text.size() : space + 1;
  }
  lines.push_back(line);
  return lines;
}

void print_table(const Rows& rows, std::ostream& out, std::size_t width) {
  const std::size_t count = rows.columns.size();
  std::vector<std::size_t> widths;
  std::vector<bool> right(count, true);
  for (const std::string& column : rows.columns) widths.push_back(width_of(column));
  for (const auto& row : rows.rows)
    for (std::size_t i = 0; i < count; ++i) {
      widths[i] = std::max(widths[i], width_of(cell_text(row[i])));
      right[i] = right[i] && (is_numeric(row[i]) || std::holds_alternative<std::monostate>(row[i]));
    }
  std::size_t before_last = 0;
  for (std::size_t i = 0; i + 1 < count; ++i) before_last += widths[i] + 2;
  constexpr std::size_t kNarrowest = 24;
  if (width > before_last + kNarrowest) widths.back() = std::min(widths.back(), width - before_last);

  const auto line = [&](const std::vector<std::string>& cells) {
    std::string text;
    for (std::size_t i = 0; i < count; ++i) {
      const std::string padding(widths[i] - std::min(widths[i], width_of(cells[i])), ' ');
      text += (i == 0 ? "" : "  ") + (right[i] ? padding + cells[i] : cells[i] + padding);
    }
    out << text.substr(0, text.find_last_not_of(' ') + 1) << '\n';
  };
  line(rows.columns);
  std::size_t rule = 0;
  for (std::size_t i = 0; i < count; ++i) rule += widths[i] + (i == 0 ? 0 : 2);
  for (std::size_t i = 0; i < rule; ++i) out << "─";
  out << '\n';
  for (const auto& row : rows.rows) {
    std::vector<std::string> cells;
    for (const Cell& cell : row) cells.push_back(cell_text(cell));
    const std::vector<std::string> last = wrapped(cells.back(), std::max<std::size_t>(widths.back(), 1));
    cells.back() = last.front();
    line(cells);
    for (std::size_t i = 1; i < last.size(); ++i) {
      std::fill(cells.begin(), cells.end(), "");
      cells.back() = last[i];
      line(cells);
    }
  }
}

void print_csv(const Rows& rows, std::ostream& out) {
  for (std::size_t i = 0; i < rows.columns.size(); ++i)
    out << (i == 0 ? "" : ",") << core::csv_cell(rows.columns[i]);
  out << '\n';
  for (const auto& row : rows.rows) {
    for (std::size_t i = 0; i < row.size(); ++i)
      out << (i == 0 ? "" : ",") << core::csv_cell(cell_text(row[i]));
    out << '\n';
  }
}

void print_json(const Rows& rows, std::ostream& out) {
  out << '[';
  for (std::size_t r = 0; r < rows.rows.size(); ++r) {
    nlohmann::ordered_json object;
    for (std::size_t i = 0; i < rows.columns.size(); ++i) {
      const Cell& cell = rows.rows[r][i];
      auto& slot = object[rows.columns[i]];
      if (const auto* value = std::get_if<std::string>(&cell)) slot = *value;
      if (const auto* value = std::get_if<std::int64_t>(&cell)) slot = *value;
      if (const auto* value = std::get_if<bool>(&cell)) slot = *value;
      if (const auto* value = std::get_if<Number>(&cell))
        slot = core::parse_number(core::format_fixed(value->value, value->decimals)).value_or(value->value);
    }
    out << (r == 0 ? "\n" : ",\n") << object.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  }
  out << (rows.rows.empty() ? "]\n" : "\n]\n");
}

}  // namespace

Cell exact(double value) {
  const std::string written = core::format_number(value);
  const std::size_t point = written.find('.');
  if (written.find('e') != std::string::npos) return written;
  return Number{value, point == std::string::npos ? 0 : static_cast<int>(written.size() - point - 1)};
}

Cell significant(double value, int digits) {
  std::array<char, 64> text{};
  const auto [end, error] =
      std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific, digits - 1);
  if (error != std::errc{}) return {};
  const std::string_view written(text.data(), static_cast<std::size_t>(end - text.data()));  // "-1.2340e-05"
  const std::size_t exponent_at = written.find('e');
  if (exponent_at == std::string_view::npos) return {};  // not a number
  std::string_view mantissa = written.substr(0, exponent_at);
  int decimals = 0;
  if (const std::size_t point = mantissa.find('.'); point != std::string_view::npos) {
    mantissa = mantissa.substr(0, mantissa.find_last_not_of('0') + 1);
    decimals = static_cast<int>(mantissa.size() - point - 1);
  }
  const int exponent = std::atoi(written.data() + exponent_at + 1);
  return Number{core::parse_number(written).value_or(value), std::max(0, decimals - exponent)};
}

Cell exact_or_empty(const std::optional<double>& value) {
  if (!value) return {};
  return exact(*value);
}

Cell text_or_empty(std::string_view value) {
  if (value.empty()) return {};
  return std::string(value);
}

void print(const Rows& rows, Format format, std::ostream& out, std::size_t width) {
  switch (format) {
    case Format::kTable:
      print_table(rows, out, width);
      break;
    case Format::kCsv:
      print_csv(rows, out);
      break;
    case Format::kJson:
      print_json(rows, out);
      break;
  }
}

}  // namespace brookmark::viewer
