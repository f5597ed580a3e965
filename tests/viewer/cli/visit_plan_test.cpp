#include <filesystem>

#include "core/base/text.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark::test;

namespace {

std::string order(const Answer& answer) {
  const auto table = answer.table();
  std::string codes;
  for (const auto& row : table.rows) codes += (codes.empty() ? "" : " ") + cell(table, row, "site");
  return codes;
}

}  // namespace

TEST_CASE("a round over the demo goes down the brook, and to the suspected pond last") {
  const Answer answer = run({"visit-plan", demo(), "--sites", "N02,Q03,Q01,Q02", "--date", "2026-04-22",
                             "--sets", "2", "--vessels", "0"});
  CHECK(answer.code == 0);
  CHECK(order(answer) == "Q01 Q02 Q03 N02");
  CHECK(says(answer.err, "goes down it, never up"));
  CHECK(says(answer.err, "At each site itself work upstream"));
  CHECK(says(answer.err, "Disinfectants are hazardous"));
  const auto table = answer.table();
  CHECK(cell(table, table.rows[3], "risk") == "suspected");
  CHECK(says(cell(table, table.rows[3], "note"), "Ranavirus suspected since 4 October 2025"));
}

// demo_area/kit_story.cpp: blue is clean, green belongs to Alder Pond and Kiln Pond, the spare net has no history.
TEST_CASE("with the demo's own kit two ponds lack a set, and the plan says which kit or cleaning would do") {
  const Answer lacking = run({"visit-plan", demo(), "--sites", "N01 N03", "--date", "2026-04-22"});
  CHECK(lacking.code == 1);
  CHECK(says(lacking.err, "not clean: 2 waters and 1 clean set of kit"));
  CHECK(says(
      lacking.err,
      "Set green cannot be used: it was in Alder Pond and Kiln Pond and goes into no water until cleaned"));
  CHECK(says(lacking.err, "nobody knows where part of it was"));
  const Answer clean = run({"visit-plan", demo(), "--sites", "N01,N03", "--date", "2026-04-22",
                            "--clean-with", "Virkon S", "--strength", "1", "--minutes", "10"});
  CHECK(clean.code == 0);
  CHECK(says(clean.out, "\"Virkon S 1 %, 10 min\""));
}

TEST_CASE(
    "the field sheet is written as HTML and PDF, and holds order, kit, vessels, cautions and whom to call") {
  const TemporaryFolder folder;
  const std::string html = (folder / "sheet.html").string(), pdf = (folder / "sheet.pdf").string();
  const std::vector<std::string> words{
      "visit-plan", demo(), "--sites", "Q01,Q02,N01",     "--date",  "2026-04-22", "--vessels", "0",
      "--sets",     "2",    "--call",  "A.K. <0123 456>", "--sheet", html,         "--sheet",   pdf};
  run_well(words);
  const std::string page = read_text(html);
  for (const char* part :
       {"<html lang=\"en\">", "Field sheet: Quarrendel Brook (invented)", "A.K. &lt;0123 456&gt;",
        "Vessels to label", "Tally", "Weil&#39;s disease", "<th scope=\"col\">Site</th>", "Heron Pond",
        "Disinfectants are hazardous", "Local codes and licensed practice go before this sheet"}) {
    CAPTURE(part);
    CHECK(says(page, part));
  }
  CHECK_FALSE(says(page, "<script"));
  CHECK_FALSE(says(page, "http"));
  const std::string file = read_text(pdf);
  CHECK(file.starts_with("%PDF-"));
  CHECK(says(file, "%%EOF"));
  CHECK(says(file, "/Count 1\n"));  // one page
  // The same plan gives the same bytes.
  std::vector<std::string> again = words;
  again.emplace_back("--force");
  run_well(again);
  CHECK(read_text(pdf) == file);
  CHECK(read_text(html) == page);
  // A sheet that is there is not replaced unasked, nor is the survey.
  CHECK(says(run(words).err, "sheet.html"));
  CHECK(run(words).code == 2);
  CHECK(run({"visit-plan", demo(), "--sites", "Q01", "--sheet", demo(), "--force"}).code == 2);
}

