#include "core/scoring/still_water.hpp"

#include <algorithm>
#include <optional>
#include <set>

#include "core/base/text.hpp"
#include "core/scoring/kind_of_water.hpp"
#include "core/scoring/method.hpp"
#include "core/scoring/score_internal.hpp"
#include "core/scoring/still_water_internal.hpp"

namespace brookmark::core {

const char* pointing_words(Pointing pointing) {
  switch (pointing) {
    case Pointing::kGood:
      return "points to good";
    case Pointing::kPoor:
      return "points to poor";
    case Pointing::kNeutral:
      break;
  }
  return "neutral";
}

const char* strength_word(Strength strength) {
  switch (strength) {
    case Strength::kWeak:
      return "weak";
    case Strength::kModerate:
      return "moderate";
    case Strength::kStrong:
      return "strong";
    case Strength::kNone:
      break;
  }
  return "";
}

const char* verdict_words(Verdict verdict) {
  switch (verdict) {
    case Verdict::kTooLittle:
      return "too little found";
    case Verdict::kPoor:
      return "points to poor";
    case Verdict::kMixed:
      return "mixed";
    case Verdict::kGood:
      return "points to good";
    case Verdict::kOutOfScope:
      break;
  }
  return "out of scope";
}

Belongs has_trait(const FoundAnimal& animal, std::string_view trait) {
  return animal.name.empty() ? Belongs::kMaybe : traits().of(trait, animal.name, animal.stage).has;
}

Those with_trait(const PondSheet& sheet, std::string_view trait) {
  Those those;
  for (const FoundAnimal& animal : sheet.animals) {
    if (animal.stranger || has_trait(animal, trait) != Belongs::kYes) continue;
    those.animals.push_back(&animal);
    those.low = add_capped(those.low, animal.low);
    those.high = add_capped(those.high, animal.high);
    those.counted = those.counted && animal.counted;
    if (animal.finest && std::find(those.kinds.begin(), those.kinds.end(), animal.shown) == those.kinds.end())
      those.kinds.push_back(animal.shown);
  }
  return those;
}

namespace {

void add_source(const TraitRow& row, Evidence& evidence) {
  if (evidence.source.empty()) evidence.confirmed = row.confirmed;
  evidence.confirmed = std::max(evidence.confirmed, row.confirmed);
  // Common practice is said once, without what each row adds to it.
  const bool common = row.source_key == "common-practice";
  const std::string text = common ? citation(row.source_key) : source_text(row.source_key, row.source_detail);
  if (evidence.source.find(text) == std::string::npos)
    evidence.source.append(evidence.source.empty() ? "" : "; ").append(text);
}

}  // namespace

void take_from(const Those& those, std::string_view trait, Evidence& evidence) {
  for (const FoundAnimal* animal : those.animals) {
    evidence.records.push_back(animal->record);
    if (const TraitRow* row = traits().of(trait, animal->name, animal->stage).row; row != nullptr)
      add_source(*row, evidence);
  }
  if (!those.animals.empty()) return;
  for (const TraitRow& row : traits().rows())
    if (row.trait == trait && row.has) return add_source(row, evidence);
}

struct StillWaterReader::Impl {
  const Snapshot& snapshot;
  ScoreTable families;

  explicit Impl(const Snapshot& of)
      : snapshot(of), families(score_samples(of, *find_method("family-richness"))) {}

