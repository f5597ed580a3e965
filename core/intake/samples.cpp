#include <map>

#include "core/base/text.hpp"
#include "core/intake/plan_internal.hpp"

namespace brookmark::core {

namespace {

// Below this a bare mesh number is more likely meant in millimetres. Common practice (hand nets are 250 to
// 1000 um), no source; such a number is refused, not converted.
constexpr double kLeastBareMesh_um = 20;

struct NumberAndUnit {
  std::string number, unit;
};

// "180 s" -> "180" and "s"
NumberAndUnit split_unit(std::string_view written) {
  const auto end = written.find_first_not_of("0123456789.,+-");
  if (end == std::string_view::npos) return {std::string(written), ""};
  return {std::string(trim(written.substr(0, end))), std::string(trim(written.substr(end)))};
}

void read_effort(Plan& plan, Sample& sample) {
  const std::string_view written = plan.cell(Field::kEffort);
  sample.effort_unit = plan.text(Field::kEffortUnit);
  if (written.empty()) return;
  const NumberAndUnit parts = split_unit(written);
  if (sample.effort_unit.empty() && !parts.unit.empty()) {
    sample.effort = parse_number(parts.number, plan.table().decimal);
    sample.effort_unit = parts.unit;
    if (!sample.effort)
      plan.error(Field::kEffort,
                 entry(written) + " is not an effort; write a number and its unit, as 180 s.");
  } else {
    sample.effort = plan.number(Field::kEffort, "the effort");
    if (sample.effort && sample.effort_unit.empty())
      plan.error(Field::kEffort,
                 "This effort has no unit; write it as 180 s, or add a column effort unit (s, jabs, l, m2).");
  }
  if (sample.effort && *sample.effort <= 0)
    plan.error(Field::kEffort, "An effort of " + std::string(written) +
                                   " is not possible; write a number above 0, or leave it empty.");
}

void read_mesh(Plan& plan, Sample& sample) {
  const std::string_view written = plan.cell(Field::kMesh);
  if (written.empty()) return;
  const NumberAndUnit parts = split_unit(written);
  std::string unit = to_lower_ascii(parts.unit);
  const auto value = parse_number(parts.number, plan.table().decimal);
  if (unit.empty()) {  // the header may say it
    const std::string header = to_lower_ascii(plan.table().columns[*plan.columns().at(Field::kMesh)]);
    if (header.find("mm") != std::string::npos)
      unit = "mm";
    else if (header.find("um") != std::string::npos || (value && *value >= kLeastBareMesh_um))
      unit = "um";
  }
  if (unit == "\u00b5m" || unit == "\u03bcm") unit = "um";  // micro sign, Greek mu
  if (value && *value > 0 && unit == "um")
    sample.mesh_um = *value;
  else if (value && *value > 0 && unit == "mm")
    sample.mesh_um = *value * 1000;
  else
    plan.error(Field::kMesh, entry(written) + " is not a mesh; write it with its unit, as 500 um or 0.5 mm.");
}

// 0.25, 1/4 and 25 % are the same share.
void read_subsample(Plan& plan, Sample& sample) {
  const std::string_view written = plan.cell(Field::kSubsample);
  if (written.empty()) return;
  const char decimal = plan.table().decimal;
  std::optional<double> share;
  if (const auto slash = written.find('/'); slash != std::string_view::npos) {
    const auto top = parse_number(written.substr(0, slash), decimal);
    const auto bottom = parse_number(written.substr(slash + 1), decimal);
    if (top && bottom && *bottom > 0) share = *top / *bottom;
  } else if (written.back() == '%') {
    share = parse_number(trim(written.substr(0, written.size() - 1)), decimal);
    if (share) *share /= 100;
  } else {
    share = plan.number(Field::kSubsample, "the share of the catch that was sorted");
    if (!share) return;  // said already
  }
  if (share && *share > 0 && *share <= 1)
    sample.subsample_share = share;
  else
    plan.error(Field::kSubsample,
               entry(written) + " is not a share of the catch; write a number above 0 and up to 1, as 0.25.");
}

// One arrival at a site. What rows of the same visit leave empty is filled from the first row that says it.
struct OpenVisit {
  std::string key, people, weather, conditions, note;
  std::size_t line = 0;  // 0: stands in the survey already
  std::size_t edit = 0;  // in the batch, for a new visit
};

class Visits {
 public:
  explicit Visits(Plan& plan) : plan_(plan) {
    const Snapshot& survey = plan.snapshot();
    for (std::size_t i = 0; i < survey.visits.size(); ++i)
      visits_[{std::string(survey.sites.key[survey.visits.site[i].value()]), survey.visits.start[i]}] = {
          std::string(survey.visits.key[i]),
          std::string(survey.visits.people[i]),
          std::string(survey.visits.weather[i]),
          std::string(survey.visits.conditions[i]),
          std::string(survey.visits.note[i]),
          0,
          0};
  }

