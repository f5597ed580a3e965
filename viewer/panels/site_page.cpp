// The page of one site: what it is, what is known of it, its samples newest first, and why the opened one
// scores as it does.
#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/site_cards_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

void site_head(const Ui& ui, std::size_t i) {
  const core::SiteColumns& sites = ui.snapshot().sites;
  {
    const FontScope font(ui.theme.title);
    std::string title(sites.code[i]);
    if (!sites.name[i].empty() && sites.name[i] != sites.code[i]) title += "  " + std::string(sites.name[i]);
    wrapped(title);
  }
  std::string words;
  if (!sites.water[i].empty()) words = std::string(sites.water[i]) + " \u00B7 ";
  words += sites.kind[i] == core::WaterKind::kUnknown ? "kind of water not noted"
                                                      : core::water_kind_name(sites.kind[i]);
  words += std::string(" \u00B7 ") + core::site_status_name(sites.status[i]);
  muted(words);
  const bool placed = core::is_placed(sites.position[i]);
  std::string place = placed ? position_in_words(sites.position[i].lon, sites.position[i].lat)
                             : "No position noted: not on the map, and without distances";
  if (placed && sites.accuracy_m[i])
    place += ", good to " + core::format_number(*sites.accuracy_m[i]) + "\u00A0m";
  if (!sites.habitat[i].empty()) place += "\n" + std::string(sites.habitat[i]);
  if (!sites.note[i].empty()) place += "\n" + std::string(sites.note[i]);
  small_muted(ui.theme, place);
}

// Of the site shown: with its kind of water the reasons can say what the water is.
std::string reasons_of(const Ui& ui, const core::SampleScore& score) {
  return core::reasons_text(score.reasons, *ui.assessment->method,
                            ui.snapshot().sites.kind[ui.state.site->value()]);
}

// A newer sample without a class must not be passed over in silence.
void newer_sample(const Ui& ui, const core::SiteAssessment& known) {
  const core::SampleColumns& samples = ui.snapshot().samples;
  if (!known.superseded || !known.newest_sample.has_value()) return;
  const std::size_t newest = known.newest_sample.value();
  const core::SampleScore& score =
      ui.model.scores(ui.state.choice.method).metrics[ui.state.choice.metric][newest];
  std::string words = "A newer sample, of " + date_in_words(samples.date[newest]) + ", has no class";
  if (score.reasons != 0) words += ": " + reasons_of(ui, score);
  const FontScope font(ui.theme.small);
  notice(ui.theme, as_sentence(words));
}

// What the map says of this site, in words.
void standing_card(const Ui& ui, std::size_t i) {
  const core::SiteAssessment& known = ui.assessment->sites[i];
  const core::Metric& metric = ui.assessment->metric_info();
  const core::SampleColumns& samples = ui.snapshot().samples;
  const Standing standing = standing_of(known, metric);
  mark_item(ui.theme, site_mark(known, metric), ui.colours);
  ImGui::SameLine();
  ImGui::BeginGroup();
  const std::string value = metric.title + " " + value_in_words(metric, known.value);
  switch (standing) {
    case Standing::kClass:
      heading(ui.theme, core::class_name(metric, known.class_rank));
      break;
    case Standing::kValue:
      heading(ui.theme, value);
      break;
    case Standing::kOutsideScope:
      heading(ui.theme, "Outside the method's scope");
      break;
    case Standing::kNoValue:
      heading(ui.theme, "Sampled, but no value or class");
      break;
    case Standing::kNotSampled:
      heading(ui.theme, ui.state.is_narrowed() ? "No sample in the period shown" : "Not sampled by this day");
      break;
  }
  if (standing == Standing::kClass || standing == Standing::kOutsideScope) wrapped(value);
  const core::SampleIndex sample = known.sample.has_value() ? known.sample : known.newest_sample;
  if (sample.has_value()) {
    small_muted(ui.theme,
                ui.assessment->method->title + ", sample of " + date_in_words(samples.date[sample.value()]));
    const auto& score =
        ui.model.scores(ui.state.choice.method).metrics[ui.state.choice.metric][sample.value()];
    // The opened sample says its reasons itself, below.
    if (score.reasons != 0 && ui.state.sample != sample) wrapped(as_sentence(reasons_of(ui, score)));
  }
  if (const std::string age = age_in_words(ui, i); !age.empty()) {
    const FontScope font(ui.theme.small);
    notice(ui.theme, as_sentence(age));
  }
  newer_sample(ui, known);
  ImGui::EndGroup();
  if (known.sample.has_value()) draw_confidence(ui, core::SiteIndex(i), known.sample);
}

