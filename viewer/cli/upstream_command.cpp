#include <memory>
#include <ostream>

#include "core/analysis/outfalls.hpp"
#include "core/analysis/upstream.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct UpstreamCommand {
  std::string site, at;
};

struct UpstreamStart {
  core::LonLat place;
  std::optional<double> max_snap_m;
  std::string words;
};

UpstreamStart start_of(const UpstreamCommand& command, const Session& session,
                       const std::filesystem::path& survey) {
  const core::Snapshot& snapshot = session.snapshot;
  if (!command.site.empty()) {
    const auto site = snapshot.find_site(command.site);
    if (!site)
      throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\" in this survey",
                  survey.string());
    return {snapshot.sites.position[site->value()],
            core::snap_limit_m(snapshot.sites.kind[site->value()], session.channels.options()), command.site};
  }
  return {choose_place(command.at), {}, command.at};
}

int run_upstream(const std::filesystem::path& survey, const UpstreamCommand& command,
                 const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const UpstreamStart start = start_of(command, session, survey);
  const core::Upstream up =
      core::upstream_of(snapshot, session.channels, core::places_on_channels(snapshot, session.channels),
                        session.nesting, session.channels_inside, start.place, start.max_snap_m);
  Rows rows{{"what", "code", "name", "distance_m", "kind", "area_km2", "note"}, {}};
  for (const core::UpstreamSite& s : up.sites) {
    const std::size_t i = s.site.value();
    rows.add({text("site"), text(snapshot.sites.code[i]), text_or_empty(snapshot.sites.name[i]),
              number(s.distance_m, 1), text(core::water_kind_name(snapshot.sites.kind[i])), Cell{}, Cell{}});
  }
  for (const core::UpstreamOutfall& o : up.outfalls) {
    const core::Outfall& outfall = snapshot.outfalls[o.outfall.value()];
    rows.add({text("outfall"), text(outfall.code), text_or_empty(outfall.name), number(o.distance_m, 1),
              text(core::outfall_kind_name(outfall.kind)), Cell{},
              text_or_empty(core::days_of_use(outfall))});
  }
  for (const core::UpstreamCatchment& c : up.catchments) {
    const core::Catchment& catchment = snapshot.catchments[c.catchment.value()];
    rows.add({text("catchment"), text(catchment.code), text_or_empty(catchment.name), Cell{}, Cell{},
              number(c.area_m2 / 1e6, 3), Cell{}});
  }
  console.rows(rows);
  if (!up.here) {
    console.err << start.words << ": " << up.note << '\n';
    return kAnswerIsNo;
  }
  console.err << "upstream of " << start.words << ": " << core::format_fixed(up.channel_m, 0)
              << " m of channel, " << up.sites.size() << (up.sites.size() == 1 ? " site, " : " sites, ")
              << up.outfalls.size() << (up.outfalls.size() == 1 ? " outfall" : " outfalls");
  if (up.area_m2) console.err << ", " << core::format_fixed(*up.area_m2 / 1e6, 3) << " km2";
  if (!up.note.empty()) console.err << "; " << up.note;
  console.err << '\n';
  return kDone;
}

}  // namespace

void add_upstream_verbs(Verbs& verbs) {
  const auto command = std::make_shared<UpstreamCommand>();
  verbs
      .add_for_survey(
          "upstream", "what lies upstream of a place: sites, outfalls, channel, catchments that drain to it",
          [command](const auto& survey, const Console& c) { return run_upstream(survey, *command, c); })
      .option("--site", command->site, "from a site, by its code")
      .option("--at", command->at, "from any place, as LON,LAT in degrees")
      .exactly_one({"--site", "--at"})
      .with_format();
}

}  // namespace brookmark::viewer
