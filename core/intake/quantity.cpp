#include "core/intake/quantity_internal.hpp"

#include <cmath>
#include <set>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

// No tray holds more; a larger number is a slip of the keyboard. Common practice, no source.
constexpr double kMostAnimals = 1e9;

bool says(std::string_view written, std::string_view word) {
  return fold_name(written) == word;
}

}  // namespace

QuantityReader::QuantityReader(Plan& plan) : plan_(plan) {
  std::set<std::string> seen;
  for (const AbundanceClass& entry : abundance_classes())
    if (seen.insert(entry.scheme).second) schemes_ += (schemes_.empty() ? "" : ", ") + entry.scheme;
  const std::string& chosen = plan.options().abundance_scheme;
  if (!chosen.empty() && !is_scheme(chosen))
    throw Error(ErrorCode::kBadUse,
                "there is no abundance scheme " + in_quotes(chosen) + "; the schemes are " + schemes_);
}

bool QuantityReader::is_scheme(const std::string& name) const {
  for (const AbundanceClass& entry : abundance_classes())
    if (entry.scheme == name) return true;
  return false;
}

std::string QuantityReader::scheme_of_row() {
  const std::string type = plan_.text(Field::kQuantityType);
  if (type.empty()) return plan_.options().abundance_scheme;
  if (says(type, "individuals") || says(type, "individual") || says(type, "count")) return "";
  std::string lower = to_lower_ascii(type);
  // As an archive of ours says it, for readers who know none of the schemes.
  if (constexpr std::string_view kSaid = "abundance class, "; lower.starts_with(kSaid))
    lower.erase(0, kSaid.size());
  for (const AbundanceClass& entry : abundance_classes())
    if (to_lower_ascii(entry.scheme) == lower) return entry.scheme;
  plan_.error(Field::kQuantityType, entry(type) +
                                        " is no kind of quantity known here; write individuals, or one of "
                                        "the abundance schemes: " +
                                        schemes_ + ".");
  return "";
}

bool QuantityReader::read_class(Record& record, const std::string& scheme, const std::string& written) {
  const AbundanceClass* found = nullptr;
  for (const AbundanceClass& entry : abundance_classes()) {
    if (entry.scheme != scheme) continue;
    if (entry.code == written) {
      found = &entry;
      break;
    }
    if (to_lower_ascii(entry.code) == to_lower_ascii(written)) found = &entry;
  }
  if (found == nullptr) return false;
  record.quantity = QuantityKind::kAbundanceClass;
  record.class_scheme = found->scheme;
  record.class_code = found->code;
  record.count_min = found->min_count;
  if (found->max_count >= 0) record.count_max = found->max_count;
  return true;
}

void QuantityReader::read_count(Record& record, Field field, const std::string& written) {
  const auto value = parse_number(written, plan_.table().decimal);
  if (!value) {
    plan_.error(field, entry(written) +
                           " is not a count. Write a whole number; leave the cell empty for \"present, not "
                           "counted\"; for letters name their abundance scheme, one of: " +
                           schemes_ + ".");
    return;
  }
  if (*value < 0) {
    plan_.error(field, "A count of " + written +
                           " is not possible; write 0 only where the animal was looked for "
                           "and absent.");
  } else if (*value > kMostAnimals) {
    plan_.error(field,
                "A count of " + written + " is not believable (the limit is 1,000,000,000); correct it.");
  } else if (std::floor(*value) != *value) {
    plan_.error(field,
                "A count of " + written +
                    " is not a whole number; write how many animals were counted, and the share of the "
                    "catch in the sample's subsample column.");
  } else {
    record.count_min = record.count_max = static_cast<std::int64_t>(*value);
    record.quantity = *value == 0 ? QuantityKind::kAbsent : QuantityKind::kCount;
  }
}

void QuantityReader::read_status(Record& record) {
  const std::string_view status = plan_.cell(Field::kOccurrenceStatus);
  if (status.empty()) return;
  if (says(status, "absent")) {
    if (record.quantity == QuantityKind::kCount || record.quantity == QuantityKind::kAbundanceClass)
      plan_.error(Field::kOccurrenceStatus, "This row says absent and also how many (" +
                                                record.verbatim_quantity + "); correct one of the two.");
    record.quantity = QuantityKind::kAbsent;
    record.count_min = record.count_max = 0;
  } else if (says(status, "present") || says(status, "count") ||
             says(status, "class")) {  // the kinds of our exports
    if (record.quantity == QuantityKind::kAbsent)
      plan_.error(Field::kOccurrenceStatus, "This row says present and also " +
                                                in_quotes(record.verbatim_quantity) +
                                                "; correct one of the two.");
  } else {
    plan_.error(Field::kOccurrenceStatus,
                entry(status) + " is not known here; write one of: present, absent.");
  }
}

void QuantityReader::read(Record& record) {
  const std::string count = plan_.text(Field::kCount);
  const std::string quantity = plan_.text(Field::kQuantity);
  const Field field = count.empty() ? Field::kQuantity : Field::kCount;
  const std::string& written = count.empty() ? quantity : count;
  record.verbatim_quantity = written;
  record.quantity = QuantityKind::kPresent;  // an empty cell is never zero
  const std::string scheme = quantity.empty() ? plan_.options().abundance_scheme : scheme_of_row();
  if (!count.empty() && !quantity.empty() && count != quantity)
    plan_.warn(Field::kQuantity, "This row has a count (" + count + ") and another quantity (" + quantity +
                                     "); the count is taken.");
  if (written.empty() || says(written, "present")) {
    // present
  } else if (says(written, "absent")) {
    record.quantity = QuantityKind::kAbsent;
    record.count_min = record.count_max = 0;
  } else if (scheme.empty() || (field == Field::kCount && parse_number(written, plan_.table().decimal))) {
    read_count(record, field, written);
  } else if (!read_class(record, scheme, written)) {
    if (parse_number(written, plan_.table().decimal)) {
      read_count(record, field, written);
    } else {
      std::string codes;
      for (const AbundanceClass& entry : abundance_classes())
        if (entry.scheme == scheme) codes += (codes.empty() ? "" : ", ") + entry.code;
      plan_.error(field, entry(written) + " is no class of the abundance scheme " + scheme +
                             "; its classes are " + codes + ".");
    }
  }
  read_status(record);
}

}  // namespace brookmark::core
