#include <unordered_set>

#include "core/intake/plan_internal.hpp"
#include "core/intake/position_internal.hpp"

namespace brookmark::core {

namespace {

constexpr double kLargestAccuracy_m = 1'000'000;  // as the survey file allows

std::optional<double> accuracy_m(Plan& plan) {
  const auto value = plan.number(Field::kAccuracy, "the accuracy in metres");
  if (value && (*value < 0 || *value >= kLargestAccuracy_m))
    plan.error(Field::kAccuracy, "An accuracy of " + plan.text(Field::kAccuracy) +
                                     " m is not possible; write it in metres, or leave it empty.");
  if (value && *value == 0) {
    plan.warn(Field::kAccuracy, "An accuracy of 0 m is not possible; it is kept as not known.");
    return std::nullopt;
  }
  return value;
}

}  // namespace

void plan_sites(Plan& plan) {
  plan.require(Field::kSiteCode);
  PositionReader positions(plan);
  const CodeList known = CodeList::of_sites(plan.snapshot());
  plan.each_row([&] {
    Site site;
    site.code = plan.need(Field::kSiteCode, "code for the site");
    if (plan.repeats(Field::kSiteCode, site.code, "site", known.find(site.code).has_value())) return;
    site.name = plan.text(Field::kSiteName);
    site.water = plan.text(Field::kWaterName);
    site.habitat = plan.text(Field::kHabitat);
    site.note = plan.text(Field::kSiteNote);
    if (!plan.cell(Field::kWaterKind).empty())
      site.kind = plan.word(Field::kWaterKind, parse_water_kind, water_kind_name, WaterKind::kLakeMargin)
                      .value_or(WaterKind::kUnknown);
    else  // a habitat that is the very word for a kind of water says the kind
      site.kind = parse_water_kind(site.habitat).value_or(WaterKind::kUnknown);
    site.status = plan.word(Field::kSiteStatus, parse_site_status, site_status_name, SiteStatus::kRetired)
                      .value_or(SiteStatus::kActive);
    site.type = plan.text(Field::kSiteType);
    site.reference = plan.yes_or_no(Field::kReference).value_or(false);
    if (site.reference && site.type.empty())
      plan.error(Field::kReference,
                 "A reference site needs the type of water that it stands for; give it in siteType.");
    site.accuracy_m = accuracy_m(plan);
    if (positions.says_nothing()) {
      plan.warn("No position is given for site " + site.code +
                "; it is scored and listed, but it is not on the map and has no distances.");
    } else if (const auto placed = positions.read("site")) {
      site.position = placed->position;
      site.raw = placed->raw;
    }
    site.key = plan.new_key();
    plan.add(AddSite{std::move(site)});
  });
}

void plan_outfalls(Plan& plan) {
  plan.require(Field::kOutfallCode);
  PositionReader positions(plan);
  positions.require_columns();
  std::unordered_set<std::string> known;
  for (const Outfall& outfall : plan.snapshot().outfalls) known.insert(outfall.code);
  plan.each_row([&] {
    Outfall outfall;
    outfall.code = plan.need(Field::kOutfallCode, "code for the outfall");
    if (plan.repeats(Field::kOutfallCode, outfall.code, "outfall", known.contains(outfall.code))) return;
    outfall.name = plan.text(Field::kOutfallName);
    outfall.note = plan.text(Field::kOutfallNote);
    outfall.kind = plan.word(Field::kOutfallKind, parse_outfall_kind, outfall_kind_name, OutfallKind::kTrade)
                       .value_or(OutfallKind::kUnknown);
    outfall.strength = plan.number(Field::kStrength, "the strength of the outfall");
    if (outfall.strength && !(*outfall.strength >= 0 && *outfall.strength <= 1e12))
      plan.error(Field::kStrength,
                 "The strength of an outfall is 0 or more; leave it empty where it is not known.");
    outfall.since = plan.date(Field::kSince, false);
    outfall.until = plan.date(Field::kUntil, true);  // a permit may end in the future
    if (outfall.since && outfall.until && *outfall.until < *outfall.since)
      plan.error(Field::kUntil,
                 "This outfall ends before it begins; exchange the two dates or correct them.");
    if (const auto placed = positions.read("outfall")) {
      outfall.position = placed->position;
      outfall.raw = placed->raw;
    }
    outfall.key = plan.new_key();
    plan.add(AddOutfall{std::move(outfall)});
  });
}

}  // namespace brookmark::core
