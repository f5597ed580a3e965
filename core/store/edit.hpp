// Why: a change to a survey is a value: it can be checked, logged, applied in one transaction and undone.
// Use: file.apply({"import sites", "25 sites from sites.csv", {AddSite{site}, ...}});
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/survey/types.hpp"

namespace brookmark::core {

// Does nothing when the key is already there. The taxa of one batch may come in any order.
struct AddTaxon {
  Taxon taxon;
};
struct AddWater {
  Water water;
};
struct AddSite {
  Site site;
};
struct MoveSite {  // the old accuracy belonged to the old position and is dropped
  std::string site_key;
  LonLat position;
  RawPosition raw;
};
struct SetSiteStatus {
  std::string site_key;
  SiteStatus status;
};
// Takes the site's old type and mark away and gives it these. An empty type with `reference` is refused.
struct MarkReference {
  std::string site_key, type;
  bool reference = false;
};
struct SetOutfallStrength {
  std::string outfall_key;
  std::optional<double> strength;
};
struct AddVisit {
  Visit visit;
};
struct AddSample {
  Sample sample;
};
struct AddRecord {
  Record record;
};
struct AddMeasurement {
  Measurement measurement;
};
struct AddOutfall {
  Outfall outfall;
};
struct AddReach {
  Reach reach;
};
struct AddCatchment {
  Catchment catchment;
};

struct AddPhoto {
  Photo photo;
};
struct AddLayer {
  BaseLayer layer;
};
struct AddPerson {
  Person person;
};
struct AddSensitiveTaxon {
  SensitiveTaxon taxon;
};
struct AddKit {
  Kit kit;
};
struct AddKitUse {
  KitUse use;
};
struct AddCleaning {
  Cleaning cleaning;
};
struct AddHolding {
  Holding holding;
};
struct AddWaterRisk {
  WaterRisk risk;
};
struct AddGround {
  Ground ground;
};

// The row of this key gets all of these values; core/survey/rows.hpp gives them as they stand. Who owns the row
// (its site, visit, sample, item of kit) may change too.
template <class Row>
struct Replace {
  Row row;
};

enum class TableName : std::uint8_t {
  kWater,
  kSite,
  kVisit,
  kSample,
  kRecord,
  kMeasurement,
  kOutfall,
  kReach,
  kCatchment,
  kPhoto,
  kLayer,
  kPerson,
  kSensitiveTaxon,
  kKit,
  kKitUse,
  kCleaning,
  kHolding,
  kWaterRisk,
  kGround
};
// Refused while other rows belong to it.
struct Remove {
  TableName table = TableName::kSite;
  std::string key;
};

// One change, whatever its kind. It is never altered once made; a copy shares it. Kept out of line, because every file that
// gathers edits would otherwise compile all forty of them.
class Edit {
 public:
  template <class Kind>
  Edit(Kind what);  // one of the structs above (edit.cpp); another type does not link

  // What it is, when it is of this kind; else nothing.
  template <class Kind>
  const Kind* as() const;

  struct Any;
  const Any& any() const { return *any_; }

 private:
  std::shared_ptr<const Any> any_;
};

// Edits that belong together: all are stored, or none.
struct EditBatch {
  std::string kind;     // "import sites"
  std::string summary;  // a sentence for the log and for undo
  std::vector<Edit> edits;
};

}  // namespace brookmark::core
