// One row: its cells and its place, with what left and with what is here.
#include <algorithm>

#include "core/base/text.hpp"
#include "core/intake/changes_comparison_internal.hpp"
#include "core/intake/row_cells.hpp"

namespace brookmark::core {

std::string Comparison::our_cell(const std::string& layer, const std::string& key, const AnyRow& row,
                                 const std::string& column) const {
  if (layer == "sites" && column == "accuracy_m")
    if (const auto place = places_.find(key); place != places_.end()) {
      Site told;
      told.accuracy_m = place->second->uncertainty_m;
      return get_cell(told, column);
    }
  return cell_of(row, column);
}

Shape Comparison::our_shape(const std::string& layer, const std::string& key, const AnyRow& row) const {
  if (layer == "sites")
    if (const auto place = places_.find(key); place != places_.end())
      return is_placed(place->second->position) ? Shape(place->second->position) : Shape();
  return shape_of(row);
}

void Comparison::compare_row(const ReturnedLayer& layer, std::size_t i, const ReturnedRow* left) {
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
    if (left != nullptr && text == base) continue;
    if (text == now || text == cell_of(full, column)) {
      if (left != nullptr)
        list_.here.push_back(begin(layer, theirs.key, i, ChangeKind::kCell).id + "/" + column);
      continue;
    }
    if (left == nullptr && text.empty()) continue;  // they never said
    // A copied row brought these along; its name decided.
    if (left == nullptr && (column == "taxon_key" || column == "name_match")) continue;
    const std::string kept = writing_complaint(layer.name, column);
    if (left == nullptr && !kept.empty()) continue;
    if (column == "note" && is_note_with_old_writing(now, text)) continue;
    Change change = begin(layer, theirs.key, i, ChangeKind::kCell);
    change.column = column;
    change.base = base;
    change.theirs = text;
    change.ours = now;
    weigh(change, left != nullptr,
          "the row is here already, and it is not known what stood in it when it was taken",
          cell_of(full, column) == cell_of(ours, column) && now == cell_of(ours, column),
          "what stands here was not told to them; taking theirs replaces it");
    AnyRow tried = full;
    const bool renamed = column == "taxon_key" && rename_first(tried, theirs);
    NameTaken name = take_cell(tried, column, text, returned_);
    if (renamed && name.words.empty() && name.complaint.empty()) continue;  // the new name says so already
    if (renamed && name.complaint.empty()) name.complaint = kTwoAnimals;
    if (!name.words.empty()) change.note += (change.note.empty() ? "" : "; ") + name.words;
    std::string wrong = kept.empty() ? name.complaint : kept;
    if (wrong.empty()) wrong = future_complaint(column, text);
    if (wrong.empty() && column == "code") wrong = code_complaint(layer.name, theirs.key, text);
    std::string ask;
    if (wrong.empty() && column.ends_with("_uuid")) wrong = owner_complaint(tried, ask);
    if (wrong.empty() && !ask.empty()) {
      change.state = ChangeState::kAskFirst;
      change.note = ask;
    }
    refuse(change, wrong);
    if (wrong.empty() && column == "code") codes_.emplace(text, theirs.key);
    finish(std::move(change), full);
  }
  check_together(first, full);
  tell_writing(first, full);
  compare_results(layer, i, full);
  if (layer.has_shapes) compare_place(layer, i, left, full, ours);
}

bool Comparison::is_note_with_old_writing(const std::string& ours, const std::string& theirs) {
  if (!ours.starts_with(theirs)) return false;
  std::string_view more = std::string_view(ours).substr(theirs.size());
  if (!theirs.empty()) {
    if (!more.starts_with("; ")) return false;
    more.remove_prefix(2);
  }
  return more.starts_with("was noted as ") || more.starts_with("written as \"");
}

bool Comparison::rename_first(AnyRow& row, const ReturnedRow& theirs) const {
  const auto* record = std::get_if<Record>(&row);
  const auto name = theirs.cells.find("verbatim_name");
  if (record == nullptr || name == theirs.cells.end() || name->second == record->verbatim_name) return false;
  return take_cell(row, "verbatim_name", name->second, returned_).complaint.empty();
}

void Comparison::compare_place(const ReturnedLayer& layer, std::size_t i, const ReturnedRow* left,
                               const AnyRow& full, const AnyRow& ours) {
  const ReturnedRow& theirs = layer.rows[i];
  if (!theirs.bad_shape.empty()) return;  // told already
  const Shape our = our_shape(layer.name, theirs.key, ours);
  const std::string now = place_text_(our);
  const std::string base = left == nullptr ? now : left->place;
  if (left != nullptr && theirs.place == base) return;
  if (theirs.place == now || theirs.place == place_text_(shape_of(full))) {
    if (left != nullptr) list_.here.push_back(begin(layer, theirs.key, i, ChangeKind::kPlace).id + "/geom");
    return;
  }
  Change change = begin(layer, theirs.key, i, ChangeKind::kPlace);
  change.column = "geom";
  change.base = base;
  change.theirs = theirs.place;
  change.ours = now;
  weigh(
      change, left != nullptr, "the row is here already, and it is not known where it lay when it was taken",
      place_text_(shape_of(full)) == now, "the file did not tell the true place; taking theirs replaces it");
  AnyRow tried = full;
  if (std::holds_alternative<std::monostate>(theirs.shape)) {
    if (change.state == ChangeState::kTheirs) change.state = ChangeState::kAskFirst;
    append_note(change.note, "the place is missing in the file; name it to remove it here");
  }
  refuse(change, set_shape_of(tried, theirs, returned_.crs, ""));
  finish(std::move(change), full);
}

}  // namespace brookmark::core
