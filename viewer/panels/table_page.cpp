// All samples in a table: sorted by a tap on a head, narrowed by words, by the period shown and by sites drawn round;
// copied as CSV.
#include <imgui.h>
#include <imgui_internal.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <cmath>

#include "core/analysis/selection.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/state/sample_table.hpp"

namespace brookmark::viewer {
namespace {

struct ColumnLook {
  TableColumn column;
  const char* head;
  float ems;  // in the small font's place
};
constexpr ColumnLook kColumns[] = {
    {TableColumn::kSite, "Site", 4.0F},   {TableColumn::kDate, "Date", 5.6F},
    {TableColumn::kValue, "Value", 3.6F}, {TableColumn::kClass, "Class", 8.2F},
    {TableColumn::kTaxa, "Taxa", 3.2F},   {TableColumn::kKind, "Kind", 4.8F},
    {TableColumn::kWater, "Water", 8.5F}, {TableColumn::kSample, "Sample", 7.0F},
    {TableColumn::kNote, "Note", 14.0F},
};
constexpr float kClassMark_ems = 1.4F;  // before the name of a class
constexpr float kLowPage_ems = 24;      // lower: what narrows the rows is folded away until it is asked for

void selection_part(const Ui& ui) {
  const Lasso& lasso = ui.state.lasso;
  const float room = ImGui::GetContentRegionAvail().x, between = ImGui::GetStyle().ItemSpacing.x;
  const bool beside = room > ui.theme.em * 26;  // else below each other
  const float each = beside ? std::floor((room - between) / 2) : room;
  if (push_button(ui.theme, lasso.armed ? "Drawing \u2026" : "Draw round sites on the map", {each, 0})) {
    ui.push(StartLasso{});
    if (ui.layout.narrow) ui.push(ShowPanel{false});  // the map stands where the page was
  }
  if (beside) ImGui::SameLine();
  ImGui::BeginDisabled(lasso.ring.empty());
  if (push_button(ui.theme, "All sites again", {each, 0})) ui.push(ClearLasso{});
  ImGui::EndDisabled();
  if (lasso.armed || lasso.ring.empty() || !ui.assessment) return;
  if (lasso.sites.empty()) {
    notice(ui.theme, "No site lies inside what was drawn. Draw again, or tap \u201CAll sites again\u201D.");
    return;
  }
  const core::Selection chosen = core::summarise(ui.snapshot(), *ui.assessment, lasso.sites);
  const core::Metric& metric = ui.assessment->metric_info();
  std::string words = count_of(lasso.sites.size(), "site", "sites") + " drawn round, " +
                      count_of(chosen.samples, "sample", "samples");
  for (std::size_t k = 0; k < chosen.by_rank.size(); ++k)
    if (chosen.by_rank[k] > 0)
      words += ", " + std::to_string(chosen.by_rank[k]) + " " +
               std::string(core::class_name(metric, static_cast<int>(k + 1)));
  if (chosen.without_class > 0) words += ", " + std::to_string(chosen.without_class) + " without a class";
  if (chosen.known.median_value)
    words += "; in the middle " + value_in_words(metric, *chosen.known.median_value);
  small_muted(ui.theme, words + ".");
  std::string codes;
  for (std::size_t k = 0; k < std::min<std::size_t>(lasso.sites.size(), 40); ++k)
    codes += (codes.empty() ? "" : ", ") + std::string(ui.snapshot().sites.code[lasso.sites[k].value()]);
  if (lasso.sites.size() > 40) codes += " and " + std::to_string(lasso.sites.size() - 40) + " more";
  if (!codes.empty()) small_muted(ui.theme, codes);
}

void filters(const Ui& ui) {
  TableChoice choice = ui.state.table;
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x);
  const float room = ImGui::GetContentRegionAvail().x;
  ImGui::InputTextWithHint("##filter",
                           room > ui.theme.em * 24
                               ? "only rows with: a code, a name, a water, May 2024 \u2026"
                               : "only rows with \u2026",
                           &choice.filter);
  ImGui::Checkbox("Only samples behind the map", &choice.in_period);
  if (ui.state.date) hint(ui.theme, as_sentence("Samples " + core::period_words(*ui.state.period())));
  if (!ui.state.lasso.armed && !ui.state.lasso.ring.empty()) {
    if (room > ui.theme.em * 29) ImGui::SameLine();
    ImGui::Checkbox("Only sites drawn round", &choice.selection_only);
  }
  if (!(choice == ui.state.table)) ui.push(SetTable{choice});
}

// The sample that choosing its site opens by itself: opening it once more would close it.
core::SampleIndex opened_by_site(const Ui& ui, core::SampleIndex sample) {
  const core::SiteAssessment& known =
      ui.assessment->sites[ui.snapshot().samples.site[sample.value()].value()];
  return known.sample.has_value() ? known.sample : known.newest_sample;
}

void draw_row(const Ui& ui, const core::ScoreTable& scores, core::SampleIndex sample, float height) {
  ImGui::TableNextRow(0, height);
  const std::size_t metric = ui.state.choice.metric;
  const core::SampleScore& score = scores.metrics[metric][sample.value()];
  for (std::size_t c = 0; c < std::size(kColumns); ++c) {
    ImGui::TableSetColumnIndex(static_cast<int>(c));
    const std::string words = shown_cell(ui.snapshot(), scores, metric, sample, kColumns[c].column);
    const bool outside = score.has_value && !score.in_scope;
    if (c == 0) {
      ImGui::PushID(static_cast<int>(sample.value()));
      const bool on = ui.state.sample == sample;
      const bool tapped =
          ImGui::Selectable(words.c_str(), on, ImGuiSelectableFlags_SpanAllColumns, {0, height});
      if (tapped) {
        ui.push(SelectSite{ui.snapshot().samples.site[sample.value()]});
        if (opened_by_site(ui, sample) != sample) ui.push(OpenSample{sample});
        ui.push(ShowPage{Page::kTable});
      }
      tell_target(words);
      ImGui::PopID();
      continue;
    }
    if (height > ui.theme.em)  // in the middle of a tall row
      ImGui::SetCursorPosY(ImGui::GetCursorPosY() + std::round((height - ui.theme.em) / 2));
    const bool is_class = kColumns[c].column == TableColumn::kClass;
    if (is_class && (outside || (score.in_scope && score.class_rank != 0))) {
      core::SiteAssessment as_site;
      as_site.sample = as_site.newest_sample = sample;
      as_site.has_value = true;
      as_site.in_scope = score.in_scope;
      as_site.class_rank = score.in_scope ? score.class_rank : std::uint8_t{0};
      const ImVec2 at = ImGui::GetCursorScreenPos();
      const float r = ui.theme.em * 0.5F;
      draw_mark(*ImGui::GetWindowDrawList(), {at.x + r, at.y + ui.theme.em * 0.55F}, r,
                site_mark(as_site, ui.assessment->metric_info()), ui.colours, ui.theme);
      ImGui::SetCursorScreenPos({at.x + ui.theme.em * kClassMark_ems, at.y});
    }
    // A value that the method does not carry is told, and not as one that it does.
    const bool quiet = outside && (is_class || kColumns[c].column == TableColumn::kValue);
    ImGui::PushStyleColor(ImGuiCol_Text, im(quiet ? ui.theme.ink.muted : ui.theme.ink.text));
    text(words);
    ImGui::PopStyleColor();
  }
}

// Columns grow to the words that were in sight, so that none is cut; they never shrink again under a hand.
void widen_columns(const Ui& ui, const core::ScoreTable& scores, const std::vector<core::SampleIndex>& rows) {
  TableView& view = ui.desk.table;
  const std::string of = std::to_string(ui.model.revision()) + " " + std::to_string(ui.state.choice.method) +
                         " " + std::to_string(ui.state.choice.metric) + " " + std::to_string(ui.theme.em);
  if (view.of != of) view = {of};
  view.widths.resize(std::size(kColumns), 0);
  ImFont* font = ui.theme.small;
  for (std::size_t r = view.first; r < std::min(view.behind, rows.size()); ++r)
    for (std::size_t c = 0; c < std::size(kColumns); ++c) {
      const std::string words =
          shown_cell(ui.snapshot(), scores, ui.state.choice.metric, rows[r], kColumns[c].column);
      const float mark = kColumns[c].column == TableColumn::kClass ? ui.theme.em * kClassMark_ems : 0;
      view.widths[c] =
          std::max(view.widths[c],
                   std::ceil(font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str()).x) + mark + 1);
    }
  for (std::size_t c = 0; c < std::size(kColumns); ++c)
    view.widths[c] = std::max(view.widths[c], std::round(kColumns[c].ems * ui.theme.em));
}

