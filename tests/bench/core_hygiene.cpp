// Going clean at scale: contacts through a long history of kit, and the order of many stops.
#include <benchmark/benchmark.h>

#include <cmath>
#include <string>

#include "core/base/random.hpp"
#include "core/hygiene/tracing.hpp"
#include "core/hygiene/visit_plan.hpp"

using namespace brookmark;

namespace {

core::Snapshot history(std::size_t uses, std::size_t waters, std::size_t items) {
  core::Random random(1, core::stream_of("bench, kit"));
  core::Snapshot s;
  for (std::size_t w = 0; w < waters; ++w) {
    const std::string code = "S" + std::to_string(w);
    for (core::TextColumn* column : {&s.sites.key, &s.sites.code, &s.sites.name, &s.sites.water})
      column->append(code);
    for (core::TextColumn* column : {&s.sites.habitat, &s.sites.note, &s.sites.type}) column->append("");
    s.sites.kind.push_back(core::WaterKind::kPond);
    s.sites.status.push_back(core::SiteStatus::kActive);
    s.sites.reference.push_back(false);
    s.sites.sharing.push_back(core::Sharing::kOpen);
    s.sites.position.push_back({-30, 45});
    s.sites.accuracy_m.emplace_back();
    s.sites.raw.emplace_back();
  }
  for (std::size_t k = 0; k < items; ++k) {
    core::Kit kit;
    kit.key = kit.code = "K" + std::to_string(k);
    s.kit.push_back(kit);
  }
  const auto when = [&] {
    return core::Moment{
        {static_cast<std::int32_t>(18000 + random.below(3650))}, static_cast<int>(random.below(1440)), 0};
  };
  for (std::size_t u = 0; u < uses; ++u) {
    core::KitUse use;
    use.kit_key = "K" + std::to_string(random.below(items));
    use.site_key = "S" + std::to_string(random.below(waters));
    use.when = when();
    s.kit_uses.push_back(use);
    if (random.below(4) != 0) continue;
    core::Cleaning cleaning;
    cleaning.kit_key = "K" + std::to_string(random.below(items));
    cleaning.finished = when();
    cleaning.agent = "Virkon S";
    cleaning.concentration_pct = random.below(2) == 0 ? 1 : 0.01;
    cleaning.contact_min = 10;
    s.cleanings.push_back(cleaning);
  }
  return s;
}

void trace(benchmark::State& state) {
  const auto uses = static_cast<std::size_t>(state.range(0));
  const core::Snapshot snapshot = history(uses, uses / 50, uses / 100);
  const core::SurveyWaters waters(snapshot);
  const core::KitHistory kit(snapshot, waters);
  core::TraceQuery query;
  query.origin = core::BodyIndex(0);
  query.target = core::find_target("ranavirus");
  std::size_t reached = 0;
  for (auto _ : state) reached = core::trace_contacts(snapshot, waters, kit, query).size();
  state.counters["waters_reached"] = static_cast<double>(reached);
}
BENCHMARK(trace)->Arg(1'000)->Arg(10'000)->Arg(100'000)->Unit(benchmark::kMillisecond);

// One item in and out of the same two waters, never cleaned: the history that costs most if every pair is looked at.
void trace_one_item(benchmark::State& state) {
  const core::Snapshot snapshot = history(static_cast<std::size_t>(state.range(0)), 2, 1);
  const core::SurveyWaters waters(snapshot);
  const core::KitHistory kit(snapshot, waters);
  core::TraceQuery query;
  query.origin = core::BodyIndex(0);
  for (auto _ : state) benchmark::DoNotOptimize(core::trace_contacts(snapshot, waters, kit, query));
}
BENCHMARK(trace_one_item)->Arg(100'000)->Unit(benchmark::kMillisecond);

// The history itself, put in order.
void kit_history(benchmark::State& state) {
  const core::Snapshot snapshot = history(100'000, 2'000, 1'000);
  const core::SurveyWaters waters(snapshot);
  for (auto _ : state) benchmark::DoNotOptimize(core::KitHistory(snapshot, waters));
}
BENCHMARK(kit_history)->Unit(benchmark::kMillisecond);

core::OrderProblem round_of(std::size_t stops, std::uint64_t seed, bool rules) {
  core::Random random(seed, core::stream_of("bench, round"));
  std::vector<std::pair<double, double>> spots;
  for (std::size_t i = 0; i < stops; ++i)
    spots.emplace_back(random.uniform() * 10'000, random.uniform() * 10'000);
  core::OrderProblem problem(stops);
  for (std::size_t a = 0; a < stops; ++a) {
    problem.set_group(a, static_cast<std::uint32_t>(a % 12));
    for (std::size_t b = a + 1; b < stops; ++b)
      problem.set_way(a, b, std::hypot(spots[a].first - spots[b].first, spots[a].second - spots[b].second));
  }
  if (rules)
    // Three streams of five sites each that are gone down, and six suspected stops at the end.
    for (std::size_t s = 0; s < 3; ++s)
      for (std::size_t i = 0; i + 1 < 5; ++i) problem.must_precede(s * 5 + i, s * 5 + i + 1);
  if (rules)
    for (std::size_t late = stops - 6; late < stops; ++late)
      for (std::size_t early = 0; early < stops - 6; ++early) problem.must_precede(early, late);
  return problem;
}

void order(benchmark::State& state) {
  const auto stops = static_cast<std::size_t>(state.range(0));
  const core::OrderProblem problem = round_of(stops, 7, state.range(1) != 0);
  double length = 0;
  for (auto _ : state) length = core::searched_order(problem)->length_m;
  state.counters["km"] = length / 1000;
}
BENCHMARK(order)->Args({60, 0})->Args({60, 1})->Args({200, 1})->Unit(benchmark::kMillisecond)->Iterations(1);

// How far above the best known: the best of runs ten times as long, with three seeds.
void order_against_best_known(benchmark::State& state) {
  double worst = 0;
  for (auto _ : state)
    for (const std::uint64_t seed : {1, 2, 3, 4})
      for (const bool rules : {false, true}) {
        const core::OrderProblem problem = round_of(60, seed, rules);
        const double ours = core::searched_order(problem)->length_m;
        double best = ours;
        for (const std::uint64_t again : {11, 12, 13})
          best = std::min(best, core::searched_order(problem, {1'000'000'000, again})->length_m);
        worst = std::max(worst, ours / best - 1);
      }
  state.counters["per_cent_above"] = worst * 100;
}
BENCHMARK(order_against_best_known)->Unit(benchmark::kMillisecond)->Iterations(1);

void exact(benchmark::State& state) {
  const core::OrderProblem problem = round_of(12, 7, false);
  for (auto _ : state) benchmark::DoNotOptimize(core::exact_order(problem));
}
BENCHMARK(exact)->Unit(benchmark::kMillisecond);

// A whole day's plan: sites on four streams of fifteen each, one set of kit that is cleaned on the way.
void plan(benchmark::State& state) {
  const auto stops = static_cast<std::size_t>(state.range(0));
  core::Snapshot s = history(0, stops, 0);
  core::Random random(3, core::stream_of("bench, plan"));
  const core::LocalFrame frame({-30, 45});
  s.sites.water = {};
  for (std::size_t i = 0; i < stops; ++i) {
    const std::size_t stream = i / 15;
    s.sites.water.append("Brook " + std::to_string(stream));
    s.sites.kind[i] = core::WaterKind::kStream;
    s.sites.position[i] = frame.to_lonlat(
        {static_cast<double>(i % 15) * 400 + random.uniform() * 100, static_cast<double>(stream) * 2000});
  }
  for (std::size_t stream = 0; stream * 15 < stops; ++stream) {
    core::Reach reach;
    for (int x = 0; x <= 65; ++x)
      reach.line.push_back(frame.to_lonlat({x * 100.0, static_cast<double>(stream) * 2000}));
    s.reaches.push_back(reach);
  }
  const core::ChannelNetwork channels = core::build_channels(s.reaches);
  core::PlanRequest request;
  for (std::size_t i = 0; i < stops; ++i) request.sites.emplace_back(i);
  request.day = {20000};
  request.clean_sets = 1;
  core::Cleaning cleaning;
  cleaning.agent = "Virkon S";
  cleaning.concentration_pct = 1;
  cleaning.contact_min = 10;
  request.on_the_way = cleaning;
  for (auto _ : state) {
    const core::SurveyWaters waters(s, &channels);
    const core::KitHistory kit(s, waters);
    benchmark::DoNotOptimize(core::plan_visits(s, waters, kit, request));
  }
}
BENCHMARK(plan)->Arg(12)->Arg(60)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
