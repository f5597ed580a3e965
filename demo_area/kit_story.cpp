#include "demo_area/kit_story.hpp"

#include "core/base/csv.hpp"
#include "core/base/date.hpp"

namespace brookmark::demo {

namespace {

// Two sets and four jars. The green set was in Kiln Pond after frogs were found dead there; it was dried, which is
// nothing against a virus, and went into Alder Pond. The blue set was in Alder Pond after that, and in Long Ditch the
// same day; then it was cleaned well, and Heron Pond was spared.
constexpr const char* kLog =
    "kitID,kitKind,kitSet,eventDate,locationID,cleaningAgent,concentrationPercent,temperatureCelsius,"
    "contactMinutes,"
    "overrideReason,kitRemarks\n"
    "GN,net,green,2025-10-01T18:00-02:00,,Virkon S,1,,10,,Invented.\n"
    "GB,footwear,green,2025-10-01T18:00-02:00,,Virkon S,1,,10,,Invented.\n"
    "BN,net,blue,2025-10-01T18:10-02:00,,Virkon S,1,,10,,Invented.\n"
    "BB,footwear,blue,2025-10-01T18:10-02:00,,Virkon S,1,,10,,Invented.\n"
    "V1,vessel,,2025-10-01T18:20-02:00,,Virkon S,1,,10,,Invented.\n"
    "V2,vessel,,2025-10-01T18:20-02:00,,Virkon S,1,,10,,Invented.\n"
    "V3,vessel,,2025-10-01T18:20-02:00,,Virkon S,1,,10,,Invented.\n"
    "V4,vessel,,2025-10-01T18:20-02:00,,Virkon S,1,,10,,Invented.\n"
    "GN,,,2025-10-05T10:00-02:00,N02,,,,,,Invented.\n"
    "GB,,,2025-10-05T10:00-02:00,N02,,,,,,Invented.\n"
    "V1,,,2025-10-05T10:10-02:00,N02,,,,,,Invented.\n"
    "GN,,,2025-10-08T12:00-02:00,,sun drying,,,4320,,Invented. Three days on the line.\n"
    "GB,,,2025-10-08T12:00-02:00,,sun drying,,,4320,,Invented. Three days on the line.\n"
    "GN,,,2025-10-10T09:30-02:00,N03,,,,,\"it had dried for three days, which seemed enough\",Invented.\n"
    "GB,,,2025-10-10T09:30-02:00,N03,,,,,\"it had dried for three days, which seemed enough\",Invented.\n"
    "BN,,,2025-10-12T10:00-02:00,N03,,,,,,Invented.\n"
    "BB,,,2025-10-12T10:00-02:00,N03,,,,,,Invented.\n"
    "BN,,,2025-10-12T12:00-02:00,D01,,,,,\"rinsed in the pond, no time for more\",Invented.\n"
    "BB,,,2025-10-12T12:00-02:00,D01,,,,,\"rinsed in the pond, no time for more\",Invented.\n"
    "BN,,,2025-10-12T18:00-02:00,,Virkon S,1,,10,,Invented.\n"
    "BB,,,2025-10-12T18:00-02:00,,Virkon S,1,,10,,Invented.\n"
    "BN,,,2025-10-14T10:00-02:00,N01,,,,,,Invented.\n"
    "BB,,,2025-10-14T10:00-02:00,N01,,,,,,Invented.\n"
    "V3,,,2025-10-13T11:00-02:00,Q01,,,,,,Invented.\n"
    "BN,,,2025-10-14T18:30-02:00,,Virkon S,1,,10,,Invented.\n"
    "BB,,,2025-10-14T18:30-02:00,,Virkon S,1,,10,,Invented.\n";

}  // namespace

KitStory tell_kit() {
  KitStory story;
  story.log = core::read_csv(kLog, "invented log of kit");

  core::Kit spare;
  spare.code = "XN";
  spare.name = "borrowed net";
  spare.kind = core::KitKind::kNet;
  spare.set = "spare";
  spare.note = "Invented. Nobody knows where it was.";
  story.fresh.push_back(spare);

  core::WaterRisk risk;
  risk.site_key = "N02";
  risk.target = "Ranavirus";
  risk.status = core::RiskStatus::kSuspected;
  risk.since = core::make_date({2025, 10, 4});
  risk.told_by = "A.K.";
  risk.note = "Invented. Several dead frogs on the bank; no sample was sent in.";
  story.risks.push_back(risk);

  core::Holding held;
  held.kit_key = "V3";
  held.site_key = "Q01";
  held.what = "caddis larvae";
  held.since = core::make_date({2025, 10, 13});
  held.note = "Invented. In the cellar, to be named.";
  story.holdings.push_back(held);
  return story;
}

}  // namespace brookmark::demo
