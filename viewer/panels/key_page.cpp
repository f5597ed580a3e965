// The key to everything on the map.
#include <algorithm>
#include <array>
#include <cmath>

#include "core/base/error.hpp"
#include "core/reference/reference.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/site_cards_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr auto kNoSign = static_cast<std::uint8_t>(Sign::kNone);
constexpr float kSiteMark_ems = 0.62F, kOutfallMark_ems = 0.46F;

// Marks with their words and how many there are, two side by side.
class MarkColumns {
 public:
  explicit MarkColumns(const Ui& ui) : ui_(ui), font_(ui.theme.small) {
    ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(std::round(ui.theme.em * 0.4F), 0));
    left_ = ImGui::GetCursorPosX();
    width_ = std::floor((ImGui::GetContentRegionAvail().x - ui.theme.em) / 2);
  }
  ~MarkColumns() { ImGui::PopStyleVar(); }
  MarkColumns(const MarkColumns&) = delete;
  MarkColumns& operator=(const MarkColumns&) = delete;

  void add(Mark mark, const std::string& words, std::size_t count, float radius_ems) {
    const float em = ui_.theme.em, from = left_ + (second_ ? width_ + em : 0), side = std::round(em * 1.7F);
    if (!second_) row_ = ImGui::GetCursorPosY();
    const float words_at = from + side + std::round(em * 0.4F), line = row_ + std::round(em * 0.33F);
    ImGui::SetCursorPos({from, row_});
    mark_item(ui_.theme, mark, ui_.colours, radius_ems);
    const std::string number = std::to_string(count);
    const float number_width = ImGui::CalcTextSize(number.c_str()).x;
    ImGui::SetCursorPos({words_at, line});
    ImGui::PushTextWrapPos(from + width_ - number_width - em * 0.3F);
    text(words);
    ImGui::PopTextWrapPos();
    low_ = std::max({second_ ? low_ : 0, row_ + side, ImGui::GetCursorPosY()});
    ImGui::SetCursorPos({from + width_ - number_width, line});
    ImGui::PushStyleColor(ImGuiCol_Text, im(count == 0 ? ui_.theme.ink.muted : ui_.theme.ink.text));
    text(number);
    ImGui::PopStyleColor();
    ImGui::SetCursorPosY(low_);
    second_ = !second_;
  }

 private:
  const Ui& ui_;
  FontScope font_;
  float left_ = 0, width_ = 0, row_ = 0, low_ = 0;
  bool second_ = false;
};

void class_lines(const Ui& ui) {
  const core::Metric& metric = ui.assessment->metric_info();
  const SiteTally& tally = ui.tally;
  const auto count = [&](Standing s) { return tally.of(s); };
  core::SiteAssessment shown;
  shown.sample = core::SampleIndex(0);
  shown.has_value = true;
  shown.in_scope = true;
  {
    MarkColumns marks(ui);
    for (const core::ClassBand& band : metric.bands) {
      shown.class_rank = static_cast<std::uint8_t>(band.rank);
      marks.add(site_mark(shown, metric), band.name, tally.of_class[shown.class_rank], kSiteMark_ems);
    }
    if (metric.bands.empty()) {
      shown.value = 12;
      marks.add(site_mark(shown, metric), "value (no classes)", count(Standing::kValue), kSiteMark_ems);
    }
    const auto hollow = [&](Sign sign, const char* words, Standing s) {
      marks.add({MarkShape::kRing, kColourUnclassed, static_cast<std::uint8_t>(sign), kNoSign}, words,
                count(s), kSiteMark_ems);
    };
    hollow(Sign::kDash, "outside the scope", Standing::kOutsideScope);
    hollow(Sign::kTimes, "no value or class", Standing::kNoValue);
    hollow(Sign::kQuestion, ui.state.is_narrowed() ? "no sample then" : "not sampled yet",
           Standing::kNotSampled);
    if (tally.faded > 0) {
      const auto colour =
          static_cast<std::uint8_t>(kFaded + (metric.bands.empty() ? kColourValue : kColourFirstClass));
      marks.add({MarkShape::kDisc, colour, kNoSign, kNoSign}, "from earlier", tally.faded, kSiteMark_ems);
    }
  }
  if (tally.faded > 0)
    small_muted(ui.theme, "Earlier: retired, or two years without a sample; with the year.");
}

