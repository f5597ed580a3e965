#include "core/store/writer.hpp"

#include <cmath>
#include <iterator>
#include <map>
#include <unordered_map>
#include <unordered_set>
#include <utility>

#include "core/store/edit_internal.hpp"
#include "core/store/geometry_blob.hpp"
#include "core/store/row_statements_internal.hpp"
#include "core/store/stored_words.hpp"

namespace brookmark::core {
namespace {

constexpr std::string_view kInsertSurvey = R"(
  INSERT INTO survey (id, key, title, description, crs, created_utc, changed_utc, device)
  VALUES (1, ?1, ?2, ?3, ?4, ?5, ?5, ?6))";
constexpr std::string_view kInsertTaxon = R"(
  INSERT INTO taxon (key, name, rank, parent_id, listed, created_utc, changed_utc, device)
  VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?6, ?7) ON CONFLICT (key) DO NOTHING)";
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
constexpr std::string_view kSiteId = "SELECT id FROM site WHERE key = ?1";
constexpr std::string_view kVisitId = "SELECT id FROM visit WHERE key = ?1";
constexpr std::string_view kSampleId = "SELECT id FROM sample WHERE key = ?1";
constexpr std::string_view kTaxonId = "SELECT id FROM taxon WHERE key = ?1";
constexpr std::string_view kVisitOfSample = "SELECT visit_id FROM sample WHERE id = ?1";

constexpr std::string_view kKitId = "SELECT id FROM kit WHERE key = ?1";

constexpr std::string_view kStatements[] = {
    kInsertSurvey, kInsertTaxon, kMoveSite, kSetSiteStatus, kMarkReference, kSetOutfallStrength,
    kSiteId,       kVisitId,     kSampleId, kTaxonId,       kKitId,         kVisitOfSample};

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

