#include "core/analysis/check_internal.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_review.hpp"

namespace brookmark::core {

namespace {

void check_snaps(Check& check) {
  const SiteColumns& sites = check.survey.sites;
  const ChannelOptions& options = check.network.options();
  const auto none_within = [](double limit_m) {
    return "No watercourse lies within " + format_number(limit_m) + " m; ";
  };
  const std::string off =
      none_within(options.max_snap_m) +
      "distances along the channel cannot be given for it. Check the position, or draw the missing "
      "watercourse.";
  for (std::size_t i = 0; i < sites.size(); ++i) {
    if (!is_placed(sites.position[i]) || flow_of(sites.kind[i]) == Flow::kStill) continue;
    const double limit_m = snap_limit_m(sites.kind[i], options);
    if (check.network.snap(sites.position[i], limit_m)) continue;
    if (!check.network.snap(sites.position[i]))
      check.find(Severity::kWarning, "site off every channel", check.site(i), off);
    else  // of a kind that nobody noted, and near a channel
      check.find(Severity::kNote, "site without a kind of water", check.site(i),
                 none_within(limit_m) + "a stream would be looked for within " +
                     format_number(options.max_snap_m) +
                     " m, but nobody noted what kind of water this site is on. Note it to have distances "
                     "along the channel.");
  }
  for (const Outfall& outfall : check.survey.outfalls)
    if (!check.network.snap(outfall.position))
      check.find(Severity::kWarning, "outfall off every channel", "outfall " + outfall.code, off);
}

}  // namespace

void check_channels(Check& check) {
  if (check.network.edges().empty()) return;
  check_snaps(check);
  const auto tell = [&](const ChannelFindings& findings) {
    for (const ChannelFinding& f : findings)
      check.find(f.severity, fault_name(f.fault), f.reach.has_value() ? check.reach(f.reach.value()) : "",
                 f.text);
  };
  tell(check.network.joins());
  tell(review_channels(check.survey.reaches, check.network,
                       [&](ReachIndex reach) { return check.reach(reach.value()); }));
}

}  // namespace brookmark::core
