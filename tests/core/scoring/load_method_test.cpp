#include <doctest/doctest.h>

#include <algorithm>

#include "core/base/embedded.hpp"
#include "core/base/error.hpp"
#include "core/scoring/method.hpp"
#include "core/scoring/score.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/files.hpp"

using brookmark::Error;
using brookmark::ErrorCode;
using brookmark::test::read_text;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;
namespace core = brookmark::core;

namespace {

const std::string kSource = ",own,A. Surveyor 2024,document\n";
const std::string kDescriptor =
    "key,value,source_key,source_detail,confirmed\n"
    "id,mine,,,\n"  // 2
    "title,My check" +
    kSource +                        // 3
    "summary,A mean of three.,,,\n"  // 4
    "region,the brook" +
    kSource +                   // 5
    "flow,running" + kSource +  // 6
    "level,family,,,\n"         // 7
    "metric,check,,,\n"         // 8
    "check.title,Check,,,\n"    // 9
    "check.formula,mean score" +
    kSource +                    // 10
    "check.better,higher,,,\n";  // 11
const std::string kScoreHeader =
    "name,members,except,life_stage,score,group,source_key,source_detail,confirmed\n";
const std::string kScores =
    kScoreHeader + "Baetidae,Baetidae,,,4," + kSource + "Worms,Oligochaeta,,,1.5," + kSource;
const std::string kBandHeader =
    "metric,rank,class,lower,upper,lower_open,upper_open,source_key,source_detail,confirmed\n";
const std::string kBands = kBandHeader + "check,1,good,3,,," + kSource + "check,2,bad,,3,,yes" + kSource;
const std::string kWeightHeader = "group,code,weight,source_key,source_detail,confirmed\n";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE_MESSAGE(at != std::string::npos, from);
  return text.replace(at, from.size(), to);
}

// Writes a method and loads it. An empty table is not written.
core::Method load(const std::string& descriptor, const std::string& scores = kScores,
                  const std::string& bands = kBands, const std::string& weights = "") {
  TemporaryFolder folder;
  write_text(folder / "mine.method.csv", descriptor);
  if (!scores.empty()) write_text(folder / "mine.scores.csv", scores);
  if (!bands.empty()) write_text(folder / "mine.bands.csv", bands);
  if (!weights.empty()) write_text(folder / "mine.weights.csv", weights);
  return core::load_method(folder / "mine.method.csv");
}

template <class Load>
void check_refused(const Load& attempt, const std::string& where, const std::string& what) {
  try {
    attempt();
    FAIL_CHECK("accepted, wanted: ", where, " ", what);
  } catch (const Error& error) {
    const std::string text = error.what();
    CHECK(error.code() == ErrorCode::kBadInput);
    CHECK_MESSAGE(text.starts_with(where), text);
    CHECK_MESSAGE(text.find(what) != std::string::npos, text);
  }
}

void bad_descriptor(const std::string& from, const std::string& to, const std::string& where,
                    const std::string& what) {
  check_refused([&] { load(replaced(kDescriptor, from, to)); }, where, what);
}
void bad_scores(const std::string& rows, const std::string& where, const std::string& what) {
  check_refused([&] { load(kDescriptor, kScoreHeader + rows); }, where, what);
}
void bad_bands(const std::string& rows, const std::string& where, const std::string& what,
               const std::string& descriptor = kDescriptor) {
  check_refused([&] { load(descriptor, kScores, kBandHeader + rows); }, where, what);
}

}  // namespace

TEST_CASE("a surveyor's own method is loaded from its descriptor and scores") {
  const core::Method mine = load(kDescriptor);
  CHECK(mine.id == "mine");
  CHECK(mine.confirmed == core::Confirmed::kDocument);
  CHECK(mine.flow == core::Flow::kRunning);
  CHECK(core::source_text(mine.source_key, mine.source_detail) == "A. Surveyor 2024");
  brookmark::test::SurveyBuilder b;
  b.stream_sample({brookmark::test::present("Baetis"), brookmark::test::present("Tubifex")});
  const auto score = core::score_samples(b.snapshot(), mine).metrics[0][0];
  CHECK(score.value == 2.75);  // (4 + 1.5) / 2
  CHECK(score.class_rank == 2);
}

