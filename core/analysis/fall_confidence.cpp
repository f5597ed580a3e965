#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <string>

#include "core/analysis/clear_fall.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {
namespace {

constexpr std::size_t kAtATime = 2000;  // stretches whose draws are held together, 16 kB each

void add_note(std::string& note, const std::string& sentence) {
  note += (note.empty() ? "" : "; ") + sentence;
}

// Sums of rounded steps: what differs by less than a millionth is alike.
double without_dust(double value) {
  return std::abs(value) < 1e9 ? std::round(value * 1e6) / 1e6 : value;
}

// Whether drawing again says anything.
bool spreads(std::span<const double> values) {
  return std::any_of(values.begin(), values.end(), [&](double value) { return value != values.front(); });
}

class FallDraws {
 public:
  FallDraws(const Snapshot& snapshot, const Method& method, std::size_t metric,
            const ConfidenceOptions& options)
      : snapshot_(snapshot), method_(method), metric_(metric), options_(options) {}

  // Draws those not drawn yet, all at once.
  void draw(std::vector<SampleIndex> samples) {
    std::erase_if(samples, [&](SampleIndex s) { return drawn_.contains(s); });
    std::sort(samples.begin(), samples.end());
    samples.erase(std::unique(samples.begin(), samples.end()), samples.end());
    std::vector<SampleDraws> found = draws_of(snapshot_, method_, metric_, samples, options_);
    for (std::size_t i = 0; i < samples.size(); ++i) drawn_.emplace(samples[i], std::move(found[i]));
  }

  std::optional<FallConfidence> confidence(const SamplePair& pair) {
    if (!pair.fall) return std::nullopt;
    draw({pair.up, pair.down});
    const SampleDraws &up = drawn_.at(pair.up), &down = drawn_.at(pair.down);
    const bool counts =
        up.confidence.basis == ConfidenceBasis::kCounts || down.confidence.basis == ConfidenceBasis::kCounts;
    if (!spreads(up.values) && !spreads(down.values)) return std::nullopt;
    auto found = fall_confidence(up.values, down.values, method_.metrics[metric_].higher_is_better,
                                 options_.level, counts);
    if (!found) return found;
    std::vector<std::string> sentences;
    for (const SampleDraws* draws : {&up, &down})
      for (std::string& sentence : split(confidence_text(draws->confidence), "; "))
        if (std::find(sentences.begin(), sentences.end(), sentence) == sentences.end())
          sentences.push_back(std::move(sentence));
    found->rests_on = joined(sentences, "; ");
    return found;
  }

  // Why the newest pair cannot be drawn.
  std::string reason(const Drop& drop) const {
    const bool above = drawn_.at(drop.newest()->up).values.empty();
    const std::string why =
        confidence_text(drawn_.at(above ? drop.newest()->up : drop.newest()->down).confidence);
    return "no probability: the sample at " +
           std::string(snapshot_.sites.code[(above ? drop.up : drop.down).value()]) + " cannot be drawn" +
           (why.empty() ? "" : " (" + why + ")");
  }

 private:
  static std::vector<std::string> split(const std::string& words, const std::string& by) {
    std::vector<std::string> parts;
    for (std::size_t from = 0; from < words.size();) {
      const std::size_t end = std::min(words.find(by, from), words.size());
      parts.push_back(words.substr(from, end - from));
      from = end + by.size();
    }
    return parts;
  }

