// The side panel: its three pages, and the first of them, the key to everything on the map.
#include <imgui_internal.h>

#include <array>
#include <cmath>

#include "core/base/error.hpp"
#include "core/reference/reference.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr auto kNoSign = static_cast<std::uint8_t>(Sign::kNone);

void mark_line(const Ui& ui, Mark mark, const std::string& words, std::optional<std::size_t> count,
               float radius_ems = 0.66F) {
  const float em = ui.theme.em;
  mark_item(ui.theme, mark, ui.colours, radius_ems);
  ImGui::SameLine();
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() + std::round(em * 0.33F));
  const float right = ImGui::GetContentRegionMax().x;
  const std::string number = count ? std::to_string(*count) : "";
  const float number_width = ImGui::CalcTextSize(number.c_str()).x;
  text(fitted(words, right - ImGui::GetCursorPosX() - number_width - em));
  if (count) {
    ImGui::SameLine(right - number_width);
    ImGui::PushStyleColor(ImGuiCol_Text, im(*count == 0 ? ink::kMuted : ink::kText));
    text(number);
    ImGui::PopStyleColor();
  }
}

void class_lines(const Ui& ui) {
  const core::Metric& metric = ui.assessment->metric_info();
  std::array<std::size_t, 5> standing{};
  std::vector<std::size_t> of_class(256, 0);
  for (const core::SiteAssessment& site : ui.assessment->sites) {
    const Standing s = standing_of(site, metric);
    ++standing[static_cast<std::size_t>(s)];
    if (s == Standing::kClass) ++of_class[site.class_rank];
  }
  const auto count = [&](Standing s) { return standing[static_cast<std::size_t>(s)]; };
  core::SiteAssessment shown;
  shown.sample = core::SampleIndex(0);
  shown.has_value = true;
  shown.in_scope = true;
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(ImGui::GetStyle().ItemSpacing.x, 1));
  for (const core::ClassBand& band : metric.bands) {
    shown.class_rank = static_cast<std::uint8_t>(band.rank);
    mark_line(ui, site_mark(shown, metric), band.name, of_class[shown.class_rank]);
  }
  if (metric.bands.empty()) {
    shown.value = 12;
    mark_line(ui, site_mark(shown, metric), "value (this measure has no classes)", count(Standing::kValue));
  }
  const auto hollow = [&](Sign sign, const char* words, Standing s) {
    mark_line(ui, {MarkShape::kRing, kColourUnclassed, static_cast<std::uint8_t>(sign), kNoSign}, words,
              count(s));
  };
  hollow(Sign::kDash, "outside the method's scope", Standing::kOutsideScope);
  hollow(Sign::kTimes, "sampled, but no value or class", Standing::kNoValue);
  hollow(Sign::kQuestion, "not sampled by this day", Standing::kNotSampled);
  const Ageing ageing(ui.snapshot(), ui.state.date);
  std::size_t faded = 0;
  for (std::size_t i = 0; i < ui.assessment->sites.size(); ++i)
    if (ageing.is_faded(i, ui.assessment->sites[i])) ++faded;
  if (faded > 0) {
    const auto colour =
        static_cast<std::uint8_t>(kFaded + (metric.bands.empty() ? kColourValue : kColourFirstClass));
    mark_line(ui, {MarkShape::kDisc, colour, kNoSign, kNoSign}, "faded: known of earlier only", faded);
    small_muted(ui.theme,
                "Retired, or last sampled more than two years before this day; the year stands "
                "beside the name.");
  }
  ImGui::PopStyleVar();
}

