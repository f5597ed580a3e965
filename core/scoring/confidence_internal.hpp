// Why: one sample's confidence, worked out in one place for a table of all samples and for one sample's draws alone.
#pragma once

#include <cstdint>
#include <map>
#include <span>
#include <vector>

#include "core/scoring/confidence.hpp"
#include "core/scoring/redraw_internal.hpp"
#include "core/scoring/replicates_internal.hpp"
#include "core/scoring/score_internal.hpp"

namespace brookmark::core {

inline constexpr std::uint32_t bit(ConfidenceNote note) {
  return static_cast<std::uint32_t>(note);
}

// What a metric's value can be: a mean lies within the numbers that it is the mean of, and so on. Infinite where the
// formula sets no limit.
struct ValueLimits {
  double least, most;
};
ValueLimits value_limits(const CompiledMethod& compiled, std::size_t metric);

// Whether a taxon counts by being there and not by how many of it there are.
bool counts_taxa_once(FormulaKind formula);
// A sum of numbers of a table, or a number of taxa: it moves in whole steps, and draws that lose taxa pull it one way.
bool adds_up(FormulaKind formula);
// Whether with fewer taxa it can only be less. The weight of an abundance code may be more for fewer animals.
// `least`: the least value that the formula can have.
bool only_loses(FormulaKind formula, double least);

// The value below which a share of the sorted values lies, between neighbours in proportion (Hyndman & Fan 1996, type
// 7); values is partly sorted. Not empty, 0 <= share <= 1.
double quantile(std::span<double> values, double share);

// Works on one sample after another; holds the memory of a thread.
class ConfidenceRun {
 public:
  ConfidenceRun(const Snapshot& snapshot, const CompiledMethod& compiled, const Replicates& replicates,
                const ConfidenceOptions& options);

  // What is known of the sample under each metric of the method.
  std::vector<SampleConfidence> run(std::size_t sample);
  // Every draw of the last run's sample, as draw_values gives it.
  std::vector<double> draws(std::size_t metric) const;
  // The same with the mean of draws from counts put to the sample's value, as draws_of gives it.
  std::vector<double> centred_draws(std::size_t metric) const;

 private:
  struct Draws {
    bool wanted = false;         // neither replicates nor a missing value settle it
    std::vector<double> values;  // NaN: no value
    ReplicateSpread spread{{}};  // of replicates, when they are the basis
  };

  void take_replicates(std::size_t metric);
  void draw(SampleRedraw& again);
  void settle_basis(const SampleRedraw& again);
  void sum_up(std::size_t metric, const SampleRedraw& again);
  void set_interval(std::size_t metric, double low, double high);
  void count_classes(std::size_t metric, std::span<const double> values);
  void temper_classes(std::size_t metric);
  const std::vector<double>& t_points(int degrees);

  const Snapshot& snapshot_;
  const CompiledMethod& compiled_;
  const Replicates& replicates_;
  const ConfidenceOptions& options_;
  SampleScorer scorer_;
  std::vector<ValueLimits> limits_;
  std::map<int, std::vector<double>> t_points_;  // of evenly spread probabilities, by degrees of freedom

  std::size_t sample_ = 0;
  std::vector<SampleScore> scores_;
  std::vector<Draws> draws_;
  std::vector<SampleConfidence> found_;
  std::vector<double> finite_;
};

}  // namespace brookmark::core
