#include "core/intake/changes.hpp"

#include <algorithm>
#include <set>

#include "core/base/error.hpp"
#include "core/intake/changes_internal.hpp"
#include "core/intake/row_cells.hpp"

namespace brookmark::core {

namespace {

class Comparison {
 public:
  Comparison(const Snapshot& snapshot, const SharedSurvey& shared, const ReturnedFile& returned,
             const std::function<std::string(const Shape&)>& place_text)
      : snapshot_(snapshot),
        shared_(shared),
        returned_(returned),
        place_text_(place_text),
        same_survey_(returned.survey_key == snapshot.survey.key) {
    for (std::size_t i = 0; i < shared.snapshot().sites.size(); ++i)
      places_.emplace(shared.snapshot().sites.key[i], &shared.places()[i]);
    for (const Taxon& taxon : returned.taxa) taxa_.insert(taxon.key);
    for (std::size_t i = 0; i < snapshot.taxa.size(); ++i) taxa_.emplace(snapshot.taxa.key[i]);
  }

  ChangeList compare() {
    if (!same_survey_)
      list_.notes.emplace_back(
          "the file was made from another survey: rows that this one does not have count as added");
    for (const ReturnedLayer& layer : returned_.layers) compare_layer(layer);
    return std::move(list_);
  }

 private:
  void compare_layer(const ReturnedLayer& layer) {
    if (!new_row(layer.name)) return;
    const bool some_left = !layer.left.empty();
    const bool no_key = !layer.has_key_column || std::all_of(layer.rows.begin(), layer.rows.end(),
                                                             [](const auto& r) { return r.key.empty(); });
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
      if (!is_ours && (left == layer.left.end() || !same_survey_))
        added(layer, i);
      else if (!is_ours)
        add_row(layer, i, ChangeState::kAskFirst, "this row was removed here after the file was made");
      else
        compare_row(layer, i, left == layer.left.end() ? nullptr : &left->second);
    }
    for (const auto& [key, left] : layer.left)
      if (!seen.contains(key) && ours_.contains(key)) removed(layer, key);
  }

  Change begin(const ReturnedLayer& layer, const std::string& key, std::size_t row, ChangeKind kind) const {
    Change change;
    change.kind = kind;
    change.layer = layer.name;
    change.key = key;
    change.row = row;
    change.id = layer.name + "/" + (key.empty() ? std::to_string(row + 1) : key);
    return change;
  }

  static std::string words_of(const ReturnedRow& row) {
    std::string words;
    for (const auto& [column, text] : row.cells)
      if (!text.empty()) words += (words.empty() ? "" : ", ") + column + " " + text;
    return words;
  }

  void add_row(const ReturnedLayer& layer, std::size_t i, ChangeState state, std::string note) {
    Change change = begin(layer, layer.rows[i].key, i, ChangeKind::kAdded);
    change.state = state;
    change.theirs = words_of(layer.rows[i]);
    change.note = std::move(note);
    for (const char* name : {"code", "name", "verbatim_name"})
      if (const auto cell = layer.rows[i].cells.find(name);
          cell != layer.rows[i].cells.end() && change.code.empty())
        change.code = cell->second;
    list_.changes.push_back(std::move(change));
  }

  void added(const ReturnedLayer& layer, std::size_t i) {
    const ReturnedRow& theirs = layer.rows[i];
    AnyRow row = *new_row(layer.name);
    std::string complaint;
    for (const auto& [column, text] : theirs.cells) {
      if (text.empty()) continue;  // stays as a new row has it
      if (const std::string wrong = set_cell_of(row, column, text); !wrong.empty())
        complaint = column + ": " + wrong;
    }
    if (complaint.empty() && layer.has_shapes) complaint = set_shape_of(row, theirs, returned_.crs, "");
    const auto cell = [&](const char* column) { return cell_of(row, column); };
    if (complaint.empty() &&
        (layer.name == "sites" || layer.name == "outfalls" || layer.name == "samples" ||
         layer.name == "catchments") &&
        cell("code").empty())
      complaint = "it needs a code";
    if (complaint.empty() && layer.name == "records" && !taxa_.contains(cell("taxon_key")))
      complaint =
          "it points to no taxon; bring new animals in with an import of records, which matches their names";
    add_row(layer, i, complaint.empty() ? ChangeState::kTheirs : ChangeState::kImpossible, complaint);
  }

  void removed(const ReturnedLayer& layer, const std::string& key) {
    Change change = begin(layer, key, 0, ChangeKind::kRemoved);
    change.state = ChangeState::kAskFirst;
    change.code = called(ours_.at(key));
    change.note =
        "the row is missing in the file; name it to remove it here (what belongs to it has to go first)";
    list_.changes.push_back(std::move(change));
  }

