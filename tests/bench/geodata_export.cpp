// 1,000,000 sites with ten attributes to a GeoPackage with its spatial index, beside `ogr2ogr` copying that very layer, with
// and without its index, in the same run. Prints seconds of wall and of processor time: other work on the machine counts in
// the one and not in the other.
#include <benchmark/benchmark.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>

#include "geodata/export_writers_internal.hpp"
#include "geodata/vector_input.hpp"

namespace {

using namespace brookmark;           // NOLINT
using namespace brookmark::geodata;  // NOLINT

constexpr std::size_t kSites = 1'000'000;

// Places at random over half a degree, always the same.
core::LonLat place_of(std::size_t i) {
  std::uint64_t z = i * 0x9e3779b97f4a7c15U;
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
  return {-30 + static_cast<double>(z >> 40) / (1 << 24) * 0.5,
          50 + static_cast<double>(z & 0xFFFFFF) / (1 << 24) * 0.5};
}

ExportTable million_sites() {
  using enum ColumnType;
  ExportTable table;
  table.name = "sites";
  table.shape = TableShape::kPoint;
  table.columns = {{"uuid", kText},         {"code", kText},       {"name", kText},
                   {"water", kText},        {"water_kind", kText}, {"status", kText},
                   {"accuracy_m", kNumber}, {"value", kNumber},    {"class_rank", kInteger},
                   {"sample_date", kDate}};
  table.rows = kSites;
  table.row = [](std::size_t i) {
    const std::string number = std::to_string(1'000'000 + i);
    return ExportRow{
        {"0e4d5c6b-0000-4000-8000-00000" + number, "S" + number, "Site " + number,
         std::string("Invented brook"), std::string("stream"), std::string("active"),
         static_cast<double>(i % 50), static_cast<double>(i % 140) / 2, static_cast<std::int64_t>(i % 5 + 1),
         core::Date{static_cast<std::int32_t>(19000 + i % 1500)}},
        place_of(i)};
  };
  return table;
}

double processor_seconds(int who) {
  rusage use{};
  getrusage(who, &use);
  return static_cast<double>(use.ru_utime.tv_sec + use.ru_stime.tv_sec) +
         static_cast<double>(use.ru_utime.tv_usec + use.ru_stime.tv_usec) / 1e6;
}

const std::filesystem::path& folder() {
  static const std::filesystem::path made = [] {
    std::string pattern = (std::filesystem::temp_directory_path() / "brookmark-bench-XXXXXX").string();
    return std::filesystem::path(mkdtemp(pattern.data()));
  }();
  return made;
}

void export_a_million_sites(benchmark::State& state) {
  start_geodata();
  const std::vector<ExportTable> tables = {million_sites()};
  for (auto _ : state) {
    const double before = processor_seconds(RUSAGE_SELF);
    TargetFile target(folder() / "ours.gpkg", true);
    const ExportFrame frame("EPSG:4326", {}, folder() / "ours.gpkg");
    write_gpkg_layers(tables, frame, target);
    target.commit();
    state.counters["processor_s"] = processor_seconds(RUSAGE_SELF) - before;
  }
}
BENCHMARK(export_a_million_sites)->Iterations(1)->Unit(benchmark::kSecond)->UseRealTime();

void ogr2ogr_copies_it(benchmark::State& state) {
  const std::string index = state.range(0) == 0 ? " -lco SPATIAL_INDEX=NO" : "";
  const std::string command = "ogr2ogr -f GPKG" + index + " -lco FID=fid '" +
                              (folder() / "theirs.gpkg").string() + "' '" +
                              (folder() / "ours.gpkg").string() + "' sites";
  for (auto _ : state) {
    std::filesystem::remove(folder() / "theirs.gpkg");
    const double before = processor_seconds(RUSAGE_CHILDREN);
    if (std::system(command.c_str()) != 0) state.SkipWithError("ogr2ogr failed");
    sync();
    state.counters["processor_s"] = processor_seconds(RUSAGE_CHILDREN) - before;
  }
  std::filesystem::remove(folder() / "theirs.gpkg");
}
BENCHMARK(ogr2ogr_copies_it)->Arg(1)->Arg(0)->Iterations(1)->Unit(benchmark::kSecond)->UseRealTime();

}  // namespace
