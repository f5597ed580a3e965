// One number of one sample by its name, or the sentence that says why there is none.
#include <iterator>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/diversity_words_internal.hpp"
#include "core/scoring/sample_diversity.hpp"

namespace brookmark::core {

namespace {

constexpr const char* kNames[] = {"richness",    "individuals", "shannon",    "simpson",  "inverse_simpson",
                                  "pielou",      "rarefied",    "chao1",      "chao1_se", "coverage",
                                  "rarefied_se", "chao1_low",   "chao1_high", "margalef", "berger_parker",
                                  "hill1",       "hill2"};
static_assert(std::size(kNames) == kDiversityMetrics);

bool has_richness(const SampleDiversity& sample) {
  return !sample.outside && gap_leaves_richness(sample.gap);
}

bool has_counts(const SampleDiversity& sample) {
  return !sample.outside && sample.gap == CountsGap::kNone;
}

std::string animals_words(std::int64_t animals) {
  return std::to_string(animals) + (animals == 1 ? " animal" : " animals");
}

// Of a number that is missing although the sample has counts.
std::string own_reason(const DiversityTable& table, const SampleDiversity& sample, DiversityMetric metric) {
  switch (metric) {
    case DiversityMetric::kPielou:
      return "one taxon alone has no evenness";
    case DiversityMetric::kMargalef:
    case DiversityMetric::kCoverage:
      return "one animal is too few";
    case DiversityMetric::kRarefied:
    case DiversityMetric::kRarefiedError:
      if (table.rarefied_n == 0) return "no sample has two animals";
      return animals_words(sample.counts.animals) + ", fewer than the " + std::to_string(table.rarefied_n) +
             " to compare at";
    case DiversityMetric::kChao1Low:
    case DiversityMetric::kChao1High:
      return "no taxon is estimated to be missing";
    default:
      return "";
  }
}

}  // namespace

const char* gap_words(CountsGap gap) {
  switch (gap) {
    case CountsGap::kNone:
      break;
    case CountsGap::kBlankSample:
      return "a blank sample is never counted";
    case CountsGap::kNothingRecorded:
      return "no record: it is not known whether anything was found";
    case CountsGap::kNothingFound:
      return "nothing was found, which is not a richness of all that lives there";
    case CountsGap::kTooUncertain:
      return "all records are too uncertain to use";
    case CountsGap::kTooCoarse:
      return "every name is coarser than the rank";
    case CountsGap::kNotCounts:
      return "not every taxon has a count; classes and \"present\" are not counts";
    case CountsGap::kTooManyLeftOut:
      return "more than 10 % of the animals counted are left out under coarser names; count at one rank that "
             "takes "
             "them in, such as --rank family";
    case CountsGap::kTooManyAnimals:
      return "more animals than can be added up";
  }
  return "";
}

const char* diversity_metric_name(DiversityMetric metric) {
  return kNames[static_cast<std::size_t>(metric)];
}

std::optional<DiversityMetric> parse_diversity_metric(std::string_view name) {
  for (std::size_t i = 0; i < std::size(kNames); ++i)
    if (name == kNames[i]) return static_cast<DiversityMetric>(i);
  return std::nullopt;
}

Confirmed diversity_metric_confirmed(DiversityMetric metric) {
  static const Table table = read_csv(reference_file("diversity_metrics.csv"), "diversity_metrics.csv");
  const std::size_t name = *table.find("metric"), confirmed = *table.find("confirmed");
  for (const TableRow& row : table.rows)
    if (row.cells[name] == diversity_metric_name(metric))
      return parse_confirmed(row.cells[confirmed]).value_or(Confirmed::kMemory);
  return Confirmed::kMemory;
}

std::optional<double> value_of(const DiversityTable& table, SampleIndex index, DiversityMetric metric) {
  const SampleDiversity& sample = table.samples[index.value()];
  if (metric == DiversityMetric::kRichness)
    return has_richness(sample) ? std::optional(static_cast<double>(sample.richness)) : std::nullopt;
  if (!has_counts(sample)) return std::nullopt;
  const Diversity& d = sample.counts;
  const bool rarefied = table.rarefied_n != 0 && d.animals >= table.rarefied_n;
  switch (metric) {
    case DiversityMetric::kRichness:
      break;
    case DiversityMetric::kIndividuals:
      return static_cast<double>(d.animals);
    case DiversityMetric::kShannon:
      return d.shannon;
    case DiversityMetric::kSimpson:
      return d.simpson;
    case DiversityMetric::kInverseSimpson:
      return inverse_simpson(d);
    case DiversityMetric::kPielou:
      return pielou(d);
    case DiversityMetric::kRarefied:
      return rarefied ? std::optional(sample.rarefied) : std::nullopt;
    case DiversityMetric::kRarefiedError:
      return rarefied ? std::optional(sample.rarefied_error) : std::nullopt;
    case DiversityMetric::kChao1:
      return chao1(d, table.options.chao1).taxa;
    case DiversityMetric::kChao1Error:
      return chao1(d, table.options.chao1).standard_error;
    case DiversityMetric::kChao1Low:
      return chao1(d, table.options.chao1).low;
    case DiversityMetric::kChao1High:
      return chao1(d, table.options.chao1).high;
    case DiversityMetric::kCoverage:
      return coverage(d);
    case DiversityMetric::kMargalef:
      return margalef(d);
    case DiversityMetric::kBergerParker:
      return berger_parker(d);
    case DiversityMetric::kHill1:
      return hill(d, 1);
    case DiversityMetric::kHill2:
      return hill(d, 2);
  }
  return std::nullopt;
}

std::string missing_reason(const DiversityTable& table, SampleIndex index, DiversityMetric metric) {
  if (value_of(table, index, metric)) return "";
  const SampleDiversity& sample = table.samples[index.value()];
  if (sample.outside) return "not of the days and seasons asked for";
  if (!has_counts(sample)) return gap_words(sample.gap);
  return own_reason(table, sample, metric);
}

std::string diversity_note(const Snapshot& snapshot, const DiversityTable& table, SampleIndex index) {
  const SampleDiversity& sample = table.samples[index.value()];
  std::string note;
  const auto say = [&](const std::string& words) { note.append(note.empty() ? "" : "; ").append(words); };
  if (sample.outside || !has_richness(sample)) {
    say("no value: " + missing_reason(table, index, DiversityMetric::kRichness));
  } else if (!has_counts(sample)) {
    say(std::string("richness only: ") + gap_words(sample.gap));
  } else {
    for (const DiversityMetric metric :
         {DiversityMetric::kPielou, DiversityMetric::kMargalef, DiversityMetric::kCoverage,
          DiversityMetric::kRarefied, DiversityMetric::kChao1Low}) {
      const std::string reason = missing_reason(table, index, metric);
      const std::string name =
          metric == DiversityMetric::kChao1Low ? "chao1 interval" : diversity_metric_name(metric);
      if (!reason.empty()) say("no " + name + ": " + reason);
    }
  }
  if (sample.coarser_names != 0) {
    const bool one = sample.coarser_names == 1;
    say("left out: " + std::to_string(sample.coarser_names) + (one ? " name" : " names") +
        (table.options.rank ? std::string(" coarser than ") + rank_name(*table.options.rank)
                            : std::string(" of which something finer is in the sample")) +
        (sample.coarser_animals > 0 ? " (" + animals_words(sample.coarser_animals) + " counted)" : ""));
  }
  if (sample.uncertain_records != 0)
    say("left out: " + std::to_string(sample.uncertain_records) +
        (sample.uncertain_records == 1 ? " record" : " records") + " too uncertain to use");
  const std::optional<double> share = snapshot.samples.subsample_share[index.value()];
  if (has_counts(sample) && share && *share < 1)
    say("counts are of the " + format_number(*share * 100) + " % of the catch that was sorted");
  return note;
}

}  // namespace brookmark::core
