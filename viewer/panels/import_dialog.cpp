// Import, looked at before anything is written: which column is taken as what, and which rows are bad.
#include <algorithm>
#include <cmath>

#include "core/intake/columns.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr const char* kKindNames[] = {"Sites",    "Samples",    "Records", "Measurements", "Watercourses",
                                      "Outfalls", "Catchments", "Waters",  "Ground",       "Kit"};
constexpr std::size_t kMostIssues = 200;

void kind_chooser(const Ui& ui, Dialog& next) {
  {
    const FontScope small(ui.theme.small);
    text("What the file holds");
  }
  ImGui::SetNextItemWidth(-1);
  const auto kind = static_cast<std::size_t>(next.import_kind);
  if (!begin_chooser(ui.theme, "##kind", kKindNames[kind], ImGuiComboFlags_HeightLargest)) return;
  for (std::size_t i = 0; i < std::size(kKindNames); ++i)
    if (ImGui::Selectable(kKindNames[i], i == kind, 0, {0, ui.theme.row(1.9F)}))
      next.import_kind = static_cast<core::ImportKind>(i);
  ImGui::EndCombo();
}

// Their heading, and what it is taken as; another meaning can be chosen.
void column_lines(const Ui& ui, const IntakePlan& plan, Dialog& next) {
  const auto fields = core::fields_of(next.import_kind);
  if (!ImGui::BeginTable("columns", 2, ImGuiTableFlags_SizingStretchSame | ImGuiTableFlags_RowBg)) return;
  ImGui::TableSetupColumn("In the file");
  ImGui::TableSetupColumn("Taken as");
  ImGui::TableHeadersRow();
  for (std::size_t i = 0; i < plan.table.columns.size(); ++i) {
    const std::string& theirs = plan.table.columns[i];
    const auto used = std::find_if(plan.report.columns_used.begin(), plan.report.columns_used.end(),
                                   [&](const auto& pair) { return pair.first == theirs; });
    const bool is_used = used != plan.report.columns_used.end();
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    ImGui::AlignTextToFramePadding();
    wrapped(theirs);
    ImGui::TableNextColumn();
    ImGui::PushID(static_cast<int>(i));
    ImGui::SetNextItemWidth(-1);
    const auto as = std::find_if(fields.begin(), fields.end(), [&](const core::FieldMeaning& f) {
      return is_used && used->second == f.ours;
    });
    const std::string shown = !is_used             ? "left out"
                              : as == fields.end() ? used->second
                                                   : as->meaning + std::string("  \u00B7  ") + as->ours;
    if (begin_chooser(ui.theme, "##as", shown, ImGuiComboFlags_HeightLarge)) {
      if (ImGui::Selectable("left out", !is_used, 0, {0, ui.theme.row(1.7F)})) next.columns[theirs] = "";
      for (const core::FieldMeaning& field : fields) {
        const std::string line = field.meaning + std::string("  \u00B7  ") + field.ours;
        ImGui::PushID(field.ours);
        if (words_row(ui.theme, "##field", is_used && used->second == field.ours, {line}, ui.theme.em * 0.3F,
                      ui.theme.row(1.7F))
                .tapped)
          next.columns[theirs] = field.ours;
        ImGui::PopID();
      }
      ImGui::EndCombo();
    }
    ImGui::PopID();
  }
  ImGui::EndTable();
}

// "error, line 3, decimalLatitude: ..."
std::string issue_words(const core::Issue& issue) {
  std::string where = issue.line > 0 ? "line " + std::to_string(issue.line) : "";
  if (!issue.column.empty()) where += (where.empty() ? "" : ", ") + issue.column;
  return std::string(core::severity_name(issue.severity)) + (where.empty() ? "" : ", " + where) + ": " +
         issue.text;
}

void issue_lines(const Ui& ui, const core::Issues& issues) {
  const FontScope small(ui.theme.small);
  for (std::size_t i = 0; i < issues.size() && i < kMostIssues; ++i) wrapped(issue_words(issues[i]));
  if (issues.size() > kMostIssues) muted("and " + std::to_string(issues.size() - kMostIssues) + " more");
}

// Why rows cannot come in, the first of them: for the foot of the card, beside the button that they keep grey.
std::vector<std::string> refusals(const DeskState& desk) {
  std::vector<std::string> words;
  if (!desk.preview || desk.dialog.skip_bad) return words;
  for (const core::Issue& issue : desk.preview->report.issues)
    if (issue.severity == core::Severity::kError) words.push_back(issue_words(issue));
  return words;
}

void preview_lines(const Ui& ui, const IntakePlan& plan, Dialog& next) {
  const core::ImportReport& report = plan.report;
  rule(ui.theme);
  heading(ui.theme, count_of(report.rows, "row", "rows") + ": " + std::to_string(report.good_rows) +
                        " can be imported, " + std::to_string(report.bad_rows) + " cannot");
  if (report.good_rows > 0 && !report.batch.summary.empty())
    muted("Would import " + report.batch.summary + ".");
  if (!plan.table.crs_note.empty()) small_muted(ui.theme, "Positions: " + plan.table.crs_note);
  if (report.bad_rows > 0 && report.good_rows > 0) ImGui::Checkbox("Leave the bad rows out", &next.skip_bad);
  gap(ui.theme, 0.2F);
  column_lines(ui, plan, next);
  if (!report.issues.empty()) {
    gap(ui.theme, 0.3F);
    heading(ui.theme, count_of(report.issues.size(), "remark", "remarks"));
    issue_lines(ui, report.issues);
  }
  if (!report.channels.empty())
    small_muted(
        ui.theme,
        count_of(report.channels.size(), "finding", "findings") +
            " on the lines themselves. They come in as they are; page Edit, Correct a reach, mends one by "
            "hand.");
  gap(ui.theme, 0.3F);
}

}  // namespace

void draw_import_dialog(const Ui& ui) {
  const DeskState& desk = ui.state.desk;
  Dialog next = desk.dialog;
  if (begin_card(ui, "import", 46)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    text("Import");
  }
  small_muted(ui.theme, "Nothing is written before you have seen what would be.");
  kind_chooser(ui, next);
  const bool places =
      next.import_kind != core::ImportKind::kKit && next.import_kind != core::ImportKind::kSamples &&
      next.import_kind != core::ImportKind::kRecords && next.import_kind != core::ImportKind::kMeasurements;
  file_picker(ui, next, {"*"}, desk.preview ? 5 : 10);
  text_field(ui, "File", next.name, places ? "a table, or any vector layer" : "a table: .csv, .tsv or .txt");
  if (places)
    text_field(ui, "Coordinate system, where the file does not say", next.crs,
               "EPSG:number; empty for the survey's own");
  if (desk.preview) preview_lines(ui, *desk.preview, next);
  if (next != desk.dialog) ui.push(ChangeDialog{next});
  card_foot(ui, "Import", missing_in(ui.state, ui.model), refusals(desk));
  end_card(ui);
}

}  // namespace brookmark::viewer