Bytes shape_bytes(const LonLat& point) {
  return encode_point(point);
}
Bytes shape_bytes(const Line& line) {
  return encode_line(line);
}
Bytes shape_bytes(const MultiPolygon& shape) {
  return encode_multi_polygon(shape);
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

  void need_changed(const char* what) const {
    if (database.changed_rows() == 1) return;
    throw Error(ErrorCode::kBadInput,
                std::string("there is no such ") + what + " in this survey; look at its key");
  }

  // A row is added under its key, or under a new one where it has none; or the row of its key is replaced.
  enum class Mode { kAdd, kReplace };

  template <class... Values>
  std::string write_row(Mode mode, TableName table, const std::string& key, const Values&... values) {
    const RowStatements& sql = row_statements(table);
    const std::string used = mode == Mode::kAdd ? key_or_new(key) : key;
    run(mode == Mode::kAdd ? sql.add : sql.replace, used, values..., stamp.now_utc, stamp.device);
    if (mode == Mode::kReplace) need_changed(sql.table.c_str());
    return used;
  }

  std::optional<std::int64_t> visit_or_nothing(const std::string& key) {
    if (key.empty()) return std::nullopt;
    return id_of(kVisitId, "visit", key);
  }

  void put(Mode mode, const Water& w) {
    row = quoted("water", w.name);
    write_row(mode, TableName::kWater, w.key, w.name, stored_word(kStoredWaterKinds, w.kind),
              shape_or_nothing(w.shape));
  }

  void put(Mode mode, const Site& s) {
    row = quoted("site", s.code);
    const std::string key =
        write_row(mode, TableName::kSite, s.key, s.code, s.name, s.water, s.habitat,
                  stored_word(kStoredWaterKinds, s.kind), stored_word(kStoredSiteStatus, s.status),
                  s.accuracy_m, s.raw.x, s.raw.y, s.raw.crs, s.raw.note, s.note, point_or_nothing(s.position),
                  s.type, s.reference, stored_word(kStoredSharing, s.sharing));
    if (mode == Mode::kAdd) remember(kSiteId, key);
  }

  void put(Mode mode, const Visit& v) {
    row = "visit of " + format_date(v.start.date);
    const std::string key = write_row(mode, TableName::kVisit, v.key, id_of(kSiteId, "site", v.site_key),
                                      format_date(v.start.date), v.start.minute_of_day,
                                      v.start.utc_offset_min, v.people, v.weather, v.conditions, v.note);
    if (mode == Mode::kAdd) remember(kVisitId, key);
  }

  void put(Mode mode, const Sample& s) {
    row = quoted("sample", s.code);
    const std::string key =
        write_row(mode, TableName::kSample, s.key, s.code, id_of(kVisitId, "visit", s.visit_key),
                  stored_word(kStoredSampleKinds, s.kind), s.protocol, s.effort, s.effort_unit, s.mesh_um,
                  s.subsample_share, s.note);
    if (mode == Mode::kAdd) remember(kSampleId, key);
  }

  void put(Mode mode, const Record& r) {
    row = quoted("record", r.verbatim_name);
    write_row(mode, TableName::kRecord, r.key, id_of(kSampleId, "sample", r.sample_key),
              id_of(kTaxonId, "taxon", r.taxon_key), stored_word(kStoredNameMatches, r.match),
              stored_word(kStoredQuantities, r.quantity), r.count_min, r.count_max,
              stored_word(kStoredLifeStages, r.stage), r.certainty, r.verbatim_name, r.verbatim_quantity,
              r.class_code, r.class_scheme, r.qualifier, r.note);
  }

  void put(Mode mode, const Measurement& m) {
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
    write_row(mode, TableName::kMeasurement, m.key, visit, sample, m.quantity, m.unit, m.value,
              m.below_detection, m.verbatim_value, m.note);
  }

  void put(Mode mode, const Outfall& o) {
    row = quoted("outfall", o.code);
    write_row(mode, TableName::kOutfall, o.key, o.code, o.name, stored_word(kStoredOutfallKinds, o.kind),
              date_text(o.since), date_text(o.until), o.raw.x, o.raw.y, o.raw.crs, o.raw.note, o.note,
              encode_point(o.position), o.strength);
  }

  void put(Mode mode, const Reach& r) {
    row = quoted("reach", r.name);
    write_row(mode, TableName::kReach, r.key, r.name, encode_line(r.line), r.two_way, r.note);
  }

  void put(Mode mode, const Catchment& c) {
    row = quoted("catchment", c.code);
    write_row(mode, TableName::kCatchment, c.key, c.code, c.name, shape_or_nothing(c.shape));
  }

  void put(Mode mode, const Photo& p) {
    row = quoted("photo", p.file);
    write_row(mode, TableName::kPhoto, p.key, id_of(kSiteId, "site", p.site_key),
              visit_or_nothing(p.visit_key), p.file, p.caption);
  }

  void put(Mode mode, const BaseLayer& l) {
    row = quoted("background map", l.file);
    write_row(mode, TableName::kLayer, l.key, l.title, l.file, l.attribution,
              stored_word(kStoredLayerLooks, l.look), l.shown);
  }

  void put(Mode mode, const Person& p) {
    row = quoted("person", p.name);
    write_row(mode, TableName::kPerson, p.key, p.name, p.agreed, p.note);
  }

  void put(Mode mode, const SensitiveTaxon& t) {
    row = quoted("sensitive taxon", t.name);
    write_row(mode, TableName::kSensitiveTaxon, t.key, t.name, stored_word(kStoredSharing, t.sharing),
              t.cell_m, t.note);
  }

  void put(Mode mode, const Kit& k) {
    row = quoted("kit", k.code);
    const std::string key = write_row(mode, TableName::kKit, k.key, k.code, k.name,
                                      stored_word(kStoredKitKinds, k.kind), k.set, k.note, k.retired);
    if (mode == Mode::kAdd) remember(kKitId, key);
  }

  void put(Mode mode, const KitUse& u) {
    row = "use of kit on " + format_date(u.when.date);
    write_row(mode, TableName::kKitUse, u.key, id_of(kKitId, "kit", u.kit_key),
              id_of(kSiteId, "site", u.site_key), visit_or_nothing(u.visit_key), format_date(u.when.date),
              u.when.minute_of_day, u.when.utc_offset_min, u.override_reason, u.note);
  }

  void put(Mode mode, const Cleaning& c) {
    row = "cleaning of " + format_date(c.finished.date);
    write_row(mode, TableName::kCleaning, c.key, id_of(kKitId, "kit", c.kit_key),
              format_date(c.finished.date), c.finished.minute_of_day, c.finished.utc_offset_min, c.agent,
              c.concentration_pct, c.temperature_c, c.contact_min, c.note);
  }

  void put(Mode mode, const Holding& h) {
    row = quoted("live sample", h.what);
    write_row(mode, TableName::kHolding, h.key, id_of(kKitId, "vessel", h.kit_key),
              id_of(kSiteId, "site", h.site_key), h.what, format_date(h.since), date_text(h.until),
              stored_word(kStoredHoldingOutcomes, h.outcome), h.note);
  }

  void put(Mode mode, const WaterRisk& r) {
    row = quoted("risk", r.target);
    write_row(mode, TableName::kWaterRisk, r.key, id_of(kSiteId, "site", r.site_key), r.target,
              stored_word(kStoredRiskStatus, r.status), format_date(r.since), r.told_by, r.note);
  }

  void put(Mode mode, const Ground& g) {
    row = quoted("ground", g.name);
    write_row(mode, TableName::kGround, g.key, g.name, stored_word(kStoredGroundKinds, g.kind),
              std::visit([](const auto& shape) { return shape_bytes(shape); }, g.shape), g.note);
  }

  template <class Row>
  void operator()(const Replace<Row>& edit) {
    put(Mode::kReplace, edit.row);
  }

  void operator()(const Remove& edit) {
    const RowStatements& sql = row_statements(edit.table);
    row = quoted(sql.table, edit.key);
    run(sql.remove, edit.key);
    need_changed(sql.table.c_str());
    for (auto& [lookup, known] : ids) known.erase(edit.key);
  }

  void operator()(const AddWater& edit) { put(Mode::kAdd, edit.water); }
  void operator()(const AddSite& edit) { put(Mode::kAdd, edit.site); }
  void operator()(const AddVisit& edit) { put(Mode::kAdd, edit.visit); }
  void operator()(const AddSample& edit) { put(Mode::kAdd, edit.sample); }
  void operator()(const AddRecord& edit) { put(Mode::kAdd, edit.record); }
  void operator()(const AddMeasurement& edit) { put(Mode::kAdd, edit.measurement); }
  void operator()(const AddOutfall& edit) { put(Mode::kAdd, edit.outfall); }
  void operator()(const AddReach& edit) { put(Mode::kAdd, edit.reach); }
  void operator()(const AddCatchment& edit) { put(Mode::kAdd, edit.catchment); }
  void operator()(const AddPhoto& edit) { put(Mode::kAdd, edit.photo); }
  void operator()(const AddLayer& edit) { put(Mode::kAdd, edit.layer); }
  void operator()(const AddPerson& edit) { put(Mode::kAdd, edit.person); }
  void operator()(const AddSensitiveTaxon& edit) { put(Mode::kAdd, edit.taxon); }
  void operator()(const AddKit& edit) { put(Mode::kAdd, edit.kit); }
  void operator()(const AddKitUse& edit) { put(Mode::kAdd, edit.use); }
  void operator()(const AddCleaning& edit) { put(Mode::kAdd, edit.cleaning); }
  void operator()(const AddHolding& edit) { put(Mode::kAdd, edit.holding); }
  void operator()(const AddWaterRisk& edit) { put(Mode::kAdd, edit.risk); }
  void operator()(const AddGround& edit) { put(Mode::kAdd, edit.ground); }

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
};

BatchWriter::BatchWriter(const Database& database, EditStamp stamp)
    : impl_(std::make_unique<Impl>(Impl{database, std::move(stamp)})) {}

BatchWriter::~BatchWriter() = default;

void BatchWriter::write(std::span<const Edit> edits) {
  for (const Edit& edit : edits) {
    if (const auto* add = edit.as<AddTaxon>()) impl_->taxa_to_add.emplace(add->taxon.key, &add->taxon);
  }
  try {
    for (const Edit& edit : edits) {
      if (const auto* add = edit.as<AddTaxon>()) impl_->add_taxon(add->taxon);
    }
    for (const Edit& edit : edits) std::visit(*impl_, edit.any());
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

std::vector<std::string_view> writer_statements() {
  std::vector<std::string_view> all = all_row_statements();
  all.insert(all.end(), std::begin(kStatements), std::end(kStatements));
  return all;
}

}  // namespace brookmark::core
