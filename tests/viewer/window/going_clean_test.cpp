// The page for going clean, without graphics: what it is made of, and that it draws on every kind of survey.
#include "viewer/state/going_clean.hpp"

#include <doctest/doctest.h>
#include <imgui.h>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "viewer/panels/stage.hpp"

namespace brookmark::viewer {
namespace {

core::Moment at(const char* iso) {
  return core::parse_moment(iso).value();
}

// Two ponds and a net that was in both, the second time after a suspicion in the first.
core::Snapshot ponds() {
  test::SurveyBuilder builder;
  builder.site("A1", "north", test::ocean(0, 0), core::WaterKind::kPond, "Heron Pond");
  builder.site("B1", "south", test::ocean(400, 300), core::WaterKind::kPond, "Kiln Pond");
  core::Snapshot s = builder.snapshot;
  core::Kit net;
  net.key = "net";
  net.code = "N1";
  net.kind = core::KitKind::kNet;
  s.kit.push_back(net);
  for (const auto& [site, when] :
       {std::pair{"site-A1", "2025-05-03T09:00"}, {"site-B1", "2025-05-04T09:00"}}) {
    core::KitUse use;
    use.key = when;
    use.kit_key = "net";
    use.site_key = site;
    use.when = at(when);
    s.kit_uses.push_back(use);
  }
  core::WaterRisk risk;
  risk.key = "risk";
  risk.site_key = "site-A1";
  risk.target = "ranavirus";
  risk.since = at("2025-05-01").date;
  s.risks.push_back(risk);
  return s;
}

}  // namespace

TEST_CASE("the window knows on each day what was known on that day") {
  const Model model(make_session(ponds()));
  CHECK(model.going_clean(at("2025-04-30").date).risks.empty());
  const GoingClean& before = model.going_clean(at("2025-05-03").date);
  REQUIRE(before.risks.size() == 1);
  CHECK(before.risks[0].rule_known);
  CHECK(before.risks[0].contacts.entered.empty());  // the second pond was not entered yet
  const GoingClean& after = model.going_clean(at("2025-05-10").date);
  REQUIRE(after.risks[0].contacts.entered.size() == 1);
  CHECK(after.waters.name(after.risks[0].contacts.entered[0].body) == "Kiln Pond");
  REQUIRE(after.kit.size() == 1);
  CHECK(after.kit[0].open.size() == 2);
  CHECK(after.before(model.snapshot().find_site("A1").value()).size() == 1);  // it was in Kiln Pond last
  CHECK(&model.going_clean(at("2025-05-10").date) == &after);                 // kept
}

TEST_CASE(
    "at the newest sampling day everything recorded since counts; on an earlier day only what was known "
    "then") {
  const core::Snapshot snapshot = ponds();
  const core::Date today = at("2030-01-01").date;
  const core::Date newest = day_of_going_clean(snapshot, std::nullopt, today);
  CHECK(newest < today);
  for (const core::KitUse& use : snapshot.kit_uses) CHECK(use.when.date <= newest);
  for (const core::WaterRisk& risk : snapshot.risks) CHECK(risk.since <= newest);
  CHECK(day_of_going_clean({}, std::nullopt, today) == today);
  core::Snapshot sampled = snapshot;  // the last sample was taken before the kit was used
  sampled.samples.date = {at("2024-04-01").date, at("2025-04-01").date};
  CHECK(day_of_going_clean(sampled, at("2025-04-01").date, today) == newest);
  CHECK(day_of_going_clean(sampled, at("2024-06-01").date, today) == at("2024-06-01").date);
}

TEST_CASE("the page for going clean draws with kit, without any, and on an empty survey") {
  for (int kind = 0; kind < 3; ++kind) {
    CAPTURE(kind);
    core::Snapshot snapshot;
    if (kind > 0) snapshot = ponds();
    if (kind == 1) {
      snapshot.kit.clear();
      snapshot.kit_uses.clear();
      snapshot.risks.clear();
    }
    Model model(make_session(std::move(snapshot)));
    Stage stage(model, {});
    stage.resize(1280, 800);
    stage.apply(ShowPage{Page::kClean});
    if (kind > 0) stage.apply(SelectSite{model.snapshot().find_site("A1").value()});
    stage.apply(ShowPage{Page::kClean});
    draw_frames(stage, 3);
    CHECK(stage.state().page == Page::kClean);
    CHECK(ImGui::GetDrawData()->TotalVtxCount > 0);
  }
}

}  // namespace brookmark::viewer
