// What was written down beside a number: where the number is corrected, the writing follows it, and the old one is kept in
// the note. An export that is taken in again is read by what was written.
#include <utility>

#include "core/base/text.hpp"
#include "core/intake/changes_internal.hpp"
#include "core/intake/row_cells.hpp"
#include "core/reference/reference.hpp"

namespace brookmark::core {

namespace {

// Columns that say one thing together: half of it would be said by nobody.
const std::vector<std::set<std::string>>& tied_columns() {
  static const std::vector<std::set<std::string>> kTied = {
      {"quantity_kind", "count_min", "count_max", "class_scheme", "class_code"},
      {"quantity", "value", "unit", "below_detection"},
      {"effort", "effort_unit"},
      {"reference_site", "site_type"},
      {"date", "local_time", "local_offset_min"},
      {"since", "until"}};
  return kTied;
}

bool same_quantity(const Record& a, const Record& b) {
  return a.quantity == b.quantity && get_cell(a, "count_min") == get_cell(b, "count_min") &&
         get_cell(a, "count_max") == get_cell(b, "count_max") && a.class_code == b.class_code &&
         a.class_scheme == b.class_scheme;
}

bool same_value(const Measurement& a, const Measurement& b) {
  return a.value == b.value && a.below_detection == b.below_detection;
}

std::string as_written(const Record& r) {
  switch (r.quantity) {
    case QuantityKind::kCount:
      return get_cell(r, "count_min");
    case QuantityKind::kAbundanceClass:
      return r.class_code;
    case QuantityKind::kPresent:
      return "present";
    case QuantityKind::kAbsent:
      return "0";
  }
  return {};
}

// Whether an import would read it so.
bool says_so(const Record& r) {
  const std::string_view written = trim(r.verbatim_quantity);
  const auto number = parse_number(written);
  switch (r.quantity) {
    case QuantityKind::kCount:
      return number && r.count_min && *number == static_cast<double>(*r.count_min);
    case QuantityKind::kAbundanceClass:
      return to_lower_ascii(written) == to_lower_ascii(r.class_code);
    case QuantityKind::kPresent:
      return written.empty() || fold_name(written) == "present";
    case QuantityKind::kAbsent:
      return (number && *number == 0) || fold_name(written) == "absent";
  }
  return false;
}

std::string as_written(const Measurement& m) {
  const std::string number = get_cell(m, "value");
  if (!m.below_detection) return number;
  return number.empty() ? "below detection" : "<" + number;
}

bool says_so(const Measurement& m) {
  std::string_view written = trim(m.verbatim_value);
  const bool below = written.starts_with('<');
  if (below) written = trim(written.substr(1));
  const auto number = parse_number(written);
  return below == m.below_detection && number.has_value() && number == m.value;
}

std::string replace_writing(std::string& written, std::string now, std::string& note) {
  const std::string before = std::exchange(written, std::move(now));
  if (trim(before).empty()) return in_quotes(written) + " stands as written";
  append_note(note, "written as " + in_quotes(before) + " before");
  return in_quotes(written) + " stands as written, and " + in_quotes(before) + " is kept in the note";
}

std::string span_words(const AbundanceClass& entry) {
  return std::to_string(entry.min_count) +
         (entry.max_count >= 0 ? " to " + std::to_string(entry.max_count) : " or more");
}

// A class means what its scheme says.
std::string class_complaint(const Record& r) {
  if (r.quantity != QuantityKind::kAbundanceClass) return {};
  bool known = false;
  for (const AbundanceClass& entry : abundance_classes()) {
    if (entry.scheme != r.class_scheme) continue;
    known = true;
    if (entry.code != r.class_code) continue;
    const bool open = entry.max_count < 0;
    if (r.count_min == entry.min_count && r.count_max.has_value() != open &&
        (open || *r.count_max == entry.max_count))
      return {};
    return "the class " + entry.code + " of " + entry.scheme + " stands for " + span_words(entry) +
           "; say another class, or a count";
  }
  return known ? in_quotes(r.class_code) + " is no class of " + r.class_scheme
               : in_quotes(r.class_scheme) + " is no abundance scheme known here";
}

}  // namespace

std::set<std::string> tied_to(const std::string& column) {
  for (const auto& columns : tied_columns())
    if (columns.contains(column)) return columns;
  return {column};
}

std::string writing_complaint(const std::string& layer, const std::string& column) {
  if (layer == "records" && column == "verbatim_quantity")
    return "what was written down stays; correct count_min and count_max instead";
  if (layer == "measurements" && column == "verbatim_value")
    return "what was written down stays; correct value instead";
  return {};
}

std::string follow_in_writing(const AnyRow& before, AnyRow& after) {
  if (auto* record = std::get_if<Record>(&after)) {
    if (same_quantity(std::get<Record>(before), *record) || says_so(*record)) return {};
    return replace_writing(record->verbatim_quantity, as_written(*record), record->note);
  }
  if (auto* measured = std::get_if<Measurement>(&after)) {
    if (same_value(std::get<Measurement>(before), *measured) || says_so(*measured)) return {};
    return replace_writing(measured->verbatim_value, as_written(*measured), measured->note);
  }
  return {};
}

std::string complaint_of_change(const AnyRow& before, const AnyRow& after) {
  std::string wrong = complaint_of(after);
  if (!wrong.empty()) return wrong;
  if (const auto* record = std::get_if<Record>(&after))
    if (!same_quantity(std::get<Record>(before), *record)) wrong = class_complaint(*record);
  return wrong;
}

}  // namespace brookmark::core