  // Ours as the file would say it: a blurred site has its cell's place and uncertainty.
  std::string our_cell(const std::string& layer, const std::string& key, const AnyRow& row,
                       const std::string& column) const {
    if (layer == "sites" && column == "accuracy_m")
      if (const auto place = places_.find(key); place != places_.end()) {
        Site told;
        told.accuracy_m = place->second->uncertainty_m;
        return get_cell(told, column);
      }
    return cell_of(row, column);
  }
  Shape our_shape(const std::string& layer, const std::string& key, const AnyRow& row) const {
    if (layer == "sites")
      if (const auto place = places_.find(key); place != places_.end())
        return is_placed(place->second->position) ? Shape(place->second->position) : Shape();
    return shape_of(row);
  }

  void compare_row(const ReturnedLayer& layer, std::size_t i, const ReturnedRow* left) {
    const ReturnedRow& theirs = layer.rows[i];
    const AnyRow& full = ours_.at(theirs.key);
    const auto shown = ours_shared_.find(theirs.key);
    // Not shared any more: what we have stands for itself.
    const AnyRow& ours = shown == ours_shared_.end() ? full : shown->second;
    for (const std::string& column : layer.columns) {
      const auto found = theirs.cells.find(column);
      const std::string text = found == theirs.cells.end() ? std::string() : found->second;
      const std::string now = our_cell(layer.name, theirs.key, ours, column);
      std::string base = now;
      if (left != nullptr) {
        const auto was = left->cells.find(column);
        base = was == left->cells.end() ? std::string() : was->second;
      }
      if (text == base || text == now) continue;
      Change change = begin(layer, theirs.key, i, ChangeKind::kCell);
      change.column = column;
      change.base = base;
      change.theirs = text;
      change.ours = now;
      change.state = now == base ? ChangeState::kTheirs : ChangeState::kConflict;
      if (cell_of(full, column) != cell_of(ours, column) || now != cell_of(ours, column)) {
        change.state = ChangeState::kAskFirst;
        change.note = "what stands here was not told to them; taking theirs replaces it";
      }
      AnyRow tried = full;
      if (const std::string wrong = set_cell_of(tried, column, text); !wrong.empty()) {
        change.state = ChangeState::kImpossible;
        change.note = wrong;
      }
      finish(std::move(change), full);
    }
    if (layer.has_shapes) compare_place(layer, i, left, full, ours);
  }

  void compare_place(const ReturnedLayer& layer, std::size_t i, const ReturnedRow* left, const AnyRow& full,
                     const AnyRow& ours) {
    const ReturnedRow& theirs = layer.rows[i];
    const Shape our = our_shape(layer.name, theirs.key, ours);
    const std::string now = place_text_(our);
    const std::string base = left == nullptr ? now : left->place;
    if (theirs.place == base || theirs.place == now) return;
    Change change = begin(layer, theirs.key, i, ChangeKind::kPlace);
    change.column = "geom";
    change.base = base;
    change.theirs = theirs.place;
    change.ours = now;
    change.state = now == base ? ChangeState::kTheirs : ChangeState::kConflict;
    if (place_text_(shape_of(full)) != now) {
      change.state = ChangeState::kAskFirst;
      change.note = "the file did not tell the true place; taking theirs replaces it";
    }
    AnyRow tried = full;
    if (const std::string wrong = set_shape_of(tried, theirs, returned_.crs, ""); !wrong.empty()) {
      change.state = ChangeState::kImpossible;
      change.note = wrong;
    }
    finish(std::move(change), full);
  }

  void finish(Change change, const AnyRow& full) {
    change.id += "/" + change.column;
    change.code = called(full);
    list_.changes.push_back(std::move(change));
  }

