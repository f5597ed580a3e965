#include <algorithm>
#include <memory>
#include <ostream>

#include "core/analysis/reach_assessment.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/design/bracket.hpp"
#include "core/design/gap.hpp"
#include "core/design/narrow.hpp"
#include "core/design/reminders.hpp"
#include "core/design/spread.hpp"
#include "core/design/variety.hpp"
#include "core/store/survey_file.hpp"
#include "geodata/export_suggestions.hpp"
#include "geodata/output_file.hpp"
#include "geodata/terrain/dem.hpp"
#include "geodata/terrain/upstream_area.hpp"
#include "viewer/cli/progress_bar.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct SuggestCommand {
  ScoreOptions score;
  std::string purpose, within, over, strata, between;
  std::optional<std::int64_t> count;
  std::int64_t seed = 1, below = 1, threshold = 1000;
  core::SpotOptions spots;
  core::KeepOutOptions keep_out;
  core::BracketOptions bracket;
  core::NarrowOptions narrow;
  core::ClearOptions clear;
  std::vector<std::string> outfalls, by;
  bool ignore_sites = false, propose = false, force = false;
  std::optional<std::string> out, terrain;
};

// What an assessment is made of, for the purposes that ask for one.
struct Assessed {
  std::shared_ptr<const core::Method> method;
  std::size_t metric = 0;
  core::ScoreTable scores;

  Assessed(const SuggestCommand& command, const core::Snapshot& snapshot)
      : method(choose_method(command.score.method)),
        metric(choose_metric(*method, command.score.metric)),
        scores(core::score_samples(snapshot, *method)) {}
};

core::SpotOn spots_on(const SuggestCommand& command, core::Purpose purpose) {
  if (command.over == "waters") return core::SpotOn::kWaters;
  if (command.over == "both") return core::SpotOn::kBoth;
  if (command.over.empty() && purpose == core::Purpose::kVariety) return core::SpotOn::kBoth;
  return core::SpotOn::kChannels;
}

core::Strata strata_of(const std::string& word) {
  if (word == "kind") return core::Strata::kKind;
  if (word == "order") return core::Strata::kOrder;
  if (word == "catchment") return core::Strata::kCatchment;
  return core::Strata::kNone;
}

// Options of one purpose given to another would be passed over in silence: they are refused.
void refuse_strangers(const SuggestCommand& command, core::Purpose purpose) {
  const auto only = [&](bool given, core::Purpose of, const char* words) {
    if (given && purpose != of)
      throw Error(ErrorCode::kBadUse, std::string(words) + " goes with --purpose " + core::purpose_name(of) +
                                          "; leave it out here");
  };
  only(!command.strata.empty() && command.strata != "none", core::Purpose::kSpread, "--strata");
  only(command.ignore_sites, core::Purpose::kSpread, "--ignore-sites");
  only(!command.outfalls.empty(), core::Purpose::kBracket, "--outfall");
  only(!command.between.empty(), core::Purpose::kNarrow, "--between");
  only(!command.by.empty(), core::Purpose::kVariety, "--by");
  only(command.below != SuggestCommand{}.below, core::Purpose::kBracket, "--below");
  only(command.narrow.outfall_m != core::NarrowOptions{}.outfall_m, core::Purpose::kNarrow,
       "--outfall-weight");
  only(command.narrow.tributary_m != core::NarrowOptions{}.tributary_m, core::Purpose::kNarrow,
       "--tributary-weight");
  only(command.narrow.fine_m != core::NarrowOptions{}.fine_m, core::Purpose::kNarrow, "--fine");
  if (!core::keeps_clear(purpose) &&
      (command.clear.mixing_m || command.clear.clear_m != core::ClearOptions{}.clear_m))
    throw Error(ErrorCode::kBadUse,
                "--mixing and --clear go with --purpose gap, bracket and narrow; leave them out here");
}

