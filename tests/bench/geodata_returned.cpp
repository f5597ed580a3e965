// What a file of 1,000,000 rows pays so that a partner's changes can be told when it comes back: the rows as they left, and
// checksums of what was worked out. Beside it the same layer written plainly, in the same run.
#include <benchmark/benchmark.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>

#include "core/store/sqlite.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/gpkg_parts_internal.hpp"
#include "geodata/vector_input.hpp"

namespace {

using namespace brookmark;           // NOLINT
using namespace brookmark::geodata;  // NOLINT

constexpr std::size_t kRows = 1'000'000;
constexpr const char* kUtc = "2024-06-01T12:00:00Z";

// As a layer of samples: six columns of its own, of a width as in the demo, and four that were worked out.
ExportTable million_samples() {
  using enum ColumnType;
  ExportTable table;
  table.name = "samples";
  table.columns = {{"uuid", kText, "", ColumnUse::kOwn},
                   {"code", kText, "", ColumnUse::kOwn},
                   {"visit_uuid", kText, "", ColumnUse::kOwn},
                   {"protocol", kText, "", ColumnUse::kOwn},
                   {"effort", kNumber, "", ColumnUse::kOwn},
                   {"note", kText, "", ColumnUse::kOwn},
                   {"site", kText},
                   {"date", kDate},
                   {"value", kNumber},
                   {"class_rank", kInteger}};
  table.rows = kRows;
  table.comes_back = true;
  table.row = [](std::size_t i) {
    const std::string number = std::to_string(1'000'000 + i);
    return ExportRow{
        {"0e4d5c6b-0000-4000-8000-00000" + number, "S" + number, "0e4d5c6b-0000-4000-9000-00000" + number,
         std::string("kick"), static_cast<double>(i % 50), std::string("sorted at home"),
         "Q" + number.substr(0, 5), core::Date{static_cast<std::int32_t>(19000 + i % 1500)},
         static_cast<double>(i % 140) / 2, static_cast<std::int64_t>(i % 5 + 1)},
        {}};
  };
  return table;
}

void keep_what_left_of_a_million_samples(benchmark::State& state) {
  start_geodata();
  std::string pattern = (std::filesystem::temp_directory_path() / "brookmark-bench-XXXXXX").string();
  const std::filesystem::path folder = mkdtemp(pattern.data());
  const std::vector<ExportTable> tables = {million_samples()};
  const auto seconds_since = [](std::chrono::steady_clock::time_point begin) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  };
  for (auto _ : state) {
    const auto begin = std::chrono::steady_clock::now();
    TargetFile target(folder / "a.gpkg", true);
    const ExportFrame frame("EPSG:4326", {}, folder / "a.gpkg");
    write_gpkg_layers(tables, frame, target);
    state.counters["plain_s"] = seconds_since(begin);
    state.counters["plain_MB"] = static_cast<double>(std::filesystem::file_size(target.temporary())) / 1e6;
    const core::Database database(target.temporary(), core::OpenMode::kReadWrite, 0);
    database.execute("PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF");
    core::Transaction transaction(database, core::Transaction::kWrite);
    const auto rows = std::chrono::steady_clock::now();
    add_handed_over(database, tables, frame, kUtc);
    state.counters["as_left_s"] = seconds_since(rows);
    const auto results = std::chrono::steady_clock::now();
    add_results(database, tables, kUtc);
    state.counters["results_s"] = seconds_since(results);
    transaction.commit();
    state.counters["with_both_MB"] =
        static_cast<double>(std::filesystem::file_size(target.temporary())) / 1e6;
  }
  std::filesystem::remove_all(folder);
}
BENCHMARK(keep_what_left_of_a_million_samples)->Iterations(1)->Unit(benchmark::kSecond)->UseRealTime();

}  // namespace
