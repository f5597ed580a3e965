// Kit, cleanings, risks and contacts as a surveyor types them. What the invented survey must show is told in
// demo_area/kit_story.cpp and demo_area/README.md.
#include <filesystem>

#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark::test;

namespace {

// A survey of its own, for tests that write.
struct OwnSurvey {
  TemporaryFolder folder;
  std::string path = (folder / "own.brook").string();
  OwnSurvey() {
    run_well({"new", path, "--title", "Ponds"});
    const std::string sites = (folder / "sites.csv").string();
    write_text(sites,
               "site,lat,lon,water,kind\nA1,45.00,-30.00,Heron Pond,pond\nA2,45.001,-30.00,Heron Pond,pond\n"
               "B1,45.01,-30.00,Kiln Pond,pond\nC1,45.02,-30.00,Moat,pond\n");
    run_well({"import", path, "sites", sites});
  }
  Answer say(std::vector<std::string> words) const {
    words.insert(words.begin() + 1, path);
    return run(words);
  }
  // The row of an item in `kit`, by column.
  std::string kit(const std::string& code, const std::string& column,
                  const std::string& at = "2025-06-30") const {
    const auto table = say({"kit", "--at", at}).table();
    for (const auto& row : table.rows)
      if (cell(table, row, "kit") == code) return cell(table, row, column);
    return "no such row";
  }
};

}  // namespace

TEST_CASE(
    "the demo's suspicion is followed to Alder Pond directly and to Long Ditch through it, and no further") {
  const Answer answer = run({"trace", demo(), "Kiln Pond"});
  CHECK(answer.code == 0);
  const auto table = answer.table();
  REQUIRE(table.rows.size() == 2);
  CHECK(cell(table, table.rows[0], "water") == "Alder Pond");
  CHECK(cell(table, table.rows[0], "contact") == "direct");
  CHECK(cell(table, table.rows[0], "first_entry") == "2025-10-10T09:30-02:00");
  CHECK(cell(table, table.rows[1], "water") == "Long Ditch");
  CHECK(cell(table, table.rows[1], "contact") == "through other waters");
  CHECK(cell(table, table.rows[1], "steps") == "2");
  CHECK(cell(table, table.rows[1], "way").find("Kiln Pond on 5 October 2025 at 10:00, then Alder Pond") !=
        std::string::npos);
  CHECK(says(answer.err, "tracing Ranavirus from Kiln Pond, entered on 4 October 2025 or later"));
  // Sun drying is enough against crayfish plague (three days), so nothing was carried of that.
  CHECK(run({"trace", demo(), "N02", "--target", "crayfish plague"}).code == 1);
  // An organism without a rule: no cleaning counts, and Heron Pond is reached too.
  const Answer unknown = run({"trace", demo(), "N02", "--target", "pond fever"});
  CHECK(says(unknown.err, "in none of the cleaning rules"));
  CHECK(unknown.table().rows.size() == 3);
}

TEST_CASE(
    "of a water at risk of two organisms the trace names the one it leaves out, and leaves out one that was "
    "cleared") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  std::filesystem::copy_file(demo(), survey);
  run_well({"risk", survey, "N02", "Aphanomyces astaci", "confirmed", "--since", "2025-09-01"});
  const Answer first = run({"trace", survey, "Kiln Pond"});
  CHECK(says(first.err, "tracing Aphanomyces astaci (crayfish plague) from Kiln Pond"));
  CHECK(says(first.err,
             "not traced here: Ranavirus, suspected there since 4 October 2025; trace it with "
             "--target \"Ranavirus\""));
  run_well({"risk", survey, "N02", "Ranavirus", "cleared", "--since", "2025-11-01"});
  const Answer second = run({"trace", survey, "Kiln Pond"});
  CHECK(says(second.err, "tracing Aphanomyces astaci (crayfish plague) from Kiln Pond"));
  CHECK_FALSE(says(second.err, "not traced here"));
  CHECK(says(run({"trace", survey, "Kiln Pond", "--target", "Ranavirus"}).err,
             "Ranavirus is told cleared there since 1 November 2025"));
}

