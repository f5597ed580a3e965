#include "core/store/reader.hpp"

#include <algorithm>
#include <iterator>
#include <numeric>
#include <utility>

#include "core/store/geometry_blob.hpp"
#include "core/store/row_numbers.hpp"
#include "core/store/side_reader_internal.hpp"
#include "core/store/stored_words.hpp"

namespace brookmark::core {
namespace {

constexpr std::string_view kSurvey = "SELECT key, title, description, crs FROM survey";
constexpr std::string_view kTaxa = "SELECT id, key, name, rank, parent_id, listed FROM taxon ORDER BY id";
constexpr std::string_view kWaters = "SELECT key, name, kind, geom FROM water ORDER BY id";
constexpr std::string_view kSites = R"(
  SELECT id, key, code, name, water, habitat, note, kind, status, geom, accuracy_m, raw_x, raw_y, raw_crs, raw_note,
         type, reference, sharing
  FROM site ORDER BY code)";
constexpr std::string_view kVisits = R"(
  SELECT id, key, site_id, date, minute_of_day, utc_offset_min, people, weather, conditions, note FROM visit ORDER BY id)";
constexpr std::string_view kSamples =
    "SELECT id, key, code, visit_id, kind, protocol, subsample_share, effort, effort_unit, mesh_um, note "
    "FROM sample "
    "ORDER BY code";
constexpr std::string_view kRecords = R"(
  SELECT sample_id, taxon_id, name_match, quantity, count_min, count_max, life_stage, certainty,
         key, verbatim_name, verbatim_quantity, class_code, qualifier, class_scheme, note
  FROM record ORDER BY id)";
constexpr std::string_view kMeasurements = R"(
  SELECT visit_id, sample_id, value, below_detection, key, quantity, unit, verbatim_value, note
  FROM measurement ORDER BY id)";
constexpr std::string_view kOutfalls = R"(
  SELECT key, code, name, kind, geom, since, until, raw_x, raw_y, raw_crs, raw_note, note,
         strength FROM outfall ORDER BY code)";
constexpr std::string_view kReaches = "SELECT key, name, geom, two_way, note FROM reach ORDER BY id";
constexpr std::string_view kCatchments = "SELECT key, code, name, geom FROM catchment ORDER BY code";

constexpr std::string_view kStatements[] = {kSurvey,   kTaxa,    kWaters,    kSites,
                                            kVisits,   kSamples, kRecords,   kMeasurements,
                                            kOutfalls, kReaches, kCatchments};

// The file's own CHECKs keep these limits; a file from a stranger may have lost them.
template <class Value>
Value within(Value value, Value least, Value most, const char* what) {
  if (value >= least && value <= most) return value;
  throw Error(ErrorCode::kForeignFile,
              std::string("the survey file is damaged: ") + what + " is out of its range");
}

constexpr std::int64_t kMostAnimals =
    1'000'000'000'000;  // as the schema says; a million such records still add up

RawPosition raw_of(const Statement& row, int first) {
  return {std::string(row.text(first)), std::string(row.text(first + 1)), std::string(row.text(first + 2)),
          std::string(row.text(first + 3))};
}

// order[i] is the row that stands at place i, rows compared by `key`; equal ones stay as read.
template <class Key>
std::vector<std::uint32_t> order_by(std::size_t size, const Key& key) {
  std::vector<std::uint32_t> order(size);
  std::iota(order.begin(), order.end(), 0u);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::uint32_t a, std::uint32_t b) { return key(a) < key(b); });
  return order;
}

template <class Value>
void permute(std::vector<Value>& values, const std::vector<std::uint32_t>& order) {
  std::vector<Value> sorted;
  sorted.reserve(values.size());
  for (const std::uint32_t row : order) sorted.push_back(std::move(values[row]));
  values = std::move(sorted);
}

void permute(TextColumn& column, const std::vector<std::uint32_t>& order) {
  std::size_t bytes = 0;
  for (std::size_t i = 0; i < column.size(); ++i) bytes += column[i].size();
  TextColumn sorted;
  sorted.reserve(column.size(), bytes);
  for (const std::uint32_t row : order) sorted.append(column[row]);
  column = std::move(sorted);
}

