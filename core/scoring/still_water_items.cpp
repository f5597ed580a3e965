// What each item of a still-water reading makes of a sample. The rules are common practice without a published source,
// unless the evidence names one.
#include <algorithm>
#include <cctype>
#include <set>

#include "core/scoring/score_internal.hpp"
#include "core/scoring/still_water_internal.hpp"

namespace brookmark::core {

namespace {

constexpr std::string_view kTolerated = "tolerance 7 to 10";

std::string kinds_words(const std::vector<std::string>& kinds) {
  return listed(kinds, "and");
}

std::string how_many(const Those& those) {
  if (those.counted) return std::to_string(those.low) + (those.low == 1 ? " animal" : " animals");
  return std::to_string(those.kinds.size()) + (those.kinds.size() == 1 ? " kind" : " kinds");
}

void point(Evidence& evidence, Pointing pointing, Strength strength) {
  evidence.pointing = pointing;
  evidence.strength = strength;
}

// Which of two groups there is more of: counts and classes against one another, presence only where one is missing.
Evidence weigh(const PondSheet& sheet, const char* item, const char* good, const char* poor,
               const char* good_words, const char* poor_words) {
  Evidence evidence;
  evidence.item = item;
  const Those a = with_trait(sheet, good), b = with_trait(sheet, poor);
  take_from(a, good, evidence);
  take_from(b, poor, evidence);
  const bool has_a = !a.animals.empty(), has_b = !b.animals.empty();
  if (!has_a && !has_b) {
    evidence.finding = std::string("Neither ") + good_words + " nor " + poor_words + " were named.";
    return evidence;
  }
  const std::string found =
      (has_a ? std::string(good_words) + ": " + how_many(a) : "no " + std::string(good_words)) + "; " +
      (has_b ? std::string(poor_words) + ": " + how_many(b) : "no " + std::string(poor_words));
  evidence.finding = found + ".";
  evidence.finding.front() =
      static_cast<char>(std::toupper(static_cast<unsigned char>(evidence.finding.front())));
  if (a.counted && b.counted && add_capped(a.low, b.low) < kLeastCompared) {
    evidence.finding += " Fewer than " + std::to_string(kLeastCompared) + " animals are too few to compare.";
    return evidence;
  }
  const bool more_good = has_a && (!has_b || a.low > b.high), more_poor = has_b && (!has_a || b.low > a.high);
  if (more_good) point(evidence, Pointing::kGood, Strength::kWeak);
  if (more_poor) point(evidence, Pointing::kPoor, Strength::kWeak);
  if (!more_good && !more_poor) evidence.finding += " Neither is clearly the more common.";
  return evidence;
}

}  // namespace

// Larvae that need oxygen and suffer from toxins. Weak: one kind, or only kinds that a published list calls tolerant;
// or one single animal; moderate: two kinds and more; strong: three kinds and more of at least two orders.
Evidence sensitive_groups(const PondSheet& sheet) {
  Evidence evidence;
  evidence.item = "Sensitive groups";
  const Those those = with_trait(sheet, "sensitive");
  take_from(those, "sensitive", evidence);
  std::vector<std::string> strangers;
  for (const FoundAnimal& animal : sheet.animals)
    if (animal.stranger && has_trait(animal, "sensitive") == Belongs::kYes &&
        std::find(strangers.begin(), strangers.end(), animal.shown) == strangers.end())
      strangers.push_back(animal.shown);
  const std::string not_counted =
      strangers.empty() ? ""
                        : " Not counted: " + kinds_words(strangers) + ", which " +
                              (strangers.size() == 1 ? "lives" : "live") +
                              " in running water as a rule; check the name, the label and the kind of water.";
  if (those.animals.empty()) {
    evidence.finding =
        std::string("No") + (strangers.empty() ? "" : " other") +
        " larvae of mayflies, stoneflies, caddisflies or dobsonflies were named. That alone does "
        "not point to poor water." +
        not_counted;
    return evidence;
  }
  std::set<std::string> plain, orders;
  std::vector<std::string> tolerant;
  for (const FoundAnimal* animal : those.animals) {
    if (!animal->finest) continue;
    if (has_trait(*animal, kTolerated) == Belongs::kYes) {
      if (std::find(tolerant.begin(), tolerant.end(), animal->shown) == tolerant.end())
        tolerant.push_back(animal->shown);
    } else {
      plain.insert(animal->shown);
      orders.insert(animal->order);
    }
  }
  evidence.finding = "Found: " + kinds_words(those.kinds) + ".";
  if (!tolerant.empty())
    evidence.finding += " Of these " + kinds_words(tolerant) + (tolerant.size() == 1 ? " is" : " are") +
                        " listed as tolerant and add little.";
  if (those.counted && those.low == 1) evidence.finding += " One single animal is weak evidence.";
  evidence.finding += not_counted;
  point(evidence, Pointing::kGood,
        plain.size() >= 3 && orders.size() >= 2 ? Strength::kStrong
        : plain.size() >= 2                     ? Strength::kModerate
                                                : Strength::kWeak);
  return evidence;
}

// One single other animal beside kManyTolerant tolerant ones contradicts nothing. Moderate where all are tolerant, or prove little beside at least two tolerant kinds; weak where animals that only
// breathe at the surface are among them, since those say nothing about oxygen. A name that leaves it open, or a record too
// uncertain to use, takes the sentence "and nothing else" away.
Evidence only_tolerant(const PondSheet& sheet) {
  Evidence evidence;
  evidence.item = "Only tolerant or air-breathing animals";
  Those tolerant, tolerated;  // by common practice; by a published list
  std::size_t at_surface = 0, little = 0, others = 0, open = 0;
  std::int64_t tolerant_animals = 0, other_animals = 0;
  bool others_counted = true;
  std::vector<std::string> other_kinds;
  for (const FoundAnimal& animal : sheet.animals) {
    const auto is = [&](std::string_view trait) { return has_trait(animal, trait) == Belongs::kYes; };
    const auto may = [&](std::string_view trait) { return has_trait(animal, trait) == Belongs::kMaybe; };
    const bool sensitive = is("sensitive") || is("needs fair oxygen");
    const bool stands_well = sensitive || is("pond quality family");
    if (is("tolerant") || (is(kTolerated) && !stands_well)) {
      (is("tolerant") ? tolerant : tolerated).animals.push_back(&animal);
      tolerant_animals = add_capped(tolerant_animals, animal.low);
      if (animal.finest &&
          std::find(tolerant.kinds.begin(), tolerant.kinds.end(), animal.shown) == tolerant.kinds.end())
        tolerant.kinds.push_back(animal.shown);
    } else if (is("surface breather")) {
      ++at_surface;
    } else if (is("proves little")) {
      ++little;
    } else if (animal.name.empty() || (!sensitive && (may("tolerant") || may(kTolerated) ||
                                                      may("surface breather") || may("proves little")))) {
      ++open;  // also beside a finer name: it may be another animal
    } else if (animal.finest) {
      ++others;
      other_animals = add_capped(other_animals, animal.low);
      others_counted = others_counted && animal.counted;
      other_kinds.push_back(animal.shown);
    }
  }
  take_from(tolerant, "tolerant", evidence);
  if (!tolerated.animals.empty()) take_from(tolerated, kTolerated, evidence);
  const bool single = others_counted && other_animals == 1 && tolerant_animals >= kManyTolerant;
  if (others > 0 && !single) {
    other_kinds.resize(std::min<std::size_t>(other_kinds.size(), 3));
    evidence.finding =
        "There are others too: " + kinds_words(other_kinds) + (others > 3 ? " and more." : ".");
  } else if (open > 0 || sheet.doubted > 0) {
    evidence.finding =
        "It cannot be said that there is nothing else: some names are too coarse, not listed or too "
        "uncertain.";
  } else if (tolerant.kinds.empty()) {
    evidence.finding = sheet.animals.empty()
                           ? "No animals to judge by."
                           : "Only animals that prove little or breathe at the surface: they say "
                             "nothing about dissolved oxygen.";
  } else {
    evidence.finding = "Nothing but animals that bear poor water (" + kinds_words(tolerant.kinds) + ")" +
                       (at_surface + little > 0 ? " and animals that prove little" : "") +
                       (single ? ", but for one single " + other_kinds.front() + " beside at least " +
                                     std::to_string(tolerant_animals) + " of them."
                               : ".");
    point(
        evidence, Pointing::kPoor,
        at_surface > 0 || (little > 0 && tolerant.kinds.size() < 2) ? Strength::kWeak : Strength::kModerate);
  }
  return evidence;
}

// Among the kinds whose way of breathing is known. Half or more with gills is weak evidence for good, unless all of them
// are listed as tolerant; fewer says nothing, for those at the surface say nothing about oxygen.
Evidence gill_breathers(const PondSheet& sheet) {
  Evidence evidence;
  evidence.item = "Share of gill breathers";
  const Those gills = with_trait(sheet, "gill breather"), air = with_trait(sheet, "surface breather");
  take_from(gills, "gill breather", evidence);
  take_from(air, "surface breather", evidence);
  const std::size_t known = gills.kinds.size() + air.kinds.size();
  if (known == 0) {
    evidence.finding = "No kind whose way of breathing is known.";
    return evidence;
  }
  evidence.finding = std::to_string(gills.kinds.size()) + " of " + std::to_string(known) +
                     " kinds whose way of breathing is known have gills.";
  const bool all_tolerant =
      std::all_of(gills.animals.begin(), gills.animals.end(),
                  [](const FoundAnimal* animal) { return has_trait(*animal, kTolerated) == Belongs::kYes; });
  if (2 * gills.kinds.size() < known)
    evidence.finding += " The others breathe at the surface and say nothing about dissolved oxygen.";
  else if (all_tolerant)
    evidence.finding += " All of them are listed as tolerant.";
  else
    point(evidence, Pointing::kGood, Strength::kWeak);
  return evidence;
}

Evidence fair_oxygen(const PondSheet& sheet) {
  Evidence evidence;
  evidence.item = "Damselfly larvae and water fleas";
  const Those those = with_trait(sheet, "needs fair oxygen");
  take_from(those, "needs fair oxygen", evidence);
  if (those.animals.empty()) {
    evidence.finding = "None were named.";
    return evidence;
  }
  evidence.finding = "Found: " + kinds_words(those.kinds) +
                     ". They need fairly good oxygen and few toxins, but are no proof alone.";
  point(evidence, Pointing::kGood, Strength::kWeak);
  return evidence;
}

Evidence large_and_small_water_fleas(const PondSheet& sheet) {
  Evidence evidence = weigh(sheet, "Large water fleas against small", "large water flea", "small water flea",
                            "large water fleas", "small water fleas");
  if (evidence.pointing == Pointing::kPoor)
    evidence.finding += " Fish eat the large ones first, so it may be fish and not nutrients.";
  return evidence;
}

Evidence cyclopoids_and_calanoids(const PondSheet& sheet) {
  return weigh(sheet, "Cyclopoids against calanoids", "calanoid", "cyclopoid", "calanoid copepods",
               "cyclopoid copepods");
}

Evidence marsh_water_fleas(const PondSheet& sheet) {
  return weigh(sheet, "Animals of good and of degraded marshes", "typical of good marshes",
               "typical of degraded marshes", "plant-living water fleas",
               "animals typical of degraded marshes");
}

}  // namespace brookmark::core
