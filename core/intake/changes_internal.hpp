// Why: nine kinds of rows are compared and edited alike; what differs between them stands here.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <variant>
#include <vector>

#include "core/intake/changes.hpp"

namespace brookmark::core {

using AnyRow = std::variant<Site, Catchment, Reach, Outfall, Water, Visit, Sample, Record, Measurement>;

// A new row of a layer's kind; nothing for a layer that does not come back.
std::optional<AnyRow> new_row(const std::string& layer);
// All rows of a layer, by key.
std::map<std::string, AnyRow, std::less<>> rows_by_key(const Snapshot& snapshot, const std::string& layer);

std::string cell_of(const AnyRow& row, std::string_view column);
std::string set_cell_of(AnyRow& row, std::string_view column, const std::string& text);
Shape shape_of(const AnyRow& row);
// A complaint where the shape is of another kind than the row's. Of a point the raw position becomes x and y in `crs`.
std::string set_shape_of(AnyRow& row, const ReturnedRow& from, const std::string& crs,
                         const std::string& note);
void set_key_of(AnyRow& row, const std::string& key);
// How a person calls it: its code, or its name.
std::string called(const AnyRow& row);

// A cell taken over. The name of an animal decides what it scores: it goes through the checklist, and what it was noted as is
// kept in the note. `taxa`: what the record then points to, with parents.
struct NameTaken {
  std::string complaint, words;  // why not; or what it became
  std::vector<Taxon> taxa;
};
NameTaken take_cell(AnyRow& row, const std::string& column, const std::string& text,
                    const ReturnedFile& returned);

// A new row from what stands in the file.
struct MadeRow {
  AnyRow row;
  std::string complaint, words;  // why it cannot be; or what became of its name
  std::vector<Taxon> taxa;
};
MadeRow make_row(const ReturnedLayer& layer, const ReturnedRow& from, const ReturnedFile& returned,
                 const std::string& note);

// Why the survey file would refuse the row by itself; empty where it would not.
std::string complaint_of(const AnyRow& row);
// The same where it is changed from what it was: an abundance class then means what its scheme says.
std::string complaint_of_change(const AnyRow& before, const AnyRow& after);
// Columns of which a part says what nobody said (an effort and its unit), this one among them.
std::set<std::string> tied_to(const std::string& column);
// What was written down is not corrected: why, or empty for other columns.
std::string writing_complaint(const std::string& layer, const std::string& column);
// Where the number of a record or measurement was changed, what is written beside it follows, and what stood there is kept
// in the note. In words, or empty where nothing was to do.
std::string follow_in_writing(const AnyRow& before, AnyRow& after);
// "sites" -> "site"
std::string word_of_layer(const std::string& layer);
// "3 visits, 1 photo still belong to it", those of the keys in `going` left out; empty where nothing does.
std::string what_belongs_to(const Snapshot& snapshot, const std::string& layer, const std::string& key,
                            const std::set<std::string>& going);

Edit edit_to_add(const AnyRow& row);
Edit edit_to_replace(const AnyRow& row);
std::optional<TableName> table_of(const std::string& layer);

}  // namespace brookmark::core
