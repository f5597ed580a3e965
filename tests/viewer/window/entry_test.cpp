// A visit written down in the window: the form, the tally by taps and by keys alone, and readings.
#include <algorithm>

#include "tray.hpp"
#include "viewer/actions/common_taxa.hpp"

namespace brookmark::viewer {

TEST_CASE("people are those of a visit of the same day, and never of another") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  {
    core::SurveyFile file = core::SurveyFile::open(path, core::Access::kEdit);
    core::Visit visit;
    visit.key = "v", visit.site_key = "key-D", visit.start = kMay, visit.people = "A. Walker";
    core::Sample sample;
    sample.key = sample.code = "s", sample.visit_key = "v", sample.protocol = "kick";
    file.apply({"add", "a visit", {core::AddVisit{visit}, core::AddSample{sample}}});
  }
  const core::Snapshot s = open_session(path).snapshot;
  const core::SiteIndex b = *s.find_site("B");
  CHECK(fresh_form(s, b, kMay)[EntryField::kPeople] == "A. Walker");
  core::Moment next_day = kMay;
  next_day.date.days += 1;
  const VisitForm other = fresh_form(s, b, next_day);
  CHECK(other[EntryField::kPeople].empty());
  CHECK(other[EntryField::kProtocol] == "kick");
}

TEST_CASE("a common name is said once, and a name that scores nowhere offers the family below it") {
  const core::Snapshot none;
  for (const char* words : {"mayfly", "small minnow mayfly", "freshwater shrimp", "shr"})
    for (const NameChoice& choice : name_choices(words, none, core::checklist(), 12)) {
      CAPTURE(choice.detail);
      const std::string first = choice.detail.substr(0, choice.detail.find_first_of(";,"));
      CHECK(choice.detail.find(first, first.size()) == std::string::npos);
    }
  for (const char* words : {"freshwater shrimp", "shr"}) {
    const auto choices = name_choices(words, none, core::checklist(), 12);
    CAPTURE(words);
    REQUIRE(choices.size() > 1);
    CHECK(choices[0].lineage.front().name != "Gammaridae");  // Enter takes the first
    CHECK(std::count_if(choices.begin(), choices.end(),
                        [](const NameChoice& c) { return c.lineage.front().name == "Gammaridae"; }) == 1);
  }
}

TEST_CASE("each tap is in the file before the next") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  REQUIRE_FALSE(tray.sheet().sample_key.empty());
  tray.tap("Gammaridae");
  CHECK(stored(path) == "Gammaridae 1");
  tray.tap("Gammaridae");
  tray.tap("Baetidae");
  tray.tap("Gammaridae");
  CHECK(stored(path) == "Gammaridae 3; Baetidae 1");
  CHECK(tray.model.snapshot().samples.size() == 0);  // the map follows when the sheet is closed
  tray.stage.apply(CloseEntry{});
  CHECK(tray.model.snapshot().samples.size() == 1);
  CHECK(tray.state().site == tray.site("B"));
  CHECK(tray.state().sample.has_value());
  CHECK(tray.state().page == Page::kSite);
  const core::Snapshot& s = tray.model.snapshot();
  CHECK(core::format_moment(s.visits.start[0]) == "2024-05-03T09:30+01:00");
  CHECK(s.samples.code[0] == "B-2024-05");
}

TEST_CASE(
    "letters that come before the field has the keyboard are not lost, and none of them is a key of the "
    "map") {
  const test::TemporaryFolder folder;
  Tray tray(make_survey(folder));
  // Right after a tap, while the hand is still on the mouse, and right after the sheet was opened.
  const auto button = tray.stage.target("Gammaridae");
  REQUIRE(button);
  tray.click({button->left + button->width / 2, button->top + button->height / 2});
  tray.type("mal");
  for (int i = 0; i < 60 && tray.sheet().typed.size() < 3; ++i) tray.draw(1);
  CHECK(tray.sheet().typed == "mal");
  tray.key(ImGuiKey_Escape);
  tray.stage.apply(CloseEntry{});
  tray.draw(3);
  tray.stage.apply(ResumeEntry{core::SampleIndex(0)});
  tray.type("mba");
  for (int i = 0; i < 60 && tray.sheet().typed.size() < 3; ++i) tray.draw(1);
  CHECK(tray.sheet().typed == "mba");
  CHECK_FALSE(tray.state().map.measure.on);
  CHECK(tray.state().page != Page::kHelp);
}