  const Snapshot& snapshot_;
  const SharedSurvey& shared_;
  const ReturnedFile& returned_;
  const std::function<std::string(const Shape&)>& place_text_;
  bool same_survey_;
  std::map<std::string, const SharedPlace*, std::less<>> places_;
  std::set<std::string, std::less<>> taxa_;
  std::map<std::string, AnyRow, std::less<>> ours_, ours_shared_;
  ChangeList list_;
};

// "sites" fits "sites/1/name", and so does "sites/1"; "sit" does not.
bool fits(const std::string& word, const std::string& id) {
  return id.starts_with(word) && (id.size() == word.size() || id[word.size()] == '/');
}

std::set<std::size_t> chosen(const ChangeList& list, const std::vector<std::string>& words) {
  std::set<std::size_t> taken;
  for (const std::string& word : words) {
    bool fitted = word == "all";
    for (std::size_t i = 0; i < list.changes.size(); ++i) {
      const Change& change = list.changes[i];
      if (word == "all") {
        if (change.state == ChangeState::kTheirs) taken.insert(i);
        continue;
      }
      if (!fits(word, change.id)) continue;
      fitted = true;
      if (change.state != ChangeState::kImpossible)
        taken.insert(i);
      else if (change.id == word)
        throw Error(ErrorCode::kBadUse, "\"" + word + "\" cannot be taken: " + change.note);
    }
    if (!fitted) throw Error(ErrorCode::kBadUse, "there is no change \"" + word + "\" to accept");
  }
  return taken;
}

}  // namespace

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
                            const std::function<std::string(const Shape&)>& place_text) {
  return Comparison(snapshot, shared, returned, place_text).compare();
}

EditBatch accept_changes(const ChangeList& list, const std::vector<std::string>& words,
                         const Snapshot& snapshot, const ReturnedFile& returned, const KeySource& new_key) {
  const std::set<std::size_t> taken = chosen(list, words);
  EditBatch batch;
  batch.kind = "take changes";
  batch.summary =
      std::to_string(taken.size()) + (taken.size() == 1 ? " change" : " changes") + " from " + returned.name;
  const std::string note = "as set in a GeoPackage of " + returned.exported_utc + " that came back";
  std::set<std::string> known_taxa;
  for (std::size_t i = 0; i < snapshot.taxa.size(); ++i) known_taxa.emplace(snapshot.taxa.key[i]);
  std::vector<Edit> additions, removals;
  // Whoever is belonged to stands before what belongs to it.
  for (const char* layer_name : {"waters", "sites", "visits", "samples", "records", "measurements",
                                 "outfalls", "reaches", "catchments"}) {
    const auto layer = std::find_if(returned.layers.begin(), returned.layers.end(),
                                    [&](const ReturnedLayer& l) { return l.name == layer_name; });
    if (layer == returned.layers.end()) continue;
    const auto ours = rows_by_key(snapshot, layer_name);
    std::map<std::string, AnyRow> replaced;
    for (const std::size_t number : taken) {
      const Change& change = list.changes[number];
      if (change.layer != layer_name) continue;
      if (change.kind == ChangeKind::kRemoved) {
        removals.emplace_back(Remove{*table_of(change.layer), change.key});
        continue;
      }
      const ReturnedRow& theirs = layer->rows[change.row];
      if (change.kind == ChangeKind::kAdded) {
        AnyRow row = *new_row(layer_name);
        if (layer->has_shapes) static_cast<void>(set_shape_of(row, theirs, returned.crs, note));
        // A row that left keeps the raw position that it left with, and be it none; a new one has that of the file.
        const bool own_raw = layer->left.contains(theirs.key) ||
                             (theirs.cells.contains("raw_x") && !theirs.cells.at("raw_x").empty());
        for (const auto& [column, text] : theirs.cells) {
          const bool of_raw = column.starts_with("raw_") || column == "position_note";
          if (of_raw ? own_raw : !text.empty()) static_cast<void>(set_cell_of(row, column, text));
        }
        set_key_of(row, theirs.key.empty() ? new_key() : theirs.key);
        additions.push_back(edit_to_add(row));
        continue;
      }
      AnyRow& row = replaced.try_emplace(change.key, ours.at(change.key)).first->second;
      if (change.kind == ChangeKind::kPlace) static_cast<void>(set_shape_of(row, theirs, returned.crs, note));
    }
    // Cells after places: an accuracy given with the new place stays.
    for (const std::size_t number : taken) {
      const Change& change = list.changes[number];
      if (change.layer == layer_name && change.kind == ChangeKind::kCell)
        static_cast<void>(set_cell_of(replaced.at(change.key), change.column, change.theirs));
    }
    for (auto& [key, row] : replaced) additions.push_back(edit_to_replace(row));
  }
  const bool with_records = std::any_of(taken.begin(), taken.end(), [&](std::size_t number) {
    return list.changes[number].layer == "records" && list.changes[number].kind != ChangeKind::kRemoved;
  });
  if (with_records)
    for (const Taxon& taxon : returned.taxa)
      if (!known_taxa.contains(taxon.key)) batch.edits.emplace_back(AddTaxon{taxon});
  for (Edit& edit : additions) batch.edits.push_back(std::move(edit));
  std::reverse(removals.begin(), removals.end());  // what belongs to a row goes before it
  for (Edit& edit : removals) batch.edits.push_back(std::move(edit));
  return batch;
}

}  // namespace brookmark::core