core::Suggestions suggest(const SuggestCommand& command, core::Purpose purpose, const Session& session,
                          const core::DesignSource& source, const core::Period& period) {
  const core::Snapshot& snapshot = session.snapshot;
  core::DesignOptions options;
  options.seed = static_cast<std::uint64_t>(command.seed);
  options.count = command.count ? static_cast<std::size_t>(*command.count)
                  : purpose == core::Purpose::kBracket
                      ? snapshot.outfalls.size() * (1 + command.bracket.below)
                  : purpose == core::Purpose::kNarrow ? 1
                                                      : 10;
  options.area = core::parse_area(command.within, snapshot);
  options.spots = command.spots;
  options.spots.on = spots_on(command, purpose);
  options.keep_out = command.keep_out;
  switch (purpose) {
    case core::Purpose::kSpread:
      return core::suggest_spread(source, options, {strata_of(command.strata), !command.ignore_sites});
    case core::Purpose::kGap: {
      const Assessed assessed(command, snapshot);
      core::Assessment assessment =
          core::assess(snapshot, assessed.scores, assessed.metric, session.nesting, period);
      core::add_confidence(assessment, snapshot);
      return core::suggest_gap(source, options, assessment,
                               core::assess_reaches(snapshot, assessment, session.channels), command.clear);
    }
    case core::Purpose::kBracket: {
      if (!command.clear.mixing_m)
        throw Error(ErrorCode::kBadUse,
                    "say with --mixing METRES how far below an outfall its water has mixed in: it depends on "
                    "width, depth and flow, and no single published distance exists");
      core::BracketOptions bracket = command.bracket;
      bracket.clear = command.clear;
      for (const std::string& code : command.outfalls) {
        const auto known = std::find_if(snapshot.outfalls.begin(), snapshot.outfalls.end(),
                                        [&](const core::Outfall& o) { return o.code == code; });
        if (known == snapshot.outfalls.end())
          throw Error(ErrorCode::kNotFound, "there is no outfall \"" + code + "\" in this survey");
        bracket.outfalls.emplace_back(static_cast<std::size_t>(known - snapshot.outfalls.begin()));
      }
      return core::suggest_bracket(source, options, bracket);
    }
    case core::Purpose::kNarrow: {
      const Assessed assessed(command, snapshot);
      const auto falls =
          core::find_drops(snapshot, assessed.scores, assessed.metric, session.channels, period);
      const std::vector<std::string> ends = core::split(command.between, ',');
      if (!command.between.empty() && ends.size() != 2)
        throw Error(ErrorCode::kBadUse, "--between wants the upper and the lower site, as --between Q03,Q04");
      const core::FallToNarrow task =
          command.between.empty()
              ? core::worst_fall(falls)
              : core::fall_between({snapshot, assessed.scores, assessed.metric, session.channels, period},
                                   falls, core::trim(ends[0]), core::trim(ends[1]));
      core::NarrowOptions narrow = command.narrow;
      narrow.clear = command.clear;
      return core::suggest_narrow(source, options, task, narrow);
    }
    case core::Purpose::kVariety:
      break;
  }
  core::VarietyOptions variety;
  for (const std::string& list : command.by)
    for (const std::string& word : core::split(list, ','))
      variety.by.push_back(core::parse_habitat_choice(word, snapshot, source.day));
  if (command.terrain) variety.height = geodata::filled_heights(*command.terrain);
  return core::suggest_variety(source, options, variety);
}

Rows rows_of(const core::Suggestions& found, const std::vector<geodata::UpstreamArea>& areas) {
  Rows rows{{"suggestion",    "purpose",
             "longitude",     "latitude",
             "water",         "reason",
             "outfall_above", "outfall_above_m",
             "outfall_below", "outfall_below_m",
             "site_above",    "site_above_m",
             "site_below",    "site_below_m",
             "nearest_site",  "nearest_site_straight_m",
             "upstream_m",    "upstream_km2",
             "stream_order",  "catchment",
             "catchment_km2", "stratum",
             "chance",        "weight",
             "stands_for_m",  "stands_for_waters",
             "note",          "reminder"},
            {}};
  for (std::size_t i = 0; i < found.list.size(); ++i) {
    const core::Suggestion& s = found.list[i];
    std::vector<Cell> row{text(s.code),
                          text(core::purpose_name(s.purpose)),
                          number(s.spot.position.lon, 7),
                          number(s.spot.position.lat, 7),
                          text_or_empty(s.place),
                          text(s.reason)};
    for (const auto* place :
         {&s.outfall_above, &s.outfall_below, &s.site_above, &s.site_below, &s.nearest_site}) {
      if (*place) {
        row.push_back(text((*place)->code));
        row.push_back(number((*place)->distance_m, 1));
      } else {
        row.resize(row.size() + 2);
      }
    }
    std::string note = s.note;
    const auto add_number = [&](const std::optional<double>& value, int decimals) {
      if (value)
        row.push_back(number(*value, decimals));
      else
        row.emplace_back();
    };
    add_number(s.upstream_m, 1);
    if (i < areas.size()) {
      add_number(areas[i].km2, 4);
      core::append_note(note, areas[i].note);
    } else {
      row.emplace_back();
    }
    if (s.stream_order)
      row.push_back(whole(static_cast<std::size_t>(*s.stream_order)));
    else
      row.emplace_back();
    row.push_back(text_or_empty(s.catchment));
    add_number(s.catchment_km2, 3);
    row.push_back(text_or_empty(s.stratum));
    if (s.chance)
      row.push_back(significant(*s.chance, 6));
    else
      row.emplace_back();
    add_number(s.weight, 3);
    if (s.spot.water.has_value()) row.emplace_back();
    add_number(s.stands_for, s.spot.water.has_value() ? 3 : 1);
    if (!s.spot.water.has_value()) row.emplace_back();
    row.push_back(text_or_empty(note));
    row.push_back(text(s.reminder));
    rows.add(std::move(row));
  }
  return rows;
}

