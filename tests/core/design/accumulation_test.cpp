#include "core/design/accumulation.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>

#include "core/base/csv.hpp"
#include "core/base/random.hpp"
#include "core/base/text.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

double value_of(const Table& table, const TableRow& row, const char* column) {
  return parse_number(row.cells[table.find(column).value()]).value();
}

// A data set of tests/reference/diversity as a survey: a sample a plot, names of the surveyor's own.
SurveyBuilder survey_of(const std::string& file) {
  const Table table = read_csv_file(reference("diversity/" + file));
  std::map<std::string, std::vector<Found>> samples;
  for (const TableRow& row : table.rows)
    samples[row.cells[0]].push_back(
        n(row.cells[1], static_cast<std::int64_t>(value_of(table, row, "count"))));
  SurveyBuilder builder;
  for (const auto& [code, found] : samples)
    builder.sample(builder.site(code, WaterKind::kStream), "2024-05-03", found);
  return builder;
}

std::vector<SampleIndex> all_samples(const Snapshot& snapshot) {
  std::vector<SampleIndex> samples;
  for (std::size_t i = 0; i < snapshot.samples.size(); ++i) samples.emplace_back(i);
  return samples;
}

}  // namespace

TEST_CASE("expected taxa of fewer samples and the estimate of all agree with vegan to twelve digits") {
  std::map<std::string, Accumulation> found;
  for (const auto& [name, file] : std::map<std::string, std::string>{{"dune", "vegan_dune_counts.csv"},
                                                                     {"BCI", "vegan_BCI_counts.csv"}}) {
    const SurveyBuilder builder = survey_of(file);
    found[name] = accumulate(builder.snapshot(), all_samples(builder.snapshot()), {.rank = Rank::kSpecies});
  }
  const Table table = read_csv_file(reference("design/ref_accumulation_vegan.csv"));
  REQUIRE(table.rows.size() == 80);
  for (const TableRow& row : table.rows) {
    const Accumulation& a = found.at(row.cells[0]);
    const std::string& quantity = row.cells[1];
    const double expected = value_of(table, row, "expected");
    const auto units = static_cast<std::size_t>(value_of(table, row, "units"));
    CAPTURE(row.line);
    if (quantity == "taxa") CHECK(a.taxa() == static_cast<std::size_t>(expected));
    if (quantity == "q1") CHECK(a.in(1) == static_cast<std::size_t>(expected));
    if (quantity == "q2") CHECK(a.in(2) == static_cast<std::size_t>(expected));
    // Printed to 15 digits of numbers below 1000.
    if (quantity == "chao2") CHECK(near(a.estimate().value(), expected, 1e-11));
    if (quantity == "accumulated") CHECK(near(taxa_at(a, units).value(), expected, 1e-11));
  }
}

TEST_CASE("taxa and coverage of more samples are what the hand gives") {
  // Five samples; four taxa in one, two in two, three in three and one in all five: S = 10, U = 4 + 4 + 9 + 5 = 22.
  const Accumulation a{5, {1, 1, 1, 1, 2, 2, 3, 3, 3, 5}};
  // Q0 = 4/5 * 16 / 4 = 3.2.
  CHECK(near(a.estimate().value(), 13.2, 1e-12));
  CHECK(taxa_at(a, 5).value() == 10);
  // 10 + 3.2 (1 - (1 - 4 / (16 + 4))) = 10.64; two more: 10 + 3.2 (1 - 0.8^2) = 11.152.
  CHECK(near(taxa_at(a, 6).value(), 10.64, 1e-12));
  CHECK(near(taxa_at(a, 7).value(), 11.152, 1e-12));
  // A = 16 / (16 + 4) = 0.8: 1 - 4/22 * 0.8; one more 1 - 4/22 * 0.64.
  CHECK(near(coverage_at(a, 5).value(), 1 - 4.0 / 22 * 0.8, 1e-12));
  CHECK(near(coverage_at(a, 6).value(), 1 - 4.0 / 22 * 0.64, 1e-12));
  // 90 % of 13.2 is 11.88: 1 - 0.8^t = 1.88 / 3.2 = 0.5875, t = ln 0.4125 / ln 0.8 = 3.97: four more.
  CHECK(units_for_share(a, 0.9) == 9);
  // 4/22 * 0.8^(t + 1) <= 0.05: 0.8^(t + 1) <= 0.275, t + 1 = 5.79: five more.
  CHECK(units_for_coverage(a, 0.95) == 10);
  CHECK_FALSE(units_for_share(a, 1.0));
}

