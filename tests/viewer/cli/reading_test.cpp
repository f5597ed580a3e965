// The verb `reading`: rows of evidence and a summing-up for still waters, and a plain no for running ones.
#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

TEST_CASE("reading gives the evidence of a pond's samples and sums each up in words") {
  const Answer answer = run_well({"reading", demo(), "--site", "N01", "--format", "csv"});
  const core::Table table = answer.table();
  CHECK(table.columns == std::vector<std::string>{"sample", "site", "date", "item", "finding", "direction",
                                                  "strength", "records", "source", "confirmed"});
  std::size_t summed = 0;
  for (const core::TableRow& row : table.rows) {
    CHECK(cell(table, row, "site") == "N01");
    CHECK_FALSE(cell(table, row, "finding").empty());
    const std::string direction = cell(table, row, "direction");
    if (cell(table, row, "item") == "summing up") {
      ++summed;
      CHECK(direction == "points to good");
      continue;
    }
    CHECK((direction == "neutral") == cell(table, row, "strength").empty());
    CHECK_FALSE(cell(table, row, "source").empty());
    CHECK_FALSE(cell(table, row, "confirmed").empty());
  }
  CHECK(summed > 1);
  CHECK(table.rows.size() == summed * 9);  // eight items and the summing-up
  CHECK(says(answer.err, "say nothing about dissolved oxygen"));
}

TEST_CASE("reading leaves running waters out, and says so where one is asked for") {
  const Answer all = run_well({"reading", demo(), "--format", "csv"});
  CHECK(says(all.err, "of running or unknown waters left out"));
  const core::Table table = all.table();
  for (const core::TableRow& row : table.rows) {
    const std::string site = cell(table, row, "site");
    CHECK((site.starts_with("N") || site == "D01"));
  }
  const Answer stream = run({"reading", demo(), "--site", "Q01", "--format", "csv"});
  CHECK(stream.code == 1);
  CHECK(says(stream.out, "out of scope"));
  CHECK(says(stream.out, "this is a "));
}

TEST_CASE("reading refuses what it cannot find") {
  CHECK(run({"reading", demo(), "no-such-sample"}).code == 2);
  CHECK(run({"reading", demo(), "--site", "no-such-site"}).code == 2);
  CHECK(says(run({"reading", demo(), "--site", "no-such-site"}).err, "no-such-site"));
  CHECK(run({"reading", demo(), "N01-2025-04", "--site", "N01"}).code == 2);
}