// What cannot be on the map can still be chosen.
void unplaced_lines(const Ui& ui) {
  const auto unplaced = ui.model.unplaced_sites();
  const core::SiteColumns& sites = ui.snapshot().sites;
  gap(ui.theme, 0.2F);
  heading(ui.theme, "Without a position: " + count_of(unplaced.size(), "site", "sites"));
  small_muted(ui.theme, "Scored like the others, but not on the map and without distances.");
  const float em = ui.theme.em, least = ui.theme.row(1.9F), left = em * 2;
  const float width = ImGui::GetContentRegionAvail().x, between = ImGui::GetStyle().ItemSpacing.y;
  const auto words = [&](std::size_t row) -> RowWords {
    const std::size_t i = unplaced[row].value();
    return {std::string(sites.code[i]) + "  " + std::string(sites.name[i])};
  };
  RowTops& rows = ui.desk.unplaced_rows;
  follow_rows(
      rows, std::to_string(ui.model.revision()) + " " + std::to_string(width) + " " + std::to_string(em),
      unplaced.size(),
      [&](std::size_t row) { return row_height(ui.theme, words(row), left, width, least) + between; });
  const ImVec2 top = ImGui::GetCursorScreenPos();
  const auto [first, behind] = rows_in_sight(rows, top.y);
  for (std::size_t row = first; row < behind; ++row) {
    const core::SiteIndex site = unplaced[row];
    ImGui::PushID(static_cast<int>(row));
    ImGui::SetCursorScreenPos({top.x, top.y + rows.tops[row]});
    const DrawnRow drawn = words_row(ui.theme, "##unplaced", ui.state.site == site, words(row), left, least);
    if (drawn.tapped) ui.push(SelectSite{site});
    if (ui.assessment)
      draw_mark(*ImGui::GetWindowDrawList(), {drawn.at.x + em * 0.85F, drawn.middle}, em * 0.58F,
                site_mark(ui.assessment->sites[site.value()], ui.assessment->metric_info()), ui.colours,
                ui.theme);
    ImGui::PopID();
  }
  ImGui::SetCursorScreenPos({top.x, top.y + rows.tops.back()});
  ImGui::Dummy({1, 0});
}

void layer_box(const Ui& ui, const char* name, Layer layer) {
  bool shown = ui.state.layers[layer];
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding,
                      ImVec2(ui.theme.em * 0.2F, (ui.theme.row(1.28F) - ui.theme.em) / 2));
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
                           im(ui.theme.ink.flow));
  }
}

// An outfall beside a site's mark, and what the line between them means.
void leader_line(const Ui& ui) {
  const float em = ui.theme.em, side = std::round(em * 1.7F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddLine({at.x + em * 0.5F, at.y + side / 2}, {at.x + em * 1.8F, at.y + side / 2},
               im(ui.theme.ink.outfall), em * 0.13F);
  draw_mark(list, {at.x + em * 0.5F, at.y + side / 2}, em * 0.42F,
            {MarkShape::kSquare, kColourOutfall, kNoSign, kNoSign}, ui.colours, ui.theme);
  ImGui::Dummy({em * 1.9F, side});
  ImGui::SameLine();
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() + std::round(em * 0.33F));
  wrapped("moved aside; the line ends where it is");
}

void outfall_lines(const Ui& ui) {
  std::array<std::size_t, 6> counts{};
  std::size_t out_of_use = 0;
  for (const core::Outfall& o : ui.snapshot().outfalls) {
    ++counts[static_cast<std::size_t>(o.kind)];
    if (outfall_use(o, ui.state.date) != OutfallUse::kInUse) ++out_of_use;
  }
  {
    MarkColumns marks(ui);
    for (const core::OutfallKind kind :
         {core::OutfallKind::kTreatedSewage, core::OutfallKind::kStormSewage, core::OutfallKind::kRoadDrain,
          core::OutfallKind::kFieldDrain, core::OutfallKind::kTrade, core::OutfallKind::kUnknown}) {
      const std::size_t count = counts[static_cast<std::size_t>(kind)];
      if (count > 0)
        marks.add({outfall_shape(kind), kColourOutfall, kNoSign, kNoSign},
                  kind == core::OutfallKind::kUnknown ? "kind not known" : core::outfall_kind_name(kind),
                  count, kOutfallMark_ems);
    }
    if (out_of_use > 0)
      marks.add({MarkShape::kSquare, kColourOutfall + kFaded, kNoSign, kNoSign}, "not in use", out_of_use,
                kOutfallMark_ems);
  }
  if (ui.shown.leaders) leader_line(ui);
}