TEST_CASE("coverage of fewer samples is one minus the chance that the next occurrence is of a taxon unseen") {
  // Two samples, taxa in 1, 1, 2 of them: U = 4. One sample: the taxa in one of them are missing from it with C(1,1)/C(1,1) = 1
  // each counted 1/4; those in both never. 1 - 2/4 = 0.5.
  const Accumulation a{2, {1, 1, 2}};
  CHECK(near(coverage_at(a, 1).value(), 0.5, 1e-12));
  CHECK(near(coverage_at(a, 0).value(), 0, 1e-12));
}

TEST_CASE("a list in which nothing was found once alone is complete, and a single sample says nothing") {
  const Accumulation complete{4, {4, 3, 2}};
  CHECK(complete.estimate() == 3);
  CHECK(taxa_at(complete, 100) == 3);
  CHECK(coverage_at(complete, 4) == 1);
  CHECK(units_for_share(complete, 1.0) ==
        3);  // C(1,3) = 0: with three of four samples a taxon in two is certain
  const Accumulation one{1, {1, 1}};
  CHECK_FALSE(one.estimate());
  CHECK_FALSE(taxa_at(one, 2));
  CHECK_FALSE(coverage_at(one, 1));
  CHECK_FALSE(units_for_share(one, 0.5));
  const Accumulation nothing{3, {}};
  CHECK(nothing.estimate() == 0);
  CHECK_FALSE(coverage_at(nothing, 3));
  CHECK_FALSE(units_for_share(nothing, 0.9));
}

TEST_CASE("taxa of twice as many samples are foretold within two per cent over 2,000 drawn surveys") {
  // 60 taxa that each sample shows with chances of 0.05 to 0.5.
  constexpr int kTaxa = 60, kSamples = 15, kDraws = 2000;
  double foretold = 0, truth = 0;
  for (int draw = 0; draw < kDraws; ++draw) {
    Random random(77, static_cast<std::uint64_t>(draw));
    Accumulation first;
    first.units = kSamples;
    int both = 0;
    for (int taxon = 0; taxon < kTaxa; ++taxon) {
      const double chance = 0.05 + 0.45 * taxon / (kTaxa - 1);
      const auto in_first = draw_binomial(random, kSamples, chance);
      const auto in_more = draw_binomial(random, kSamples, chance);
      if (in_first > 0) first.found_in.push_back(in_first);
      if (in_first + in_more > 0) ++both;
    }
    foretold += taxa_at(first, 2 * kSamples).value();
    truth += both;
  }
  CHECK(near(foretold / truth, 1,
             0.02));  // the estimate of what is unseen is a lower bound: a little too small
}

TEST_CASE(
    "samples of one spot count together where spots are asked for; blanks and empty sheets do not count") {
  SurveyBuilder b;
  const SiteIndex s1 = b.site("S1", WaterKind::kStream);
  b.sample(s1, "2024-04-01", {n("Baetidae", 3)});
  b.sample(s1, "2024-06-01", {n("Gammaridae", 3)});
  const SiteIndex s2 = b.site("S2", WaterKind::kStream);
  b.sample(s2, "2024-04-01", {n("Baetis", 1)});  // a genus of Baetidae
  b.sample(s2, "2024-05-01", {n("Perlidae", 9)}, SampleKind::kBlank);
  b.sample(s2, "2024-06-01", {});
  b.sample(s2, "2024-07-01", {absent("Baetidae")});
  const auto samples = all_samples(b.snapshot());
  const Accumulation by_sample = accumulate(b.snapshot(), samples, {});
  CHECK(by_sample.units == 4);  // the last one holds nothing, and that is known
  CHECK(by_sample.left_out == 1);
  CHECK(by_sample.taxa() == 2);
  CHECK(by_sample.in(2) == 1);
  const Accumulation by_site = accumulate(b.snapshot(), samples, {.unit = AccumulationUnit::kSite});
  CHECK(by_site.units == 2);
  CHECK(by_site.in(2) == 1);  // the family of mayflies at both
  CHECK(by_site.in(1) == 1);
  CHECK(accumulate(b.snapshot(), samples, {.until = parse_date("2024-05-15")}).units == 2);
}
