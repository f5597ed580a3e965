// A site between is still good where quality does not fall from the upper end down to it, and bad already where it does not fall from it
// down to the lower end, each by the newest pair of samples that can be compared. Where the two ends differ by class, one class with an
// end is enough: a few points within a class are no fall to look for. Of what is neither nothing is concluded.
#include <algorithm>

#include "core/design/sites_between_internal.hpp"

namespace brookmark::core {
namespace {

class Between {
 public:
  Between(const FallSource& source, const FallToNarrow& task)
      : source_(source),
        whole_(task.fall),
        classes_differ_(rank_up(whole_) > 0 && rank_down(whole_) > rank_up(whole_)) {
    for (const Drop& step : task.steps)
      for (const SiteIndex site : {step.up, step.down})
        if (site != whole_.up && site != whole_.down &&
            std::find(sites_.begin(), sites_.end(), site) == sites_.end())
          sites_.push_back(site);
  }

  // Uppermost first.
  const std::vector<SiteIndex>& sites() const { return sites_; }
  // Nothing where no two samples can be compared.
  std::optional<bool> is_like_above(SiteIndex site) const { return does_not_fall(between(whole_.up, site)); }
  std::optional<bool> is_like_below(SiteIndex site) const {
    return does_not_fall(between(site, whole_.down));
  }
  std::optional<Drop> between(SiteIndex up, SiteIndex down) const {
    for (Drop& drop : find_drops(source_.snapshot, source_.scores, source_.metric, source_.network,
                                 source_.period, {.only = {up, down}}))
      if (drop.up == up && drop.down == down) return std::move(drop);
    return std::nullopt;
  }
  std::string code(SiteIndex site) const { return std::string(source_.snapshot.sites.code[site.value()]); }

 private:
  // 0: no class. Higher is worse.
  static int rank_up(const Drop& drop) { return drop.newest() == nullptr ? 0 : drop.newest()->rank_up; }
  static int rank_down(const Drop& drop) { return drop.newest() == nullptr ? 0 : drop.newest()->rank_down; }

  std::optional<bool> does_not_fall(const std::optional<Drop>& drop) const {
    if (!drop || drop->pairs.empty()) return std::nullopt;
    if (!drop->is_worse()) return true;
    return classes_differ_ && rank_up(*drop) > 0 && rank_up(*drop) == rank_down(*drop);
  }

  const FallSource& source_;
  const Drop& whole_;
  bool classes_differ_;
  std::vector<SiteIndex> sites_;
};

}  // namespace

FallToNarrow by_sites_between(const FallSource& source, FallToNarrow task) {
  const Between between(source, task);
  SiteIndex good, bad;  // without value: no such site
  for (const SiteIndex site : between.sites()) {
    const bool above = between.is_like_above(site).value_or(false);
    const bool below = between.is_like_below(site).value_or(false);
    if (above == below) continue;  // neither, or both: two pairs of samples that contradict each other
    if (above) {
      good = site;
      bad = {};  // it recovered from what lies further up
    } else if (!bad.has_value()) {
      bad = site;
    }
  }
  if (!good.has_value() && !bad.has_value()) return task;
  const std::string up = between.code(task.fall.up), down = between.code(task.fall.down);
  auto left = between.between(good.has_value() ? good : task.fall.up, bad.has_value() ? bad : task.fall.down);
  if (!left) return task;
  std::string words;
  if (good.has_value())
    words = between.code(good) + ", between " + up + " and " + down + ", is as good as " + up +
            ", so the fall lies below it";
  if (bad.has_value())
    words += (good.has_value() ? "; " + between.code(bad)
                               : between.code(bad) + ", between " + up + " and " + down + ",") +
             " is as bad as " + down + " already, so the fall lies above it";
  task.asked = std::move(task.fall);
  task.fall = std::move(*left);
  task.evidence = words + ": " + between.code(task.fall.up) + " to " + between.code(task.fall.down) +
                  " is left to narrow down";
  return task;
}

}  // namespace brookmark::core