// The worst falls in words, each with its number; on the map that stands beside the lower site.
void fall_lines(const Ui& ui) {
  const auto falls = worst_falls(ui);
  if (ui.model.answers().pending() && falls.empty())
    small_muted(ui.theme, "Working it out \u2026");
  else if (falls.empty())
    small_muted(ui.theme, "No two neighbours on one flow path between which it falls.");
  for (std::size_t i = 0; i < falls.size(); ++i) {
    const ImVec2 at = ImGui::GetCursorScreenPos(), size = fall_tag_size(ui.theme, i);
    draw_fall_tag(*ImGui::GetWindowDrawList(), at, ui.theme, i);
    const float indent = size.x + ui.theme.em * 0.4F;
    ImGui::Indent(indent);
    small_muted(ui.theme, drop_in_words(ui.snapshot(), falls[i], ui.assessment->metric_info()));
    ImGui::Unindent(indent);
  }
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
      const FontScope font(ui.theme.small);
      ImGui::Indent(ui.theme.em * 1.9F);
      text(words);
      line_sample(ui, ink, width, dashed, false);
      ImGui::Unindent(ui.theme.em * 1.9F);
    };
    line("measured: a site within 500 m", colour, 4.6F, false);
    if (classes) line("inferred: sites above and below agree", colour, 4.6F, true);
    line("unknown", ui.theme.ink.unknown_reach, 1.7F, false);
  }
  layer_box(ui, "Where it falls most", Layer::kDrops);
  line_sample(ui, ui.theme.ink.drop, 11, false, false);
  line_sample(ui, ui.theme.ink.paper, 7.4F, false, false);
  line_sample(ui, ui.theme.ink.unknown_reach, 3, false, false);
  if (ui.state.layers[Layer::kDrops]) fall_lines(ui);
  ui.shown.key.falls_bottom = ImGui::GetCursorScreenPos().y - ImGui::GetStyle().ItemSpacing.y;
}

// The areas in class colours, with what the colour means.
void catchment_class_lines(const Ui& ui) {
  if (!ui.assessment || ui.snapshot().catchments.empty() || ui.assessment->metric_info().bands.empty())
    return;
  layer_box(ui, "Filled by the class in the middle", Layer::kCatchmentClasses);
  Colour colour = ui.colours.fill[kColourFirstClass + ui.assessment->metric_info().bands.size() / 2];
  line_sample(ui, between(ui.theme.ink.paper, colour, ui.theme.ink.fill_strength / 255.0), 11, false, false);
  if (ui.state.layers[Layer::kCatchmentClasses])
    small_muted(ui.theme, "The class in the middle of the sites inside; without colour: none is assessed.");
}

// Sites that would hide one another, under one sign.
void cluster_line(const Ui& ui) {
  if (ui.sites.signs().empty()) return;
  const float em = ui.theme.em, side = std::round(em * 2.2F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ClusterLook look;
  look.count = 12;
  const std::size_t classes = ui.assessment ? ui.assessment->metric_info().bands.size() : 0;
  if (classes > 1) {
    look.share[kColourFirstClass] = 6;
    look.share[kColourFirstClass + classes / 2] = 4;
    look.share[kColourFirstClass + classes - 1] = 2;
    look.worst_rank = static_cast<std::uint8_t>(std::min(classes, kMostClasses));
  } else {
    look.share[kColourUnclassed] = 12;
  }
  draw_cluster_sign(*ImGui::GetWindowDrawList(), {at.x + em * 0.95F, at.y + side / 2}, ui.theme, ui.colours,
                    look, 0.75F);
  ImGui::Dummy({em * 2.2F, side});
  ImGui::SameLine();
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() + std::round(em * 0.1F));
  const FontScope font(ui.theme.small);
  wrapped("several sites: how many, their classes as shares of the ring, and the worst; tap to come nearer");
}

