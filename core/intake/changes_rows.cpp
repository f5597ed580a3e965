#include "core/intake/changes_internal.hpp"
#include "core/intake/row_cells.hpp"
#include "core/survey/rows.hpp"

namespace brookmark::core {

namespace {

template <class Row>
constexpr bool kIsPoint = std::is_same_v<Row, Site> || std::is_same_v<Row, Outfall>;
template <class Row>
constexpr bool kIsArea = std::is_same_v<Row, Catchment> || std::is_same_v<Row, Water>;

std::string set_point(LonLat& position, RawPosition& raw, const ReturnedRow& from, const std::string& crs,
                      const std::string& note, bool may_be_missing) {
  if (const auto* place = std::get_if<LonLat>(&from.shape)) {
    position = *place;
    raw = {from.x, from.y, crs, note};
    return {};
  }
  if (!std::holds_alternative<std::monostate>(from.shape))
    return "a point belongs here, not a line or an area";
  if (!may_be_missing) return "it needs a place";
  position = kUnplaced;
  raw = {};
  return {};
}

template <class Row, class Make>
void collect(std::map<std::string, AnyRow, std::less<>>& rows, std::size_t count, const Make& make) {
  for (std::size_t i = 0; i < count; ++i) {
    Row row = make(i);
    std::string key = row.key;
    rows.emplace(std::move(key), std::move(row));
  }
}

}  // namespace

std::optional<AnyRow> new_row(const std::string& layer) {
  if (layer == "sites") return Site{};
  if (layer == "catchments") return Catchment{};
  if (layer == "reaches") return Reach{};
  if (layer == "outfalls") return Outfall{};
  if (layer == "waters") return Water{};
  if (layer == "visits") return Visit{};
  if (layer == "samples") return Sample{};
  if (layer == "records") return Record{};
  if (layer == "measurements") return Measurement{};
  return std::nullopt;
}

std::optional<TableName> table_of(const std::string& layer) {
  if (layer == "sites") return TableName::kSite;
  if (layer == "catchments") return TableName::kCatchment;
  if (layer == "reaches") return TableName::kReach;
  if (layer == "outfalls") return TableName::kOutfall;
  if (layer == "waters") return TableName::kWater;
  if (layer == "visits") return TableName::kVisit;
  if (layer == "samples") return TableName::kSample;
  if (layer == "records") return TableName::kRecord;
  if (layer == "measurements") return TableName::kMeasurement;
  return std::nullopt;
}

std::map<std::string, AnyRow, std::less<>> rows_by_key(const Snapshot& s, const std::string& layer) {
  std::map<std::string, AnyRow, std::less<>> rows;
  if (layer == "sites")
    collect<Site>(rows, s.sites.size(), [&](std::size_t i) { return site_row(s, SiteIndex(i)); });
  else if (layer == "visits")
    collect<Visit>(rows, s.visits.size(), [&](std::size_t i) { return visit_row(s, VisitIndex(i)); });
  else if (layer == "samples")
    collect<Sample>(rows, s.samples.size(), [&](std::size_t i) { return sample_row(s, SampleIndex(i)); });
  else if (layer == "records")
    collect<Record>(rows, s.records.size(), [&](std::size_t i) { return record_row(s, RecordIndex(i)); });
  else if (layer == "measurements")
    collect<Measurement>(rows, s.measurements.size(), [&](std::size_t i) { return measurement_row(s, i); });
  else if (layer == "catchments")
    collect<Catchment>(rows, s.catchments.size(), [&](std::size_t i) { return s.catchments[i]; });
  else if (layer == "reaches")
    collect<Reach>(rows, s.reaches.size(), [&](std::size_t i) { return s.reaches[i]; });
  else if (layer == "outfalls")
    collect<Outfall>(rows, s.outfalls.size(), [&](std::size_t i) { return s.outfalls[i]; });
  else if (layer == "waters")
    collect<Water>(rows, s.waters.size(), [&](std::size_t i) { return s.waters[i]; });
  return rows;
}

std::string cell_of(const AnyRow& row, std::string_view column) {
  return std::visit([&](const auto& r) { return get_cell(r, column); }, row);
}

std::string set_cell_of(AnyRow& row, std::string_view column, const std::string& text) {
  return std::visit([&](auto& r) { return set_cell(r, column, text); }, row);
}

Shape shape_of(const AnyRow& row) {
  return std::visit(
      [](const auto& r) -> Shape {
        using Row = std::decay_t<decltype(r)>;
        if constexpr (kIsPoint<Row>) {
          if (is_placed(r.position)) return r.position;
        } else if constexpr (kIsArea<Row>) {
          if (!r.shape.empty()) return r.shape;
        } else if constexpr (std::is_same_v<Row, Reach>) {
          return std::vector<Line>{r.line};
        }
        return {};
      },
      row);
}

std::string set_shape_of(AnyRow& row, const ReturnedRow& from, const std::string& crs,
                         const std::string& note) {
  return std::visit(
      [&](auto& r) -> std::string {
        using Row = std::decay_t<decltype(r)>;
        if constexpr (std::is_same_v<Row, Site>) {
          r.accuracy_m.reset();  // it belonged to the old position
          return set_point(r.position, r.raw, from, crs, note, true);
        } else if constexpr (std::is_same_v<Row, Outfall>) {
          return set_point(r.position, r.raw, from, crs, note, false);
        } else if constexpr (kIsArea<Row>) {
          if (const auto* shape = std::get_if<MultiPolygon>(&from.shape)) {
            r.shape = *shape;
            return {};
          }
          if (!std::holds_alternative<std::monostate>(from.shape)) return "an area belongs here";
          if (std::is_same_v<Row, Catchment>) return "a catchment needs its outline";
          r.shape.clear();
          return {};
        } else if constexpr (std::is_same_v<Row, Reach>) {
          const auto* lines = std::get_if<std::vector<Line>>(&from.shape);
          if (lines == nullptr || lines->size() != 1 || lines->front().size() < 2)
            return "one line of two points or more belongs here";
          r.line = lines->front();
          return {};
        } else {
          return "such a row has no place";
        }
      },
      row);
}

void set_key_of(AnyRow& row, const std::string& key) {
  std::visit([&](auto& r) { r.key = key; }, row);
}

std::string called(const AnyRow& row) {
  const std::string code = cell_of(row, "code");
  if (!code.empty()) return code;
  const std::string name = cell_of(row, "name");
  return name.empty() ? cell_of(row, "verbatim_name") : name;
}

Edit edit_to_add(const AnyRow& row) {
  return std::visit(
      [](const auto& r) -> Edit {
        using Row = std::decay_t<decltype(r)>;
        if constexpr (std::is_same_v<Row, Site>) return AddSite{r};
        if constexpr (std::is_same_v<Row, Catchment>) return AddCatchment{r};
        if constexpr (std::is_same_v<Row, Reach>) return AddReach{r};
        if constexpr (std::is_same_v<Row, Outfall>) return AddOutfall{r};
        if constexpr (std::is_same_v<Row, Water>) return AddWater{r};
        if constexpr (std::is_same_v<Row, Visit>) return AddVisit{r};
        if constexpr (std::is_same_v<Row, Sample>) return AddSample{r};
        if constexpr (std::is_same_v<Row, Record>) return AddRecord{r};
        if constexpr (std::is_same_v<Row, Measurement>) return AddMeasurement{r};
      },
      row);
}

Edit edit_to_replace(const AnyRow& row) {
  return std::visit([](const auto& r) -> Edit { return Replace<std::decay_t<decltype(r)>>{r}; }, row);
}

}  // namespace brookmark::core
