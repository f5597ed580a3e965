#include <map>
#include <unordered_set>

#include "core/base/text.hpp"
#include "core/intake/plan_internal.hpp"

namespace brookmark::core {

namespace {

struct Place {
  std::string visit_key, sample_key;
};

class MeasuredVisits {
 public:
  explicit MeasuredVisits(Plan& plan)
      : plan_(plan),
        sites_(CodeList::of_sites(plan.snapshot())),
        samples_(CodeList::of_samples(plan.snapshot())) {
    const VisitColumns& visits = plan.snapshot().visits;
    for (std::size_t v = 0; v < visits.size(); ++v)
      by_day_[{visits.site[v].value(), visits.start[v].date}].push_back(
          {visits.start[v], std::string(visits.key[v])});
  }

  // By sample where the row names one, else by site and date. A site and day without a visit get one.
  std::optional<Place> read() {
    const Snapshot& survey = plan_.snapshot();
    if (const std::string code = plan_.text(Field::kSampleCode); !code.empty()) {
      const auto sample = samples_.find(code);
      if (!sample) {
        plan_.error(Field::kSampleCode, samples_.not_found(code));
        return std::nullopt;
      }
      const VisitIndex visit = survey.samples.visit[*sample];
      return Place{std::string(survey.visits.key[visit.value()]), std::string(survey.samples.key[*sample])};
    }
    if (!plan_.has(Field::kSiteCode) || !plan_.has(Field::kDate)) {
      plan_.need(Field::kSampleCode, "sample");
      return std::nullopt;
    }
    const std::string code =
        plan_.need(Field::kSiteCode, plan_.has(Field::kSampleCode) ? "sample and no site" : "site");
    const auto site = sites_.find(code);
    if (!code.empty() && !site) plan_.error(Field::kSiteCode, sites_.not_found(code));
    const auto start = plan_.moment();
    if (!site || !start) return std::nullopt;
    return visit_of(*site, *start);
  }

  // Adds the visit of the row at hand where it is new. Call when everything else of the row is good.
  void keep() {
    if (!fresh_) return;
    by_day_[{fresh_site_, fresh_->start.date}].push_back({fresh_->start, fresh_->key});
    plan_.add(AddVisit{std::move(*fresh_)});
    fresh_.reset();
  }
  void forget() { fresh_.reset(); }

 private:
  std::optional<Place> visit_of(std::size_t site, const Moment& start) {
    const auto& that_day = by_day_[{site, start.date}];
    const std::string* key = nullptr;
    for (const auto& [when, visit] : that_day) {
      if (start.minute_of_day ? when == start : true) {
        if (key != nullptr) {
          plan_.error(Field::kDate, "The site has several visits on " + format_date(start.date) +
                                        "; add the time, or name the sample.");
          return std::nullopt;
        }
        key = &visit;
      }
    }
    if (key != nullptr) return Place{*key, ""};
    fresh_ = Visit{};
    fresh_->key = plan_.new_key();
    fresh_->site_key = std::string(plan_.snapshot().sites.key[site]);
    fresh_->start = start;
    fresh_site_ = site;
    return Place{fresh_->key, ""};
  }

  Plan& plan_;
  CodeList sites_, samples_;
  std::map<std::pair<std::size_t, Date>, std::vector<std::pair<Moment, std::string>>> by_day_;
  std::optional<Visit> fresh_;
  std::size_t fresh_site_ = 0;
};

// False where the cell holds nothing that could be kept.
bool read_value(Plan& plan, Measurement& measurement) {
  std::string_view written = plan.cell(Field::kValue);
  measurement.verbatim_value = std::string(written);
  if (written.empty()) {
    plan.warn(Field::kValue,
              "No value of " + measurement.quantity +
                  " is given; nothing is imported from this row (an empty cell is not a zero).");
    return false;
  }
  const std::string folded = fold_name(written);
  if (folded == "below detection" || folded == "not detected" || folded == "bdl" || folded == "nd" ||
      folded == "n d") {
    measurement.below_detection = true;
    return true;
  }
  if (written.front() == '<') {
    measurement.below_detection = true;
    written = trim(written.substr(1));
    if (written.empty()) return true;
    measurement.value = parse_number(written, plan.table().decimal);
    if (measurement.value && *measurement.value > 0) return true;
    plan.error(Field::kValue,
               entry(measurement.verbatim_value) +
                   " is not a limit of detection; write it as <0.05, with the limit above zero" +
                   (plan.table().decimal == ',' ? " and a decimal comma." : " and a decimal point."));
    return false;
  }
  measurement.value = plan.number(Field::kValue, "the value");
  return measurement.value.has_value();
}

// Chemistry comes in two layouts; the sentence tells both.
void require_layout(const Plan& plan) {
  if (plan.has(Field::kMeasured) && plan.has(Field::kValue)) return;
  std::string found;
  for (const std::string& column : plan.table().columns) found += (found.empty() ? "" : ", ") + column;
  plan.refuse("there is no column for " +
              std::string(plan.has(Field::kMeasured) ? "measurementValue" : "measurementType") +
              "; the columns are " + found +
              ". Where each row is one measurement, say which column names what was measured and which holds "
              "its value: "
              "--column THEIRS=measurementType --column THEIRS=measurementValue. Where each quantity has a "
              "column of its own, "
              "say so for each: --column \"Temp=measurement:temperature:C\"");
}

std::string identity(std::string_view visit_key, std::string_view sample_key, std::string_view quantity,
                     std::string_view verbatim_value) {
  std::string all;
  for (const std::string_view part : {visit_key, sample_key, quantity, verbatim_value})
    all.append(part).append(1, '\x1f');
  return all;
}

std::unordered_set<std::string> identities(const Snapshot& survey) {
  const MeasurementColumns& all = survey.measurements;
  std::unordered_set<std::string> known;
  for (std::size_t m = 0; m < all.size(); ++m)
    known.insert(identity(survey.visits.key[all.visit[m].value()],
                          all.sample[m].has_value() ? survey.samples.key[all.sample[m].value()] : "",
                          all.quantity[m], all.verbatim_value[m]));
  return known;
}

}  // namespace

void plan_measurements(Plan& plan) {
  if (!plan.has(Field::kSampleCode) && !(plan.has(Field::kSiteCode) && plan.has(Field::kDate)))
    plan.require(Field::kSampleCode);
  require_layout(plan);
  MeasuredVisits visits(plan);
  const std::unordered_set<std::string> known = identities(plan.snapshot());
  plan.each_row([&] {
    Measurement measurement;
    measurement.quantity = plan.need(Field::kMeasured, "name of what was measured");
    measurement.unit = plan.text(Field::kUnit);
    measurement.note = plan.text(Field::kMeasurementNote);
    visits.forget();
    const auto place = visits.read();
    const bool has_value = read_value(plan, measurement);
    if (!plan.row_is_good() || !place || !has_value) return;
    measurement.visit_key = place->visit_key;
    measurement.sample_key = place->sample_key;
    if (known.contains(identity(measurement.visit_key, measurement.sample_key, measurement.quantity,
                                measurement.verbatim_value))) {
      plan.error(
          Field::kMeasured,
          std::string(
              "The survey already has this measurement: the same place, quantity and value. Leave the ") +
              plan.row_word() + " out.");
      return;
    }
    measurement.key = plan.new_key();
    visits.keep();
    plan.add(AddMeasurement{std::move(measurement)});
  });
}

}  // namespace brookmark::core
