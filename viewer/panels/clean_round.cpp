// The round of visits on its page: which sites, with what kit and cleaning, and in which order they are clean.
#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"
#include "viewer/map/position_words.hpp"
#include "viewer/panels/clean_internal.hpp"
#include "viewer/panels/entry_fields_internal.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/stepper_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

std::string code_of(const Ui& ui, core::SiteIndex site) {
  return std::string(ui.snapshot().sites.code[site.value()]);
}

bool holds(const std::vector<std::string>& codes, const std::string& code) {
  return std::find(codes.begin(), codes.end(), code) != codes.end();
}

void sites_part(const Ui& ui, Round& round) {
  auto& sites = round.wish.sites;
  bool changed = false;
  if (sites.empty())
    muted(
        "No site is in the round yet. Add the one that is chosen on the map, or draw a ring round several.");
  ButtonFlow flow(ui);
  std::string away;
  for (const std::string& code : sites)
    if (flow.button(code + " \u00d7##round " + code)) away = code;
  if (!away.empty()) changed = std::erase(sites, away) > 0;
  ButtonFlow more(ui);
  if (ui.state.site)
    if (const std::string code = code_of(ui, *ui.state.site);
        !holds(sites, code) && more.button("Add " + code + "##to the round")) {
      sites.push_back(code);
      changed = true;
    }
  if (!ui.state.lasso.sites.empty() &&
      more.button("Add the " + std::to_string(ui.state.lasso.sites.size()) + " in the ring")) {
    for (const core::SiteIndex site : ui.state.lasso.sites)
      if (!holds(sites, code_of(ui, site))) sites.push_back(code_of(ui, site));
    changed = true;
  }
  if (more.button("Draw a ring")) ui.push(StartLasso{});
  if (!sites.empty() && more.button("Begin anew")) {
    sites.clear();
    changed = true;
  }
  if (changed) round.plan.reset(), round.trouble.clear();
}

// Where the day begins: at the first stop, or at a place that is taken from the map or written.
void start_part(const Ui& ui, RoundWish& wish) {
  const float width = ImGui::GetContentRegionAvail().x;
  if (const Typed typed = field(ui, "##round start",
                                "Start, latitude and longitude; empty: at the first stop", wish.start, width);
      typed.words)
    wish.start = *typed.words;
  const auto words = [](core::LonLat place) {
    return position_words(place, PositionForm::kDegrees, nullptr);
  };
  ButtonFlow flow(ui);
  if (flow.button("At the first stop", core::trim(wish.start).empty())) wish.start.clear();
  if (flow.button("The map's middle")) wish.start = words(ui.model.frame().to_lonlat(ui.state.view.centre));
  if (ui.state.site && core::is_placed(ui.snapshot().sites.position[ui.state.site->value()]) &&
      flow.button("At " + code_of(ui, *ui.state.site) + "##round start"))
    wish.start = words(ui.snapshot().sites.position[ui.state.site->value()]);
  if (!core::trim(wish.start).empty() && flow.button("And back there", wish.and_back))
    wish.and_back = !wish.and_back;
}

void more_part(const Ui& ui, RoundWish& wish) {
  start_part(ui, wish);
  const int speed = stepper(ui, "Speed", core::plain_number(wish.speed_kmh, 1) + " km/h",
                            static_cast<int>(std::lround(wish.speed_kmh * 2)), {1, 200, 1});
  wish.speed_kmh = speed / 2.0;
  wish.stop_min = stepper(ui, "Each site", core::plain_number(wish.stop_min, 0) + " min",
                          static_cast<int>(std::lround(wish.stop_min)), {5, 480, 5});
  small_muted(ui.theme, "4 km/h on foot in straight lines, 45 minutes a site: common practice, no source.");
  wish.vessels = static_cast<std::size_t>(stepper(ui, "Vessels a stop", std::to_string(wish.vessels),
                                                  static_cast<int>(wish.vessels), {0, 20, 1}));
  ButtonFlow dark(ui);
  if (dark.button("By daylight", !wish.after_dark)) wish.after_dark = false;
  if (dark.button("After dark too", wish.after_dark)) wish.after_dark = true;
}

