#include "core/store/writer.hpp"

#include <cmath>
#include <map>
#include <unordered_map>
#include <unordered_set>
#include <utility>

#include "core/store/geometry_blob.hpp"
#include "core/store/stored_words.hpp"

namespace brookmark::core {
namespace {

constexpr std::string_view kInsertSurvey = R"(
  INSERT INTO survey (id, key, title, description, crs, created_utc, changed_utc, device)
  VALUES (1, ?1, ?2, ?3, ?4, ?5, ?5, ?6))";
constexpr std::string_view kInsertTaxon = R"(
  INSERT INTO taxon (key, name, rank, parent_id, listed, created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?6, ?7) ON CONFLICT (key) DO NOTHING)";
constexpr std::string_view kInsertWater = R"(
  INSERT INTO water (key, name, kind, geom, created_utc, changed_utc, device) VALUES (?1, ?2, ?3, ?4, ?5, ?5, ?6))";
constexpr std::string_view kInsertSite = R"(
  INSERT INTO site (key, code, name, water, habitat, kind, status, accuracy_m, raw_x, raw_y, raw_crs, raw_note, note, geom,
                    type, reference, created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?17, ?18))";
// An accuracy belongs to the position it was measured with: the new position has none until somebody gives
// one.
constexpr std::string_view kMoveSite = R"(
  UPDATE site SET geom = ?2, accuracy_m = NULL, raw_x = ?3, raw_y = ?4, raw_crs = ?5, raw_note = ?6, changed_utc = ?7,
                  device = ?8 WHERE key = ?1)";
constexpr std::string_view kSetSiteStatus =
    "UPDATE site SET status = ?2, changed_utc = ?3, device = ?4 WHERE key = ?1";
constexpr std::string_view kMarkReference =
    "UPDATE site SET type = ?2, reference = ?3, changed_utc = ?4, device = ?5 WHERE key = ?1";
constexpr std::string_view kSetOutfallStrength =
    "UPDATE outfall SET strength = ?2, changed_utc = ?3, device = ?4 WHERE key = ?1";
constexpr std::string_view kInsertVisit = R"(
  INSERT INTO visit (key, site_id, date, minute_of_day, utc_offset_min, people, weather, conditions, note,
                     created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?10, ?11))";
constexpr std::string_view kInsertSample = R"(
  INSERT INTO sample (key, code, visit_id, kind, protocol, effort, effort_unit, mesh_um, subsample_share, note,
                      created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?11, ?12))";
constexpr std::string_view kInsertRecord = R"(
  INSERT INTO record (key, sample_id, taxon_id, name_match, quantity, count_min, count_max, life_stage, certainty,
                      verbatim_name, verbatim_quantity, class_code, class_scheme, qualifier, note,
                      created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?16, ?17))";
constexpr std::string_view kInsertMeasurement = R"(
  INSERT INTO measurement (key, visit_id, sample_id, quantity, unit, value, below_detection, verbatim_value, note,
                           created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?10, ?11))";
constexpr std::string_view kInsertOutfall = R"(
  INSERT INTO outfall (key, code, name, kind, since, until, raw_x, raw_y, raw_crs, raw_note, note, geom,
                       strength, created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?14, ?15))";
constexpr std::string_view kInsertReach = R"(
  INSERT INTO reach (key, name, geom, two_way, note, created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?6, ?7))";
constexpr std::string_view kInsertCatchment = R"(
  INSERT INTO catchment (key, code, name, geom, created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?5, ?6))";
constexpr std::string_view kSiteId = "SELECT id FROM site WHERE key = ?1";
constexpr std::string_view kVisitId = "SELECT id FROM visit WHERE key = ?1";
constexpr std::string_view kSampleId = "SELECT id FROM sample WHERE key = ?1";
constexpr std::string_view kTaxonId = "SELECT id FROM taxon WHERE key = ?1";
constexpr std::string_view kVisitOfSample = "SELECT visit_id FROM sample WHERE id = ?1";

constexpr std::string_view kStatements[] = {
    kInsertSurvey,  kInsertTaxon,       kInsertWater,        kInsertSite,  kMoveSite,
    kSetSiteStatus, kMarkReference,     kSetOutfallStrength, kInsertVisit, kInsertSample,
    kInsertRecord,  kInsertMeasurement, kInsertOutfall,      kInsertReach, kInsertCatchment,
    kSiteId,        kVisitId,           kSampleId,           kTaxonId,     kVisitOfSample};

std::string quoted(std::string_view what, std::string_view name) {
  return std::string(what) + " \"" + std::string(name) + "\"";
}

// Either a shape or, where it may be missing, nothing.
std::optional<Bytes> shape_or_nothing(const MultiPolygon& shape) {
  if (shape.empty()) return std::nullopt;
  return encode_multi_polygon(shape);
}

// Half a position is no position, and encode_point says so.
std::optional<Bytes> point_or_nothing(LonLat position) {
  if (std::isnan(position.lon) && std::isnan(position.lat)) return std::nullopt;
  return encode_point(position);
}