// The copy is made on another thread; what is copied is what the table holds by then, or nothing.
void copy_button(const Ui& ui, const SampleQuestion& question, std::size_t rows, float width) {
  ImGuiStorage& storage = *ImGui::GetStateStorage();
  const ImGuiID copying_id = ImGui::GetID("copying");
  const bool copying = storage.GetBool(copying_id);
  ImGui::BeginDisabled(rows == 0);
  if (push_button(ui.theme, copying ? "Cancel the copy" : "Copy as CSV", {width, 0}))
    storage.SetBool(copying_id, !copying);
  ImGui::EndDisabled();
  if (!storage.GetBool(copying_id)) return;
  if (const std::string* csv = ui.model.answers().table_csv(ui.state.choice, question)) {
    ImGui::SetClipboardText(csv->c_str());
    storage.SetBool(copying_id, false);
    ui.push(
        Say{{Message::Kind::kDone, count_of(rows, "row", "rows") + " copied as CSV, with a header row."}});
  } else {
    ui.shown.moving = true;
  }
}

void follow_sorting(const Ui& ui) {
  ImGuiTableSortSpecs* specs = ImGui::TableGetSortSpecs();
  if (specs == nullptr || !specs->SpecsDirty || specs->SpecsCount < 1) return;
  specs->SpecsDirty = false;
  TableChoice choice = ui.state.table;
  choice.sort = static_cast<TableColumn>(specs->Specs[0].ColumnUserID);
  choice.descending = specs->Specs[0].SortDirection == ImGuiSortDirection_Descending;
  if (!(choice == ui.state.table)) ui.push(SetTable{choice});
}

