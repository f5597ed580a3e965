#include "core/scoring/richness_estimate.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace brookmark::core {

namespace {

constexpr const char* kForms[] = {"bias-corrected", "bias-corrected-two-case", "classic"};
constexpr double kNormal975 = 1.959963984540054;  // 97.5 % point of the standard normal distribution

// The sum over i of d_i^2 f_i - (sum of d_i f_i)^2 / estimate, where d_i is the estimate's derivative by f_i: 1 for all
// groups, and more by g1 and g2 for the first two. The 1s are taken out, so that nothing large cancels.
double delta_variance(double taxa, double f1, double f2, double estimate) {
  const double g1 = (2 * f1 - 1) / (2 * (f2 + 1));
  const double g2 = -f1 * (f1 - 1) / (2 * (f2 + 1) * (f2 + 1));
  const double moved = f1 * g1 + f2 * g2, missing = estimate - taxa;
  return f1 * g1 * g1 + f2 * g2 * g2 + (taxa * missing + 2 * moved * missing - moved * moved) / estimate;
}

// `part` is 1, or (n - 1) / n.
double variance_without_doubletons(double f1, double estimate, double part) {
  return part * f1 * (f1 - 1) / 2 + part * part * f1 * (2 * f1 - 1) * (2 * f1 - 1) / 4 -
         part * part * f1 * f1 * f1 * f1 / (4 * estimate);
}

double two_case_variance(double f1, double f2, double estimate) {
  if (f2 == 0) return variance_without_doubletons(f1, estimate, 1);
  const double more = f2 + 1;
  return f1 * (f1 - 1) / (2 * more) + f1 * (2 * f1 - 1) * (2 * f1 - 1) / (4 * more * more) +
         f1 * f1 * f2 * (f1 - 1) * (f1 - 1) / (4 * more * more * more * more);
}

double classic_variance(double f1, double f2, double estimate, double part) {
  if (f2 == 0) return variance_without_doubletons(f1, estimate, part);
  const double ratio = f1 / f2;
  return f2 * (part * ratio * ratio / 2 + part * part * ratio * ratio * ratio +
               part * part * ratio * ratio * ratio * ratio / 4);
}

}  // namespace

const char* chao1_form_name(Chao1Form form) {
  return kForms[static_cast<std::size_t>(form)];
}

std::optional<Chao1Form> parse_chao1_form(std::string_view text) {
  for (std::size_t i = 0; i < std::size(kForms); ++i)
    if (text == kForms[i]) return static_cast<Chao1Form>(i);
  return std::nullopt;
}

const char* chao1_error_words(Chao1Form form) {
  switch (form) {
    case Chao1Form::kBiasCorrected:
      return "delta method over all groups of counts";
    case Chao1Form::kBiasCorrectedTwoCase:
      return "Chao 1987, bias-corrected";
    case Chao1Form::kClassic:
      return "Chao 1987, classic";
  }
  return "";
}

RichnessEstimate chao1(const Diversity& d, Chao1Form form) {
  const double taxa = static_cast<double>(d.taxa), n = static_cast<double>(d.animals);
  const double f1 = static_cast<double>(d.singletons), f2 = static_cast<double>(d.doubletons);
  RichnessEstimate estimate{taxa, 0, std::nullopt, std::nullopt};
  if (d.singletons == 0) return estimate;
  const double part = (n - 1) / n;
  const bool classic = form == Chao1Form::kClassic;
  const double missing = !classic            ? f1 * (f1 - 1) / (2 * (f2 + 1))
                         : d.doubletons != 0 ? part * f1 * f1 / (2 * f2)
                                             : part * f1 * (f1 - 1) / 2;
  estimate.taxa = taxa + missing;
  const double variance = classic                             ? classic_variance(f1, f2, estimate.taxa, part)
                          : form == Chao1Form::kBiasCorrected ? delta_variance(taxa, f1, f2, estimate.taxa)
                                                              : two_case_variance(f1, f2, estimate.taxa);
  estimate.standard_error = std::sqrt(std::max(variance, 0.0));
  if (missing > 0) {
    const double spread = std::exp(kNormal975 * std::sqrt(std::log1p(variance / (missing * missing))));
    estimate.low = taxa + missing / spread;
    estimate.high = taxa + missing * spread;
  }
  return estimate;
}

std::optional<double> coverage(const Diversity& d) {
  if (d.animals < 2) return std::nullopt;
  if (d.singletons == 0) return 1.0;
  const double n = static_cast<double>(d.animals);
  const double f1 = static_cast<double>(d.singletons), f2 = static_cast<double>(d.doubletons);
  return 1 - f1 / n * ((n - 1) * f1 / ((n - 1) * f1 + 2 * f2));
}

}  // namespace brookmark::core