TEST_CASE("the demo's kit says where it belongs, and its jar is overdue") {
  const auto table = run_well({"kit", demo(), "--at", "2025-12-31"}).table();
  std::string clean;
  for (const auto& row : table.rows) clean += cell(table, row, "kit") + "=" + cell(table, row, "clean") + " ";
  CHECK(clean == "BB=yes BN=yes GB=no GN=no V1=no V2=yes V3=no V4=yes XN= ");
  const Answer history = run_well({"kit", demo(), "GN"});
  CHECK(history.table().rows.size() == 4);
  const Answer then = run_well({"kit", demo(), "GN", "--at", "2025-10-09"});
  CHECK(then.table().rows.size() == 3);
  for (const auto& row : then.table().rows) CHECK(cell(then.table(), row, "when") < "2025-10-09T24");
  CHECK(says(history.err, "counts as not cleaned against Ranavirus: drying") == false);
  CHECK(says(history.err, "goes into no water until cleaned: it carries what 2 waters may hold"));
  const Answer held = run({"hold", demo(), "--since", "2025-10-31"});
  CHECK(held.code == 1);  // overdue
  CHECK(says(held.out, "caddis larvae of Quarrendel Brook in V3 since 13 October 2025, 18 days: overdue"));
}

TEST_CASE("kit is listed, used with a warning that is kept, and cleaned") {
  const OwnSurvey s;
  CHECK(s.say({"kit"}).code == 1);
  CHECK(s.say({"kit-add", "N1", "--kind", "net", "--set", "red"}).code == 0);
  CHECK(s.say({"kit-add", "V1", "--kind", "vessel"}).code == 0);
  CHECK(says(s.say({"kit-add", "N1"}).err, "there is an item \"N1\" already"));
  CHECK(says(s.say({"kit-add", "N2", "--kind", "spoon"}).err, "\"spoon\" is no kind of kit"));

  // Without history it is not clean, and not unclean.
  CHECK(s.kit("N1", "clean") == "");
  const Answer first = s.say({"kit-use", "A1", "N1", "--at", "2025-06-01T10:00"});
  CHECK(first.code == 0);
  CHECK(says(first.err, "warning: N1 before Heron Pond: nobody knows which water it was in last"));
  CHECK(says(first.err, "the warnings were recorded with it"));
  CHECK(s.kit("N1", "belongs_to") == "Heron Pond");

  // The same water: no warning. Another water: a warning, and nothing is refused.
  CHECK_FALSE(says(s.say({"kit-use", "A2", "set:red", "--at", "2025-06-01T11:00"}).err, "warning"));
  const Answer dry = s.say({"kit-use", "B1", "N1", "--at", "2025-06-02T10:00", "--dry-run"});
  CHECK(dry.code == 1);
  CHECK(says(dry.err, "N1 before Kiln Pond: used in Heron Pond on 1 June 2025 at 11:00; not cleaned since"));
  CHECK(s.kit("N1", "belongs_to") == "Heron Pond");  // nothing was written
  CHECK(s.say({"kit-use", "B1", "N1", "--at", "2025-06-02T10:00", "--override", "no other net"}).code == 0);
  CHECK(s.kit("N1", "belongs_to") == "Kiln Pond, Heron Pond");
  CHECK(says(s.say({"kit", "N1"}).out, "no other net"));

  const Answer weak = s.say({"kit-clean", "N1", "--with", "bleach", "--strength", "1", "--minutes", "30",
                             "--finished", "2025-06-02T18:00"});
  CHECK(weak.code == 1);
  CHECK(says(weak.out, "counts as not cleaned against Ranavirus: bleach, 0.2 and 1.0 % failed"));
  CHECK(s.kit("N1", "clean") == "no");
  const Answer well = s.say({"kit-clean", "N1", "--with", "Virkon", "--strength", "1", "--minutes", "10",
                             "--finished", "2025-06-02T19:00"});
  CHECK(well.code == 0);
  CHECK(says(well.err, "Disinfectants are hazardous") == false);
  CHECK(says(well.err, "disinfectants are hazardous"));
  CHECK(s.kit("N1", "clean") == "yes");
}