// How many rows there are, the copy, and on a low page the door to what narrows them.
bool head_row(const Ui& ui, const SampleQuestion& question, std::size_t rows, bool low) {
  ImGuiStorage& storage = *ImGui::GetStateStorage();
  const ImGuiID open_id = ImGui::GetID("rows are chosen");
  const bool open = !low || storage.GetBool(open_id);
  const float em = ui.theme.em, room = ImGui::GetContentRegionAvail().x,
              between = ImGui::GetStyle().ItemSpacing.x;
  const std::string count =
      std::to_string(rows) + " of " + count_of(ui.snapshot().samples.size(), "sample", "samples");
  if (low) {
    wrapped(count);
    const float each = std::floor((room - between) / 2);
    if (push_button(ui.theme, open ? "To the rows" : "Choose rows", {each, 0}))
      storage.SetBool(open_id, !open);
    ImGui::SameLine();
    copy_button(ui, question, rows, each);
    return open;
  }
  const float copy = em * 10, x = ImGui::GetCursorPosX();
  ImGui::AlignTextToFramePadding();
  text(count);
  ImGui::SameLine(std::max(x + room - copy, x));
  copy_button(ui, question, rows, copy);
  return open;
}

// As many columns as stand whole in the panel; the class takes what is left over, so that none is cut.
float spare_of(const Ui& ui, float room) {
  const float padding = 2 * ImGui::GetStyle().CellPadding.x + 1;
  float used = ImGui::GetStyle().ScrollbarSize - ImGui::GetStyle().CellPadding.x;
  for (const float width : ui.desk.table.widths) {
    const float next = width + padding;
    if (used + next > room) return std::max(room - used - 1, 0.0F);
    used += next;
  }
  return 0;
}

