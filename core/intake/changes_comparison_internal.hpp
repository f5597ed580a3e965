// Why: a file that came back is compared layer by layer, and row by row with what left and with what is here. What all of
// that must know stands in one place. Private to core/intake.
// Use: return Comparison(snapshot, shared, returned, place_text).compare();
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>

#include "core/intake/changes_internal.hpp"

namespace brookmark::core {

class Comparison {
 public:
  Comparison(const Snapshot& snapshot, const SharedSurvey& shared, const ReturnedFile& returned,
             const std::function<std::string(const Shape&)>& place_text, Date latest_day);
  ChangeList compare();

 private:
  void compare_layer(const ReturnedLayer& layer);
  Change begin(const ReturnedLayer& layer, const std::string& key, std::size_t row, ChangeKind kind) const;
  static std::string words_of(const ReturnedRow& row);
  void add_row(const ReturnedLayer& layer, std::size_t i, ChangeState state, std::string note);
  static bool has_codes(const std::string& layer);
  // What it belongs to must be here, or come with it: a complaint, or a reason to ask first.
  std::string owner_complaint(const AnyRow& row, std::string& ask) const;
  // A code stands once in a layer.
  std::string code_complaint(const std::string& layer, const std::string& key, const std::string& code) const;
  void added(const ReturnedLayer& layer, std::size_t i, std::string ask = {});
  void bad_shape(const ReturnedLayer& layer, std::size_t i);
  void removed(const ReturnedLayer& layer, const std::string& key);
  // Ours as the file would say it: a blurred site has its cell's place and uncertainty.
  std::string our_cell(const std::string& layer, const std::string& key, const AnyRow& row,
                       const std::string& column) const;
  Shape our_shape(const std::string& layer, const std::string& key, const AnyRow& row) const;
  void compare_row(const ReturnedLayer& layer, std::size_t i, const ReturnedRow* left);
  // What they wrote, with the name or number that stood before kept behind it.
  static bool is_note_with_old_writing(const std::string& ours, const std::string& theirs);
  // Where the name as written was changed too, that comes first. True where it was.
  bool rename_first(AnyRow& row, const ReturnedRow& theirs) const;
  // Edited cells of columns that are worked out: the name of a taxon can be taken, a day or a time is the visit's, and results
  // are only counted.
  void compare_results(const ReturnedLayer& layer, std::size_t i, const AnyRow& full);
  // A day or a time that was typed beside a sample or a measurement is the visit's, and is taken there.
  void compare_of_visit(const ReturnedLayer& layer, std::size_t i, const std::string& column,
                        const AnyRow& full);
  // What others of the visit say of it: words against taking it unasked, or what would go with it.
  std::string others_of_visit(const Change& change, std::string& against) const;
  const ReturnedLayer* layer_of(const std::string& name) const;
  void know_visits();
  void tell_results();
  // The row with all changes from this one on that can be taken.
  AnyRow with_changes(std::size_t first, const AnyRow& full) const;
  // Cells that are right only together (count_min and count_max) stay; those that the row cannot hold are told, and with
  // them those that say nothing without them.
  void check_together(std::size_t first, const AnyRow& full);
  void keep_tied(std::size_t first);
  // What is written beside a number follows it: told with the number, and not a second time.
  void tell_writing(std::size_t first, const AnyRow& full);
  void compare_place(const ReturnedLayer& layer, std::size_t i, const ReturnedRow* left, const AnyRow& full,
                     const AnyRow& ours);
  void finish(Change change, const AnyRow& full);
  // What base, theirs and ours make of it. Not known how it left, or not told to them: it is asked first, for the reason given.
  static void weigh(Change& change, bool left_known, const char* not_left, bool was_told,
                    const char* not_told);
  static void refuse(Change& change, const std::string& wrong);  // nothing wrong: nothing refused
  // How a person calls the row; of a visit its site and day.
  std::string called_here(const AnyRow& row) const;
  std::string visit_words(const std::string& site_key, const std::string& date) const;
  // Of a day in the future; as every other way in has it.
  std::string future_complaint(const std::string& column, const std::string& text) const;

  static constexpr const char* kTwoAnimals =
      "it says another animal than verbatim_name, which was changed too; make them agree";
  const Snapshot& snapshot_;
  const SharedSurvey& shared_;
  const ReturnedFile& returned_;
  const std::function<std::string(const Shape&)>& place_text_;
  Date latest_day_;
  std::map<std::string, std::string, std::less<>> site_codes_;  // by key; those that come with the file too
  bool same_survey_;
  std::map<std::string, const SharedPlace*, std::less<>> places_;
  // Per layer: rows that are here or come with "all", and those that come only by name. And codes with the row that has each.
  std::map<std::string, std::set<std::string>, std::less<>> here_, perhaps_;
  std::map<std::string, std::size_t> edited_results_;
  std::map<std::string, std::string> codes_;  // of the layer at hand
  std::map<std::string, AnyRow, std::less<>> ours_, ours_shared_;
  ChangeList list_;
  bool visits_known_ = false;
  std::map<std::string, AnyRow, std::less<>> visits_, visits_shared_;
};

}  // namespace brookmark::core
