#include <algorithm>
#include <ostream>

#include "core/analysis/outfalls.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "geodata/terrain/overland.hpp"
#include "viewer/cli/progress_bar.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct DistanceCommand {
  std::string site, at, direction;
  bool all = false;
  std::filesystem::path terrain;  // for places on no channel
  std::optional<double> within_m;
  std::optional<std::int64_t> nearest;
};

core::Direction parse_direction(const std::string& word) {
  if (word == "upstream") return core::Direction::kUpstream;
  if (word == "downstream") return core::Direction::kDownstream;
  return core::Direction::kAny;
}

// Rows of one starting place; true when at least one outfall is joined to it by channel.
bool add_distances(const Session& session, const std::string& name,
                   const std::vector<core::ChannelDistance>& distances, Rows& rows) {
  bool joined = false;
  for (const core::ChannelDistance& found : distances) {
    const core::Outfall& outfall = session.snapshot.outfalls[found.target];
    joined = joined || found.distance_m.has_value();
    std::string note = core::days_of_use(outfall);
    if (!found.note.empty()) note += (note.empty() ? "" : "; ") + found.note;
    rows.add({text(name), text(outfall.code), text(core::relation_name(found.relation)),
              found.distance_m ? number(*found.distance_m, 1) : Cell{},
              found.snap_m ? number(*found.snap_m, 1) : Cell{},
              found.distance_m ? whole(found.reach_count) : Cell{}, number(found.straight_m, 1),
              text_or_empty(note), found.target_snap_m ? number(*found.target_snap_m, 1) : Cell{}});
  }
  return joined;
}

// The terrain model, worked out once for all places that are on no channel.
class Ground {
 public:
  Ground(const std::filesystem::path& file, const Console& console) : dem_(file, {}) {
    ProgressBar bar(console);
    flow_ = geodata::route_flow(dem_.read(bar.part("reading heights", 0, 0.3)), dem_.rows(),
                                {.progress = bar.part("routing water", 0.3, 1)});
    for (const std::string& note : dem_.notes()) console.err << note << '\n';
  }

  // What the water reaches over the ground, then what else there is to say: of `along`, the rows of the other outfalls
  // with the reason put to their notes.
  std::vector<core::ChannelDistance> distances(const Session& session, core::LonLat place,
                                               const core::DistanceQuery& query,
                                               std::vector<core::ChannelDistance> along) const {
    const auto way = geodata::overland_to_channel(flow_, dem_, place, session.channels);
    std::vector<core::ChannelDistance> below;
    std::string why = "what lies upstream of a place on no channel cannot be known";
    if (query.direction != core::Direction::kUpstream) {
      below = geodata::outfalls_over_ground(way, session.snapshot, session.channels, query);
      why = !way.note.empty()
                ? way.note
                : "over the ground its water meets a channel after " + core::format_fixed(way.length_m, 0) +
                      " m and does not come to this outfall" +
                      (query.within_m ? " within the distance asked for" : "");
    }
    if (!below.empty() && (query.within_m || query.nearest)) return below;
    const std::size_t reached = below.size();
    for (core::ChannelDistance& answer : along) {
      const auto same = [&](const core::ChannelDistance& b) { return b.target == answer.target; };
      if (std::any_of(below.begin(), below.begin() + static_cast<std::ptrdiff_t>(reached), same)) continue;
      answer.note += (answer.note.empty() ? "" : "; ") + why;
      below.push_back(std::move(answer));
    }
    return below;
  }

 private:
  geodata::DemFile dem_;
  geodata::FlowGrid flow_;
};

void add_unplaced(const std::string& site, Rows& rows) {
  std::vector<Cell> row(rows.columns.size());
  row[0] = text(site);
  row[7] = text("no position is noted for this site, so it has no distances");
  rows.add(std::move(row));
}

int run_distance(const std::filesystem::path& survey, const DistanceCommand& command,
                 const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  Rows rows{{"site", "outfall", "direction", "distance_m", "snap_m", "reach_count", "straight_m", "note",
             "outfall_snap_m"},
            {}};
  core::DistanceQuery query{parse_direction(command.direction), command.within_m};
  if (command.nearest) query.nearest = static_cast<std::size_t>(*command.nearest);
  std::optional<Ground> ground;
  if (!command.terrain.empty()) ground.emplace(command.terrain, console);
  const auto over_ground = [&](core::LonLat place, double limit_m, std::vector<core::ChannelDistance> along) {
    if (!ground || session.channels.snap(place, limit_m)) return along;
    return ground->distances(session, place, query, std::move(along));
  };
  bool joined = false;
  const auto add_site = [&](std::size_t i, const std::vector<core::ChannelDistance>& distances) {
    const std::string code(snapshot.sites.code[i]);
    if (!core::is_placed(snapshot.sites.position[i])) return add_unplaced(code, rows);
    joined = add_distances(session, code,
                           over_ground(snapshot.sites.position[i],
                                       core::snap_limit_m(snapshot.sites.kind[i], session.channels.options()),
                                       distances),
                           rows) ||
             joined;
  };
  if (command.all) {
    const auto lists = core::outfalls_from_all_sites(snapshot, session.channels, query);
    for (std::size_t i = 0; i < lists.size(); ++i) add_site(i, lists[i]);
  } else if (!command.site.empty()) {
    const auto site = snapshot.find_site(command.site);
    if (!site)
      throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\" in this survey",
                  survey.string());
    add_site(site->value(), core::outfalls_from_site(snapshot, session.channels, *site, query));
  } else {
    const core::LonLat place = choose_place(command.at);
    joined = add_distances(session, command.at,
                           over_ground(place, session.channels.options().max_snap_m,
                                       core::outfalls_from_point(snapshot, session.channels, place, query)),
                           rows);
  }
  console.rows(rows);
  if (snapshot.outfalls.empty()) {
    console.err << "the survey has no outfalls; bring them in with `brookmark import SURVEY outfalls FILE`\n";
  } else if (!joined) {
    console.err << "no outfall is joined by channel in this direction; straight lines are given as such\n";
  }
  return joined ? kDone : kAnswerIsNo;
}

}  // namespace

void add_place_verbs(Verbs& verbs) {
  const auto distance = std::make_shared<DistanceCommand>();
  verbs
      .add_for_survey(
          "distance", "outfalls from a site or point, along the channel",
          [distance](const auto& survey, const Console& c) { return run_distance(survey, *distance, c); })
      .option("--site", distance->site, "a site's code")
      .option("--at", distance->at, "LON,LAT")
      .flag("--all", distance->all, "every site")
      .exactly_one({"--site", "--at", "--all"})
      .option("--direction", distance->direction, "upstream, downstream or any (default)")
      .choices({"upstream", "downstream", "any"})
      .option(
          "--terrain", distance->terrain,
          "a raster of heights: for a place on no channel, follow the water over the ground to the first one")
      .number("--within", distance->within_m, 0, 1e7,
              "only outfalls so many metres away along the channel; where there is none, the nearest in a "
              "straight "
              "line is listed as such")
      .whole("--nearest", distance->nearest, 1, 1'000'000, "only so many of each site, nearest first")
      .with_format();
}

}  // namespace brookmark::viewer
