#include "core/intake/names_internal.hpp"

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

// Each with its score: nothing of it was taken.
std::string proposed(const std::vector<NameProposal>& proposals) {
  std::string list;
  for (std::size_t i = 0; i < proposals.size(); ++i) {
    if (i > 0) list += i + 1 == proposals.size() ? " or " : ", ";
    list += proposals[i].name + " (";
    if (fold_name(proposals[i].matched_on) != fold_name(proposals[i].name))
      list += proposals[i].matched_on + ", ";
    list += "score " + format_fixed(proposals[i].score, 2) + ")";
  }
  if (list.empty()) return {};
  return (proposals.front().kind == ProposalKind::kSpelling ? " Perhaps it is a misspelling of "
                                                            : " Perhaps it is short for ") +
         list + ".";
}

// "cf." of the column and "sp." of the name are both kept; the same word twice is once.
std::string joined(const std::string& column, const std::string& name) {
  if (name.empty() || fold_name(column) == fold_name(name)) return column;
  return column.empty() ? name : column + " " + name;
}

}  // namespace

Names::Names(Plan& plan) : plan_(plan) {
  for (const auto& [written, accepted] : plan.options().names) {
    if (fold_name(accepted).empty() || checklist().match(accepted).match == NameMatch::kNone)
      throw Error(
          ErrorCode::kBadUse,
          in_quotes(written) + " cannot be taken as " + in_quotes(accepted) +
              ": that name is not in the checklist; choose an accepted name, or a species of a listed genus");
    chosen_[fold_name(written)] = accepted;
  }
  for (std::size_t i = 0; i < plan.snapshot().taxa.size(); ++i)
    stored_.insert(std::string(plan.snapshot().taxa.key[i]));
}

void Names::read(Record& record) {
  keeping_ = nullptr;
  const bool common = plan_.cell(Field::kScientificName).empty();
  field_ = common && plan_.has(Field::kCommonName) ? Field::kCommonName : Field::kScientificName;
  record.verbatim_name = plan_.need(field_, "name of an animal");
  record.qualifier = plan_.text(Field::kQualifier);
  if (record.verbatim_name.empty()) return;
  const bool decided = chosen_.contains(fold_name(record.verbatim_name));
  if (!decided && says_nothing_found(record.verbatim_name)) {
    plan_.error(field_,
                entry(record.verbatim_name) +
                    " names no animal. For an animal that was looked for and absent, write its name here and "
                    "absent in occurrenceStatus, or a count of 0; otherwise leave the " +
                    plan_.row_word() + " out.");
    return;
  }
  if (fold_name(record.verbatim_name).empty()) {
    plan_.error(field_, entry(record.verbatim_name) + " is no name; write what was found, or leave the " +
                            plan_.row_word() + " out.");
    return;
  }
  KnownName& name = known(record.verbatim_name);
  record.match = name.result.match;
  record.taxon_key = name.result.lineage.front().key;
  record.qualifier = joined(record.qualifier, name.result.qualifier);
  keeping_ = &name;
}

void Names::read_stage(Record& record) {
  record.stage = plan_.word(Field::kLifeStage, parse_life_stage, life_stage_name, LifeStage::kAdult)
                     .value_or(LifeStage::kUnknown);
  if (keeping_ == nullptr) return;
  const NameResult& name = keeping_->result;
  if (name.several_stages) {
    plan_.error(field_, "The name " + in_quotes(record.verbatim_name) +
                            " speaks of more than one life stage; write a " + plan_.row_word() +
                            " for each.");
  } else if (record.stage == LifeStage::kUnknown) {
    record.stage = name.stage;
  } else if (name.stage != LifeStage::kUnknown && name.stage != record.stage) {
    plan_.error(Field::kLifeStage, "The name " + in_quotes(record.verbatim_name) + " says " +
                                       life_stage_name(name.stage) + " and the life stage says " +
                                       life_stage_name(record.stage) + "; make them agree.");
  }
}