TEST_CASE("the example of the methods' README loads as printed") {
  const std::string text = read_text(brookmark::test::reference("../../core/reference/methods/README.md"));
  std::vector<std::string> blocks;
  for (std::size_t at = text.find("```\n"); at != std::string::npos;) {
    const std::size_t end = text.find("```\n", at + 4);
    REQUIRE(end != std::string::npos);
    blocks.push_back(text.substr(at + 4, end - at - 4));
    at = text.find("```\n", end + 4);
  }
  REQUIRE(blocks.size() == 3);
  TemporaryFolder folder;
  write_text(folder / "riffle-check.method.csv", blocks[0]);
  write_text(folder / "riffle-check.scores.csv", blocks[1]);
  write_text(folder / "riffle-check.bands.csv", blocks[2]);
  const core::Method method = core::load_method(folder / "riffle-check.method.csv");
  CHECK(method.units.size() == 2);
  CHECK(method.metrics[0].bands.size() == 2);
}

TEST_CASE("a method keeps the lines of its descriptor in order, each with its own source") {
  const core::Method mine =
      load(replaced(kDescriptor, "summary,A mean of three.,,,", "summary,A mean.,bmwp-1978,p. 2,memory"));
  REQUIRE(mine.statements.size() == 10);
  const char* const keys[] = {"id",    "title",  "summary",     "region",        "flow",
                              "level", "metric", "check.title", "check.formula", "check.better"};
  for (std::size_t i = 0; i < mine.statements.size(); ++i) CHECK(mine.statements[i].key == keys[i]);
  const core::MethodStatement& summary = mine.statements[2];
  CHECK(summary.value == "A mean.");
  CHECK(summary.source_key == "bmwp-1978");
  CHECK(summary.source_detail == "p. 2");
  CHECK(summary.confirmed == core::Confirmed::kMemory);
  CHECK(mine.confirmed == core::Confirmed::kMemory);
  const core::MethodStatement& level = mine.statements[5];
  CHECK(level.value == "family");
  CHECK(level.source_key.empty());
  CHECK_FALSE(level.confirmed.has_value());
  // The shipped ones: each region and formula with its own words, not the title's.
  for (const core::Method& method : core::shipped_methods())
    for (const core::MethodStatement& statement : method.statements) {
      CHECK(statement.confirmed.has_value() == !statement.source_key.empty());
      if (statement.key == "region") CHECK_FALSE(statement.source_key.empty());
    }
  const auto& of_a = core::find_method("bmwp-a")->statements;
  const auto region =
      std::find_if(of_a.begin(), of_a.end(), [](const auto& line) { return line.key == "region"; });
  REQUIRE(region != of_a.end());
  CHECK(region->value == "United Kingdom");
  CHECK(region->source_key == "fwr-handbook");
  CHECK(region->confirmed == core::Confirmed::kDocument);
}

TEST_CASE("a method is only as well confirmed as its weakest part") {
  using core::Confirmed;
  CHECK(load(kDescriptor).confirmed == Confirmed::kDocument);  // every part was read in the publication
  const auto with = [](const std::string& text, const std::string& line, const std::string& word) {
    return replaced(text, line + kSource, line + replaced(kSource, "document", word));
  };
  const std::string scores = with(kScores, "Baetidae,Baetidae,,,4,", "secondary");
  CHECK(load(kDescriptor, scores).confirmed == Confirmed::kSecondary);
  CHECK(load(kDescriptor, kScores, with(kBands, "check,2,bad,,3,,yes", "secondary")).confirmed ==
        Confirmed::kSecondary);
  CHECK(load(with(kDescriptor, "check.formula,mean score", "secondary")).confirmed == Confirmed::kSecondary);
  // One secondary part and one recalled.
  CHECK(load(kDescriptor, scores, with(kBands, "check,1,good,3,,,", "memory")).confirmed ==
        Confirmed::kMemory);
  CHECK(load(with(kDescriptor, "region,the brook", "memory"), scores).confirmed == Confirmed::kMemory);
  const core::Method members =
      load(kDescriptor,
           "name,members,except,life_stage,score,group,source_key,source_detail,confirmed,members_confirmed\n"
           "Baetidae,Baetidae|Ameletidae,,,4,,own,A. Surveyor 2024,document,memory\n");
  CHECK(members.units[0].confirmed == Confirmed::kDocument);
  CHECK(members.units[0].members_confirmed == Confirmed::kMemory);
  CHECK(members.confirmed == Confirmed::kMemory);
  CHECK_FALSE(load(kDescriptor).units[0].members_confirmed.has_value());
}