TEST_CASE("with the keyboard alone: three letters, Enter, a number, Enter") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.type("gam");
  REQUIRE(tray.sheet().typed == "gam");
  REQUIRE_FALSE(tray.sheet().choices.empty());
  CHECK(stored(path) == "");  // shown, and not taken
  tray.key(ImGuiKey_Enter);
  REQUIRE(tray.sheet().chosen);
  const std::string first = tray.sheet().chosen->shown;
  tray.type("12");
  tray.key(ImGuiKey_Enter);
  CHECK(stored(path) == first + " 12");
  // The hands go on without a pause.
  tray.type("hydropsychid");
  tray.key(ImGuiKey_Enter);
  tray.type("4");
  tray.key(ImGuiKey_Enter);
  CHECK(stored(path) == first + " 12; Hydropsychidae 4");
  tray.type("baetid");
  tray.key(ImGuiKey_Enter);
  tray.key(ImGuiKey_Enter);  // no number: present
  CHECK(stored(path) == first + " 12; Hydropsychidae 4; Baetidae present");
}

TEST_CASE("arrows choose another of the lines, and Esc leaves step by step") {
  const test::TemporaryFolder folder;
  Tray tray(make_survey(folder));
  tray.type("gam");
  REQUIRE(tray.sheet().choices.size() > 1);
  tray.key(ImGuiKey_DownArrow);
  CHECK(tray.sheet().lit == 1);
  const std::string second = tray.sheet().choices[1].shown;
  tray.key(ImGuiKey_Enter);
  REQUIRE(tray.sheet().chosen);
  CHECK(tray.sheet().chosen->shown == second);
  tray.key(ImGuiKey_Escape);
  CHECK_FALSE(tray.sheet().chosen);
  tray.key(ImGuiKey_Escape);
  CHECK(tray.sheet().typed.empty());
  tray.key(ImGuiKey_Escape);
  CHECK_FALSE(tray.state().entry);
}

TEST_CASE("taps and clicks reach the buttons of the sheet at every size") {
  for (const auto& [width, height] : {std::pair{1024.0, 700.0}, {1280.0, 800.0}, {2560.0, 1440.0}}) {
    const test::TemporaryFolder folder;
    const auto path = make_survey(folder);
    Desk desk(path, {}, width, height);
    desk.stage.apply(StartEntry{desk.site("B"), kMay});
    desk.stage.apply(ShowEntryPart{EntryPart::kTally});
    desk.draw(3);
    // Down the left part until a tap meets a button.
    for (double y = height * 0.35; y < height - 40 && desk.state().entry->records.empty(); y += 10)
      desk.click({width * 0.1, y});
    CHECK(desk.state().entry->records.size() == 1);
    CHECK(stored(path).ends_with(" 1"));
  }
}

TEST_CASE("a number adds, = sets, - takes away, 0 says looked for, nothing says present") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.write("Gammaridae", "5");
  tray.write("Gammaridae", "12");
  CHECK(stored(path) == "Gammaridae 17");
  tray.write("Gammaridae", "=3");
  CHECK(stored(path) == "Gammaridae 3");
  tray.write("Gammaridae", "-1");
  CHECK(stored(path) == "Gammaridae 2");
  tray.write("Gammaridae", "-9");
  CHECK_FALSE(tray.sheet().number_trouble.empty());
  CHECK(stored(path) == "Gammaridae 2");
  tray.stage.apply(LeaveName{});
  tray.stage.apply(LeaveName{});
  tray.write("Gammaridae", "0");
  CHECK_FALSE(tray.sheet().number_trouble.empty());  // it was found
  tray.stage.apply(LeaveName{});
  tray.stage.apply(LeaveName{});
  tray.write("Perlidae", "0");
  tray.write("Baetidae", "");
  CHECK(stored(path) == "Gammaridae 2; Perlidae looked for, not found; Baetidae present");
  for (const char* words : {"two", "1.5", "1e3", "-", "=", "99999999999999999999", "=-4", " - 1"}) {
    tray.write("Simuliidae", words);
    CHECK_FALSE(tray.sheet().number_trouble.empty());
    tray.stage.apply(LeaveName{});
    tray.stage.apply(LeaveName{});
  }
  CHECK(stored(path) == "Gammaridae 2; Perlidae looked for, not found; Baetidae present");
  tray.write("Gammaridae", "-2");
  CHECK(stored(path) == "Perlidae looked for, not found; Baetidae present");
}