  const Snapshot& snapshot_;
  const Method& method_;
  std::size_t metric_;
  ConfidenceOptions options_;
  std::map<SampleIndex, SampleDraws> drawn_;
};

enum class Clear { kNo, kYes, kAnyFall };

// The rule of drops.hpp; `confidence` is asked only where it decides.
template <class Confidence>
Clear clearly_worse(const SamplePair& pair, const Metric& metric, const Confidence& confidence) {
  if (!pair.is_worse()) return Clear::kNo;
  if (!pair.fall) return Clear::kYes;
  if (pair.rank_up > 0 && pair.rank_down > pair.rank_up) return Clear::kYes;
  if (const std::optional<FallConfidence> sure = confidence(pair))
    return sure->low > 0 ? Clear::kYes : Clear::kNo;
  return metric.bands.empty() ? Clear::kAnyFall : Clear::kNo;
}

void take_since(const Snapshot& snapshot, const Metric& metric, FallDraws& draws, Drop& drop) {
  bool any_fall = false;
  for (auto pair = drop.pairs.rbegin(); pair != drop.pairs.rend(); ++pair) {
    const Clear clear =
        clearly_worse(*pair, metric, [&](const SamplePair& p) { return draws.confidence(p); });
    if (clear == Clear::kNo) break;
    any_fall = any_fall || clear == Clear::kAnyFall;
    drop.since = snapshot.samples.date[pair->down.value()];
    ++drop.worse_in_a_row;
  }
  if (any_fall) add_note(drop.note, "no interval, so any fall counts as worse");
  if (drop.since && drop.worse_in_a_row == drop.pairs.size())
    add_note(drop.note,
             drop.pairs.size() > 1 ? "worse as far back as the samples go" : "there is no other comparison");
  if (drop.is_worse() && !drop.since)
    add_note(drop.note, std::string(kNotClear) + ": " +
                            (metric.bands.empty() ? "" : "no class is lost, and ") +
                            (drop.confidence ? "the interval reaches 0" : "there is no interval"));
}

}  // namespace

bool is_clear_fall(const Snapshot& snapshot, const Method& method, std::size_t metric, const SamplePair& pair,
                   const ConfidenceOptions& options) {
  FallDraws draws(snapshot, method, metric, options);
  return clearly_worse(pair, method.metrics[metric],
                       [&](const SamplePair& p) { return draws.confidence(p); }) != Clear::kNo;
}

std::optional<FallConfidence> fall_confidence(std::span<const double> up, std::span<const double> down,
                                              bool higher_is_better, double level, bool centred) {
  std::vector<double> falls;
  for (std::size_t i = 0; i < std::min(up.size(), down.size()); ++i) {
    const double fall = higher_is_better ? up[i] - down[i] : down[i] - up[i];
    if (std::isfinite(fall)) falls.push_back(fall);
  }
  if (falls.empty()) return std::nullopt;
  std::sort(falls.begin(), falls.end());
  const auto count = static_cast<double>(falls.size());
  // Between the two nearest draws, in proportion (Hyndman & Fan 1996, Am. Stat. 50:361-365, definition 7; memory).
  const auto quantile = [&](double share) {
    const double at = share * (count - 1);
    const auto low = static_cast<std::size_t>(at);
    const std::size_t high = std::min(low + 1, falls.size() - 1);
    return falls[low] + (at - static_cast<double>(low)) * (falls[high] - falls[low]);
  };
  const double mean = std::accumulate(falls.begin(), falls.end(), 0.0) / count;
  const double shift = centred ? mean - quantile(0.5) : 0;
  for (double& fall : falls) fall = without_dust(fall + shift);
  const auto [first, last] = std::equal_range(falls.begin(), falls.end(), 0.0);
  const auto above = static_cast<double>(falls.end() - last), ties = static_cast<double>(last - first);
  return FallConfidence{quantile((1 - level) / 2), quantile((1 + level) / 2), (above + ties / 2) / count, {}};
}

void add_confidence(std::span<Drop> drops, const Snapshot& snapshot, const Method& method, std::size_t metric,
                    const ConfidenceOptions& options) {
  for (std::size_t begin = 0; begin < drops.size(); begin += kAtATime) {
    const auto some = drops.subspan(begin, std::min(kAtATime, drops.size() - begin));
    FallDraws draws(snapshot, method, metric, options);
    std::vector<SampleIndex> newest;
    for (const Drop& drop : some)
      if (const SamplePair* pair = drop.newest(); pair != nullptr && pair->fall)
        newest.insert(newest.end(), {pair->up, pair->down});
    draws.draw(std::move(newest));  // by all cores
    for (Drop& drop : some) {
      const SamplePair* pair = drop.newest();
      if (pair == nullptr) continue;
      drop.confidence = draws.confidence(*pair);
      if (pair->fall && !drop.confidence) add_note(drop.note, draws.reason(drop));
      take_since(snapshot, method.metrics[metric], draws, drop);
    }
  }
}

}  // namespace brookmark::core
