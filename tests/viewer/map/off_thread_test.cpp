// What takes longer than a frame on a large survey is worked out on another thread: the window asks, shows what it has, and
// then gets the same as if it had waited.
#include <doctest/doctest.h>

#include "core/analysis/catchments.hpp"
#include "core/analysis/rank_driver.hpp"
#include "core/analysis/upstream.hpp"
#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/map/catchment_fill.hpp"
#include "viewer/map/gathered_sites.hpp"
#include "viewer/panels/stage.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kSide_m = 40'000;

// 25,000 sites, a channel from west to east through them, and 400 square catchments.
core::Snapshot large_survey() {
  core::Snapshot s = test::many_sites(25'000, kSide_m);
  core::Line line;
  for (int i = 0; i <= 400; ++i) line.push_back(test::ocean((i - 200) * kSide_m / 400, 0));
  s.reaches.push_back({"reach", "Long Brook (invented)", line});
  constexpr int kAcross = 20;
  const double cell = kSide_m / kAcross;
  for (int row = 0; row < kAcross; ++row)
    for (int column = 0; column < kAcross; ++column) {
      const double x = column * cell - kSide_m / 2, y = row * cell - kSide_m / 2;
      const std::string number = std::to_string(row * kAcross + column);
      const core::Line ring = {test::ocean(x, y), test::ocean(x + cell, y), test::ocean(x + cell, y + cell),
                               test::ocean(x, y + cell), test::ocean(x, y)};
      s.catchments.push_back({"key-" + number, "C" + number, "", {{{ring}}}});
    }
  return s;
}

}  // namespace

TEST_CASE("poor parts and falls of many sites come from another thread, the same as at once") {
  const Model model(make_session(large_survey()));
  const Choice choice;
  const std::optional<core::Period> period = core::Period(core::make_date({2022, 12, 31}));
  const core::Assessment known = *model.assessment(choice, period);
  CHECK(model.drops(choice, period) == nullptr);  // not yet
  CHECK(model.answers().poor_parts(choice, period) == nullptr);
  CHECK(model.answers().pending());
  const PoorParts* parts = nullptr;
  for (int i = 0; i < 5 && parts == nullptr; ++i) {
    model.answers().settle();
    parts = model.answers().poor_parts(choice, period);
  }
  REQUIRE(parts);
  const Session& session = model.session();
  core::Assessment direct = known;
  const core::ReachAssessment reaches = core::assess_reaches(session.snapshot, known, session.channels);
  const std::vector<core::Drop> drops = core::find_drops(session.snapshot, model.scores(choice.method),
                                                         choice.metric, session.channels, known.period);
  core::add_channel_shares(direct, reaches, session.channels_inside);
  CHECK(parts->order == core::worst_first(direct));
  REQUIRE(parts->order.size() == 400);
  const core::RankedSurvey ranked{session.snapshot,        direct, session.nesting, reaches,
                                  session.channels_inside, drops};
  for (std::size_t i = 0; i < parts->order.size(); ++i)
    CHECK(parts->why[i] == core::rank_driver(ranked, parts->order[i], core::CatchmentRule::kWorst));
  REQUIRE(model.drops(choice, period));
  CHECK(model.drops(choice, period)->size() == drops.size());
  CHECK_FALSE(drops.empty());
}

