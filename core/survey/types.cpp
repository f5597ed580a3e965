#include "core/survey/types.hpp"

#include <array>
#include <utility>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

template <class Enum>
struct Word {
  Enum value;
  const char* name;
};

// The first word of a value is its name; further words are other ways of writing it.
template <class Enum, std::size_t N>
const char* name_of(const std::array<Word<Enum>, N>& words, Enum value) {
  for (const auto& word : words)
    if (word.value == value) return word.name;
  return "";
}

template <class Enum, std::size_t N>
std::optional<Enum> parse_word(const std::array<Word<Enum>, N>& words, std::string_view text) {
  const std::string folded = fold_name(text);
  for (const auto& word : words)
    if (folded == word.name) return word.value;
  return std::nullopt;
}

constexpr auto kWaterKinds = std::to_array<Word<WaterKind>>({{WaterKind::kUnknown, "unknown"},
                                                             {WaterKind::kSpring, "spring"},
                                                             {WaterKind::kStream, "stream"},
                                                             {WaterKind::kRiver, "river"},
                                                             {WaterKind::kDitch, "ditch"},
                                                             {WaterKind::kCanal, "canal"},
                                                             {WaterKind::kPond, "pond"},
                                                             {WaterKind::kPool, "pool"},
                                                             {WaterKind::kLakeMargin, "lake margin"},
                                                             {WaterKind::kStream, "brook"},
                                                             {WaterKind::kStream, "beck"},
                                                             {WaterKind::kStream, "burn"},
                                                             {WaterKind::kStream, "creek"},
                                                             {WaterKind::kLakeMargin, "lake"},
                                                             {WaterKind::kDitch, "drain"}});

constexpr auto kSiteStatuses = std::to_array<Word<SiteStatus>>({{SiteStatus::kProposed, "proposed"},
                                                                {SiteStatus::kActive, "active"},
                                                                {SiteStatus::kRetired, "retired"}});

constexpr auto kSharings = std::to_array<Word<Sharing>>(
    {{Sharing::kOpen, "open"}, {Sharing::kBlurred, "blurred"}, {Sharing::kWithheld, "withheld"}});

constexpr auto kKitKinds = std::to_array<Word<KitKind>>({{KitKind::kOther, "other"},
                                                         {KitKind::kNet, "net"},
                                                         {KitKind::kFootwear, "footwear"},
                                                         {KitKind::kTray, "tray"},
                                                         {KitKind::kVessel, "vessel"},
                                                         {KitKind::kRope, "rope"},
                                                         {KitKind::kBoat, "boat"},
                                                         {KitKind::kProbe, "probe"},
                                                         {KitKind::kFootwear, "boots"},
                                                         {KitKind::kFootwear, "waders"},
                                                         {KitKind::kVessel, "jar"},
                                                         {KitKind::kVessel, "bottle"}});

constexpr auto kHoldingOutcomes =
    std::to_array<Word<HoldingOutcome>>({{HoldingOutcome::kHeld, "held"},
                                         {HoldingOutcome::kReturned, "returned"},
                                         {HoldingOutcome::kDisposed, "disposed"}});

constexpr auto kRiskStatuses = std::to_array<Word<RiskStatus>>({{RiskStatus::kSuspected, "suspected"},
                                                                {RiskStatus::kConfirmed, "confirmed"},
                                                                {RiskStatus::kCleared, "cleared"}});

constexpr auto kGroundKinds = std::to_array<Word<GroundKind>>({{GroundKind::kPrivate, "private"},
                                                               {GroundKind::kUnsafe, "unsafe"},
                                                               {GroundKind::kRoad, "road"},
                                                               {GroundKind::kBridge, "bridge"},
                                                               {GroundKind::kAccess, "access"},
                                                               {GroundKind::kRefused, "refused"}});

constexpr auto kLayerLooks =
    std::to_array<Word<LayerLook>>({{LayerLook::kPicture, "picture"}, {LayerLook::kHillshade, "hillshade"}});

constexpr auto kSampleKinds = std::to_array<Word<SampleKind>>({{SampleKind::kRoutine, "routine"},
                                                               {SampleKind::kReplicate, "replicate"},
                                                               {SampleKind::kBlank, "blank"}});

constexpr auto kOutfallKinds =
    std::to_array<Word<OutfallKind>>({{OutfallKind::kUnknown, "unknown"},
                                      {OutfallKind::kTreatedSewage, "treated sewage"},
                                      {OutfallKind::kStormSewage, "storm sewage"},
                                      {OutfallKind::kRoadDrain, "road drain"},
                                      {OutfallKind::kFieldDrain, "field drain"},
                                      {OutfallKind::kTrade, "trade discharge"},
                                      {OutfallKind::kTrade, "trade"}});

constexpr auto kLifeStages = std::to_array<Word<LifeStage>>({{LifeStage::kUnknown, "unknown"},
                                                             {LifeStage::kEgg, "egg"},
                                                             {LifeStage::kLarva, "larva"},
                                                             {LifeStage::kPupa, "pupa"},
                                                             {LifeStage::kAdult, "adult"},
                                                             {LifeStage::kEgg, "eggs"},
                                                             {LifeStage::kLarva, "larvae"},
                                                             {LifeStage::kLarva, "nymph"},
                                                             {LifeStage::kLarva, "nymphs"},
                                                             {LifeStage::kPupa, "pupae"},
                                                             {LifeStage::kAdult, "adults"},
                                                             {LifeStage::kAdult, "imago"}});