std::string taxon_words(const core::Snapshot& s, core::RecordIndex record) {
  const std::size_t r = record.value();
  const std::string_view name = s.taxa.name[s.records.taxon[r].value()], written = s.records.verbatim_name[r];
  std::string words(name);
  if (written != name && !written.empty()) words += "  \u201C" + std::string(written) + "\u201D";
  return words;
}

void part_line(const Ui& ui, const core::RecordPart& part) {
  const core::Snapshot& s = ui.snapshot();
  const float em = ui.theme.em;
  const float right = ImGui::GetContentRegionMax().x;
  const float left = ImGui::GetCursorPosX();
  std::string sum;
  if (part.contributes && part.value) {
    sum = core::format_number(*part.value);
    if (part.weight && *part.weight != 1) sum += " \u00D7 " + core::format_number(*part.weight);
    if (part.confirmed == core::Confirmed::kMemory) sum += "*";
  }
  const float sum_width = ImGui::CalcTextSize(sum.c_str()).x;
  ImGui::PushStyleColor(ImGuiCol_Text, im(part.contributes ? ui.theme.ink.accent : ui.theme.ink.muted));
  text(part.contributes ? "\u25CF" : "\u25CB");
  ImGui::PopStyleColor();
  ImGui::SameLine(left + em * 1.2F);
  const float top = ImGui::GetCursorPosY();
  ImGui::PushTextWrapPos(right - sum_width - em * 0.6F);
  text(taxon_words(s, part.record));
  ImGui::PopTextWrapPos();
  if (!sum.empty()) {
    const float below = ImGui::GetCursorPosY();
    ImGui::SetCursorPos({right - sum_width, top});
    text(sum);
    ImGui::SetCursorPosY(below);
  }
  const std::size_t r = part.record.value();
  const std::string amount(s.records.verbatim_quantity[r]);
  std::string why;
  switch (s.records.quantity[r]) {
    case core::QuantityKind::kCount:
      why = amount + " found. ";
      break;
    case core::QuantityKind::kAbundanceClass:
      why = "Noted as \u201C" + amount + "\u201D. ";
      break;
    case core::QuantityKind::kPresent:
      why = "Noted as present. ";
      break;
    case core::QuantityKind::kAbsent:
      why = "Looked for, not found. ";
      break;
  }
  why += part.why;
  ImGui::Indent(em * 1.2F);
  small_muted(ui.theme, why);
  // A tap opens and closes where the value stands in print; a pointer need only rest.
  if (!part.source.empty()) {
    bool& told = *ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID(("source " + std::to_string(r)).c_str()));
    if (ImGui::IsItemClicked()) told = !told;
    if (told) {
      small_muted(ui.theme, "Source: " + part.source);
    } else if (ImGui::IsItemHovered()) {
      ImGui::BeginTooltip();
      ImGui::PushTextWrapPos(em * 26);
      text(part.source);
      ImGui::PopTextWrapPos();
      ImGui::EndTooltip();
    }
  }
  ImGui::Unindent(em * 1.2F);
}

void reasons(const Ui& ui, const core::SampleScore& score) {
  const core::Metric& metric = ui.assessment->metric_info();
  const auto& parts = ui.explanation.parts;
  const auto counted = static_cast<std::size_t>(
      std::count_if(parts.begin(), parts.end(), [](const core::RecordPart& p) { return p.contributes; }));
  if (score.reasons != 0) {
    const FontScope font(ui.theme.small);
    notice(ui.theme, as_sentence(reasons_of(ui, score)));
  }
  if (parts.empty()) {
    muted("This sample has no records.");
    return;
  }
  const auto list = [&](bool contributes) {
    for (const core::RecordPart& part : parts)
      if (part.contributes == contributes) part_line(ui, part);
  };
  if (counted > 0) {
    gap(ui.theme, 0.1F);
    heading(ui.theme, "Counts towards " + metric.title + ": " + count_of(counted, "record", "records"));
    list(true);
    if (std::any_of(parts.begin(), parts.end(), [](const core::RecordPart& p) {
          return p.contributes && p.confirmed == core::Confirmed::kMemory;
        }))
      small_muted(ui.theme, "* value recalled from memory, not checked against the publication");
  }
  if (counted < parts.size()) {
    gap(ui.theme, 0.1F);
    heading(ui.theme, "Does not count: " + count_of(parts.size() - counted, "record", "records"));
    list(false);
  }
}

