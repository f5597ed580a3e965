#include "core/scoring/confidence.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/scoring/confidence_internal.hpp"

namespace brookmark::core {

namespace {

void check(const ConfidenceOptions& options) {
  if (options.draws < 1 || options.draws > kMostDraws)
    throw Error(ErrorCode::kBadUse, "the number of draws must be 1 to " + std::to_string(kMostDraws) +
                                        ", not " + std::to_string(options.draws));
  if (!(options.level > 0 && options.level < 1))
    throw Error(ErrorCode::kBadUse, "the level of an interval must lie between 0 and 1, like 0.95");
}

// Each sample is drawn; `take(place in samples, its run, what the run found)`, from several threads, one place once.
template <class Take>
void draw_each(const Snapshot& snapshot, const Method& method, std::span<const SampleIndex> samples,
               const ConfidenceOptions& options, const Take& take) {
  check(options);
  const CompiledMethod compiled(snapshot.taxa, method);
  const Replicates replicates(snapshot.samples);
  // Samples differ in cost: each thread takes a few at a time. What a sample gets depends on its own stream alone.
  constexpr std::size_t kAtATime = 16;
  std::atomic<std::size_t> next = 0;
  std::exception_ptr failure;
  std::mutex failing;
  const auto work = [&] {
    try {
      for (std::size_t begin; (begin = next.fetch_add(kAtATime)) < samples.size();) {
        ConfidenceRun run(snapshot, compiled, replicates, options);
        for (std::size_t i = begin; i < std::min(begin + kAtATime, samples.size()); ++i)
          take(i, run, run.run(samples[i].value()));
      }
    } catch (...) {
      const std::lock_guard lock(failing);
      if (!failure) failure = std::current_exception();
      next = samples.size();
    }
  };
  const std::size_t wanted = options.threads != 0 ? options.threads : std::thread::hardware_concurrency();
  const std::size_t threads =
      std::clamp<std::size_t>(samples.size() / kAtATime, 1, std::max<std::size_t>(wanted, 1));
  {
    std::vector<std::jthread> helpers;
    for (std::size_t i = 1; i < threads; ++i) helpers.emplace_back(work);
    work();
  }  // joined
  if (failure) std::rethrow_exception(failure);
}

// Something was drawn, with a spread or without.
bool was_drawn(const SampleConfidence& found) {
  constexpr std::uint32_t kAlike = bit(ConfidenceNote::kNoSpread) | bit(ConfidenceNote::kHardlySpread);
  return found.has_interval || (found.notes & kAlike) != 0;
}

}  // namespace

ConfidenceTable confidence_of(const Snapshot& snapshot, const Method& method,
                              std::span<const SampleIndex> samples, const ConfidenceOptions& options) {
  ConfidenceTable table{&method, options, {}};
  table.metrics.resize(method.metrics.size());
  for (std::vector<SampleConfidence>& column : table.metrics) column.resize(samples.size());
  draw_each(snapshot, method, samples, options,
            [&](std::size_t i, const ConfidenceRun&, std::vector<SampleConfidence> found) {
              for (std::size_t m = 0; m < found.size(); ++m) table.metrics[m][i] = std::move(found[m]);
            });
  return table;
}

ConfidenceTable confidence_of(const Snapshot& snapshot, const Method& method,
                              const ConfidenceOptions& options) {
  std::vector<SampleIndex> samples;
  for (std::size_t s = 0; s < snapshot.samples.size(); ++s) samples.emplace_back(s);
  return confidence_of(snapshot, method, samples, options);
}

std::vector<SampleDraws> draws_of(const Snapshot& snapshot, const Method& method, std::size_t metric,
                                  std::span<const SampleIndex> samples, const ConfidenceOptions& options) {
  std::vector<SampleDraws> drawn(samples.size());
  draw_each(snapshot, method, samples, options,
            [&](std::size_t i, const ConfidenceRun& run, std::vector<SampleConfidence> found) {
              drawn[i].confidence = std::move(found.at(metric));
              if (was_drawn(drawn[i].confidence)) drawn[i].values = run.centred_draws(metric);
            });
  return drawn;
}

std::vector<double> draw_values(const Snapshot& snapshot, const Method& method, std::size_t metric,
                                SampleIndex sample, const ConfidenceOptions& options) {
  std::vector<double> values;
  draw_each(snapshot, method, std::span(&sample, 1), options,
            [&](std::size_t, const ConfidenceRun& run, const std::vector<SampleConfidence>& found) {
              if (was_drawn(found.at(metric))) values = run.draws(metric);
            });
  return values;
}

const char* confidence_basis_name(ConfidenceBasis basis) {
  switch (basis) {
    case ConfidenceBasis::kCounts:
      return "counts";
    case ConfidenceBasis::kReplicates:
      return "replicates";
    case ConfidenceBasis::kAbundanceClasses:
      return "abundance classes";
    case ConfidenceBasis::kNames:
      return "names";
    case ConfidenceBasis::kNone:
      break;
  }
  return "";
}

std::string confidence_text(const SampleConfidence& confidence) {
  std::string text;
  const auto say = [&](const std::string& sentence) {
    text.append(text.empty() ? "" : "; ").append(sentence);
  };
  const auto has = [&](ConfidenceNote note) { return (confidence.notes & bit(note)) != 0; };
  const std::string needed = std::to_string(kReplicatesNeeded);
  switch (confidence.basis) {
    case ConfidenceBasis::kCounts:
      say("counting error only, not the spread between samples");
      break;
    case ConfidenceBasis::kReplicates:
      say("spread between " + std::to_string(confidence.replicates) +
          " samples of the visit, about their mean (Student's t)");
      break;
    case ConfidenceBasis::kAbundanceClasses:
      say("numbers drawn within abundance classes only, neither counting error nor the spread between "
          "samples");
      break;
    case ConfidenceBasis::kNames:
      say("doubt about names only");
      break;
    case ConfidenceBasis::kNone:
      break;
  }
  if (has(ConfidenceNote::kBlankSample)) say("a blank sample is never scored");
  if (has(ConfidenceNote::kNoValue)) say("no value, so no interval");
  if (has(ConfidenceNote::kAbsencesOnly)) say("nothing was found that could be drawn again");
  if (has(ConfidenceNote::kPresenceOnly)) say("presence only, without numbers: no class probability");
  if (has(ConfidenceNote::kNumbersIgnored))
    say("abundance classes, and numbers within them do not change the value: no interval, no class "
        "probability");
  if (has(ConfidenceNote::kSomePresence))
    say("records without a number stay in every draw: the interval may be too narrow, no class probability");
  if (has(ConfidenceNote::kOutOfScope)) say("outside the method's scope: no class probability");
  if (has(ConfidenceNote::kFewAnimals))
    say("fewer than " + std::to_string(kAnimalsNeeded) +
        " animals counted: the interval is too narrow, no class probability");
  if (has(ConfidenceNote::kFewKinds))
    say("fewer than " + std::to_string(kKindsNeeded) + " scoring kinds: no class probability");
  if (has(ConfidenceNote::kNoSpread))
    say("every draw gives the same value: drawing again says nothing here, no interval, no class "
        "probability");
  if (has(ConfidenceNote::kHardlySpread))
    say("nearly every draw gives the same value: drawing again says next to nothing here, no interval, no "
        "class "
        "probability");
  if (has(ConfidenceNote::kOnlyLoses))
    say("one-sided, since drawing again can only lose taxa: the interval says how far down, not how far up");
  if (has(ConfidenceNote::kClassNotKept))
    say("most draws leave the class, losing taxa: no class is called the likeliest");
  if (has(ConfidenceNote::kCapped))
    say("a class probability is given as at most " + format_fixed(kMostOfTaxa, 2) +
        ", since what was missed is in no draw");
  if (has(ConfidenceNote::kTaxaMissed) && confidence.has_interval)
    say("taxa that were there and missed are not seen, so the interval is too narrow");
  if (has(ConfidenceNote::kValueNeedsCounts))
    say("the method gives no value without counts; this is what numbers within the classes would give");
  if (has(ConfidenceNote::kClassesDrawn)) say("abundance classes drawn evenly on a logarithmic scale");
  if (has(ConfidenceNote::kDoubtfulNames)) say("doubtful names drawn by their certainty");
  if (has(ConfidenceNote::kDoubtInWords))
    say(std::to_string(confidence.names_in_doubt) + (confidence.names_in_doubt == 1 ? " name" : " names") +
        " in doubt (cf., ?), taken as sure");
  if (has(ConfidenceNote::kDrawsWithoutValue))
    say("no value in " + std::to_string(confidence.draws_without_value) + " of " +
        std::to_string(confidence.draws) + " draws");
  if (has(ConfidenceNote::kFewReplicates))
    say("fewer than " + needed + " samples of the visit with a value " +
        (has(ConfidenceNote::kOutOfScope) ? "outside the method's scope like this one's"
                                          : "in the method's scope") +
        ": their spread is not used");
  if (has(ConfidenceNote::kValueBeyond))
    say("this sample's own value lies outside the interval, which is of the mean");
  if (has(ConfidenceNote::kReplicatesAgree)) say("the replicates agree exactly, which measures no spread");
  return text;
}

}  // namespace brookmark::core