TEST_CASE("a cleaning that began before the use is no success, and a history names what the water asks for") {
  const OwnSurvey s;
  s.say({"kit-add", "V1", "--kind", "vessel"});
  s.say({"risk", "A1", "crassula", "suspected", "--since", "2025-06-01"});
  s.say({"kit-use", "A1", "V1", "--at", "2025-06-02T10:00"});
  const std::vector<std::string> clean{"kit-clean", "V1",        "--with", "Virkon S",   "--strength",
                                       "1",         "--minutes", "10",     "--finished", "2025-06-02T10:05",
                                       "--against", "Bd"};
  const Answer early = s.say(clean);
  CHECK(early.code == 1);
  CHECK(says(early.err, "For V1 this cleaning does not count after its use in Heron Pond"));
  std::vector<std::string> later = clean;
  later[9] = "2025-06-02T11:00";
  CHECK(s.say(later).code == 0);
  CHECK(says(s.say({"kit", "V1"}).out, "Crassula helmsii"));
  CHECK(
      says(s.say({"trace", "A1", "--target", "crassula"}).err, "with kit from this water, or from below it"));
  s.say({"hold", "V1", "A1", "--since", "2025-06-03"});
  CHECK(says(s.say({"kit-add", "V1", "--retire"}).err, "warning: a live sample is in V1 since 3 June 2025"));
}

TEST_CASE("a trace names every item that came into a water, and only the sites that they came to") {
  const OwnSurvey s;
  for (const char* net : {"N1", "N2", "N3"}) s.say({"kit-add", net});
  s.say({"risk", "B1", "ranavirus", "suspected", "--since", "2025-06-01"});
  for (const char* net : {"N1", "N2"}) s.say({"kit-use", "B1", net, "--at", "2025-06-02T10:00"});
  s.say({"kit-use", "A2", "N1", "--at", "2025-06-03T10:00"});
  s.say({"kit-use", "A2", "N2", "--at", "2025-06-04T10:00"});
  s.say({"kit-use", "A1", "N3", "--at", "2025-06-04T10:00"});
  const auto table = s.say({"trace", "B1"}).table();
  REQUIRE(table.rows.size() == 1);
  CHECK(cell(table, table.rows[0], "kit") == "N1 N2");
  CHECK(cell(table, table.rows[0], "sites") == "A2");
  CHECK(says(cell(table, table.rows[0], "way"), "also N2: A2 on 4 June 2025 at 10:00"));
}

TEST_CASE("a cleaning without a contact time is recorded with a warning, and is not enough") {
  const OwnSurvey s;
  s.say({"kit-add", "N1"});
  s.say({"kit-use", "A1", "N1", "--at", "2025-06-01T10:00"});
  const Answer answer =
      s.say({"kit-clean", "N1", "--with", "Virkon S", "--strength", "1", "--finished", "2025-06-01"});
  CHECK(answer.code == 1);
  CHECK(says(answer.err, "warning: The contact time was not noted."));
  CHECK(says(answer.err, "Without a time of day it does not count for uses of the same day"));
  CHECK(s.kit("N1", "clean") == "no");
  CHECK(says(s.say({"kit-clean", "N1", "--with", "vinegar"}).err, "\"vinegar\" is in none of the rules"));
}

TEST_CASE("a risk is recorded and listed; an organism without a rule is taken with a warning") {
  const OwnSurvey s;
  CHECK(s.say({"risk"}).code == 1);
  CHECK(s.say({"risk", "A1", "chytrid", "suspected", "--since", "2025-05-01", "--by", "B.T."}).code == 0);
  const Answer unknown = s.say({"risk", "B1", "pond fever", "confirmed", "--since", "2025-05-02"});
  CHECK(unknown.code == 0);
  CHECK(
      says(unknown.err, "\"pond fever\" is in none of the cleaning rules, so no cleaning counts against it"));
  const auto table = s.say({"risk"}).table();
  REQUIRE(table.rows.size() == 2);
  CHECK(cell(table, table.rows[0], "target") == "Batrachochytrium dendrobatidis");
  CHECK(cell(table, table.rows[0], "told_by") == "B.T.");
  CHECK(cell(table, table.rows[1], "rule_known") == "no");
  CHECK(says(s.say({"risk", "A1", "chytrid", "perhaps"}).err, "\"perhaps\" is no status of a risk"));
  CHECK(s.say({"risk", "A1"}).code == 2);
  CHECK(says(s.say({"risk", "Z9", "chytrid", "suspected"}).err, "there is no site \"Z9\""));
  const Answer untold = s.say({"trace", "Moat"});
  CHECK(untold.code == 1);
  CHECK(says(untold.err, "nothing is told of Moat, so there is nothing to trace"));
  CHECK(says(s.say({"trace", "Nowhere"}).err, "there is no water and no site \"Nowhere\""));
}

