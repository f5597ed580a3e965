#include "geodata/returned_gpkg.hpp"

#include <ogrsf_frmts.h>

#include <cmath>
#include <memory>
#include <nlohmann/json.hpp>
#include <set>

#include "core/base/text.hpp"
#include "core/base/uuid.hpp"
#include "core/intake/row_cells.hpp"
#include "core/store/sqlite.hpp"
#include "geodata/export_frame_internal.hpp"
#include "geodata/gdal_errors_internal.hpp"
#include "geodata/gpkg_parts_internal.hpp"
#include "geodata/returned_shape_internal.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace {

namespace fs = std::filesystem;

constexpr const char* kLayers[] = {"sites",  "catchments", "reaches", "outfalls",    "waters",
                                   "visits", "samples",    "records", "measurements"};

std::string in_quotes(const std::string& name) {
  std::string text = "\"";
  for (const char c : name) text += c == '"' ? std::string("\"\"") : std::string(1, c);
  return text + "\"";
}

class Reader {
 public:
  Reader(const fs::path& path, const core::Database& database) : path_(path), database_(database) {
    // Nothing of the file's own schema may call a function, and nothing can be written, whatever a statement says.
    database_.execute("PRAGMA trusted_schema = OFF; PRAGMA query_only = ON; PRAGMA cell_size_check = ON");
  }

  bool has(const std::string& table) const {
    core::Statement found(database_,
                          "SELECT type, sql FROM sqlite_master WHERE name = ? AND type IN ('table', 'view')");
    found.bind_all(table);
    if (!found.step()) return false;
    const std::string sql = core::to_lower_ascii(found.text(1));
    if (found.text(0) != "table" || sql.starts_with("create virtual"))
      refuse("\"" + table +
             "\" is no plain table but something that runs when it is read; this is not read from a file of "
             "others");
    return true;
  }

  std::vector<std::string> columns(const std::string& table) const {
    core::Statement rows(database_, "SELECT name, hidden FROM pragma_table_xinfo(?)");
    rows.bind_all(table);
    std::vector<std::string> names;
    while (rows.step()) {
      if (rows.integer(1) != 0)
        refuse("the column \"" + std::string(rows.text(0)) + "\" of \"" + table +
               "\" is computed when it is read; this is not read from a file of others");
      names.emplace_back(rows.text(0));
    }
    return names;
  }

  [[noreturn]] void refuse(const std::string& sentence) const {
    throw Error(ErrorCode::kBadInput, sentence, path_.string());
  }
  const core::Database& database() const { return database_; }

 private:
  const fs::path& path_;
  const core::Database& database_;
};

// As exports write it.
std::string text_of(const core::Statement& row, int at, bool is_flag) {
  if (row.is_null(at)) return {};
  const std::string text(row.text(at));
  if (is_flag) return text == "0" ? "false" : text == "1" ? "true" : text;
  // 12.0 of a number column is 12; text that looks like a number keeps its form ("07").
  return text;
}

std::string number_as_exported(const core::Statement& row, int at) {
  if (row.is_null(at)) return {};
  const auto number = core::parse_number(row.text(at));
  return number && std::isfinite(row.real(at)) ? core::format_number(row.real(at))
                                               : std::string(row.text(at));
}

bool is_flag(const std::string& column) {
  return column == "reference_site" || column == "two_way" || column == "below_detection";
}
bool is_number(const std::string& column) {
  static const std::set<std::string> kNumbers = {"accuracy_m",      "strength", "effort",   "mesh_um",
                                                 "subsample_share", "value",    "certainty"};
  return kNumbers.contains(column);
}

core::ReturnedRow from_json(const std::string& cells, const std::string& place) {
  core::ReturnedRow row;
  row.place = place;
  const auto json = nlohmann::json::parse(cells, nullptr, false);
  if (!json.is_object()) return row;
  for (const auto& [name, value] : json.items())
    if (value.is_string()) row.cells.emplace(name, value.get<std::string>());
  return row;
}

