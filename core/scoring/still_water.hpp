// Why: indices of running water say nothing of a pond, and no index of its own could be sourced. So a still water is
// read as a careful naturalist would: an itemised list of evidence, each piece with its direction, its strength, the
// records it came from and its source, summed up in words by a stated rule. No number is made of it.
// Use: StillWaterReader reader(snapshot);  StillReading r = reader.read(sample);  verdict_words(r.verdict)
//
// Strength: a weak piece helps only beside others; a moderate one points one way unless contradicted; a strong one
// is made of several independent finds. One single animal is weak, whatever it is. Common practice, no source.
// Summing up, and the words for it (verdict_words):
// * A side carries when it has a moderate or a strong piece. If one side alone carries, the reading points there.
// * If both carry, or there are weak pieces on both sides only, it is mixed.
// * Weak pieces on one side only are too little found for a direction; the words say to which side they lean.
// * With no piece that points anywhere, or with fewer than kLeastKinds kinds and fewer than kLeastAnimals animals, too
//   little was found.
// * What would point to poor is too little found where the effort is known and short (kLeastSeconds, kLeastJabs): animals that
//   nobody looked for long enough are not missing. Effort that nobody noted, or noted in another unit, is not judged.
// Common practice, no source.
// A record of an animal that lives in another kind of water as a rule (kind_of_water.hpp) is no evidence, and that is said.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "core/reference/reference.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

enum class Pointing : std::uint8_t { kNeutral, kGood, kPoor };
const char* pointing_words(Pointing pointing);  // "neutral", "points to good", "points to poor"

enum class Strength : std::uint8_t { kNone, kWeak, kModerate, kStrong };  // kNone exactly where neutral
const char* strength_word(Strength strength);                             // "" for kNone

// Both are needed for too little: many animals of two kinds, or five kinds noted as present, say something.
inline constexpr std::size_t kLeastKinds = 5;
inline constexpr std::int64_t kLeastAnimals = 50;
// Shorter is too little to say that something is not there.
inline constexpr double kLeastSeconds = 60, kLeastJabs = 3;
// Beside so many animals that bear poor water one single other animal contradicts nothing.
inline constexpr std::int64_t kManyTolerant = 100;
// Copepods, or water fleas, that have to be counted before two kinds of them are weighed against one another.
inline constexpr std::int64_t kLeastCompared = 10;
// Other still waters of the survey with a comparable sample: routine, same season of any year, same protocol, and
// where both note an effort, in the same unit and within half as much again.
inline constexpr std::size_t kLeastOtherPonds = 5;

struct Evidence {
  std::string item;     // "Sensitive groups"
  std::string finding;  // one sentence
  Pointing pointing = Pointing::kNeutral;
  Strength strength = Strength::kNone;
  std::vector<RecordIndex> records;          // of this sample; those it came from
  std::string source;                        // citations, or that it is common practice without one
  Confirmed confirmed = Confirmed::kMemory;  // the weakest of what it rests on
};

enum class Verdict : std::uint8_t { kOutOfScope, kTooLittle, kPoor, kMixed, kGood };
// "out of scope", "too little found", "points to poor", "mixed", "points to good"
const char* verdict_words(Verdict verdict);

struct StillReading {
  SampleIndex sample;
  Verdict verdict = Verdict::kOutOfScope;
  std::string why;      // one sentence
  std::string caution;  // for a ditch or canal, which may run; else empty
  std::vector<Evidence>
      evidence;  // every item that was looked at, also those that say nothing; empty out of scope
};

// What every page that shows readings says once.
inline constexpr const char* kStillWaterCaution =
    "A reading is evidence about ecology, not a class: it depends on how and when the sample was taken. "
    "Animals that "
    "breathe at the surface say nothing about dissolved oxygen.";

// Holds what is worked out once for a survey. The snapshot must outlive it.
class StillWaterReader {
 public:
  explicit StillWaterReader(const Snapshot& snapshot);
  ~StillWaterReader();
  StillWaterReader(StillWaterReader&&) noexcept;
  StillWaterReader& operator=(StillWaterReader&&) noexcept;

  // Of a sample of a running water, of unknown water, or a blank: kOutOfScope.
  StillReading read(SampleIndex sample) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::core
