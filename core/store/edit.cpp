#include "core/store/edit.hpp"

#include "core/store/edit_internal.hpp"

namespace brookmark::core {

template <class Kind>
Edit::Edit(Kind what) : any_(std::make_shared<const Any>(std::move(what))) {}

template <class Kind>
const Kind* Edit::as() const {
  return std::get_if<Kind>(any_.get());
}

template Edit::Edit(AddTaxon);
template const AddTaxon* Edit::as() const;
template Edit::Edit(AddWater);
template const AddWater* Edit::as() const;
template Edit::Edit(AddSite);
template const AddSite* Edit::as() const;
template Edit::Edit(MoveSite);
template const MoveSite* Edit::as() const;
template Edit::Edit(SetSiteStatus);
template const SetSiteStatus* Edit::as() const;
template Edit::Edit(MarkReference);
template const MarkReference* Edit::as() const;
template Edit::Edit(SetOutfallStrength);
template const SetOutfallStrength* Edit::as() const;
template Edit::Edit(AddVisit);
template const AddVisit* Edit::as() const;
template Edit::Edit(AddSample);
template const AddSample* Edit::as() const;
template Edit::Edit(AddRecord);
template const AddRecord* Edit::as() const;
template Edit::Edit(AddMeasurement);
template const AddMeasurement* Edit::as() const;
template Edit::Edit(AddOutfall);
template const AddOutfall* Edit::as() const;
template Edit::Edit(AddReach);
template const AddReach* Edit::as() const;
template Edit::Edit(AddCatchment);
template const AddCatchment* Edit::as() const;
template Edit::Edit(AddPhoto);
template const AddPhoto* Edit::as() const;
template Edit::Edit(AddLayer);
template const AddLayer* Edit::as() const;
template Edit::Edit(AddPerson);
template const AddPerson* Edit::as() const;
template Edit::Edit(AddSensitiveTaxon);
template const AddSensitiveTaxon* Edit::as() const;
template Edit::Edit(AddKit);
template const AddKit* Edit::as() const;
template Edit::Edit(AddKitUse);
template const AddKitUse* Edit::as() const;
template Edit::Edit(AddCleaning);
template const AddCleaning* Edit::as() const;
template Edit::Edit(AddHolding);
template const AddHolding* Edit::as() const;
template Edit::Edit(AddWaterRisk);
template const AddWaterRisk* Edit::as() const;
template Edit::Edit(AddGround);
template const AddGround* Edit::as() const;
template Edit::Edit(Replace<Water>);
template const Replace<Water>* Edit::as() const;
template Edit::Edit(Replace<Site>);
template const Replace<Site>* Edit::as() const;
template Edit::Edit(Replace<Visit>);
template const Replace<Visit>* Edit::as() const;
template Edit::Edit(Replace<Sample>);
template const Replace<Sample>* Edit::as() const;
template Edit::Edit(Replace<Record>);
template const Replace<Record>* Edit::as() const;
template Edit::Edit(Replace<Measurement>);
template const Replace<Measurement>* Edit::as() const;
template Edit::Edit(Replace<Outfall>);
template const Replace<Outfall>* Edit::as() const;
template Edit::Edit(Replace<Reach>);
template const Replace<Reach>* Edit::as() const;
template Edit::Edit(Replace<Catchment>);
template const Replace<Catchment>* Edit::as() const;
template Edit::Edit(Replace<Photo>);
template const Replace<Photo>* Edit::as() const;
template Edit::Edit(Replace<BaseLayer>);
template const Replace<BaseLayer>* Edit::as() const;
template Edit::Edit(Replace<Person>);
template const Replace<Person>* Edit::as() const;
template Edit::Edit(Replace<SensitiveTaxon>);
template const Replace<SensitiveTaxon>* Edit::as() const;
template Edit::Edit(Replace<Kit>);
template const Replace<Kit>* Edit::as() const;
template Edit::Edit(Replace<KitUse>);
template const Replace<KitUse>* Edit::as() const;
template Edit::Edit(Replace<Cleaning>);
template const Replace<Cleaning>* Edit::as() const;
template Edit::Edit(Replace<Holding>);
template const Replace<Holding>* Edit::as() const;
template Edit::Edit(Replace<WaterRisk>);
template const Replace<WaterRisk>* Edit::as() const;
template Edit::Edit(Replace<Ground>);
template const Replace<Ground>* Edit::as() const;
template Edit::Edit(Remove);
template const Remove* Edit::as() const;

}  // namespace brookmark::core
