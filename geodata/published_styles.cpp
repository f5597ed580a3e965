#include "geodata/published_styles_internal.hpp"

#include <map>

#include "geodata/layer_styles_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kStyles = "public.layer_styles";

// The form in which desktop GIS make it themselves (memory).
constexpr const char* kCreate =
    "CREATE TABLE public.layer_styles (id serial PRIMARY KEY, f_table_catalog varchar, f_table_schema "
    "varchar, "
    "f_table_name varchar, f_geometry_column varchar, stylename text, styleqml xml, stylesld xml, "
    "useasdefault "
    "boolean, description text, owner varchar(63) DEFAULT CURRENT_USER, ui xml, update_time timestamp "
    "DEFAULT "
    "CURRENT_TIMESTAMP, type varchar)";

bool yes(PostgresSession& server, const std::string& condition) {
  return server.number("WITH a AS (SELECT 1 WHERE " + condition + ") SELECT count(*) FROM a") > 0;
}

// Name to type, as the catalogue has them; empty where there is no such table.
std::map<std::string, std::string> columns_there(PostgresSession& server) {
  std::map<std::string, std::string> columns;
  for (const auto& row : server.rows(
           "WITH a AS (SELECT attname::text, typname::text FROM pg_attribute JOIN pg_class c ON c.oid = "
           "attrelid "
           "JOIN pg_namespace n ON n.oid = relnamespace JOIN pg_type t ON t.oid = atttypid WHERE nspname = "
           "'public' AND relname = 'layer_styles' AND relkind IN ('r', 'p') AND attnum > 0 AND NOT "
           "attisdropped) "
           "SELECT * FROM a"))
    columns.emplace(row[0], row[1]);
  return columns;
}

std::string why_not(PostgresSession& server, const std::map<std::string, std::string>& columns) {
  if (columns.empty()) {
    if (!yes(server, "to_regclass('public.layer_styles') IS NULL")) return "it is there and is no table";
    return yes(server, "has_schema_privilege('public', 'CREATE')") ? ""
                                                                   : "this user may make no table in public";
  }
  for (const char* needed :
       {"f_table_catalog", "f_table_schema", "f_table_name", "f_geometry_column", "stylename", "styleqml",
        "stylesld", "useasdefault", "description", "update_time"})
    if (!columns.contains(needed)) return std::string("it has no column ") + needed;
  if (!yes(
          server,
          "has_table_privilege('public.layer_styles', 'SELECT') AND "
          "has_table_privilege('public.layer_styles', "
          "'INSERT') AND has_table_privilege('public.layer_styles', 'UPDATE') AND (NOT EXISTS (SELECT 1 FROM "
          "pg_attribute WHERE attrelid = 'public.layer_styles'::regclass AND attname = 'id' AND NOT "
          "attisdropped) OR coalesce(has_sequence_privilege(pg_get_serial_sequence('public.layer_styles', "
          "'id'), 'USAGE'), true))"))
    return "this user may not write into it";
  return {};
}

}  // namespace

PublishedLayer publish_styles(PostgresSession& server, const std::string& schema, const ExportSource& source,
                              const std::vector<ExportTable>& tables, const std::string& utc, Touch touch) {
  PublishedLayer layer{"layer_styles"};
  std::map<std::string, std::string> columns = columns_there(server);
  if (const std::string why = why_not(server, columns); !why.empty()) {
    layer.note = std::string("how a desktop GIS draws the layers is not told in ") + kStyles + ": " + why;
    return layer;
  }
  if (columns.empty() && touch == Touch::kWrite) {
    // Two schemas may be published for the first time at once.
    server.run(
        "WITH a AS (SELECT pg_advisory_xact_lock(hashtext('brookmark layer_styles'))) SELECT count(*) FROM "
        "a");
    columns = columns_there(server);
    if (columns.empty()) server.run(kCreate);
    columns = columns_there(server);
  }
  for (const auto& [name, style] : layer_styles(source)) {
    bool chosen = false;
    for (const ExportTable& table : tables) chosen = chosen || table.name == name;
    if (!chosen) continue;
    if (columns.empty()) {
      ++layer.added;
      continue;
    }
    const auto xml = [&](const char* column, const std::string& text) {
      return columns.at(column) == "xml" ? "XMLPARSE(DOCUMENT " + sql_text(text) + ")" : sql_text(text);
    };
    const std::string qml = xml("styleqml", qml_of(style)), sld = xml("stylesld", sld_of(name, style)),
                      title = sql_text(style.title), called = sql_text(name + " (Brookmark)");
    const std::string of_layer =
        " f_table_catalog = current_database()::text AND f_table_schema = " + sql_text(schema) +
        " AND f_table_name = " + sql_text(name) + " AND f_geometry_column = " + sql_text(kGeometry);
    const std::string ours = of_layer + " AND stylename = " + called;
    const std::string other =
        " AND ROW(styleqml::text, stylesld::text, description::text) IS DISTINCT FROM ROW((" + qml +
        ")::text, (" + sld + ")::text, " + title + ")";
    if (!yes(server, std::string("EXISTS (SELECT 1 FROM ") + kStyles + " WHERE" + ours + ")")) {
      ++layer.added;
      if (touch == Touch::kWrite)
        server.run(std::string("INSERT INTO ") + kStyles +
                   " (f_table_catalog, f_table_schema, f_table_name, f_geometry_column, stylename, styleqml, "
                   "stylesld, useasdefault, description, update_time) SELECT current_database(), " +
                   sql_text(schema) + ", " + sql_text(name) + ", " + sql_text(kGeometry) + ", " + called +
                   ", " + qml + ", " + sld + ", NOT EXISTS (SELECT 1 FROM " + kStyles + " WHERE" + of_layer +
                   " AND useasdefault), " + title + ", " + sql_text(utc) + "::timestamp");
    } else if (yes(server, std::string("EXISTS (SELECT 1 FROM ") + kStyles + " WHERE" + ours + other + ")")) {
      ++layer.changed;
      if (touch == Touch::kWrite)
        server.run(std::string("UPDATE ") + kStyles + " SET styleqml = " + qml + ", stylesld = " + sld +
                   ", description = " + title + ", update_time = " + sql_text(utc) + "::timestamp WHERE" +
                   ours);
    } else {
      ++layer.unchanged;
    }
  }
  return layer;
}

}  // namespace brookmark::geodata
