// Where the index falls, on a large invented network: one pass for all sites, beside a search from each site.
#include <benchmark/benchmark.h>

#include <cstdint>
#include <random>
#include <vector>

#include "core/analysis/drops.hpp"
#include "core/analysis/reach_assessment.hpp"

namespace core = brookmark::core;

namespace {

constexpr std::size_t kReaches = 100'000, kSites = 50'000, kOutfalls = 500;

// A tree drawn on a plane: each reach, some 100 m long, ends where an earlier one begins; sites stand half way down
// reaches chosen at random, each with samples in the spring of four years.
struct Survey {
  core::Snapshot snapshot;
  core::ChannelNetwork network;
  core::ScoreTable scores;
};

core::Snapshot invent() {
  std::mt19937 random(7);
  core::Snapshot s;
  std::vector<core::LonLat> head;
  std::uniform_real_distribution<double> bend(-0.0004, 0.0004);
  // Rows of reaches far enough apart that no end meets a line by chance.
  for (std::size_t i = 0; i < kReaches; ++i) {
    const std::size_t row = i / 300, column = i % 300;
    const core::LonLat from{-40 + 0.01 * static_cast<double>(row),
                            40 + 0.001 * static_cast<double>(column + 1)};
    core::Reach reach;
    if (column == 0)
      reach.line = {from, row == 0 ? core::LonLat{-40, 40} : core::LonLat{from.lon - 0.01, 40.001}};
    else
      reach.line = {from, {from.lon + 0.25 * bend(random), from.lat - 0.0005}, head.back()};
    head.push_back(from);
    s.reaches.push_back(std::move(reach));
  }
  std::vector<std::size_t> order(kReaches);
  for (std::size_t i = 0; i < kReaches; ++i) order[i] = i;
  std::shuffle(order.begin(), order.end(), random);
  order.resize(kSites);
  const auto add = [](core::TextColumn& column) { column.append(""); };
  for (std::size_t i = 0; i < kSites; ++i) {
    const core::Line& line = s.reaches[order[i]].line;
    const core::LonLat a = line[0], b = line[1];
    auto& sites = s.sites;
    sites.code.append("S" + std::to_string(i));
    for (core::TextColumn* c :
         {&sites.key, &sites.name, &sites.water, &sites.habitat, &sites.note, &sites.type})
      add(*c);
    sites.reference.push_back(false);
    sites.kind.push_back(core::WaterKind::kStream);
    sites.status.push_back(core::SiteStatus::kActive);
    sites.position.push_back({(a.lon + b.lon) / 2, (a.lat + b.lat) / 2});
    sites.accuracy_m.emplace_back();
    sites.raw.emplace_back();
    for (int year = 2020; year < 2024; ++year) {
      auto& samples = s.samples;
      for (core::TextColumn* c : {&samples.key, &samples.code}) add(*c);
      samples.protocol.append("kick");
      samples.visit.emplace_back(samples.visit.size());
      samples.site.emplace_back(i);
      samples.date.push_back(core::make_date({year, 4, 1 + static_cast<int>(random() % 28)}));
      samples.kind.push_back(core::SampleKind::kRoutine);
      samples.subsample_share.emplace_back();
    }
  }
  s.samples.record_begin.assign(s.samples.size() + 1, 0);
  for (std::size_t i = 0; i < kOutfalls; ++i) {
    core::Outfall outfall;
    outfall.code = "O" + std::to_string(i);
    outfall.position = s.reaches[random() % kReaches].line[0];
    s.outfalls.push_back(outfall);
  }
  return s;
}

const Survey& survey() {
  static const Survey made = [] {
    Survey m;
    m.snapshot = invent();
    m.network = core::build_channels(m.snapshot.reaches);
    m.scores.method = &core::shipped_methods().front();
    std::mt19937 random(8);
    m.scores.metrics.resize(m.scores.method->metrics.size());
    for (auto& metric : m.scores.metrics)
      for (std::size_t i = 0; i < m.snapshot.samples.size(); ++i) {
        core::SampleScore score;
        score.has_value = true;
        score.value = static_cast<double>(random() % 150);
        if (const auto* band = core::class_of(m.scores.method->metrics[0], score.value))
          score.class_rank = static_cast<std::uint8_t>(band->rank);
        metric.push_back(score);
      }
    return m;
  }();
  return made;
}

void drops_of_all_sites(benchmark::State& state) {
  const Survey& s = survey();
  std::size_t found = 0;
  for (auto _ : state) {
    const auto drops = core::find_drops(s.snapshot, s.scores, 0, s.network, core::make_date({2023, 12, 31}));
    found = drops.size();
    benchmark::DoNotOptimize(drops.data());
  }
  state.counters["stretches"] = static_cast<double>(found);
}
BENCHMARK(drops_of_all_sites)->Unit(benchmark::kMillisecond);

void neighbours_alone(benchmark::State& state) {
  const Survey& s = survey();
  std::vector<core::ChannelPoint> points;
  for (const core::LonLat p : s.snapshot.sites.position) points.push_back(s.network.snap(p).value());
  for (auto _ : state) {
    const core::FlowNeighbours flow(s.network, points);
    benchmark::DoNotOptimize(flow.same_place(0));
  }
}
BENCHMARK(neighbours_alone)->Unit(benchmark::kMillisecond);

// What the pass replaces: all sites below one, nearest first, by a search from it. Of 50,000 such searches this
// times one.
void search_from_one_site(benchmark::State& state) {
  const Survey& s = survey();
  const core::ChannelPoint at = s.network.snap(s.snapshot.sites.position[0]).value();
  const std::uint32_t node = s.network.graph().edges()[at.edge].to;
  for (auto _ : state) {
    const auto reached = s.network.graph().from_node(node, core::Direction::kDownstream);
    benchmark::DoNotOptimize(reached.distance_m.data());
  }
}
BENCHMARK(search_from_one_site)->Unit(benchmark::kMillisecond);

void reaches_of_one_day(benchmark::State& state) {
  const Survey& s = survey();
  const auto nesting = core::nest_catchments(s.snapshot);
  const auto assessment = core::assess(s.snapshot, s.scores, 0, nesting, core::make_date({2023, 12, 31}));
  for (auto _ : state) {
    const auto reaches = core::assess_reaches(s.snapshot, assessment, s.network);
    benchmark::DoNotOptimize(reaches.pieces.data());
  }
}
BENCHMARK(reaches_of_one_day)->Unit(benchmark::kMillisecond);

}  // namespace
