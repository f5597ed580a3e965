// How sure a score is, as the command line tells it.
#include <cstdlib>

#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

TEST_CASE("score --confidence adds what the interval and the classes rest on, and only then") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "demo.brook").string();
  run_well({"demo", survey});
  const core::Table plain = run_well({"score", survey, "--method", "bmwp-a", "--format", "csv"}).table();
  CHECK_FALSE(plain.find("low").has_value());
  const std::vector<std::string> words = {"score",   survey, "--method", "bmwp-a", "--confidence",
                                          "--draws", "200",  "--format", "csv"};
  const core::Table sure = run_well(words).table();
  REQUIRE(sure.rows.size() == plain.rows.size());
  int intervals = 0, probable = 0;
  for (std::size_t i = 0; i < sure.rows.size(); ++i) {
    const core::TableRow& row = sure.rows[i];
    CHECK(cell(sure, row, "value") == cell(plain, plain.rows[i], "value"));
    const bool has = !cell(sure, row, "low").empty();
    CHECK(has == !cell(sure, row, "high").empty());
    CHECK(has == !cell(sure, row, "basis").empty());
    CHECK_FALSE(cell(sure, row, "confidence_note").empty());
    for (const char* column : {"low", "high", "class_probability"})
      CHECK_FALSE(says(cell(sure, row, column), "nan"));
    if (!cell(sure, row, "class_probability").empty()) {
      CHECK(cell(sure, row, "in_scope") == "yes");
      CHECK_FALSE(cell(sure, row, "likeliest_class").empty());
      CHECK(std::atof(cell(sure, row, "likeliest_probability").c_str()) >=
            std::atof(cell(sure, row, "class_probability").c_str()));
      ++probable;
    }
    if (cell(sure, row, "in_scope") == "no") CHECK(cell(sure, row, "likeliest_class").empty());
    intervals += has ? 1 : 0;
  }
  CHECK(intervals > 10);
  CHECK(probable > 10);
  // A seed is a promise.
  CHECK(run_well(words).out == run_well(words).out);
  std::vector<std::string> other = words;
  other.insert(other.end(), {"--seed", "2"});
  CHECK(run_well(other).out != run_well(words).out);
  CHECK(run({"score", survey, "--confidence", "--draws", "0"}).code == 2);
  CHECK(run({"score", survey, "--confidence", "--seed", "x"}).code == 2);
  const Answer why = run_well({"explain", survey, "Q04-2023-04"});
  CHECK(says(why.err, "confidence: "));
}
