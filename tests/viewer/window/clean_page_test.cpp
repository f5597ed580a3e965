// The page of going clean with a hand on it: what is tapped stands in the survey file, with its warning, and can be taken
// back; a round of visits is planned from chosen sites.
#include <doctest/doctest.h>

#include <algorithm>

#include "desk.hpp"
#include "tests/support/near.hpp"
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

TEST_CASE(
    "start, leave, speed, time at a site, vessels and daylight of the round are those that the plan is asked "
    "with") {
  const test::TemporaryFolder folder;
  CleanHand desk(make_ponds(folder));
  RoundWish wish;
  wish.sites = {"S1", "S2"};
  wish.day = "2025-06-10";
  const auto request = [&] { return round_request(wish, desk.snapshot()); };
  CHECK_FALSE(request().start);
  CHECK(request().vessels_per_stop == 1);
  CHECK(request().speed_kmh == 4);
  wish.start = "45.001 N 30.002 W";
  REQUIRE(request().start);
  CHECK(test::near(request().start->lat, 45.001, 1e-12));  // read from these very digits
  CHECK(test::near(request().start->lon, -30.002, 1e-12));
  CHECK_FALSE(request().and_back);
  wish.and_back = true;
  wish.leave = " 07:30 ";
  wish.speed_kmh = 12.5;
  wish.stop_min = 20;
  wish.vessels = 0;
  wish.after_dark = true;
  CHECK(request().and_back);
  CHECK(request().leave_min == 450);
  CHECK(request().speed_kmh == 12.5);
  CHECK(request().stop_min == 20);
  CHECK(request().vessels_per_stop == 0);
  CHECK(request().after_dark);
  const auto refusal = [&] {
    Round round;
    round.wish = wish;
    const core::SurveyWaters waters(desk.snapshot());
    const core::KitHistory history(desk.snapshot(), waters);
    plan_round(round, {desk.snapshot(), waters, history, at("2025-06-10T08:00Z")}, 1);
    CHECK_FALSE(round.plan);
    return round.trouble;
  };
  wish.start = "over there";
  CHECK(refusal().find("\"over there\" is no place on Earth") == 0);
  wish.start.clear();
  wish.leave = "early";
  CHECK(refusal() == "\"early\" is no time of day; write it as 09:30.");
}

TEST_CASE(
    "the field sheet of a round is written from the page, on paper and as a page, and says whom to call") {
  const test::TemporaryFolder folder;
  CleanHand desk(make_ponds(folder));
  desk.open("S1");
  desk.tap("Add S1");
  CHECK_FALSE(desk.sees("Field sheet \u2026"));
  desk.tap("1 clean set");
  CHECK_FALSE(desk.sees("Speed more"));
  desk.tap("More: start, speed, vessels \u2026");
  for (const char* words : {"Speed more", "Each site less", "Vessels a stop less", "The map's middle",
                            "At S1", "By daylight", "After dark too"})
    CHECK_MESSAGE(desk.sees(words), words);
  desk.tap("Vessels a stop less");
  desk.tap("At S1");
  desk.tap("Plan the round");
  desk.tap("Field sheet \u2026");
  const auto dialog = [&]() -> const Dialog& { return desk.stage.state().desk.dialog; };
  REQUIRE(dialog().kind == DialogKind::kSheet);
  CHECK(dialog().name.starts_with("clean-20"));
  CHECK(dialog().name.ends_with(".pdf"));
  REQUIRE(desk.stage.state().desk.round);
  CHECK(desk.stage.state().desk.round->vessels == 0);
  CHECK_FALSE(desk.stage.state().desk.round->start.empty());
  const std::shared_ptr<const RoundWish> wish = desk.stage.state().desk.round;
  for (const char* name : {"round.pdf", "round.html"}) {
    desk.stage.apply(OpenDialog{.kind = DialogKind::kSheet, .round = wish});
    Dialog next = dialog();
    next.name = name;
    next.call = "A.K. <0123 456>";
    desk.stage.apply(ChangeDialog{next});
    CHECK(missing_in(desk.stage.state(), desk.model).empty());
    desk.draw();
    desk.stage.apply(RunDialog{});
    desk.stage.finish_errands();
    CHECK(desk.stage.state().messages.back().text.find("Wrote ") == 0);
    CHECK(dialog().kind == DialogKind::kNone);
  }
  const std::string page = test::read_text(folder / "round.html"),
                    paper = test::read_text(folder / "round.pdf");
  CHECK(page.find("Field sheet: Ponds (invented)") != std::string::npos);
  CHECK(page.find("A.K. &lt;0123 456&gt;") != std::string::npos);
  CHECK(page.find("S1") != std::string::npos);
  CHECK(paper.starts_with("%PDF-"));
  CHECK(paper.find("/Count 1\n") != std::string::npos);  // one page
  // What is missing is said, and a file that is there is not replaced unasked.
  desk.stage.apply(OpenDialog{.kind = DialogKind::kSheet, .round = wish});
  Dialog next = dialog();
  next.name = "round.html";
  desk.stage.apply(ChangeDialog{next});
  CHECK(missing_in(desk.stage.state(), desk.model).find("already there") != std::string::npos);
  next.name = "round.doc";
  desk.stage.apply(ChangeDialog{next});
  CHECK(missing_in(desk.stage.state(), desk.model) == "Let the name end in .pdf or .html.");
  next.name = " ";
  desk.stage.apply(ChangeDialog{next});
  CHECK(missing_in(desk.stage.state(), desk.model) == "Give the file a name.");
}

TEST_CASE("a water below one that kit entered stands among the contacts on the page") {
  const test::TemporaryFolder folder;
  const auto path = make_ponds(folder);
  {
    core::SurveyFile file = core::SurveyFile::open(path, core::Access::kEdit);
    core::Site lower = site_at("L", test::ocean(800, 0));
    lower.water = "Lower Brook";
    core::KitUse use;
    use.kit_key = "N1";
    use.site_key = "key-S1";
    use.when = at("2025-05-04T09:00Z");
    core::WaterRisk risk;
    risk.site_key = "key-H";
    risk.target = "Ranavirus";
    risk.since = at("2025-05-01").date;
    file.apply({"add", "a contact", {core::AddSite{lower}, core::AddKitUse{use}, core::AddWaterRisk{risk}}});
  }
  CleanHand desk(path);
  desk.open(nullptr);
  const GoingClean& clean = desk.model.going_clean(core::latest_day_anywhere());
  REQUIRE(clean.risks.size() == 1);
  const core::Contacts& found = clean.risks[0].contacts;
  REQUIRE(found.entered.size() == 1);
  CHECK(clean.waters.name(found.entered[0].body) == "Brook");
  REQUIRE(found.below.size() == 1);
  CHECK(clean.waters.name(found.below[0].below.body) == "Lower Brook");
  CHECK(clean.waters.name(found.below[0].source) == "Brook");
  CHECK(desk.sees("L"));  // its button on the page
}

}  // namespace brookmark::viewer