std::optional<std::string> date_text(const std::optional<Date>& date) {
  if (!date) return std::nullopt;
  return format_date(*date);
}

}  // namespace

struct BatchWriter::Impl {
  const Database& database;
  EditStamp stamp;
  std::map<std::string_view, std::unique_ptr<Statement>> prepared = {};                // by its text
  std::map<std::string_view, std::unordered_map<std::string, std::int64_t>> ids = {};  // by look-up, key
  std::unordered_map<std::string_view, const Taxon*> taxa_to_add = {};                 // by key
  std::unordered_set<std::string_view> taxa_on_the_way = {};

  Statement& statement(std::string_view sql) {
    auto& found = prepared[sql];
    if (!found) found = std::make_unique<Statement>(database, sql);
    return *found;
  }

  std::string row = {};  // what is being written, for messages

  template <class... Values>
  void run(std::string_view sql, const Values&... values) {
    Statement& s = statement(sql);
    s.bind_all(values...);
    s.step(row);
    s.reset();
  }

  std::string key_or_new(const std::string& key) const { return key.empty() ? stamp.new_key() : key; }

  std::optional<std::int64_t> find_id(std::string_view lookup, const std::string& key) {
    auto& known = ids[lookup];
    if (const auto found = known.find(key); found != known.end()) return found->second;
    Statement& s = statement(lookup);
    s.bind(1, key);
    std::optional<std::int64_t> id;
    if (s.step()) id = s.integer(0);
    s.reset();
    if (id) known.emplace(key, *id);
    return id;
  }

  std::int64_t id_of(std::string_view lookup, const char* owner, const std::string& key) {
    if (const auto id = find_id(lookup, key)) return *id;
    throw Error(ErrorCode::kBadInput,
                std::string("it belongs to a ") + owner + " that is not in this survey (" +
                    (key.empty() ? "no key was given" : "key " + key) + "); add the " + owner + " first");
  }

  void remember(std::string_view lookup, const std::string& key) {
    ids[lookup].insert_or_assign(key, database.last_insert_id());
  }

  void add_taxon(const Taxon& taxon) {
    row = quoted("taxon", taxon.name);
    if (find_id(kTaxonId, taxon.key)) return;
    std::optional<std::int64_t> parent;
    if (!taxon.parent_key.empty()) {
      parent = find_id(kTaxonId, taxon.parent_key);
      const auto coming = taxa_to_add.find(taxon.parent_key);
      if (!parent && coming != taxa_to_add.end()) {
        if (!taxa_on_the_way.insert(taxon.key).second) {
          throw Error(ErrorCode::kBadInput, "it is among its own parents; give it another parent");
        }
        add_taxon(*coming->second);
        taxa_on_the_way.erase(taxon.key);
        row = quoted("taxon", taxon.name);
      }
      parent = id_of(kTaxonId, "parent taxon", taxon.parent_key);
    }
    run(kInsertTaxon, taxon.key, taxon.name, stored_word(kStoredRanks, taxon.rank), parent, taxon.listed,
        stamp.now_utc, stamp.device);
    remember(kTaxonId, taxon.key);
  }

  void operator()(const AddTaxon&) {}  // written before all others

  void operator()(const AddWater& edit) {
    const Water& w = edit.water;
    row = quoted("water", w.name);
    run(kInsertWater, key_or_new(w.key), w.name, stored_word(kStoredWaterKinds, w.kind),
        shape_or_nothing(w.shape), stamp.now_utc, stamp.device);
  }

  void operator()(const AddSite& edit) {
    const Site& s = edit.site;
    const std::string key = key_or_new(s.key);
    row = quoted("site", s.code);
    run(kInsertSite, key, s.code, s.name, s.water, s.habitat, stored_word(kStoredWaterKinds, s.kind),
        stored_word(kStoredSiteStatus, s.status), s.accuracy_m, s.raw.x, s.raw.y, s.raw.crs, s.raw.note,
        s.note, point_or_nothing(s.position), s.type, s.reference, stamp.now_utc, stamp.device);
    remember(kSiteId, key);
  }

  void need_changed(const char* what) const {
    if (database.changed_rows() == 1) return;
    throw Error(ErrorCode::kBadInput,
                std::string("there is no such ") + what + " in this survey; look at its key");
  }

  void operator()(const MoveSite& edit) {
    row = quoted("site", edit.site_key);
    run(kMoveSite, edit.site_key, encode_point(edit.position), edit.raw.x, edit.raw.y, edit.raw.crs,
        edit.raw.note, stamp.now_utc, stamp.device);
    need_changed("site");
  }

  void operator()(const SetSiteStatus& edit) {
    row = quoted("site", edit.site_key);
    run(kSetSiteStatus, edit.site_key, stored_word(kStoredSiteStatus, edit.status), stamp.now_utc,
        stamp.device);
    need_changed("site");
  }

  void operator()(const MarkReference& edit) {
    row = quoted("site", edit.site_key);
    run(kMarkReference, edit.site_key, edit.type, edit.reference, stamp.now_utc, stamp.device);
    need_changed("site");
  }