TEST_CASE("every stop of a long round has its column in a tally of the field sheet") {
  const TemporaryFolder folder;
  const std::string html = (folder / "sheet.html").string();
  const std::string sites = "Q01,Q02,Q03,Q04,Q05,Q06,Q07,Q08,Q09,E01,E02,T01,T02,T03,P01,P02";
  run({"visit-plan", demo(), "--sites", sites, "--date", "2026-06-20", "--leave", "05:00", "--minutes-each",
       "10", "--sheet", html});
  const std::string page = read_text(html);
  const std::string tallies = page.substr(page.find("Tally ("));
  for (std::size_t at = 0; at < sites.size(); at += 4) {
    CAPTURE(sites.substr(at, 3));
    CHECK(says(tallies, (">" + sites.substr(at, 3) + "</th>").c_str()));
  }
  CHECK(says(tallies, "stops 1 to 8"));
  CHECK(says(tallies, "stops 9 to 16"));
}

TEST_CASE("vessels to label are a table on the sheet, and a sheet of two pages says so on each of them") {
  const TemporaryFolder folder;
  const std::string html = (folder / "sheet.html").string(), pdf = (folder / "sheet.pdf").string();
  const auto sheet_of = [&](const std::string& sites, const std::string& target) {
    return run({"visit-plan", demo(), "--sites", sites, "--date", "2026-06-20", "--minutes-each", "10",
                "--sets", "20", "--vessels", "0", "--after-dark", "--sheet", target});
  };
  const auto pages = [&](const std::string& file) {
    const std::string bytes = read_text(file);
    return bytes.substr(bytes.find("/Count ", bytes.find("/Type /Pages")) + 7, 1);
  };
  const std::string twelve = "Q01,Q02,Q03,Q04,Q05,Q06,Q07,Q08,Q09,E01,E02,T01";
  sheet_of(twelve, html);
  const std::string page = read_text(html);
  CHECK(says(page, "<caption>Vessels to label</caption>"));
  CHECK(says(page, "Q01 \u00B7 Quarrendel Brook \u00B7 2026-06-20</td>"));
  CHECK_FALSE(says(page, "   |   "));
  const Answer few = sheet_of(twelve, (folder / "one.pdf").string());
  CHECK(pages((folder / "one.pdf").string()) == "1");
  CHECK_FALSE(says(few.err, "The sheet has"));
  const Answer many = sheet_of(twelve + ",T02,T03,P01,P02,K01,W01,W02,S01", pdf);
  CHECK(pages(pdf) == "2");
  CHECK_MESSAGE(says(many.err, "of its 20 stops would fit on one."), many.err);
  const std::string fits = many.err.substr(many.err.find("pages; the first ") + 17, 2);
  CHECK_MESSAGE(brookmark::core::parse_integer(fits).value_or(0) >= 12, many.err);
}

TEST_CASE("a site that was given up and is named for a round is told") {
  const Answer retired =
      run({"visit-plan", demo(), "--sites", "M01,N01", "--date", "2026-06-20", "--sets", "2"});
  CHECK_MESSAGE(says(retired.err, "M01 is marked as retired, so given up as a place to sample"), retired.err);
  CHECK_FALSE(says(run({"visit-plan", demo(), "--sites", "N01", "--date", "2026-06-20", "--sets", "2"}).err,
                   "retired"));
}

