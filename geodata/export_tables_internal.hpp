// Why: every export says the same things. A table is described once, as columns and a function from row
// number to cells and shape; the writers of GeoPackage, GeoJSON, CSV and the others know nothing of surveys.
// Use: for (std::size_t i = 0; i < table.rows; ++i) { ExportRow row = table.row(i); ... }
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <variant>
#include <vector>

#include "core/base/date.hpp"
#include "core/base/table.hpp"
#include "geodata/export.hpp"

namespace brookmark::geodata {

enum class ColumnType { kText, kNumber, kInteger, kFlag, kDate, kUtc };

// kOwn: the surveyor's own word, which comes back when a partner corrects it. kDerived: worked out, or told for reading.
enum class ColumnUse { kDerived, kOwn };

struct Column {
  const char* name;
  ColumnType type;
  const char* what = "";  // for the data dictionary: meaning, unit, what an empty cell means
  ColumnUse use = ColumnUse::kDerived;
};

struct UtcText {
  std::string iso;  // "2024-05-03T08:30:00Z"
};

// monostate is "not known" or "does not apply": an empty cell, never a zero.
using Cell = std::variant<std::monostate, std::string, double, std::int64_t, bool, core::Date, UtcText>;

enum class TableShape { kNone, kPoint, kLine, kMultiPolygon };

struct ExportRow {
  std::vector<Cell> cells;  // one for each column
  core::Shape shape;
};

struct ExportTable {
  std::string name;
  std::string description;  // a sentence for whoever opens the file
  TableShape shape = TableShape::kNone;
  std::vector<Column> columns;
  std::size_t rows = 0;
  std::function<ExportRow(std::size_t)> row;
  // The first column is the key of a row of the survey, and its kOwn columns may come back corrected.
  bool comes_back = false;
};

// What stands beside every class: the method, how it was confirmed, and the metric.
struct MethodLabel {
  std::string method, method_title, confirmed, metric, metric_title;
};
MethodLabel method_label(const core::Method& method, const core::Metric& metric);
// The published name of a class; nothing for rank 0.
Cell class_cell(const core::Metric& metric, int rank);
Cell rank_cell(int rank);

Cell text_cell(std::string_view text);  // empty text is an empty cell
Cell number_cell(const std::optional<double>& value);
Cell date_cell(const std::optional<core::Date>& date);

// `source` must outlive the tables.
ExportTable sites_table(const ExportSource& source);
ExportTable reaches_table(const ExportSource& source);
// How far the class is carried along the channels, a row a stretch; and between which neighbours it falls.
ExportTable channel_classes_table(const ExportSource& source);
ExportTable drops_table(const ExportSource& source);
ExportTable outfalls_table(const ExportSource& source);
ExportTable catchments_table(const ExportSource& source);
ExportTable waters_table(const ExportSource& source);
ExportTable visits_table(const ExportSource& source);
ExportTable samples_table(const ExportSource& source);
ExportTable scores_table(const ExportSource& source);
ExportTable taxa_table(const ExportSource& source);
ExportTable records_table(const ExportSource& source);
ExportTable measurements_table(const ExportSource& source);
struct SurveyTableWords {
  std::string exported_utc, crs, licence;
};
ExportTable survey_table(const ExportSource& source, const SurveyTableWords& words);

// The layers named, or all, in the order of a file. Throws Error(kBadUse) for a layer that is none.
std::vector<ExportTable> chosen_tables(const ExportSource& source, const std::vector<std::string>& only);
// Throws Error(kBadUse) where scores and assessment are of two methods.
void expect_one_method(const ExportSource& source);

}  // namespace brookmark::geodata
