#include <algorithm>
#include <exception>
#include <thread>
#include <tuple>

#include "core/network/channel_walk.hpp"

namespace brookmark::core {
namespace {

// Which places stand at each node and inside each edge.
class PlaceIndex {
 public:
  PlaceIndex(const ChannelNetwork& network, std::span<const ChannelPoint> places) {
    std::vector<std::pair<std::uint32_t, std::uint32_t>> nodes, edges;
    for (std::uint32_t p = 0; p < places.size(); ++p) {
      if (const auto node = node_at(network, places[p])) {
        nodes.emplace_back(*node, p);
      } else {
        edges.emplace_back(places[p].edge, p);
      }
    }
    fill(nodes, network.graph().node_count(), at_node_);
    fill(edges, network.graph().edges().size(), in_edge_);
  }
  std::span<const std::uint32_t> at_node(std::uint32_t node) const { return of(at_node_, node); }
  std::span<const std::uint32_t> in_edge(std::uint32_t edge) const { return of(in_edge_, edge); }

 private:
  struct Lists {
    std::vector<std::uint32_t> begin, places;
  };
  static void fill(const std::vector<std::pair<std::uint32_t, std::uint32_t>>& pairs, std::size_t owners,
                   Lists& lists) {
    lists.begin.assign(owners + 1, 0);
    for (const auto& [owner, place] : pairs) ++lists.begin[owner + 1];
    for (std::size_t i = 0; i < owners; ++i) lists.begin[i + 1] += lists.begin[i];
    std::vector<std::uint32_t> next(lists.begin.begin(), lists.begin.end() - 1);
    lists.places.resize(pairs.size());
    for (const auto& [owner, place] : pairs) lists.places[next[owner]++] = place;
  }
  static std::span<const std::uint32_t> of(const Lists& lists, std::uint32_t owner) {
    return std::span(lists.places).subspan(lists.begin[owner], lists.begin[owner + 1] - lists.begin[owner]);
  }
  Lists at_node_, in_edge_;
};

}  // namespace

std::vector<ChannelLink> channel_links(const ChannelNetwork& network, std::span<const ChannelPoint> from,
                                       std::span<const ChannelPoint> to, Direction direction, double max_m,
                                       unsigned threads) {
  const PlaceIndex index(network, to);
  const auto link_some = [&](std::size_t begin, std::size_t end, std::vector<ChannelLink>& links) {
    ChannelWalk walk(network);
    std::vector<std::uint32_t> met_at(to.size(), 0);  // the start (counted from 1) at which a place was met
    for (std::size_t f = begin; f < end; ++f) {
      const std::size_t first = links.size();
      const auto mark = static_cast<std::uint32_t>(f - begin + 1);
      const auto meet = [&](std::uint32_t place) {
        if (met_at[place] == mark) return;
        met_at[place] = mark;
        if (const auto distance_m = walk.distance_m(to[place]))
          links.push_back({static_cast<std::uint32_t>(f), place, *distance_m});
      };
      walk.start(from[f], direction, max_m);
      for (const std::uint32_t place : index.in_edge(from[f].edge)) meet(place);
      for (const std::uint32_t node : walk.nodes()) {
        for (const std::uint32_t place : index.at_node(node)) meet(place);
        walk.each_edge_from(node, [&](std::uint32_t edge) {
          for (const std::uint32_t place : index.in_edge(edge)) meet(place);
        });
      }
      std::sort(links.begin() + static_cast<std::ptrdiff_t>(first), links.end(),
                [](const ChannelLink& a, const ChannelLink& b) {
                  return std::tie(a.distance_m, a.to) < std::tie(b.distance_m, b.to);
                });
    }
  };
  // A walk's memory is as large as the network: a thread pays only where there are several starts.
  constexpr std::size_t kStartsPerThread = 4;
  const std::size_t wanted = threads != 0 ? threads : std::max(1U, std::thread::hardware_concurrency());
  const std::size_t count = std::clamp<std::size_t>(from.size() / kStartsPerThread, 1, wanted);
  std::vector<std::vector<ChannelLink>> parts(count);
  std::vector<std::exception_ptr> failures(count);
  const auto link_part = [&](std::size_t i) {
    try {
      link_some(from.size() * i / count, from.size() * (i + 1) / count, parts[i]);
    } catch (...) {
      failures[i] = std::current_exception();
    }
  };
  {
    std::vector<std::jthread> helpers;
    for (std::size_t i = 1; i < count; ++i) helpers.emplace_back(link_part, i);
    link_part(0);
  }  // joined
  for (const std::exception_ptr& failure : failures)
    if (failure) std::rethrow_exception(failure);
  std::vector<ChannelLink> links = std::move(parts[0]);
  for (std::size_t i = 1; i < count; ++i) links.insert(links.end(), parts[i].begin(), parts[i].end());
  return links;
}

}  // namespace brookmark::core
