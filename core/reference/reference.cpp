#include "core/reference/reference.hpp"

#include <map>
#include <vector>

#include "core/base/csv.hpp"
#include "core/base/embedded.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

constexpr const char* kSourcesFile = "sources.csv";
constexpr const char* kSchemesFile = "abundance_schemes.csv";
constexpr const char* kKindsFile = "kinds_of_water.csv";

std::size_t column(const Table& table, std::string_view name) {
  if (const auto found = table.find(name)) return *found;
  throw Error(ErrorCode::kBadInput, "the column \"" + std::string(name) + "\" is missing", table.file);
}

long long whole_number(const Table& table, const TableRow& row, std::size_t cell) {
  if (const auto value = parse_integer(row.cells[cell])) return *value;
  throw Error(ErrorCode::kBadInput,
              "\"" + row.cells[cell] + "\" in column \"" + table.columns[cell] + "\" is not a whole number",
              table.file + ", line " + std::to_string(row.line));
}

std::map<std::string, std::string, std::less<>> read_sources() {
  const Table table = read_csv(reference_file(kSourcesFile), kSourcesFile);
  const std::size_t key = column(table, "key");
  const std::size_t text = column(table, "citation");
  std::map<std::string, std::string, std::less<>> sources;
  for (const TableRow& row : table.rows) sources.emplace(row.cells[key], row.cells[text]);
  return sources;
}

std::vector<AbundanceClass> read_schemes() {
  const Table table = read_csv(reference_file(kSchemesFile), kSchemesFile);
  const std::size_t scheme = column(table, "scheme");
  const std::size_t code = column(table, "code");
  const std::size_t meaning = column(table, "meaning");
  const std::size_t least = column(table, "min_count");
  const std::size_t most = column(table, "max_count");
  const std::size_t source = column(table, "source_key");
  std::vector<AbundanceClass> classes;
  for (const TableRow& row : table.rows)
    classes.push_back({row.cells[scheme], row.cells[code], row.cells[meaning],
                       whole_number(table, row, least),
                       row.cells[most].empty() ? -1 : whole_number(table, row, most), row.cells[source]});
  return classes;
}

std::vector<KindOfWater> read_kinds_of_water() {
  const Table table = read_csv(reference_file(kKindsFile), kKindsFile);
  const std::size_t taxon = column(table, "taxon");
  const std::size_t water = column(table, "water");
  const std::size_t source = column(table, "source_key");
  const std::size_t note = column(table, "note");
  std::vector<KindOfWater> kinds;
  for (const TableRow& row : table.rows) {
    const std::string& word = row.cells[water];
    if (word != "running" && word != "still")
      throw Error(ErrorCode::kBadInput, "write running or still, not \"" + word + "\"",
                  table.file + ", line " + std::to_string(row.line));
    kinds.push_back({row.cells[taxon], word == "running", row.cells[source], row.cells[note]});
  }
  return kinds;
}

}  // namespace

const char* confirmed_name(Confirmed confirmed) {
  switch (confirmed) {
    case Confirmed::kDocument:
      return "document";
    case Confirmed::kSecondary:
      return "secondary";
    case Confirmed::kMemory:
      break;
  }
  return "memory";
}

std::optional<Confirmed> parse_confirmed(std::string_view word) {
  for (const Confirmed confirmed : {Confirmed::kDocument, Confirmed::kSecondary, Confirmed::kMemory})
    if (word == confirmed_name(confirmed)) return confirmed;
  return std::nullopt;
}

std::string_view reference_file(std::string_view name) {
  for (const EmbeddedText& file : embedded_reference())
    if (file.name == name) return file.text;
  throw Error(ErrorCode::kNotFound, "there is no reference table \"" + std::string(name) + "\"");
}

std::string citation(std::string_view source_key) {
  static const auto sources = read_sources();
  if (const auto found = sources.find(source_key); found != sources.end()) return found->second;
  throw Error(ErrorCode::kNotFound,
              "there is no source \"" + std::string(source_key) + "\"; add it to " + kSourcesFile);
}

std::span<const AbundanceClass> abundance_classes() {
  static const std::vector<AbundanceClass> classes = read_schemes();
  return classes;
}

std::span<const KindOfWater> kinds_of_water() {
  static const std::vector<KindOfWater> kinds = read_kinds_of_water();
  return kinds;
}

}  // namespace brookmark::core
