#include <doctest/doctest.h>

#include <map>
#include <string>
#include <vector>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "core/network/river_graph.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::core::Direction;
using brookmark::core::GraphEdge;
using brookmark::core::kNoPath;
using brookmark::core::RiverGraph;
using brookmark::test::near;
using brookmark::test::reference;

namespace {

// The tables carry three decimals of lengths with three decimals: sums agree to far below the last digit
// printed.
constexpr double kThreeDecimals = 0.0005;
constexpr std::size_t kReferenceNodes = 1001;

std::vector<std::vector<std::string>> rows_of(const std::string& file,
                                              const std::vector<std::string>& columns) {
  const core::Table table = core::read_csv_file(reference("network/" + file));
  std::vector<std::size_t> at;
  for (const std::string& column : columns) {
    REQUIRE(table.find(column).has_value());
    at.push_back(*table.find(column));
  }
  std::vector<std::vector<std::string>> rows;
  for (const auto& row : table.rows) {
    rows.emplace_back();
    for (const std::size_t column : at) rows.back().push_back(row.cells[column]);
  }
  return rows;
}

double number(const std::string& text) {
  const auto value = core::parse_number(text);
  REQUIRE(value.has_value());
  return *value;
}

std::uint32_t node_of(const std::string& text) {
  return static_cast<std::uint32_t>(number(text));
}

struct ReferenceTree {
  RiverGraph graph;
  std::vector<std::uint8_t> outfalls;
};

ReferenceTree read_tree() {
  const auto rows = rows_of("net_1k.csv", {"node", "down_node", "length_m", "outfall"});
  std::vector<GraphEdge> edges;
  std::vector<std::uint8_t> outfalls(rows.size());
  for (const auto& row : rows) {
    if (!row[1].empty()) edges.push_back({node_of(row[0]), node_of(row[1]), number(row[2])});
    outfalls[node_of(row[0])] = row[3] == "1";
  }
  return {RiverGraph(static_cast<std::uint32_t>(rows.size()), edges), outfalls};
}

}  // namespace

TEST_CASE(
    "all nodes of the reference tree have the reference distances to the nearest outfall in three "
    "directions") {
  const ReferenceTree tree = read_tree();
  REQUIRE(tree.graph.node_count() == kReferenceNodes);
  REQUIRE(tree.graph.is_tree());
  const auto up = tree.graph.nearest(tree.outfalls, Direction::kUpstream);
  const auto down = tree.graph.nearest(tree.outfalls, Direction::kDownstream);
  const auto any = tree.graph.nearest(tree.outfalls, Direction::kAny);
  const auto rows = rows_of("ref_distance_1k.csv", {"node", "up_m", "down_m", "any_m"});
  REQUIRE(rows.size() == kReferenceNodes);
  const auto expected = [](const std::string& text) { return text == "-1.000" ? kNoPath : number(text); };
  for (const auto& row : rows) {
    const std::uint32_t node = node_of(row[0]);
    CAPTURE(node);
    CHECK(near(up[node], expected(row[1]), kThreeDecimals));
    CHECK(near(down[node], expected(row[2]), kThreeDecimals));
    CHECK(near(any[node], expected(row[3]), kThreeDecimals));
  }
}

TEST_CASE("a hundred pairs of the reference tree are as far apart along the channel as the reference says") {
  const ReferenceTree tree = read_tree();
  const auto rows = rows_of("pairs_1k.csv", {"from", "to", "distance_m"});
  REQUIRE(rows.size() == 100);
  for (const auto& row : rows) {
    const auto reached = tree.graph.from_node(node_of(row[0]), Direction::kAny);
    CAPTURE(row[0]);
    CAPTURE(row[1]);
    CHECK(near(reached.distance_m[node_of(row[1])], number(row[2]), kThreeDecimals));
  }
}

TEST_CASE("all pairs of stations on the Buech are as far apart along the stream as the reference says") {
  std::map<std::string, std::uint32_t> station;
  std::vector<GraphEdge> edges;
  for (const auto& row : rows_of("buech_stream_tree_edges.csv", {"from", "to", "length"})) {
    const auto from = station.emplace(row[0], static_cast<std::uint32_t>(station.size())).first->second;
    const auto to = station.emplace(row[1], static_cast<std::uint32_t>(station.size())).first->second;
    edges.push_back({from, to, number(row[2])});
  }
  const RiverGraph graph(static_cast<std::uint32_t>(station.size()), edges);
  // No loops and no braids, yet no tree of flow: the edge B8 to A9 leads away from the main stream in the
  // table.
  CHECK_FALSE(graph.is_tree());
  CHECK(graph.edges().size() == graph.node_count() - 1);
  const auto rows = rows_of("ref_buech_network_distance.csv", {"a", "b", "network"});
  REQUIRE(rows.size() == station.size() * (station.size() - 1) / 2);  // every pair once
  for (const auto& row : rows) {
    const auto reached = graph.from_node(station.at(row[0]), Direction::kAny);
    CAPTURE(row[0]);
    CAPTURE(row[1]);
    // The reference is printed to 12 significant digits, of numbers below 1,000.
    CHECK(near(reached.distance_m[station.at(row[1])], number(row[2]), 1e-9));
  }
}
