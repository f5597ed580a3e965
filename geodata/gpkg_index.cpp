#include "geodata/gpkg_parts_internal.hpp"

namespace brookmark::geodata {

namespace {

// %t the layer, with "fid" and "geom".
constexpr const char* kTriggers = R"sql(
CREATE TRIGGER "rtree_%t_geom_insert" AFTER INSERT ON "%t" WHEN (new."geom" NOT NULL AND NOT ST_IsEmpty(NEW."geom")) BEGIN INSERT OR REPLACE INTO "rtree_%t_geom" VALUES (NEW."fid",ST_MinX(NEW."geom"), ST_MaxX(NEW."geom"),ST_MinY(NEW."geom"), ST_MaxY(NEW."geom")); END;
CREATE TRIGGER "rtree_%t_geom_update1" AFTER UPDATE OF "geom" ON "%t" WHEN OLD."fid" = NEW."fid" AND (NEW."geom" NOTNULL AND NOT ST_IsEmpty(NEW."geom")) BEGIN INSERT OR REPLACE INTO "rtree_%t_geom" VALUES (NEW."fid",ST_MinX(NEW."geom"), ST_MaxX(NEW."geom"),ST_MinY(NEW."geom"), ST_MaxY(NEW."geom")); END;
CREATE TRIGGER "rtree_%t_geom_update2" AFTER UPDATE OF "geom" ON "%t" WHEN OLD."fid" = NEW."fid" AND (NEW."geom" ISNULL OR ST_IsEmpty(NEW."geom")) BEGIN DELETE FROM "rtree_%t_geom" WHERE id = OLD."fid"; END;
CREATE TRIGGER "rtree_%t_geom_update3" AFTER UPDATE ON "%t" WHEN OLD."fid" != NEW."fid" AND (NEW."geom" NOTNULL AND NOT ST_IsEmpty(NEW."geom")) BEGIN DELETE FROM "rtree_%t_geom" WHERE id = OLD."fid"; INSERT OR REPLACE INTO "rtree_%t_geom" VALUES (NEW."fid",ST_MinX(NEW."geom"), ST_MaxX(NEW."geom"),ST_MinY(NEW."geom"), ST_MaxY(NEW."geom")); END;
CREATE TRIGGER "rtree_%t_geom_update4" AFTER UPDATE ON "%t" WHEN OLD."fid" != NEW."fid" AND (NEW."geom" ISNULL OR ST_IsEmpty(NEW."geom")) BEGIN DELETE FROM "rtree_%t_geom" WHERE id IN (OLD."fid", NEW."fid"); END;
CREATE TRIGGER "rtree_%t_geom_delete" AFTER DELETE ON "%t" WHEN old."geom" NOT NULL BEGIN DELETE FROM "rtree_%t_geom" WHERE id = OLD."fid"; END;
)sql";

std::string for_layer(std::string sql, const std::string& layer) {
  for (std::size_t at = sql.find("%t"); at != std::string::npos; at = sql.find("%t", at + layer.size()))
    sql.replace(at, 2, layer);
  return sql;
}

}  // namespace

void add_spatial_index(const core::Database& database, const std::string& layer,
                       std::vector<RtreeBox> boxes) {
  const std::string rtree = "rtree_" + layer + "_geom";
  database.execute("CREATE VIRTUAL TABLE \"" + rtree + "\" USING rtree(id, minx, maxx, miny, maxy)");
  fill_rtree(database, rtree, std::move(boxes));
  database.execute(for_layer(kTriggers, layer));
  core::Statement(database,
                  "INSERT INTO gpkg_extensions VALUES (?, 'geom', 'gpkg_rtree_index', "
                  "'http://www.geopackage.org/spec120/#extension_rtree', 'write-only')")
      .run(layer);
}

void begin_extensions(const core::Database& database) {
  database.execute(
      "CREATE TABLE IF NOT EXISTS gpkg_extensions (table_name TEXT,column_name TEXT,extension_name TEXT NOT "
      "NULL,"
      "definition TEXT NOT NULL,scope TEXT NOT NULL,CONSTRAINT ge_tce UNIQUE (table_name, column_name, "
      "extension_name))");
}

void register_attributes(const core::Database& database, const std::string& table,
                         const std::string& description, const std::string& utc) {
  core::Statement(
      database,
      "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id) "
      "VALUES (?, 'attributes', ?, ?, ?, 0)")
      .run(table, table, description, utc_with_milliseconds(utc));
}

std::string utc_with_milliseconds(const std::string& utc) {
  const std::size_t end = utc.find_last_of('Z');
  return utc.find('.') == std::string::npos && end != std::string::npos ? utc.substr(0, end) + ".000Z" : utc;
}

}  // namespace brookmark::geodata
