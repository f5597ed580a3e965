#include <map>
#include <unordered_set>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/plan_internal.hpp"
#include "core/intake/quantity_internal.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

namespace {

// What became of one name, worked out once however often it is written.
struct KnownName {
  NameResult result;
  Field field = Field::kScientificName;
  std::string written;
  std::size_t rows = 0;
  std::size_t first_line = 0;
};

class Names {
 public:
  explicit Names(Plan& plan) : plan_(plan) {
    for (const auto& [written, accepted] : plan.options().names) {
      if (checklist().find(accepted) == nullptr)
        throw Error(ErrorCode::kBadUse, quoted(written) + " cannot be taken as " + quoted(accepted) +
                                            ": that name is not in the checklist; choose an accepted name");
      chosen_[fold_name(written)] = accepted;
    }
    for (std::size_t i = 0; i < plan.snapshot().taxa.size(); ++i)
      stored_.insert(std::string(plan.snapshot().taxa.key[i]));
  }

  // Fills the record's name, and adds the taxa that the survey does not have yet, parents first.
  void read(Record& record) {
    const bool common = plan_.cell(Field::kScientificName).empty();
    field_ = common && plan_.has(Field::kCommonName) ? Field::kCommonName : Field::kScientificName;
    record.verbatim_name = plan_.need(field_, "name of an animal");
    record.qualifier = plan_.text(Field::kQualifier);
    if (record.verbatim_name.empty()) return;
    if (fold_name(record.verbatim_name).empty()) {
      plan_.error(field_,
                  quoted(record.verbatim_name) + " is no name; write what was found, or leave the row out.");
      return;
    }
    std::vector<std::string> higher;
    for (const Field field : {Field::kGenus, Field::kFamily, Field::kOrder})
      if (!plan_.cell(field).empty()) higher.push_back(plan_.text(field));
    KnownName& name = known(record.verbatim_name, higher);
    record.match = name.result.match;
    record.taxon_key = name.result.lineage.front().key;
    if (record.qualifier.empty()) record.qualifier = name.result.qualifier;
    name_ = &name;
  }

  // Call when everything else of the row is good.
  void keep() {
    if (name_->rows++ == 0) name_->first_line = plan_.row().line;
    const auto& lineage = name_->result.lineage;
    for (auto taxon = lineage.rbegin(); taxon != lineage.rend(); ++taxon)
      if (stored_.insert(taxon->key).second) plan_.add(AddTaxon{*taxon});
  }

  // A finding for each name that the checklist does not have, at the first row that has it.
  void report_unlisted() {
    for (const auto& key : in_order_) {
      const KnownName& name = names_.at(key);
      const NameMatch how = name.result.match;
      const auto& proposals = name.result.proposals;
      // One that a higher taxon places is worth a word only when it may be a misspelling.
      if (name.rows == 0 ||
          (how != NameMatch::kNone && (how != NameMatch::kHigherTaxon || proposals.empty())))
        continue;
      std::string sentence = quoted(name.written) + " is not in the checklist";
      if (name.rows > 1) sentence += " (" + std::to_string(name.rows) + " rows)";
      sentence += how == NameMatch::kNone
                      ? "; it is kept as an unlisted taxon, which counts but never scores."
                      : "; it is placed under " + name.result.lineage[1].name + ", as the file says.";
      for (std::size_t i = 0; i < proposals.size(); ++i) {
        sentence += (i == 0                      ? " Did you mean "
                     : i + 1 == proposals.size() ? " or "
                                                 : ", ") +
                    proposals[i].name;
        if (fold_name(proposals[i].matched_on) != fold_name(proposals[i].name))
          sentence += " (" + proposals[i].matched_on + ")";
      }
      if (!proposals.empty()) sentence += "?";
      plan_.warn_at(name.first_line, name.field, sentence);
    }
  }

 private:
  KnownName& known(const std::string& written, const std::vector<std::string>& higher) {
    std::string key = written + '\x1f';
    for (const std::string& name : higher) key += name + '\x1f';
    const auto [at, fresh] = names_.try_emplace(key);
    if (fresh) {
      in_order_.push_back(key);
      at->second.field = field_;
      at->second.written = written;
      if (const auto decided = chosen_.find(fold_name(written)); decided != chosen_.end()) {
        at->second.result = checklist().match(decided->second);
        at->second.result.match = NameMatch::kChosen;
      } else {
        at->second.result = checklist().match(written, higher);
      }
    }
    return at->second;
  }

  Plan& plan_;
  Field field_ = Field::kScientificName;
  KnownName* name_ = nullptr;  // of the row at hand
  std::unordered_map<std::string, KnownName> names_;
  std::vector<std::string> in_order_;
  std::map<std::string, std::string> chosen_;
  std::unordered_set<std::string> stored_;
};

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
    record.stage = plan.word(Field::kLifeStage, parse_life_stage, life_stage_name, LifeStage::kAdult)
                       .value_or(LifeStage::kUnknown);
    read_certainty(plan, record);
    record.note = plan.text(Field::kRecordNote);
    if (sample && plan.row_is_good() && in_survey(plan.snapshot(), *sample, record))
      plan.error("The survey already has this record in sample " + quoted(code) +
                 ": the same name, life stage and quantity. Leave the row out, or correct it.");
    if (!plan.row_is_good()) return;
    record.sample_key = std::string(plan.snapshot().samples.key[*sample]);
    record.key = plan.new_key();
    names.keep();
    plan.add(AddRecord{std::move(record)});
  });
  names.report_unlisted();
}

}  // namespace brookmark::core
