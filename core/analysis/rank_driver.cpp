#include "core/analysis/rank_driver.hpp"

#include <algorithm>
#include <vector>

#include "core/analysis/clear_fall.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {
namespace {

class Driver {
 public:
  Driver(const RankedSurvey& survey, CatchmentIndex catchment)
      : s_(survey), catchment_(catchment), metric_(survey.assessment.metric_info()) {
    for (std::size_t i = 0; i < s_.assessment.sites.size() && i < s_.nesting.site_smallest.size(); ++i) {
      const SiteAssessment& site = s_.assessment.sites[i];
      if (lies_inside(i) && site.has_value && site.in_scope && (metric_.bands.empty() || site.class_rank > 0))
        worst_first_.emplace_back(i);
    }
    std::stable_sort(worst_first_.begin(), worst_first_.end(), [&](SiteIndex a, SiteIndex b) {
      const SiteAssessment &x = at(a), &y = at(b);
      if (x.class_rank != y.class_rank) return x.class_rank > y.class_rank;
      return metric_.higher_is_better ? x.value < y.value : x.value > y.value;
    });
  }

  std::string worst() const {
    const SiteIndex site = worst_first_.front();
    std::string words = code(site) + " is " + state_of(site) + " (" +
                        format_date(s_.snapshot.samples.date[at(site).sample.value()]) + ")";
    const Drop* unclear = nullptr;
    for (const Drop& drop : s_.drops) {
      const SamplePair* pair = drop.newest();
      if (drop.down != site || !drop.is_worse() || !pair->fall) continue;
      if (!is_clear_fall(s_.snapshot, *s_.assessment.method, s_.assessment.metric, *pair)) {
        if (unclear == nullptr) unclear = &drop;
        continue;
      }
      const std::string outfalls = outfalls_text(s_.snapshot, drop);
      return words + ": worse than " + code(drop.up) + " above it by " +
             format_fixed(*pair->fall, shown_decimals(metric_)) +
             (outfalls.empty() ? "" : ", with " + outfalls);
    }
    if (unclear != nullptr)
      words += ": " + std::string(kNotClear) + " from " + code(unclear->up) + " above it";
    return words;
  }

  std::string median() const {
    const SiteIndex site = s_.assessment.catchments[catchment_.value()].median_site;
    const std::size_t count = worst_first_.size();
    if (count == 1) return code(site) + ", " + state_of(site) + ", the only assessed site";
    std::string words = (count % 2 == 0 ? "the worse of the middle two of " : "the middle of ") +
                        std::to_string(count) + " assessed sites: " + code(site) + ", " + state_of(site);
    if (site != worst_first_.front())
      words += "; worst is " + code(worst_first_.front()) + ", " + state_of(worst_first_.front());
    return words;
  }

  std::string length() const {
    const auto& channel = s_.assessment.catchments[catchment_.value()].channel;
    if (!channel || channel->measured_m + channel->inferred_m <= 0)
      return "no channel in it is measured or inferred";
    std::string words = format_fixed((channel->measured_m + channel->inferred_m) / 1000, 2) + " of " +
                        format_fixed(channel->total_m() / 1000, 2) + " km of channel known";
    if (channel->middle_rank == 0) return words;
    double at_least_m = 0;
    std::vector<SiteIndex> by;
    for (const EdgePart& part : s_.inside.inside[catchment_.value()]) {
      auto piece = std::lower_bound(s_.reaches.pieces.begin(), s_.reaches.pieces.end(), part,
                                    [](const ReachPiece& p, const EdgePart& wanted) {
                                      return p.part.edge < wanted.edge ||
                                             (p.part.edge == wanted.edge && p.part.to_m <= wanted.from_m);
                                    });
      for (; piece != s_.reaches.pieces.end() && piece->part.edge == part.edge &&
             piece->part.from_m < part.to_m;
           ++piece) {
        if (piece->class_rank < channel->middle_rank) continue;
        at_least_m += std::min(piece->part.to_m, part.to_m) - std::max(piece->part.from_m, part.from_m);
        if (piece->site.has_value() && std::find(by.begin(), by.end(), piece->site) == by.end())
          by.push_back(piece->site);
      }
    }
    words += ", " + format_fixed(at_least_m / 1000, 2) + " km of it " +
             std::string(class_name(metric_, channel->middle_rank)) + " or worse";
    std::sort(by.begin(), by.end());
    std::vector<std::string> codes;
    for (std::size_t i = 0; i < by.size() && i < kMostNamed; ++i) codes.push_back(code(by[i]));
    if (by.size() > kMostNamed) codes.push_back(std::to_string(by.size() - kMostNamed) + " more");
    return words + (codes.empty() ? "" : ", by " + joined(codes, ", "));
  }

  bool empty() const { return worst_first_.empty(); }

 private:
  static constexpr std::size_t kMostNamed = 6;

  const SiteAssessment& at(SiteIndex site) const { return s_.assessment.sites[site.value()]; }
  std::string code(SiteIndex site) const { return std::string(s_.snapshot.sites.code[site.value()]); }
  std::string state_of(SiteIndex site) const {
    if (at(site).class_rank > 0) return std::string(class_name(metric_, at(site).class_rank));
    return "at " + format_fixed(at(site).value, shown_decimals(metric_));
  }
  bool lies_inside(std::size_t site) const {
    for (CatchmentIndex c = s_.nesting.site_smallest[site]; c.has_value(); c = s_.nesting.parent[c.value()])
      if (c == catchment_) return true;
    return false;
  }

  const RankedSurvey& s_;
  CatchmentIndex catchment_;
  const Metric& metric_;
  std::vector<SiteIndex> worst_first_;
};

}  // namespace

std::string rank_driver(const RankedSurvey& survey, CatchmentIndex catchment, CatchmentRule rule) {
  const Driver driver(survey, catchment);
  if (rule == CatchmentRule::kLength) return driver.length();
  if (driver.empty()) return "no site in it is assessed";
  return rule == CatchmentRule::kMedian ? driver.median() : driver.worst();
}

}  // namespace brookmark::core