TEST_CASE("what cannot be planned gets a sentence") {
  const auto fails = [](std::vector<std::string> more, const char* sentence) {
    std::vector<std::string> words{"visit-plan", demo()};
    words.insert(words.end(), more.begin(), more.end());
    const Answer answer = run(words);
    CHECK(answer.code == 2);
    INFO(answer.err);
    CHECK(says(answer.err, sentence));
  };
  fails({"--sites", "Q01,Z9"}, "there is no site \"Z9\" in this survey");
  fails({"--sites", "Q01,Q01"}, "site Q01 is named twice");
  fails({"--sites", ","}, "no site is named");
  fails({"--sites", "Q01", "--start", "north"}, "\"north\" is no place");
  fails({"--sites", "Q01", "--back"}, "--back needs --start");
  fails({"--sites", "Q01,Q02", "--start", "45.02,-30.01"}, "write the longitude first");
  fails({"--sites", "Q01", "--leave", "late"}, "\"late\" is no time of day");
  fails({"--sites", "Q01", "--date", "soon"}, "soon");
  fails({"--sites", "Q01", "--clean-with", "vinegar"}, "\"vinegar\" is in none of the cleaning rules");
  fails({"--sites", "Q01", "--minutes", "5"}, "say with what");
  fails({"--sites", "Q01", "--sheet", "plan.doc"}, "written as .pdf or .html");
}

TEST_CASE("a site without a position cannot be put in an order, and that is said") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "own.brook").string(), sites = (folder / "sites.csv").string();
  run_well({"new", survey, "--title", "Old field books"});
  write_text(sites, "site,lat,lon\nA1,45,-30\nA2,,\n");
  run_well({"import", survey, "sites", sites});
  const Answer answer = run({"visit-plan", survey, "--sites", "A1,A2"});
  CHECK(answer.code == 2);
  CHECK(says(answer.err, "site A2 has no position, so no way to it is known"));
}

TEST_CASE("a winter day that is too short for the round is told") {
  const Answer answer = run({"visit-plan", demo(), "--sites", "Q01,Q02,Q03,Q04,Q05,Q06,Q07,Q08,Q09", "--date",
                             "2026-12-20", "--minutes-each", "60"});
  CHECK(answer.code == 1);
  CHECK(says(answer.err, "late: All 9 stops would end at "));
  CHECK(says(answer.err, "left for another day "));
  CHECK(says(answer.err, ", dark from "));
  // Those left stand below the others, without a time.
  const auto table = answer.table();
  REQUIRE(table.rows.size() == 9);
  CHECK(cell(table, table.rows[0], "stop") == "1");
  CHECK_FALSE(cell(table, table.rows[0], "leave").empty());
  CHECK(cell(table, table.rows[8], "stop").empty());
  CHECK(cell(table, table.rows[8], "leave").empty());
  CHECK(says(cell(table, table.rows[8], "note"), "left for another day"));
  const Answer dark = run({"visit-plan", demo(), "--sites", "Q01,Q02,Q03,Q04,Q05,Q06,Q07,Q08,Q09", "--date",
                           "2026-12-20", "--minutes-each", "60", "--after-dark"});
  // It was asked for, so it is no fault of the plan; what it takes is told.
  CHECK_FALSE(says(dark.err, "late:"));
  CHECK(says(dark.err, "as asked: go with somebody, carry lights"));
  CHECK(dark.code == (says(dark.err, "not clean:") ? 1 : 0));
  CHECK(cell(dark.table(), dark.table().rows[8], "stop") == "9");
}

TEST_CASE(
    "within the demo's brook the sites above a suspicion come before it, and the table says which lies "
    "where") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "own.brook").string();
  std::filesystem::copy_file(demo(), survey);
  run_well({"risk", survey, "Q03", "crayfish plague", "suspected", "--since", "2025-10-20"});
  const Answer answer = run({"visit-plan", survey, "--sites", "Q04,Q03,Q02", "--date", "2026-04-22", "--sets",
                             "3", "--vessels", "0"});
  const auto table = answer.table();
  REQUIRE(table.rows.size() == 3);
  CHECK(cell(table, table.rows[0], "site") == "Q02");
  CHECK(cell(table, table.rows[0], "risk") == "suspected, above the place");
  for (const auto& row : table.rows) {
    if (cell(table, row, "site") == "Q03") CHECK(cell(table, row, "risk") == "suspected");
    if (cell(table, row, "site") == "Q04") {
      CHECK(cell(table, row, "risk") == "suspected, below the place");
      CHECK(says(cell(table, row, "note"), " further up"));
    }
  }
}