TEST_CASE("classes go up tap by tap, and a class and a count are not mixed in silence") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.stage.apply(ChooseTallyWay{TallyWay::kClass, "log-a-e"});
  tray.tap("Gammaridae");
  CHECK(stored(path) == "Gammaridae A (1 to 9)");
  tray.tap("Gammaridae");
  CHECK(stored(path) == "Gammaridae B (10 to 99)");
  for (int i = 0; i < 9; ++i) tray.tap("Gammaridae");
  CHECK(stored(path) == "Gammaridae E (10000 or more)");
  tray.write("Baetidae", "c");
  CHECK(stored(path) == "Gammaridae E (10000 or more); Baetidae C (100 to 999)");
  tray.stage.apply(ChooseTallyWay{TallyWay::kCount, {}});
  tray.tap("Baetidae");
  CHECK_FALSE(tray.sheet().number_trouble.empty());
  tray.write("Baetidae", "12");
  CHECK_FALSE(tray.sheet().number_trouble.empty());
  tray.stage.apply(TypeNumber{"=12"});
  tray.stage.apply(TakeNumber{});
  CHECK(stored(path) == "Gammaridae E (10000 or more); Baetidae 12");
  for (int i = 0; i < 5; ++i) tray.stage.apply(ChangeCount{0, -1});
  CHECK(stored(path) == "Baetidae 12");
}

TEST_CASE("presence, life stage and doubt are lines of their own") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.tap("Elmidae");
  tray.stage.apply(ChooseStage{core::LifeStage::kLarva});
  tray.tap("Elmidae");
  tray.tap("Elmidae");
  tray.stage.apply(ChooseUnsure{true});
  tray.tap("Elmidae");
  tray.stage.apply(ChooseUnsure{false});
  tray.stage.apply(ChooseStage{core::LifeStage::kUnknown});
  tray.stage.apply(ChooseTallyWay{TallyWay::kPresent, {}});
  tray.tap("Baetidae");
  tray.tap("Baetidae");
  tray.write("adult beetle", "");
  CHECK(stored(path) ==
        "Elmidae 1; Elmidae 2 larva; Elmidae 1 larva ?; Baetidae present; Coleoptera present adult");
}

TEST_CASE("a name is never chosen by itself: it is proposed, or kept as written") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.stage.apply(TypeName{"Gamarus"});
  REQUIRE_FALSE(tray.sheet().choices.empty());
  const NameChoice& near = tray.sheet().choices.front();
  CHECK(near.shown == "Gammarus");
  CHECK(near.match == core::NameMatch::kChosen);
  CHECK(near.verbatim == "Gamarus");  // the words stay
  const NameChoice& own = tray.sheet().choices.back();
  CHECK_FALSE(own.lineage.front().listed);
  CHECK(stored(path) == "");
  tray.stage.apply(TakeChoice{tray.sheet().choices.size() - 1});
  tray.stage.apply(TypeNumber{"2"});
  tray.stage.apply(TakeNumber{});
  CHECK(stored(path) == "Gamarus 2");
  // Nothing that says there was no animal becomes one.
  tray.stage.apply(TypeName{"none"});
  CHECK(tray.sheet().choices.empty());
  tray.stage.apply(TakeChoice{});
  CHECK_FALSE(tray.sheet().chosen);
}

