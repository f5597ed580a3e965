// The verbs that hand a survey over, say what may leave, and take back what came back.
#include <doctest/doctest.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>

#include "tests/support/files.hpp"
#include "tests/support/secret_survey.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using brookmark::test::run;
using brookmark::test::run_well;
using brookmark::test::says;
using brookmark::test::secret_survey;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;

namespace {

struct Made {
  TemporaryFolder folder;
  std::string survey = (folder / "a.brook").string();
  Made() { secret_survey(survey); }
  std::string at(const char* name) const { return (folder / name).string(); }
};

}  // namespace

TEST_CASE("the preview lists what stays at home and writes nothing") {
  const Made m;
  const auto preview = run({"export", m.survey, m.at("out.gpkg"), "--preview", "--format", "csv"});
  CHECK(preview.code == 0);
  CHECK(preview.out.starts_with("layer,of,what,why\n"));
  CHECK(says(preview.out, "sites,Q02,"));
  CHECK(says(preview.out, "sites,W01,\"left out with its visits"));
  CHECK(says(preview.out, "people,Bob Baker,"));
  CHECK(says(preview.err, "nothing was written"));
  CHECK_FALSE(std::filesystem::exists(m.at("out.gpkg")));
  // A larger cell is said with its larger uncertainty.
  const auto wide =
      run({"export", m.survey, m.at("out.gpkg"), "--preview", "--blur", "20km", "--format", "csv"});
  CHECK(wide.out != preview.out);
  CHECK(run({"export", m.survey, m.at("out.gpkg"), "--blur", "huge"}).code == 2);
  CHECK(run({"export", m.survey, m.at("out.gpkg"), "--without", "sites"}).code == 2);
}

TEST_CASE("a file that is there is replaced only with --force, and the sentence says so") {
  const Made m;
  brookmark::test::write_text(m.at("out.gpkg"), "mine");
  const auto refused = run({"export", m.survey, m.at("out.gpkg")});
  CHECK(refused.code == 2);
  CHECK(says(refused.err, "--force"));
  CHECK(brookmark::test::read_text(m.at("out.gpkg")) == "mine");
  run_well({"export", m.survey, m.at("out.gpkg"), "--force"});
  CHECK(std::filesystem::file_size(m.at("out.gpkg")) > 10000);
}

TEST_CASE("our own tables are taken in by their headings as a whole") {
  const Made m;
  const std::string other = m.at("b.brook");
  run_well({"new", other, "--title", "Empty"});
  run_well({"export", m.survey, m.at("sites.csv"), "--only", "sites"});
  run_well({"export", m.survey, m.at("samples.geojson"), "--only", "samples"});
  run_well({"export", m.survey, m.at("records.csv"), "--only", "records"});
  run_well({"import", other, "sites", m.at("sites.csv")});
  run_well({"import", other, "samples", m.at("samples.geojson")});
  run_well({"import", other, "records", m.at("records.csv")});
  // What leaves scores the same there as here: the open sites' samples.
  const std::string here = run_well({"score", m.survey, "--format", "csv"}).out,
                    there = run_well({"score", other, "--format", "csv"}).out;
  for (const char* sample : {"Q01-2023,", "Q01-2024,", "Q03-2023,", "Q03-2024,"}) {
    const auto line = [&](const std::string& text) {
      const std::size_t at = text.find(std::string("\n") + sample);
      return at == std::string::npos ? std::string() : text.substr(at + 1, text.find('\n', at + 1) - at - 1);
    };
    CHECK(line(here).size() > 20);
    CHECK(line(there) == line(here));
  }
}