TEST_CASE("a value is shown with as many decimals as its numbers carry") {
  const auto shown = [](const std::string& formula, const std::string& scores, const std::string& more = "") {
    const core::Method m =
        load(replaced(replaced(kDescriptor, "mean score", formula), "check.better", more + "check.better"),
             scores, "");
    return core::shown_decimals(m.metrics[0]);
  };
  const std::string quarters =
      kScoreHeader + "Baetidae,Baetidae,,,4.25," + kSource + "Worms,Oligochaeta,,,1.5," + kSource;
  const std::string whole = kScoreHeader + "Baetidae,Baetidae,,,4," + kSource;
  CHECK(shown("sum of scores", quarters) == 2);  // 4.25 is not shown as 4
  CHECK(shown("sum of scores", kScores) == 1);   // 4 and 1.5
  CHECK(shown("sum of scores", whole) == 0);
  CHECK(shown("mean score", whole) == 3);
  CHECK(shown("weighted mean", quarters) == 3);
  CHECK(shown("mean score", whole, "check.decimals,4" + kSource) == 4);  // its bands need four
  CHECK(shown("richness", "") == 0);
  const auto of = [](const char* id, std::size_t metric) {
    return core::shown_decimals(core::find_method(id)->metrics[metric]);
  };
  CHECK(of("bmwp-a", 0) == 0);
  CHECK(of("bmwp-a", 1) == 3);
  CHECK(of("family-biotic-index", 0) == 3);
  CHECK(of("three-group-abundance", 0) == 1);  // 5.6, 3.4 ...
  CHECK(of("three-group-count", 0) == 0);
  CHECK(of("ept-richness", 0) == 0);
}

TEST_CASE("a shipped method copied under another name loads with the same values") {
  for (const core::Method& shipped : core::shipped_methods()) {
    TemporaryFolder folder;
    for (const core::EmbeddedText& file : core::embedded_reference()) {
      const std::string start = "methods/" + shipped.id + ".";
      if (!file.name.starts_with(start)) continue;
      std::string text(file.text);
      if (file.name.ends_with(".method.csv")) text = replaced(text, "id," + shipped.id, "id,copy-of-it");
      write_text(folder / ("copy-of-it." + std::string(file.name.substr(start.size()))), text);
    }
    const core::Method copy = core::load_method(folder / "copy-of-it.method.csv");
    CHECK(copy.title == shipped.title);
    REQUIRE(copy.units.size() == shipped.units.size());
    for (std::size_t u = 0; u < copy.units.size(); ++u) CHECK(copy.units[u].score == shipped.units[u].score);
    CHECK(copy.weights.size() == shipped.weights.size());
    CHECK(copy.metrics.size() == shipped.metrics.size());
  }
}

TEST_CASE("what a spreadsheet adds does no harm: byte order mark, semicolons, decimal commas, empty rows") {
  std::string scores = "\xEF\xBB\xBF" + kScores + ",,,,,,,,\n";
  CHECK(load(kDescriptor, scores).units.size() == 2);
  scores =
      "name;members;except;life_stage;score;group;source_key;source_detail;confirmed\r\n"
      "Worms;Oligochaeta;;;1,5;;own;A. Surveyor 2024;memory\r\n";
  const core::Method mine = load(kDescriptor, scores);
  CHECK(mine.units[0].score == 1.5);
  CHECK(mine.confirmed == core::Confirmed::kMemory);  // the weakest part
}

TEST_CASE("a descriptor that is not there, not called so, or taken is refused") {
  TemporaryFolder folder;
  CHECK_THROWS_WITH_AS(core::load_method(folder / "none.method.csv"),
                       doctest::Contains("there is no such file"), Error);
  write_text(folder / "method.csv", kDescriptor);
  CHECK_THROWS_WITH_AS(core::load_method(folder / "method.csv"), doctest::Contains("NAME.method.csv"), Error);
  write_text(folder / "bmwp-a.method.csv", kDescriptor);
  CHECK_THROWS_WITH_AS(core::load_method(folder / "bmwp-a.method.csv"),
                       doctest::Contains("comes with the program"), Error);
  write_text(folder / "other.method.csv", kDescriptor);
  CHECK_THROWS_WITH_AS(core::load_method(folder / "other.method.csv"),
                       doctest::Contains("other.method.csv, line 2, column value"), Error);
  write_text(folder / "mine.method.csv", "");
  CHECK_THROWS_AS(core::load_method(folder / "mine.method.csv"), Error);
  write_text(folder / "mine.method.csv", "key,value,source_key,source_detail,confirmed\nid,mi\xFFne,,,\n");
  CHECK_THROWS_AS(core::load_method(folder / "mine.method.csv"), Error);
}

