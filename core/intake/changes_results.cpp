// Cells that do not belong to the row itself: what was worked out, the name of a taxon, and what the visit says.
#include "core/intake/changes_comparison_internal.hpp"

namespace brookmark::core {

namespace {

bool is_of_visit(const std::string& column) {
  return column == "date" || column == "local_time" || column == "local_offset_min";
}

std::string said(const std::string& text) {
  return text.empty() ? "nothing" : text;
}

}  // namespace

void Comparison::compare_results(const ReturnedLayer& layer, std::size_t i, const AnyRow& full) {
  const ReturnedRow& theirs = layer.rows[i];
  for (const auto& [column, text] : theirs.results) {
    Change change = begin(layer, theirs.key, i, ChangeKind::kCell);
    change.column = column;
    change.theirs = text;
    if (layer.name == "records" && column == "taxon") {
      AnyRow tried = full;
      const std::string key = cell_of(full, "taxon_key");
      for (std::size_t t = 0; t < snapshot_.taxa.size(); ++t)
        if (snapshot_.taxa.key[t] == key) change.ours = snapshot_.taxa.name[t];
      if (text == change.ours) continue;
      const bool renamed = rename_first(tried, theirs);
      const NameTaken name = take_cell(tried, column, text, returned_);
      if (name.complaint.empty() && name.words.empty()) continue;
      const bool ours_stands = theirs.cells.contains("taxon_key") && theirs.cells.at("taxon_key") == key;
      change.state = ours_stands ? ChangeState::kTheirs : ChangeState::kAskFirst;
      change.note = name.words;
      if (renamed || !name.complaint.empty()) change.state = ChangeState::kImpossible;
      if (!name.complaint.empty()) change.note = name.complaint;
      if (renamed && name.complaint.empty()) change.note = kTwoAnimals;
      finish(std::move(change), full);
      continue;
    }
    const bool beside_visit = layer.name == "samples" || layer.name == "measurements";
    if (beside_visit && is_of_visit(column)) {
      compare_of_visit(layer, i, column, full);
      continue;
    }
    if (!(beside_visit && column == "people")) {
      ++edited_results_[layer.name + "." + column];
      continue;
    }
    change.state = ChangeState::kImpossible;
    change.note = "not taken: it belongs to the visit; change visits." + column + " of the visit " +
                  cell_of(full, "visit_uuid") + " instead";
    finish(std::move(change), full);
  }
}

const ReturnedLayer* Comparison::layer_of(const std::string& name) const {
  for (const ReturnedLayer& layer : returned_.layers)
    if (layer.name == name) return &layer;
  return nullptr;
}

void Comparison::know_visits() {
  if (visits_known_) return;
  visits_known_ = true;
  visits_ = rows_by_key(snapshot_, "visits");
  visits_shared_ = rows_by_key(shared_.snapshot(), "visits");
}

std::string Comparison::others_of_visit(const Change& change, std::string& against) const {
  std::size_t samples = 0, measurements = 0;
  for (const char* name : {"samples", "measurements"}) {
    const ReturnedLayer* layer = layer_of(name);
    if (layer == nullptr) continue;
    for (const ReturnedRow& row : layer->rows) {
      const auto visit = row.cells.find("visit_uuid");
      if (visit == row.cells.end() || visit->second != change.visit || row.key == change.key) continue;
      const auto edited = row.results.find(change.column);
      const bool is_sample = layer->name == "samples";
      const std::string& says = edited == row.results.end() ? change.base : edited->second;
      // Measurements that nobody touched go with their sample.
      if (says != change.theirs &&
          (is_sample || change.layer == layer->name || edited != row.results.end())) {
        const auto code = row.cells.find("code");
        against = word_of_layer(layer->name) + " " + (code == row.cells.end() ? row.key : code->second) +
                  " of the same visit says " + said(says);
      }
      ++(is_sample ? samples : measurements);
    }
  }
  std::string words;
  for (const auto& [many, one] : {std::pair{samples, "sample"}, {measurements, "measurement"}})
    if (many > 0)
      words +=
          (words.empty() ? "" : " and ") + std::to_string(many) + " more " + one + (many == 1 ? "" : "s");
  return words;
}

void Comparison::compare_of_visit(const ReturnedLayer& layer, std::size_t i, const std::string& column,
                                  const AnyRow& full) {
  const ReturnedRow& theirs = layer.rows[i];
  know_visits();
  Change change = begin(layer, theirs.key, i, ChangeKind::kCell);
  change.column = column;
  change.theirs = theirs.results.at(column);
  change.visit = cell_of(full, "visit_uuid");
  const AnyRow& ours = visits_.at(change.visit);
  const auto shared = visits_shared_.find(change.visit);
  change.ours = change.base = cell_of(shared == visits_shared_.end() ? ours : shared->second, column);
  if (change.theirs == cell_of(ours, column)) {
    list_.here.push_back(change.id + "/" + column);
    return;
  }
  std::string wrong;
  if (const ReturnedLayer* visits = layer_of("visits")) {
    if (const auto left = visits->left.find(change.visit); left != visits->left.end())
      if (const auto was = left->second.cells.find(column); was != left->second.cells.end())
        change.base = was->second;
    for (const ReturnedRow& visit : visits->rows) {
      const auto there = visit.cells.find(column);
      if (visit.key != change.visit || there == visit.cells.end() || there->second == change.base) continue;
      if (there->second == change.theirs) return;  // said where it belongs already
      wrong = "the visit itself says " + said(there->second) + " in visits." + column + "; make them agree";
    }
  }
  if (const auto visit = theirs.cells.find("visit_uuid");
      visit != theirs.cells.end() && visit->second != change.visit)
    wrong = "its visit was changed too; change visits." + column + " instead";
  AnyRow tried = ours;
  if (wrong.empty()) wrong = set_cell_of(tried, column, change.theirs);
  if (wrong.empty()) wrong = future_complaint(column, change.theirs);
  if (wrong.empty()) wrong = complaint_of(tried);
  std::string against;
  const std::string others = others_of_visit(change, against);
  weigh(change, true, "", change.ours == cell_of(ours, column), "");
  change.note = "it is the visit's" + (others.empty() ? std::string() : ": " + others + " would go with it");
  if (!against.empty()) {
    if (change.state == ChangeState::kTheirs) change.state = ChangeState::kAskFirst;
    change.note = "conflict: " + against + ", and a visit has one " + column + "; " + change.note;
  }
  refuse(change, wrong);
  finish(std::move(change), full);
}

void Comparison::tell_results() {
  std::size_t edits = 0;
  std::string columns;
  for (const auto& [column, many] : edited_results_) {
    edits += many;
    columns += (columns.empty() ? "" : ", ") + column + (many > 1 ? " (" + std::to_string(many) + ")" : "");
  }
  if (edits == 0) return;
  list_.notes.push_back((edits == 1 ? std::string("1 edit in a worked-out column is")
                                    : std::to_string(edits) + " edits in worked-out columns are") +
                        " not taken, for the program works them out anew: " + columns);
}

}  // namespace brookmark::core
