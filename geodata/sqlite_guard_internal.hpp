// Why: GeoPackage, SpatiaLite and MBTiles are databases, and a database from a stranger may hold things that run when they are
// read: a view without an end, a virtual table that reads another file of this machine into the survey, a computed column.
// None is needed to hand over places, so a file that has one is not read.
// Use: refuse_what_runs("theirs.gpkg", GDAL_OF_VECTOR);  const CarefulSqlite careful;  GDALDataset::Open(...)
#pragma once

#include <filesystem>
#include <string>

namespace brookmark::geodata {

// Nothing for a file that is no SQLite database. Views: those of SpatiaLite, word for word, and the table of tiles of an
// .mbtiles are let through; in rasters every view is, for they are asked for single tiles only. Virtual tables: indexes of
// SQLite and SpatiaLite. Throws Error: kBadInput (what is in it and what to do; or it is damaged), kLocked.
void refuse_what_runs(const std::filesystem::path& file, unsigned kind);

// While it lives, on this thread, GDAL opens databases so that nothing in their schema may call a function with side effects.
class CarefulSqlite {
 public:
  CarefulSqlite();
  ~CarefulSqlite();
  CarefulSqlite(const CarefulSqlite&) = delete;
  CarefulSqlite& operator=(const CarefulSqlite&) = delete;
};

// "rtree" of 'CREATE VIRTUAL TABLE "x" USING rtree(id, ...)', in small letters; empty where it is not plainly of that form.
std::string module_of(const std::string& create_statement);

}  // namespace brookmark::geodata
