// Why: a method is data: a published table, a formula kind, class bands and a scope, each with its source and
// with how well it was confirmed. No method is code. The file form is described in
// core/reference/methods/README.md.
// Use: const Method* m = find_method("family-biotic-index");
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/issue.hpp"
#include "core/reference/reference.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

// A surveyor's own method may name the key "own": its source_detail is then the full citation.
inline constexpr std::string_view kOwnSourceKey = "own";
// Citation and place in it, as one text: "Hilsenhoff 1988 ..., Table 1". Throws Error(kNotFound) for an
// unknown key.
std::string source_text(std::string_view source_key, std::string_view source_detail);

enum class FormulaKind : std::uint8_t {
  kSumOfScores,       // sum of the scores of the scoring units present, each once
  kMeanScore,         // that sum divided by the number of scoring units present
  kWeightedMean,      // sum(count * score) / sum(count); needs counts
  kGroupCodeWeights,  // sum over units of the weight of (group, abundance code); needs counts or classes
  kGroupWeights,      // sum over groups of weight * number of units present
  kMeanCodeWeight,    // that of kGroupCodeWeights divided by the number of units present
  kRichness,          // number of distinct taxa inside a named set, at a stated level
  kTaxaShare,         // per cent of the distinct taxa that lie inside a named set
  kAnimalShare,       // per cent of the animals that lie inside a named set; needs counts
  kDominance,         // per cent of the animals that are of the commonest taxon; needs counts
};
// Whether the formula speaks of a set of taxa rather than of a score table.
bool uses_set(FormulaKind formula);

// One line of the score table: a scoring unit. Composite families share one unit through `members`.
struct ScoreUnit {
  std::string name;                  // as the source prints it
  std::vector<std::string> members;  // accepted names of the checklist; a taxon scores if it or a parent is a
                                     // member; the nearest member up the tree decides
  std::vector<std::string> except;   // accepted names below a member that do not belong
  std::optional<LifeStage> stage;    // only records of this stage (or of unknown stage)
  double score = 0;
  std::string group;  // for the group formulas; a line without one is a group of its own, called as the line
  std::string source_key, source_detail, note;
  Confirmed confirmed = Confirmed::kMemory;
  // How it was established that members other than `name` itself belong here; empty: like the line.
  std::optional<Confirmed> members_confirmed;
};

struct GroupWeight {
  std::string group, code;  // code empty for kGroupWeights
  double weight = 0;
  std::string source_key, source_detail;
  Confirmed confirmed = Confirmed::kMemory;
};

// One class of one metric. A value belongs to the first band (best first) whose limits hold after rounding.
struct ClassBand {
  std::string name;                    // the published name
  int rank = 0;                        // 1 = best
  std::optional<double> lower, upper;  // both inclusive unless *_open
  bool lower_open = false, upper_open = false;
  std::string source_key, source_detail;
  Confirmed confirmed = Confirmed::kMemory;
};

struct Metric {
  std::string id, title, unit;
  FormulaKind formula = FormulaKind::kSumOfScores;
  std::optional<int> decimals;  // rounding before banding, as the source prints its limits
  bool higher_is_better = true;
  std::vector<ClassBand> bands;  // empty: the metric has no classes; best first
  // Formulas over a set only. A part of a set is an accepted name, or "trait:" and a trait of traits.csv.
  std::vector<std::string> set;   // empty = every taxon
  std::vector<std::string> base;  // shares only: what the share is of; empty = every taxon
  std::optional<Rank> level;      // distinct taxa at this rank; empty = as named, a coarser name counts only
                                  // when nothing finer under it is in the sample
  int table_decimals = 0;         // the most that a number which the value is made of is printed with
};

// How many decimals a value of the metric is shown with: a sum as many as the numbers it adds up, a mean
// three, a share of 100 two, a richness none; never fewer than its bands are rounded to.
int shown_decimals(const Metric& metric);

// One line of the descriptor with its own source, as written: "region", "United Kingdom", "fwr-handbook" ...
struct MethodStatement {
  std::string key, value, source_key, source_detail;  // source_key empty: a line that claims nothing
  std::optional<Confirmed> confirmed;                 // with a source_key
};

struct Method {
  std::string id, title, summary, region;
  std::string source_key, source_detail;
  Confirmed confirmed = Confirmed::kMemory;   // the weakest of all its parts
  Flow flow = Flow::kUncertain;               // kUncertain: any water
  std::optional<Rank> level;                  // the rank its table speaks of
  std::optional<std::int64_t> minimum_count;  // animals sorted that the table scores; all, without a table
  std::string minimum_count_source_key, minimum_count_detail;
  Confirmed minimum_count_confirmed = Confirmed::kMemory;
  std::vector<Season> excluded_seasons;
  std::string abundance_scheme;  // for kGroupCodeWeights: scheme of reference/abundance_schemes.csv
  std::vector<Metric> metrics;   // at least one; the first is the one painted by default
  std::vector<ScoreUnit> units;
  std::vector<GroupWeight> weights;
  std::vector<MethodStatement> statements;  // the descriptor, in the order of the file

  const Metric* find_metric(std::string_view metric_id) const;
};

// The class of a value, after the metric's rounding; nothing where the metric has no bands or none fits.
// A half rounds away from zero, read as the decimal text would be: 3.755 to two decimals is 3.76.
const ClassBand* class_of(const Metric& metric, double value);
double round_for_bands(const Metric& metric, double value);
// The published name of the class with this rank (1 = best); empty for 0 and for a rank that the metric does not have.
std::string_view class_name(const Metric& metric, int rank);

// The methods that come with the program, in a stable order; the first is the default.
std::span<const Method> shipped_methods();
const Method* find_method(std::string_view id);
// A surveyor's own method: a descriptor NAME.method.csv with its tables beside it. Throws Error(kBadInput)
// naming file, line and column for an unknown key, a taxon the checklist lacks, overlapping bands or a
// missing source.
Method load_method(const std::filesystem::path& descriptor);
// Every fault of a surveyor's own method at once, by file and line; empty where load_method takes it. What cannot be judged
// because of another fault is left for the next check. Throws Error for a descriptor that is not there, is not called
// NAME.method.csv, or bears a shipped method's name.
Issues check_method_file(const std::filesystem::path& descriptor);

}  // namespace brookmark::core
