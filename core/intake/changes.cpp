#include "core/intake/changes.hpp"

#include <algorithm>
#include <set>

#include "core/base/error.hpp"
#include "core/intake/changes_comparison_internal.hpp"
#include "core/intake/row_cells.hpp"

namespace brookmark::core {

Comparison::Comparison(const Snapshot& snapshot, const SharedSurvey& shared, const ReturnedFile& returned,
                       const std::function<std::string(const Shape&)>& place_text, Date latest_day)
    : snapshot_(snapshot),
      shared_(shared),
      returned_(returned),
      place_text_(place_text),
      latest_day_(latest_day),
      same_survey_(returned.survey_key == snapshot.survey.key) {
  for (std::size_t i = 0; i < shared.snapshot().sites.size(); ++i)
    places_.emplace(shared.snapshot().sites.key[i], &shared.places()[i]);
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i)
    site_codes_.emplace(snapshot.sites.key[i], snapshot.sites.code[i]);
  for (const ReturnedLayer& layer : returned.layers)
    if (layer.name == "sites")
      for (const ReturnedRow& row : layer.rows)
        if (const auto code = row.cells.find("code"); code != row.cells.end())
          site_codes_.emplace(row.key, code->second);
}

ChangeList Comparison::compare() {
  if (!same_survey_)
    list_.notes.emplace_back(
        "the file was made from another survey: rows that this one does not have count as added");
  edited_results_ = returned_.edited_results;
  for (const ReturnedLayer& layer : returned_.layers) compare_layer(layer);
  tell_results();
  return std::move(list_);
}

void Comparison::compare_layer(const ReturnedLayer& layer) {
  if (!new_row(layer.name)) return;
  const bool some_left = !layer.left.empty();
  const bool no_key =
      !layer.has_key_column || std::all_of(layer.rows.begin(), layer.rows.end(),
                                           [](const auto& r) { return r.key.empty() || r.key_is_made; });
  if (some_left && no_key && !layer.rows.empty())
    throw Error(ErrorCode::kBadInput,
                "the layer " + layer.name +
                    " has lost its UUIDs (column uuid), by which a row is known again: somebody saved it "
                    "without them. Ask "
                    "for the file as it was edited, or bring new rows in with an import of " +
                    layer.name,
                returned_.name);
  ours_ = rows_by_key(snapshot_, layer.name);
  ours_shared_ = rows_by_key(shared_.snapshot(), layer.name);
  codes_.clear();
  for (const auto& [key, row] : ours_) {
    here_[layer.name].insert(key);
    if (has_codes(layer.name)) codes_.emplace(cell_of(row, "code"), key);
  }
  std::set<std::string> seen;
  for (std::size_t i = 0; i < layer.rows.size(); ++i) {
    const ReturnedRow& theirs = layer.rows[i];
    if (!theirs.key.empty() && !seen.insert(theirs.key).second) {
      add_row(layer, i, ChangeState::kImpossible,
              "a row with this UUID stands in the file already; a copied row needs an empty uuid");
      continue;
    }
    const auto left = layer.left.find(theirs.key);
    const bool is_ours = ours_.contains(theirs.key);
    if (is_ours && !theirs.bad_shape.empty()) bad_shape(layer, i);
    if (!is_ours && (left == layer.left.end() || !same_survey_))
      added(layer, i);
    else if (!is_ours)
      added(layer, i, "this row was removed here after the file was made");
    else
      compare_row(layer, i, left == layer.left.end() ? nullptr : &left->second);
  }
  for (const auto& [key, left] : layer.left) {
    if (seen.contains(key)) continue;
    if (ours_.contains(key))
      removed(layer, key);
    else
      list_.here.push_back(begin(layer, key, 0, ChangeKind::kRemoved).id);
  }
}

Change Comparison::begin(const ReturnedLayer& layer, const std::string& key, std::size_t row,
                         ChangeKind kind) const {
  Change change;
  change.kind = kind;
  change.layer = layer.name;
  change.key = key;
  change.row = row;
  const bool no_key = key.empty() || (kind == ChangeKind::kAdded && layer.rows[row].key_is_made);
  change.id = layer.name + "/" + (no_key ? std::to_string(row + 1) : key);
  return change;
}

std::string Comparison::words_of(const ReturnedRow& row) {
  std::string words;
  for (const auto& [column, text] : row.cells)
    if (!text.empty()) words += (words.empty() ? "" : ", ") + column + " " + text;
  return words;
}