// One edit, so that `brookmark undo` takes all of it back.
void store_proposed(const std::filesystem::path& survey, const core::Suggestions& found,
                    const Console& console) {
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  file.apply(core::proposal_batch(found.list));
  console.err << "stored " << found.list.size() << (found.list.size() == 1 ? " site" : " sites")
              << " as proposed, as one edit (`brookmark undo` takes it back)\n";
}

int run_suggest(const std::filesystem::path& survey, const SuggestCommand& command, const Console& console) {
  const core::Purpose purpose = core::parse_purpose(command.purpose).value();
  refuse_strangers(command, purpose);
  if (command.out) {
    geodata::check_suggestions_ending(*command.out);
    geodata::check_output(*command.out, {survey, command.terrain.value_or("")}, command.force);
  }
  const Session session = open_for(survey, console);
  const core::Period period = choose_period(command.score, newest_day(session.snapshot));
  const core::DesignSource source{session.snapshot, session.channels, session.nesting, period.until};
  SuggestCommand asked = command;
  asked.bracket.below = static_cast<std::size_t>(command.below);
  const core::Suggestions found = suggest(asked, purpose, session, source, period);
  std::vector<geodata::UpstreamArea> areas;
  if (command.terrain && !found.list.empty()) {
    ProgressBar bar(console);
    std::vector<core::LonLat> places;
    for (const core::Suggestion& s : found.list) places.push_back(s.spot.position);
    areas = geodata::upstream_areas(*command.terrain, places, static_cast<std::uint32_t>(command.threshold),
                                    bar.part("routing water", 0, 1));
  }
  console.rows(rows_of(found, areas));
  for (const std::string& note : found.notes) console.err << note << '\n';
  if (found.visits_left)
    console.err << "visits that may still be needed after " << (found.list.size() == 1 ? "this" : "these")
                << ", at worst: " << *found.visits_left << " (channel shorter than "
                << core::format_fixed(command.narrow.fine_m, 0) << " m is not parted further)\n";
  if (found.left_out.total() > 0) console.err << "spots left out: " << found.left_out.words() << '\n';
  if (found.list.empty()) return kAnswerIsNo;
  if (!command.terrain)
    console.err << "the land upstream (upstream_km2) is not given: it takes a terrain model (--terrain)\n";
  console.err << core::kSpotReminder << '\n';
  for (const std::string& line : core::warning_lines(found.list)) console.err << line << '\n';
  if (command.out) {
    geodata::export_suggestions(found, session.snapshot, *command.out, {command.force}, areas);
    console.err << "wrote " << *command.out << '\n';
  }
  if (command.propose) store_proposed(survey, found, console);
  return kDone;
}

std::string suggest_footer() {
  return "spread: spatially balanced, by the local pivotal method (Grafstrom, Lundstrom & Schelin 2012, "
         "Biometrics 68:514-520;\n  memory), beside the sites that are there (Foster et al. 2017, Methods "
         "Ecol. "
         "Evol. 8:1433-1442; secondary).\n  chance: of being chosen, in proportion to length of channel "
         "(each "
         "water counts as one), lower near a site, 0 in strata that get no spot;\n  weight: 1 / chance, "
         "weighs the "
         "new spots alone up to all that had a chance, in the mean over many draws: a message\n  says how "
         "much "
         "that is and which strata had none; stands_for_m, stands_for_waters: metres of\n  channel, or "
         "waters, where new spots and "
         "sites share the whole by number, so far as no site was picked for being special.\n  Channels and "
         "waters are never added up together.\ngap: where most channel is unmeasured, stale or "
         "unsure.\nbracket: "
         "a control above each outfall and spots below it, beyond a mixing distance that you set: no "
         "single\n  "
         "published distance exists.\nnarrow: the next visit that halves what may be to blame for a "
         "fall.\nvariety: the spots that differ most in place and habitat.\nNobody is sent to ground that is "
         "private, unsafe or was refused, nor near roads and bridges: bring it in with\n`brookmark import "
         "SURVEY "
         "ground FILE`. Permission, depth and bank are yours to find out.\n";
}

}  // namespace