TEST_CASE("a bad line of the descriptor is named with file, line and column") {
  bad_descriptor("level,family", "levels,family", "mine.method.csv, line 7, column key",
                 "unknown key \"levels\"");
  bad_descriptor("check.better", "check.best", "mine.method.csv, line 11, column key",
                 "unknown key \"check.best\"");
  bad_descriptor("check.better", "chek.better", "mine.method.csv, line 11, column key", "no metric \"chek\"");
  bad_descriptor("mean score", "median", "mine.method.csv, line 10, column value",
                 "unknown formula \"median\"");
  bad_descriptor("level,family", "level,tribe", "mine.method.csv, line 7, column value",
                 "unknown rank \"tribe\"");
  bad_descriptor("flow,running", "flow,fast", "mine.method.csv, line 6, column value",
                 "running, still or any");
  bad_descriptor("higher", "more", "mine.method.csv, line 11, column value", "higher or lower");
  bad_descriptor("metric,check", "metric,The Check", "mine.method.csv, line 8, column value", "a-z");
  bad_descriptor("title,My check,own", "title,My check,", "mine.method.csv, line 3, column source_key",
                 "names no source");
  bad_descriptor("title,My check,own", "title,My check,nobody-1900",
                 "mine.method.csv, line 3, column source_key", "no source is known as \"nobody-1900\"");
  bad_descriptor("title,My check,own,A. Surveyor 2024", "title,My check,own,",
                 "mine.method.csv, line 3, column source_detail", "full citation");
  bad_descriptor("2024,document", "2024,yes", "mine.method.csv, line 3, column confirmed", "found \"yes\"");
  bad_descriptor("summary,A mean of three.", "summary,", "mine.method.csv, line 4, column value",
                 "has no value");
  bad_descriptor("summary,", "title,", "mine.method.csv, line 4, column key", "a second time");
  bad_descriptor("summary,A mean of three.,,,\n", "", "mine.method.csv, column key",
                 "\"summary\" is missing");
  bad_descriptor("check.better,higher,,,\n", "", "mine.method.csv, column key",
                 "\"check.better\" is missing");
  bad_descriptor("source_detail", "source", "mine.method.csv, line 1, column source",
                 "unknown column \"source\"");
  bad_descriptor(",confirmed\n", "\n", "mine.method.csv, line 1, column confirmed", "is missing");
  bad_descriptor("summary,A mean of three.,", "summary,A mean of three.,nobody-1900",
                 "mine.method.csv, line 4, column source_key", "no source is known as \"nobody-1900\"");
  const std::string end = "check.better,higher,,,\n";
  const auto with = [&](const std::string& row) { return end + row; };
  bad_descriptor(end, with("minimum_count,many" + kSource), "mine.method.csv, line 12, column value",
                 "whole number");
  bad_descriptor(end, with("minimum_count,0" + kSource), "mine.method.csv, line 12, column value",
                 "whole number");
  bad_descriptor(end, with("minimum_count,100,,,\n"), "mine.method.csv, line 12, column source_key",
                 "names no source");
  bad_descriptor(end, with("excluded_seasons,winter|monsoon" + kSource),
                 "mine.method.csv, line 12, column value", "monsoon");
  bad_descriptor(end, with("abundance_scheme,few-many,,,\n"), "mine.method.csv, line 12, column value",
                 "few-many");
  bad_descriptor(end, with("check.decimals,9" + kSource), "mine.method.csv, line 12, column value",
                 "from 0 to 6");
  bad_descriptor(end, with("check.level,family,,,\n"), "mine.method.csv, line 12, column key",
                 "only a metric with");
  bad_descriptor(end, with("metric,check,,,\n"), "mine.method.csv, line 12, column value", "named twice");
  bad_descriptor(end, with("note\n"), "mine.method.csv, line 12", "");
}

TEST_CASE("a method without a metric is refused") {
  std::string text = kDescriptor.substr(0, kDescriptor.find("metric,check"));
  check_refused([&] { load(text, kScores, ""); }, "mine.method.csv", "no metric");
}