// What cannot be on the map can still be chosen.
void unplaced_lines(const Ui& ui) {
  const auto unplaced = ui.model.unplaced_sites();
  const core::SiteColumns& sites = ui.snapshot().sites;
  gap(ui.theme, 0.2F);
  heading(ui.theme, "Without a position: " + count_of(unplaced.size(), "site", "sites"));
  small_muted(ui.theme, "Scored like the others, but not on the map and without distances.");
  const float em = ui.theme.em, height = std::round(em * 1.9F);
  ImGuiListClipper clipper;
  clipper.Begin(static_cast<int>(unplaced.size()), height + ImGui::GetStyle().ItemSpacing.y);
  while (clipper.Step())
    for (int row = clipper.DisplayStart; row < clipper.DisplayEnd; ++row) {
      const core::SiteIndex site = unplaced[static_cast<std::size_t>(row)];
      const std::size_t i = site.value();
      ImGui::PushID(row);
      const ImVec2 at = ImGui::GetCursorScreenPos();
      const float width = ImGui::GetContentRegionAvail().x;
      if (ImGui::Selectable("##unplaced", ui.state.site == site, 0, {0, height})) ui.push(SelectSite{site});
      ImDrawList& list = *ImGui::GetWindowDrawList();
      if (ui.assessment)
        draw_mark(list, {at.x + em * 0.85F, at.y + height / 2}, em * 0.58F,
                  site_mark(ui.assessment->sites[i], ui.assessment->metric_info()), ui.colours, ui.theme);
      list.AddText(
          {at.x + em * 2, at.y + std::round((height - em) / 2)}, im(ink::kText),
          fitted(std::string(sites.code[i]) + "  " + std::string(sites.name[i]), width - em * 2.4F).c_str());
      ImGui::PopID();
    }
}

void layer_box(const Ui& ui, const char* name, Layer layer) {
  bool shown = ui.state.layers[layer];
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(ui.theme.em * 0.3F, ui.theme.em * 0.3F));
  if (ImGui::Checkbox(name, &shown)) ui.push(ShowLayer{layer, shown});
  ImGui::PopStyleVar();
}

// A short piece of a line or area as on the map, at the right end of the row of its layer.
void line_sample(const Ui& ui, Colour colour, float thickness, bool dashed, bool arrow) {
  const float em = ui.theme.em, width = em * 3;
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
  const float x = ImGui::GetWindowPos().x + ImGui::GetContentRegionMax().x - width,
              y = std::round((low.y + high.y) / 2);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (!dashed)
    list.AddLine({x, y}, {x + width, y}, im(colour), thickness * ui.theme.scale);
  else
    for (float at = 0; at < width; at += em * 0.87F)
      list.AddLine({x + at, y}, {std::min(x + at + em * 0.56F, x + width), y}, im(colour),
                   thickness * ui.theme.scale);
  if (arrow) {
    const float s = em * 0.34F, mid = x + width / 2;
    list.AddTriangleFilled({mid + s * 1.5F, y}, {mid - s, y + s * 1.1F}, {mid - s, y - s * 1.1F},
                           IM_COL32(46, 86, 122, 255));
  }
}

// An outfall beside a site's mark, and what the line between them means.
void leader_line(const Ui& ui) {
  const float em = ui.theme.em, side = std::round(em * 1.7F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddLine({at.x + em * 0.5F, at.y + side / 2}, {at.x + em * 1.8F, at.y + side / 2}, im(ink::kOutfall),
               em * 0.13F);
  draw_mark(list, {at.x + em * 0.5F, at.y + side / 2}, em * 0.42F,
            {MarkShape::kSquare, kColourOutfall, kNoSign, kNoSign}, ui.colours, ui.theme);
  ImGui::Dummy({em * 1.9F, side});
  ImGui::SameLine();
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() + std::round(em * 0.33F));
  text(fitted("moved aside; the line ends where it is", ImGui::GetContentRegionAvail().x));
}

void outfall_lines(const Ui& ui) {
  std::array<std::size_t, 6> counts{};
  std::size_t out_of_use = 0;
  for (const core::Outfall& o : ui.snapshot().outfalls) {
    ++counts[static_cast<std::size_t>(o.kind)];
    if (outfall_use(o, ui.state.date) != OutfallUse::kInUse) ++out_of_use;
  }
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(ImGui::GetStyle().ItemSpacing.x, 0));
  for (const core::OutfallKind kind :
       {core::OutfallKind::kTreatedSewage, core::OutfallKind::kStormSewage, core::OutfallKind::kRoadDrain,
        core::OutfallKind::kFieldDrain, core::OutfallKind::kTrade, core::OutfallKind::kUnknown}) {
    const std::size_t count = counts[static_cast<std::size_t>(kind)];
    if (count > 0)
      mark_line(ui, {outfall_shape(kind), kColourOutfall, kNoSign, kNoSign},
                kind == core::OutfallKind::kUnknown ? "kind not known" : core::outfall_kind_name(kind), count,
                0.5F);
  }
  if (out_of_use > 0)
    mark_line(ui, {MarkShape::kSquare, kColourOutfall + kFaded, kNoSign, kNoSign},
              "faded: not in use on this day", out_of_use, 0.5F);
  if (ui.shown.leaders) leader_line(ui);
  ImGui::PopStyleVar();
}

