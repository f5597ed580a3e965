// Observed against expected: which samples count as reference, when there are too few, and what class a ratio has.
#include "core/scoring/reference_ratio.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::core;
using namespace brookmark::test;

namespace {

// Sites and samples whose values are given straight, whatever lives there.
class Waters {
 public:
  SiteIndex site(const std::string& type, bool reference, double lat = 52) {
    return survey_.site("S" + std::to_string(survey_.snapshot().sites.size()), WaterKind::kStream, lat, type,
                        reference);
  }
  SampleIndex sample(SiteIndex site, const std::string& date, std::optional<double> value,
                     SampleKind kind = SampleKind::kRoutine) {
    values_.push_back(value);
    return survey_.sample(site, date, {}, kind);
  }
  RatioTable ratios(const RatioOptions& options = {}) const {
    return ratio_of_samples(survey_.snapshot(), values_, options);
  }
  const Snapshot& snapshot() const { return survey_.snapshot(); }

 private:
  SurveyBuilder survey_;
  SampleValues values_;
};

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("the expected value is the median of the type's reference samples of the season") {
  Waters w;
  for (const double value : {10.0, 30.0, 12.0}) w.sample(w.site("chalk stream", true), "2023-04-10", value);
  const auto test = w.site("Chalk  Stream", false);  // letter case and spaces do not matter
  const auto spring = w.sample(test, "2024-05-03", 6.0);
  const auto summer = w.sample(test, "2024-07-03", 6.0);
  const auto other = w.sample(w.site("bog pool", false), "2024-05-03", 6.0);
  const auto none = w.sample(w.site("", false), "2024-05-03", 6.0);
  const RatioTable t = w.ratios();
  CHECK(t.samples[spring.value()].expected == 12.0);
  CHECK(t.samples[spring.value()].ratio == 0.5);
  CHECK(t.samples[spring.value()].reference_samples == 3);
  CHECK(t.samples[spring.value()].reference_sites == 3);
  CHECK(t.samples[summer.value()].gap == RatioGap::kTooFewReferences);
  CHECK(t.samples[other.value()].gap == RatioGap::kTooFewReferences);
  CHECK(t.samples[none.value()].gap == RatioGap::kNoType);
  CHECK(says(
      ratio_note(w.snapshot(), t, summer),
      "3 more reference samples of type \"Chalk  Stream\" taken in summer are needed: there are 0 of 3"));
  CHECK(says(ratio_note(w.snapshot(), t, none), "the site has no type"));
  CHECK(ratio_note(w.snapshot(), t, spring) == "");
}

TEST_CASE("of an even number of reference samples the expected value is the mean of the middle two") {
  Waters w;
  for (const double value : {10.0, 40.0, 12.0, 16.0}) w.sample(w.site("a", true), "2023-04-10", value);
  const auto test = w.sample(w.site("a", false), "2024-05-03", 7.0);
  CHECK(w.ratios().samples[test.value()].expected == 14.0);
  CHECK(w.ratios().samples[test.value()].ratio == 0.5);
}

TEST_CASE(
    "blanks, replicates, samples without a value, sites that are no reference and later samples do not "
    "count") {
  Waters w;
  const auto reference = w.site("a", true);
  w.sample(reference, "2023-04-10", 10.0);
  w.sample(reference, "2023-04-10", 90.0, SampleKind::kReplicate);
  w.sample(reference, "2023-04-11", 90.0, SampleKind::kBlank);
  w.sample(reference, "2023-04-12", std::nullopt);
  w.sample(reference, "2023-05-01", 11.0);
  w.sample(reference, "2023-05-02", 12.0);
  w.sample(reference, "2024-05-09", 90.0);
  w.sample(w.site("a", false), "2023-04-10", 90.0);
  const auto test = w.sample(w.site("a", false), "2024-05-03", 5.5);
  const RatioTable t = w.ratios({.until = parse_date("2024-05-03")});
  CHECK(t.samples[test.value()].expected == 11.0);
  CHECK(t.samples[test.value()].reference_samples == 3);
  CHECK(t.samples[test.value()].reference_sites == 1);
  CHECK(ratio_note(w.snapshot(), t, test) ==
        "what is expected rests on one reference site alone: 3 samples, all from one site");
  CHECK(t.samples[6].gap == RatioGap::kAfterDate);
}

TEST_CASE("a reference site is held against the others, never against itself") {
  Waters w;
  std::vector<SampleIndex> samples;
  for (const double value : {10.0, 20.0, 30.0, 40.0})
    samples.push_back(w.sample(w.site("a", true), "2023-04-10", value));
  const RatioTable t = w.ratios();
  CHECK(t.samples[samples[0].value()].expected == 30.0);
  CHECK(t.samples[samples[3].value()].expected == 20.0);
  // With three there are only two others.
  Waters few;
  for (const double value : {10.0, 20.0, 30.0}) few.sample(few.site("a", true), "2023-04-10", value);
  const RatioTable refused = few.ratios();
  for (const SampleRatio& sample : refused.samples) CHECK(sample.gap == RatioGap::kTooFewReferences);
  CHECK(says(ratio_note(few.snapshot(), refused, SampleIndex(0)),
             "1 more reference sample of type \"a\" taken in spring is needed: there are 2 of 3, this site's "
             "own left out"));
}

TEST_CASE("how many reference samples are enough can be chosen") {
  Waters w;
  w.sample(w.site("a", true), "2023-04-10", 10.0);
  const auto test = w.sample(w.site("a", false), "2024-05-03", 5.0);
  CHECK(w.ratios().samples[test.value()].gap == RatioGap::kTooFewReferences);
  CHECK(w.ratios({.least_samples = 1}).samples[test.value()].ratio == 0.5);
  CHECK_THROWS_AS(w.ratios({.least_samples = 0}), Error);
}

TEST_CASE("seasons follow the hemisphere of each site") {
  Waters w;
  for (int i = 0; i < 3; ++i) w.sample(w.site("a", true, 52), "2023-04-10", 10.0);  // spring in the north
  const auto south = w.site("a", false, -40);
  const auto october = w.sample(south, "2023-10-10", 5.0), april = w.sample(south, "2024-04-10", 5.0);
  CHECK(w.ratios().samples[october.value()].ratio == 0.5);
  CHECK(w.ratios().samples[april.value()].gap == RatioGap::kTooFewReferences);
}

TEST_CASE("nothing is divided by an expected zero, and a sample without a value has no ratio") {
  Waters w;
  for (int i = 0; i < 3; ++i) w.sample(w.site("a", true), "2023-04-10", 0.0);
  const auto test = w.site("a", false);
  const auto zero = w.sample(test, "2024-05-03", 5.0), none = w.sample(test, "2024-05-04", std::nullopt);
  const RatioTable t = w.ratios();
  CHECK(t.samples[zero.value()].gap == RatioGap::kExpectedZero);
  CHECK(t.samples[none.value()].gap == RatioGap::kNoValue);
  for (const SampleRatio& sample : t.samples) CHECK_FALSE(sample.ratio);
}

TEST_CASE("ratios get the five classes by limits of the user's own; a limit belongs to the better class") {
  Waters w;
  for (int i = 0; i < 3; ++i) w.sample(w.site("a", true), "2023-04-10", 10.0);
  const auto test = w.site("a", false);
  std::vector<SampleIndex> samples;
  for (const double value : {12.0, 8.0, 7.9994, 7.9996, 6.0, 4.0, 2.0, 1.9, 0.0})
    samples.push_back(w.sample(test, "2024-05-03", value));
  RatioOptions options;
  options.classes = parse_ratio_classes("0.8,0.6,0.4,0.2");
  const RatioTable t = w.ratios(options);
  std::vector<std::string> names;
  for (const SampleIndex s : samples)
    names.emplace_back(class_name(options.classes->scale, t.samples[s.value()].class_rank));
  // 0.79994 is 0.800 as shown, and so is High.
  CHECK(names ==
        std::vector<std::string>{"High", "High", "High", "High", "Good", "Moderate", "Poor", "Bad", "Bad"});
  CHECK(says(options.classes->origin, "not published"));
  CHECK(says(options.classes->origin, "memory"));
  options.higher_is_better = false;
  const RatioTable worse = w.ratios(options);
  CHECK(worse.samples[samples[0].value()].ratio == 1.2);
  CHECK(worse.samples[samples[0].value()].class_rank == 0);
  CHECK(says(ratio_note(w.snapshot(), worse, samples[0]), "no class: more of this metric is worse"));
}

TEST_CASE("limits that are not four falling numbers are refused with a sentence") {
  for (const char* bad :
       {"", "0.8", "0.8,0.6,0.4", "0.8,0.6,0.4,0.2,0.1", "0.2,0.4,0.6,0.8", "0.8,0.8,0.4,0.2",
        "0.8,0.6,0.4,0", "0.8,0.6,0.4,-1", "0.8,0.6,0.4,nan", "0.8,0.6,0.4,a"})
    CHECK_THROWS_AS_MESSAGE(parse_ratio_classes(bad), Error, bad);
  CHECK(says(parse_ratio_classes("equal").origin, "equal steps, the user's own choice, not published"));
}

TEST_CASE("a table of the user's own classes is read, and its mistakes are told by line") {
  const auto classes = [](const std::string& text) { return own_classes(read_csv(text, "mine.csv")); };
  const RatioClasses good = classes("class,lower,source\nfine,0.75,club rules 2024\npoor,,\n");
  CHECK(class_of(good.scale, 0.75)->name == "fine");
  CHECK(class_of(good.scale, 0.7)->name == "poor");
  CHECK(says(good.origin, "club rules 2024"));
  CHECK(says(classes("class,lower\nfine,0.75\npoor,\n").origin, "without a source"));
  const auto sentence = [&](const std::string& text) {
    try {
      classes(text);
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  CHECK(
      says(sentence("class,lower\nfine,0.5\nworse,0.7\npoor,\n"), "mine.csv, line 3: the lower limits fall"));
  CHECK(says(sentence("class,lower\nfine,\npoor,0.2\n"), "only the last class"));
  CHECK(says(sentence("class,lower\nfine,0.5\npoor,0.2\n"), "the last class is the worst"));
  CHECK(says(sentence("class,lower\nfine,half\npoor,\n"), "\"half\" is not a number"));
  CHECK(says(sentence("class,lower\nfine,0.5\nfine,\n"), "listed twice"));
  CHECK(says(sentence("class,lower\nfine,\n"), "fewer than two classes"));
  CHECK(says(sentence("name,limit\nfine,\n"), "columns class and lower"));
}

TEST_CASE("expected values agree with a plain search through all samples") {
  std::mt19937 random(13);
  Waters w;
  std::vector<std::pair<SiteIndex, std::string>> sites;
  for (int i = 0; i < 12; ++i) {
    const std::string type = random() % 2 == 0 ? "a" : "b";
    const auto site = w.site(type, random() % 3 != 0);
    for (int s = 0; s < 8; ++s)
      w.sample(site, "20" + std::to_string(10 + random() % 10) + (random() % 2 == 0 ? "-04-10" : "-08-10"),
               random() % 5 == 0 ? std::nullopt : std::optional(static_cast<double>(random() % 100 + 1)));
  }
  const Snapshot& snapshot = w.snapshot();
  SampleValues values;
  const RatioTable t = w.ratios();
  for (const SampleRatio& sample : t.samples) values.push_back(sample.observed);
  for (std::size_t i = 0; i < t.samples.size(); ++i) {
    std::vector<double> counting;
    for (std::size_t j = 0; j < t.samples.size(); ++j) {
      const std::size_t site = snapshot.samples.site[j].value();
      if (values[j] && snapshot.sites.reference[site] &&
          snapshot.samples.site[j] != snapshot.samples.site[i] &&
          snapshot.sites.type[site] == snapshot.sites.type[snapshot.samples.site[i].value()] &&
          year_month_day(snapshot.samples.date[j]).month == year_month_day(snapshot.samples.date[i]).month)
        counting.push_back(*values[j]);
    }
    std::sort(counting.begin(), counting.end());
    CHECK(t.samples[i].reference_samples == counting.size());
    REQUIRE(t.samples[i].expected.has_value() == (counting.size() >= 3));
    if (t.samples[i].expected) {
      const std::size_t half = counting.size() / 2;
      const double median =
          counting.size() % 2 == 1 ? counting[half] : (counting[half - 1] + counting[half]) / 2;
      CHECK(near(*t.samples[i].expected, median, 1e-12));
    }
  }
}

TEST_CASE("values of a method and of diversity can be held against references alike") {
  SurveyBuilder b;
  for (int i = 0; i < 3; ++i)
    b.sample(b.site("R" + std::to_string(i), WaterKind::kStream, 52, "a", true), "2023-04-10",
             {n("Baetidae", 5), n("Perlidae", 5), n("Leuctridae", 5), n("Asellidae", 5)});
  const auto test =
      b.sample(b.site("T", WaterKind::kStream, 52, "a"), "2023-04-10", {n("Baetidae", 5), n("Asellidae", 5)});
  const ScoreTable scores = score_samples(b.snapshot(), *find_method("ept-richness"));
  CHECK(near(ratio_of_samples(b.snapshot(), usable_values(scores, 0)).samples[test.value()].ratio.value(),
             1.0 / 3, 1e-15));
  const DiversityTable diversity = diversity_of_samples(b.snapshot());
  CHECK(ratio_of_samples(b.snapshot(), usable_values(diversity, DiversityMetric::kRichness))
            .samples[test.value()]
            .ratio == 0.5);
  CHECK_THROWS_AS(ratio_of_samples(b.snapshot(), {}), Error);
}
