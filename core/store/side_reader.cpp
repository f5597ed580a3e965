#include "core/store/geometry_blob.hpp"
#include "core/store/side_reader_internal.hpp"
#include "core/store/stored_words.hpp"

namespace brookmark::core {
namespace {

constexpr std::string_view kPhotos = R"(
  SELECT p.key, s.key, coalesce(v.key, ''), p.file, p.caption FROM photo p JOIN site s ON s.id = p.site_id
  LEFT JOIN visit v ON v.id = p.visit_id ORDER BY p.id)";
constexpr std::string_view kLayers =
    "SELECT key, title, file, attribution, look, shown FROM layer ORDER BY id";
constexpr std::string_view kPeople = "SELECT key, name, note, agreed FROM person ORDER BY id";
constexpr std::string_view kSensitiveTaxa =
    "SELECT key, name, note, sharing, cell_m FROM sensitive_taxon ORDER BY id";
constexpr std::string_view kKit =
    "SELECT key, code, name, note, kind, kit_set, retired FROM kit ORDER BY code";
constexpr std::string_view kKitUses = R"(
  SELECT u.key, k.key, s.key, coalesce(v.key, ''), u.date, u.minute_of_day, u.utc_offset_min, u.override_reason, u.note
  FROM kit_use u JOIN kit k ON k.id = u.kit_id JOIN site s ON s.id = u.site_id LEFT JOIN visit v ON v.id = u.visit_id
  ORDER BY u.id)";
constexpr std::string_view kCleanings = R"(
  SELECT c.key, k.key, c.date, c.minute_of_day, c.utc_offset_min, c.agent, c.concentration_pct, c.temperature_c,
         c.contact_min, c.note
  FROM cleaning c JOIN kit k ON k.id = c.kit_id ORDER BY c.id)";
constexpr std::string_view kHoldings = R"(
  SELECT h.key, k.key, s.key, h.what, h.note, h.since, h.until, h.outcome
  FROM holding h JOIN kit k ON k.id = h.kit_id JOIN site s ON s.id = h.site_id ORDER BY h.id)";
constexpr std::string_view kRisks = R"(
  SELECT r.key, s.key, r.target, r.told_by, r.note, r.status, r.since
  FROM water_risk r JOIN site s ON s.id = r.site_id ORDER BY r.id)";
constexpr std::string_view kGrounds = "SELECT key, name, note, kind, geom FROM ground ORDER BY id";

constexpr std::string_view kStatements[] = {kPhotos,  kLayers,    kPeople,   kSensitiveTaxa, kKit,
                                            kKitUses, kCleanings, kHoldings, kRisks,         kGrounds};

std::string text_of(const Statement& row, int column) {
  return std::string(row.text(column));
}

[[noreturn]] void damaged(const std::string& what) {
  throw Error(ErrorCode::kForeignFile, "the survey file is damaged: " + what);
}

}  // namespace

Date stored_date(std::string_view text) {
  if (const auto date = parse_date(text)) return *date;
  damaged("'" + std::string(text) + "' is no date");
}

Moment stored_moment(const Statement& row, int date_column) {
  Moment moment{stored_date(row.text(date_column)), std::nullopt, std::nullopt};
  if (const auto minute = row.optional_integer(date_column + 1)) {
    if (*minute < 0 || *minute > 1439) damaged("a time of day is out of its range");
    moment.minute_of_day = static_cast<int>(*minute);
  }
  if (const auto offset = row.optional_integer(date_column + 2)) {
    if (*offset < -840 || *offset > 840) damaged("an offset from UTC is out of its range");
    moment.utc_offset_min = static_cast<int>(*offset);
  }
  return moment;
}

void read_side_tables(const Database& database, Snapshot& snapshot) {
  for (Statement row(database, kPhotos); row.step();)
    snapshot.photos.push_back(
        {text_of(row, 0), text_of(row, 1), text_of(row, 2), text_of(row, 3), text_of(row, 4)});
  for (Statement row(database, kLayers); row.step();)
    snapshot.layers.push_back({text_of(row, 0), text_of(row, 1), text_of(row, 2), text_of(row, 3),
                               read_word(kStoredLayerLooks, row.text(4)), row.integer(5) != 0});
  for (Statement row(database, kPeople); row.step();)
    snapshot.people.push_back({text_of(row, 0), text_of(row, 1), text_of(row, 2), row.integer(3) != 0});
  for (Statement row(database, kSensitiveTaxa); row.step();)
    snapshot.sensitive_taxa.push_back({text_of(row, 0), text_of(row, 1), text_of(row, 2),
                                       read_word(kStoredSharing, row.text(3)), row.optional_real(4)});
  for (Statement row(database, kKit); row.step();)
    snapshot.kit.push_back({text_of(row, 0), text_of(row, 1), text_of(row, 2), text_of(row, 3),
                            read_word(kStoredKitKinds, row.text(4)), text_of(row, 5), row.integer(6) != 0});
  for (Statement row(database, kKitUses); row.step();)
    snapshot.kit_uses.push_back({text_of(row, 0), text_of(row, 1), text_of(row, 2), text_of(row, 3),
                                 stored_moment(row, 4), text_of(row, 7), text_of(row, 8)});
  for (Statement row(database, kCleanings); row.step();)
    snapshot.cleanings.push_back({text_of(row, 0), text_of(row, 1), stored_moment(row, 2), text_of(row, 5),
                                  row.optional_real(6), row.optional_real(7), row.optional_real(8),
                                  text_of(row, 9)});
  for (Statement row(database, kHoldings); row.step();) {
    Holding holding{text_of(row, 0), text_of(row, 1),          text_of(row, 2), text_of(row, 3),
                    text_of(row, 4), stored_date(row.text(5)), std::nullopt,    HoldingOutcome::kHeld};
    if (!row.is_null(6)) holding.until = stored_date(row.text(6));
    holding.outcome = read_word(kStoredHoldingOutcomes, row.text(7));
    snapshot.holdings.push_back(std::move(holding));
  }
  for (Statement row(database, kRisks); row.step();)
    snapshot.risks.push_back({text_of(row, 0), text_of(row, 1), text_of(row, 2), text_of(row, 3),
                              text_of(row, 4), read_word(kStoredRiskStatus, row.text(5)),
                              stored_date(row.text(6))});
  for (Statement row(database, kGrounds); row.step();)
    snapshot.grounds.push_back({text_of(row, 0), text_of(row, 1), text_of(row, 2),
                                read_word(kStoredGroundKinds, row.text(3)), decode_shape(row.bytes(4))});
}

std::span<const std::string_view> side_reader_statements() {
  return kStatements;
}

}  // namespace brookmark::core