template <class... Columns>
void permute_all(const std::vector<std::uint32_t>& order, Columns&... columns) {
  if (std::is_sorted(order.begin(), order.end())) return;
  (permute(columns, order), ...);
}

class SnapshotReader {
 public:
  explicit SnapshotReader(const Database& database) : database_(database) {}

  Snapshot read() {
    read_survey();
    read_taxa();
    read_waters();
    read_sites();
    read_visits();
    read_samples();
    read_records();
    read_measurements();
    read_outfalls();
    read_reaches_and_catchments();
    read_side_tables(database_, snapshot_);
    return std::move(snapshot_);
  }

 private:
  void read_survey() {
    Statement row(database_, kSurvey);
    if (!row.step()) {
      throw Error(ErrorCode::kForeignFile,
                  "the survey file is damaged: its title row is missing; open a copy made earlier",
                  database_.name());
    }
    snapshot_.survey = {std::string(row.text(0)), std::string(row.text(1)), std::string(row.text(2)),
                        std::string(row.text(3))};
  }

  void read_taxa() {
    struct Row {
      std::int64_t id;
      std::optional<std::int64_t> parent;
      Taxon taxon;
    };
    std::vector<Row> rows;
    RowNumbers row_of;
    for (Statement row(database_, kTaxa); row.step();) {
      row_of.add(row.integer(0), rows.size());
      rows.push_back({row.integer(0),
                      row.optional_integer(4),
                      {std::string(row.text(1)),
                       std::string(row.text(2)),
                       read_word(kStoredRanks, row.text(3)),
                       {},
                       row.integer(5) != 0}});
    }
    // Rows are nearly always stored parent first; where they are not, the parents are placed on the way.
    std::vector<TaxonIndex> place(rows.size());
    std::vector<std::size_t> upwards;
    TaxonColumns& taxa = snapshot_.taxa;
    for (std::size_t first = 0; first < rows.size(); ++first) {
      for (std::size_t at = first; !place[at].has_value();) {
        upwards.push_back(at);
        if (upwards.size() > rows.size()) {
          throw Error(ErrorCode::kForeignFile, "the survey file is damaged: a taxon is among its own parents",
                      database_.name());
        }
        if (!rows[at].parent) break;
        at = row_of.at(*rows[at].parent);
      }
      for (; !upwards.empty(); upwards.pop_back()) {
        const Row& row = rows[upwards.back()];
        place[upwards.back()] = TaxonIndex(taxa.size());
        taxon_.add(row.id, taxa.size());
        taxa.key.append(row.taxon.key);
        taxa.name.append(row.taxon.name);
        taxa.parent.push_back(row.parent ? place[row_of.at(*row.parent)] : TaxonIndex::none());
        taxa.listed.push_back(row.taxon.listed);
        taxa.rank.push_back(row.taxon.rank);
      }
    }
  }

  void read_waters() {
    for (Statement row(database_, kWaters); row.step();) {
      snapshot_.waters.push_back({std::string(row.text(0)), std::string(row.text(1)),
                                  read_word(kStoredWaterKinds, row.text(2)),
                                  row.is_null(3) ? MultiPolygon{} : decode_multi_polygon(row.bytes(3))});
    }
  }

  void read_sites() {
    SiteColumns& sites = snapshot_.sites;
    for (Statement row(database_, kSites); row.step();) {
      site_.add(row.integer(0), sites.size());
      sites.key.append(row.text(1));
      sites.code.append(row.text(2));
      sites.name.append(row.text(3));
      sites.water.append(row.text(4));
      sites.habitat.append(row.text(5));
      sites.note.append(row.text(6));
      sites.kind.push_back(read_word(kStoredWaterKinds, row.text(7)));
      sites.status.push_back(read_word(kStoredSiteStatus, row.text(8)));
      sites.position.push_back(row.is_null(9) ? kUnplaced : decode_point(row.bytes(9)));
      sites.accuracy_m.push_back(row.optional_real(10));
      sites.raw.push_back(raw_of(row, 11));
      sites.type.append(row.text(15));
      sites.reference.push_back(row.integer(16) != 0);
      sites.sharing.push_back(read_word(kStoredSharing, row.text(17)));
    }
  }

