// A surveyor's own method, as the page on methods prints it, from its check to every answer that can carry one.
#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using brookmark::test::Answer;
using brookmark::test::cell;
using brookmark::test::read_text;
using brookmark::test::run;
using brookmark::test::run_well;
using brookmark::test::says;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;
namespace core = brookmark::core;

namespace {

// Writes the page's example; the path of its descriptor.
std::string example(const TemporaryFolder& folder) {
  const std::string text = read_text(brookmark::test::reference("../../core/reference/methods/README.md"));
  const char* const names[] = {"riffle-check.method.csv", "riffle-check.scores.csv",
                               "riffle-check.bands.csv"};
  std::size_t at = text.find("```\n");
  for (const char* name : names) {
    REQUIRE(at != std::string::npos);
    const std::size_t end = text.find("```\n", at + 4);
    write_text(folder / name, text.substr(at + 4, end - at - 4));
    at = text.find("```\n", end + 4);
  }
  return (folder / names[0]).string();
}

}  // namespace

TEST_CASE(
    "the example of the methods' page is checked, scores, explains, ranks catchments and is handed over") {
  const TemporaryFolder folder;
  const std::string method = example(folder), survey = (folder / "demo.brook").string();
  run_well({"demo", survey});
  const Answer checked = run_well({"methods", method, "--check"});
  CHECK(says(checked.err, "no faults"));
  CHECK(says(run_well({"methods", method}).out, "A. Surveyor 2024, Notes on the Linn, p. 3"));
  const core::Table scores = run_well({"score", survey, "--method", method}).table();
  std::size_t good = 0;
  std::string sample;
  for (const core::TableRow& row : scores.rows) {
    CHECK(cell(scores, row, "method") == "riffle-check");
    if (cell(scores, row, "class") != "good") continue;
    ++good;
    sample = cell(scores, row, "sample");
  }
  REQUIRE(good > 0);
  CHECK(says(run_well({"explain", survey, sample, "--method", method}).out, "Baetidae"));
  const Answer catchments = run({"catchments", survey, "--method", method});
  CHECK(catchments.code <= 1);
  CHECK(says(catchments.out, "riffle-check"));
  const std::string out = (folder / "sites.geojson").string();
  run_well({"export", survey, out, "--method", method});
  CHECK(says(read_text(out), "riffle-check"));
  // The window begins with it, and a script may ask for another: the same picture as without.
  const auto picture = [&](const std::vector<std::string>& more) {
    const std::string file = (folder / "map.png").string();
    std::vector<std::string> words{"view", survey, "--screenshot", file, "--size", "900x600"};
    words.insert(words.end(), more.begin(), more.end());
    run_well(words);
    return read_text(file);
  };
  write_text(folder / "other.txt", "method bmwp-a\n");
  write_text(folder / "own.txt", "method bmwp-a\nmethod riffle-check\n");
  const std::string own = picture({"--method", method});
  CHECK((own != picture({})));
  CHECK((picture({"--method", method, "--script", (folder / "own.txt").string()}) == own));
  CHECK((picture({"--method", method, "--script", (folder / "other.txt").string()}) == picture({})));
}

TEST_CASE("a broken method is refused by every verb and told whole by its check") {
  const TemporaryFolder folder;
  const std::string method = example(folder), survey = (folder / "demo.brook").string();
  run_well({"demo", survey});
  std::string scores = read_text(folder / "riffle-check.scores.csv");
  scores.replace(scores.find("Rhyacophilidae|"), 15, "Ryacophilidae|");
  write_text(folder / "riffle-check.scores.csv", scores);
  std::string bands = read_text(folder / "riffle-check.bands.csv");
  bands.replace(bands.find(",5,,yes"), 7, ",6,,yes");
  write_text(folder / "riffle-check.bands.csv", bands);
  const Answer checked = run({"methods", method, "--check"});
  CHECK(checked.code == 1);
  const core::Table faults = checked.table();
  REQUIRE(faults.rows.size() == 2);
  CHECK(cell(faults, faults.rows[0], "file") == "riffle-check.bands.csv");
  CHECK(cell(faults, faults.rows[0], "line") == "3");
  CHECK(cell(faults, faults.rows[0], "column") == "lower");
  CHECK(says(cell(faults, faults.rows[0], "text"), "overlap"));
  CHECK(cell(faults, faults.rows[1], "line") == "3");
  CHECK(says(cell(faults, faults.rows[1], "text"), "did you mean \"Rhyacophilidae\""));
  const std::string out = (folder / "sites.geojson").string();
  for (const auto& words :
       std::vector<std::vector<std::string>>{{"methods", method},
                                             {"score", survey, "--method", method},
                                             {"catchments", survey, "--method", method},
                                             {"export", survey, out, "--method", method},
                                             {"view", survey, "--screenshot", out, "--method", method}}) {
    const Answer refused = run(words);
    CHECK(refused.code == 2);
    CHECK(says(refused.err, "riffle-check."));
  }
  CHECK(run({"methods", "--check"}).code == 2);
  CHECK(run({"methods", (folder / "none.method.csv").string(), "--check"}).code == 2);
}