// One row of the samples' table; the opened one has its reasons below.
void sample_row(const Ui& ui, core::SampleIndex sample) {
  const core::SampleColumns& samples = ui.snapshot().samples;
  const std::size_t i = sample.value();
  const core::Metric& metric = ui.assessment->metric_info();
  const core::SampleScore& score = ui.model.scores(ui.state.choice.method).metrics[ui.state.choice.metric][i];
  const float em = ui.theme.em;
  const bool open = ui.state.sample == sample;
  const bool later = ui.state.date && samples.date[i] > *ui.state.date;
  core::SiteAssessment as_site;
  if (score.has_value) as_site.sample = sample;
  as_site.has_value = score.has_value;
  as_site.newest_sample = sample;
  as_site.in_scope = score.in_scope;
  as_site.class_rank = score.in_scope ? score.class_rank : std::uint8_t{0};
  as_site.value = score.value;
  const Standing standing = standing_of(as_site, metric);
  std::string words = standing == Standing::kClass ? std::string(core::class_name(metric, score.class_rank))
                      : standing == Standing::kOutsideScope ? "outside scope"
                      : standing == Standing::kNoValue      ? "no value"
                                                            : "";
  if (samples.kind[i] != core::SampleKind::kRoutine)
    words = std::string(core::sample_kind_name(samples.kind[i])) + (words.empty() ? "" : ", " + words);
  ImGui::PushID(static_cast<int>(i));
  const DrawnRow row = words_row(ui.theme, "##sample", open, {words}, em * 11.8F, std::round(em * 2.2F));
  if (row.tapped) ui.push(OpenSample{sample});
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const ImVec2 at = row.at;
  const float line = row.middle - std::round(em / 2);
  const Colour ink = later ? ui.theme.ink.muted : ui.theme.ink.text;
  put_words(list, ui.theme.body, {at.x + em * 0.2F, line}, 1e6F, ui.theme.ink.muted,
            open ? "\u25BE" : "\u25B8");
  put_words(list, ui.theme.body, {at.x + em * 1.2F, line}, 1e6F, ink, short_date(samples.date[i]));
  const std::string value = score.has_value ? value_in_words(metric, score.value) : "\u2013";
  put_words(list, ui.theme.body, {at.x + em * 9.6F - ImGui::CalcTextSize(value.c_str()).x, line}, 1e6F, ink,
            value);
  draw_mark(list, {at.x + em * 10.8F, row.middle}, em * 0.58F, site_mark(as_site, metric), ui.colours,
            ui.theme);
  if (open) {
    ImGui::Indent(em * 0.6F);
    small_muted(ui.theme, "Sample " + std::string(samples.code[i]) +
                              (samples.protocol[i].empty() ? "" : ", " + std::string(samples.protocol[i])));
    reasons(ui, score);
    ImGui::Unindent(em * 0.6F);
    rule(ui.theme);
  }
  ImGui::PopID();
}

// Samples after the day shown are folded into one line.
void later_line(const Ui& ui, std::size_t count) {
  const float em = ui.theme.em, height = std::round(em * 2.0F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  if (ImGui::Selectable("##later", false, 0, {0, height})) ui.push(ShowLater{!ui.state.later_open});
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float line = at.y + std::round((height - em) / 2);
  list.AddText({at.x + em * 0.2F, line}, im(ui.theme.ink.muted), ui.state.later_open ? "\u25BE" : "\u25B8");
  list.AddText({at.x + em * 1.2F, line}, im(ui.theme.ink.muted),
               count_of(count, "later sample", "later samples").c_str());
}

}  // namespace

std::string age_in_words(const Ui& ui, std::size_t site) {
  const Ageing ageing(ui.snapshot(), ui.state.date);
  const bool retired = ageing.retired(site);
  if (!ui.assessment) return retired ? "retired" : "";
  const core::SiteAssessment& known = ui.assessment->sites[site];
  if (!retired && !ageing.old_sample(known)) return "";
  std::string words = retired ? "retired" : "";
  if (!known.newest_sample.has_value()) return words;
  if (!words.empty()) words += ", ";
  const core::SampleIndex behind = known.sample.has_value() ? known.sample : known.newest_sample;
  words += behind == known.newest_sample ? "last sampled " : "known from a sample of ";
  const core::Date date = ui.snapshot().samples.date[behind.value()];
  words += date_in_words(date);
  if (ui.state.date && *ui.state.date > date)
    words += ", " + span_in_words(date, *ui.state.date) + " earlier";
  return words;
}

