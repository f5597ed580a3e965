// Every finding reads as a sentence and names the column to look at.
#include <doctest/doctest.h>

#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::ImportKind;

namespace {

struct Sheet {
  ImportKind kind;
  const char* csv;
};

const Sheet kBadSheets[] = {
    {ImportKind::kSites,
     "site,lat,lon,kind,accuracy\nS1,60,10,,\n,60,10,,\nA,sixty,10,,\nB,60,10,swamp,\nC,60,10,,-1\nD,95,200,,"
     "\n"
     "E,10,60,,\nF,0,0,,\nG,60,,,\nH,60,10,,0\nI,\"60,5\",10,,\nJ,45,7,,\nK,60,190,,\n"},
    {ImportKind::kSamples,
     "sample,site,date,time,mesh,effort,subsample,kind\nS1-A,S1,2024-05-03,,,,,\nX,S7,2024-05-03,,,,,\n"
     "Y,s1,soon,,,,,\nZ,S1,2024-05-03,25:00,,,,\nV,S1,2030-01-01,,,,,\nU,S1,2024-05-03,,fine,,,\n"
     "T,S1,2024-05-03,,,5,,\nR,S1,2024-05-03,,,,7,\nQ,S1,2024-05-03,,,,,odd\nP,S1,,,,,,\n"},
    {ImportKind::kRecords,
     "sample,taxon,count,stage,certainty,occurrenceStatus,family\nS1-A,Baetis,7,,,,\nS1-A,,1,,,,\nS9,Baetis,"
     "1,,,,\n"
     "S1-A,none,,,,,\nS1-A,Gammarus none,1,,,,\nS1-A,adult beetle,1,larva,,,\nS1-A,Baetis,many,,,,\n"
     "S1-A,Baetis,-1,,,,\nS1-A,Baetis,2.5,,,,\nS1-A,Baetis,1,odd,,,\nS1-A,Baetis,1,,2,,\nS1-A,Baetis,1,,,"
     "absent,\n"
     "S1-A,Baetis,1,,,odd,\nS1-A,Baetis,2,,,,Heptageniidae\nS1-A,Ecdyonorus,1,,,,Baetidae\nS1-A,Xyzzyia,1,,,,"
     "\n"
     "S1-A,Baetis rhodani,1,,,,\n"},
    {ImportKind::kMeasurements,
     "sample,parameter,value\nS9,pH,8\nS1-A,,8\nS1-A,pH,sour\nS1-A,pH,\nS1-A,pH,<0\n"},
    {ImportKind::kOutfalls,
     "outfall,kind,since,until,lat,lon\n,,,,60,10\nO1,pipe,,,60,10\nO2,,2020-01-01,2019-01-01,60,10\n"
     "O3,,2020-13-01,,60,10\nO4,,,,,\n"}};

}  // namespace

TEST_CASE(
    "every finding starts with a capital letter, ends with a full stop, and an error names its column") {
  for (const Sheet& sheet : kBadSheets) {
    const auto report = test::plan_csv(sheet.kind, sheet.csv);
    CHECK(report.issues.size() >= 5);
    for (const core::Issue& issue : report.issues) {
      CAPTURE(issue.text);
      CHECK(issue.text.front() >= 'A');
      CHECK(issue.text.front() <= 'Z');
      CHECK(issue.text.back() == '.');
      if (issue.severity == core::Severity::kError) CHECK_FALSE(issue.column.empty());
    }
  }
  const auto cut_short = test::plan_csv(ImportKind::kSites, "site,lat,lon\nS9,60\n");
  REQUIRE(cut_short.issues.size() == 1);
  CHECK(cut_short.issues[0].text.starts_with("This row has 2 cells"));
  CHECK(cut_short.issues[0].text.ends_with("."));
}
