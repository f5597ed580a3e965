// Why: the words of the trade as plain values. These travel from an import or a form into the survey file.
// Reading back happens in columns: see snapshot.hpp.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/base/date.hpp"
#include "core/base/geometry.hpp"

namespace brookmark::core {

enum class WaterKind : std::uint8_t {
  kUnknown,
  kSpring,
  kStream,
  kRiver,
  kDitch,
  kCanal,
  kPond,
  kPool,
  kLakeMargin
};
// Ditches and canals may stand or flow: kUncertain, and a method for either is then out of scope.
enum class Flow : std::uint8_t { kUncertain, kRunning, kStill };
Flow flow_of(WaterKind kind);
const char* water_kind_name(WaterKind kind);  // "lake margin"
std::optional<WaterKind> parse_water_kind(std::string_view text);

enum class SiteStatus : std::uint8_t { kProposed, kActive, kRetired };
const char* site_status_name(SiteStatus status);
std::optional<SiteStatus> parse_site_status(std::string_view text);

// What of a site may leave the surveyor's hands: as it is, moved to the middle of a grid cell, or nothing.
enum class Sharing : std::uint8_t { kOpen, kBlurred, kWithheld };
const char* sharing_name(Sharing sharing);
std::optional<Sharing> parse_sharing(std::string_view text);

enum class SampleKind : std::uint8_t { kRoutine, kReplicate, kBlank };
const char* sample_kind_name(SampleKind kind);
std::optional<SampleKind> parse_sample_kind(std::string_view text);

enum class OutfallKind : std::uint8_t {
  kUnknown,
  kTreatedSewage,
  kStormSewage,
  kRoadDrain,
  kFieldDrain,
  kTrade
};
const char* outfall_kind_name(OutfallKind kind);  // "treated sewage"
std::optional<OutfallKind> parse_outfall_kind(std::string_view text);

enum class KitKind : std::uint8_t { kOther, kNet, kFootwear, kTray, kVessel, kRope, kBoat, kProbe };
const char* kit_kind_name(KitKind kind);
std::optional<KitKind> parse_kit_kind(std::string_view text);

// How a live sample kept away from its water ended.
enum class HoldingOutcome : std::uint8_t { kHeld, kReturned, kDisposed };
const char* holding_outcome_name(HoldingOutcome outcome);
std::optional<HoldingOutcome> parse_holding_outcome(std::string_view text);

enum class RiskStatus : std::uint8_t { kSuspected, kConfirmed, kCleared };
const char* risk_status_name(RiskStatus status);
std::optional<RiskStatus> parse_risk_status(std::string_view text);

// The ground between the waters. kRefused: a spot once suggested for sampling and refused.
enum class GroundKind : std::uint8_t { kPrivate, kUnsafe, kRoad, kBridge, kAccess, kRefused };
const char* ground_kind_name(GroundKind kind);
std::optional<GroundKind> parse_ground_kind(std::string_view text);

enum class LayerLook : std::uint8_t { kPicture, kHillshade };
const char* layer_look_name(LayerLook look);

enum class LifeStage : std::uint8_t { kUnknown, kEgg, kLarva, kPupa, kAdult };  // nymph = larva
const char* life_stage_name(LifeStage stage);
std::optional<LifeStage> parse_life_stage(std::string_view text);

enum class Rank : std::uint8_t {
  kInformal,
  kSpecies,
  kGenus,
  kSubfamily,
  kFamily,
  kSuperfamily,
  kSuborder,
  kOrder,
  kSubclass,
  kClass,
  kPhylum,
  kKingdom
};
const char* rank_name(Rank rank);
std::optional<Rank> parse_rank(std::string_view text);

// How a record says how much: three different things, and absence is a fourth.
enum class QuantityKind : std::uint8_t { kPresent, kCount, kAbundanceClass, kAbsent };
const char* quantity_kind_name(QuantityKind kind);  // "present", "count", "class", "absent"

// How a name as written came to its taxon.
enum class NameMatch : std::uint8_t {
  kNone,
  kAccepted,
  kSynonym,
  kCommonName,
  kGenusOfBinomial,
  kHigherTaxon,
  kChosen
};
const char* name_match_name(NameMatch match);

// What the surveyor's file said about a position, kept beside the position used.
struct RawPosition {
  std::string x, y;  // verbatim
  std::string crs;   // "EPSG:27700"; "EPSG:4326" when given as longitude and latitude
  std::string note;  // how it was converted, with its accuracy
};

// `key` is a UUID; leave it empty and the store makes one.
struct SurveyInfo {
  std::string key, title, description;
  std::string crs = "EPSG:4326";  // for display and exchange; geometry is stored in EPSG:4326
};

struct Water {
  std::string key, name;
  WaterKind kind = WaterKind::kUnknown;
  MultiPolygon shape;  // may be empty
};

struct Site {
  std::string key, code, name, water, habitat, note;
  WaterKind kind = WaterKind::kUnknown;
  SiteStatus status = SiteStatus::kActive;
  std::string type;        // type of water in the surveyor's words, for comparison with reference sites
  bool reference = false;  // stands for what its type is like where nothing troubles it; needs a type
  LonLat position =
      kUnplaced;  // kUnplaced: known by name only; scored and listed, without distances, not on the map
  std::optional<double> accuracy_m;
  RawPosition raw;
  Sharing sharing = Sharing::kOpen;
};

struct Visit {
  std::string key, site_key, people, weather, conditions, note;
  Moment start;
};

struct Sample {
  std::string key, code, visit_key, protocol, effort_unit, note;
  SampleKind kind = SampleKind::kRoutine;
  std::optional<double> effort;  // in effort_unit: s, jabs, l, m2
  std::optional<double> mesh_um;
  std::optional<double> subsample_share;  // 0 < share <= 1: the part of the catch that was sorted
};

struct Record {
  std::string key, sample_key;
  std::string verbatim_name, verbatim_quantity;
  std::string taxon_key;  // of a Taxon row; never empty: an unlisted name has its own taxon
  NameMatch match = NameMatch::kNone;
  QuantityKind quantity = QuantityKind::kPresent;
  std::optional<std::int64_t> count_min, count_max;  // equal for a count; a class's limits; max empty = open
  std::string class_scheme, class_code;  // for kAbundanceClass, as in reference/abundance_schemes.csv
  LifeStage stage = LifeStage::kUnknown;
  std::string qualifier;            // "cf.", "sp." as written
  std::optional<double> certainty;  // 0..1, as the surveyor gave it
  std::string note;
};

// A taxon as this survey knows it: copied from the checklist when first used (with its parents), or the
// surveyor's own name. `key` is a stable text: "checklist:Baetidae" or "own:" and the folded name.
struct Taxon {
  std::string key, name;
  Rank rank = Rank::kInformal;
  std::string parent_key;  // may be empty
  bool listed = true;      // false: not in the checklist; counts as a taxon, never scores by itself
};

struct Measurement {
  std::string key, visit_key, sample_key;  // sample_key may be empty
  std::string quantity, unit, verbatim_value, note;
  std::optional<double> value;   // empty with below_detection and no limit given
  bool below_detection = false;  // value is then the limit
};

struct Outfall {
  std::string key, code, name, note;
  OutfallKind kind = OutfallKind::kUnknown;
  LonLat position;
  std::optional<Date> since, until;
  // What it weighs beside the others, 0 or more, in a measure of the surveyor's own (a load, people served).
  std::optional<double> strength;
  RawPosition raw;
};

struct Reach {
  std::string key, name;
  Line line;              // at least two points, drawn downstream
  bool two_way = false;   // a canal or level ditch: water goes either way
  std::string note = {};  // what was mended when it was brought in
};

struct Catchment {
  std::string key, code, name;
  MultiPolygon shape;
};

struct Photo {
  std::string key, site_key, visit_key;  // visit_key may be empty
  std::string file;                      // from the survey file's folder, with forward slashes
  std::string caption;
};

// A background map. The file stays where it is.
struct BaseLayer {
  std::string key, title, file, attribution;
  LayerLook look = LayerLook::kPicture;
  bool shown = true;
};

// Somebody named in visits. Who is not listed did not agree to be named outside the survey.
struct Person {
  std::string key, name, note;
  bool agreed = false;
};

// A taxon, with all below it, whose records leave blurred or not at all.
struct SensitiveTaxon {
  std::string key, name, note;
  Sharing sharing = Sharing::kBlurred;  // never kOpen
  std::optional<double> cell_m;         // size of the grid cell; nothing: that of the export
};

// A vessel is kit as well: it belongs to the water of its last use until it has been cleaned.
struct Kit {
  std::string key, code, name, note;
  KitKind kind = KitKind::kOther;
  std::string set;  // what is used together has one word; may be empty
  bool retired = false;
};

struct KitUse {
  std::string key, kit_key, site_key, visit_key;  // visit_key may be empty
  Moment when;
  std::string override_reason;  // why somebody went on in spite of a warning; empty where there was none
  std::string note;
};

struct Cleaning {
  std::string key, kit_key;
  Moment finished;
  std::string agent;  // of reference/cleaning rules, or the surveyor's own words; never empty
  std::optional<double> concentration_pct, temperature_c, contact_min;
  std::string note;
};

// Live animals or water kept in a vessel (kit_key) away from their water.
struct Holding {
  std::string key, kit_key, site_key, what, note;
  Date since;
  std::optional<Date> until;  // missing while held
  HoldingOutcome outcome = HoldingOutcome::kHeld;
};

// A pathogen or an invasive species at a site, and so in the water that it lies on.
struct WaterRisk {
  std::string key, site_key, target, told_by, note;
  RiskStatus status = RiskStatus::kSuspected;
  Date since;
};

struct Ground {
  std::string key, name, note;
  GroundKind kind = GroundKind::kPrivate;
  std::variant<LonLat, Line, MultiPolygon> shape;
};

}  // namespace brookmark::core