TEST_CASE("a live sample goes back to its own water, or the record says that it did not") {
  const OwnSurvey s;
  s.say({"kit-add", "V1", "--kind", "vessel"});
  s.say({"kit-add", "V2", "--kind", "vessel"});
  CHECK(s.say({"hold", "V1", "A1", "--what", "larvae", "--since", "2025-06-01"}).code == 0);
  CHECK(s.say({"hold", "V2", "A1", "--what", "larvae", "--since", "2025-06-01"}).code == 0);
  CHECK(s.kit("V1", "belongs_to") == "Heron Pond");
  CHECK(s.say({"release", "V1"}).code == 2);
  CHECK(says(s.say({"release", "V1", "--to", "A2", "--on", "2025-05-01"}).err,
             "cannot have ended on 1 May 2025"));
  CHECK_FALSE(says(s.say({"release", "V1", "--to", "A2", "--on", "2025-06-02"}).err, "warning"));
  CHECK(says(s.say({"release", "V1", "--disposed"}).err, "nothing is held in V1"));
  const Answer elsewhere = s.say({"release", "V2", "--to", "B1", "--on", "2025-06-02"});
  CHECK(elsewhere.code == 0);
  CHECK(says(elsewhere.err, "It is from Heron Pond, and B1 lies on Kiln Pond"));
  CHECK(says(elsewhere.err, "A contact trace of Heron Pond follows it to Kiln Pond"));
  CHECK(s.say({"hold", "--since", "2025-06-30"}).table().rows.empty());
  // The vessel's history tells where it went, and the trace follows it.
  CHECK(s.kit("V2", "belongs_to") == "Kiln Pond, Heron Pond");
  CHECK(s.kit("V1", "belongs_to") == "Heron Pond");
  const Answer history = s.say({"kit", "V2"});
  CHECK(says(history.out, "live sample taken"));
  CHECK(says(history.out, "live sample of Heron Pond put into a water"));
  CHECK(says(history.out, "a live sample of Heron Pond was put into Kiln Pond: no reason given"));
  const auto traced = s.say({"trace", "Heron Pond", "--target", "ranavirus"}).table();
  REQUIRE(traced.rows.size() == 1);
  CHECK(cell(traced, traced.rows[0], "water") == "Kiln Pond");
  CHECK(cell(traced, traced.rows[0], "contact") == "direct");
  CHECK(says(cell(traced, traced.rows[0], "way"), "V2 with larvae of Heron Pond since 1 June 2025"));
  // One edit: taken back whole.
  CHECK(run({"undo", s.path}).code == 0);
  CHECK(s.kit("V2", "belongs_to") == "Heron Pond");
}

TEST_CASE("what has not come yet is refused with a sentence, and nothing is written") {
  const OwnSurvey s;
  s.say({"kit-add", "N1"});
  s.say({"kit-add", "V1", "--kind", "vessel"});
  const auto refused = [&](const std::vector<std::string>& words) {
    const Answer answer = s.say(words);
    CHECK(answer.code == 2);
    CHECK(says(answer.err, "has not come yet: today is "));
  };
  refused({"kit-clean", "N1", "--with", "Virkon S", "--strength", "1", "--minutes", "10", "--finished",
           "2130-06-01T10:00"});
  refused({"kit-use", "A1", "N1", "--at", "2130-06-01T10:00"});
  refused({"risk", "A1", "ranavirus", "suspected", "--since", "2135-01-01"});
  refused({"hold", "V1", "A1", "--since", "2130-06-01"});
  CHECK(s.say({"hold", "V1", "A1", "--since", "2025-06-01"}).code == 0);
  refused({"release", "V1", "--disposed", "--on", "2130-06-01"});
  CHECK(s.say({"risk"}).code == 1);
  CHECK(s.kit("N1", "clean") == "");
}

