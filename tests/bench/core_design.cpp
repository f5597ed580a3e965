// Why: where to sample next is asked while somebody waits. A hundred spots on a country of 1,000,000 reaches, with sites, outfalls and
// roads; beside it the least that any answer must do: looking at every reach once.
#include <benchmark/benchmark.h>

#include <random>

#include "core/design/spread.hpp"
#include "tests/bench/lattice_rivers.hpp"

namespace {

namespace core = brookmark::core;

struct Country {
  core::Snapshot snapshot;
  core::ChannelNetwork network;
  core::CatchmentNesting nesting;

  explicit Country(std::uint32_t count) {
    snapshot.reaches = brookmark::bench::lattice_reaches(count);
    network = core::build_channels(snapshot.reaches);
    std::mt19937 random(7);
    const auto place = [&] { return snapshot.reaches[random() % snapshot.reaches.size()].line[5]; };
    for (int i = 0; i < 200; ++i) {
      core::Outfall outfall;
      outfall.key = outfall.code = "OUT-" + std::to_string(i);
      outfall.position = place();
      snapshot.outfalls.push_back(outfall);
    }
    for (int i = 0; i < 20; ++i) {
      const std::string code = "S" + std::to_string(i);
      for (core::TextColumn* column : {&snapshot.sites.key, &snapshot.sites.code, &snapshot.sites.name})
        column->append(code);
      for (core::TextColumn* column :
           {&snapshot.sites.water, &snapshot.sites.habitat, &snapshot.sites.note, &snapshot.sites.type})
        column->append("");
      snapshot.sites.kind.push_back(core::WaterKind::kStream);
      snapshot.sites.status.push_back(core::SiteStatus::kActive);
      snapshot.sites.reference.push_back(false);
      snapshot.sites.sharing.push_back(core::Sharing::kOpen);
      snapshot.sites.position.push_back(place());
      snapshot.sites.accuracy_m.emplace_back();
      snapshot.sites.raw.emplace_back();
    }
    for (int i = 0; i < 1000; ++i) {
      const core::LonLat at = place();
      snapshot.grounds.push_back(
          {"g", "", "", core::GroundKind::kRoad, core::Line{at, {at.lon + 0.02, at.lat + 0.02}}});
    }
    nesting = core::nest_catchments(snapshot);
  }
};

const Country& country() {
  static const Country made(1'000'000);
  return made;
}

void spread_100_on_1000000_reaches(benchmark::State& state) {
  const Country& c = country();
  const core::DesignSource source{c.snapshot, c.network, c.nesting, core::make_date({2025, 6, 1})};
  core::DesignOptions options;
  options.count = 100;
  std::size_t spots = 0;
  for (auto _ : state) {
    ++options.seed;
    const core::Suggestions found =
        core::suggest_spread(source, options, {core::Strata::kNone, state.range(0) != 0});
    if (found.list.size() != 100) state.SkipWithError("not 100 spots");
    spots = found.spots;
  }
  state.counters["spots"] = static_cast<double>(spots);
}
BENCHMARK(spread_100_on_1000000_reaches)
    ->ArgName("sites counted in")
    ->Arg(0)
    ->Arg(1)
    ->Unit(benchmark::kMillisecond);

// The floor: the middle of every reach brought to the plane, and nothing else.
void look_at_1000000_reaches(benchmark::State& state) {
  const Country& c = country();
  const core::LocalFrame frame(c.snapshot.centre().value());
  for (auto _ : state) {
    double sum = 0;
    for (std::uint32_t e = 0; e < c.network.edges().size(); ++e)
      sum += frame.to_plane(core::place_on_edge(c.network, e, c.network.graph().edges()[e].length_m / 2)).x;
    benchmark::DoNotOptimize(sum);
  }
}
BENCHMARK(look_at_1000000_reaches)->Unit(benchmark::kMillisecond);

}  // namespace
