#include <algorithm>

#include "core/base/text.hpp"
#include "core/intake/changes_internal.hpp"
#include "core/intake/row_cells.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

namespace {

std::string became(const NameResult& name) {
  const Taxon& taxon = name.lineage.front();
  if (!taxon.listed)
    return name.lineage.size() > 1 && name.match != NameMatch::kNone
               ? "is taken as " + taxon.name + " under " + name.lineage[1].name + " (" +
                     name_match_name(name.match) + ")"
               : "is not in the checklist: an unlisted taxon, which counts and never scores";
  return "is taken as " + taxon.name + " (" + name_match_name(name.match) + ")";
}

bool is_name(const std::string& name) {
  return !fold_name(name).empty() && !says_nothing_found(name);
}

// The taxon of this key with its parents: of the file, or of the checklist.
std::vector<Taxon> lineage_of(const std::string& key, const ReturnedFile& returned) {
  std::vector<Taxon> lineage;
  std::string next = key;
  while (!next.empty() && lineage.size() < 64) {
    const auto found = std::find_if(returned.taxa.begin(), returned.taxa.end(),
                                    [&](const Taxon& taxon) { return taxon.key == next; });
    if (found == returned.taxa.end()) break;
    lineage.push_back(*found);
    next = found->parent_key;
  }
  return lineage;
}

NameTaken rename(Record& record, const std::string& text) {
  const std::string name(trim(text));
  NameTaken taken;
  if (!is_name(name)) {
    taken.complaint = in_quotes(text) + " names no animal";
    return taken;
  }
  const NameResult result = checklist().match(name);
  const std::string before = record.verbatim_name;
  const NameResult old = is_name(before) ? checklist().match(before) : NameResult{};
  if (result.several_stages) {
    taken.complaint = in_quotes(name) + " speaks of more than one life stage";
    return taken;
  }
  // A stage or a qualifier that came with the old name goes with it.
  if (record.stage == old.stage) record.stage = LifeStage::kUnknown;
  if (result.stage != LifeStage::kUnknown) {
    if (record.stage != LifeStage::kUnknown && record.stage != result.stage) {
      taken.complaint = in_quotes(name) + " says " + life_stage_name(result.stage) +
                        " and the life stage says " + life_stage_name(record.stage) + "; make them agree";
      return taken;
    }
    record.stage = result.stage;
  }
  if (record.qualifier == old.qualifier) record.qualifier.clear();
  if (fold_name(record.qualifier) != fold_name(result.qualifier) && !result.qualifier.empty())
    record.qualifier += (record.qualifier.empty() ? "" : " ") + result.qualifier;
  record.verbatim_name = name;
  record.taxon_key = result.lineage.front().key;
  record.match = result.match;
  taken.taxa = result.lineage;
  taken.words = in_quotes(name) + " " + became(result);
  if (!before.empty()) {
    append_note(record.note, "was noted as " + before);
    taken.words += "; that it was noted as " + in_quotes(before) + " is kept in the note";
  }
  return taken;
}

// Somebody decided for another animal: the name as written stays.
NameTaken decide(Record& record, std::vector<Taxon> lineage) {
  NameTaken taken;
  record.taxon_key = lineage.front().key;
  record.match = NameMatch::kChosen;
  taken.words = in_quotes(record.verbatim_name) + " is taken as " + lineage.front().name +
                (lineage.front().listed ? "" : ", an unlisted taxon, which never scores by itself") +
                ", as they chose; the name as written stays";
  taken.taxa = std::move(lineage);
  return taken;
}

NameTaken choose(Record& record, const std::string& name) {
  NameTaken taken;
  if (is_name(name)) {
    const NameResult result = checklist().match(name);
    if (result.lineage.front().key == record.taxon_key) return taken;
    if (result.match != NameMatch::kNone && result.match != NameMatch::kHigherTaxon)
      return decide(record, result.lineage);
  }
  taken.complaint = in_quotes(name) + " is not in the checklist; change verbatim_name instead";
  return taken;
}

AnyRow row_that_left(const std::string& layer, const ReturnedRow& left) {
  AnyRow row = *new_row(layer);
  for (const auto& [column, text] : left.cells) static_cast<void>(set_cell_of(row, column, text));
  return row;
}

}  // namespace

NameTaken take_cell(AnyRow& row, const std::string& column, const std::string& text,
                    const ReturnedFile& returned) {
  NameTaken taken;
  auto* record = std::get_if<Record>(&row);
  if (record == nullptr ||
      !(column == "verbatim_name" || column == "taxon" || column == "taxon_key" || column == "name_match")) {
    taken.complaint = set_cell_of(row, column, text);
    return taken;
  }
  if (column == "verbatim_name") return rename(*record, text);
  if (column == "taxon") return choose(*record, text);
  if (column == "name_match") {
    taken.complaint = "how a name came to its taxon is worked out; change verbatim_name or taxon instead";
    return taken;
  }
  if (text == record->taxon_key) return taken;
  std::vector<Taxon> lineage = lineage_of(text, returned);
  if (!lineage.empty()) return decide(*record, std::move(lineage));
  taken.complaint = in_quotes(text) + " is no key of the layer taxa; change verbatim_name or taxon instead";
  return taken;
}

MadeRow make_row(const ReturnedLayer& layer, const ReturnedRow& from, const ReturnedFile& returned,
                 const std::string& note) {
  MadeRow made{*new_row(layer.name), {}, {}, {}};
  const auto complain = [&](const std::string& sentence) {
    if (made.complaint.empty()) made.complaint = sentence;
  };
  if (!from.bad_shape.empty())
    complain("its shape cannot be read: " + from.bad_shape);
  else if (layer.has_shapes)
    complain(set_shape_of(made.row, from, returned.crs, note));
  const auto left = layer.left.find(from.key);
  // A row that left keeps the raw position that it left with, and be it none; a new one has that of the file.
  const auto raw_x = from.cells.find("raw_x");
  const bool own_raw = left != layer.left.end() || (raw_x != from.cells.end() && !raw_x->second.empty());
  for (const auto& [column, text] : from.cells) {
    const bool of_raw = column.starts_with("raw_") || column == "position_note";
    if (!(of_raw ? own_raw : !text.empty())) continue;  // stays as a new row has it
    if (const std::string wrong = set_cell_of(made.row, column, text); !wrong.empty())
      complain(column + ": " + wrong);
  }
  set_key_of(made.row, from.key);
  if (auto* record = std::get_if<Record>(&made.row); record != nullptr && made.complaint.empty()) {
    const auto same = [&](const char* column) {
      const auto was = left->second.cells.find(column), is = from.cells.find(column);
      return was != left->second.cells.end() && is != from.cells.end() && was->second == is->second;
    };
    if (left != layer.left.end() && same("verbatim_name") && same("taxon_key") && same("name_match")) {
      made.taxa = lineage_of(record->taxon_key, returned);
      if (made.taxa.empty()) complain("it points to a taxon that the layer taxa does not have");
    } else {
      // A copied row brings the taxon of another name along, so the name as written decides.
      const std::string name = record->verbatim_name;
      record->verbatim_name.clear();
      NameTaken taken = rename(*record, name);
      complain(taken.complaint);
      made.words = std::move(taken.words);
      made.taxa = std::move(taken.taxa);
    }
  }
  const AnyRow was =
      left == layer.left.end() ? *new_row(layer.name) : row_that_left(layer.name, left->second);
  if (made.complaint.empty()) made.complaint = complaint_of_change(was, made.row);
  if (made.complaint.empty()) append_note(made.words, follow_in_writing(was, made.row));
  return made;
}

}  // namespace brookmark::core
