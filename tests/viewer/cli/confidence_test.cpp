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
      const std::string likeliest = cell(sure, row, "likeliest_class");
      if (cell(sure, row, "metric") == "bmwp") {
        CHECK((likeliest.empty() || likeliest == cell(sure, row, "class")));
        CHECK(std::atof(cell(sure, row, "class_probability").c_str()) <= 0.95);
      } else {
        CHECK_FALSE(likeliest.empty());
        CHECK(std::atof(cell(sure, row, "likeliest_probability").c_str()) >=
              std::atof(cell(sure, row, "class_probability").c_str()));
      }
      ++probable;
    }
    if (has) {
      const double low = std::atof(cell(sure, row, "low").c_str()),
                   high = std::atof(cell(sure, row, "high").c_str());
      CHECK(low < high);
      if (cell(sure, row, "basis") == "counts") {
        const double value = std::atof(cell(sure, row, "value").c_str());
        CHECK(low <= value);
        CHECK(value <= high);
      }
      if (cell(sure, row, "metric") == "bmwp") CHECK_FALSE(says(cell(sure, row, "low"), "."));
    } else {
      CHECK(cell(sure, row, "class_probability").empty());
    }
    if (cell(sure, row, "sample") == "Q01-2020-04" && cell(sure, row, "metric") == "bmwp") {
      CHECK(cell(sure, row, "high") == "84");  // Good up to 84: no draw makes it Excellent
      CHECK(cell(sure, row, "likeliest_class") != "Excellent");
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
  for (const char* draws : {"0", "1000001"}) {
    const Answer refused = run({"score", survey, "--confidence", "--draws", draws});
    CHECK(refused.code == 2);
    CHECK(says(refused.err, "from 1 to 1000000"));
  }
  for (const char* level : {"0.4", "1", "x"})
    CHECK(run({"score", survey, "--confidence", "--level", level}).code == 2);
  std::vector<std::string> narrow = words;
  narrow.insert(narrow.end(), {"--level", "0.5"});
  const core::Table half = run_well(narrow).table();
  CHECK(says(run_well(narrow).out, ",0.5,"));
  for (std::size_t i = 0; i < half.rows.size(); ++i)
    if (!cell(half, half.rows[i], "low").empty())
      CHECK(std::atof(cell(half, half.rows[i], "low").c_str()) >=
            std::atof(cell(sure, sure.rows[i], "low").c_str()));
  CHECK(run({"score", survey, "--confidence", "--seed", "x"}).code == 2);
  const Answer why = run_well({"explain", survey, "Q04-2023-04"});
  CHECK(says(why.err, "confidence: "));
}
