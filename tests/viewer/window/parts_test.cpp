// What is lit from a list, drawn round on the map, and asked of a place: the actions, without a window.
#include <doctest/doctest.h>

#include "sample_survey.hpp"
#include "viewer/actions/actions.hpp"
#include "viewer/actions/part_actions.hpp"
#include "viewer/map/scene.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/state/anchors.hpp"

namespace brookmark::viewer {

namespace {

struct Desk {
  Model model;
  State state;
  explicit Desk(core::Snapshot snapshot)
      : model(make_session(std::move(snapshot))), state(opening_state(model)) {
    place_map(state, model, {0, 0, 800, 600});
  }
  void act(const Action& action) { apply(action, state, model); }
  Pixel pixel(const core::LonLat& place) const { return state.view.to_pixel(model.frame().to_plane(place)); }
};

}  // namespace

TEST_CASE("the pointer lights a part while it is there, a tap until the next") {
  Desk desk(test::sample_snapshot());
  REQUIRE_FALSE(desk.model.snapshot().catchments.empty());
  const Lit first{core::CatchmentIndex(0), {}};
  const auto before = desk.state.query.version;
  desk.act(Light{first, false});
  CHECK(lit_now(desk.state) == first);
  CHECK(desk.state.query.version != before);  // the map's lines follow
  CHECK_FALSE(query_paths(desk.state, desk.model).focus.empty());
  desk.act(Light{{}, false});
  CHECK_FALSE(lit_now(desk.state).any());
  CHECK(query_paths(desk.state, desk.model).focus.empty());
  desk.act(Light{first, true});
  desk.act(Light{{}, false});
  CHECK(lit_now(desk.state) == first);
  desk.act(Light{first, true});
  CHECK_FALSE(lit_now(desk.state).any());
  desk.act(Light{{core::CatchmentIndex(9999), {}}, true});
  CHECK_FALSE(lit_now(desk.state).any());
  desk.act(Light{{{}, std::pair(core::SiteIndex(0), core::SiteIndex(9999))}, true});
  CHECK_FALSE(lit_now(desk.state).any());
}

TEST_CASE("a part tapped out of view comes into view, one in view leaves the map as it is") {
  Desk desk(test::sample_snapshot());
  const Viewport whole = desk.state.view;
  desk.act(Light{{core::CatchmentIndex(0), {}}, true});
  CHECK(desk.state.view.centre == whole.centre);
  desk.act(Light{{core::CatchmentIndex(0), {}}, true});
  desk.act(Pan{5000, 5000});
  desk.act(Light{{core::CatchmentIndex(0), {}}, true});
  const auto box = *core::bounds_of(desk.model.snapshot().catchments[0].shape);
  CHECK(desk.state.view.box.contains(desk.pixel({box.min_lon, box.min_lat})));
  CHECK(desk.state.view.box.contains(desk.pixel({box.max_lon, box.max_lat})));
}

TEST_CASE("a falling stretch that is lit is drawn along its channel") {
  Desk desk(test::sample_snapshot());
  const auto* drops = desk.model.drops(desk.state.choice, desk.state.period());
  REQUIRE(drops);
  REQUIRE_FALSE(drops->empty());
  desk.act(Light{{{}, std::pair(drops->front().up, drops->front().down)}, false});
  CHECK(query_paths(desk.state, desk.model).focus.size() == drops->front().stretch.line.size() - 1);
}

TEST_CASE("of the sub-catchments only the poor ones are listed, and how many are better is a line") {
  const core::Method* method = core::find_method("bmwp-a");
  REQUIRE(method);
  const auto parts_of = [&](std::initializer_list<int> ranks) {
    PoorParts parts;
    parts.assessment.method = method;
    parts.assessment.metric = 0;
    for (const int rank : ranks) {
      core::CatchmentAssessment known;
      known.sites = 3;
      known.assessed_sites = rank > 0 ? 2 : 0;
      known.worst_rank = static_cast<std::uint8_t>(rank);
      parts.order.emplace_back(parts.assessment.catchments.size());
      parts.assessment.catchments.push_back(known);
    }
    parts.why.resize(parts.order.size());
    return parts;
  };
  REQUIRE(method->metrics[0].bands.size() == 5);  // Excellent, Good, Fair, Poor, Seriously polluted
  const PartsByClass mixed = parts_by_class(parts_of({5, 4, 3, 2, 2, 1, 0, 0}));
  CHECK(mixed.poor == std::vector<std::size_t>{0, 1, 2});
  CHECK(mixed.better == std::vector<std::size_t>{3, 4, 5});
  CHECK(mixed.unknown == 2);
  CHECK(mixed.better_words == "3 more are Good or Excellent");
  CHECK(parts_by_class(parts_of({5, 1})).better_words == "1 more is Excellent");
  const PartsByClass fine = parts_by_class(parts_of({2, 1}));
  CHECK(fine.poor.empty());
  CHECK(fine.better_words == "2 are Good or Excellent");
  CHECK(fine.none_poor == "None has a site in a poorer class than Good.");
  const PartsByClass nothing = parts_by_class(parts_of({0, 0}));
  CHECK((nothing.poor.empty() && nothing.better.empty() && nothing.unknown == 2));
  CHECK(nothing.none_poor == "No sub-catchment has a site with a class that holds.");
}

TEST_CASE("drawing round sites chooses those inside, and Esc lets go of them") {
  Desk desk(test::sample_snapshot());
  desk.act(LassoTo{{10, 10}});  // not armed: nothing
  CHECK(desk.state.lasso.ring.empty());
  desk.act(StartLasso{});
  const Pixel at = desk.pixel(desk.model.snapshot().sites.position[0]);
  for (const Pixel corner : {Pixel{at.x - 9, at.y - 9},
                             {at.x - 9, at.y - 8},
                             {at.x + 9, at.y - 9},
                             {at.x + 9, at.y + 9},
                             {at.x - 9, at.y + 9}})
    desk.act(LassoTo{corner});
  CHECK(desk.state.lasso.ring.size() == 4);  // the second corner lay too near to the first
  desk.act(EndLasso{});
  CHECK_FALSE(desk.state.lasso.armed);
  REQUIRE(desk.state.lasso.sites.size() == 1);
  CHECK(desk.state.lasso.sites[0] == core::SiteIndex(0));
  const Anchors anchors = anchors_of(desk.state, desk.model);
  find_again(anchors, desk.state, desk.model);
  CHECK(desk.state.lasso.sites.size() == 1);
  desk.act(ClearAll{});
  CHECK(desk.state.lasso.ring.empty());
  desk.act(StartLasso{});
  desk.act(LassoTo{{10, 10}});
  for (const Pixel corner : {Pixel{10, 40}, {40, 40}, {40, 10}}) desk.act(LassoTo{corner});
  REQUIRE(desk.state.lasso.ring.size() == 4);
  const std::size_t said = desk.state.messages.size();
  desk.act(EndLasso{});  // round nothing
  CHECK(desk.state.lasso.ring.empty());
  REQUIRE(desk.state.messages.size() == said + 1);
  CHECK(desk.state.messages.back().text == "No site lies inside what was drawn.");
  desk.act(StartLasso{});
  desk.act(LassoTo{{10, 10}});
  desk.act(EndLasso{});  // a tap is no ring
  CHECK(desk.state.lasso.ring.empty());
  CHECK_FALSE(desk.state.lasso.armed);
}

TEST_CASE("upstream of a query's start is answered and drawn, and goes with the query") {
  Desk desk(test::sample_snapshot());
  const auto site = desk.model.snapshot().find_site("T05");
  REQUIRE(site);
  desk.act(QueryFromSite{*site});
  const std::size_t without = query_paths(desk.state, desk.model).all.size();
  desk.act(AskUpstream{true});
  CHECK(query_paths(desk.state, desk.model).all.size() > without);
  const core::Upstream& up = desk.model.answers().upstream(*site);
  CHECK(up.channel_m > 0);
  desk.act(ClearQuery{});
  CHECK(query_paths(desk.state, desk.model).all.empty());
}

TEST_CASE("neighbours are the next sites on the water, and agree both ways") {
  Desk desk(test::sample_snapshot());
  const Answers& answers = desk.model.answers();
  std::size_t pairs = 0;
  for (std::size_t i = 0; i < desk.model.snapshot().sites.size(); ++i) {
    const Neighbours own = answers.neighbours(core::SiteIndex(i));
    for (const NeighbourSite& down : own.down) {
      const Neighbours other = answers.neighbours(down.site);
      const bool back = std::any_of(other.up.begin(), other.up.end(), [&](const NeighbourSite& n) {
        return n.site == core::SiteIndex(i) && std::abs(n.distance_m - down.distance_m) < 1e-6;
      });
      CHECK(back);
      ++pairs;
    }
  }
  CHECK(pairs > 3);
}

TEST_CASE("how sure and the trend come from another thread, and are those of core") {
  Desk desk(test::sample_snapshot());
  const Answers& answers = desk.model.answers();
  const auto site = *desk.model.snapshot().find_site("T05");
  const core::ConfidenceTable* sure = answers.sure(0, site);
  if (sure == nullptr) {
    CHECK(answers.pending());
    answers.settle();
    sure = answers.sure(0, site);
  }
  REQUIRE(sure);
  CHECK_FALSE(answers.pending());
  const auto [first, last] = desk.model.snapshot().samples_of(site);
  const core::SampleIndex sample(last.value() - 1);
  const auto plain =
      core::confidence_of(desk.model.snapshot(), *desk.model.methods()[0], std::span(&sample, 1));
  CHECK(sure->metrics[0].back().class_probability == plain.metrics[0][0].class_probability);
  CHECK(sure->metrics[0].size() == last.value() - first.value());
  answers.trend({0, 0}, site, core::make_date({2030, 1, 1}));
  answers.settle();
  const auto* trend = answers.trend({0, 0}, site, core::make_date({2030, 1, 1}));
  REQUIRE(trend);
  CHECK_FALSE(trend->empty());
}

TEST_CASE("a photo that cannot be shown is a sentence, and the page goes on") {
  core::Snapshot survey = test::sample_snapshot();
  Desk desk(survey);
  desk.model.answers().photo("../secret.jpg");
  desk.model.answers().settle();
  const Answers::ShownPhoto* shown = desk.model.answers().photo("../secret.jpg");
  REQUIRE(shown);
  CHECK(shown->trouble.find("survey's folder") != std::string::npos);
  CHECK(shown->photo.rgba.empty());
}

TEST_CASE("poor parts are in the order that core gives, each with its reason") {
  Desk desk(test::sample_snapshot());
  const PoorParts* parts = desk.model.answers().poor_parts(desk.state.choice, desk.state.period());
  REQUIRE(parts);
  CHECK(parts->order == core::worst_first(parts->assessment));
  CHECK(parts->why.size() == parts->order.size());
  for (const std::string& why : parts->why) CHECK_FALSE(why.empty());
  const core::CatchmentIndex worst = parts->order.front();
  desk.model.answers().catchment_course(desk.state.choice, worst, {});
  desk.model.answers().settle();
  const Chart* course = desk.model.answers().catchment_course(desk.state.choice, worst, {});
  REQUIRE(course);
  CHECK(course->points.size() == catchment_chart(desk.model, desk.state.choice, worst, {}).points.size());
}

}  // namespace brookmark::viewer