TEST_CASE("rules of sharing are set, listed and taken back") {
  const Made m;
  run_well({"share", m.survey, "--site", "Q03", "--as", "withheld"});
  run_well({"share", m.survey, "--taxon", "Astacidae", "--as", "blurred", "--cell", "5km"});
  run_well({"share", m.survey, "--person", "Bob Baker", "--as", "named"});
  const std::string rules = run_well({"share", m.survey, "--format", "csv"}).out;
  CHECK(says(rules, "site,Q03,withheld,"));
  CHECK(says(rules, "taxon,Astacidae,blurred,5000"));
  CHECK(says(rules, "person,Bob Baker,named,"));
  run_well({"share", m.survey, "--taxon", "Astacidae", "--as", "open"});
  CHECK_FALSE(says(run_well({"share", m.survey, "--format", "csv"}).out, "Astacidae"));
  run_well({"undo", m.survey});
  CHECK(says(run_well({"share", m.survey, "--format", "csv"}).out, "Astacidae"));
  CHECK(run({"share", m.survey, "--site", "nowhere", "--as", "open"}).code == 2);
  // A rule that would hold nothing back is not set: a name misspelt, unless it is said to be to come.
  const auto misspelt = run({"share", m.survey, "--taxon", "Heptagenidae", "--as", "withheld"});
  CHECK(misspelt.code == 2);
  CHECK(says(misspelt.err, "did you mean Heptageniidae?"));
  CHECK_FALSE(says(run_well({"share", m.survey, "--format", "csv"}).out, "Heptagenidae"));
  run_well({"share", m.survey, "--taxon", "Nonesuch rarus", "--as", "withheld", "--to-come"});
  CHECK(
      says(run_well({"share", m.survey, "--person", "Bob  Bakker", "--as", "named"}).err, "no visit names"));
  CHECK(run({"share", m.survey, "--site", "Q01"}).code == 2);
  CHECK(run({"share", m.survey, "--as", "open"}).code == 2);
  CHECK(run({"share", m.survey, "--site", "Q01", "--taxon", "x", "--as", "open"}).code == 2);
  CHECK(run({"share", m.survey, "--person", "x", "--as", "blurred"}).code == 2);
}

TEST_CASE("a survey without samples is exported and says that no site has a class") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "n.brook").string();
  run_well({"new", survey, "--title", "Nothing yet"});
  std::ofstream(folder / "sites.csv") << "locationID,decimalLatitude,decimalLongitude\nA,45,-30\n";
  run_well({"import", survey, "sites", (folder / "sites.csv").string()});
  const auto result = run({"export", survey, (folder / "n.gpkg").string()});
  CHECK(result.code == 0);
  CHECK(says(result.err, "no sample went out, so no site has a class"));
}

TEST_CASE("a system of coordinates that is not made for the survey's place is refused with both places") {
  const Made m;
  const auto result = run({"export", m.survey, m.at("out.gpkg"), "--crs", "EPSG:25832"});
  CHECK(result.code == 2);
  CHECK(says(result.err, "choose a system for that area"));
  CHECK_FALSE(std::filesystem::exists(m.at("out.gpkg")));
}

TEST_CASE("a file that comes back unchanged is a no, and one that is no export is bad input") {
  const Made m;
  run_well({"export", m.survey, m.at("out.gpkg")});
  CHECK(run({"import", m.survey, "changes", m.at("out.gpkg")}).code == 1);
  CHECK(run({"import", m.survey, "changes", m.at("out.gpkg"), "--accept", "all"}).code == 1);
  CHECK(run({"import", m.survey, "changes", m.survey}).code == 2);
  CHECK(run({"import", m.survey, "sites", m.at("out.gpkg"), "--accept", "all"}).code == 2);
}

TEST_CASE("changes are listed with base, theirs and ours, and taken in one step") {
  const Made m;
  run_well({"export", m.survey, m.at("out.gpkg")});
  // Here the survey is what changed: seen from the file, a copy of the survey lacks the change.
  const std::string other = m.at("b.brook");
  run_well({"new", other, "--title", "Empty"});
  const auto list = run({"import", other, "changes", m.at("out.gpkg"), "--format", "csv"});
  CHECK(list.code == 0);
  CHECK(list.out.starts_with("change,what,state,code,column,base,theirs,ours,note\n"));
  CHECK(says(list.out, "row added,theirs,Q01"));
  CHECK(says(list.err, "made from another survey"));
  const auto dry = run({"import", other, "changes", m.at("out.gpkg"), "--accept", "all", "--dry-run"});
  CHECK(dry.code == 0);
  CHECK(says(dry.err, "nothing was written (--dry-run); would take "));
  CHECK(run({"import", other, "changes", m.at("out.gpkg"), "--format", "csv"}).out == list.out);
  run_well({"import", other, "changes", m.at("out.gpkg"), "--accept", "all"});
  CHECK(run({"import", other, "changes", m.at("out.gpkg")}).code == 1);
  run_well({"undo", other});
  CHECK(says(run({"import", other, "changes", m.at("out.gpkg"), "--format", "csv"}).out,
             "row added,theirs,Q01"));
}