TEST_CASE("the buttons are the survey's commonest taxa, and a list of the checklist where it has few") {
  const core::Snapshot none = test::empty_snapshot();
  const auto usual = common_taxa(none);
  REQUIRE(usual.size() == 20);
  for (const CommonTaxon& c : usual) {
    CHECK(c.samples == 0);
    CHECK(c.name.lineage.front().listed);
    CHECK(c.name.match != core::NameMatch::kNone);
  }
  const core::Snapshot s = test::sample_snapshot();
  const auto own = common_taxa(s, 5);
  REQUIRE(own.size() == 5);
  // By brute force: no taxon that was left out is in more samples than one that was taken.
  std::map<std::string, std::size_t> samples;
  for (std::size_t i = 0; i < s.samples.size(); ++i) {
    std::set<std::string> here;
    for (std::size_t r = s.samples.record_begin[i]; r < s.samples.record_begin[i + 1]; ++r)
      here.insert(std::string(s.taxa.name[s.records.taxon[r].value()]));
    for (const std::string& name : here) ++samples[name];
  }
  std::size_t least = SIZE_MAX;
  for (const CommonTaxon& c : own) {
    CHECK(c.samples == samples.at(c.name.shown));
    least = std::min(least, c.samples);
    samples.erase(c.name.shown);
  }
  for (const auto& [name, n] : samples) CHECK(n <= least);
}

TEST_CASE("a form that cannot be read is not kept and says which field") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Desk desk(path);
  desk.stage.apply(StartEntry{desk.site("D"), kMay});
  const auto refused = [&](EntryField f, const std::string& words) {
    const std::string before = desk.state().entry->form[f];
    desk.stage.apply(TypeField{f, words});
    desk.stage.apply(ShowEntryPart{EntryPart::kTally});
    CHECK(desk.state().entry->part == EntryPart::kVisit);
    CHECK(desk.state().entry->trouble_at == f);
    CHECK_FALSE(desk.state().entry->form_trouble.empty());
    desk.draw(2);
    desk.stage.apply(TypeField{f, before});
  };
  for (const char* d : {"", "3.5.2024", "2024-02-30", "2999-01-01"}) refused(EntryField::kDate, d);
  for (const char* t : {"24:00", "0930", "9.30", "12:60"}) refused(EntryField::kTime, t);
  for (const char* o : {"+15:00", "CET", "+1:2"}) refused(EntryField::kOffset, o);
  for (const char* e : {"0", "-3", "three"}) refused(EntryField::kEffort, e);
  desk.stage.apply(TypeField{EntryField::kEffort, "180"});
  desk.stage.apply(ShowEntryPart{EntryPart::kTally});
  CHECK(desk.state().entry->trouble_at == EntryField::kEffortUnit);  // a number of what?
  desk.stage.apply(TypeField{EntryField::kEffort, ""});
  for (const char* m : {"0", "0.5 mm"}) refused(EntryField::kMesh, m);
  for (const char* s : {"0", "1.5", "2/1", "1/0", "half"}) refused(EntryField::kShare, s);
  refused(EntryField::kCode, " ");
  CHECK(stored(path) == "no sample");
  desk.stage.apply(TypeField{EntryField::kShare, "1/4"});
  desk.stage.apply(TypeField{EntryField::kEffort, "180"});
  desk.stage.apply(TypeField{EntryField::kEffortUnit, "s"});
  desk.stage.apply(TypeField{EntryField::kMesh, "500"});
  desk.stage.apply(TypeField{EntryField::kWeather, "rain"});
  desk.stage.apply(ShowEntryPart{EntryPart::kTally});
  desk.stage.apply(CloseEntry{});
  const core::Snapshot& s = desk.model.snapshot();
  REQUIRE(s.samples.size() == 1);
  CHECK(*s.samples.subsample_share[0] == 0.25);
  CHECK(*s.samples.effort[0] == 180);
  CHECK(*s.samples.mesh_um[0] == 500);
  CHECK(s.visits.weather[0] == "rain");
}