  void read_visits() {
    VisitColumns& visits = snapshot_.visits;
    std::vector<std::int64_t> ids;
    for (Statement row(database_, kVisits); row.step();) {
      ids.push_back(row.integer(0));
      visits.key.append(row.text(1));
      visits.site.push_back(SiteIndex(site_.at(row.integer(2))));
      visits.start.push_back(stored_moment(row, 3));
      visits.people.append(row.text(6));
      visits.weather.append(row.text(7));
      visits.conditions.append(row.text(8));
      visits.note.append(row.text(9));
    }
    const auto order =
        order_by(ids.size(), [&](std::uint32_t i) { return std::pair(visits.site[i], visits.start[i]); });
    permute_all(order, visits.key, visits.site, visits.start, visits.people, visits.weather,
                visits.conditions, visits.note);
    for (std::size_t i = 0; i < order.size(); ++i) visit_.add(ids[order[i]], i);
  }

  void read_samples() {
    SampleColumns& samples = snapshot_.samples;
    std::vector<std::int64_t> ids;
    for (Statement row(database_, kSamples); row.step();) {
      const std::size_t visit = visit_.at(row.integer(3));
      ids.push_back(row.integer(0));
      samples.key.append(row.text(1));
      samples.code.append(row.text(2));
      samples.visit.push_back(VisitIndex(visit));
      samples.site.push_back(snapshot_.visits.site[visit]);
      samples.date.push_back(snapshot_.visits.start[visit].date);
      samples.kind.push_back(read_word(kStoredSampleKinds, row.text(4)));
      samples.protocol.append(row.text(5));
      const std::optional<double> share = row.optional_real(6);
      if (share) within(*share, 1e-9, 1.0, "a subsample share");
      samples.subsample_share.push_back(share);
      samples.effort.push_back(row.optional_real(7));
      samples.effort_unit.append(row.text(8));
      samples.mesh_um.push_back(row.optional_real(9));
      samples.note.append(row.text(10));
    }
    // They come by code, and equal site and date keep that order.
    const auto order =
        order_by(ids.size(), [&](std::uint32_t i) { return std::pair(samples.site[i], samples.date[i]); });
    permute_all(order, samples.key, samples.code, samples.visit, samples.site, samples.date, samples.kind,
                samples.protocol, samples.subsample_share, samples.effort, samples.effort_unit,
                samples.mesh_um, samples.note);
    for (std::size_t i = 0; i < order.size(); ++i) sample_.add(ids[order[i]], i);
  }

  void read_records() {
    RecordColumns& records = snapshot_.records;
    for (Statement row(database_, kRecords); row.step();) {
      const QuantityKind quantity = read_word(kStoredQuantities, row.text(3));
      records.sample.push_back(SampleIndex(sample_.at(row.integer(0))));
      records.taxon.push_back(TaxonIndex(taxon_.at(row.integer(1))));
      records.match.push_back(read_word(kStoredNameMatches, row.text(2)));
      records.quantity.push_back(quantity);
      std::int64_t count_min = 0, count_max = 0;
      if (quantity == QuantityKind::kPresent) {
        count_min = 1;
        count_max = RecordColumns::kOpen;
      } else if (quantity != QuantityKind::kAbsent) {
        count_min = within<std::int64_t>(row.integer(4), 0, kMostAnimals, "a count");
        count_max = row.is_null(5) ? RecordColumns::kOpen
                                   : within<std::int64_t>(row.integer(5), count_min, kMostAnimals, "a count");
      }
      records.count_min.push_back(count_min);
      records.count_max.push_back(count_max);
      records.stage.push_back(read_word(kStoredLifeStages, row.text(6)));
      records.certainty.push_back(row.is_null(7) ? 1.0 : within(row.real(7), 0.0, 1.0, "a certainty"));
      records.key.append(row.text(8));
      records.verbatim_name.append(row.text(9));
      records.verbatim_quantity.append(row.text(10));
      records.class_code.append(row.text(11));
      records.qualifier.append(row.text(12));
      records.class_scheme.append(row.text(13));
      records.note.append(row.text(14));
      records.certainty_given.push_back(!row.is_null(7));
    }
    // A counting sort: the number of records of each sample gives where they begin.
    std::vector<std::size_t>& begin = snapshot_.samples.record_begin;
    begin.assign(snapshot_.samples.size() + 1, 0);
    for (const SampleIndex sample : records.sample) ++begin[sample.value() + 1];
    std::partial_sum(begin.begin(), begin.end(), begin.begin());
    std::vector<std::size_t> next(begin.begin(), begin.end() - 1);
    std::vector<std::uint32_t> order(records.size());
    for (std::uint32_t i = 0; i < order.size(); ++i) order[next[records.sample[i].value()]++] = i;
    permute_all(order, records.key, records.verbatim_name, records.verbatim_quantity, records.class_code,
                records.qualifier, records.sample, records.taxon, records.match, records.quantity,
                records.count_min, records.count_max, records.stage, records.certainty,
                records.certainty_given, records.class_scheme, records.note);
  }

