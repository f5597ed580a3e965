// Why: what lies over the map and the pages: dialogs, find box, guided look, messages, progress. Each is drawn in the
// middle of a dimmed window, never wider or higher than it, and scrolls where it must.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/geometry.hpp"
#include "viewer/actions/find.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/state/clean_form.hpp"

namespace brookmark::viewer {

// A folder as it was when it was last looked at.
struct FolderList {
  std::string folder;  // what is listed
  std::vector<std::string> folders, files;
  std::string trouble;  // why it cannot be listed
};

// Of the table of samples: the widths that the words seen so far need, and the rows in sight: the first, and one behind
// the last.
struct TableView {
  std::string of = {};  // what they were measured for
  std::vector<float> widths = {};
  std::size_t first = 0, behind = 60;
};

// What panels over the map remember between frames.
struct DeskView {
  FolderList folder;
  FindIndex index;
  CleanDesk clean;                        // the page "Clean": what is being written down, and the round
  std::string early_letters;              // on the tally, before its field has the keyboard
  std::string typed_place;                // on the page of edits: latitude and longitude, until Enter
  std::optional<core::LonLat> far_place;  // what was typed there and is asked back
  TableView table;
  RowTops spot_rows, unplaced_rows;  // of the sites on one spot, and of those without a position
  std::int64_t undo_asked = 0;       // the edit whose taking back is asked back; 0: none
};

// Looks again where `folder` is another one; `again` looks in any case.
void look_at(FolderList& list, const std::string& folder, bool again = false);

// Begins the dimmed window and the card in its middle; close with end_card() in any case. True where Esc was pressed.
bool begin_card(const Ui& ui, const char* id, float width_ems);
void end_card(const Ui& ui);
// A label, and below it a line to write in. True when the value has changed. `arrows`: up and down are not the line's, and do
// not lead away from it either.
bool text_field(const Ui& ui, const char* label, std::string& value, const char* hint = "",
                bool arrows = false);
// Folders and files to choose from, and the line of the folder itself; `endings` are shown ("*": all).
void file_picker(const Ui& ui, Dialog& dialog, const std::vector<std::string>& endings, float height_ems);
// The row of buttons at a card's foot: what it does (greyed while something is missing), and away. Above them, in sight
// however far the card is scrolled: what is missing, and the first of the `reasons` for it.
void card_foot(const Ui& ui, const char* label, const std::string& missing,
               const std::vector<std::string>& reasons = {});

void draw_dialogs(const Ui& ui);  // whichever is open
void draw_start_card(const Ui& ui);
void draw_import_dialog(const Ui& ui);
void draw_hand_over_dialog(const Ui& ui);
void draw_report_dialog(const Ui& ui);
// Of a hand-over and a report. By which method, and of which days: begins with `begin`.
void draw_what_counts(const Ui& ui, const std::string& begin);
void draw_target(const Ui& ui, Dialog& next, const std::vector<std::string>& endings, const char* hint);
// Who is named, the least cell, what stays at home by that, and the end of the card.
void draw_rules_and_foot(const Ui& ui, Dialog& next, const char* label);
void draw_changes_dialog(const Ui& ui);
void draw_photo_dialog(const Ui& ui);
void draw_sheet_dialog(const Ui& ui);
void draw_spots_dialog(const Ui& ui);
void draw_progress(const Ui& ui);
void draw_messages(const Ui& ui);
void draw_find(const Ui& ui);
void draw_spot_list(const Ui& ui);  // of sites on one spot
void draw_guide(const Ui& ui);

// What the find box offers beside the names of the survey.
std::vector<FindCommand> window_commands(const State& state);

}  // namespace brookmark::viewer