  void operator()(const SetOutfallStrength& edit) {
    row = quoted("outfall", edit.outfall_key);
    run(kSetOutfallStrength, edit.outfall_key, edit.strength, stamp.now_utc, stamp.device);
    need_changed("outfall");
  }

  void operator()(const AddVisit& edit) {
    const Visit& v = edit.visit;
    const std::string key = key_or_new(v.key);
    row = "visit of " + format_date(v.start.date);
    run(kInsertVisit, key, id_of(kSiteId, "site", v.site_key), format_date(v.start.date),
        v.start.minute_of_day, v.start.utc_offset_min, v.people, v.weather, v.conditions, v.note,
        stamp.now_utc, stamp.device);
    remember(kVisitId, key);
  }

  void operator()(const AddSample& edit) {
    const Sample& s = edit.sample;
    const std::string key = key_or_new(s.key);
    row = quoted("sample", s.code);
    run(kInsertSample, key, s.code, id_of(kVisitId, "visit", s.visit_key),
        stored_word(kStoredSampleKinds, s.kind), s.protocol, s.effort, s.effort_unit, s.mesh_um,
        s.subsample_share, s.note, stamp.now_utc, stamp.device);
    remember(kSampleId, key);
  }

  void operator()(const AddRecord& edit) {
    const Record& r = edit.record;
    row = quoted("record", r.verbatim_name);
    run(kInsertRecord, key_or_new(r.key), id_of(kSampleId, "sample", r.sample_key),
        id_of(kTaxonId, "taxon", r.taxon_key), stored_word(kStoredNameMatches, r.match),
        stored_word(kStoredQuantities, r.quantity), r.count_min, r.count_max,
        stored_word(kStoredLifeStages, r.stage), r.certainty, r.verbatim_name, r.verbatim_quantity,
        r.class_code, r.class_scheme, r.qualifier, r.note, stamp.now_utc, stamp.device);
  }

  void operator()(const AddMeasurement& edit) {
    const Measurement& m = edit.measurement;
    row = quoted("measurement", m.quantity);
    const std::int64_t visit = id_of(kVisitId, "visit", m.visit_key);
    std::optional<std::int64_t> sample;
    if (!m.sample_key.empty()) {
      sample = id_of(kSampleId, "sample", m.sample_key);
      Statement& s = statement(kVisitOfSample);
      s.bind(1, *sample);
      const bool same_visit = s.step() && s.integer(0) == visit;
      s.reset();
      if (!same_visit) {
        throw Error(ErrorCode::kBadInput,
                    "its sample is of another visit; give the visit that the sample was taken at");
      }
    }
    run(kInsertMeasurement, key_or_new(m.key), visit, sample, m.quantity, m.unit, m.value, m.below_detection,
        m.verbatim_value, m.note, stamp.now_utc, stamp.device);
  }

  void operator()(const AddOutfall& edit) {
    const Outfall& o = edit.outfall;
    row = quoted("outfall", o.code);
    run(kInsertOutfall, key_or_new(o.key), o.code, o.name, stored_word(kStoredOutfallKinds, o.kind),
        date_text(o.since), date_text(o.until), o.raw.x, o.raw.y, o.raw.crs, o.raw.note, o.note,
        encode_point(o.position), o.strength, stamp.now_utc, stamp.device);
  }

  void operator()(const AddReach& edit) {
    const Reach& r = edit.reach;
    row = quoted("reach", r.name);
    run(kInsertReach, key_or_new(r.key), r.name, encode_line(r.line), r.two_way, r.note, stamp.now_utc,
        stamp.device);
  }

  void operator()(const AddCatchment& edit) {
    const Catchment& c = edit.catchment;
    row = quoted("catchment", c.code);
    run(kInsertCatchment, key_or_new(c.key), c.code, c.name, shape_or_nothing(c.shape), stamp.now_utc,
        stamp.device);
  }
};

BatchWriter::BatchWriter(const Database& database, EditStamp stamp)
    : impl_(std::make_unique<Impl>(Impl{database, std::move(stamp)})) {}

BatchWriter::~BatchWriter() = default;

void BatchWriter::write(std::span<const Edit> edits) {
  for (const Edit& edit : edits) {
    if (const auto* add = std::get_if<AddTaxon>(&edit))
      impl_->taxa_to_add.emplace(add->taxon.key, &add->taxon);
  }
  try {
    for (const Edit& edit : edits) {
      if (const auto* add = std::get_if<AddTaxon>(&edit)) impl_->add_taxon(add->taxon);
    }
    for (const Edit& edit : edits) std::visit(*impl_, edit);
  } catch (const SqliteError&) {
    throw;  // names its row already
  } catch (const Error& error) {
    throw Error(error.code(), error.what(), impl_->row);
  }
}

void write_survey_info(const Database& database, const SurveyInfo& info, const EditStamp& stamp) {
  Statement insert(database, kInsertSurvey);
  const std::string key = info.key.empty() ? stamp.new_key() : info.key;
  insert.run(key, info.title, info.description, info.crs, stamp.now_utc, stamp.device);
}

std::span<const std::string_view> writer_statements() {
  return kStatements;
}

}  // namespace brookmark::core
