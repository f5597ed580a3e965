// Why: a partner corrects a GeoPackage that was handed over, in plain GIS tools, while the survey goes on. Here both are
// compared row by row, by UUID, against what stood in the file when it left: what they changed, what we changed, and where
// both did. What is accepted becomes one edit, so one undo takes it back.
// Use: const ChangeList list = compare_returned(snapshot, shared, returned, place_text);
//      for (const Change& c : list.changes) ...
//      file.apply(accept_changes(list, {"all"}, snapshot, returned));
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/table.hpp"
#include "core/sharing/sharing.hpp"
#include "core/store/edit.hpp"

namespace brookmark::core {

struct ReturnedRow {
  std::string key;  // empty: it has none, and none was made for it
  std::map<std::string, std::string, std::less<>>
      cells;          // of columns that the file has; text as exports write it
  std::string place;  // the shape as `place_text` writes it, in the file's own coordinate system
  Shape shape;        // in WGS 84; monostate: none
  std::string x, y;   // of a point, in the file's own system
  std::map<std::string, std::string, std::less<>> results =
      {};                      // edited cells of columns that are worked out
  std::string bad_shape = {};  // why its shape could not be read
  bool key_is_made = false;    // the row came without a key: this one is the same each time the file is read
};

// One layer as it came back, and its rows as they left.
struct ReturnedLayer {
  std::string name;
  bool has_key_column = true, has_shapes = false;
  std::vector<std::string> columns;  // of those that may come back, the ones that are there
  std::vector<ReturnedRow> rows;
  std::map<std::string, ReturnedRow, std::less<>> left;  // by key
};

struct ReturnedFile {
  std::string name, exported_utc, crs, survey_key;
  SharingRules rules;       // by which the file was made
  std::vector<Taxon> taxa;  // that its records point to
  std::vector<ReturnedLayer> layers;
  std::map<std::string, std::size_t>
      edited_results;  // "scores.value": how many, in layers that never come back
};

enum class ChangeKind : std::uint8_t { kCell, kPlace, kAdded, kRemoved };
const char* change_kind_name(ChangeKind kind);  // "cell", "place", "row added", "row removed"

enum class ChangeState : std::uint8_t {
  kTheirs,     // only they changed it: taken with "all"
  kConflict,   // both changed it, differently: taken only by its own name
  kAskFirst,   // taken only by its own name, for the reason in note
  kImpossible  // cannot be taken, for the reason in note
};
const char* change_state_name(ChangeState state);  // "theirs", "both", "ask", "impossible"

struct Change {
  std::string id;  // "sites/UUID/name", or "sites/UUID" for a whole row (a number stands for a missing UUID)
  ChangeKind kind = ChangeKind::kCell;
  ChangeState state = ChangeState::kTheirs;
  std::string layer, key,
      code;            // code: how a person calls the row (of a visit its site and day); may be empty
  std::string column;  // "geom" for a place; empty for a whole row
  std::string base, theirs, ours;
  std::string note;
  std::string visit =
      {};  // key of the visit in which a sample's or measurement's day or time is taken; empty: its own row
  std::size_t row = 0;  // of the layer's rows; not for rows removed
};

struct ChangeList {
  std::vector<Change> changes;     // in the order of the file
  std::vector<std::string> notes;  // what is to be known of the file as a whole
  std::vector<std::string> here;   // ids of what was changed in the file and stands here already
};

// `shared` is the survey as it is now, by the rules of the file: what was hidden then is hidden in both, so that it is no
// change. `latest_day`: a later day of a visit, or on which an outfall begins, cannot be taken. Throws Error(kBadInput) where a layer has lost its column of UUIDs, or all UUIDs in it, so that nothing can be
// told.
ChangeList compare_returned(const Snapshot& snapshot, const SharedSurvey& shared,
                            const ReturnedFile& returned,
                            const std::function<std::string(const Shape&)>& place_text,
                            Date latest_day = latest_day_anywhere());

// The edit that takes what `words` say: "all" (every change of state kTheirs), or the id of a change, or the beginning of ids
// up to a slash ("sites", "sites/UUID"): these take conflicts and the others too. Throws Error(kBadUse) for a word that
// fits no change, or that names one which cannot be taken, with its reason; AnswerIsNo for one that names only what stands here already. No edits where nothing fits "all".
EditBatch accept_changes(const ChangeList& list, const std::vector<std::string>& words,
                         const Snapshot& snapshot, const ReturnedFile& returned);

}  // namespace brookmark::core
