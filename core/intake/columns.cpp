#include "core/intake/columns.hpp"

#include <algorithm>
#include <span>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/own_columns_internal.hpp"

namespace brookmark::core {

namespace {

using Kinds = unsigned;
constexpr Kinds bit(ImportKind kind) {
  return 1U << static_cast<unsigned>(kind);
}
constexpr Kinds kSites = bit(ImportKind::kSites), kSamples = bit(ImportKind::kSamples),
                kRecords = bit(ImportKind::kRecords), kMeasurements = bit(ImportKind::kMeasurements),
                kWatercourses = bit(ImportKind::kWatercourses), kOutfalls = bit(ImportKind::kOutfalls),
                kCatchments = bit(ImportKind::kCatchments), kWaters = bit(ImportKind::kWaters),
                kGround = bit(ImportKind::kGround), kKit = bit(ImportKind::kKit);

// One meaning in some kinds of import. Headers are compared in lower case without spaces, underscores,
// hyphens and points; lists are separated by '|'.
struct Rule {
  Field field;
  Kinds kinds;
  const char* ours;     // Darwin Core's word where it has one
  const char* meaning;  // for help
  const char* also;     // other headers
  // Other headers, but only in a sheet that holds nothing deeper than this kind.
  const char* short_words = "";
  // Other headers, but only where nothing else claims the meaning.
  const char* last_words = "";
};

constexpr const char* kNotes = "note|notes|remark|remarks|comment|comments";

constexpr Rule kRules[] = {
    // Sites, and outfalls where they share a meaning.
    {Field::kSiteCode, kSites, "locationID", "code of the site", "site|site code|site id|station", "code"},
    {Field::kSiteCode, kSamples | kMeasurements | kKit, "locationID", "code of the site",
     "site|site code|site id|station"},
    {Field::kLatitude, kSites | kOutfalls, "decimalLatitude", "latitude in degrees, north positive",
     "lat|latitude"},
    {Field::kLongitude, kSites | kOutfalls, "decimalLongitude", "longitude in degrees, east positive",
     "lon|long|lng|longitude"},
    {Field::kX, kSites | kOutfalls, "x", "easting in the coordinate system given with the import", "easting"},
    {Field::kY, kSites | kOutfalls, "y", "northing in the coordinate system given with the import",
     "northing"},
    {Field::kAccuracy, kSites, "coordinateUncertaintyInMeters", "accuracy of the position in metres",
     "accuracy|accuracy m"},
    {Field::kSiteName, kSites, "locality", "name of the site", "site name", "name"},
    {Field::kWaterName, kSites, "waterBody", "name of the water", "water|water name|river"},
    {Field::kHabitat, kSites, "habitat", "habitat in the surveyor's words", ""},
    {Field::kWaterKind, kSites, "waterKind", "kind of water", "water kind|kind of water|water type",
     "kind|type"},
    {Field::kSiteStatus, kSites, "siteStatus", "proposed, active or retired", "", "status"},
    {Field::kSiteType, kSites, "siteType", "type of water, for comparison with reference sites",
     "site type|type of water"},
    {Field::kReference, kSites, "referenceSite", "yes where the site is a reference for its type",
     "reference|reference site"},
    {Field::kSiteNote, kSites, "locationRemarks", "note on the site", "site note", kNotes},

    // Samples and their visits.
    {Field::kSampleCode, kSamples, "eventID", "code of the sample", "sample|sample code|sample id", "code"},
    {Field::kSampleCode, kRecords | kMeasurements, "eventID", "code of the sample",
     "sample|sample code|sample id"},
    {Field::kDate, kSamples | kMeasurements | kKit, "eventDate",
     "date, or date and time, as 2024-05-03T09:30+01:00", "date|sample date|sampling date"},
    {Field::kTime, kSamples | kMeasurements | kKit, "eventTime",
     "local time as 09:30, where the date has none", "time|start time"},
    {Field::kUtcOffset, kSamples | kMeasurements, "utcOffset",
     "local time minus UTC in minutes, where the time does not say it", "local offset min"},
    {Field::kEventType, kSamples, "eventType",
     "what kind of event the row is; a visit, survey, project or expedition is no sample and is left out",
     ""},
    {Field::kMethod, kSamples, "samplingProtocol", "how the sample was taken",
     "method|protocol|sampling method"},
    {Field::kEffort, kSamples, "sampleSizeValue", "effort", "effort|sampling effort"},
    {Field::kEffortUnit, kSamples, "sampleSizeUnit", "unit of the effort: s, jabs, l, m2", "effort unit",
     "unit"},
    {Field::kMesh, kSamples, "meshSize", "mesh as 500 um or 0.5 mm", "mesh|mesh um|mesh mm"},
    {Field::kSubsample, kSamples, "subsampleShare", "part of the catch that was sorted: 0.25, 1/4 or 25 %",
     "subsample|share"},
    {Field::kSampleKind, kSamples, "sampleKind", "routine, replicate or blank",
     "replicate|sample kind|sample type", "kind|type"},
    {Field::kPeople, kSamples, "recordedBy", "who was there", "people|surveyor|surveyors|observer|recorder"},
    {Field::kWeather, kSamples, "weather", "weather at the visit", ""},
    {Field::kConditions, kSamples, "conditions", "level, flow, colour of the water", ""},
    {Field::kVisitNote, kSamples, "eventRemarks", "note on the visit", "visit note"},
    {Field::kSampleNote, kSamples, "sampleRemarks", "note on the sample", "sample note", kNotes},

    // Records.
    {Field::kScientificName, kRecords, "scientificName", "the animal's name as written",
     "taxon|taxon name|species|animal", "", "name"},
    {Field::kCommonName, kRecords, "vernacularName", "common name, used where the other name is empty",
     "common name"},
    {Field::kCount, kRecords, "individualCount", "how many; 0 is looked for and absent, empty is present",
     "count|number|individuals"},
    {Field::kQuantity, kRecords, "organismQuantity", "how many, or the letter of an abundance class",
     "abundance|abundance class", "", "class"},
    {Field::kQuantityType, kRecords, "organismQuantityType", "individuals, or the abundance scheme",
     "abundance scheme|scheme"},
    {Field::kLifeStage, kRecords, "lifeStage", "egg, larva, pupa or adult", "stage"},
    {Field::kQualifier, kRecords, "identificationQualifier", "cf., sp., indet. as written", "qualifier"},
    {Field::kCertainty, kRecords, "certainty", "how sure the name is, 0 to 1", "confidence"},
    {Field::kOccurrenceStatus, kRecords, "occurrenceStatus", "present or absent", "status"},
    {Field::kRecordNote, kRecords, "occurrenceRemarks", "note on the record", kNotes},
    {Field::kOrder, kRecords, "order", "order, to place a name that is not listed, and to check one that is",
     ""},
    {Field::kFamily, kRecords, "family", "family, for the same", ""},
    {Field::kGenus, kRecords, "genus", "genus, for the same", ""},

    // Measurements, one in a row.
    {Field::kMeasured, kMeasurements, "measurementType", "what was measured",
     "quantity|parameter|determinand"},
    {Field::kValue, kMeasurements, "measurementValue", "the value; <0.05 is below the limit of detection",
     "value|result"},
    {Field::kUnit, kMeasurements, "measurementUnit", "its unit", "unit|units"},
    {Field::kMeasurementNote, kMeasurements, "measurementRemarks", "note on the measurement", kNotes},

    // A log of kit: a row with a site is a use, one with an agent a cleaning that was finished then.
    {Field::kKitCode, kKit, "kitID", "code of the item", "kit|item|kit code|item code|net|vessel", "",
     "code"},
    {Field::kKitKind, kKit, "kitKind", "what it is, for an item that is new: net, footwear, tray, vessel ...",
     "kit kind|kind of kit|item kind", "", "kind|type"},
    {Field::kKitSet, kKit, "kitSet", "what goes out together, for an item that is new", "set|kit set"},
    {Field::kAgent, kKit, "cleaningAgent", "with what it was cleaned: hot water, drying, bleach ...",
     "agent|cleaned with|cleaning"},
    {Field::kConcentration, kKit, "concentrationPercent", "strength in per cent",
     "concentration|strength|concentration pct"},
    {Field::kTemperature, kKit, "temperatureCelsius", "degrees Celsius", "temperature|temperature c"},
    {Field::kContact, kKit, "contactMinutes", "contact time, or how long it dried, in minutes",
     "minutes|contact time|contact min"},
    {Field::kOverride, kKit, "overrideReason", "why it was used in spite of a warning", "override|reason"},
    {Field::kKitNote, kKit, "kitRemarks", "note", kNotes},

    // Places drawn as shapes.
    {Field::kOutfallCode, kOutfalls, "outfallID", "code of the outfall",
     "outfall|outfall code|outfall id|code"},
    {Field::kOutfallName, kOutfalls, "outfallName", "name of the outfall", "outfall name|name"},
    {Field::kOutfallKind, kOutfalls, "outfallKind", "what enters the water",
     "outfall kind|outfall type|kind|type"},
    {Field::kStrength, kOutfalls, "strength", "what the outfall weighs beside the others, 0 or more",
     "load|outfall strength"},
    {Field::kSince, kOutfalls, "since", "first day", "start date"},
    {Field::kUntil, kOutfalls, "until", "last day", "end date"},
    {Field::kOutfallNote, kOutfalls, "outfallRemarks", "note on the outfall", kNotes},
    {Field::kReachName, kWatercourses, "reachName", "name of the watercourse",
     "reach|reach name|river|river name|stream|watercourse", "", "name"},
    {Field::kTwoWay, kWatercourses, "twoWay", "yes for a canal or level ditch that flows either way",
     "two way|both ways"},
    {Field::kReachNote, kWatercourses, "reachRemarks", "note on the reach", "reach note", kNotes},
    {Field::kCatchmentCode, kCatchments, "catchmentID", "code of the catchment",
     "catchment|catchment code|catchment id|code"},
    {Field::kCatchmentName, kCatchments, "catchmentName", "name of the catchment", "catchment name|name"},
    {Field::kWaterName, kWaters, "waterBody", "name of the water", "water|water name", "", "name"},
    {Field::kWaterKind, kWaters, "waterKind", "kind of water", "water kind|water type|kind|type"},
    {Field::kGroundKind, kGround, "groundKind", "private, unsafe, road, bridge, access or refused",
     "ground kind|kind of ground|kind"},
    {Field::kGroundName, kGround, "groundName", "name of the place", "ground name|name"},
    {Field::kGroundNote, kGround, "groundRemarks", "why, and what was agreed", "ground note", kNotes},
};

// "dwc:decimal_Latitude" -> "decimallatitude"; "Mesh (mm)" -> "mesh"
std::string plain_header(std::string_view header) {
  if (const auto colon = header.find(':'); colon != std::string_view::npos && colon + 1 < header.size())
    header.remove_prefix(colon + 1);
  if (const auto bracket = header.find_first_of("(["); bracket != std::string_view::npos && bracket > 0)
    header = header.substr(0, bracket);
  std::string plain = to_lower_ascii(header);
  std::erase_if(plain, [](char c) { return c == ' ' || c == '_' || c == '-' || c == '.' || c == '\t'; });
  return plain;
}

bool in_list(std::string_view list, const std::string& plain) {
  while (!list.empty()) {
    const auto end = list.find('|');
    if (plain_header(list.substr(0, end)) == plain) return true;
    list = end == std::string_view::npos ? std::string_view{} : list.substr(end + 1);
  }
  return false;
}

enum class Claim { kNone, kLast, kShort, kFull };

Claim claim_of(const Rule& rule, const std::string& plain) {
  if (plain_header(rule.ours) == plain || in_list(rule.also, plain)) return Claim::kFull;
  if (in_list(rule.short_words, plain)) return Claim::kShort;
  if (in_list(rule.last_words, plain)) return Claim::kLast;
  return Claim::kNone;
}

// 1 site, 2 sample, 3 record or measurement: what the rows of a sheet are about, at the deepest.
int depth_of(const Table& table) {
  int depth = 1;
  for (const std::string& column : table.columns)
    for (const Rule& rule : kRules)
      if (claim_of(rule, plain_header(column)) == Claim::kFull) {
        if (rule.field == Field::kScientificName || rule.field == Field::kCommonName ||
            rule.field == Field::kMeasured)
          depth = 3;
        else if (rule.field == Field::kSampleCode)
          depth = std::max(depth, 2);
      }
  return depth;
}

int depth_of(ImportKind kind) {
  return kind == ImportKind::kSites ? 1 : kind == ImportKind::kSamples ? 2 : 3;
}

std::string list_of(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

std::string known_words(ImportKind kind) {
  std::vector<std::string> words;
  for (const Rule& rule : kRules)
    if (rule.kinds & bit(kind)) words.emplace_back(rule.ours);
  return list_of(words);
}

std::size_t find_header(const Table& table, const std::string& theirs) {
  if (const auto exact = table.find(theirs)) return *exact;
  for (std::size_t i = 0; i < table.columns.size(); ++i)
    if (plain_header(table.columns[i]) == plain_header(theirs)) return i;
  throw Error(ErrorCode::kBadUse,
              "there is no column \"" + theirs + "\"; the columns are " + list_of(table.columns), table.file);
}

// Nothing: leave the column out.
std::optional<Field> find_word(ImportKind kind, const std::string& theirs, const std::string& ours,
                               const Table& table) {
  if (ours.empty()) return std::nullopt;
  for (const Rule& rule : kRules)
    if ((rule.kinds & bit(kind)) && claim_of(rule, plain_header(ours)) != Claim::kNone) return rule.field;
  throw Error(ErrorCode::kBadUse,
              "column \"" + theirs + "\" cannot be taken as \"" + ours + "\": an import of " +
                  import_kind_name(kind) + " knows " + known_words(kind),
              table.file);
}

[[noreturn]] void refuse_twice(const Table& table, std::size_t a, std::size_t b, Field field) {
  throw Error(ErrorCode::kBadInput,
              "columns \"" + table.columns[a] + "\" and \"" + table.columns[b] +
                  "\" could both be meant as " + field_name(field) +
                  "; say which with --column THEIRS=" + field_name(field),
              table.file);
}

}  // namespace

const char* field_name(Field field) {
  for (const Rule& rule : kRules)
    if (rule.field == field) return rule.ours;
  return "";
}

ColumnMatch match_columns(ImportKind kind, const Table& table,
                          const std::map<std::string, std::string>& chosen) {
  ColumnMatch match;
  std::array<Claim, kFieldCount> by{};
  std::vector<bool> spoken_for(table.columns.size(), false);
  std::map<std::string, std::string> all = own_columns(kind, table);
  for (const auto& [theirs, ours] : chosen) {
    std::erase_if(all, [&, &word = ours](const auto& own) { return !word.empty() && own.second == word; });
    all[table.columns[find_header(table, theirs)]] = ours;
  }
  for (const auto& [theirs, ours] : all) {
    const std::size_t column = find_header(table, theirs);
    spoken_for[column] = true;
    if (const auto field = find_word(kind, theirs, ours, table)) {
      const auto f = static_cast<std::size_t>(*field);
      if (match.column[f]) refuse_twice(table, *match.column[f], column, *field);
      match.column[f] = column;
    }
  }
  const ColumnMatch decided = match;
  const bool short_words = depth_of(kind) >= depth_of(table);
  for (std::size_t column = 0; column < table.columns.size(); ++column) {
    if (spoken_for[column]) continue;
    const std::string plain = plain_header(table.columns[column]);
    for (const Rule& rule : kRules) {
      if (!(rule.kinds & bit(kind)) || decided.at(rule.field)) continue;
      const Claim claim = claim_of(rule, plain);
      if (claim == Claim::kNone || (claim == Claim::kShort && !short_words)) continue;
      const auto f = static_cast<std::size_t>(rule.field);
      if (match.column[f] && claim == Claim::kLast) continue;
      if (match.column[f] && by[f] != Claim::kLast) refuse_twice(table, *match.column[f], column, rule.field);
      match.column[f] = column;
      by[f] = claim;
    }
  }
  // A column "class" beside a count is the animal's class in the tree of life, not an abundance class.
  if (match.at(Field::kCount) && by[static_cast<std::size_t>(Field::kQuantity)] == Claim::kLast)
    match.forget(Field::kQuantity);
  return match;
}

std::vector<FieldMeaning> fields_of(ImportKind kind) {
  std::vector<FieldMeaning> fields;
  for (const Rule& rule : kRules)
    if (rule.kinds & bit(kind)) fields.push_back({rule.ours, rule.meaning});
  return fields;
}

std::string import_columns_help(ImportKind kind) {
  std::string text;
  for (const Rule& rule : kRules) {
    if (!(rule.kinds & bit(kind))) continue;
    std::vector<std::string> others;
    for (const char* list : {rule.also, rule.short_words, rule.last_words})
      for (const std::string& word : split(list, '|'))
        if (!word.empty()) others.push_back(word);
    text += std::string(rule.ours) + ": " + rule.meaning;
    if (!others.empty()) text += " (also: " + list_of(others) + ")";
    text += "\n";
  }
  if (kind == ImportKind::kMeasurements)
    text +=
        "measurement:QUANTITY:UNIT: a column that holds the values of one quantity, where each quantity has "
        "a column "
        "of its own; as --column \"Temp=measurement:temperature:C\" --column \"pH=measurement:pH\"\n";
  return text;
}

}  // namespace brookmark::core