void add_suggest_verbs(Verbs& verbs) {
  const auto command = std::make_shared<SuggestCommand>();
  verbs
      .add_for_survey(
          "suggest", "where to sample next, and why there",
          [command](const auto& survey, const Console& c) { return run_suggest(survey, *command, c); })
      .option("--purpose", command->purpose, "spread, gap, bracket, narrow or variety")
      .required()
      .choices({"spread", "gap", "bracket", "narrow", "variety"})
      .whole("--count", command->count, 1, 100'000,
             "how many; default 10, for narrow 1, for bracket as many as are needed")
      .option("--within", command->within, "a catchment, or a circle LON,LAT,METRES; default: everywhere")
      .whole("--seed", command->seed, 0, 9'007'199'254'740'991,
             "spread: the same seed, the same spots; default 1")
      .option("--over", command->over,
              "channels (default), waters, or both (default of variety); gap, bracket and narrow: channels "
              "always")
      .choices({"channels", "waters", "both"})
      .option("--strata", command->strata, "spread: shared out by kind, order or catchment; default none")
      .choices({"none", "kind", "order", "catchment"})
      .flag("--ignore-sites", command->ignore_sites, "spread: as if no site were there yet")
      .number("--spacing", command->spots.spacing_m, 1, 10'000, "metres of channel a spot; default 25")
      .number("--road", command->keep_out.road_m, 0, 10'000,
              "metres to keep from roads and bridges; default 100 (rapid bioassessment, NEMI 12655)")
      .number("--around", command->keep_out.around_m, 0, 10'000,
              "metres to keep from private, unsafe or refused places noted as points or lines; default 50")
      .number("--walk", command->keep_out.walk_m, 0, 100'000,
              "the farthest straight walk in metres from a place of access")
      .number(
          "--mixing", command->clear.mixing_m, 0, 100'000,
          "gap, bracket, narrow: metres below an outfall where its water has mixed in. No single published "
          "figure exists: bracket asks for it, gap and narrow keep --clear where it is not said")
      .whole("--below", command->below, 1, 20, "bracket: spots below each outfall; default 1")
      .number("--clear", command->clear.clear_m, 0, 10'000,
              "gap, bracket, narrow: metres to keep from confluences and above outfalls; default 100 (NEMI "
              "12655)")
      .option("--outfall", command->outfalls, "bracket: this outfall; default: all in use")
      .option(
          "--between", command->between,
          "narrow: UPPER,LOWER site, any two on one flow path; default: the worst fall between neighbours")
      .number("--fine", command->narrow.fine_m, 1, 10'000,
              "narrow: channel shorter than so many metres is not parted further; default 100 (the length of "
              "a site, "
              "NEMI 12655)")
      .number("--outfall-weight", command->narrow.outfall_m, 0, 1e6,
              "narrow: an outfall weighs as much as so many metres of channel; default 500 (common practice, "
              "no source)")
      .number("--tributary-weight", command->narrow.tributary_m, 0, 1e6,
              "narrow: the same of a tributary; default 250 (common practice, no source)")
      .option(
          "--by", command->by,
          "variety: of east,north,order,upstream,bend,still,kind,habitat,altitude,slope and names of what "
          "was measured; "
          "only spots at which all of these are known are chosen among. Default: what is known at every spot")
      .option("--terrain", command->terrain,
              "a terrain model: gives the land upstream of each (upstream_km2), and altitude and slope to "
              "variety")
      .whole("--threshold", command->threshold, 1, 1'000'000'000,
             "with --terrain: cells that must drain through a channel; default 1000")
      .option("--out", command->out, "also write them to a file ending in .gpx, .geojson, .gpkg or .csv")
      .flag("--force", command->force, "replace that file if it is already there")
      .flag("--propose", command->propose, "store them in the survey as proposed sites, as one edit")
      .with_method(command->score, "gap and narrow; default: the first of `brookmark methods`")
      .with_until(command->score)
      .with_format()
      .footer(suggest_footer);
}

}  // namespace brookmark::viewer
