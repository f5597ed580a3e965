#include <algorithm>
#include <map>
#include <set>

#include "core/analysis/check_internal.hpp"
#include "core/base/text.hpp"

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

void check_lone_reaches(Check& check) {
  const std::vector<Reach>& reaches = check.survey.reaches;
  if (reaches.size() < 2) return;
  const RiverGraph& graph = check.network.graph();
  const auto edges = check.network.edges();
  std::vector<bool> joined(reaches.size(), false);
  std::vector<bool> drawn(reaches.size(), false);
  std::vector<std::set<std::size_t>> at_node(graph.node_count());
  for (std::size_t e = 0; e < edges.size(); ++e) {
    drawn[edges[e].reach.value()] = true;
    at_node[graph.edges()[e].from].insert(edges[e].reach.value());
    at_node[graph.edges()[e].to].insert(edges[e].reach.value());
  }
  for (const auto& meeting : at_node)
    if (meeting.size() > 1)
      for (const std::size_t reach : meeting) joined[reach] = true;
  for (std::size_t i = 0; i < reaches.size(); ++i)
    if (drawn[i] && !joined[i])
      check.find(Severity::kWarning, "reach joined to nothing", check.reach(i),
                 "No other reach meets this one within " +
                     format_number(check.network.options().join_tolerance_m) +
                     " m; draw it up to its neighbour if they meet.");
}

}  // namespace

std::vector<std::size_t> drawn_as(const std::vector<Reach>& reaches) {
  std::map<Line, std::size_t> first;
  std::vector<std::size_t> as(reaches.size());
  for (std::size_t i = 0; i < reaches.size(); ++i) {
    as[i] = i;
    const Line& line = reaches[i].line;
    if (line.empty() || !std::all_of(line.begin(), line.end(), is_valid)) continue;
    const Line turned(line.rbegin(), line.rend());
    as[i] = first.emplace(std::min(line, turned), i).first->second;
  }
  return as;
}

void check_channels(Check& check) {
  if (check.network.edges().empty()) return;
  check_snaps(check);
  check_lone_reaches(check);
  const std::vector<std::size_t> as = drawn_as(check.survey.reaches);
  for (std::size_t i = 0; i < as.size(); ++i) {
    if (as[i] == i) continue;
    const bool same_way = check.survey.reaches[i].line == check.survey.reaches[as[i]].line;
    check.find(Severity::kWarning, "reach drawn twice", check.reach(i),
               "Its line is that of " + check.reach(as[i]) + ", point for point" +
                   (same_way ? "" : ", drawn the other way round") + ". Keep one of them.");
  }
}

}  // namespace brookmark::core
