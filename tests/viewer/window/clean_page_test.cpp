// The page of going clean with a hand on it: what is tapped stands in the survey file, with its warning, and can be taken
// back; a round of visits is planned from chosen sites.
#include <doctest/doctest.h>

#include <algorithm>

#include "desk.hpp"
#include "viewer/state/clean_form.hpp"
#include "viewer/state/going_clean.hpp"

namespace brookmark::viewer {
namespace {

core::Moment at(const char* iso) {
  return core::parse_moment(iso).value();
}

// Two ponds beside a stream with two sites; a net that was in Heron Pond, and a clean jar.
std::filesystem::path make_ponds(const test::TemporaryFolder& folder) {
  const std::filesystem::path path = folder / "clean.brook";
  core::SurveyFile file = core::SurveyFile::create(path, {{}, "Ponds (invented)", {}});
  const auto site = [](const char* code, double east, double north, const char* water, core::WaterKind kind) {
    core::Site s = site_at(code, test::ocean(east, north));
    s.water = water;
    s.kind = kind;
    return core::AddSite{s};
  };
  core::Reach reach;
  reach.key = "key-reach";
  reach.line = test::ocean_line({{-500, 0}, {900, 0}});
  core::Kit net, jar;
  net.key = net.code = "N1";
  net.kind = core::KitKind::kNet;
  jar.key = jar.code = "V1";
  jar.kind = core::KitKind::kVessel;
  core::KitUse use;
  use.kit_key = "N1";
  use.site_key = "key-H";
  use.when = at("2025-05-03T09:00Z");
  core::Cleaning cleaning;
  cleaning.kit_key = "V1";
  cleaning.agent = "Virkon S";
  cleaning.concentration_pct = 1;
  cleaning.contact_min = 10;
  cleaning.finished = at("2025-05-01T12:00Z");
  file.apply({"add",
              "ponds",
              {site("H", 0, 400, "Heron Pond", core::WaterKind::kPond),
               site("K", 300, 400, "Kiln Pond", core::WaterKind::kPond),
               site("S1", -300, 0, "Brook", core::WaterKind::kStream),
               site("S2", 600, 0, "Brook", core::WaterKind::kStream), core::AddReach{reach},
               core::AddKit{net}, core::AddKit{jar}, core::AddKitUse{use}, core::AddCleaning{cleaning}}});
  return path;
}

struct CleanHand : Desk {
  explicit CleanHand(const std::filesystem::path& path) : Desk(path, {}, 1280, 1600) {}
  void open(const char* site_code) {
    if (site_code != nullptr) stage.apply(SelectSite{site(site_code)});
    stage.apply(ShowPage{Page::kClean});
    draw(3);
  }
  bool sees(const std::string& words) const {
    return std::any_of(stage.targets().begin(), stage.targets().end(),
                       [&](const Target& target) { return target.words == words; });
  }
  void tap(const std::string& words) {
    CAPTURE(words);
    const auto target = std::find_if(stage.targets().begin(), stage.targets().end(),
                                     [&](const Target& t) { return t.words == words; });
    REQUIRE(target != stage.targets().end());
    click({target->box.left + target->box.width / 2, target->box.top + target->box.height / 2});
    draw(2);
  }
  const core::Snapshot& snapshot() const { return model.snapshot(); }
};

}  // namespace

TEST_CASE("a use of kit is tapped in, with its warning kept, and taken back") {
  const test::TemporaryFolder folder;
  CleanHand desk(make_ponds(folder));
  desk.open("K");
  desk.tap("Use kit");
  CHECK(desk.sees("\u2717 N1"));
  CHECK(desk.sees("\u2713 V1"));
  CHECK_FALSE(desk.sees("Why you go on all the same"));
  desk.tap("\u2717 N1");
  CHECK(desk.sees("Why you go on all the same"));
  desk.tap("Record");
  REQUIRE(desk.snapshot().kit_uses.size() == 2);
  const core::KitUse& use = desk.snapshot().kit_uses.back();
  CHECK(use.kit_key == "N1");
  CHECK(use.site_key == "key-K");
  CHECK(use.override_reason == "went on in spite of a warning; no reason given");
  CHECK(use.when.date.days >= core::today_utc().days - 1);
  CHECK_FALSE(desk.sees("Record"));  // put away
  desk.stage.apply(UndoEdit{});
  desk.draw(3);
  CHECK(desk.snapshot().kit_uses.size() == 1);
}

TEST_CASE("a cleaning, a risk, a live sample and its end are tapped in") {
  const test::TemporaryFolder folder;
  CleanHand desk(make_ponds(folder));
  desk.open("K");
  desk.tap("Clean kit");
  desk.tap("\u2717 N1");
  desk.tap("Virkon S");
  desk.tap("Strength %");
  desk.type("1");
  desk.tap("Minutes");
  desk.type("10");
  desk.tap("Record");
  REQUIRE(desk.snapshot().cleanings.size() == 2);
  CHECK(desk.snapshot().cleanings.back().agent == "Virkon S");
  CHECK(desk.snapshot().cleanings.back().concentration_pct == 1.0);
  CHECK(desk.snapshot().cleanings.back().contact_min == 10.0);

  desk.tap("Risk");
  desk.tap("Ranavirus");
  desk.tap("Record");
  REQUIRE(desk.snapshot().risks.size() == 1);
  CHECK(desk.snapshot().risks[0].target == "Ranavirus");
  CHECK(desk.snapshot().risks[0].site_key == "key-K");

  desk.tap("Keep alive");
  desk.tap("\u2713 V1");
  desk.tap("Record");
  REQUIRE(desk.snapshot().holdings.size() == 1);
  CHECK(desk.snapshot().holdings[0].outcome == core::HoldingOutcome::kHeld);

  desk.open("H");
  desk.tap("Put back");
  desk.tap("V1");
  desk.tap("Record");
  CHECK(desk.snapshot().holdings[0].outcome == core::HoldingOutcome::kReturned);
  CHECK(desk.snapshot().holdings[0].note.find("put into Heron Pond, which is not its own water") == 0);
  CHECK(desk.snapshot().kit_uses.back().site_key == "key-H");
  // What came of it stands on the page: Heron Pond has it from the jar.
  const GoingClean& clean = desk.model.going_clean(core::latest_day_anywhere());
  REQUIRE(clean.risks.size() == 1);
  REQUIRE(clean.risks[0].contacts.entered.size() == 1);
  CHECK(clean.waters.name(clean.risks[0].contacts.entered[0].body) == "Heron Pond");
}

TEST_CASE("what is missing or not yet true is told, and cannot be recorded") {
  const test::TemporaryFolder folder;
  CleanHand desk(make_ponds(folder));
  const core::SurveyWaters waters(desk.snapshot());
  const core::KitHistory history(desk.snapshot(), waters);
  const core::RecordSource source{desk.snapshot(), waters, history, at("2025-06-10T12:00Z")};
  CleanForm form = begin_task(CleanTask::kUse, "K", source.now);
  CHECK(form.day == "2025-06-10");
  CHECK(form.time == "12:00");
  const auto trouble = [&] {
    const CleanReading reading = read_form(form, source);
    CHECK_FALSE(reading.recorded);
    return reading.trouble;
  };
  CHECK(trouble() == "Tap the kit that it is about.");
  tap_kit(form, "N1", false);
  CHECK(read_form(form, source).recorded);
  form.day = "2030-01-01";
  CHECK(trouble() == "1 January 2030 at 12:00 has not come yet: today is 10 June 2025. Write when it was.");
  form.day = "soon";
  CHECK(trouble() == "\"soon\" is no day; write it as 2025-06-10.");
  form = begin_task(CleanTask::kUse, "", source.now);
  tap_kit(form, "N1", false);
  CHECK(trouble() == "Choose a site on the map, or write its code.");
  form.site = "Z9";
  CHECK(trouble() == "There is no site \"Z9\" in this survey.");
  form = begin_task(CleanTask::kClean, "", source.now);
  tap_kit(form, "N1", false);
  CHECK(trouble() == "Tap or write what it was cleaned with.");
  form.agent = "Virkon S";
  form.strength = "strong";
  CHECK(trouble() == "\"strong\" is no strength in per cent.");
  form.strength = "1";
  const CleanReading weak = read_form(form, source);  // no time: recorded with a warning, and not enough
  REQUIRE(weak.recorded);
  CHECK(weak.recorded->warnings.front() == "The contact time was not noted.");
  for (const core::CleaningVerdict& verdict : weak.verdicts)
    CHECK(verdict.effect != core::CleaningEffect::kEnough);
  form = begin_task(CleanTask::kRisk, "K", source.now);
  CHECK(trouble() == "No organism is named; write what is suspected.");
  form = begin_task(CleanTask::kRelease, "K", source.now);
  tap_kit(form, "V1", true);
  CHECK(trouble() == "Nothing is held in V1.");
  CHECK(kit_to_choose(CleanTask::kRelease, desk.snapshot()).empty());
  // Of a live sample one vessel alone.
  form = begin_task(CleanTask::kHold, "K", source.now);
  tap_kit(form, "N1", true);
  tap_kit(form, "V1", true);
  CHECK(form.kit == std::vector<std::string>{"V1"});
  tap_kit(form, "V1", true);
  CHECK(form.kit.empty());
}

TEST_CASE("a round of visits is planned from the chosen sites, and forgotten when the survey changes") {
  const test::TemporaryFolder folder;
  CleanHand desk(make_ponds(folder));
  desk.open("S2");
  desk.tap("Add S2");
  CHECK(desk.sees("S2 \u00d7"));
  desk.open("S1");
  desk.tap("Add S1");
  desk.tap("1 clean set");
  const int before = ImGui::GetDrawData()->TotalVtxCount;
  desk.tap("Plan the round");
  CHECK(ImGui::GetDrawData()->TotalVtxCount > before);  // the stops on the page and on the map
  // The same as the verb would say: down the brook.
  const core::SurveyWaters waters(desk.snapshot(), &desk.model.session().channels);
  const core::KitHistory history(desk.snapshot(), waters);
  Round round;
  round.wish.sites = {"S2", "S1"};
  round.wish.day = "2025-06-10";
  round.wish.clean_sets = 1;
  plan_round(round, {desk.snapshot(), waters, history, at("2025-06-10T08:00Z")}, 1);
  REQUIRE(round.plan);
  CHECK(round.plan->stops[0].site == desk.site("S1"));
  for (const core::PlanStop& stop : round.plan->stops) CHECK(stop.kit_set == "the set");
  CHECK(round.plan->lacking ==
        std::vector<std::string>{"No clean vessel is left for S2."});  // there is one jar
  round.wish.sites = {"S2", "Z9"};
  plan_round(round, {desk.snapshot(), waters, history, at("2025-06-10T08:00Z")}, 1);
  CHECK_FALSE(round.plan);
  CHECK(round.trouble == "There is no site \"Z9\" in this survey.");
  desk.tap("S2 \u00d7");
  CHECK_FALSE(desk.sees("S2 \u00d7"));
}

TEST_CASE("a cleaning that one waits for between two waters is enough against the routine targets") {
  const auto cleanings = cleanings_on_the_way();
  REQUIRE_FALSE(cleanings.empty());
  for (const core::Cleaning& cleaning : cleanings) {
    CHECK(cleaning.contact_min.value() <= 120);
    for (const core::TargetIndex target : core::routine_targets()) CHECK(core::is_enough(cleaning, target));
  }
}

}  // namespace brookmark::viewer
