#include "geodata/sqlite_guard_internal.hpp"

#include <cpl_conv.h>
#include <gdal.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <set>

#include "core/base/text.hpp"
#include "core/store/sqlite.hpp"

namespace brookmark::geodata {

namespace {

namespace fs = std::filesystem;

bool is_sqlite(const fs::path& file) {
  constexpr std::string_view kMagic("SQLite format 3\0", 16);  // https://www.sqlite.org/fileformat.html, 1.3
  std::array<char, kMagic.size()> head{};
  std::ifstream in(file, std::ios::binary);
  return in.read(head.data(), head.size()) && std::string_view(head.data(), head.size()) == kMagic;
}

bool has_live_log(const fs::path& file) {
  std::error_code none;
  const auto size = fs::file_size(file.string() + "-wal", none);
  return !none && size > 0;
}

// The views that SpatiaLite makes in every database of its own.
const std::set<std::string>& spatialite_views() {
  static const std::set<std::string> kViews = [] {
    std::set<std::string> views;
    for (const char* make :
         {"SELECT InitSpatialMetaData(1, 'WGS84_ONLY')", "SELECT InitSpatialMetaDataFull(1, 'WGS84_ONLY')"}) {
      const core::Database database({}, core::OpenMode::kMemory, 0);
      database.query_integer(make);
      core::Statement rows(database, "SELECT sql FROM sqlite_master WHERE type = 'view'");
      while (rows.step()) views.emplace(rows.text(0));
    }
    return views;
  }();
  return kViews;
}

bool is_harmless_module(const std::string& module) {
  constexpr std::string_view kIndexes[] = {"rtree",      "rtree_i32",   "fts3",
                                           "fts4",       "fts5",        "virtualspatialindex",
                                           "virtualknn", "virtualknn2", "virtualelementary"};
  return std::find(std::begin(kIndexes), std::end(kIndexes), module) != std::end(kIndexes);
}

bool is_table_of_tiles(const fs::path& file, std::string_view name, const std::string& sql) {
  return core::to_lower_ascii(file.extension().string()) == ".mbtiles" && name == "tiles" &&
         core::to_lower_ascii(sql).find("with") == std::string::npos;
}

void look_through(const fs::path& file, unsigned kind, const core::Database& database) {
  const auto refuse = [&](const std::string& what) {
    throw Error(
        ErrorCode::kBadInput,
        what +
            "; this is not read from a file of others: save the layer that you need as a plain layer of a "
            "new file, and import that",
        file.string());
  };
  core::Statement rows(
      database, "SELECT type, name, coalesce(sql, '') FROM sqlite_master WHERE type IN ('table', 'view')");
  while (rows.step()) {
    const std::string name(rows.text(1)), sql(rows.text(2));
    if (rows.text(0) == "view") {
      if ((kind & GDAL_OF_RASTER) == 0 && !spatialite_views().contains(sql) &&
          !is_table_of_tiles(file, name, sql))
        refuse("\"" + name + "\" is a view, which is worked out when it is read and may have no end");
    } else if (core::to_lower_ascii(sql.substr(0, 14)) == "create virtual") {
      if (!is_harmless_module(module_of(sql)))
        refuse("\"" + name + "\" is a virtual table, which may stand for another file of this machine");
    } else {
      core::Statement columns(database, "SELECT name FROM pragma_table_xinfo(?) WHERE hidden IN (2, 3)");
      columns.bind_all(name);
      if (columns.step())
        refuse("the column \"" + std::string(columns.text(0)) + "\" of \"" + name +
               "\" is computed when it is read");
    }
  }
}

bool is_word(char c) {
  return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
}

// What stands between quotes, or a bare word; `at` goes behind it. False where there is no end.
bool skip_name(std::string_view text, std::size_t& at) {
  if (at == text.size()) return false;
  const char open = text[at], close = open == '[' ? ']' : open;
  if (open != '"' && open != '\'' && open != '`' && open != '[') {
    const std::size_t begin = at;
    while (at < text.size() && is_word(text[at])) ++at;
    return at > begin;
  }
  for (++at; at < text.size(); ++at) {
    if (text[at] != close) continue;
    ++at;
    if (close == ']' || at == text.size() || text[at] != close) return true;
  }
  return false;
}

}  // namespace

std::string module_of(const std::string& create_statement) {
  const std::string text = core::to_lower_ascii(create_statement);
  std::size_t at = 0;
  const auto skip_spaces = [&] {
    const std::size_t begin = at;
    while (at < text.size() && (text[at] == ' ' || text[at] == '\n' || text[at] == '\r' || text[at] == '\t'))
      ++at;
    return at > begin;
  };
  const auto skip_word = [&](std::string_view word) {
    if (!std::string_view(text).substr(at).starts_with(word)) return false;
    at += word.size();
    return true;
  };
  for (const char* word : {"create", "virtual", "table"})
    if (!skip_word(word) || !skip_spaces()) return {};
  if (!skip_name(text, at)) return {};
  skip_spaces();
  if (!skip_word("using") || !skip_spaces()) return {};
  const std::size_t begin = at;
  if (!skip_name(text, at) || text[begin] == '"' || text[begin] == '\'' || text[begin] == '`' ||
      text[begin] == '[')
    return {};
  const std::string module = text.substr(begin, at - begin);
  skip_spaces();
  return at == text.size() || text[at] == '(' ? module : std::string();
}

void refuse_what_runs(const fs::path& file, unsigned kind) {
  if (!is_sqlite(file)) return;
  try {
    // A log beside it belongs to the database; without one nothing is written beside it.
    const core::Database database(
        file, has_live_log(file) ? core::OpenMode::kReadOnly : core::OpenMode::kImmutable, 1000);
    database.execute("PRAGMA trusted_schema = OFF; PRAGMA query_only = ON");
    look_through(file, kind, database);
  } catch (const core::SqliteError& error) {
    if (error.code() == ErrorCode::kLocked) throw;
    throw Error(ErrorCode::kBadInput,
                "this database cannot be read, or it is damaged (" + std::string(error.what()) + ")",
                file.string());
  }
}

CarefulSqlite::CarefulSqlite() {
  CPLSetThreadLocalConfigOption("OGR_SQLITE_PRAGMA", "trusted_schema=0");
}

CarefulSqlite::~CarefulSqlite() {
  CPLSetThreadLocalConfigOption("OGR_SQLITE_PRAGMA", nullptr);
}

}  // namespace brookmark::geodata
