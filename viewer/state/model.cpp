#include "viewer/state/model.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "core/base/crs.hpp"
#include "core/base/error.hpp"
#include "viewer/state/going_clean.hpp"

namespace brookmark::viewer {
namespace {

constexpr core::PlanePoint kNoPlace{std::numeric_limits<double>::quiet_NaN(),
                                    std::numeric_limits<double>::quiet_NaN()};

void widen(std::optional<PlaneBox>& box, core::PlanePoint p) {
  if (!std::isfinite(p.x) || !std::isfinite(p.y)) return;
  if (!box) {
    box = PlaneBox{p.x, p.y, p.x, p.y};
    return;
  }
  *box = {std::min(box->min_x, p.x), std::min(box->min_y, p.y), std::max(box->max_x, p.x),
          std::max(box->max_y, p.y)};
}

void widen(std::optional<PlaneBox>& box, const core::LocalFrame& frame, const core::MultiPolygon& shape) {
  for (const core::Polygon& polygon : shape)
    for (const core::Line& ring : polygon.rings)
      for (const core::LonLat p : ring) widen(box, frame.to_plane(p));
}

// Of a survey that has no place yet: where its system is meant to be used.
std::optional<core::BoundingBox> area_of(const core::Snapshot& snapshot) {
  if (snapshot.centre() || snapshot.survey.crs.empty()) return std::nullopt;
  try {
    return core::CrsConverter(snapshot.survey.crs).area_of_use();
  } catch (const Error&) {  // a system that nobody knows is told where places are read
    return std::nullopt;
  }
}

core::LonLat middle_of(const std::optional<core::BoundingBox>& area) {
  if (!area) return {};
  return {(area->min_lon + area->max_lon) / 2, (area->min_lat + area->max_lat) / 2};
}

constexpr double kHalfTheEarth_m = 6.4e6;

// Beyond this the plane's lengths would begin to be wrong by some parts in a million.
constexpr double kFarFromCentre_m = 20000;

}  // namespace

Model::Model(Session session, std::vector<std::shared_ptr<const core::Method>> own)
    : session_(std::move(session)),
      own_(std::move(own)),
      frame_(session_.snapshot.centre().value_or(middle_of(area_of(session_.snapshot)))),
      area_(area_of(session_.snapshot)) {
  for (const auto& method : own_) methods_.push_back(method.get());
  for (const core::Method& method : core::shipped_methods())
    if (std::find(methods_.begin(), methods_.end(), &method) == methods_.end()) methods_.push_back(&method);
  tables_.resize(methods_.size());
  take_places();
  take_dates();
}

void Model::reread(Session session) {
  const bool had_places = bounds_.has_value();
  answers_.reset();  // waits for what it is working out
  session_ = std::move(session);
  ++revision_;
  for (auto& table : tables_) table.reset();
  names_.reset();
  asked_.reset();
  assessment_ = {};
  carried_.reset();
  still_reader_.reset();
  still_reading_ = {};
  going_clean_.reset();
  area_ = area_of(session_.snapshot);
  if (const auto centre = session_.snapshot.centre();
      centre && (!had_places || core::geodesic_m(*centre, frame_.centre()) > kFarFromCentre_m))
    frame_ = core::LocalFrame(*centre);
  else if (!centre && !had_places)
    frame_ = core::LocalFrame(middle_of(area_));
  take_places();
  take_dates();
}

void Model::take_places() {
  const core::Snapshot& s = session_.snapshot;
  site_places_.clear();
  unplaced_.clear();
  outfall_places_.clear();
  bounds_.reset();
  site_places_.reserve(s.sites.size());
  for (std::size_t i = 0; i < s.sites.size(); ++i) {
    const bool placed = core::is_placed(s.sites.position[i]);
    site_places_.push_back(placed ? frame_.to_plane(s.sites.position[i]) : kNoPlace);
    if (!placed) unplaced_.push_back(core::SiteIndex(i));
  }
  for (const core::Outfall& o : s.outfalls) outfall_places_.push_back(frame_.to_plane(o.position));
  for (const core::PlanePoint p : site_places_) widen(bounds_, p);
  for (const core::PlanePoint p : outfall_places_) widen(bounds_, p);
  for (const core::Reach& r : s.reaches)
    for (const core::LonLat p : r.line) widen(bounds_, frame_.to_plane(p));
  for (const core::Water& w : s.waters) widen(bounds_, frame_, w.shape);
  for (const core::Catchment& c : s.catchments) widen(bounds_, frame_, c.shape);
  site_grid_ = PointGrid(site_places_);
  outfall_grid_ = PointGrid(outfall_places_);
}

PlaneBox Model::opening_box() const {
  if (!area_) return {-kHalfTheEarth_m, -kHalfTheEarth_m, kHalfTheEarth_m, kHalfTheEarth_m};
  std::optional<PlaneBox> box;
  const double middle = (area_->min_lon + area_->max_lon) / 2;
  for (const double lon : {area_->min_lon, middle, area_->max_lon})
    for (const double lat : {area_->min_lat, area_->max_lat}) widen(box, frame_.to_plane({lon, lat}));
  return box.value_or(PlaneBox{});
}

void Model::take_dates() {
  const core::Snapshot& s = session_.snapshot;
  dates_.clear();
  samples_on_.clear();
  std::map<core::Date, std::size_t> days;
  for (std::size_t i = 0; i < s.samples.size(); ++i)
    if (s.samples.kind[i] != core::SampleKind::kBlank) ++days[s.samples.date[i]];
  for (const auto& [day, count] : days) {
    dates_.push_back(day);
    samples_on_.push_back(count);
  }
}

std::size_t Model::samples_on(core::Date date) const {
  const auto at = std::lower_bound(dates_.begin(), dates_.end(), date);
  if (at == dates_.end() || *at != date) return 0;
  return samples_on_[static_cast<std::size_t>(at - dates_.begin())];
}

const Answers& Model::answers() const {
  if (!answers_) answers_ = std::make_unique<Answers>(*this);
  return *answers_;
}

const core::ScoreTable& Model::scores(std::size_t method) const {
  auto& table = tables_.at(method);
  if (!table)
    table = std::make_unique<core::ScoreTable>(core::score_samples(session_.snapshot, *methods_[method]));
  return *table;
}

const core::Checklist& Model::names() const {
  if (!names_) {
    const core::Snapshot& s = session_.snapshot;
    std::vector<std::size_t> records(s.taxa.size(), 0);
    for (const core::TaxonIndex t : s.records.taxon) ++records[t.value()];
    std::vector<core::NameUse> uses;
    for (std::size_t t = 0; t < records.size(); ++t)
      if (records[t] > 0) uses.push_back({std::string(s.taxa.name[t]), records[t]});
    names_ = core::checklist().known_in(uses);
  }
  return *names_;
}

const core::Assessment* Model::assessment(const Choice& choice,
                                          const std::optional<core::Period>& period) const {
  if (choice.method >= methods_.size() || choice.metric >= methods_[choice.method]->metrics.size())
    return nullptr;
  const Asked asked{choice, period};
  if (asked_ != asked) {
    assessment_ = core::assess(session_.snapshot, scores(choice.method), choice.metric, session_.nesting,
                               period.value_or(core::make_date({9999, 12, 31})));
    asked_ = asked;
  }
  return &assessment_;
}

const GoingClean& Model::going_clean(core::Date day) const {
  if (!going_clean_ || going_clean_->day() != day)
    going_clean_ = std::make_shared<const GoingClean>(snapshot(), session().channels, day);
  return *going_clean_;
}

const core::StillReading& Model::still_reading(core::SampleIndex sample) const {
  if (!still_reader_) still_reader_.emplace(session_.snapshot);
  if (still_reading_.sample != sample) still_reading_ = still_reader_->read(sample);
  return still_reading_;
}

const core::ReachAssessment* Model::reaches(const Choice& choice,
                                            const std::optional<core::Period>& period) const {
  const auto carried = answers().carried(choice, period);
  return carried ? &(carried_ = carried)->reaches : nullptr;
}

const std::vector<core::Drop>* Model::drops(const Choice& choice,
                                            const std::optional<core::Period>& period) const {
  const auto carried = answers().carried(choice, period);
  return carried ? &(carried_ = carried)->drops : nullptr;
}

}  // namespace brookmark::viewer
