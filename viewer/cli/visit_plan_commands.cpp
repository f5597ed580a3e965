// `visit-plan`: in which order to go so that nothing is carried from water to water, and a sheet to take along.
#include <algorithm>
#include <memory>
#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/visit_plan.hpp"
#include "geodata/output_file.hpp"
#include "viewer/cli/kit_words.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/report/field_sheet.hpp"

namespace brookmark::viewer {

namespace {

struct VisitPlanCommand {
  std::vector<std::string> sites, sheets;
  std::string date, start, leave, call, clean_with;
  bool back = false, after_dark = false, force = false;
  double speed_kmh = 4, stop_min = 45, handling_min = 10;
  std::optional<std::int64_t> sets, utc_offset_min;
  std::int64_t vessels = 1;
  std::optional<double> strength, temperature, minutes;
};

std::vector<core::SiteIndex> sites_of(const core::Snapshot& snapshot, const std::vector<std::string>& words) {
  std::vector<core::SiteIndex> sites;
  for (const std::string& word : words)
    for (const std::string& part : core::split(word, ','))
      for (const std::string& code : core::split(part, ' '))
        if (!code.empty()) sites.push_back(choose_site(snapshot, code));
  return sites;
}

std::optional<core::Cleaning> cleaning_of(const VisitPlanCommand& command) {
  const bool said = command.strength || command.temperature || command.minutes;
  if (command.clean_with.empty()) {
    if (said)
      throw Error(ErrorCode::kBadUse,
                  "--strength, --temperature and --minutes say how kit is cleaned on the way; say with what: "
                  "--clean-with AGENT");
    return std::nullopt;
  }
  const core::CleaningAgent* agent = core::find_agent(command.clean_with);
  if (agent == nullptr)
    throw Error(ErrorCode::kNotFound, "\"" + command.clean_with +
                                          "\" is in none of the cleaning rules; they know " + agents_known());
  core::Cleaning cleaning;
  cleaning.agent = agent->name;
  cleaning.concentration_pct = command.strength;
  cleaning.temperature_c = command.temperature;
  cleaning.contact_min = command.minutes;
  return cleaning;
}

core::PlanRequest request_of(const core::Snapshot& snapshot, const VisitPlanCommand& command) {
  core::PlanRequest request;
  request.sites = sites_of(snapshot, command.sites);
  request.day = choose_date(command.date, now_here(snapshot).date);
  if (!command.start.empty()) {
    const auto parts = core::split(command.start, ',');
    const auto lon = core::parse_number(core::trim(parts[0]));
    const auto lat = parts.size() == 2 ? core::parse_number(core::trim(parts[1])) : std::nullopt;
    if (!lon || !lat || !core::is_valid({*lon, *lat}))
      throw Error(ErrorCode::kBadUse,
                  "\"" + command.start + "\" is no place; write --start LON,LAT in degrees");
    request.start = core::LonLat{*lon, *lat};
  }
  if (command.back && !request.start)
    throw Error(ErrorCode::kBadUse, "--back needs --start LON,LAT, the place to come back to");
  request.and_back = command.back;
  if (command.utc_offset_min) request.utc_offset_min = static_cast<int>(*command.utc_offset_min);
  if (!command.leave.empty()) {
    const auto leave = core::parse_moment(core::format_date(request.day) + "T" + command.leave);
    if (!leave || !leave->minute_of_day)
      throw Error(ErrorCode::kBadInput, "\"" + command.leave + "\" is no time of day; write --leave 09:30");
    request.leave_min = leave->minute_of_day;
  }
  request.speed_kmh = command.speed_kmh;
  request.stop_min = command.stop_min;
  request.handling_min = command.handling_min;
  if (command.sets) request.clean_sets = static_cast<std::size_t>(*command.sets);
  request.after_dark = command.after_dark;
  request.vessels_per_stop = static_cast<std::size_t>(command.vessels);
  request.on_the_way = cleaning_of(command);
  return request;
}

Rows rows_of(const core::Snapshot& snapshot, const core::SurveyWaters& waters, const core::VisitPlan& plan) {
  Rows rows{{"stop", "site", "name", "water", "risk", "arrive", "leave", "way_m", "kit_set", "clean_before",
             "vessels", "note"},
            {}};
  std::size_t place = 0;
  for (const core::PlanStop& stop : plan.stops) {
    std::string vessels;
    for (const core::KitIndex vessel : stop.vessels)
      vessels += (vessels.empty() ? "" : " ") + snapshot.kit[vessel.value()].code;
    rows.add({whole(++place), text(snapshot.sites.code[stop.site.value()]),
              text_or_empty(snapshot.sites.name[stop.site.value()]), text(waters.name(stop.body)),
              text_or_empty(core::risk_words(stop)), text(core::clock_words(stop.arrive_min)),
              text(core::clock_words(stop.leave_min)), number(stop.way_m, 0), text_or_empty(stop.kit_set),
              text_or_empty(stop.cleaning_before), text_or_empty(vessels), text_or_empty(stop.note)});
  }
  for (const core::SiteIndex site : plan.another_day)
    rows.add({{},
              text(snapshot.sites.code[site.value()]),
              text_or_empty(snapshot.sites.name[site.value()]),
              text(waters.name(waters.of(site))),
              {},
              {},
              {},
              {},
              {},
              {},
              {},
              text("left for another day: not all stops end before sunset")});
  return rows;
}

void write_sheets(const std::filesystem::path& survey, const VisitPlanCommand& command,
                  const FieldSheetInput& input, const Console& console) {
  const Document sheet = field_sheet(input);
  for (const std::string& target : command.sheets) {
    const std::string ending = core::to_lower_ascii(std::filesystem::path(target).extension().string());
    geodata::check_output(target, {survey}, command.force);
    geodata::write_text_file(target, ending == ".pdf" ? to_pdf(sheet) : to_html(sheet), command.force);
    console.err << "wrote " << target << '\n';
    if (ending == ".pdf")
      if (const std::string pages = pages_words(input); !pages.empty()) console.err << pages << '\n';
  }
}

int run_visit_plan(const std::filesystem::path& survey, const VisitPlanCommand& command,
                   const Console& console) {
  for (const std::string& target : command.sheets) {
    const std::string ending = core::to_lower_ascii(std::filesystem::path(target).extension().string());
    if (ending != ".pdf" && ending != ".html")
      throw Error(ErrorCode::kBadUse, "a sheet is written as .pdf or .html, not as \"" + target + "\"");
    geodata::check_output(target, {survey}, command.force);
  }
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const core::SurveyWaters waters(snapshot, &session.channels);
  const core::KitHistory history(snapshot, waters);
  const core::PlanRequest request = request_of(snapshot, command);
  const core::VisitPlan plan = core::plan_visits(snapshot, waters, history, request);
  console.rows(rows_of(snapshot, waters, plan));
  write_sheets(survey, command, {snapshot, waters, plan, request.day, command.call}, console);
  for (const std::string& lack : plan.lacking) console.err << "not clean: " << lack << '\n';
  for (const std::string& late : plan.late) console.err << "late: " << late << '\n';
  if (plan.sunrise_min)
    console.err << "sunrise " << core::clock_words(*plan.sunrise_min) << ", sunset "
                << core::clock_words(*plan.sunset_min)
                << (plan.dusk_min ? ", dark from " + core::clock_words(*plan.dusk_min) : std::string())
                << ", back at " << core::clock_words(plan.home_min) << "; "
                << core::format_fixed(plan.way_m / 1000, 1) << " km\n";
  for (const std::string& rule : plan.rules) console.err << rule << '\n';
  console.err << "Local codes and licensed practice go before this plan. Disinfectants are hazardous: follow "
                 "the label and keep them away from water.\n";
  return plan.lacking.empty() && plan.late.empty() ? kDone : kAnswerIsNo;
}

}  // namespace

void add_visit_plan_verbs(Verbs& verbs) {
  const auto command = std::make_shared<VisitPlanCommand>();
  verbs
      .add_for_survey(
          "visit-plan",
          "an order of visits that carries nothing from water to water, with a sheet to take along",
          [command](const auto& survey, const Console& c) { return run_visit_plan(survey, *command, c); })
      .option("--sites", command->sites, "codes, with a comma or blank between")
      .required()
      .option("--date", command->date, "the day, YYYY-MM-DD; default: today")
      .option("--start", command->start, "LON,LAT where the day begins; default: at the first stop")
      .flag("--back", command->back, "the way back to the start counts too")
      .option("--leave", command->leave,
              "when it begins, hh:mm; default: 09:00, or sunrise where that is later")
      .number("--speed", command->speed_kmh, 0.1, 200, "km/h between the stops, in straight lines; default 4")
      .number("--minutes-each", command->stop_min, 0, 1440, "at each site; default 45")
      .whole("--sets", command->sets, 0, 1000, "so many clean sets of kit; default: what the survey lists")
      .whole("--vessels", command->vessels, 0, 100,
             "that each stop needs, of those that the survey lists; default 1")
      .option("--clean-with", command->clean_with,
              "agent with which kit can be cleaned on the way; default: it cannot")
      .number("--strength", command->strength, 1e-9, 100, "of it, per cent")
      .number("--temperature", command->temperature, -50, 200, "of it, degrees Celsius")
      .number("--minutes", command->minutes, 1e-6, 5256000, "its contact time")
      .number("--handling", command->handling_min, 0, 1440, "minutes beside the contact time; default 10")
      .flag("--after-dark", command->after_dark,
            "leave no stop for another day, though its work ends after sunset")
      .whole("--utc-offset", command->utc_offset_min, -840, 840,
             "minutes of local time before UTC; default: as at the newest visit")
      .option("--sheet", command->sheets, "OUT.html or OUT.pdf: the field sheet; may be given twice")
      .option("--call", command->call, "whom to call, for the sheet")
      .flag("--force", command->force, "replace a sheet that is there")
      .with_format();
}

}  // namespace brookmark::viewer