// A class carried along the channel: how, by the class in the middle; and where it falls most.
void reach_lines(const Ui& ui) {
  const core::Metric& metric = ui.assessment->metric_info();
  const bool classes = !metric.bands.empty();
  layer_box(ui, classes ? "Class carried along the channel" : "Channel for which a site speaks",
            Layer::kReaches);
  if (ui.state.layers[Layer::kReaches]) {
    const Colour colour =
        ui.colours.fill[classes ? kColourFirstClass + metric.bands.size() / 2 : kColourValue];
    const auto line = [&](const char* words, Colour ink, float width, bool dashed) {
      ImGui::Indent(ui.theme.em * 1.9F);
      text(words);
      line_sample(ui, ink, width, dashed, false);
      ImGui::Unindent(ui.theme.em * 1.9F);
    };
    line("measured: a site within 500 m", colour, 4.6F, false);
    if (classes) line("inferred: sites above and below agree", colour, 4.6F, true);
    line("unknown", ink::kUnknownReach, 1.7F, false);
  }
  layer_box(ui, "Where it falls most", Layer::kDrops);
  line_sample(ui, ink::kDrop, 9, false, false);
  line_sample(ui, ink::kPaper, 5.5F, false, false);
  line_sample(ui, ink::kUnknownReach, 1.7F, false, false);
  if (!ui.state.layers[Layer::kDrops]) return;
  const std::vector<core::Drop>* drops = ui.model.drops(ui.state.choice, ui.state.date);
  if (drops == nullptr || drops->empty() || !drops->front().is_worse()) {
    small_muted(ui.theme, "No two neighbours on one flow path between which it falls.");
    return;
  }
  for (std::size_t i = 0; i < drops->size() && i < kDropsShown && (*drops)[i].is_worse(); ++i)
    small_muted(ui.theme, drop_in_words(ui.snapshot(), (*drops)[i], metric));
}

void map_lines(const Ui& ui) {
  const core::Snapshot& s = ui.snapshot();
  layer_box(ui, "Watercourses, flowing this way", Layer::kChannels);
  line_sample(ui, ink::kChannel, 2.2F, false, true);
  if (!s.reaches.empty() && ui.assessment) reach_lines(ui);
  layer_box(ui, "Ponds and other waters", Layer::kWaters);
  line_sample(ui, ink::kWater, 11, false, false);
  layer_box(ui, "Catchment boundaries", Layer::kCatchments);
  line_sample(ui, ink::kCatchment, 1.8F, true, false);
  if (ui.shown.catchment_classes)
    small_muted(ui.theme, "Under a catchment's name: the middle and the worst class of its sites.");
  layer_box(ui, "Names on the map", Layer::kLabels);
  layer_box(ui, s.outfalls.empty() ? "Outfalls (this survey has none)" : "Outfalls", Layer::kOutfalls);
  outfall_lines(ui);
  gap(ui.theme, 0.2F);
  text("Path to an outfall, along the channel");
  line_sample(ui, ink::kQuery, 4.6F, false, false);
}

void method_lines(const Ui& ui) {
  const core::Method& method = *ui.assessment->method;
  heading(ui.theme, method.title);
  if (!method.summary.empty()) muted(method.summary);
  std::string scope = method.flow == core::Flow::kRunning ? "For running water."
                      : method.flow == core::Flow::kStill ? "For still water."
                                                          : "For any water.";
  if (!method.region.empty()) scope += " Region: " + method.region + ".";
  if (method.minimum_count)
    scope += " At least " + std::to_string(*method.minimum_count) + " animals in a sample.";
  small_muted(ui.theme, scope);
  if (method.confirmed != core::Confirmed::kDocument) {
    const FontScope font(ui.theme.small);
    notice(ui.theme, confirmed_sentence(method.confirmed));
  }
  try {
    small_muted(ui.theme, "Source: " + core::citation(method.source_key) +
                              (method.source_detail.empty() ? "" : ", " + method.source_detail));
  } catch (const Error&) {
    small_muted(ui.theme, "Source: " + method.source_key);
  }
}

