// A surveyor who writes a method of their own hears of all its faults at once, each with its place.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "core/base/embedded.hpp"
#include "core/base/error.hpp"
#include "core/scoring/method.hpp"
#include "tests/support/files.hpp"

namespace core = brookmark::core;
using brookmark::Error;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;

namespace {

const std::string kFrom = ",own,A. Surveyor 2024,document\n";
const std::string kHead = "key,value,source_key,source_detail,confirmed\n";
const std::string kRest = "summary,A mean.,,,\nregion,the brook" + kFrom + "flow,running" + kFrom +
                          "level,family,,,\nmetric,check,,,\ncheck.title,Check,,,\ncheck.formula,mean score" +
                          kFrom + "check.better,higher,,,\n";
const std::string kScoreHead =
    "name,members,except,life_stage,score,group,source_key,source_detail,confirmed\n";
const std::string kBandHead =
    "metric,rank,class,lower,upper,lower_open,upper_open,source_key,source_detail,confirmed\n";

// "file:line:column text", one a line.
std::string faults(const std::string& descriptor, const std::string& scores, const std::string& bands) {
  const TemporaryFolder folder;
  write_text(folder / "mine.method.csv", descriptor);
  if (!scores.empty()) write_text(folder / "mine.scores.csv", scores);
  if (!bands.empty()) write_text(folder / "mine.bands.csv", bands);
  std::string text;
  for (const core::Issue& issue : core::check_method_file(folder / "mine.method.csv"))
    text += issue.file + ":" + std::to_string(issue.line) + ":" + issue.column + " " + issue.text + "\n";
  return text;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::size_t lines(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace

TEST_CASE("a sound method has no faults") {
  CHECK(faults(kHead + "id,mine,,,\ntitle,Mine" + kFrom + kRest,
               kScoreHead + "Baetidae,Baetidae,,,4," + kFrom,
               kBandHead + "check,1,good,3,,," + kFrom + "check,2,bad,,3,,yes" + kFrom) == "");
}

TEST_CASE("unknown and doubled taxa, a missing source and overlapping bands are all told at once") {
  const std::string found =
      faults(kHead + "id,mine,,,\ntitle,Mine,,,\n" + kRest,
             kScoreHead + "Baetidae,Baetydae|Heptagenidae,,,4," + kFrom + "Worms,Oligochaeta,,,two," + kFrom +
                 "Others,Caenidae,,,3," + kFrom + "Again,Caenidae,,,3," + kFrom,
             kBandHead + "check,1,good,3,,," + kFrom + "check,2,bad,,3.5,," + kFrom);
  CAPTURE(found);
  CHECK(holds(found, "mine.method.csv:3:source_key this line names no source"));
  CHECK(holds(
      found, "mine.scores.csv:2:members the checklist has no taxon \"Baetydae\"; did you mean \"Baetidae\""));
  CHECK(holds(found, "mine.scores.csv:2:members the checklist has no taxon \"Heptagenidae\""));
  CHECK(holds(found, "mine.scores.csv:3:score \"two\" is not a number"));
  CHECK(holds(found, "mine.scores.csv:5:members \"Caenidae\" belongs to two lines"));
  CHECK(lines(found) == 5);  // bands wait for a sound descriptor, which tells how they are rounded
  const std::string bands = faults(
      kHead + "id,mine,,,\ntitle,Mine" + kFrom + kRest, kScoreHead + "Baetidae,Baetydae,,,4," + kFrom,
      kBandHead + "check,1,good,3,,," + kFrom + "check,2,fair,2,3.5,," + kFrom + "check,3,bad,,1,," + kFrom);
  CAPTURE(bands);
  CHECK(holds(bands, "mine.bands.csv:3:lower the classes \"fair\" and \"good\" overlap"));
  CHECK(holds(bands, "mine.bands.csv:4:lower there is a gap between the classes \"bad\" and \"fair\""));
  CHECK(holds(bands, "mine.scores.csv:2:members"));
  CHECK(lines(bands) == 3);
}

TEST_CASE("one fault brings no others with it") {
  const std::string good = kHead + "id,mine,,,\ntitle,Mine" + kFrom + kRest;
  const std::string scores = kScoreHead + "Baetidae,Baetidae,,,4," + kFrom;
  // A band that cannot be read: its neighbours are not compared across it, and ranks go on counting.
  const std::string broken = faults(good, scores,
                                    kBandHead + "check,1,good,3,,," + kFrom + "check,2,fair,two,3,,yes" +
                                        kFrom + "check,3,bad,,2,,yes" + kFrom);
  CHECK(broken == "mine.bands.csv:3:lower \"two\" is not a number\n");
  // No metric: nothing is said of its bands.
  const std::string none = faults(kHead + "id,mine,,,\ntitle,Mine" + kFrom, scores, kBandHead);
  CHECK(holds(none, "has no metric"));
  CHECK(lines(none) == 1);
  // A table whose header is wrong is one fault.
  const std::string header = faults(good, "name,members\nBaetidae,Baetidae\n", "");
  CAPTURE(header);
  CHECK(lines(header) == 1);
  CHECK(holds(header, "mine.scores.csv:1:except the column \"except\" is missing"));
  CHECK(holds(faults(good, "", ""), "needs a score table"));
  CHECK(lines(faults(good, "", "")) == 1);
}

TEST_CASE("loading refuses with the first fault that checking would tell") {
  const TemporaryFolder folder;
  write_text(folder / "mine.method.csv", kHead + "id,mine,,,\ntitle,Mine,,,\n" + kRest);
  write_text(folder / "mine.scores.csv", kScoreHead + "Baetidae,Baetydae,,,4," + kFrom);
  CHECK_THROWS_WITH_AS(core::load_method(folder / "mine.method.csv"),
                       doctest::Contains("mine.method.csv, line 3, column source_key"), Error);
  CHECK(core::check_method_file(folder / "mine.method.csv").size() == 2);
  CHECK_THROWS_WITH_AS(core::check_method_file(folder / "none.method.csv"),
                       doctest::Contains("there is no such file"), Error);
  CHECK_THROWS_AS(core::check_method_file(folder / "mine.csv"), Error);
}

TEST_CASE("a method file of noise gives faults and never fails in another way") {
  for (const std::string& noise : {std::string(), std::string("\xFF\xFE"), std::string("a,b\n1\n"),
                                   std::string(5000, ','), kHead + ",,,,\nmetric,,,,\n.formula,,,,\nx.,,,,\n",
                                   kHead + "metric,check,,,\ncheck.formula,group code weights" + kFrom}) {
    CAPTURE(noise.substr(0, 60));
    CHECK(lines(faults(noise, noise, noise)) >= 1);
    CHECK(lines(faults(kHead + "id,mine,,,\ntitle,Mine" + kFrom + kRest, noise, noise)) >= 1);
  }
}