TEST_CASE(
    "many sites are moved to their channels on another thread, and the answers are those of few at once") {
  const Model model(make_session(large_survey()));
  const Session& session = model.session();
  const core::ChannelPlaces direct = core::places_on_channels(session.snapshot, session.channels);
  std::vector<core::SiteIndex> on_channel;
  for (std::size_t i = 0; i < direct.sites.size(); ++i)
    if (direct.sites[i]) on_channel.emplace_back(i);
  REQUIRE(on_channel.size() > 10);
  const core::SiteIndex site = on_channel[on_channel.size() / 2];
  CHECK_FALSE(model.answers().places_are_known());
  CHECK_FALSE(model.answers().pending());  // asking that begins nothing
  const core::Upstream& early = model.answers().upstream(site);
  CHECK_FALSE(early.here);
  CHECK_FALSE(early.note.empty());
  CHECK_FALSE(model.answers().neighbours(site).worked_out);
  CHECK(model.answers().pending());
  model.answers().settle();
  CHECK(model.answers().places_are_known());
  const core::Upstream up = model.answers().upstream(site);
  const core::Upstream expected = core::upstream_of(
      session.snapshot, session.channels, direct, session.nesting, session.channels_inside,
      session.snapshot.sites.position[site.value()],
      core::snap_limit_m(session.snapshot.sites.kind[site.value()], session.channels.options()));
  REQUIRE(up.here);
  REQUIRE(up.sites.size() == expected.sites.size());
  for (std::size_t i = 0; i < up.sites.size(); ++i) CHECK(up.sites[i].site == expected.sites[i].site);
  // The brook runs straight: the next sites are those beside it along the channel, by brute force.
  const Neighbours& next = model.answers().neighbours(site);
  REQUIRE(next.worked_out);
  REQUIRE(next.on_channel);
  const double own_m = direct.sites[site.value()]->along_m;
  double above_m = -1, below_m = 1e9;
  for (const core::SiteIndex other : on_channel) {
    if (other == site) continue;
    const double m = direct.sites[other.value()]->along_m;
    if (m <= own_m) above_m = std::max(above_m, m);
    if (m > own_m) below_m = std::min(below_m, m);
  }
  REQUIRE_FALSE(next.up.empty());
  REQUIRE_FALSE(next.down.empty());
  constexpr double kSame_m = 1;  // sites this near stand at one place
  CHECK(std::abs(next.up.front().distance_m - (own_m - above_m)) <= kSame_m);
  CHECK(std::abs(next.down.front().distance_m - (below_m - own_m)) <= kSame_m);
  // The page of the site asks for frames until it can tell.
  const Model again(make_session(large_survey()));
  Stage stage(again, {});
  stage.resize(1280, 800);
  stage.draw();
  stage.apply(SelectSite{site});
  stage.apply(ShowPage{Page::kSite});
  stage.apply(ShowSiteView{SiteView::kAround});
  stage.draw();
  stage.draw();
  if (!again.answers().places_are_known()) CHECK(stage.wants_frame());
  again.answers().settle();
  stage.draw();
  CHECK(again.answers().places_are_known());
}

TEST_CASE("with few sites poor parts and falls are there at once") {
  const Model model(make_session(test::sample_snapshot()));
  const std::optional<core::Period> period = core::Period(core::make_date({2030, 1, 1}));
  CHECK(model.answers().poor_parts({}, period) != nullptr);
  CHECK(model.drops({}, period) != nullptr);
  CHECK_FALSE(model.answers().pending());
}

TEST_CASE(
    "catchments are cut into triangles on another thread, and the window asks for a frame until they are "
    "there") {
  const Model model(make_session(large_survey()));
  Stage stage(model, {});
  stage.resize(1280, 800);
  stage.draw();
  stage.apply(ShowLayer{Layer::kCatchmentClasses, true});
  stage.draw();
  if (stage.map_frame().areas == nullptr) CHECK(stage.wants_frame());
  CHECK(stage.wait_for_ground(20));
  stage.draw();
  REQUIRE(stage.map_frame().areas);
  const CatchmentAreas direct = catchment_areas(model);
  CHECK(stage.map_frame().areas->corners.size() == direct.corners.size());
  CHECK(stage.map_frame().areas->corners.size() == 400 * 2 * 3);  // a square is two triangles
  CHECK_FALSE(stage.map_frame().fills.empty());
}

TEST_CASE("sites are gathered for the next nearness on another thread, the one before stays until then") {
  const Model model(make_session(large_survey()));
  GatheredSites gathered;
  Viewport view;
  view.box = {0, 0, 1280, 800};
  view.metres_per_pixel = 64;  // a whole level
  gathered.follow(model, view, 16, {});
  CHECK_FALSE(gathered.pending());  // there was nothing to show
  const std::size_t before = gathered.clusters().clusters().size();
  view.metres_per_pixel = 32;
  gathered.follow(model, view, 16, {});
  CHECK(gathered.pending());
  CHECK(gathered.clusters().clusters().size() == before);
  gathered.settle();
  gathered.follow(model, view, 16, {});
  CHECK_FALSE(gathered.pending());
  const SiteClusters direct(model.site_places(), kNear_ems * 32 * 16, kGathered_ems * 32 * 16,
                            kCovered_ems * 32 * 16);
  REQUIRE(gathered.clusters().clusters().size() == direct.clusters().size());
  CHECK(direct.clusters().size() != before);
  for (std::size_t i = 0; i < direct.clusters().size(); ++i)
    CHECK(gathered.clusters().clusters()[i].size() == direct.clusters()[i].size());
  // Far away in one step there is nothing like it to show: it is made at once.
  view.metres_per_pixel = 2;
  gathered.follow(model, view, 16, {});
  CHECK_FALSE(gathered.pending());
}

}  // namespace brookmark::viewer