void read_survey(const Reader& reader, core::ReturnedFile& file) {
  if (!reader.has("survey"))
    reader.refuse(
        "this GeoPackage was not exported from a survey (it has no table \"survey\"); bring its layers in "
        "with an "
        "import of sites, outfalls and so on");
  const std::vector<std::string> columns = reader.columns("survey");
  core::Statement row(reader.database(), "SELECT * FROM survey LIMIT 1");
  if (!row.step())
    reader.refuse("the table \"survey\" is empty, so it is not known what left with this file");
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const int at = static_cast<int>(c);
    const std::string text(row.is_null(at) ? std::string_view() : row.text(at));
    if (columns[c] == "uuid") file.survey_key = text;
    if (columns[c] == "exported_utc") file.exported_utc = text;
    if (columns[c] == "coordinates_in") file.crs = text;
    if (columns[c] == "names") file.rules.people = text != "none";
    if (columns[c] == "records_until") file.rules.until = core::parse_date(text);
    if (columns[c] == "records_from") file.rules.from = core::parse_date(text);
    if (columns[c] == "records_seasons")
      file.rules.seasons = core::parse_seasons(text).value_or(core::SeasonSet());
    if (columns[c] == "blur_cell_m")
      if (const auto cell = core::parse_number(text);
          cell && *cell >= core::kLeastCellM && *cell <= core::kMostCellM)
        file.rules.cell_m = *cell;
  }
}

void read_taxa(const Reader& reader, core::ReturnedFile& file) {
  if (!reader.has("taxa")) return;
  const std::vector<std::string> columns = reader.columns("taxa");
  for (const char* needed : {"key", "name", "rank", "parent_key", "listed"})
    if (std::find(columns.begin(), columns.end(), needed) == columns.end()) return;
  core::Statement row(reader.database(), "SELECT key, name, rank, parent_key, listed FROM taxa");
  while (row.step()) {
    core::Taxon taxon;
    taxon.key = row.text(0);
    taxon.name = row.text(1);
    taxon.rank = core::parse_rank(row.text(2)).value_or(core::Rank::kInformal);
    taxon.parent_key = row.is_null(3) ? std::string_view() : row.text(3);
    taxon.listed = row.integer(4) != 0;
    if (!taxon.key.empty() && !taxon.name.empty()) file.taxa.push_back(std::move(taxon));
  }
}

// The column of shapes, and whether the layer is still in the system it left in.
std::string shape_column(const Reader& reader, const std::string& layer, const std::string& crs) {
  for (const char* table : {"gpkg_geometry_columns", "gpkg_spatial_ref_sys"}) {
    if (!reader.has(table)) return {};
    reader.columns(table);  // refuses what is computed
  }
  core::Statement found(
      reader.database(),
      "SELECT g.column_name, s.organization, s.organization_coordsys_id FROM gpkg_geometry_columns g "
      "LEFT JOIN gpkg_spatial_ref_sys s ON s.srs_id = g.srs_id WHERE g.table_name = ?");
  found.bind_all(layer);
  if (!found.step()) return {};
  const std::string system = found.is_null(1) ? std::string("an unknown system")
                                              : std::string(found.text(1)) + ":" + std::string(found.text(2));
  if (core::to_lower_ascii(system) != core::to_lower_ascii(crs))
    reader.refuse("the layer " + layer + " left in " + crs + " and came back in " + system +
                  "; ask for it in the system that it left in, or every place would seem to have moved");
  return std::string(found.text(0));
}

// What tells a row from the others of its layer: its code, or where rows have none what they are about. Two who each add a
// row to their copy of one file give both the same row number.
std::string what_it_is(const core::ReturnedRow& row) {
  const auto cell = [&](const char* column) {
    const auto found = row.cells.find(column);
    return found == row.cells.end() ? std::string() : found->second;
  };
  if (row.cells.contains("code")) return cell("code");
  std::string words = cell("verbatim_name").empty() ? cell("taxon") : cell("verbatim_name");
  for (const char* column : {"name", "site", "sample", "date", "local_time", "life_stage", "quantity"})
    words += '|' + cell(column);
  return words;
}

// A row that was added without a key is known again by the file that it came in, its row number and what it is.
void made_key(const std::string& words, core::ReturnedRow& row) {
  std::uint64_t hash = 0xcbf29ce484222325U;  // 64-bit FNV-1a (Fowler, Noll & Vo; memory)
  for (const char c : words) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
  row.key = core::seeded_uuids(hash)();
  row.key_is_made = true;
}

