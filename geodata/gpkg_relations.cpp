#include <algorithm>

#include "geodata/gpkg_parts_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kTable = R"sql(
CREATE TABLE gpkgext_relations (id INTEGER PRIMARY KEY AUTOINCREMENT, base_table_name TEXT NOT NULL, base_primary_column TEXT NOT NULL DEFAULT 'id', related_table_name TEXT NOT NULL, related_primary_column TEXT NOT NULL DEFAULT 'id', relation_name TEXT NOT NULL, mapping_table_name TEXT NOT NULL UNIQUE);
INSERT INTO gpkg_extensions VALUES ('gpkgext_relations', NULL, 'gpkg_related_tables', 'http://www.opengis.net/doc/IS/gpkg-rte/1.0', 'read-write');
)sql";

struct Relation {
  const char *base, *related, *link;  // related.link is base.uuid
};
constexpr Relation kRelations[] = {{"sites", "samples", "site_uuid"},
                                   {"sites", "measurements", "site_uuid"},
                                   {"samples", "records", "sample_uuid"},
                                   {"samples", "scores", "sample_uuid"}};

}  // namespace

void add_relations(const core::Database& database, std::span<const ExportTable> tables) {
  const auto has = [&](const char* name) {
    return std::any_of(tables.begin(), tables.end(), [&](const ExportTable& t) { return t.name == name; });
  };
  bool first = true;
  for (const Relation& relation : kRelations) {
    if (!has(relation.base) || !has(relation.related)) continue;
    if (first) database.execute(kTable);
    first = false;
    const std::string base = relation.base, related = relation.related, mapping = base + "_" + related;
    database.execute("CREATE TABLE \"" + mapping +
                     "\" (base_id INTEGER NOT NULL, related_id INTEGER NOT NULL)");
    database.execute("INSERT INTO \"" + mapping + "\" SELECT b.fid, r.fid FROM \"" + related +
                     "\" r JOIN \"" + base + "\" b ON b.uuid = r." + relation.link + " ORDER BY r.fid");
    core::Statement(
        database,
        "INSERT INTO gpkgext_relations (base_table_name, base_primary_column, related_table_name, "
        "related_primary_column, relation_name, mapping_table_name) VALUES (?, 'fid', ?, 'fid', "
        "'attributes', ?)")
        .run(base, related, mapping);
    core::Statement(database,
                    "INSERT INTO gpkg_extensions VALUES (?, NULL, 'gpkg_related_tables', "
                    "'http://www.opengis.net/doc/IS/gpkg-rte/1.0', 'read-write')")
        .run(mapping);
  }
}

}  // namespace brookmark::geodata
