// Why: first it is decided what of each row may leave, then the rows that do are copied. This is the deciding.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/sharing/free_text_internal.hpp"
#include "core/sharing/sharing.hpp"

namespace brookmark::core {

struct SiteFate {
  Sharing sharing = Sharing::kOpen;
  double cell_m = 0;             // when blurred
  std::optional<BlurCell> cell;  // of any hidden site with a position: what its neighbourhood is judged by
  std::string why;               // when hidden
};

struct Fates {
  std::vector<SiteFate> sites;
  std::vector<bool> visits, samples, records, measurements, waters, catchments;  // true: leaves
  PhraseList hidden_sites;                                                       // number: the site
  PhraseList hidden_names;
  std::vector<std::string> agreed;  // folded; sorted; empty where nobody is to be named
  std::vector<HiddenItem> told;
  std::vector<std::string> visits_outside;  // keys of those that would leave but for their day
};

Fates decide_fates(const Snapshot& snapshot, const SharingRules& rules);

}  // namespace brookmark::core
