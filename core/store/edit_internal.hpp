// Why: all kinds of edits in one list; only the writer has to know them all.
// Use: std::visit(writer, edit.any());
#pragma once

#include <variant>

#include "core/store/edit.hpp"

namespace brookmark::core {

struct Edit::Any
    : std::variant<AddTaxon, AddWater, AddSite, MoveSite, SetSiteStatus, MarkReference, SetOutfallStrength,
                   AddVisit, AddSample, AddRecord, AddMeasurement, AddOutfall, AddReach, AddCatchment,
                   AddPhoto, AddLayer, AddPerson, AddSensitiveTaxon, AddKit, AddKitUse, AddCleaning,
                   AddHolding, AddWaterRisk, AddGround, Replace<Water>, Replace<Site>, Replace<Visit>,
                   Replace<Sample>, Replace<Record>, Replace<Measurement>, Replace<Outfall>, Replace<Reach>,
                   Replace<Catchment>, Replace<Photo>, Replace<BaseLayer>, Replace<Person>,
                   Replace<SensitiveTaxon>, Replace<Kit>, Replace<KitUse>, Replace<Cleaning>,
                   Replace<Holding>, Replace<WaterRisk>, Replace<Ground>, Remove> {
  using variant::variant;
};

}  // namespace brookmark::core