TEST_CASE("a bad line of the score table is named with file, line and column") {
  const std::string good = "Baetidae,Baetidae,,,4," + kSource;
  bad_scores(good + "Baetidae,Caenidae,,,4," + kSource, "mine.scores.csv, line 3, column name", "twice");
  bad_scores(good + "Olives,Baetidae,,,4," + kSource, "mine.scores.csv, line 3, column members", "two lines");
  bad_scores("Baetidae,Baetydae,,,4," + kSource, "mine.scores.csv, line 2, column members",
             "did you mean \"Baetidae\"?");
  bad_scores("Demoiselles,Agriidae,,,8," + kSource, "mine.scores.csv, line 2, column members",
             "another name of \"Calopterygidae\"");
  bad_scores("Flies,Diptera,Simulidae,,4," + kSource, "mine.scores.csv, line 2, column except", "no taxon");
  bad_scores(",Baetidae,,,4," + kSource, "mine.scores.csv, line 2, column name", "no name");
  bad_scores("Baetidae,,,,4," + kSource, "mine.scores.csv, line 2, column members", "at least one");
  bad_scores("Baetidae,Baetidae||Caenidae,,,4," + kSource, "mine.scores.csv, line 2, column members",
             "between two");
  bad_scores("Baetidae,Baetidae,,nymphal,4," + kSource, "mine.scores.csv, line 2, column life_stage",
             "nymphal");
  bad_scores("Baetidae,Baetidae,,,," + kSource, "mine.scores.csv, line 2, column score", "no score");
  bad_scores("Baetidae,Baetidae,,,four," + kSource, "mine.scores.csv, line 2, column score", "not a number");
  bad_scores("Baetidae,Baetidae,,,0.1234567," + kSource, "mine.scores.csv, line 2, column score",
             "six decimals");
  bad_scores("Baetidae,Baetidae,,,1e3," + kSource, "mine.scores.csv, line 2, column score", "plain number");
  bad_scores("Baetidae,Baetidae,,,99999999999," + kSource, "mine.scores.csv, line 2, column score",
             "too large");
  bad_scores("Baetidae,Baetidae,,,4,,,,\n", "mine.scores.csv, line 2, column source_key", "names no source");
  bad_scores("Baetidae,Baetidae,,,4,,own\n", "mine.scores.csv, line 2", "");
  check_refused(
      [&] {
        load(kDescriptor,
             "name,members,except,life_stage,score,group,source_key,source_detail,confirmed,members_"
             "confirmed\n"
             "Baetidae,Baetidae,,,4,,own,A. Surveyor 2024,document,perhaps\n");
      },
      "mine.scores.csv, line 2, column members_confirmed", "found \"perhaps\"");
  check_refused([&] { load(kDescriptor, ""); }, "mine.method.csv, line 10, column value",
                "needs a score table");
}

TEST_CASE("bands that overlap, leave a gap or run backwards are refused") {
  const std::string decimals =
      replaced(kDescriptor, "check.better", "check.decimals,1" + kSource + "check.better");
  bad_bands("check,1,good,3,,," + kSource + "check,2,bad,,3,," + kSource,
            "mine.bands.csv, line 3, column lower", "overlap");
  bad_bands("check,1,good,3,,yes," + kSource + "check,2,bad,,3,,yes" + kSource,
            "mine.bands.csv, line 3, column lower", "gap");
  bad_bands("check,1,good,3.1,,," + kSource + "check,2,bad,,3,," + kSource,
            "mine.bands.csv, line 3, column lower", "gap");
  // To one decimal, 3.0 and 3.1 are neighbours, 3.2 is not, and 3.05 is no limit of its own.
  CHECK(load(decimals, kScores, kBandHeader + "check,1,good,3.1,,," + kSource + "check,2,bad,,3,," + kSource)
            .metrics[0]
            .bands.size() == 2);
  bad_bands("check,1,good,3.2,,," + kSource + "check,2,bad,,3,," + kSource,
            "mine.bands.csv, line 3, column lower",
            "gap between the classes \"bad\" and \"good\" after rounding to 1 decimals", decimals);
  bad_bands("check,1,good,3,,," + kSource + "check,2,bad,,3.05,," + kSource,
            "mine.bands.csv, line 3, column lower", "overlap", decimals);
  bad_bands("check,1,bad,,3,,yes" + kSource + "check,2,good,3,,," + kSource,
            "mine.bands.csv, line 3, column lower", "best to worst");
  bad_bands("check,1,good,3,2,," + kSource, "mine.bands.csv, line 2, column lower", "above its upper");
  bad_bands("check,1,good,3,3,yes," + kSource, "mine.bands.csv, line 2, column lower", "no value can fall");
  bad_bands("check,2,good,3,,," + kSource, "mine.bands.csv, line 2, column rank", "wanted 1");
  bad_bands("chek,1,good,3,,," + kSource, "mine.bands.csv, line 2, column metric", "no metric \"chek\"");
  bad_bands("check,1,,3,,," + kSource, "mine.bands.csv, line 2, column class", "no name");
  bad_bands("check,1,good,3,,maybe," + kSource, "mine.bands.csv, line 2, column lower_open", "yes");
  bad_bands("check,1,good,,,yes," + kSource, "mine.bands.csv, line 2, column lower_open", "no lower limit");
  bad_bands("check,1,good,3,,,,,,\n", "mine.bands.csv, line 2, column source_key", "names no source");
}