std::string survey_sentence(const core::Snapshot& s, const Model& model) {
  std::string words =
      count_of(s.sites.size(), "site", "sites") + ", " + count_of(s.samples.size(), "sample", "samples");
  const auto days = model.sampling_dates();
  if (days.size() == 1)
    words += " of " + date_in_words(days.front());
  else if (!days.empty())
    words += " from " + date_in_words(days.front()) + " to " + date_in_words(days.back());
  words += ".";
  if (const std::size_t n = model.unplaced_sites().size(); n > 0 && n == s.sites.size())
    words += " No site has a position: they are listed below, not on the map.";
  return words;
}

}  // namespace

void draw_key_page(const Ui& ui) {
  wrapped(survey_sentence(ui.snapshot(), ui.model));
  if (!ui.snapshot().survey.description.empty()) small_muted(ui.theme, ui.snapshot().survey.description);
  if (!ui.model.session().notice.empty()) notice(ui.theme, ui.model.session().notice);
  rule(ui.theme);
  layer_box(ui, ui.state.date ? "Sites, as known on this day" : "Sites", Layer::kSites);
  if (ui.assessment) class_lines(ui);
  if (!ui.model.unplaced_sites().empty()) unplaced_lines(ui);
  rule(ui.theme);
  map_lines(ui);
  rule(ui.theme);
  if (ui.assessment)
    method_lines(ui);
  else
    notice(ui.theme, "This program has no method to score with.");
}

void draw_side(const Ui& ui) {
  const float em = ui.theme.em;
  begin_part("side", ui.layout.side, look::kPanel);
  const ImVec2 corner = ImGui::GetWindowPos();
  ImDrawList& edge = *ImGui::GetWindowDrawList();
  edge.PushClipRectFullScreen();
  edge.AddLine(corner, {corner.x, corner.y + static_cast<float>(ui.layout.side.height)}, im(look::kLine), 1);
  edge.PopClipRect();
  static constexpr const char* kPages[] = {"Key", "Site", "Distance"};
  const int clicked =
      choices("pages", kPages, static_cast<int>(ui.state.page), ImGui::GetContentRegionAvail().x);
  if (clicked >= 0) ui.push(ShowPage{static_cast<Page>(clicked)});
  gap(ui.theme, 0.1F);
  // Each page keeps its own place when another was open.
  ImGui::PushID(static_cast<int>(ui.state.page));
  ImGui::BeginChild("page", {0, 0}, false);
  // A finger or a hand drags the page, also by a row or a button: that is then not pressed.
  const ImGuiIO& io = ImGui::GetIO();
  const ImVec2 low = ImGui::GetWindowPos(), page = ImGui::GetWindowSize();
  const ImVec2 from = io.MouseClickedPos[0];
  const bool begun_here = from.x >= low.x && from.y >= low.y && from.y < low.y + page.y &&
                          from.x < low.x + page.x - ImGui::GetStyle().ScrollbarSize;
  const bool popup = ImGui::IsPopupOpen(nullptr, ImGuiPopupFlags_AnyPopupId | ImGuiPopupFlags_AnyPopupLevel);
  if (begun_here && !popup && ImGui::IsMouseDragging(ImGuiMouseButton_Left, em * 0.5F)) {
    ImGui::ClearActiveID();
    ImGui::SetScrollY(ImGui::GetScrollY() - io.MouseDelta.y);
  }
  switch (ui.state.page) {
    case Page::kKey:
      draw_key_page(ui);
      break;
    case Page::kSite:
      draw_site_page(ui);
      break;
    case Page::kDistance:
      draw_distance_page(ui);
      break;
  }
  gap(ui.theme);
  ImGui::EndChild();
  ImGui::PopID();
  ImGui::End();
}

}  // namespace brookmark::viewer
