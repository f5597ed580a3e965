// What a meter shows beside the tray: read, judged by the limits of the trade, and stored with the visit.
#include <algorithm>

#include "core/base/text.hpp"
#include "core/base/uuid.hpp"
#include "core/chemistry/quantities.hpp"
#include "viewer/actions/readings_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr ReadingAsked kAsked[] = {
    {"temperature", "degC"},    {"ph", ""},          {"conductivity", "uS/cm"}, {"dissolved-oxygen", "mg/l"},
    {"oxygen-saturation", "%"}, {"pressure", "hPa"}, {"ammonia", "mg/l N"},     {"nitrate", "mg/l N"},
    {"phosphate", "mg/l P"}};

const core::Quantity* quantity_of(const std::string& id) {
  for (const core::Quantity& q : core::quantities())
    if (q.id == id) return &q;
  return nullptr;
}

}  // namespace

std::span<const ReadingAsked> readings_asked() {
  return kAsked;
}

std::string reading_id(const core::Measurement& m) {
  const core::Quantity* q = core::find_quantity(m.quantity, m.unit);
  return q ? q->id : std::string();
}

ReadingChange read_reading(const EntrySheet& sheet, const std::string& id) {
  ReadingChange change;
  const auto asked = std::find_if(std::begin(kAsked), std::end(kAsked),
                                  [&](const ReadingAsked& a) { return a.quantity == id; });
  const core::Quantity* q = quantity_of(id);
  if (asked == std::end(kAsked) || !q) {
    change.trouble = "There is no reading of this name.";
    return change;
  }
  for (std::size_t i = 0; i < sheet.measurements.size(); ++i)
    if (reading_id(sheet.measurements[i]) == id) change.at = i;
  const auto typed = sheet.readings.find(id);
  std::string words(
      core::trim(typed == sheet.readings.end() ? std::string_view() : std::string_view(typed->second)));
  if (words.empty()) {
    change.nothing_new = !change.at;
    return change;
  }
  core::Measurement row;
  if (change.at)
    row = sheet.measurements[*change.at];
  else
    row.key = core::random_uuid(), row.visit_key = sheet.visit_key, row.quantity = q->title,
    row.unit = asked->unit;
  if (change.at && row.verbatim_value == words) {
    change.nothing_new = true;
    change.row = row;
    return change;
  }
  row.verbatim_value = words;
  row.below_detection = words.front() == '<';
  if (row.below_detection) words = core::trim(std::string_view(words).substr(1));
  const bool comma = words.find(',') != std::string::npos && words.find('.') == std::string::npos;
  const auto value = core::parse_number(words, comma ? ',' : '.');
  if (!value) {
    change.trouble =
        "\u201C" + row.verbatim_value + "\u201D is no reading; write a number, or <0.05 for below detection.";
    return change;
  }
  row.value = *value;
  const auto limits = [&](core::Plausible verdict) {
    std::string sentence = core::limits_text(*q, verdict);
    if (const std::size_t at = q->unit.empty() ? std::string::npos : sentence.find(" " + q->unit);
        at != std::string::npos)
      sentence.replace(at + 1, q->unit.size(), unit_in_words(q->unit));
    return sentence;
  };
  const core::Calculated plain = core::convert(*value, row.unit, q->unit);
  const core::Plausible verdict = core::judge(*q, plain.value.value_or(*value));
  if (verdict == core::Plausible::kImpossible) {
    change.trouble = row.verbatim_value + " cannot be (" + limits(verdict) + "); not stored.";
    return change;
  }
  if (verdict == core::Plausible::kOutOfLine) change.doubt = "Stored, but unusual: " + limits(verdict) + ".";
  change.row = row;
  return change;
}

}  // namespace brookmark::viewer
