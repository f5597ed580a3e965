// Why: everybody names their columns differently. All headers that an import understands stand in one table
// (columns.cpp): Darwin Core terms and plain English; a caller's own map comes on top.
// Use: ColumnMatch c = match_columns(ImportKind::kSites, table, {{"Stelle", "locationID"}});
//      c.at(Field::kSiteCode)
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/base/table.hpp"
#include "core/intake/import.hpp"

namespace brookmark::core {

// What a column can mean.
enum class Field : std::uint8_t {
  kSiteCode,
  kLatitude,
  kLongitude,
  kX,
  kY,
  kAccuracy,
  kSiteName,
  kWaterName,
  kHabitat,
  kWaterKind,
  kSiteStatus,
  kSiteType,
  kReference,
  kSiteNote,
  kSampleCode,
  kDate,
  kTime,
  kMethod,
  kEffort,
  kEffortUnit,
  kMesh,
  kSubsample,
  kSampleKind,
  kPeople,
  kWeather,
  kConditions,
  kVisitNote,
  kSampleNote,
  kScientificName,
  kCommonName,
  kCount,
  kQuantity,
  kQuantityType,
  kLifeStage,
  kQualifier,
  kCertainty,
  kOccurrenceStatus,
  kRecordNote,
  kOrder,
  kFamily,
  kGenus,
  kMeasured,
  kValue,
  kUnit,
  kMeasurementNote,
  kOutfallCode,
  kOutfallName,
  kOutfallKind,
  kStrength,
  kSince,
  kUntil,
  kOutfallNote,
  kReachName,
  kTwoWay,
  kReachNote,
  kCatchmentCode,
  kCatchmentName,
  kGroundKind,
  kGroundName,
  kGroundNote,
  kKitCode,
  kKitKind,
  kKitSet,
  kAgent,
  kConcentration,
  kTemperature,
  kContact,
  kOverride,
  kKitNote,
  kUtcOffset,
  kEventType,
  kEnd  // not a field: how many there are
};
inline constexpr std::size_t kFieldCount = static_cast<std::size_t>(Field::kEnd);

// Our word for a field: "decimalLatitude".
const char* field_name(Field field);

struct ColumnMatch {
  std::array<std::optional<std::size_t>, kFieldCount> column;
  std::optional<std::size_t> at(Field field) const { return column[static_cast<std::size_t>(field)]; }
  void forget(Field field) { column[static_cast<std::size_t>(field)].reset(); }
};

// Which column of `table` holds what, for one kind of import. `chosen` maps their header to our word (or
// any header we know); an empty word leaves a column out. A chosen column comes before a recognised one.
//
// Short words such as "code", "name", "kind" or "note" speak of the deepest thing in a sheet. In a sheet
// with a taxon in each row they belong to the record, so an import of sites or samples from it leaves them
// alone.
//
// A table that this program exported is known by its headings as a whole; `chosen` comes before that too.
//
// Throws Error(kBadInput) when two columns claim the same meaning, Error(kBadUse) when `chosen` names a
// column or a word that is not there.
ColumnMatch match_columns(ImportKind kind, const Table& table,
                          const std::map<std::string, std::string>& chosen);

// What a column of `kind` can be taken as: our word, and what it is. In the order of the help below.
struct FieldMeaning {
  const char* ours;
  const char* meaning;
};
std::vector<FieldMeaning> fields_of(ImportKind kind);

// What `kind` understands, a line for each meaning: our word, what it is, the other headers that are taken
// for it.
std::string import_columns_help(ImportKind kind);

}  // namespace brookmark::core
