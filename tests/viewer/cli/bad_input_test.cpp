// Whatever comes in, the answer is a sentence, an exit code, and a survey that is what it was before.
#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <functional>

#include "core/store/survey_file.hpp"
#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

const std::string kGoodSites = "site,lat,lon,kind\nS1,45.001,-30.001,stream\nS2,45.002,-30.002,stream\n";

// A survey with two sites, one sample and one watercourse.
struct Fixture {
  TemporaryFolder folder;
  std::string survey = (folder / "s.brook").string();
  Fixture() {
    run_well({"new", survey, "--title", "t"});
    run_well({"import", survey, "sites", file("sites.csv", kGoodSites)});
    run_well({"import", survey, "samples", file("samples.csv", "sample,site,date\nA1,S1,2024-05-03\n")});
  }
  std::string file(const std::string& name, const std::string& text) const {
    write_text(folder / name, text);
    return (folder / name).string();
  }
  // How many rows of each kind the survey holds.
  std::string contents() const {
    const core::Snapshot s = core::SurveyFile::open(survey, core::Access::kRead).read();
    std::ostringstream text;
    text << s.sites.size() << ' ' << s.samples.size() << ' ' << s.records.size() << ' '
         << s.measurements.size() << ' ' << s.reaches.size() << ' ' << s.outfalls.size() << ' '
         << s.catchments.size();
    return text.str();
  }
  // Imports `text` and expects refusal with exit code 2, `sentence` in the message, and nothing stored.
  void refused(const std::string& kind, const std::string& text, const std::string& sentence,
               std::vector<std::string> more = {}, const std::string& name = "bad.csv") const {
    const std::string before = contents();
    std::vector<std::string> words{"import", survey, kind, file(name, text)};
    words.insert(words.end(), more.begin(), more.end());
    const Answer answer = run(words);
    CHECK(answer.code == 2);
    CHECK_MESSAGE(says(answer.err, sentence), answer.err);
    CHECK(answer.out.empty());
    CHECK(contents() == before);
  }
};

// Runs `action` in a child process; as an ordinary user where we are root, for whom no folder is read-only.
int in_child(const std::function<int()>& action) {
  const pid_t child = fork();
  if (child == 0) {
    if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) _exit(99);
    _exit(action());
  }
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 98;
}

}  // namespace

TEST_CASE("a missing column is named, with what would be understood") {
  const Fixture f;
  f.refused("sites", "lat,lon\n45,-30\n", "locationID");
  f.refused("records", "sample,count\nA1,3\n", "scientificName");
  f.refused("samples", "sample,site\nA2,S1\n", "eventDate");
}

TEST_CASE("wrong separators end in a sentence") {
  const Fixture f;
  f.refused("sites", "site|lat|lon\nS3|45|-30\n", "locationID");
  f.refused("sites", "site,lat,lon\nS3;45;-30\n", "row has 1 cell");
}

TEST_CASE("a byte order mark and semicolons with decimal commas are read") {
  const Fixture f;
  run_well({"import", f.survey, "sites", f.file("m.csv", "\xEF\xBB\xBFsite;lat;lon\nS3;45,003;-30,003\n")});
  const core::Snapshot s = core::SurveyFile::open(f.survey, core::Access::kRead).read();
  CHECK(s.sites.position[s.find_site("S3")->value()] == core::LonLat{-30.003, 45.003});
}

TEST_CASE("decimal commas in a comma-separated table are refused, not cut") {
  const Fixture f;
  f.refused("sites", "site,lat,lon\nS3,\"45,003\",\"-30,003\"\n", "line 2");
}

TEST_CASE("latitude and longitude exchanged are noticed") {
  const Fixture f;
  f.refused("sites", "site,lat,lon\nS3,-30.003,45.003\n", "exchanged");
  f.refused("sites", "site,lat,lon\nS3,145.0,-30\n", "line 2");
}

TEST_CASE("a date in the future or that does not exist is refused with its line") {
  const Fixture f;
  f.refused("samples", "sample,site,date\nA2,S1,2999-01-01\n", "future");
  f.refused("samples", "sample,site,date\nA2,S1,2023-02-30\n", "line 2");
}

TEST_CASE("negative, fractional and spelt-out counts are refused") {
  const Fixture f;
  f.refused("records", "sample,taxon,count\nA1,Baetidae,-3\n", "line 2");
  f.refused("records", "sample,taxon,count\nA1,Baetidae,2.5\n", "line 2");
  f.refused("records", "sample,taxon,count\nA1,Baetidae,three\n", "line 2");
}