  // The key of the row's visit; a new one is added to the row's edits.
  std::string key_for(const std::string& site_key, const Moment& start) {
    const OpenVisit said{"",
                         plan_.text(Field::kPeople),
                         plan_.text(Field::kWeather),
                         plan_.text(Field::kConditions),
                         plan_.text(Field::kVisitNote),
                         plan_.row().line,
                         0};
    const auto found = visits_.find({site_key, start});
    if (found == visits_.end()) {
      Visit visit{plan_.new_key(), site_key, said.people, said.weather, said.conditions, said.note, start};
      OpenVisit opened = said;
      opened.key = visit.key;
      opened.edit = plan_.outcome().batch.edits.size() + plan_.pending();
      plan_.add(AddVisit{std::move(visit)});
      if (plan_.row_is_good()) visits_[{site_key, start}] = opened;
      return opened.key;
    }
    OpenVisit& visit = found->second;
    bool agree = true;
    for (const auto& [field, part] : kParts) {
      const std::string &now = said.*part, &before = visit.*part;
      if (now.empty() || now == before || (before.empty() && visit.line > 0)) continue;
      if (before.empty()) {
        plan_.warn(field, "The survey has this visit already, without this; " + in_quotes(now) +
                              " is not added to it.");
        continue;
      }
      agree = false;
      plan_.error(field, "The visit to this site at " + format_moment(start) + " has " + in_quotes(before) +
                             (visit.line > 0 ? " in " + plan_.place(visit.line) : " in the survey") +
                             " and " + in_quotes(now) +
                             " here; make them agree, or write the time of each visit.");
    }
    if (agree && plan_.row_is_good() && visit.line > 0) {
      Edit& edit = plan_.outcome().batch.edits[visit.edit];
      Visit added = edit.as<AddVisit>()->visit;
      for (const auto& [field, part] : kParts)
        if ((visit.*part).empty()) visit.*part = said.*part;
      added.people = visit.people, added.weather = visit.weather;
      added.conditions = visit.conditions, added.note = visit.note;
      edit = AddVisit{std::move(added)};
    }
    return visit.key;
  }

 private:
  static constexpr std::pair<Field, std::string OpenVisit::*> kParts[] = {
      {Field::kPeople, &OpenVisit::people},
      {Field::kWeather, &OpenVisit::weather},
      {Field::kConditions, &OpenVisit::conditions},
      {Field::kVisitNote, &OpenVisit::note}};
  Plan& plan_;
  std::map<std::pair<std::string, Moment>, OpenVisit> visits_;
};

// A table of events holds what samples belong to beside the samples (dwc:eventType; its words: memory).
bool is_no_sample(std::string_view event_type) {
  const std::string folded = fold_name(event_type);
  return folded == "site visit" || folded == "survey" || folded == "project" || folded == "expedition";
}

}  // namespace

void plan_samples(Plan& plan) {
  plan.require(Field::kSampleCode);
  plan.require(Field::kSiteCode);
  plan.require(Field::kDate);
  const CodeList sites = CodeList::of_sites(plan.snapshot());
  const CodeList known = CodeList::of_samples(plan.snapshot());
  Visits visits(plan);
  plan.each_row([&] {
    if (const std::string type = plan.text(Field::kEventType); is_no_sample(type)) {
      plan.warn(Field::kEventType,
                "This row is an event of the type " + in_quotes(type) + ", not a sample; it is left out.");
      return;
    }
    Sample sample;
    sample.code = plan.need(Field::kSampleCode, "code for the sample");
    if (plan.repeats(Field::kSampleCode, sample.code, "sample", known.find(sample.code).has_value())) return;
    const std::string site = plan.need(Field::kSiteCode, "site");
    const auto at = sites.find(site);
    if (!site.empty() && !at) plan.error(Field::kSiteCode, sites.not_found(site));
    const auto start = plan.moment();
    sample.protocol = plan.text(Field::kMethod);
    sample.note = plan.text(Field::kSampleNote);
    sample.kind = plan.word(Field::kSampleKind, parse_sample_kind, sample_kind_name, SampleKind::kBlank)
                      .value_or(SampleKind::kRoutine);
    read_effort(plan, sample);
    read_mesh(plan, sample);
    read_subsample(plan, sample);
    if (!plan.row_is_good() || !at || !start) return;
    sample.visit_key = visits.key_for(std::string(plan.snapshot().sites.key[*at]), *start);
    sample.key = plan.new_key();
    plan.add(AddSample{std::move(sample)});
  });
}

}  // namespace brookmark::core
