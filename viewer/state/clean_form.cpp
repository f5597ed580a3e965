#include "viewer/state/clean_form.hpp"

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"
#include "viewer/map/position_words.hpp"

namespace brookmark::viewer {

namespace {

core::SiteIndex site_of(const core::Snapshot& snapshot, const std::string& code) {
  if (code.empty()) throw Error(ErrorCode::kBadUse, "choose a site on the map, or write its code");
  if (const auto site = snapshot.find_site(code)) return *site;
  throw Error(ErrorCode::kNotFound, "there is no site \"" + code + "\" in this survey");
}

std::vector<core::KitIndex> items_of(const core::RecordSource& source,
                                     const std::vector<std::string>& codes) {
  std::vector<core::KitIndex> items;
  for (const std::string& code : codes)
    if (const auto item = source.history.find(code)) items.push_back(*item);
  if (items.empty()) throw Error(ErrorCode::kBadUse, "tap the kit that it is about");
  return items;
}

core::Moment when_of(const CleanForm& form) {
  const std::string day(core::trim(form.day)), time(core::trim(form.time));
  const auto date = core::parse_date(day);
  if (!date) throw Error(ErrorCode::kBadInput, "\"" + day + "\" is no day; write it as 2025-06-10");
  if (time.empty()) return {*date, {}, {}};
  const auto moment = core::parse_moment(day + "T" + time);
  if (!moment || !moment->minute_of_day)
    throw Error(ErrorCode::kBadInput, "\"" + time + "\" is no time of day; write it as 09:30");
  return {*date, moment->minute_of_day, form.utc_offset_min};
}

std::optional<double> number_of(const std::string& written, const char* what, double least, double most) {
  const std::string_view text = core::trim(written);
  if (text.empty()) return std::nullopt;
  const auto value = core::parse_number(text);
  if (!value || *value < least || *value > most)
    throw Error(ErrorCode::kBadInput, "\"" + written + "\" is no " + what);
  return value;
}

core::Cleaning cleaning_of(const CleanForm& form) {
  if (core::trim(form.agent).empty())
    throw Error(ErrorCode::kBadUse, "tap or write what it was cleaned with");
  core::Cleaning cleaning;
  const core::CleaningAgent* agent = core::find_agent(form.agent);
  cleaning.agent = agent != nullptr ? agent->name : std::string(core::trim(form.agent));
  cleaning.concentration_pct = number_of(form.strength, "strength in per cent", 1e-9, 100);
  cleaning.temperature_c = number_of(form.temperature, "temperature in degrees Celsius", -50, 200);
  cleaning.contact_min = number_of(form.minutes, "time in minutes", 1e-6, 5256000);
  cleaning.finished = when_of(form);
  return cleaning;
}

}  // namespace

CleanForm begin_task(CleanTask task, const std::string& site_code, const core::Moment& now) {
  CleanForm form;
  form.task = task;
  form.site = site_code;
  form.day = core::format_date(now.date);
  if (now.minute_of_day) {
    const auto two = [](int value) { return (value < 10 ? "0" : "") + std::to_string(value); };
    form.time = two(*now.minute_of_day / 60) + ":" + two(*now.minute_of_day % 60);
  }
  form.utc_offset_min = now.utc_offset_min;
  return form;
}

void tap_kit(CleanForm& form, const std::string& code, bool alone) {
  const auto at = std::find(form.kit.begin(), form.kit.end(), code);
  if (at != form.kit.end()) {
    form.kit.erase(at);
    return;
  }
  if (alone) form.kit.clear();
  form.kit.push_back(code);
}

CleanReading read_form(const CleanForm& form, const core::RecordSource& source) {
  CleanReading reading;
  const core::Snapshot& snapshot = source.snapshot;
  try {
    switch (form.task) {
      case CleanTask::kNone:
        break;
      case CleanTask::kUse: {
        const auto items = items_of(source, form.kit);
        reading.recorded =
            core::record_use(source, items, site_of(snapshot, form.site), when_of(form), form.reason, "");
        break;
      }
      case CleanTask::kClean: {
        const auto items = items_of(source, form.kit);
        const core::Cleaning cleaning = cleaning_of(form);
        reading.recorded = core::record_cleaning(source, items, cleaning);
        reading.verdicts =
            core::judge_cleaning(cleaning, core::targets_to_meet(source, items, cleaning.finished));
        break;
      }
      case CleanTask::kRisk:
        reading.recorded = core::record_risk(source, site_of(snapshot, form.site), form.organism, form.status,
                                             when_of(form).date, std::string(core::trim(form.told_by)), "");
        break;
      case CleanTask::kHold:
        reading.recorded = core::record_hold(source, items_of(source, form.kit).front(),
                                             site_of(snapshot, form.site), form.what, when_of(form).date, "");
        break;
      case CleanTask::kRelease: {
        std::optional<core::SiteIndex> to;
        const core::KitIndex item = items_of(source, form.kit).front();
        if (!form.disposed) to = site_of(snapshot, form.site);
        reading.recorded = core::record_release(source, item, to, when_of(form), form.reason);
        break;
      }
    }
  } catch (const Error& error) {
    reading.trouble = core::plain_sentence(error.what());
  }
  return reading;
}

std::vector<std::string> kit_to_choose(CleanTask task, const core::Snapshot& snapshot) {
  std::vector<std::string> codes;
  for (const core::Kit& kit : snapshot.kit) {
    const bool holds =
        std::any_of(snapshot.holdings.begin(), snapshot.holdings.end(), [&](const core::Holding& held) {
          return held.kit_key == kit.key && held.outcome == core::HoldingOutcome::kHeld;
        });
    if (task == CleanTask::kRelease ? holds : !kit.retired) codes.push_back(kit.code);
  }
  return codes;
}

bool RoundWish::operator==(const RoundWish& o) const {
  const auto way = [](const RoundWish& wish) {
    return wish.on_the_way ? core::cleaning_words(*wish.on_the_way) : std::string();
  };
  return sites == o.sites && day == o.day && clean_sets == o.clean_sets && way(*this) == way(o) &&
         start == o.start && and_back == o.and_back && leave == o.leave && speed_kmh == o.speed_kmh &&
         stop_min == o.stop_min && vessels == o.vessels && after_dark == o.after_dark && call == o.call;
}

core::PlanRequest round_request(const RoundWish& wish, const core::Snapshot& snapshot) {
  core::PlanRequest request;
  for (const std::string& code : wish.sites) request.sites.push_back(site_of(snapshot, code));
  const auto day = core::parse_date(core::trim(wish.day));
  if (!day) throw Error(ErrorCode::kBadInput, "\"" + wish.day + "\" is no day; write it as 2025-06-10");
  request.day = *day;
  request.clean_sets = wish.clean_sets;
  request.on_the_way = wish.on_the_way;
  if (!core::trim(wish.start).empty()) {
    request.start = read_position(wish.start);
    if (!request.start)
      throw Error(ErrorCode::kBadInput,
                  "\"" + wish.start +
                      "\" is no place on Earth; write the start as 45.001 N 30.002 W, or latitude "
                      "and longitude in degrees");
    request.and_back = wish.and_back;
  }
  if (const std::string leave(core::trim(wish.leave)); !leave.empty()) {
    const auto moment = core::parse_moment(core::format_date(*day) + "T" + leave);
    if (!moment || !moment->minute_of_day)
      throw Error(ErrorCode::kBadInput, "\"" + leave + "\" is no time of day; write it as 09:30");
    request.leave_min = moment->minute_of_day;
  }
  request.speed_kmh = wish.speed_kmh;
  request.stop_min = wish.stop_min;
  request.vessels_per_stop = wish.vessels;
  request.after_dark = wish.after_dark;
  return request;
}

void plan_round(Round& round, const core::RecordSource& source, std::uint64_t revision) {
  round.plan.reset();
  round.trouble.clear();
  round.revision = revision;
  try {
    round.plan = core::plan_visits(source.snapshot, source.waters, source.history,
                                   round_request(round.wish, source.snapshot));
  } catch (const Error& error) {
    round.trouble = core::plain_sentence(error.what());
  }
}

std::vector<core::Cleaning> cleanings_on_the_way() {
  constexpr double kLongestMin = 120;  // what one waits for between two waters: common practice, no source
  std::vector<core::Cleaning> cleanings = core::cleanings_against(core::routine_targets());
  std::erase_if(cleanings, [](const core::Cleaning& c) { return c.contact_min.value_or(0) > kLongestMin; });
  return cleanings;
}

}  // namespace brookmark::viewer