void Comparison::add_row(const ReturnedLayer& layer, std::size_t i, ChangeState state, std::string note) {
  Change change = begin(layer, layer.rows[i].key, i, ChangeKind::kAdded);
  change.state = state;
  change.theirs = words_of(layer.rows[i]);
  change.note = std::move(note);
  const auto cell_of = [&](const char* name) {
    const auto cell = layer.rows[i].cells.find(name);
    return cell == layer.rows[i].cells.end() ? std::string() : cell->second;
  };
  for (const char* name : {"code", "name", "verbatim_name"})
    if (change.code.empty()) change.code = cell_of(name);
  if (layer.name == "visits") change.code = visit_words(cell_of("site_uuid"), cell_of("date"));
  list_.changes.push_back(std::move(change));
}

void Comparison::added(const ReturnedLayer& layer, std::size_t i, std::string ask) {
  const ReturnedRow& theirs = layer.rows[i];
  const MadeRow made = make_row(layer, theirs, returned_, "");
  std::string complaint = made.complaint;
  const std::string code = cell_of(made.row, "code");
  for (const char* column : {"date", "since"})
    if (complaint.empty()) complaint = future_complaint(column, cell_of(made.row, column));
  if (complaint.empty()) complaint = code_complaint(layer.name, theirs.key, code);
  if (complaint.empty()) complaint = owner_complaint(made.row, ask);
  if (!complaint.empty()) {
    add_row(layer, i, ChangeState::kImpossible, complaint);
    return;
  }
  codes_.emplace(code, theirs.key);
  (ask.empty() ? here_ : perhaps_)[layer.name].insert(theirs.key);
  add_row(layer, i, ask.empty() ? ChangeState::kTheirs : ChangeState::kAskFirst,
          ask.empty() || made.words.empty() ? ask + made.words : ask + "; " + made.words);
}

void Comparison::bad_shape(const ReturnedLayer& layer, std::size_t i) {
  Change change = begin(layer, layer.rows[i].key, i, ChangeKind::kPlace);
  change.column = "geom";
  change.state = ChangeState::kImpossible;
  change.note = "its shape cannot be read: " + layer.rows[i].bad_shape;
  finish(std::move(change), ours_.at(layer.rows[i].key));
}

void Comparison::removed(const ReturnedLayer& layer, const std::string& key) {
  Change change = begin(layer, key, 0, ChangeKind::kRemoved);
  change.state = ChangeState::kAskFirst;
  change.code = called_here(ours_.at(key));
  change.note = "the row is missing in the file; name it to remove it here";
  if (const std::string still = what_belongs_to(snapshot_, layer.name, key, {}); !still.empty())
    change.note += ", after what belongs to it: " + still;
  list_.changes.push_back(std::move(change));
}

void Comparison::finish(Change change, const AnyRow& full) {
  change.id += "/" + change.column;
  change.code = called_here(full);
  list_.changes.push_back(std::move(change));
}

std::string Comparison::called_here(const AnyRow& row) const {
  if (const auto* visit = std::get_if<Visit>(&row))
    return visit_words(visit->site_key, format_date(visit->start.date));
  return called(row);
}

std::string Comparison::visit_words(const std::string& site_key, const std::string& date) const {
  if (const auto site = site_codes_.find(site_key); site != site_codes_.end())
    return date.empty() ? site->second : site->second + " " + date;
  return date;
}

std::string Comparison::future_complaint(const std::string& column, const std::string& text) const {
  if (column != "date" && column != "since") return {};
  const auto day = parse_date(text);
  if (!day || *day <= latest_day_) return {};
  std::string sentence = future_sentence(*day, latest_day_);
  sentence.pop_back();  // notes have no full stop
  return sentence;
}

void Comparison::weigh(Change& change, bool left_known, const char* not_left, bool was_told,
                       const char* not_told) {
  change.state = change.ours == change.base ? ChangeState::kTheirs : ChangeState::kConflict;
  const auto ask = [&](const char* why) {
    change.state = ChangeState::kAskFirst;
    change.note = why;
  };
  if (!left_known) {
    change.base.clear();
    ask(not_left);
  }
  if (!was_told) ask(not_told);
}

void Comparison::refuse(Change& change, const std::string& wrong) {
  if (wrong.empty()) return;
  change.state = ChangeState::kImpossible;
  change.note = wrong;
}

const char* change_kind_name(ChangeKind kind) {
  constexpr const char* kNames[] = {"cell", "place", "row added", "row removed"};
  return kNames[static_cast<std::size_t>(kind)];
}

const char* change_state_name(ChangeState state) {
  constexpr const char* kNames[] = {"theirs", "both", "ask", "impossible"};
  return kNames[static_cast<std::size_t>(state)];
}

ChangeList compare_returned(const Snapshot& snapshot, const SharedSurvey& shared,
                            const ReturnedFile& returned,
                            const std::function<std::string(const Shape&)>& place_text, Date latest_day) {
  return Comparison(snapshot, shared, returned, place_text, latest_day).compare();
}

}  // namespace brookmark::core
