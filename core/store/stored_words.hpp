// Why: what a survey file says must not change when a word on the screen does. These are the words of the
// file; the CHECKs of the schema list the same.
// Use: statement.bind(3, stored_word(kStoredWaterKinds, site.kind));
//      read_word(kStoredWaterKinds, statement.text(3))
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>

#include "core/base/error.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

// In the order of the enumeration.
template <class Enum, std::size_t kSize>
struct StoredWords {
  std::array<std::string_view, kSize> words;
};

inline constexpr StoredWords<WaterKind, 9> kStoredWaterKinds{
    {"unknown", "spring", "stream", "river", "ditch", "canal", "pond", "pool", "lake margin"}};
inline constexpr StoredWords<SiteStatus, 3> kStoredSiteStatus{{"proposed", "active", "retired"}};
inline constexpr StoredWords<Sharing, 3> kStoredSharing{{"open", "blurred", "withheld"}};
inline constexpr StoredWords<KitKind, 8> kStoredKitKinds{
    {"other", "net", "footwear", "tray", "vessel", "rope", "boat", "probe"}};
inline constexpr StoredWords<HoldingOutcome, 3> kStoredHoldingOutcomes{{"held", "returned", "disposed"}};
inline constexpr StoredWords<RiskStatus, 3> kStoredRiskStatus{{"suspected", "confirmed", "cleared"}};
inline constexpr StoredWords<GroundKind, 6> kStoredGroundKinds{
    {"private", "unsafe", "road", "bridge", "access", "refused"}};
inline constexpr StoredWords<LayerLook, 2> kStoredLayerLooks{{"picture", "hillshade"}};
inline constexpr StoredWords<SampleKind, 3> kStoredSampleKinds{{"routine", "replicate", "blank"}};
inline constexpr StoredWords<OutfallKind, 6> kStoredOutfallKinds{
    {"unknown", "treated sewage", "storm sewage", "road drain", "field drain", "trade"}};
inline constexpr StoredWords<LifeStage, 5> kStoredLifeStages{{"unknown", "egg", "larva", "pupa", "adult"}};
inline constexpr StoredWords<Rank, 12> kStoredRanks{{"informal", "species", "genus", "subfamily", "family",
                                                     "superfamily", "suborder", "order", "subclass", "class",
                                                     "phylum", "kingdom"}};
inline constexpr StoredWords<QuantityKind, 4> kStoredQuantities{{"present", "count", "class", "absent"}};
inline constexpr StoredWords<NameMatch, 7> kStoredNameMatches{
    {"none", "accepted", "synonym", "common name", "genus of binomial", "higher taxon", "chosen"}};

template <class Enum, std::size_t kSize>
std::string_view stored_word(const StoredWords<Enum, kSize>& words, Enum value) {
  const auto at = static_cast<std::size_t>(value);
  if (at >= kSize) throw Error(ErrorCode::kBadUse, "a value outside its list cannot be stored");
  return words.words[at];
}

// Throws Error(kForeignFile) for a word that this version does not know (a newer file may hold one).
template <class Enum, std::size_t kSize>
Enum read_word(const StoredWords<Enum, kSize>& words, std::string_view text) {
  for (std::size_t i = 0; i < kSize; ++i) {
    if (words.words[i] == text) return static_cast<Enum>(i);
  }
  throw Error(ErrorCode::kForeignFile,
              "the survey file holds the word '" + std::string(text) +
                  "', which this version does not know; open it with a newer version");
}

}  // namespace brookmark::core