TEST_CASE("a pipe is replaced neither by an export nor by a report, and the sentence says why") {
  const Made m;
  for (const char* name : {"p.gpkg", "p.csv", "p.html", "p.pdf"}) {
    CAPTURE(name);
    REQUIRE(::mkfifo(m.at(name).c_str(), 0600) == 0);
    const bool page = name[2] == 'h' || name[3] == 'd';
    for (const bool force : {false, true}) {
      std::vector<std::string> words{page ? "report" : "export", m.survey, m.at(name)};
      if (force) words.emplace_back("--force");
      const auto refused = run(words);
      CHECK(refused.code == 2);
      CHECK_MESSAGE(says(refused.err, "no plain file"), refused.err);
    }
    CHECK(std::filesystem::is_fifo(m.at(name)));
  }
}

TEST_CASE("taking back a rule of sharing says that the next export tells it; another edit says nothing") {
  const Made m;
  run_well({"share", m.survey, "--site", "Q03", "--as", "withheld"});
  const auto told = run_well({"undo", m.survey});
  CHECK_MESSAGE(says(told.err, "the next export, report or publishing will tell"), told.err);
  run_well({"share", m.survey, "--person", "Bob Baker", "--as", "named"});
  const auto stays = run_well({"undo", m.survey});
  CHECK_MESSAGE(says(stays.err, "stays at home again"), stays.err);
  const auto other = run_well({"undo", m.survey});
  CHECK_FALSE(says(other.err, "rule of sharing"));
}

TEST_CASE("an empty survey hands nothing over and writes no file") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "e.brook").string();
  run_well({"new", survey, "--title", "Empty"});
  for (const char* ending : {"o.gpkg", "o.csv", "o.geojson", "o.gpx", "o.zip"}) {
    const auto out = run({"export", survey, (folder / ending).string()});
    CHECK(out.code == 1);
    CHECK(says(out.err, "nothing to hand over yet: no sites"));
    CHECK_FALSE(std::filesystem::exists(folder / ending));
  }
}

TEST_CASE("a system that stretches lengths is written with a caution") {
  const Made m;
  CHECK(says(run_well({"export", m.survey, m.at("m.gpkg"), "--crs", "EPSG:3857"}).err,
             "times those on the ground"));
  CHECK(run({"export", m.survey, m.at("s.gpkg"), "--crs", "EPSG:4979"}).code == 2);
}

TEST_CASE("text that begins like a formula goes through CSV and comes back as it was") {
  const Made m;
  const std::string other = m.at("b.brook");
  brookmark::test::write_text(m.at("in.csv"), "site,name,longitude,latitude\n+B2,@SUM(1),-30,50\n");
  run_well({"new", m.at("c.brook"), "--title", "Formulas"});
  run_well({"import", m.at("c.brook"), "sites", m.at("in.csv")});
  run_well({"export", m.at("c.brook"), m.at("sites.csv"), "--only", "sites"});
  CHECK(says(brookmark::test::read_text(m.at("sites.csv")), "'+B2,'@SUM(1)"));
  run_well({"new", other, "--title", "Empty"});
  run_well({"import", other, "sites", m.at("sites.csv")});
  run_well({"export", other, m.at("again.geojson"), "--only", "sites"});
  const std::string text = brookmark::test::read_text(m.at("again.geojson"));
  CHECK(says(text, "\"+B2\""));
  CHECK(says(text, "\"@SUM(1)\""));
}

TEST_CASE(
    "an absence that was noted without a number comes back from CSV as an absence, and scores the same") {
  const TemporaryFolder folder;
  const auto path = [&](const char* name) { return (folder / name).string(); };
  write_text(folder / "s.csv", "code,latitude,longitude,kind\nA1,50.1,-30.1,stream\n");
  write_text(folder / "p.csv", "code,site,date\nA1-1,A1,2024-05-01\n");
  write_text(folder / "r.csv",
             "sample,name,occurrenceStatus,count\nA1-1,Gammaridae,absent,\nA1-1,Baetidae,present,3\n");
  run_well({"new", path("a.brook"), "--title", "First"});
  run_well({"new", path("b.brook"), "--title", "Second"});
  for (const auto& [layer, file] : {std::pair{"sites", "s.csv"}, {"samples", "p.csv"}, {"records", "r.csv"}})
    run_well({"import", path("a.brook"), layer, path(file)});
  for (const char* layer : {"sites", "samples", "records"}) {
    run_well({"export", path("a.brook"), path("out.csv"), "--only", layer, "--force"});
    run_well({"import", path("b.brook"), layer, path("out.csv")});
  }
  const std::string first = run_well({"score", path("a.brook"), "--format", "csv"}).out;
  CHECK(run_well({"score", path("b.brook"), "--format", "csv"}).out == first);
  CHECK(says(first, ",4.000,Poor,"));  // Baetidae alone score: Gammaridae were looked for and not found
}
