// Why: a sample misses kinds. What was found only once or twice tells how many more there may be, and what part
// of the community was seen at all.
// Use: RichnessEstimate e = chao1(diversity, Chao1Form::kBiasCorrected);  e.taxa, e.standard_error
#pragma once

#include <optional>
#include <string_view>

#include "core/scoring/diversity.hpp"

namespace brookmark::core {

// f1, f2: taxa with one animal, with two; S: taxa found; n: animals. The estimate is a lower bound of the number of
// kinds there are (Chao 1984, Scand. J. Stat. 11, p. 265).
enum class Chao1Form : std::uint8_t {
  // S + f1 (f1 - 1) / (2 (f2 + 1)). Standard error by the delta method over all groups of counts, those groups
  // varying as parts of the estimated whole: the default.
  kBiasCorrected,
  // The same estimate; standard error with f1 and f2 varying by themselves (Chao 1987, Biometrics 43, p. 783, in the
  // bias-corrected form), and another one where f2 = 0, which equals the one above.
  kBiasCorrectedTwoCase,
  // S + (n - 1)/n * f1^2 / (2 f2), or with f1 (f1 - 1) / 2 where f2 = 0; standard error of Chao 1987.
  kClassic,
};
const char* chao1_form_name(Chao1Form form);  // "bias-corrected", "bias-corrected-two-case", "classic"
std::optional<Chao1Form> parse_chao1_form(std::string_view text);
// What the standard error is made of, for people: "delta method over all groups of counts" ...
const char* chao1_error_words(Chao1Form form);

struct RichnessEstimate {
  double taxa = 0;
  double standard_error = 0;
  // 95 %, for the logarithm of what is missing (Chao 1987), so that it never falls below what was found. Nothing
  // where no taxon is estimated to be missing: the formula has no value there.
  std::optional<double> low, high;
};

// For a sample without animals: 0, which says nothing; ask Diversity::animals first.
RichnessEstimate chao1(const Diversity& d, Chao1Form form);

// The part of the community's animals that belongs to the taxa found, 0..1:
// 1 - f1/n * (n - 1) f1 / ((n - 1) f1 + 2 f2) (Chao & Jost 2012, Ecology 93, p. 2533, equation 4a). Where f2 = 0 that
// is 1 - f1/n. Nothing for fewer than two animals.
std::optional<double> coverage(const Diversity& d);

}  // namespace brookmark::core