  void read_measurements() {
    MeasurementColumns& measurements = snapshot_.measurements;
    for (Statement row(database_, kMeasurements); row.step();) {
      measurements.visit.push_back(VisitIndex(visit_.at(row.integer(0))));
      measurements.sample.push_back(row.is_null(1) ? SampleIndex::none()
                                                   : SampleIndex(sample_.at(row.integer(1))));
      measurements.value.push_back(row.optional_real(2));
      measurements.below_detection.push_back(row.integer(3) != 0);
      measurements.key.append(row.text(4));
      measurements.quantity.append(row.text(5));
      measurements.unit.append(row.text(6));
      measurements.verbatim_value.append(row.text(7));
      measurements.note.append(row.text(8));
    }
    const auto order = order_by(measurements.size(), [&](std::uint32_t i) { return measurements.visit[i]; });
    permute_all(order, measurements.key, measurements.quantity, measurements.unit,
                measurements.verbatim_value, measurements.note, measurements.visit, measurements.sample,
                measurements.value, measurements.below_detection);
  }

  void read_outfalls() {
    for (Statement row(database_, kOutfalls); row.step();) {
      Outfall outfall;
      outfall.key = row.text(0);
      outfall.code = row.text(1);
      outfall.name = row.text(2);
      outfall.kind = read_word(kStoredOutfallKinds, row.text(3));
      outfall.position = decode_point(row.bytes(4));
      if (!row.is_null(5)) outfall.since = stored_date(row.text(5));
      if (!row.is_null(6)) outfall.until = stored_date(row.text(6));
      outfall.raw = raw_of(row, 7);
      outfall.note = row.text(11);
      outfall.strength = row.optional_real(12);
      snapshot_.outfalls.push_back(std::move(outfall));
    }
  }

  void read_reaches_and_catchments() {
    for (Statement row(database_, kReaches); row.step();) {
      snapshot_.reaches.push_back({std::string(row.text(0)), std::string(row.text(1)),
                                   decode_line(row.bytes(2)), row.integer(3) != 0, std::string(row.text(4))});
    }
    for (Statement row(database_, kCatchments); row.step();) {
      snapshot_.catchments.push_back({std::string(row.text(0)), std::string(row.text(1)),
                                      std::string(row.text(2)), decode_multi_polygon(row.bytes(3))});
    }
  }

  const Database& database_;
  Snapshot snapshot_;
  RowNumbers taxon_, site_, visit_, sample_;  // row numbers of the file -> places in the columns
};

}  // namespace

Snapshot read_snapshot(const Database& database) {
  return SnapshotReader(database).read();
}

std::vector<std::string_view> reader_statements() {
  std::vector<std::string_view> all(std::begin(kStatements), std::end(kStatements));
  const auto side = side_reader_statements();
  all.insert(all.end(), side.begin(), side.end());
  return all;
}

}  // namespace brookmark::core