TEST_CASE("one bad row and nothing is imported, unless bad rows are to be skipped") {
  const Fixture f;
  const std::string text = "site,lat,lon\nS3,45.003,-30.003\nS4,north,-30.004\nS5,45.005,-30.005\n";
  f.refused("sites", text, "line 3");
  const Answer skipped = run_well({"import", f.survey, "sites", f.file("m.csv", text), "--skip-bad"});
  CHECK(says(skipped.err, "line 3"));
  CHECK(says(skipped.err, "1 bad row left out"));
  CHECK(f.contents() == "4 1 0 0 0 0 0");
}

TEST_CASE("a site outside the catchments is imported with a warning") {
  const Fixture f;
  const std::string square =
      R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"code":"C1"},"geometry":{"type":"Polygon",
      "coordinates":[[[-30.01,45],[-30,45],[-30,45.01],[-30.01,45.01],[-30.01,45]]]}}]})";
  run_well({"import", f.survey, "catchments", f.file("c.geojson", square)});
  const Answer answer =
      run_well({"import", f.survey, "sites", f.file("m.csv", "site,lat,lon\nS9,45.02,-30.02\n")});
  CHECK(says(answer.err, "outside"));
}

TEST_CASE("an unknown coordinate system is refused") {
  const Fixture f;
  f.refused("sites", "site,x,y\nS3,1,2\n", "coordinate system", {"--crs", "EPSG:999999"});
  for (const char* crs : {"EPSG:0", "osgb", "banana"})
    CHECK(run({"new", (f.folder / "n.brook").string(), "--title", "t", "--crs", crs}).code == 2);
  CHECK_FALSE(std::filesystem::exists(f.folder / "n.brook"));
}

TEST_CASE("empty and missing files are said to be so") {
  const Fixture f;
  f.refused("sites", "", "empty");
  f.refused("sites", "site,lat,lon\n", "no rows");
  CHECK(run({"import", f.survey, "sites", (f.folder / "none.csv").string()}).code == 2);
  CHECK(run({"score", (f.folder / "none.brook").string()}).code == 2);
  f.refused("watercourses", "no geodata", "not a vector file", {}, "bad.gpkg");
}

TEST_CASE("what is no survey file is left alone and said to be none") {
  const Fixture f;
  const std::string text_file = f.file("text.brook", "hello, this is text\n");
  CHECK(run({"score", text_file}).code == 2);
  CHECK(read_text(text_file) == "hello, this is text\n");
  const std::string whole = read_text(f.survey);
  for (const std::size_t size : {std::size_t{10}, std::size_t{100}, std::size_t{5000}, whole.size() / 2}) {
    const std::string cut = f.file("cut.brook", whole.substr(0, size));
    const Answer answer = run({"score", cut});
    CHECK(answer.code == 2);
    CHECK(says(answer.err, "cut.brook"));
    CHECK(run({"import", cut, "sites", f.file("m.csv", kGoodSites)}).code == 2);
    CHECK(read_text(cut) == whole.substr(0, size));
  }
}

TEST_CASE("a file from a newer version is read and not written") {
  const Fixture f;
  std::string bytes = read_text(f.survey);
  bytes[63] =
      99;  // user_version, a big-endian number at offset 60 of an SQLite header (sqlite.org/fileformat2.html, 1.3)
  write_text(f.folder / "newer.brook", bytes);
  const std::string newer = (f.folder / "newer.brook").string();
  const Answer read = run({"score", newer, "--format", "csv"});
  CHECK(read.code == 0);
  CHECK(says(read.err, "newer"));
  const Answer edit = run({"import", newer, "sites", f.file("m.csv", "site,lat,lon\nS7,45.003,-30.003\n")});
  CHECK(edit.code == 2);
  CHECK(says(edit.err, "newer"));
  CHECK(read_text(newer) == bytes);
}

TEST_CASE("in a folder that cannot be written, a survey is read and an edit is refused") {
  const Fixture f;
  const std::string more = f.file("m.csv", "site,lat,lon\nS7,45.003,-30.003\n");
  const std::string before = read_text(f.survey);
  std::filesystem::permissions(f.folder.path(), std::filesystem::perms(0555));
  std::filesystem::permissions(f.survey, std::filesystem::perms(0444));
  CHECK(in_child([&] { return run({"score", f.survey}).code; }) == 0);
  CHECK(in_child([&] { return run({"import", f.survey, "sites", more}).code; }) == 3);
  CHECK(in_child([&] { return run({"new", (f.folder / "x.brook").string(), "--title", "t"}).code; }) == 3);
  CHECK(in_child([&] { return run({"export", f.survey, (f.folder / "x.gpkg").string()}).code; }) == 3);
  std::filesystem::permissions(f.folder.path(), std::filesystem::perms::owner_all);
  CHECK(read_text(f.survey) == before);
}