void suggestion_line(const Ui& ui) {
  if (ui.state.design.answer.list.empty()) return;
  const float em = ui.theme.em;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  draw_suggestion_tag(*ImGui::GetWindowDrawList(), {at.x + em, at.y + em}, ui.theme, 1, false);
  ImGui::Dummy({em * 2.2F, std::round(em * 2)});
  ImGui::SameLine();
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() + std::round(em * 0.3F));
  text("suggested spots, by their numbers under Where");
}

void map_lines(const Ui& ui) {
  const core::Snapshot& s = ui.snapshot();
  layer_box(ui, "Watercourses, flowing this way", Layer::kChannels);
  line_sample(ui, ui.theme.ink.channel, 2.2F, false, true);
  if (!s.reaches.empty() && ui.assessment) reach_lines(ui);
  if (ui.paint.frame.channels.left_out && ui.state.layers[Layer::kChannels])
    small_muted(ui.theme, "The smallest are drawn when the map is nearer.");
  if (!ui.scene.passages.empty()) {
    const FontScope font(ui.theme.small);
    ImGui::Indent(ui.theme.em * 1.9F);
    text("way through a lake");
    line_sample(ui, ui.theme.ink.channel, 1.6F, true, false);
    ImGui::Unindent(ui.theme.em * 1.9F);
  }
  layer_box(ui, "Ponds and other waters", Layer::kWaters);
  line_sample(ui, ui.theme.ink.water, 11, false, false);
  layer_box(ui, "Catchment boundaries", Layer::kCatchments);
  line_sample(ui, ui.theme.ink.catchment, 1.8F, true, false);
  catchment_class_lines(ui);
  if (ui.shown.catchment_classes)
    small_muted(ui.theme, "Under a catchment's name: the middle and the worst class of its sites.");
  layer_box(ui, "Names on the map", Layer::kLabels);
  layer_box(ui, s.outfalls.empty() ? "Outfalls (this survey has none)" : "Outfalls", Layer::kOutfalls);
  outfall_lines(ui);
  suggestion_line(ui);
  gap(ui.theme, 0.2F);
  text(ui.state.map.measure.on ? "Path to an outfall; measured along the channel"
                               : "Path to an outfall, along the channel");
  line_sample(ui, ui.theme.ink.query, 4.6F, false, false);
  if (ui.state.map.measure.on) {
    text("Measured straight");
    line_sample(ui, ui.theme.ink.text, 2.4F, true, false);
  }
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
  if (ui.snapshot().sites.size() == 0 && ui.layout.map.width <= 0) draw_first_steps(ui);  // else on the map
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing,
                      ImVec2(ImGui::GetStyle().ItemSpacing.x, std::round(ui.theme.em * 0.22F)));
  small_muted(ui.theme, survey_sentence(ui.snapshot(), ui.model));
  if (!ui.model.session().notice.empty()) notice(ui.theme, ui.model.session().notice);
  rule(ui.theme);
  layer_box(ui,
            !ui.state.date           ? "Sites"
            : ui.state.is_narrowed() ? "Sites, by the samples of the period below"
                                     : "Sites, as known on this day",
            Layer::kSites);
  if (ui.assessment) class_lines(ui);
  if (ui.state.layers[Layer::kSites]) cluster_line(ui);
  if (!ui.model.unplaced_sites().empty()) unplaced_lines(ui);
  rule(ui.theme);
  map_lines(ui);
  rule(ui.theme);
  draw_ground_lines(ui);
  rule(ui.theme);
  if (ui.assessment)
    method_lines(ui);
  else
    notice(ui.theme, "This program has no method to score with.");
  if (!ui.snapshot().survey.description.empty()) {
    rule(ui.theme);
    small_muted(ui.theme, ui.snapshot().survey.description);
  }
  ImGui::PopStyleVar();
}

}  // namespace brookmark::viewer