  Flow flow(std::size_t sample) const {
    return flow_of(snapshot.sites.kind[snapshot.samples.site[sample].value()]);
  }
  Season season(std::size_t sample) const {
    const LonLat place = snapshot.sites.position[snapshot.samples.site[sample].value()];
    return season_of(snapshot.samples.date[sample], place.lat < 0);
  }
  PondSheet lay_out(std::size_t sample) const;
  bool comparable(std::size_t a, std::size_t b) const;
  std::vector<std::size_t> other_ponds(std::size_t sample) const;
  Evidence richness(std::size_t sample) const;
};

PondSheet StillWaterReader::Impl::lay_out(std::size_t sample) const {
  const TaxonColumns& taxa = snapshot.taxa;
  const RecordColumns& records = snapshot.records;
  PondSheet sheet;
  std::set<std::size_t> above, kinds;
  for (std::size_t r = snapshot.samples.record_begin[sample]; r < snapshot.samples.record_begin[sample + 1];
       ++r) {
    if (is_absence(records, r)) continue;
    if (!is_usable(records, r)) {
      ++sheet.doubted;
      continue;
    }
    FoundAnimal animal;
    animal.record = RecordIndex(r);
    animal.taxon = records.taxon[r].value();
    animal.shown = std::string(taxa.name[animal.taxon]);
    animal.stage = records.stage[r];
    animal.counted = records.quantity[r] == QuantityKind::kCount;
    animal.low = records.count_min[r];
    animal.high = records.count_max[r];
    for (TaxonIndex at(animal.taxon); at.has_value(); at = taxa.parent[at.value()]) {
      if (at.value() != animal.taxon) above.insert(at.value());
      if (!taxa.listed[at.value()]) continue;
      if (animal.name.empty()) animal.name = std::string(taxa.name[at.value()]);
      if (taxa.rank[at.value()] == Rank::kOrder && animal.order.empty())
        animal.order = std::string(taxa.name[at.value()]);
    }
    const KindOfWater* kind = kind_of_water(taxa, TaxonIndex(animal.taxon));
    animal.stranger =
        kind != nullptr && lives_elsewhere(*kind, snapshot.sites.kind[snapshot.samples.site[sample].value()]);
    if (animal.order.empty()) animal.order = animal.shown;
    sheet.least_animals = add_capped(sheet.least_animals, animal.low);
    sheet.animals.push_back(std::move(animal));
  }
  for (FoundAnimal& animal : sheet.animals) {
    animal.finest = !above.contains(animal.taxon);
    if (animal.finest) kinds.insert(animal.taxon);
  }
  sheet.kinds = kinds.size();
  return sheet;
}

bool StillWaterReader::Impl::comparable(std::size_t a, std::size_t b) const {
  const SampleColumns& samples = snapshot.samples;
  if (samples.kind[b] != SampleKind::kRoutine || season(a) != season(b)) return false;
  if (samples.protocol[a].empty() || fold_name(samples.protocol[a]) != fold_name(samples.protocol[b]))
    return false;
  if (!samples.effort[a] || !samples.effort[b]) return true;
  const double x = *samples.effort[a], y = *samples.effort[b];
  return samples.effort_unit[a] == samples.effort_unit[b] && std::max(x, y) <= 1.5 * std::min(x, y);
}

// Of each other still water the comparable sample nearest in time; of two as near the earlier one.
std::vector<std::size_t> StillWaterReader::Impl::other_ponds(std::size_t sample) const {
  const SampleColumns& samples = snapshot.samples;
  const auto apart = [&](std::size_t s) {
    return std::abs(samples.date[s].days - samples.date[sample].days);
  };
  std::vector<std::size_t> others;
  for (std::size_t s = 0; s < samples.size(); ++s) {
    if (samples.site[s] == samples.site[sample] || flow(s) != Flow::kStill || !comparable(sample, s) ||
        !families.metrics[0][s].has_value)
      continue;
    if (others.empty() || samples.site[others.back()] != samples.site[s])
      others.push_back(s);
    else if (apart(s) < apart(others.back()))
      others.back() = s;
  }
  return others;
}

// Poorer or richer in families than three quarters of the others: weak; than half or twice their middle: moderate.
Evidence StillWaterReader::Impl::richness(std::size_t sample) const {
  Evidence evidence;
  evidence.item = "Families against the survey's other still waters";
  evidence.source = citation("common-practice");
  const SampleScore& own = families.metrics[0][sample];
  if (!own.has_value) {
    evidence.finding = "No number of families: " + reasons_text(own.reasons, *families.method) + ".";
    return evidence;
  }
  for (std::size_t r = snapshot.samples.record_begin[sample]; r < snapshot.samples.record_begin[sample + 1];
       ++r)
    if (!is_absence(snapshot.records, r) && is_usable(snapshot.records, r)) evidence.records.emplace_back(r);
  const std::string count =
      std::to_string(static_cast<int>(own.value)) + (own.value == 1 ? " family" : " families");
  std::vector<double> others;
  for (const std::size_t s : other_ponds(sample)) others.push_back(families.metrics[0][s].value);
  if (others.size() < kLeastOtherPonds) {
    evidence.finding = count + ". Not compared: " + std::to_string(others.size()) + " of the " +
                       std::to_string(kLeastOtherPonds) +
                       " other still waters needed have a sample of the same season, protocol and effort.";
    return evidence;
  }
  std::sort(others.begin(), others.end());
  const std::size_t size = others.size();
  const double middle = size % 2 == 1 ? others[size / 2] : (others[size / 2 - 1] + others[size / 2]) / 2;
  const auto fewer =
      static_cast<std::size_t>(std::lower_bound(others.begin(), others.end(), own.value) - others.begin());
  const auto more = size - static_cast<std::size_t>(
                               std::upper_bound(others.begin(), others.end(), own.value) - others.begin());
  evidence.finding = count + "; " + std::to_string(size) + " other still waters had " +
                     format_number(others.front()) + " to " + format_number(others.back()) +
                     ", in the middle " + format_number(middle) + ". Size, age and shade matter too.";
  if (4 * fewer >= 3 * size) {
    evidence.pointing = Pointing::kGood;
    evidence.strength = own.value >= 2 * middle ? Strength::kModerate : Strength::kWeak;
  } else if (4 * more >= 3 * size) {
    evidence.pointing = Pointing::kPoor;
    evidence.strength = 2 * own.value <= middle ? Strength::kModerate : Strength::kWeak;
  }
  return evidence;
}

namespace {

std::string items_on(const StillReading& reading, Pointing pointing, Strength least) {
  std::vector<std::string> items;
  for (const Evidence& evidence : reading.evidence)
    if (evidence.pointing == pointing && evidence.strength >= least)
      items.push_back(to_lower_ascii(evidence.item) + " (" + strength_word(evidence.strength) + ")");
  return listed(items, "and");
}

// "30 s" where the effort is known and too short to say that something is not there; else empty.
std::string short_effort(const SampleColumns& samples, std::size_t sample) {
  if (!samples.effort[sample]) return "";
  const double effort = *samples.effort[sample];
  const std::string unit = to_lower_ascii(trim(samples.effort_unit[sample]));
  const auto is_one_of = [&](std::initializer_list<std::string_view> words) {
    return std::find(words.begin(), words.end(), unit) != words.end();
  };
  const bool seconds = is_one_of({"s", "sec", "secs", "second", "seconds"}) && effort < kLeastSeconds;
  const bool minutes = is_one_of({"min", "mins", "minute", "minutes"}) && effort * 60 < kLeastSeconds;
  const bool jabs = is_one_of({"jab", "jabs"}) && effort < kLeastJabs;
  return seconds || minutes || jabs ? format_number(effort) + " " + unit : "";
}

void sum_up(const PondSheet& sheet, const std::string& too_short, StillReading& reading) {
  const std::string good = items_on(reading, Pointing::kGood, Strength::kModerate);
  const std::string poor = items_on(reading, Pointing::kPoor, Strength::kModerate);
  const std::string weak_good = items_on(reading, Pointing::kGood, Strength::kWeak);
  const std::string weak_poor = items_on(reading, Pointing::kPoor, Strength::kWeak);
  if (sheet.kinds < kLeastKinds && sheet.least_animals < kLeastAnimals) {
    reading.verdict = Verdict::kTooLittle;
    reading.why = std::to_string(sheet.kinds) + (sheet.kinds == 1 ? " kind" : " kinds") + " and at least " +
                  std::to_string(sheet.least_animals) + (sheet.least_animals == 1 ? " animal" : " animals") +
                  "; a reading needs " + std::to_string(kLeastKinds) + " kinds or " +
                  std::to_string(kLeastAnimals) + " animals.";
  } else if (weak_good.empty() && weak_poor.empty()) {
    reading.verdict = Verdict::kTooLittle;
    reading.why = "Too little to say: there are animals enough, but none of them points either way.";
  } else if (good.empty() && poor.empty() && (weak_good.empty() || weak_poor.empty())) {
    reading.verdict = Verdict::kTooLittle;
    reading.why = "Too little for a direction: weak evidence only, leaning to " +
                  (weak_poor.empty() ? "good: " + weak_good : "poor: " + weak_poor) + ".";
  } else if (good.empty() && !poor.empty() && !too_short.empty()) {
    reading.verdict = Verdict::kTooLittle;
    reading.why = "Too little effort to point to poor: " + too_short + ", and " +
                  format_number(kLeastSeconds) + " s or " + format_number(kLeastJabs) +
                  " jabs are the least. It leans to poor: " + poor +
                  (weak_good.empty() ? "." : "; to good only " + weak_good + ".");
  } else if (!good.empty() && poor.empty()) {
    reading.verdict = Verdict::kGood;
    reading.why = "To good: " + good + (weak_poor.empty() ? "." : "; to poor only " + weak_poor + ".");
  } else if (!poor.empty() && good.empty()) {
    reading.verdict = Verdict::kPoor;
    reading.why = "To poor: " + poor + (weak_good.empty() ? "." : "; to good only " + weak_good + ".");
  } else {
    reading.verdict = Verdict::kMixed;
    reading.why = !good.empty() ? "To good: " + good + "; to poor: " + poor + "."
                                : "Weak evidence only, on both sides; to good: " + weak_good +
                                      "; to poor: " + weak_poor + ".";
  }
}

}  // namespace

StillWaterReader::StillWaterReader(const Snapshot& snapshot) : impl_(std::make_unique<Impl>(snapshot)) {}
StillWaterReader::~StillWaterReader() = default;
StillWaterReader::StillWaterReader(StillWaterReader&&) noexcept = default;
StillWaterReader& StillWaterReader::operator=(StillWaterReader&&) noexcept = default;

StillReading StillWaterReader::read(SampleIndex sample) const {
  const Snapshot& snapshot = impl_->snapshot;
  const std::size_t s = sample.value();
  const WaterKind kind = snapshot.sites.kind[snapshot.samples.site[s].value()];
  StillReading reading;
  reading.sample = sample;
  if (kind == WaterKind::kUnknown || flow_of(kind) == Flow::kRunning) {
    reading.why =
        kind == WaterKind::kUnknown
            ? "The kind of water is not noted; a reading is for still water only."
            : std::string("A reading is for still water only; this is a ") + water_kind_name(kind) + ".";
    return reading;
  }
  if (snapshot.samples.kind[s] == SampleKind::kBlank) {
    reading.why = "A blank sample is never read.";
    return reading;
  }
  if (flow_of(kind) == Flow::kUncertain)
    reading.caution = std::string("A ") + water_kind_name(kind) +
                      " may stand or run; this holds only where the water stands.";
  if (snapshot.samples.record_begin[s] == snapshot.samples.record_begin[s + 1]) {
    reading.verdict = Verdict::kTooLittle;
    reading.why = "No record: it is not known whether anything was found.";
    return reading;
  }
  const PondSheet sheet = impl_->lay_out(s);
  if (sheet.animals.empty()) {
    reading.verdict = Verdict::kTooLittle;
    reading.why = sheet.doubted > 0 ? "Everything found is too uncertain to use."
                                    : "Animals were looked for and none were found.";
    return reading;
  }
  reading.evidence = {sensitive_groups(sheet),
                      only_tolerant(sheet),
                      gill_breathers(sheet),
                      fair_oxygen(sheet),
                      large_and_small_water_fleas(sheet),
                      cyclopoids_and_calanoids(sheet),
                      marsh_water_fleas(sheet),
                      impl_->richness(s)};
  sum_up(sheet, short_effort(snapshot.samples, s), reading);
  return reading;
}

}  // namespace brookmark::core
