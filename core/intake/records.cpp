#include "core/base/text.hpp"
#include "core/intake/names_internal.hpp"
#include "core/intake/plan_internal.hpp"
#include "core/intake/quantity_internal.hpp"

namespace brookmark::core {

namespace {

void read_certainty(Plan& plan, Record& record) {
  const auto value = plan.number(Field::kCertainty, "how sure the name is, from 0 to 1,");
  if (!value) return;
  if (*value < 0 || *value > 1)
    plan.error(Field::kCertainty, "A certainty of " + plan.text(Field::kCertainty) +
                                      " is not possible; write how sure the name is, from 0 to 1.");
  record.certainty = value;
}

// The same animal, as much, in the same sample: the file was most likely imported before.
bool in_survey(const Snapshot& survey, std::size_t sample, const Record& record) {
  const RecordColumns& records = survey.records;
  for (std::size_t r = survey.samples.record_begin[sample]; r < survey.samples.record_begin[sample + 1]; ++r)
    if (records.verbatim_name[r] == record.verbatim_name && records.stage[r] == record.stage &&
        records.verbatim_quantity[r] == record.verbatim_quantity && records.quantity[r] == record.quantity)
      return true;
  return false;
}

}  // namespace

void plan_records(Plan& plan) {
  plan.require(Field::kSampleCode);
  if (!plan.has(Field::kCommonName)) plan.require(Field::kScientificName);
  const CodeList samples = CodeList::of_samples(plan.snapshot());
  QuantityReader quantities(plan);
  Names names(plan);
  plan.each_row([&] {
    Record record;
    const std::string code = plan.need(Field::kSampleCode, "sample");
    const auto sample = samples.find(code);
    if (!code.empty() && !sample) plan.error(Field::kSampleCode, samples.not_found(code));
    names.read(record);
    quantities.read(record);
    names.read_stage(record);
    read_certainty(plan, record);
    record.note = plan.text(Field::kRecordNote);
    if (sample && plan.row_is_good() && in_survey(plan.snapshot(), *sample, record))
      plan.error(names.field(), "The survey already has this record in sample " + in_quotes(code) +
                                    ": the same name, life stage and quantity. Leave the " + plan.row_word() +
                                    " out, or correct it.");
    if (!plan.row_is_good()) return;
    record.sample_key = std::string(plan.snapshot().samples.key[*sample]);
    record.key = plan.new_key();
    names.keep();
    plan.add(AddRecord{std::move(record)});
  });
  names.report();
}

}  // namespace brookmark::core