TEST_CASE("groups and abundance codes have to fit the weights and the scheme") {
  const std::string coded =
      replaced(replaced(kDescriptor, "mean score", "group code weights"), "check.better",
               "abundance_scheme,rare-common-dominant,,,\ncheck.better");
  const std::string scores = kScoreHeader + "Baetidae,Baetidae,,,,keen" + kSource;
  const std::string weights =
      kWeightHeader + "keen,R,5" + kSource + "keen,C,5.6" + kSource + "keen,D,5.3" + kSource;
  CHECK(load(coded, scores, kBands, weights).weights.size() == 3);
  const auto bad = [&](const std::string& descriptor, const std::string& s, const std::string& w,
                       const std::string& where, const std::string& what) {
    check_refused([&] { load(descriptor, s, kBands, w); }, where, what);
  };
  bad(coded, scores, "", "mine.method.csv, line 10, column value", "needs group weights");
  bad(coded, scores, weights + "keen,X,1" + kSource, "mine.weights.csv, line 5, column code",
      "no code \"X\"");
  bad(coded, scores, weights + "keen,R,1" + kSource, "mine.weights.csv, line 5, column group", "twice");
  bad(coded, scores, weights + "dull,R,1" + kSource, "mine.weights.csv, line 5, column group", "\"dull\"");
  bad(coded, scores, weights + "keen,A,\n", "mine.weights.csv, line 5", "");
  bad(coded, scores, kWeightHeader + "keen,R," + kSource, "mine.weights.csv, line 2, column weight",
      "no weight");
  bad(coded, scores, kWeightHeader + "keen,R,5" + kSource, "mine.scores.csv, line 2, column group",
      "the code \"C\"");
  // A line without a group is a group of its own.
  bad(coded, kScores, weights, "mine.weights.csv, line 2, column group", "no line of the score table");
  bad(replaced(coded, "abundance_scheme,rare-common-dominant,,,\n", ""), scores, weights,
      "mine.method.csv, line 10, column value", "abundance_scheme");
  const std::string plain = replaced(kDescriptor, "mean score", "group weights");
  bad(plain, scores, weights, "mine.scores.csv, line 2, column group", "empty code");
  CHECK(load(plain, scores, kBands, kWeightHeader + "keen,,3" + kSource).weights[0].weight == 3);
}

TEST_CASE("a richness set names taxa of the checklist") {
  const std::string set = replaced(replaced(kDescriptor, "mean score", "richness"), "check.better",
                                   "check.set,Ephemeroptera|Plecopterra,,,\ncheck.better");
  check_refused([&] { load(set, "", kBands); }, "mine.method.csv, line 11, column value",
                "did you mean \"Plecoptera\"?");
  CHECK(load(replaced(set, "Plecopterra", "Plecoptera"), "", kBands).metrics[0].set.size() == 2);
}

TEST_CASE("a line may leave out a part of its taxon") {
  const core::Method mine = load(kDescriptor, kScoreHeader + "Flies,Diptera,Simuliidae|Chironomidae,,4," +
                                                  kSource + "Red,Blood-red Chironomidae,,,1," + kSource);
  brookmark::test::SurveyBuilder b;
  const auto all = b.stream_sample(
      {brookmark::test::present("Simulium"), brookmark::test::present("Chironomus"),
       brookmark::test::present("Tabanus"), brookmark::test::present("Blood-red Chironomidae")});
  const auto score = core::score_samples(b.snapshot(), mine).metrics[0][all.value()];
  CHECK(score.value == 2.5);  // Tabanus 4 and the red midges 1; black flies and other midges are left out
  CHECK(score.scoring_taxa == 2);
  CHECK(score.unscored_taxa == 2);
}
