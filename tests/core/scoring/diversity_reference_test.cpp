// Every diversity figure against values computed elsewhere and against published examples
// (tests/reference/diversity/README.md tells where they come from).
#include <doctest/doctest.h>

#include "core/scoring/diversity.hpp"
#include "core/scoring/rarefaction.hpp"
#include "core/scoring/richness_estimate.hpp"
#include "tests/core/scoring/diversity_tables.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

constexpr double kTenDigits = 1e-9;  // the reference is printed to ten digits: wrong by up to 5e-10 of itself

void check_same(const std::optional<double>& value, const std::optional<double>& expected) {
  REQUIRE(value.has_value() == expected.has_value());
  if (value) CHECK(near_relative(*value, *expected, kTenDigits));
}

std::optional<double> rarefied_at(const std::vector<CountGroup>& groups, std::int64_t n,
                                  double Rarefied::*part) {
  const auto rarefied = Rarefier().rarefy(groups, n);
  if (!rarefied) return std::nullopt;
  return (*rarefied).*part;
}

}  // namespace

TEST_CASE("diversity of 94 samples is what was computed elsewhere, to nine digits") {
  const auto samples = reference_samples();
  const Table table = read_csv_file(reference("diversity/ref_alpha_vegan.csv"));
  REQUIRE(table.rows.size() == 94);
  for (const TableRow& row : table.rows) {
    const Expected want(table, row);
    CAPTURE(want.text("sample"));
    const std::vector<CountGroup> groups =
        group_counts(samples.at({want.text("dataset"), want.text("sample")}));
    const Diversity d = diversity_of(groups);
    CHECK(static_cast<double>(d.animals) == *want.number("N"));
    CHECK(static_cast<double>(d.taxa) == *want.number("S"));
    CHECK(static_cast<double>(d.singletons) == *want.number("singletons"));
    CHECK(static_cast<double>(d.doubletons) == *want.number("doubletons"));
    check_same(d.shannon, want.number("shannon_ln"));
    check_same(d.simpson, want.number("simpson_1_D"));
    check_same(inverse_simpson(d), want.number("inverse_simpson"));
    check_same(pielou(d), want.number("pielou"));
    check_same(berger_parker(d), want.number("berger_parker"));
    check_same(margalef(d), want.number("margalef"));
    check_same(hill(d, 0), want.number("S"));
    check_same(hill(d, 1), want.number("hill1"));
    check_same(hill(d, 2), want.number("inverse_simpson"));
    const auto n = static_cast<std::int64_t>(*want.number("rarefy_n"));
    check_same(rarefied_at(groups, n, &Rarefied::taxa), want.number("rarefied_S"));
    check_same(rarefied_at(groups, n, &Rarefied::standard_error), want.number("rarefied_se"));
    const RichnessEstimate estimate = chao1(d, Chao1Form::kBiasCorrected);
    check_same(estimate.taxa, want.number("chao1"));
    check_same(estimate.standard_error, want.number("chao1_se"));
  }
}

TEST_CASE("both standard errors of Chao1 are what was computed elsewhere") {
  const auto samples = reference_samples();
  const Table table = read_csv_file(reference("diversity/ref_alpha_extra.csv"));
  REQUIRE(table.rows.size() == 94);
  for (const TableRow& row : table.rows) {
    const Expected want(table, row);
    CAPTURE(want.text("sample"));
    const Diversity d = diversity_of(group_counts(samples.at({want.text("dataset"), want.text("sample")})));
    const RichnessEstimate whole = chao1(d, Chao1Form::kBiasCorrected);
    const RichnessEstimate two_case = chao1(d, Chao1Form::kBiasCorrectedTwoCase);
    check_same(whole.taxa, want.number("chao1"));
    check_same(two_case.taxa, want.number("chao1"));
    check_same(whole.standard_error, want.number("chao1_se_vegan_formula"));
    check_same(two_case.standard_error, want.number("chao1_se_two_case"));
  }
}