core::ReturnedLayer read_layer_of(const Reader& reader, const std::string& name, const std::string& crs,
                                  const ReturnedShapes& shapes, const std::string& made_from) {
  core::ReturnedLayer layer;
  layer.name = name;
  const std::vector<std::string> there = reader.columns(name);
  const auto has = [&](const std::string& column) {
    return std::find(there.begin(), there.end(), column) != there.end();
  };
  for (const std::string& column : core::cell_columns(name))
    if (has(column)) layer.columns.push_back(column);
  layer.has_key_column = has("uuid");
  const std::string geometry = shape_column(reader, name, crs);
  layer.has_shapes = !geometry.empty() && has(geometry);
  std::string sql = "SELECT " + std::string(layer.has_key_column ? "uuid" : "NULL") + ", " +
                    (layer.has_shapes ? in_quotes(geometry) : "NULL");
  for (const std::string& column : layer.columns) sql += ", " + in_quotes(column);
  sql += ", rowid";
  core::Statement row(reader.database(), sql + " FROM " + in_quotes(name));
  while (row.step()) {
    core::ReturnedRow read;
    if (!row.is_null(0)) read.key = core::trim(row.text(0));
    for (std::size_t c = 0; c < layer.columns.size(); ++c) {
      const std::string& column = layer.columns[c];
      const int at = static_cast<int>(c) + 2;
      read.cells[column] =
          is_number(column) ? number_as_exported(row, at) : text_of(row, at, is_flag(column));
    }
    if (read.key.empty()) {
      const std::string number(row.text(static_cast<int>(layer.columns.size()) + 2));
      made_key(made_from + "|" + name + "|" + number + "|" + what_it_is(read), read);
    }
    if (layer.has_shapes && !row.is_null(1)) {
      const std::string complaint = shapes.read(row.bytes(1), read);
      if (!complaint.empty()) {  // the other rows can be taken all the same
        read.bad_shape = complaint;
        read.shape = {};
        read.place.clear();
      }
    }
    layer.rows.push_back(std::move(read));
  }
  return layer;
}

}  // namespace

Returned read_returned(const fs::path& path, const core::Snapshot& snapshot) {
  start_geodata();
  std::error_code error;
  if (!fs::is_regular_file(path, error))
    throw Error(ErrorCode::kNotFound, "there is no such file; check the name and the folder", path.string());
  const fs::path wal = path.string() + "-wal";
  if (fs::exists(wal, error) && fs::file_size(wal, error) > 0)
    throw Error(ErrorCode::kLocked,
                "another program has this file open, and its newest changes are not in it yet; close that "
                "program first",
                path.string());
  Returned returned;
  core::ReturnedFile& file = returned.file;
  file.name = path.filename().string();
  try {
    const core::Database database(path, core::OpenMode::kImmutable, 0);
    const Reader reader(path, database);
    if (!reader.has("gpkg_contents")) reader.refuse("this is no GeoPackage");
    read_survey(reader, file);
    read_taxa(reader, file);
    const auto frame = std::make_shared<const ExportFrame>(file.crs, snapshot, path);
    returned.place_text = [frame](const core::Shape& shape) { return shape_text(shape, *frame); };
    const ReturnedShapes shapes(file.crs);
    std::map<std::string, std::map<std::string, core::ReturnedRow, std::less<>>> left;
    if (reader.has("handed_over")) {
      static_cast<void>(reader.columns("handed_over"));
      core::Statement row(database, "SELECT layer, uuid, cells, place FROM handed_over");
      while (row.step())
        left[std::string(row.text(0))].emplace(
            row.text(1),
            from_json(std::string(row.text(2)), row.is_null(3) ? std::string() : std::string(row.text(3))));
    }
    const bool with_results = reader.has("handed_over_results");
    if (with_results) {
      static_cast<void>(reader.columns("handed_over_results"));
      for (const char* name : {"channel_classes", "drops", "scores", "taxa"})
        if (reader.has(name))
          for (const auto& [key, cells] : changed_results(database, name, reader.columns(name)))
            for (const auto& [column, text] : cells) ++file.edited_results[std::string(name) + "." + column];
    }
    for (const char* name : kLayers) {
      if (!reader.has(name)) continue;
      core::ReturnedLayer layer =
          read_layer_of(reader, name, file.crs, shapes, file.survey_key + "|" + file.exported_utc);
      layer.left = std::move(left[name]);
      if (with_results) {
        const auto changed = changed_results(database, name, reader.columns(name));
        for (core::ReturnedRow& row : layer.rows)
          if (const auto found = changed.find(row.key); found != changed.end()) row.results = found->second;
      }
      file.layers.push_back(std::move(layer));
    }
  } catch (const core::SqliteError& failure) {
    throw Error(
        ErrorCode::kForeignFile,
        std::string("this is no GeoPackage that can be read, or it is damaged (") + failure.what() + ")",
        path.string());
  }
  return returned;
}

}  // namespace brookmark::geodata