void question_part(const Ui& ui, Round& round) {
  const RoundWish before = round.wish;
  RoundWish& wish = round.wish;
  const float half = std::floor((ImGui::GetContentRegionAvail().x - ImGui::GetStyle().ItemSpacing.x) / 2);
  if (const Typed typed = field(ui, "##round day", "Day", wish.day, half); typed.words)
    wish.day = *typed.words;
  ImGui::SameLine();
  if (const Typed typed = field(ui, "##round leave", "Leave at (09:00)", wish.leave, half); typed.words)
    wish.leave = *typed.words;
  small_muted(ui.theme, "Kit");
  ButtonFlow kit(ui);
  const auto sets_button = [&](const char* words, std::optional<std::size_t> sets) {
    if (kit.button(words, wish.clean_sets == sets)) wish.clean_sets = sets;
  };
  sets_button("As listed", {});
  sets_button("1 clean set", 1);
  sets_button("2 clean sets", 2);
  sets_button("3 clean sets", 3);
  small_muted(ui.theme, "Cleaning between waters");
  ButtonFlow way(ui);
  const auto clean_button = [&](const std::string& words, const std::optional<core::Cleaning>& cleaning) {
    const bool chosen =
        cleaning.has_value() == wish.on_the_way.has_value() &&
        (!cleaning || core::cleaning_words(*cleaning) == core::cleaning_words(*wish.on_the_way));
    if (way.button(words, chosen)) wish.on_the_way = cleaning;
  };
  clean_button("None##on the way", {});
  for (const core::Cleaning& cleaning : cleanings_on_the_way())
    clean_button(core::cleaning_words(cleaning), cleaning);
  if (push_button(ui.theme, round.more ? "Less##round" : "More: start, speed, vessels \u2026",
                  {ImGui::GetContentRegionAvail().x, 0}))
    round.more = !round.more;
  if (round.more) more_part(ui, wish);
  if (wish != before) round.plan.reset(), round.trouble.clear();
}

void stop_row(const Ui& ui, const GoingClean& clean, const core::PlanStop& stop, std::size_t row) {
  ImGui::PushID(static_cast<int>(row));
  const float em = ui.theme.em;
  const DrawnRow drawn =
      words_row(ui.theme, "##stop", ui.state.site == stop.site,
                {code_of(ui, stop.site) + "  " + clean.waters.name(stop.body), {}, {}, ui.theme.strong, {}},
                em * 2.3F, ui.theme.row(2.0F));
  if (drawn.tapped) ui.push(SelectSite{stop.site});
  draw_suggestion_tag(*ImGui::GetWindowDrawList(), {drawn.at.x + em, drawn.at.y + drawn.height / 2}, ui.theme,
                      row + 1, false);
  ImGui::Indent(em * 2.3F);
  wrapped(core::clock_words(stop.arrive_min) + " to " + core::clock_words(stop.leave_min) +
          (stop.way_m >= 0.5 ? ", after " + distance_in_words(stop.way_m) : std::string()));
  if (!stop.cleaning_before.empty()) wrapped("Before it clean: " + stop.cleaning_before + ".");
  std::string kit = stop.kit_set.empty() ? "Kit: NONE IS CLEAN" : "Kit: " + stop.kit_set;
  std::vector<std::string> vessels;
  for (const core::KitIndex vessel : stop.vessels) vessels.push_back(ui.snapshot().kit[vessel.value()].code);
  if (!vessels.empty()) kit += ". Vessels: " + core::plain_list(vessels);
  wrapped(kit + ".");
  if (const std::string risk = core::risk_words(stop); !risk.empty())
    small_muted(ui.theme, "Risk: " + risk + ".");
  if (!stop.note.empty()) notice(ui.theme, core::plain_sentence(stop.note));
  ImGui::Unindent(em * 2.3F);
  ImGui::PopID();
}

void plan_part(const Ui& ui, const GoingClean& clean, const core::VisitPlan& plan) {
  for (const std::string& lack : plan.lacking) alarm(ui.theme, "Not clean: " + lack);
  for (const std::string& late : plan.late) notice(ui.theme, late);
  for (std::size_t row = 0; row < plan.stops.size(); ++row) stop_row(ui, clean, plan.stops[row], row);
  small_muted(ui.theme, "Back at " + core::clock_words(plan.home_min) + ", " + distance_in_words(plan.way_m) +
                            " in straight lines" +
                            (plan.sunset_min ? ", sunset " + core::clock_words(*plan.sunset_min) : "") +
                            (plan.dusk_min ? ", dark from " + core::clock_words(*plan.dusk_min) : "") + ".");
  for (const std::string& rule : plan.rules) small_muted(ui.theme, rule);
}

}  // namespace

void draw_round(const Ui& ui, const GoingClean& clean) {
  Round& round = ui.desk.clean.round;
  heading(ui.theme, "A round of visits");
  if (round.plan && round.revision != ui.model.revision()) round.plan.reset();
  ImGui::PushID("round");
  sites_part(ui, round);
  if (round.wish.day.empty()) round.wish.day = core::format_date(record_source(ui, clean).now.date);
  if (!round.wish.sites.empty()) {
    question_part(ui, round);
    const float width = ImGui::GetContentRegionAvail().x;
    if (push_button(ui.theme, "Plan the round", {width, ui.theme.row(2.4F)})) {
      plan_round(round, record_source(ui, clean), ui.model.revision());
    }
    if (!round.trouble.empty()) notice(ui.theme, round.trouble);
    if (round.plan) {
      plan_part(ui, clean, *round.plan);
      if (push_button(ui.theme, "Field sheet \u2026", {width, ui.theme.row(2.4F)}))
        ui.push(
            OpenDialog{.kind = DialogKind::kSheet, .round = std::make_shared<const RoundWish>(round.wish)});
    }
  }
  ImGui::PopID();
  gap(ui.theme, 0.4F);
}

}  // namespace brookmark::viewer