TEST_CASE("the next visit begins with what stays the same, and a replicate shares its visit") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.stage.apply(ShowEntryPart{EntryPart::kVisit});
  for (const auto& [f, words] : {std::pair{EntryField::kPeople, "Ada"},
                                 {EntryField::kProtocol, "kick"},
                                 {EntryField::kEffort, "60"},
                                 {EntryField::kEffortUnit, "s"},
                                 {EntryField::kMesh, "900"}})
    tray.stage.apply(TypeField{f, words});
  tray.stage.apply(ShowEntryPart{EntryPart::kTally});
  tray.tap("Gammaridae");
  tray.stage.apply(AnotherSample{});
  tray.stage.apply(ShowEntryPart{EntryPart::kTally});
  tray.tap("Baetidae");
  tray.stage.apply(CloseEntry{});
  const core::Snapshot& s = tray.model.snapshot();
  REQUIRE(s.samples.size() == 2);
  CHECK(s.visits.size() == 1);
  CHECK(s.samples.kind[1] == core::SampleKind::kReplicate);
  CHECK(stored(path, 0) == "Gammaridae 1");
  CHECK(stored(path, 1) == "Baetidae 1");
  tray.stage.apply(StartEntry{tray.site("B"), {*core::parse_date("2024-05-20"), {}, {}}});
  const VisitForm& form = tray.sheet().form;
  CHECK(form[EntryField::kPeople].empty());  // on another day it may be somebody else
  CHECK(form[EntryField::kProtocol] == "kick");
  CHECK(form[EntryField::kMesh] == "900");
  CHECK(form[EntryField::kEffort].empty());
  CHECK(form[EntryField::kCode] == "B-2024-05-2");
}

TEST_CASE("readings are checked while they are written") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  const auto read = [&](const char* id, const char* words) {
    tray.stage.apply(TypeReading{id, words});
    tray.stage.apply(KeepReading{id});
  };
  read("ph", "20");  // no pH (0 to 14)
  CHECK(tray.sheet().reading_troubles.at("ph").find("0 to 14") != std::string::npos);
  read("ph", "seven");
  CHECK(tray.sheet().reading_troubles.contains("ph"));
  CHECK(open_session(path).snapshot.measurements.size() == 0);
  read("ph", "7,4");
  CHECK_FALSE(tray.sheet().reading_troubles.contains("ph"));
  read("temperature", "45");  // possible, and unusual
  CHECK(tray.sheet().reading_troubles.at("temperature").find("unusual") != std::string::npos);
  read("ammonia", "<0.05");
  read("temperature", "14.5");
  CHECK_FALSE(tray.sheet().reading_troubles.contains("temperature"));
  core::Snapshot s = open_session(path).snapshot;
  REQUIRE(s.measurements.size() == 3);
  CHECK(*s.measurements.value[0] == 7.4);
  CHECK(s.measurements.verbatim_value[0] == "7,4");
  CHECK(*s.measurements.value[1] == 14.5);
  CHECK(s.measurements.below_detection[2]);
  CHECK(*s.measurements.value[2] == 0.05);
  read("temperature", "");  // not measured after all
  CHECK(open_session(path).snapshot.measurements.size() == 2);
  tray.stage.apply(UndoOnSheet{});
  CHECK(open_session(path).snapshot.measurements.size() == 3);
  CHECK(tray.sheet().readings.at("temperature") == "14.5");
}

TEST_CASE("what the file refuses is taken off the sheet again") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  core::StoreOptions small;
  {
    Desk first(path);
    first.stage.apply(StartEntry{first.site("B"), kMay});
    first.stage.apply(ShowEntryPart{EntryPart::kTally});
  }
  small.max_pages =
      static_cast<std::int64_t>(std::filesystem::file_size(path) / 4096) + 1;  // a disk that is nearly full
  Desk desk(path, small);
  desk.stage.apply(ResumeEntry{core::SampleIndex(0)});
  int done = 0;
  for (int i = 0; i < 2000 && desk.state().messages.empty(); ++i) {
    desk.stage.apply(TapTaxon{static_cast<std::size_t>(i % 20)});
    if (desk.state().messages.empty()) ++done;
  }
  REQUIRE_FALSE(desk.state().messages.empty());
  std::int64_t on_sheet = 0, in_file = 0;
  for (const core::Record& r : desk.state().entry->records) on_sheet += *r.count_min;
  const core::Snapshot s = open_session(path).snapshot;
  for (const std::int64_t n : s.records.count_min) in_file += n;
  CHECK(on_sheet == done);
  CHECK(in_file == done);
}

}  // namespace brookmark::viewer