TEST_CASE("kit goes down a stream without a word, up it with a warning, and the trace tells of it") {
  const OwnSurvey s;
  const std::string sites = (s.folder / "stream.csv").string(), line = (s.folder / "line.geojson").string();
  write_text(sites,
             "site,lat,lon,water,kind\nS1,45.1,-30.000,Brook,stream\nS2,45.1,-29.990,Brook,stream\n"
             "L1,45.1,-29.980,Lower Brook,stream\n");
  write_text(line, R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":)"
                   R"({"type":"LineString","coordinates":[[-30.01,45.1],[-29.97,45.1]]}}]})");
  run_well({"import", s.path, "sites", sites});
  run_well({"import", s.path, "watercourses", line});
  s.say({"kit-add", "N1"});
  s.say({"kit-clean", "N1", "--with", "Virkon", "--strength", "1", "--minutes", "10", "--finished",
         "2025-06-01T08:00"});
  CHECK_FALSE(says(s.say({"kit-use", "S1", "N1", "--at", "2025-06-02T09:00"}).err, "warning"));
  CHECK_FALSE(says(s.say({"kit-use", "S2", "N1", "--at", "2025-06-02T10:00"}).err, "warning"));
  const Answer up = s.say({"kit-use", "S1", "N1", "--at", "2025-06-02T11:00"});
  CHECK(says(up.err, "warning: N1 before Brook: it was at S2, "));
  CHECK(says(up.err, "Kit goes down a water, never up"));
  const Answer risk = s.say({"risk", "S2", "ranavirus", "suspected", "--since", "2025-06-01"});
  CHECK(says(risk.err, "Its water runs on into Lower Brook ("));
  const auto table = s.say({"trace", "Brook"}).table();
  REQUIRE(table.rows.size() == 2);
  CHECK(cell(table, table.rows[0], "contact") == "further up the same water");
  CHECK(cell(table, table.rows[0], "sites") == "S1");
  CHECK(cell(table, table.rows[1], "contact") == "downstream");
  CHECK(cell(table, table.rows[1], "water") == "Lower Brook");
  const Answer below = s.say({"kit-use", "L1", "N1", "--at", "2025-06-03T09:00", "--dry-run"});
  CHECK(says(below.err, "note: Lower Brook: "));
  CHECK(says(below.err, "below Brook: Ranavirus suspected since 1 June 2025 there"));
  // Kit that was only ever below it is followed into the next water.
  s.say({"kit-add", "N9"});
  s.say({"kit-use", "L1", "N9", "--at", "2025-06-04T09:00"});
  s.say({"kit-use", "A1", "N9", "--at", "2025-06-05T09:00"});
  const Answer traced = s.say({"trace", "Brook"});
  const auto rows = traced.table();
  REQUIRE(rows.rows.size() == 3);
  CHECK(cell(rows, rows.rows[0], "water") == "Heron Pond");
  CHECK(cell(rows, rows.rows[0], "contact") == "through water below");
  CHECK(says(cell(rows, rows.rows[0], "way"),
             " below Brook, N9: Lower Brook on 4 June 2025 at 09:00, then Heron Pond on 5"));
  CHECK(says(traced.err, "kit that was used there is followed from the day"));
}

TEST_CASE("the cleaning rules can be read, each with its source") {
  const auto all = run_well({"cleaning-rules"}).table();
  CHECK(all.rows.size() > 60);
  const auto virus = run_well({"cleaning-rules", "--against", "ranavirus", "--with", "permanganate"}).table();
  REQUIRE(virus.rows.size() == 1);
  CHECK(cell(virus, virus.rows[0], "effect") == "fails");
  CHECK(cell(virus, virus.rows[0], "concentration") == "2-5 ppm");
  CHECK(says(cell(virus, virus.rows[0], "source"), "Bryan et al. 2009"));
  const Answer unknown = run({"cleaning-rules", "--against", "goldfish"});
  CHECK(unknown.code == 2);
  CHECK(says(unknown.err, "\"goldfish\" is in none of the cleaning rules"));
  CHECK(says(run({"cleaning-rules", "--with", "vinegar"}).err, "\"vinegar\" is in none of the rules"));
}

TEST_CASE("a log of kit comes in as a table, and half of it never stays") {
  const OwnSurvey s;
  const std::string log = (s.folder / "log.csv").string();
  write_text(log,
             "kit,kind,date,site,agent,strength,minutes\nN1,net,2025-06-01T10:00,A1,,,\nN1,,2025-06-01T18:00,"
             ",Virkon,1,10\n");
  CHECK(run({"import", s.path, "kit", log}).code == 0);
  CHECK(s.kit("N1", "clean") == "yes");
  write_text(log,
             "kit,kind,date,site,agent,strength,minutes\nN2,net,2025-06-01T10:00,A1,,,\nN2,,2025-06-01T18:00,"
             "Z9,,,\n");
  CHECK(run({"import", s.path, "kit", log}).code == 2);
  CHECK(s.kit("N2", "clean") == "no such row");
}
