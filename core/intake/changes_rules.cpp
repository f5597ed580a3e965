#include <cmath>

#include "core/base/text.hpp"
#include "core/intake/changes_internal.hpp"

namespace brookmark::core {

namespace {

bool blank(const std::string& text) {
  return trim(text).empty();
}

// What the survey file asks of a row, said before anything is written (core/store/sql has the same sentences).
std::string wrong_with(const Record& r) {
  constexpr std::int64_t kMost = 1000000000000;
  const std::int64_t low = r.count_min.value_or(0), high = r.count_max.value_or(0);
  if (blank(r.verbatim_name)) return "a record keeps the name as it was written; it cannot be empty";
  if (r.certainty && !(*r.certainty >= 0 && *r.certainty <= 1))
    return "the certainty of a name must lie between 0 and 1";
  if (low > kMost || high > kMost) return "a count of animals is at most 1000000000000";
  switch (r.quantity) {
    case QuantityKind::kCount:
      if (!r.count_min || r.count_min != r.count_max || low < 1)
        return "a count is one whole number, 1 or more, the same in count_min and count_max; an animal "
               "looked "
               "for and not found is recorded as absent";
      return {};
    case QuantityKind::kAbundanceClass:
      if (r.class_code.empty() || low < 1 || (r.count_max && high < low))
        return "an abundance class needs its code and its lower limit, 1 or more, and no upper limit below "
               "that";
      return {};
    case QuantityKind::kPresent:
      if ((r.count_min && low != 1) || r.count_max)
        return "a record of presence cannot hold a number; record it as a count";
      return {};
    case QuantityKind::kAbsent:
      return low != 0 || high != 0 ? "a record of absence cannot hold a number other than 0" : "";
  }
  return {};
}

std::string wrong_with(const Sample& s) {
  if (blank(s.code)) return "it needs a code";
  if (s.effort && !(*s.effort > 0)) return "the effort of a sample must be above 0";
  if (s.effort && s.effort_unit.empty()) return "an effort needs its unit, such as s, jabs, l or m2";
  if (s.mesh_um && !(*s.mesh_um > 0)) return "the mesh of a net must be above 0 micrometres";
  if (s.subsample_share && !(*s.subsample_share > 0 && *s.subsample_share <= 1))
    return "the subsample share must lie above 0 and not above 1";
  return {};
}

std::string wrong_with(const Site& s) {
  if (blank(s.code)) return "it needs a code";
  if (s.accuracy_m && !(*s.accuracy_m >= 0 && *s.accuracy_m < 1000000))
    return "the accuracy of a position is in metres, 0 or more and below 1000 km";
  if (s.reference && blank(s.type))
    return "a site that serves as reference needs the type of water that it stands for";
  return {};
}

std::string wrong_with(const Visit& v) {
  if (format_date(v.start.date) < "1600") return "the date of a visit must be a day from 1600 on";
  if (v.start.utc_offset_min && std::abs(*v.start.utc_offset_min) > 840)
    return "the offset of local time from UTC must lie between -14 and +14 hours";
  return {};
}

std::string wrong_with(const Measurement& m) {
  if (blank(m.quantity)) return "a measurement must say what was measured";
  if (!m.value && !m.below_detection) return "a measurement needs a value unless it lies below detection";
  return {};
}

std::string wrong_with(const Outfall& o) {
  if (blank(o.code)) return "it needs a code";
  if (o.strength && !(*o.strength >= 0)) return "the strength of an outfall is 0 or more";
  for (const auto& day : {o.since, o.until})
    if (day && format_date(*day) < "1600") return "a day of an outfall must be from 1600 on";
  if (o.since && o.until && *o.until < *o.since) return "an outfall cannot end before it begins";
  return {};
}

std::string wrong_with(const Catchment& c) {
  return blank(c.code) ? "it needs a code" : "";
}
std::string wrong_with(const Reach&) {
  return {};
}
std::string wrong_with(const Water&) {
  return {};
}

void count(std::string& words, std::size_t many, const char* one, const char* more) {
  if (many == 0) return;
  words += (words.empty() ? "" : ", ") + std::to_string(many) + " " + (many == 1 ? one : more);
}

}  // namespace

std::string complaint_of(const AnyRow& row) {
  return std::visit([](const auto& r) { return wrong_with(r); }, row);
}

std::string word_of_layer(const std::string& layer) {
  return layer == "reaches" ? "reach" : layer.substr(0, layer.size() - 1);
}

std::string what_belongs_to(const Snapshot& s, const std::string& layer, const std::string& key,
                            const std::set<std::string>& going) {
  std::size_t visits = 0, samples = 0, records = 0, measurements = 0, photos = 0, uses = 0, held = 0,
              risks = 0;
  const auto goes = [&](const auto& k) { return going.contains(std::string(k)); };
  if (layer == "sites") {
    for (std::size_t i = 0; i < s.visits.size(); ++i)
      visits += s.sites.key[s.visits.site[i].value()] == key && !goes(s.visits.key[i]) ? 1U : 0U;
    for (const Photo& photo : s.photos) photos += photo.site_key == key ? 1U : 0U;
    for (const KitUse& use : s.kit_uses) uses += use.site_key == key ? 1U : 0U;
    for (const Holding& holding : s.holdings) held += holding.site_key == key ? 1U : 0U;
    for (const WaterRisk& risk : s.risks) risks += risk.site_key == key ? 1U : 0U;
  } else if (layer == "visits") {
    for (std::size_t i = 0; i < s.samples.size(); ++i)
      samples += s.visits.key[s.samples.visit[i].value()] == key && !goes(s.samples.key[i]) ? 1U : 0U;
    for (std::size_t i = 0; i < s.measurements.size(); ++i)
      measurements +=
          s.visits.key[s.measurements.visit[i].value()] == key && !goes(s.measurements.key[i]) ? 1U : 0U;
    for (const Photo& photo : s.photos) photos += photo.visit_key == key ? 1U : 0U;
    for (const KitUse& use : s.kit_uses) uses += use.visit_key == key ? 1U : 0U;
  } else if (layer == "samples") {
    for (std::size_t i = 0; i < s.records.size(); ++i)
      records += s.samples.key[s.records.sample[i].value()] == key && !goes(s.records.key[i]) ? 1U : 0U;
    for (std::size_t i = 0; i < s.measurements.size(); ++i)
      measurements += s.measurements.sample[i].has_value() &&
                              s.samples.key[s.measurements.sample[i].value()] == key &&
                              !goes(s.measurements.key[i])
                          ? 1U
                          : 0U;
  }
  std::string words;
  count(words, visits, "visit", "visits");
  count(words, samples, "sample", "samples");
  count(words, records, "record", "records");
  count(words, measurements, "measurement", "measurements");
  count(words, photos, "photo", "photos");
  count(words, uses, "use of kit", "uses of kit");
  count(words, held, "live sample", "live samples");
  count(words, risks, "risk", "risks");
  if (words.empty()) return {};
  const bool one = visits + samples + records + measurements + photos + uses + held + risks == 1;
  return words + (one ? " still belongs to it" : " still belong to it");
}

}  // namespace brookmark::core
