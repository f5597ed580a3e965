#include <algorithm>

#include "core/base/text.hpp"
#include "core/store/sqlite.hpp"
#include "geodata/gpkg_parts_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kTable = "handed_over_results";

// Eight digits: 32-bit FNV-1a (Fowler, Noll & Vo; memory) of a cell as SQLite tells it in text. Nothing is empty text.
std::string sum_of(std::string_view text) {
  std::uint32_t hash = 0x811c9dc5U;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x01000193U;
  constexpr const char* kDigits = "0123456789abcdef";
  std::string sum;
  for (int shift = 28; shift >= 0; shift -= 4) sum += kDigits[hash >> shift & 0xF];
  return sum;
}

std::string quoted_name(const std::string& name) {
  std::string text = "\"";
  for (const char c : name) text += c == '"' ? std::string("\"\"") : std::string(1, c);
  return text + "\"";
}

// By which a row is known again: its own key, or its number where it has none.
const char* key_column(const std::vector<std::string>& columns) {
  for (const char* key : {"uuid", "key"})
    if (std::find(columns.begin(), columns.end(), key) != columns.end()) return key;
  return "rowid";
}

std::string select_of(const std::string& layer, const char* key, const std::vector<std::string>& columns) {
  std::string sql = "SELECT " + std::string(key);
  for (const std::string& column : columns) sql += ", " + quoted_name(column);
  return sql + " FROM " + quoted_name(layer);
}

std::string text_at(const core::Statement& row, int at) {
  return row.is_null(at) ? std::string() : std::string(row.text(at));
}

}  // namespace

void add_results(const core::Database& database, std::span<const ExportTable> tables,
                 const std::string& utc) {
  database.execute(
      "CREATE TABLE handed_over_results (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, layer TEXT NOT "
      "NULL, "
      "row_key TEXT NOT NULL, sums TEXT NOT NULL)");
  register_attributes(
      database, kTable,
      "Checksums of what was worked out, by layer, row and column, when this file was made; the row without "
      "a "
      "key names the columns. Leave it as it is: it tells whether somebody changed a result by hand.",
      utc);
  core::Statement keep(database, "INSERT INTO handed_over_results (layer, row_key, sums) VALUES (?, ?, ?)");
  for (const ExportTable& table : tables) {
    if (table.name == "survey") continue;
    std::vector<std::string> all, columns;
    for (const Column& column : table.columns) {
      all.emplace_back(column.name);
      if (column.use != ColumnUse::kOwn) columns.emplace_back(column.name);
    }
    const std::string key = key_column(all);
    std::erase(columns, key);
    if (columns.empty()) continue;
    keep.run(table.name, std::string(), core::joined(columns, ","));
    core::Statement row(database, select_of(table.name, key.c_str(), columns));
    while (row.step()) {
      std::string sums;
      for (std::size_t c = 0; c < columns.size(); ++c) sums += sum_of(text_at(row, static_cast<int>(c) + 1));
      keep.run(table.name, text_at(row, 0), sums);
    }
  }
}

std::map<std::string, ChangedResults> changed_results(const core::Database& database,
                                                      const std::string& layer,
                                                      const std::vector<std::string>& columns_there) {
  std::map<std::string, ChangedResults> changed;
  std::map<std::string, std::string, std::less<>> left;
  std::vector<std::string> columns;
  core::Statement kept(database, "SELECT row_key, sums FROM handed_over_results WHERE layer = ?");
  kept.bind_all(layer);
  while (kept.step()) {
    if (kept.text(0).empty())
      columns = core::split(kept.text(1), ',');
    else
      left.emplace(kept.text(0), kept.text(1));
  }
  const auto is_there = [&](const std::string& column) {
    return std::find(columns_there.begin(), columns_there.end(), column) != columns_there.end();
  };
  std::vector<std::string> present;
  std::vector<std::size_t> places;
  for (std::size_t c = 0; c < columns.size(); ++c)
    if (is_there(columns[c])) {
      present.push_back(columns[c]);
      places.push_back(c);
    }
  if (present.empty()) return changed;
  core::Statement row(database, select_of(layer, key_column(columns_there), present));
  while (row.step()) {
    const auto was = left.find(text_at(row, 0));
    if (was == left.end() || was->second.size() != columns.size() * 8) continue;
    for (std::size_t c = 0; c < present.size(); ++c) {
      std::string text = text_at(row, static_cast<int>(c) + 1);
      if (was->second.compare(places[c] * 8, 8, sum_of(text)) != 0)
        changed[was->first].emplace(present[c], std::move(text));
    }
  }
  return changed;
}

}  // namespace brookmark::geodata
