#include "core/store/schema_guard.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <cctype>
#include <set>
#include <string>
#include <string_view>

#include "core/base/text.hpp"

namespace brookmark::core {
namespace {

constexpr std::string_view kStart = "create table ";

std::set<std::string> tables_of(std::span<const Migration> migrations) {
  std::set<std::string> tables;
  for (const Migration& migration : migrations) {
    const std::string sql = to_lower_ascii(migration.sql);
    for (std::size_t at = sql.find(kStart); at != std::string::npos; at = sql.find(kStart, at)) {
      at += kStart.size();
      const auto end = std::find_if(sql.begin() + static_cast<std::ptrdiff_t>(at), sql.end(), [](char c) {
        return std::isalnum(static_cast<unsigned char>(c)) == 0 && c != '_';
      });
      tables.emplace(sql.begin() + static_cast<std::ptrdiff_t>(at), end);
    }
  }
  return tables;
}

// "gii_site_geom" on site: what SpatiaLite's AddGeometryColumn and CreateSpatialIndex make.
bool is_of_shapes(std::string_view trigger, const std::string& table) {
  static constexpr std::string_view kMade[] = {"ggi", "ggu", "gii", "giu", "gid", "tmi", "tmu", "tmd"};
  return std::any_of(std::begin(kMade), std::end(kMade), [&](std::string_view made) {
    return trigger == std::string(made) + "_" + table + "_geom";
  });
}

bool is_allowed_in_triggers(std::string_view function) {
  static constexpr std::string_view kNeeded[] = {"geometryconstraints", "rtreealign", "lower", "strftime",
                                                 "like"};
  return std::find(std::begin(kNeeded), std::end(kNeeded), to_lower_ascii(function)) != std::end(kNeeded);
}

bool keeps_an_index(std::string_view table) {
  const std::string name = to_lower_ascii(table);
  return name.starts_with("idx_") || name == "geometry_columns_time";
}

// https://www.sqlite.org/c3ref/c_alter_table.html: what the words are for each action; `inner` is the view or trigger.
int judge(void*, int action, const char* first, const char* second, const char*, const char* inner) {
  if (inner == nullptr) return SQLITE_OK;
  switch (action) {
    case SQLITE_SELECT:
    case SQLITE_READ:
      return SQLITE_OK;
    case SQLITE_FUNCTION:
      return is_allowed_in_triggers(second) ? SQLITE_OK : SQLITE_DENY;
    case SQLITE_INSERT:
    case SQLITE_UPDATE:
    case SQLITE_DELETE:
      return keeps_an_index(first) ? SQLITE_OK : SQLITE_DENY;
    default:
      return SQLITE_DENY;
  }
}

}  // namespace

void refuse_what_runs_in(const Database& database, std::span<const Migration> migrations) {
  const auto refuse = [&](const std::string& what) {
    throw Error(
        ErrorCode::kForeignFile,
        what +
            ", which no survey file of this program holds; nothing of it was read. Ask whoever sent the "
            "file for one that nobody changed by other tools",
        database.name());
  };
  const std::set<std::string> tables = tables_of(migrations);
  Statement rows(database,
                 "SELECT type, lower(name), lower(tbl_name), lower(coalesce(sql, '')) FROM sqlite_schema");
  while (rows.step()) {
    const std::string_view type = rows.text(0);
    const std::string name(rows.text(1)), table(rows.text(2));
    if (type == "trigger" && tables.contains(table) && !is_of_shapes(name, table))
      refuse("the trigger \"" + name + "\" would run when \"" + table + "\" is changed");
    if (!tables.contains(name)) continue;
    if (type == "view") refuse("\"" + name + "\" is a view, worked out when it is read");
    if (type == "table" && rows.text(3).starts_with("create virtual"))
      refuse("\"" + name + "\" is a virtual table, which may stand for something else");
  }
  Statement columns(database, "SELECT name FROM pragma_table_xinfo(?) WHERE hidden <> 0");
  for (const std::string& table : tables) {
    columns.bind(1, table);
    if (columns.step())
      refuse("the column \"" + std::string(columns.text(0)) + "\" of \"" + table +
             "\" is computed when it is read");
    columns.reset();
  }
}

void hold_triggers(const Database& database) {
  sqlite3_set_authorizer(database.handle(), judge, nullptr);
}

}  // namespace brookmark::core