void draw_site_page(const Ui& ui) {
  // Another site or outfall: its page begins at the top, with its name.
  if (ui.shown.page_site != ui.state.site || ui.shown.page_outfall != ui.state.outfall) {
    ui.shown.page_site = ui.state.site;
    ui.shown.page_outfall = ui.state.outfall;
    ImGui::SetScrollY(0);
  }
  if (ui.state.outfall) {
    draw_outfall_page(ui, *ui.state.outfall);
    return;
  }
  if (!ui.state.site) {
    if (ui.snapshot().sites.size() == 0)
      draw_first_steps(ui);
    else
      muted("Tap a site on the map to see its samples, its score and why.");
    return;
  }
  const std::size_t i = ui.state.site->value();
  // A photo stands beside the name, where there is room; the view Around has it large.
  const std::string photo =
      ui.state.site_view == SiteView::kAround ? std::string() : first_photo(ui, *ui.state.site);
  const float side = std::round(ui.theme.em * 6.5F);
  if (photo.empty() || ImGui::GetContentRegionAvail().x < side * 2.6F) {
    site_head(ui, i);
  } else if (ImGui::BeginTable("head", 2, ImGuiTableFlags_NoPadOuterX)) {
    ImGui::TableSetupColumn("words", ImGuiTableColumnFlags_WidthStretch);
    ImGui::TableSetupColumn("photo", ImGuiTableColumnFlags_WidthFixed, side);
    ImGui::TableNextColumn();
    site_head(ui, i);
    ImGui::TableNextColumn();
    draw_small_photo(ui, photo, side);
    ImGui::EndTable();
  }
  static constexpr const char* kViews[] = {"Score", "Through time", "Around"};
  const int view = choices(ui.theme, "views", kViews, static_cast<int>(ui.state.site_view),
                           ImGui::GetContentRegionAvail().x);
  if (view >= 0) ui.push(ShowSiteView{static_cast<SiteView>(view)});
  gap(ui.theme, 0.2F);
  if (ui.state.site_view == SiteView::kTime) {
    draw_site_through_time(ui, *ui.state.site);
    return;
  }
  if (ui.state.site_view == SiteView::kAround) {
    draw_site_around(ui, *ui.state.site);
    return;
  }
  if (ui.assessment) {
    if (const core::SampleIndex newest = ui.assessment->sites[i].newest_sample; newest.has_value())
      draw_still_reading(ui, newest);
    standing_card(ui, i);
  }
  gap(ui.theme, 0.2F);
  draw_entry_doors(ui, *ui.state.site);
  gap(ui.theme, 0.3F);
  const auto [first, last] = ui.snapshot().samples_of(*ui.state.site);
  heading(ui.theme, last.value() == first.value()
                        ? "No samples yet"
                        : count_of(last.value() - first.value(), "sample", "samples") + ", newest first");
  if (!ui.assessment) return;
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(ImGui::GetStyle().ItemSpacing.x, ui.theme.em * 0.1F));
  const float row = std::round(ui.theme.em * 2.2F) + ui.theme.em * 0.1F;
  const float top = ImGui::GetWindowPos().y, bottom = top + ImGui::GetWindowHeight();
  const auto& dates = ui.snapshot().samples.date;
  std::size_t known = last.value();  // one past the newest sample of the day shown
  while (ui.state.date && known > first.value() && dates[known - 1] > *ui.state.date) --known;
  const std::size_t later = last.value() - known;
  if (later > 0) later_line(ui, later);
  for (std::size_t s = ui.state.later_open ? last.value() : known; s-- > first.value();) {
    // Rows out of sight only keep their place.
    const float y = ImGui::GetCursorScreenPos().y;
    if (ui.state.sample != core::SampleIndex(s) && (y + row < top || y > bottom))
      ImGui::Dummy({1, std::round(ui.theme.em * 2.2F)});
    else
      sample_row(ui, core::SampleIndex(s));
  }
  ImGui::PopStyleVar();
}

}  // namespace brookmark::viewer