void Names::keep() {
  if (keeping_->rows++ == 0) keeping_->first_line = plan_.row().line;
  const auto& lineage = keeping_->result.lineage;
  for (auto taxon = lineage.rbegin(); taxon != lineage.rend(); ++taxon)
    if (stored_.insert(taxon->key).second) plan_.add(AddTaxon{*taxon});
}

Names::KnownName& Names::known(const std::string& written) {
  std::string key = written + '\x1f';
  std::vector<std::pair<Field, std::string>> higher;
  for (const Field field : {Field::kGenus, Field::kFamily, Field::kOrder}) {
    if (!plan_.cell(field).empty()) higher.emplace_back(field, plan_.text(field));
    key += plan_.text(field) + '\x1f';
  }
  const auto [at, fresh] = names_.try_emplace(key);
  KnownName& name = at->second;
  if (!fresh) return name;
  in_order_.push_back(key);
  name.field = field_;
  name.written = written;
  std::vector<std::string> words;
  for (const auto& [field, word] : higher) words.push_back(word);
  name.higher = std::move(higher);
  name.result = checklist().match(written, words);
  if (const auto decided = chosen_.find(fold_name(written)); decided != chosen_.end()) {
    // What was decided is the taxon; doubt and life stage stay as written.
    name.result.lineage = checklist().match(decided->second).lineage;
    name.result.match = NameMatch::kChosen;
  }
  return name;
}

void Names::report() {
  for (const std::string& key : in_order_) {
    const KnownName& name = names_.at(key);
    if (name.rows == 0) continue;
    report_match(name);
    if (name.result.match != NameMatch::kChosen) report_contradictions(name);
  }
}

void Names::report_match(const KnownName& name) {
  const NameResult& result = name.result;
  const std::string rows =
      name.rows == 1 ? "" : " (" + std::to_string(name.rows) + " " + plan_.row_word() + "s)";
  const std::string subject = "The name " + in_quotes(name.written) + rows;
  switch (result.match) {
    case NameMatch::kGenusOfBinomial:
      plan_.note_at(name.first_line, name.field,
                    subject + " is taken as a species of the listed genus " + result.lineage[1].name + "." +
                        proposed(result.proposals));
      return;
    case NameMatch::kHigherTaxon: {
      const bool misspelt = !result.proposals.empty();
      const std::string sentence = subject + " is not in the checklist; it is placed under " +
                                   result.lineage[1].name + "." + proposed(result.proposals);
      if (misspelt)
        plan_.warn_at(name.first_line, name.field, sentence);
      else
        plan_.note_at(name.first_line, name.field, sentence);
      return;
    }
    case NameMatch::kNone:
      if (result.absence_word.empty())
        plan_.warn_at(
            name.first_line, name.field,
            subject + " is not in the checklist; it is kept as an unlisted taxon, which counts but never " +
                "scores." + proposed(result.proposals));
      else
        plan_.warn_at(
            name.first_line, name.field,
            subject + " is not matched to the checklist, because the word " + in_quotes(result.absence_word) +
                " may say that the animal was absent or not alive; it is kept as an unlisted taxon, which "
                "counts but never scores. If it was absent, write its name alone, with absent in "
                "occurrenceStatus or a count of 0." +
                proposed(result.proposals));
      return;
    default:
      return;
  }
}

void Names::report_contradictions(const KnownName& name) {
  for (const auto& [field, word] : name.higher) {
    if (!checklist().contradicts(name.result, word)) continue;
    const auto listed = std::find_if(name.result.lineage.begin(), name.result.lineage.end(),
                                     [](const Taxon& taxon) { return taxon.listed; });
    const std::string own = listed + 1 == name.result.lineage.end()
                                ? ""
                                : ", which the checklist has under " + (listed + 1)->name;
    plan_.warn_at(name.first_line, field,
                  "The name " + in_quotes(name.written) + " is taken as " + listed->name + own +
                      ", but the " + field_name(field) + " beside it is " + in_quotes(word) +
                      "; check which of the two is right.");
  }
}

}  // namespace brookmark::core