TEST_CASE("the published examples come out within their printed digits") {
  auto counts = count_table("diversity/09_counts.csv", "dataset");
  const auto bci = count_table("diversity/vegan_BCI_counts.csv", "sample");
  for (int plot = 2; plot <= 5; ++plot)
    counts["bci_plot" + std::to_string(plot)] = bci.at("BCI" + std::to_string(plot));
  CHECK(group_counts(counts.at("bci_plot1")) == group_counts(bci.at("BCI1")));

  const Table table = read_csv_file(reference("diversity/09_diversity_examples.csv"));
  std::size_t checked = 0, left_out = 0;
  for (const TableRow& row : table.rows) {
    const Expected want(table, row);
    const std::string quantity = want.text("quantity");
    CAPTURE(want.text("dataset"));
    CAPTURE(quantity);
    if (quantity.starts_with("ACE")) {  // another estimator, not offered
      ++left_out;
      continue;
    }
    const std::vector<CountGroup> groups = group_counts(counts.at(want.text("dataset")));
    const Diversity d = diversity_of(groups);
    const RichnessEstimate corrected = chao1(d, Chao1Form::kBiasCorrected);
    const RichnessEstimate two_case = chao1(d, Chao1Form::kBiasCorrectedTwoCase);
    const RichnessEstimate classic = chao1(d, Chao1Form::kClassic);
    if (quantity == "n;S;f1;f2") {
      CHECK(std::to_string(d.animals) + ";" + std::to_string(d.taxa) + ";" + std::to_string(d.singletons) +
                ";" + std::to_string(d.doubletons) ==
            want.text("expected"));
      ++checked;
      continue;
    }
    const std::map<std::string, double> values{
        {"n", static_cast<double>(d.animals)},
        {"S_obs", static_cast<double>(d.taxa)},
        {"f1", static_cast<double>(d.singletons)},
        {"f2", static_cast<double>(d.doubletons)},
        {"coverage_Chao_Jost_2012", coverage(d).value()},
        {"coverage_Good_1-f1/n", 1 - static_cast<double>(d.singletons) / static_cast<double>(d.animals)},
        {"Chao1_classic_small_sample", classic.taxa},
        {"Chao1_se", classic.standard_error},
        {"Chao1_CI95_lower_log", classic.low.value()},
        {"Chao1_CI95_upper_log", classic.high.value()},
        {"Chao1_bias_corrected", corrected.taxa},
        {"Chao1_bc_se_form_B(vegan)", corrected.standard_error},
        {"Chao1_bc_se_form_A(no covariance term)", two_case.standard_error},
        {"Shannon_ln", d.shannon},
        {"Pielou", pielou(d).value()},
        {"Simpson_D_sum_p2", d.concentration},
        {"Gini_Simpson", d.simpson},
        {"inverse_Simpson", inverse_simpson(d).value()},
        // Simpson's measure without putting back, by way of the one that is offered.
        {"Simpson_unbiased_1-sum n(n-1)/N(N-1)",
         d.simpson * static_cast<double>(d.animals) / static_cast<double>(d.animals - 1)},
        {"Margalef", margalef(d).value()}};
    const double tolerance = want.number("tolerance").value();  // as printed, absolute
    const auto at = quantity.find("_at_");
    if (at != std::string::npos) {
      const auto n = parse_integer(quantity.substr(at + 4)).value();
      const bool error = quantity.starts_with("rarefied_S_se");
      REQUIRE((error || quantity.starts_with("rarefied_S_at")));
      CHECK(near(rarefied_at(groups, n, error ? &Rarefied::standard_error : &Rarefied::taxa).value(),
                 want.number("expected").value(), tolerance));
    } else {
      REQUIRE(values.contains(quantity));
      CHECK(near(values.at(quantity), want.number("expected").value(), tolerance));
    }
    ++checked;
  }
  CHECK(left_out == 2);
  CHECK(checked + left_out == table.rows.size());
}