constexpr auto kRanks = std::to_array<Word<Rank>>({{Rank::kInformal, "informal"},
                                                   {Rank::kSpecies, "species"},
                                                   {Rank::kGenus, "genus"},
                                                   {Rank::kSubfamily, "subfamily"},
                                                   {Rank::kFamily, "family"},
                                                   {Rank::kSuperfamily, "superfamily"},
                                                   {Rank::kSuborder, "suborder"},
                                                   {Rank::kOrder, "order"},
                                                   {Rank::kSubclass, "subclass"},
                                                   {Rank::kClass, "class"},
                                                   {Rank::kPhylum, "phylum"},
                                                   {Rank::kKingdom, "kingdom"}});

constexpr auto kQuantityKinds = std::to_array<Word<QuantityKind>>({{QuantityKind::kPresent, "present"},
                                                                   {QuantityKind::kCount, "count"},
                                                                   {QuantityKind::kAbundanceClass, "class"},
                                                                   {QuantityKind::kAbsent, "absent"}});

constexpr auto kNameMatches =
    std::to_array<Word<NameMatch>>({{NameMatch::kNone, "unlisted"},
                                    {NameMatch::kAccepted, "accepted name"},
                                    {NameMatch::kSynonym, "synonym"},
                                    {NameMatch::kCommonName, "common name"},
                                    {NameMatch::kGenusOfBinomial, "listed genus"},
                                    {NameMatch::kHigherTaxon, "placed by higher taxon"},
                                    {NameMatch::kChosen, "chosen by the surveyor"}});

}  // namespace

Flow flow_of(WaterKind kind) {
  switch (kind) {
    case WaterKind::kSpring:
    case WaterKind::kStream:
    case WaterKind::kRiver:
      return Flow::kRunning;
    case WaterKind::kPond:
    case WaterKind::kPool:
    case WaterKind::kLakeMargin:
      return Flow::kStill;
    case WaterKind::kUnknown:
    case WaterKind::kDitch:
    case WaterKind::kCanal:
      return Flow::kUncertain;
  }
  return Flow::kUncertain;
}

const char* water_kind_name(WaterKind kind) {
  return name_of(kWaterKinds, kind);
}
std::optional<WaterKind> parse_water_kind(std::string_view text) {
  return parse_word(kWaterKinds, text);
}
const char* site_status_name(SiteStatus status) {
  return name_of(kSiteStatuses, status);
}
std::optional<SiteStatus> parse_site_status(std::string_view text) {
  return parse_word(kSiteStatuses, text);
}
const char* sharing_name(Sharing sharing) {
  return name_of(kSharings, sharing);
}
std::optional<Sharing> parse_sharing(std::string_view text) {
  return parse_word(kSharings, text);
}
const char* kit_kind_name(KitKind kind) {
  return name_of(kKitKinds, kind);
}
std::optional<KitKind> parse_kit_kind(std::string_view text) {
  return parse_word(kKitKinds, text);
}
const char* holding_outcome_name(HoldingOutcome outcome) {
  return name_of(kHoldingOutcomes, outcome);
}
std::optional<HoldingOutcome> parse_holding_outcome(std::string_view text) {
  return parse_word(kHoldingOutcomes, text);
}
const char* risk_status_name(RiskStatus status) {
  return name_of(kRiskStatuses, status);
}
std::optional<RiskStatus> parse_risk_status(std::string_view text) {
  return parse_word(kRiskStatuses, text);
}
const char* ground_kind_name(GroundKind kind) {
  return name_of(kGroundKinds, kind);
}
std::optional<GroundKind> parse_ground_kind(std::string_view text) {
  return parse_word(kGroundKinds, text);
}
const char* layer_look_name(LayerLook look) {
  return name_of(kLayerLooks, look);
}
const char* sample_kind_name(SampleKind kind) {
  return name_of(kSampleKinds, kind);
}
std::optional<SampleKind> parse_sample_kind(std::string_view text) {
  return parse_word(kSampleKinds, text);
}
const char* outfall_kind_name(OutfallKind kind) {
  return name_of(kOutfallKinds, kind);
}
std::optional<OutfallKind> parse_outfall_kind(std::string_view text) {
  return parse_word(kOutfallKinds, text);
}
const char* life_stage_name(LifeStage stage) {
  return name_of(kLifeStages, stage);
}
std::optional<LifeStage> parse_life_stage(std::string_view text) {
  return parse_word(kLifeStages, text);
}
const char* rank_name(Rank rank) {
  return name_of(kRanks, rank);
}
std::optional<Rank> parse_rank(std::string_view text) {
  return parse_word(kRanks, text);
}
const char* quantity_kind_name(QuantityKind kind) {
  return name_of(kQuantityKinds, kind);
}
const char* name_match_name(NameMatch match) {
  return name_of(kNameMatches, match);
}

}  // namespace brookmark::core
