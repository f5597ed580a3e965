// Why: published tables travel inside the program, so that it works offline and nothing can be mislaid.
// Use: std::string_view csv = reference_file("taxa.csv");  std::string from = citation("hilsenhoff-1988");
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace brookmark::core {

// How a value was established: read in the publication, in a text quoting it, or recalled.
enum class Confirmed : std::uint8_t { kDocument, kSecondary, kMemory };
const char* confirmed_name(Confirmed confirmed);                  // "document", "secondary", "memory"
std::optional<Confirmed> parse_confirmed(std::string_view word);  // those three words only

// `name` is a path below core/reference, "methods/bmwp-a.method.csv". Throws Error(kNotFound).
// All of them: embedded_reference() in base/embedded.hpp.
std::string_view reference_file(std::string_view name);

// The citation behind a source_key of any reference table (sources.csv). Throws Error(kNotFound).
std::string citation(std::string_view source_key);

// "R" in scheme "rare-common-dominant" is 1..9. Schemes are in abundance_schemes.csv.
struct AbundanceClass {
  std::string scheme, code, meaning;
  long long min_count = 1;
  long long max_count = -1;  // -1: open
  std::string source_key;
};
// In the order of the file: scheme by scheme, smallest class first.
std::span<const AbundanceClass> abundance_classes();

// Where a taxon of the checklist lives as a rule, in kinds_of_water.csv: common practice, recalled. Exceptions occur, so it
// may raise a question and decides nothing.
struct KindOfWater {
  std::string taxon;    // accepted name; holds for everything within it
  bool running = true;  // else still water
  std::string source_key, note;
};
std::span<const KindOfWater> kinds_of_water();

}  // namespace brookmark::core