TEST_CASE("an existing file is never written over without being told") {
  const Fixture f;
  const std::string before = read_text(f.survey);
  CHECK(run({"new", f.survey, "--title", "again"}).code == 2);
  CHECK(run({"demo", f.survey}).code == 2);
  CHECK(read_text(f.survey) == before);
  const std::string out = f.file("out.csv", "mine");
  CHECK(run({"export", f.survey, out}).code == 2);
  CHECK(read_text(out) == "mine");
  CHECK(run({"export", f.survey, out, "--force"}).code == 0);
  CHECK(read_text(out) != "mine");
}

TEST_CASE("a bare file name means the folder one stands in") {
  const Fixture f;
  const std::filesystem::path before = std::filesystem::current_path();
  std::filesystem::current_path(f.folder.path());
  for (const char* name : {"out.gpkg", "out.geojson", "out.csv", "out.gpx"})
    CHECK(run({"export", "s.brook", name}).code == 0);
  CHECK(run({"new", "n.brook", "--title", "t"}).code == 0);
  CHECK(run({"demo", "d.brook"}).code == 0);
  CHECK(run({"view", "d.brook", "--screenshot", "p.png"}).code == 0);
  std::filesystem::current_path(before);
  CHECK(std::filesystem::exists(f.folder / "out.gpkg"));
  CHECK(std::filesystem::exists(f.folder / "p.png"));
}

TEST_CASE("without a date an export speaks of the newest sample's day") {
  const Fixture f;
  const std::string out = (f.folder / "out.geojson").string();
  run_well({"export", f.survey, out});
  CHECK(says(read_text(out), "\"assessed_until\":\"2024-05-03\""));
}

TEST_CASE("a table of short rows under many headings is refused without filling the memory") {
  const Fixture f;
  std::string text = "site,lat,lon";
  for (int i = 0; i < 20000; ++i) text += ",c" + std::to_string(i);
  for (int i = 0; i < 20000; ++i) text += "\nx";
  f.refused("sites", text + "\n", "row has 1 cell");
}

TEST_CASE("unknown words of the command line are bad use") {
  const Fixture f;
  CHECK(run({}).code == 2);
  CHECK(run({"frobnicate"}).code == 2);
  CHECK(says(run({"scroe", f.survey}).err, "\"scroe\" is not a verb; did you mean \"score\"?"));
  CHECK(run({"score"}).code == 2);
  CHECK(run({"score", f.survey, "--format", "xml"}).code == 2);
  CHECK(run({"score", f.survey, "--until", "yesterday"}).code == 2);
  CHECK(says(run({"score", f.survey, "--method", "none"}).err, "bmwp-a"));
  CHECK(says(run({"catchments", f.survey, "--method", "bmwp-a", "--metric", "none"}).err, "aspt"));
  CHECK(run({"explain", f.survey, "none"}).code == 2);
  CHECK(run({"distance", f.survey}).code == 2);
  CHECK(run({"distance", f.survey, "--site", "none"}).code == 2);
  CHECK(run({"distance", f.survey, "--at", "north"}).code == 2);
  CHECK(says(run({"distance", f.survey, "--at=45.0,-130.0"}).err, "--at=-130.0,45.0"));
  CHECK(run({"import", f.survey, "animals", f.file("m.csv", "a\n1\n")}).code == 2);
  CHECK(run({"import", f.survey, "sites", f.file("m.csv", kGoodSites), "--column", "nonsense"}).code == 2);
  CHECK(run({"export", f.survey, (f.folder / "x.docx").string()}).code == 2);
  CHECK(run({"view", f.survey, "--screenshot", (f.folder / "x.png").string(), "--size", "big"}).code == 2);
  const Answer times = run({"view", f.survey, "--screenshot", (f.folder / "x.png").string(), "--frame-times",
                            (f.folder / "x.csv").string()});
  CHECK(times.code == 2);
  CHECK(says(times.err, "a picture opens none"));
  CHECK_FALSE(std::filesystem::exists(f.folder / "x.csv"));
  CHECK(run({"--help"}).code == 0);
  CHECK(run({"--version"}).code == 0);
}