void table_of(const Ui& ui, const core::ScoreTable& scores, const std::vector<core::SampleIndex>& rows) {
  const float em = ui.theme.em, width = ImGui::GetContentRegionAvail().x;
  const FontScope font(ui.theme.small);
  const float height = ui.theme.row(1.4F);
  const float room = std::max(ImGui::GetContentRegionAvail().y - em * 1.6F, em * 4.5F);
  constexpr ImGuiTableFlags kLook =
      ImGuiTableFlags_Sortable | ImGuiTableFlags_RowBg | ImGuiTableFlags_ScrollY | ImGuiTableFlags_ScrollX |
      ImGuiTableFlags_BordersInnerH | ImGuiTableFlags_Resizable | ImGuiTableFlags_NoSavedSettings;
  // Another width or size of words: the columns are laid out anew.
  ImGui::PushID(static_cast<int>(width) * 64 + static_cast<int>(em));
  const bool open = ImGui::BeginTable("samples", static_cast<int>(std::size(kColumns)), kLook, {0, room});
  if (!open) {
    ImGui::PopID();
    return;
  }
  ImGui::TableSetupScrollFreeze(1, 1);
  widen_columns(ui, scores, rows);
  const float spare = spare_of(ui, width);
  for (std::size_t c = 0; c < std::size(kColumns); ++c) {
    const ColumnLook& look = kColumns[c];
    ImGuiTableColumnFlags flags = ImGuiTableColumnFlags_WidthFixed;
    if (look.column == ui.state.table.sort) {
      flags |= ImGuiTableColumnFlags_DefaultSort;
      if (ui.state.table.descending) flags |= ImGuiTableColumnFlags_PreferSortDescending;
    }
    const float own = ui.desk.table.widths[c] + (look.column == TableColumn::kClass ? spare : 0);
    ImGui::TableSetupColumn(look.head, flags, own, static_cast<ImGuiID>(look.column));
    if (ImGui::GetCurrentTable()->Columns[static_cast<int>(c)].WidthRequest < ui.desk.table.widths[c])
      ImGui::TableSetColumnWidth(static_cast<int>(c), ui.desk.table.widths[c]);
  }
  ImGui::TableNextRow(ImGuiTableRowFlags_Headers, height);
  for (std::size_t c = 0; c < std::size(kColumns); ++c) {
    ImGui::TableSetColumnIndex(static_cast<int>(c));
    ImGui::TableHeader(kColumns[c].head);
  }
  follow_sorting(ui);
  ImGuiListClipper clipper;
  clipper.Begin(static_cast<int>(rows.size()));
  TableView& view = ui.desk.table;
  view.first = rows.size();
  view.behind = 0;
  while (clipper.Step()) {
    view.first = std::min(view.first, static_cast<std::size_t>(std::max(clipper.DisplayStart, 0)));
    view.behind = std::max(view.behind, static_cast<std::size_t>(std::max(clipper.DisplayEnd, 0)));
    for (int r = clipper.DisplayStart; r < clipper.DisplayEnd; ++r)
      draw_row(ui, scores, rows[static_cast<std::size_t>(r)], height);
  }
  ImGui::EndTable();
  ImGui::PopID();
}

}  // namespace

void draw_table_page(const Ui& ui) {
  if (!ui.assessment) {
    muted("The program has no method to score by.");
    return;
  }
  const bool low = ui.layout.side.height < static_cast<double>(kLowPage_ems * ui.theme.em);
  if (!low) {
    selection_part(ui);
    filters(ui);
  }
  const Lasso& lasso = ui.state.lasso;
  SampleQuestion question{ui.state.table, ui.state.choice.metric, ui.state.period(), std::nullopt};
  if (!lasso.armed && !lasso.ring.empty()) question.selection = lasso.sites;
  const std::vector<core::SampleIndex>* rows = ui.model.answers().table(ui.state.choice, question);
  if (rows == nullptr) {
    muted("Sorting \u2026");
    ui.shown.moving = true;
    return;
  }
  const bool chosen_here = head_row(ui, question, rows->size(), low) && low;
  if (chosen_here) {
    selection_part(ui);
    filters(ui);
    return;
  }
  if (rows->empty()) {
    muted(ui.snapshot().samples.size() == 0
              ? "This survey has no samples yet."
              : "No sample passes. Take away a condition: the words, the period, or the sites drawn round.");
    return;
  }
  table_of(ui, ui.model.scores(ui.state.choice.method), *rows);
}

}  // namespace brookmark::viewer
