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
  }

  ChangeList compare() {
    if (!same_survey_)
      list_.notes.emplace_back(
          "the file was made from another survey: rows that this one does not have count as added");
    edited_results_ = returned_.edited_results;
    for (const ReturnedLayer& layer : returned_.layers) compare_layer(layer);
    tell_results();
    return std::move(list_);
  }

 private:
  void compare_layer(const ReturnedLayer& layer) {
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
    for (const auto& [key, left] : layer.left)
      if (!seen.contains(key) && ours_.contains(key)) removed(layer, key);
  }

  Change begin(const ReturnedLayer& layer, const std::string& key, std::size_t row, ChangeKind kind) const {
    Change change;
    change.kind = kind;
    change.layer = layer.name;
    change.key = key;
    change.row = row;
    const bool no_key = key.empty() || (kind == ChangeKind::kAdded && layer.rows[row].key_is_made);
    change.id = layer.name + "/" + (no_key ? std::to_string(row + 1) : key);
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

  static bool has_codes(const std::string& layer) {
    return layer == "sites" || layer == "outfalls" || layer == "samples" || layer == "catchments";
  }

  // What it belongs to must be here, or come with it: a complaint, or a reason to ask first.
  std::string owner_complaint(const AnyRow& row, std::string& ask) const {
    for (const auto& [column, layer] :
         {std::pair{"site_uuid", "sites"}, {"visit_uuid", "visits"}, {"sample_uuid", "samples"}}) {
      const std::string owner = cell_of(row, column);
      if (owner.empty()) {
        if (std::holds_alternative<Visit>(row) && std::string_view(layer) == "sites")
          return "it needs the UUID of its site";
        if (std::holds_alternative<Sample>(row) && std::string_view(layer) == "visits")
          return "it needs the UUID of its visit";
        if (std::holds_alternative<Record>(row) && std::string_view(layer) == "samples")
          return "it needs the UUID of its sample";
        if (std::holds_alternative<Measurement>(row) && std::string_view(layer) == "visits")
          return "it needs the UUID of its visit";
        continue;
      }
      const auto has = [&](const auto& keys) {
        const auto found = keys.find(layer);
        return found != keys.end() && found->second.contains(owner);
      };
      if (has(here_)) continue;
      if (!has(perhaps_))
        return "it belongs to a " + word_of_layer(layer) + " that is not in this survey (" + column + " " +
               owner + ")";
      ask = "it belongs to a " + word_of_layer(layer) + " that has to be taken too";
    }
    return {};
  }

  // A code stands once in a layer.
  std::string code_complaint(const std::string& layer, const std::string& key,
                             const std::string& code) const {
    if (!has_codes(layer)) return {};
    const auto found = codes_.find(code);
    if (found == codes_.end() || found->second == key) return {};
    return "conflict: another " + word_of_layer(layer) + " here already has the code \"" + code +
           "\"; give one of the two another code, here or in their file";
  }

  void added(const ReturnedLayer& layer, std::size_t i, std::string ask = {}) {
    const ReturnedRow& theirs = layer.rows[i];
    const MadeRow made = make_row(layer, theirs, returned_, "");
    std::string complaint = made.complaint;
    const std::string code = cell_of(made.row, "code");
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

  void bad_shape(const ReturnedLayer& layer, std::size_t i) {
    Change change = begin(layer, layer.rows[i].key, i, ChangeKind::kPlace);
    change.column = "geom";
    change.state = ChangeState::kImpossible;
    change.note = "its shape cannot be read: " + layer.rows[i].bad_shape;
    finish(std::move(change), ours_.at(layer.rows[i].key));
  }

  void removed(const ReturnedLayer& layer, const std::string& key) {
    Change change = begin(layer, key, 0, ChangeKind::kRemoved);
    change.state = ChangeState::kAskFirst;
    change.code = called(ours_.at(key));
    change.note = "the row is missing in the file; name it to remove it here";
    if (const std::string still = what_belongs_to(snapshot_, layer.name, key, {}); !still.empty())
      change.note += ", after what belongs to it: " + still;
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
    const std::size_t first = list_.changes.size();
    for (const std::string& column : layer.columns) {
      const auto found = theirs.cells.find(column);
      const std::string text = found == theirs.cells.end() ? std::string() : found->second;
      const std::string now = our_cell(layer.name, theirs.key, ours, column);
      std::string base = now;
      if (left != nullptr) {
        const auto was = left->cells.find(column);
        base = was == left->cells.end() ? std::string() : was->second;
      }
      if ((left != nullptr && text == base) || text == now || text == cell_of(full, column)) continue;
      if (left == nullptr && text.empty()) continue;  // they never said
      // A copied row brought these along; its name decided.
      if (left == nullptr && (column == "taxon_key" || column == "name_match")) continue;
      if (column == "note" && is_note_with_old_name(now, text)) continue;
      Change change = begin(layer, theirs.key, i, ChangeKind::kCell);
      change.column = column;
      change.base = base;
      change.theirs = text;
      change.ours = now;
      change.state = now == base ? ChangeState::kTheirs : ChangeState::kConflict;
      if (left == nullptr) {
        change.base.clear();
        change.state = ChangeState::kAskFirst;
        change.note = "the row is here already, and it is not known what stood in it when it was taken";
      }
      if (cell_of(full, column) != cell_of(ours, column) || now != cell_of(ours, column)) {
        change.state = ChangeState::kAskFirst;
        change.note = "what stands here was not told to them; taking theirs replaces it";
      }
      AnyRow tried = full;
      const bool renamed = column == "taxon_key" && rename_first(tried, theirs);
      NameTaken name = take_cell(tried, column, text, returned_);
      if (renamed && name.words.empty() && name.complaint.empty()) continue;  // the new name says so already
      if (renamed && name.complaint.empty()) name.complaint = kTwoAnimals;
      if (!name.words.empty()) change.note += (change.note.empty() ? "" : "; ") + name.words;
      std::string wrong = name.complaint;
      if (wrong.empty() && column == "code") wrong = code_complaint(layer.name, theirs.key, text);
      std::string ask;
      if (wrong.empty() && column.ends_with("_uuid")) wrong = owner_complaint(tried, ask);
      if (wrong.empty() && !ask.empty()) {
        change.state = ChangeState::kAskFirst;
        change.note = ask;
      }
      if (!wrong.empty()) {
        change.state = ChangeState::kImpossible;
        change.note = wrong;
      } else if (column == "code") {
        codes_.emplace(text, theirs.key);
      }
      finish(std::move(change), full);
    }
    check_together(first, full);
    compare_results(layer, i, full);
    if (layer.has_shapes) compare_place(layer, i, left, full, ours);
  }

  // What they wrote, with the name that stood before kept behind it.
  static bool is_note_with_old_name(const std::string& ours, const std::string& theirs) {
    return ours.starts_with(theirs) && ours.substr(theirs.size()).starts_with("; was noted as ");
  }

  static constexpr const char* kTwoAnimals =
      "it says another animal than verbatim_name, which was changed too; make them agree";

  // Where the name as written was changed too, that comes first. True where it was.
  bool rename_first(AnyRow& row, const ReturnedRow& theirs) const {
    const auto* record = std::get_if<Record>(&row);
    const auto name = theirs.cells.find("verbatim_name");
    if (record == nullptr || name == theirs.cells.end() || name->second == record->verbatim_name)
      return false;
    return take_cell(row, "verbatim_name", name->second, returned_).complaint.empty();
  }

  // Edited cells of columns that are worked out: the name of a taxon can be taken, what a visit says stands elsewhere, and
  // results are only counted.
  void compare_results(const ReturnedLayer& layer, std::size_t i, const AnyRow& full) {
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
      const bool of_visit =
          (layer.name == "samples" || layer.name == "measurements") &&
          (column == "date" || column == "local_time" || column == "local_offset_min" || column == "people");
      if (!of_visit) {
        ++edited_results_[layer.name + "." + column];
        continue;
      }
      change.state = ChangeState::kImpossible;
      change.note = "not taken: it belongs to the visit; change visits." + column + " of the visit " +
                    cell_of(full, "visit_uuid") + " instead";
      finish(std::move(change), full);
    }
  }

  void tell_results() {
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

  // Cells that are right only together (count_min and count_max) stay; those that the row cannot hold are told.
  void check_together(std::size_t first, const AnyRow& full) {
    const auto rest = [&] {
      AnyRow row = full;
      for (std::size_t i = first; i < list_.changes.size(); ++i)
        if (list_.changes[i].state != ChangeState::kImpossible)
          static_cast<void>(take_cell(row, list_.changes[i].column, list_.changes[i].theirs, returned_));
      return complaint_of(row);
    };
    if (rest().empty()) return;
    const auto refuse = [&](Change& change, const std::string& wrong) {
      change.state = ChangeState::kImpossible;
      change.note = wrong;
    };
    for (std::size_t i = first; i < list_.changes.size(); ++i) {
      AnyRow row = full;
      static_cast<void>(take_cell(row, list_.changes[i].column, list_.changes[i].theirs, returned_));
      if (const std::string wrong = complaint_of(row); !wrong.empty()) refuse(list_.changes[i], wrong);
    }
    if (const std::string wrong = rest(); !wrong.empty())
      for (std::size_t i = first; i < list_.changes.size(); ++i) refuse(list_.changes[i], wrong);
  }

  void compare_place(const ReturnedLayer& layer, std::size_t i, const ReturnedRow* left, const AnyRow& full,
                     const AnyRow& ours) {
    const ReturnedRow& theirs = layer.rows[i];
    if (!theirs.bad_shape.empty()) return;  // told already
    const Shape our = our_shape(layer.name, theirs.key, ours);
    const std::string now = place_text_(our);
    const std::string base = left == nullptr ? now : left->place;
    if ((left != nullptr && theirs.place == base) || theirs.place == now ||
        theirs.place == place_text_(shape_of(full)))
      return;
    Change change = begin(layer, theirs.key, i, ChangeKind::kPlace);
    change.column = "geom";
    change.base = base;
    change.theirs = theirs.place;
    change.ours = now;
    change.state = now == base ? ChangeState::kTheirs : ChangeState::kConflict;
    if (left == nullptr) {
      change.base.clear();
      change.state = ChangeState::kAskFirst;
      change.note = "the row is here already, and it is not known where it lay when it was taken";
    }
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
  // Per layer: rows that are here or come with "all", and those that come only by name. And codes with the row that has each.
  std::map<std::string, std::set<std::string>, std::less<>> here_, perhaps_;
  std::map<std::string, std::size_t> edited_results_;
  std::map<std::string, std::string> codes_;  // of the layer at hand
  std::map<std::string, AnyRow, std::less<>> ours_, ours_shared_;
  ChangeList list_;
};

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

}  // namespace brookmark::core
