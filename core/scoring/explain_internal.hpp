// Why: a score table and a set of taxa tell different stories of a record; what both need to know of the sample
// stands here.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>

#include "core/scoring/score_internal.hpp"

namespace brookmark::core {

// The first word of a qualifier that says that the name may be wrong ("cf.", "?"), as written; empty where there is none.
std::string doubt_in(std::string_view qualifier);

// One sample, read and scored under one metric.
struct SampleStory {
  SampleStory(const Snapshot& snapshot, const Method& method, const Metric& metric, SampleIndex sample);

  std::size_t begin() const { return snapshot.samples.record_begin[sample]; }
  std::size_t end() const { return snapshot.samples.record_begin[sample + 1]; }
  std::size_t taxon(std::size_t r) const { return snapshot.records.taxon[r].value(); }
  std::string name(std::size_t t) const { return std::string(snapshot.taxa.name[t]); }
  std::string verbatim(std::size_t r) const;
  bool is_there(std::size_t r) const {
    return !is_absence(snapshot.records, r) && is_usable(snapshot.records, r);
  }
  // Why no line of the method's table, or no part of its set, takes this taxon.
  std::string not_taken(std::size_t r) const;

  const Snapshot& snapshot;
  const Method& method;
  const Metric& metric;
  std::size_t sample;
  CompiledMethod compiled;
  std::size_t metric_index;
  SampleScorer scorer;
  SampleScore score;
  std::set<std::string, std::less<>> above;  // names above those that the method or the set names
};

// Records under a metric over a set. Where the sample has a value, the sum of value x weight is the value, and for a
// share it is 1 / 100 of the value times the sum of the weights.
class SetExplainer {
 public:
  explicit SetExplainer(const SampleStory& story);
  void explain(std::size_t r, RecordPart& part);

 private:
  struct Side {
    Belongs base, set;
  };
  Belongs side(std::size_t r) const;
  Side side_of_taxon(std::size_t t) const;
  bool count_once(std::size_t r, std::size_t as, RecordPart& part);
  void explain_richness(std::size_t r, RecordPart& part);
  void explain_taxa_share(std::size_t r, RecordPart& part);
  void explain_animal_share(std::size_t r, RecordPart& part);
  void explain_dominance(std::size_t r, RecordPart& part);
  void leave_out(std::size_t r, RecordPart& part) const;
  void take_source(std::size_t r, RecordPart& part) const;
  std::optional<std::size_t> finer_record(std::size_t t) const;
  std::string outside_set(std::size_t r) const;
  std::string too_coarse_for_level(std::size_t r) const;

  const SampleStory& story_;
  const SetPlan& plan_;
  std::map<std::size_t, std::size_t> first_of_taxon_;
  std::map<std::size_t, std::int64_t> animals_of_;  // dominance: per taxon counted as
  std::optional<std::size_t> commonest_;
};

}  // namespace brookmark::core
