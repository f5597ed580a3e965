// Random samples scored a second time, slowly and written differently: sets and maps of names, straight from
// the checklist and the method, with exact fractions instead of doubles where it matters.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;  // the field sheet's words
namespace core = brookmark::core;

namespace {

// The name, then its parents; kept, since the same few hundred names come again and again.
const std::vector<std::string>& line_up(const std::string& name) {
  static std::map<std::string, std::vector<std::string>> known;
  const auto [it, is_new] = known.try_emplace(name);
  std::vector<std::string>& line = it->second;
  if (!is_new) return line;
  for (const core::ChecklistEntry* e = core::checklist().find(name);
       e != nullptr && e->name == (line.empty() ? name : e->name);
       e = e->parent.empty() ? nullptr : core::checklist().find(e->parent))
    line.push_back(e->name);
  return line;
}

const core::ScoreUnit* unit_for(const core::Method& method, const std::string& name) {
  static std::map<std::pair<const core::Method*, std::string>, const core::ScoreUnit*> known;
  const auto [it, is_new] = known.try_emplace({&method, name}, nullptr);
  if (!is_new) return it->second;
  for (const std::string& up : line_up(name))
    for (const core::ScoreUnit& unit : method.units)
      if (std::count(unit.members.begin(), unit.members.end(), up) > 0) return it->second = &unit;
  return nullptr;
}

bool there(const Found& f) {
  return f.quantity != QuantityKind::kAbsent && f.min > 0;
}

bool sure(const Found& f) {
  return f.certainty >= 0.5F;
}

constexpr std::int64_t kThousand = 1000;  // no shipped number has more than three decimals

std::int64_t thousandths(double value) {
  return std::llround(value * static_cast<double>(kThousand));
}

// A sample as it lies in the tray.
struct Sheet {
  WaterKind kind = WaterKind::kStream;
  std::int64_t sorted_one_in = 1;
  std::vector<Found> found;
};

// The value is sum / (1000 * by), both whole: exact.
struct Slow {
  bool has_value = false, in_scope = true;
  std::int64_t sum = 0, by = 1;
  std::size_t scoring = 0, unscored = 0;

  double value() const { return static_cast<double>(sum) / static_cast<double>(kThousand * by); }
};

// The published name, by whole millionths; a half goes up (no shipped value is negative).
std::string slow_class(const core::Metric& metric, const Slow& slow) {
  if (!slow.has_value || !slow.in_scope) return {};
  const auto million = [](double limit) { return std::llround(limit * 1e6); };
  std::int64_t top = slow.sum * 1'000'000,
               bottom = kThousand * slow.by;  // the value in millionths: top / bottom
  if (metric.decimals) {
    std::int64_t step = 1'000'000;
    for (int i = 0; i < *metric.decimals; ++i) step /= 10;
    top = (2 * slow.sum * (1'000'000 / step) + bottom) / (2 * bottom) * step;
    bottom = 1;
  }
  std::string name;
  for (const core::ClassBand& band : metric.bands) {
    const bool above = !band.lower || top > million(*band.lower) * bottom ||
                       (!band.lower_open && top == million(*band.lower) * bottom);
    const bool below = !band.upper || top < million(*band.upper) * bottom ||
                       (!band.upper_open && top == million(*band.upper) * bottom);
    if (above && below) name += band.name;  // two would make a name that no class has
  }
  return name;
}

// What each method is for; a ditch or a canal may stand or run, so it is for neither.
bool right_water(const core::Method& method, WaterKind kind) {
  static const std::set<WaterKind> running = {WaterKind::kSpring, WaterKind::kStream, WaterKind::kRiver};
  static const std::set<WaterKind> still = {WaterKind::kPond, WaterKind::kPool, WaterKind::kLakeMargin};
  static const std::set<std::string> any = {"ept-richness", "family-richness", "community-metrics", "habits"};
  if (any.contains(method.id)) return true;
  return (method.id == "pond-families" || method.id == "zooplankton-shares" ? still : running).contains(kind);
}

Slow slow_units(const core::Method& method, const core::Metric& metric, const Sheet& sheet) {
  std::map<std::string, std::vector<Found>> by_unit;
  std::set<std::string> all, taken;
  std::int64_t counted = 0;
  for (const Found& f : sheet.found) {
    if (!there(f)) continue;
    all.insert(f.name);
    const core::ScoreUnit* unit = unit_for(method, f.name);
    if (unit == nullptr || !sure(f)) continue;
    if (unit->stage && f.stage != LifeStage::kUnknown && f.stage != *unit->stage) continue;
    by_unit[unit->name].push_back(f);
    taken.insert(f.name);
    if (f.quantity == QuantityKind::kCount) counted += f.min;
  }
  Slow slow;
  slow.scoring = by_unit.size();
  slow.unscored = all.size() - taken.size();
  slow.in_scope = right_water(method, sheet.kind) &&
                  (method.id != "family-biotic-index" || counted >= 100 || by_unit.empty());
  if (by_unit.empty()) return slow;
  slow.by =
      metric.formula == core::FormulaKind::kMeanScore || metric.formula == core::FormulaKind::kWeightedMean
          ? 0
          : 1;
  for (const auto& [name, records] : by_unit) {
    const core::ScoreUnit& unit = *std::find_if(method.units.begin(), method.units.end(),
                                                [&](const auto& u) { return u.name == name; });
    const auto weight = [&](const std::string& code) {
      for (const core::GroupWeight& w : method.weights)
        if (w.group == unit.group && w.code == code) return thousandths(w.weight);
      return std::int64_t{-1'000'000'000};
    };
    switch (metric.formula) {
      case core::FormulaKind::kSumOfScores:
        slow.sum += thousandths(unit.score);
        break;
      case core::FormulaKind::kMeanScore:
        slow.sum += thousandths(unit.score);
        slow.by += 1;
        break;
      case core::FormulaKind::kGroupWeights:
        slow.sum += weight("");
        break;
      case core::FormulaKind::kWeightedMean:
        for (const Found& f : records) {
          if (f.quantity != QuantityKind::kCount) return slow;
          slow.sum += f.min * thousandths(unit.score);
          slow.by += f.min;
        }
        break;
      case core::FormulaKind::kGroupCodeWeights: {
        long double low = 0, high = 0;
        for (const Found& f : records) {
          const auto times =
              static_cast<long double>(f.quantity == QuantityKind::kCount ? sheet.sorted_one_in : 1);
          low += times * static_cast<long double>(f.min);
          high += f.max == RecordColumns::kOpen ? 1e30L : times * static_cast<long double>(f.max);
        }
        std::string code;
        for (const core::AbundanceClass& c : core::abundance_classes())
          if (c.scheme == method.abundance_scheme && low >= static_cast<long double>(c.min_count) &&
              (c.max_count < 0 || high <= static_cast<long double>(c.max_count)))
            code = c.code;
        if (code.empty()) return slow;
        slow.sum += weight(code);
        break;
      }
      default:
        break;
    }
  }
  slow.has_value = true;
  return slow;
}

// The trait table read as rows of text: taxon, then trait, then what it says.
struct TraitLine {
  std::string trait, has, stages;
};
const std::multimap<std::string, TraitLine>& trait_lines() {
  static const auto lines = [] {
    const core::Table table = core::read_csv(core::reference_file("traits.csv"), "traits.csv");
    std::multimap<std::string, TraitLine> read;
    for (const core::TableRow& row : table.rows)
      read.emplace(row.cells[0], TraitLine{row.cells[1], row.cells[2], row.cells[3]});
    return read;
  }();
  return lines;
}

enum class Side { kOut, kOpen, kIn };

Side trait_side(const std::string& trait, const std::string& name, LifeStage stage) {
  for (const std::string& up : line_up(name)) {
    bool seen = false;
    const auto [begin, end] = trait_lines().equal_range(up);
    for (auto it = begin; it != end; ++it) {
      if (it->second.trait != trait) continue;
      const std::vector<std::string> stages = core::split(it->second.stages, '|');
      if (it->second.stages.empty() ||
          std::count(stages.begin(), stages.end(), core::life_stage_name(stage)) > 0)
        return it->second.has == "yes" ? Side::kIn : Side::kOut;
      seen = true;
    }
    if (seen) return stage == LifeStage::kUnknown ? Side::kOpen : Side::kOut;
  }
  for (const auto& [taxon, line] : trait_lines())
    if (line.trait == trait && line.has == "yes" &&
        std::count(line_up(taxon).begin(), line_up(taxon).end(), name) > 0)
      return Side::kOpen;
  return Side::kOut;
}

Side side_of(const std::vector<std::string>& set, const std::string& name, LifeStage stage) {
  if (set.empty()) return Side::kIn;
  if (line_up(name).empty()) return Side::kOpen;  // a name of nowhere
  Side best = Side::kOut;
  for (const std::string& part : set) {
    if (part.starts_with("trait:")) {
      best = std::max(best, trait_side(part.substr(6), name, stage));
      continue;
    }
    if (std::count(line_up(name).begin(), line_up(name).end(), part) > 0) best = Side::kIn;
    if (std::count(line_up(part).begin(), line_up(part).end(), name) > 0) best = std::max(best, Side::kOpen);
  }
  return best;
}

// Names found for sure, each with the stages at which it was; and those found only in doubt.
using Names = std::map<std::string, std::set<LifeStage>>;
std::pair<Names, Names> names_of(const Sheet& sheet) {
  Names sure_ones, doubted;
  for (const Found& f : sheet.found)
    if (there(f) && sure(f)) sure_ones[f.name].insert(f.stage);
  for (const Found& f : sheet.found)
    if (there(f) && !sure(f) && !sure_ones.contains(f.name)) doubted[f.name].insert(f.stage);
  return {sure_ones, doubted};
}

Side best_side(const std::vector<std::string>& set, const std::string& name,
               const std::set<LifeStage>& stages) {
  Side best = Side::kOut;
  for (const LifeStage stage : stages) best = std::max(best, side_of(set, name, stage));
  return best;
}

bool has_finer(const Names& names, const std::string& name) {
  return std::any_of(names.begin(), names.end(), [&](const auto& other) {
    return other.first != name &&
           std::count(line_up(other.first).begin(), line_up(other.first).end(), name) > 0;
  });
}

// What a name counts as: itself, or the name at the level above it; empty: too coarse.
std::string counts_as(const core::Metric& metric, const std::string& name) {
  if (!metric.level) return name;
  for (const std::string& up : line_up(name))
    if (core::checklist().find(up)->rank == *metric.level) return up;
  return {};
}

Slow slow_share(const core::Metric& metric, const Sheet& sheet) {
  const auto [all, doubted] = names_of(sheet);
  const bool animals = metric.formula != core::FormulaKind::kTaxaShare;
  const bool commonest = metric.formula == core::FormulaKind::kDominance;
  std::int64_t in = 0, whole = 0;
  std::set<std::string> told;
  std::map<std::string, std::int64_t> by_taxon;
  bool left_out = false, uncounted = false, doubt = false;
  if (animals) {
    for (const Found& f : sheet.found) {
      if (!there(f) || !sure(f)) continue;
      const Side base = side_of(metric.base, f.name, f.stage), set = side_of(metric.set, f.name, f.stage);
      if (base == Side::kOut || (commonest && set == Side::kOut)) continue;
      if (base == Side::kOpen || set == Side::kOpen) {
        left_out = true;
        continue;
      }
      told.insert(f.name);
      if (f.quantity != QuantityKind::kCount) {
        uncounted = true;
        continue;
      }
      whole += f.min;
      in += set == Side::kIn ? f.min : 0;
      const std::string as = counts_as(metric, f.name);
      by_taxon[as.empty() ? f.name : as] += f.min;
    }
    if (commonest) in = 0;
    for (const auto& [name, count] : by_taxon)
      if (commonest) in = std::max(in, count);
  } else {
    std::map<std::string, Side> sides;
    for (const auto& [name, stages] : all) {
      const Side base = best_side(metric.base, name, stages), set = best_side(metric.set, name, stages);
      if (base == Side::kOut || (!metric.level && has_finer(all, name))) continue;
      const std::string as = counts_as(metric, name);
      const Side side = as.empty() || base == Side::kOpen ? Side::kOpen : set;
      if (side != Side::kOpen) told.insert(name);
      Side& known = sides.try_emplace(as.empty() ? "too coarse: " + name : as, side).first->second;
      known = std::max(known, side);
    }
    for (const auto& [name, side] : sides) {
      left_out = left_out || side == Side::kOpen;
      whole += side == Side::kOpen ? 0 : 1;
      in += side == Side::kIn ? 1 : 0;
    }
  }
  for (const auto& [name, stages] : doubted)
    doubt = doubt || (best_side(metric.base, name, stages) != Side::kOut &&
                      best_side(metric.set, name, stages) != Side::kOut);
  Slow slow;
  slow.sum = 100 * kThousand * in;
  slow.by = whole;
  slow.scoring = told.size();
  slow.unscored = all.size() - told.size() + doubted.size();
  slow.has_value = whole > 0 && !uncounted && (in > 0 || (!left_out && !doubt));
  return slow;
}

Slow slow_richness(const core::Metric& metric, const Sheet& sheet) {
  const auto [all, doubted] = names_of(sheet);
  std::set<std::string> counted, lost, absences;
  for (const Found& f : sheet.found)
    if (!there(f) && sure(f)) absences.insert(f.name);
  bool lost_inside = false, vague = false;
  const auto lose = [&](Side side) {
    lost_inside = lost_inside || side == Side::kIn;
    vague = vague || side == Side::kOpen;
  };
  for (const auto& [name, stages] : doubted) lose(best_side(metric.set, name, stages));
  Names inside;
  for (const auto& [name, stages] : all) {
    const Side side = best_side(metric.set, name, stages);
    if (side == Side::kIn && !counts_as(metric, name).empty()) {
      inside[name] = stages;
    } else {
      lost.insert(name);
      lose(side);
    }
  }
  for (const auto& [name, stages] : inside)
    if (metric.level || !has_finer(inside, name)) counted.insert(counts_as(metric, name));
  std::vector<std::string> members;
  for (const std::string& part : metric.set)
    if (!part.starts_with("trait:")) members.push_back(part);
  for (const auto& [taxon, line] : trait_lines())
    if (line.has == "yes" && std::count(metric.set.begin(), metric.set.end(), "trait:" + line.trait) > 0)
      members.push_back(taxon);
  const bool all_absent =
      !metric.set.empty() && std::all_of(members.begin(), members.end(), [&](const std::string& member) {
        const auto& line = line_up(member);
        return std::any_of(line.begin(), line.end(), [&](const auto& up) { return absences.contains(up); });
      });
  Slow slow;
  slow.sum = static_cast<std::int64_t>(counted.size()) * kThousand;
  slow.scoring = counted.size();
  slow.unscored = lost.size() + doubted.size();
  slow.has_value = !counted.empty() || (!lost_inside && (all_absent || (!all.empty() && !vague)));
  return slow;
}

std::vector<Found> random_sheet(std::mt19937& random, const std::vector<std::string>& names) {
  const auto upto = [&](int most) { return std::uniform_int_distribution<int>(0, most)(random); };
  std::vector<Found> sheet;
  const int style = upto(3);  // mostly counted, all counted, letters, anything
  const int most = 1 + upto(14);
  // Every other sheet holds animals of one corner of the tree: one order, say, or the small crustaceans.
  const int last = static_cast<int>(names.size()) - 1, corner = upto(1) == 0 ? upto(last) : -1;
  for (int i = 0; i < most; ++i) {
    // Few names, near one another in the tree, so that doubles, composites and coarser names are common.
    const std::size_t start =
        static_cast<std::size_t>(corner < 0 ? upto(last) : std::min(last, corner + upto(25)));
    Found f = n(names[start], upto(5) == 0 ? upto(400) : 1 + upto(20));
    if (style == 2 || (style == 3 && upto(2) == 0)) {
      static constexpr std::int64_t limits[][2] = {
          {1, 9}, {10, 99}, {100, 999}, {100, RecordColumns::kOpen}, {5, 20}};
      const auto& limit = limits[upto(4)];
      f = letter(f.name, limit[0], limit[1]);
    }
    if (style != 1 && upto(15) == 0) f = present(f.name);
    if (upto(9) == 0) f = absent(f.name);
    if (upto(7) == 0) f.certainty = static_cast<float>(upto(10)) / 10.0F;
    f.stage = upto(4) == 0 ? (upto(1) == 0 ? LifeStage::kAdult : LifeStage::kLarva) : LifeStage::kUnknown;
    sheet.push_back(f);
    if (upto(2) == 0) {  // its parent beside it
      const auto& line = line_up(f.name);
      if (line.size() > 1) sheet.push_back({line[1], f.quantity, f.min, f.max, f.stage, f.certainty, ""});
    }
  }
  if (upto(7) == 0)  // the three orders looked for in vain, or two of them
    for (const char* order : {"Ephemeroptera", "Plecoptera", "Trichoptera"})
      if (upto(9) != 0) sheet.push_back(absent(order));
  return sheet;
}

}  // namespace

TEST_CASE("random samples score the same as by a slow scorer of sets and maps, for every method" *
          doctest::test_suite("many draws")) {
  std::vector<std::string> names = {"wriggly thing", "grey blob"};
  for (const core::ChecklistEntry& entry : core::checklist().entries()) names.push_back(entry.name);
  std::mt19937 random(20240503);
  static constexpr WaterKind kinds[] = {
      WaterKind::kStream, WaterKind::kStream,     WaterKind::kRiver, WaterKind::kSpring, WaterKind::kPond,
      WaterKind::kPool,   WaterKind::kLakeMargin, WaterKind::kDitch, WaterKind::kCanal,  WaterKind::kUnknown};
  std::vector<Sheet> sheets;
  SurveyBuilder b;
  std::vector<SiteIndex> sites;
  for (const WaterKind kind : kinds) sites.push_back(b.site("site " + std::to_string(sites.size()), kind));
  for (std::size_t site = 0; site < sites.size(); ++site)
    for (int i = 0; i < 300; ++i) {
      static constexpr std::int64_t shares[] = {1, 1, 2, 4, 10};
      const std::int64_t one_in = shares[random() % 5];
      sheets.push_back({kinds[site], one_in, random_sheet(random, names)});
      b.sample(sites[site], "2024-05-03", sheets.back().found, SampleKind::kRoutine,
               1.0 / static_cast<double>(one_in));
    }
  for (const core::Method& method : core::shipped_methods()) {
    const core::ScoreTable table = core::score_samples(b.snapshot(), method);
    for (std::size_t m = 0; m < method.metrics.size(); ++m) {
      const core::Metric& metric = method.metrics[m];
      std::size_t with_value = 0, with_class = 0, out_of_scope = 0;
      for (std::size_t s = 0; s < sheets.size(); ++s) {
        const core::SampleScore& fast = table.metrics[m][s];
        Slow slow = !core::uses_set(metric.formula)                  ? slow_units(method, metric, sheets[s])
                    : metric.formula == core::FormulaKind::kRichness ? slow_richness(metric, sheets[s])
                                                                     : slow_share(metric, sheets[s]);
        if (core::uses_set(metric.formula)) slow.in_scope = right_water(method, sheets[s].kind);
        with_value += slow.has_value ? 1 : 0;
        out_of_scope += slow.in_scope ? 0 : 1;
        INFO(method.id, " ", metric.id, " sample ", s);
        if (fast.has_value != slow.has_value) FAIL_CHECK("value given or not");
        // A fraction of whole numbers, divided once, against a sum of whole numbers, divided once.
        if (slow.has_value && !near(fast.value, slow.value(), 1e-12 * std::max(1.0, slow.value())))
          FAIL_CHECK(fast.value, " wanted ", slow.value());
        if (fast.scoring_taxa != slow.scoring)
          FAIL_CHECK("scoring ", fast.scoring_taxa, " wanted ", slow.scoring);
        if (fast.unscored_taxa != slow.unscored)
          FAIL_CHECK("unscored ", fast.unscored_taxa, " wanted ", slow.unscored);
        if (fast.in_scope != slow.in_scope) FAIL_CHECK("in scope or not");
        const std::string wanted = slow_class(metric, slow);
        with_class += wanted.empty() ? 0 : 1;
        if (core::class_name(metric, fast.class_rank) != wanted)
          FAIL_CHECK("class ", std::string(core::class_name(metric, fast.class_rank)), " wanted ", wanted);
      }
      CAPTURE(metric.id);
      CHECK(with_value >
            (metric.base.empty()
                 ? 200
                 : 50));  // the sheets do reach the formula, the classes and the limits of the scope
      if (!metric.bands.empty()) CHECK(with_class > 100);
      if (method.flow != core::Flow::kUncertain) CHECK(out_of_scope > 200);
    }
  }
}

TEST_CASE("the order of records changes nothing, not even the last digit") {
  std::vector<std::string> names;
  for (const core::ChecklistEntry& entry : core::checklist().entries()) names.push_back(entry.name);
  std::mt19937 random(7);
  SurveyBuilder plain, shuffled;
  const SiteIndex a = plain.site("S1", WaterKind::kStream), c = shuffled.site("S1", WaterKind::kStream);
  for (int i = 0; i < 500; ++i) {
    std::vector<Found> sheet = random_sheet(random, names);
    plain.sample(a, "2024-05-03", sheet);
    std::shuffle(sheet.begin(), sheet.end(), random);
    shuffled.sample(c, "2024-05-03", sheet);
  }
  for (const core::Method& method : core::shipped_methods()) {
    const core::ScoreTable first = core::score_samples(plain.snapshot(), method);
    const core::ScoreTable second = core::score_samples(shuffled.snapshot(), method);
    for (std::size_t m = 0; m < first.metrics.size(); ++m)
      for (std::size_t s = 0; s < first.metrics[m].size(); ++s) {
        const core::SampleScore &x = first.metrics[m][s], &y = second.metrics[m][s];
        if (x.value != y.value || x.reasons != y.reasons || x.class_rank != y.class_rank ||
            x.scoring_taxa != y.scoring_taxa || x.unscored_taxa != y.unscored_taxa)
          FAIL_CHECK(method.id, " sample ", s);
      }
  }
}

TEST_CASE("the number of threads changes nothing") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  const char* const names[] = {"Baetis",  "Gammarus",    "Asellus",     "Leuctra",
                               "Tubifex", "Trichoptera", "Chironomidae"};
  std::mt19937 random(11);
  for (int i = 0; i < 90000; ++i)
    b.sample(site, "2024-05-03",
             {n(names[random() % 7], 1 + static_cast<int>(random() % 200)), n(names[random() % 7], 60)});
  for (const char* id : {"bmwp-a", "family-biotic-index", "three-group-abundance", "ept-richness"}) {
    const core::Method& method = *core::find_method(id);
    const core::ScoreTable one = core::score_samples(b.snapshot(), method, {.threads = 1});
    for (const unsigned threads : {2U, 3U, 7U}) {
      const core::ScoreTable many = core::score_samples(b.snapshot(), method, {.threads = threads});
      bool same = true;
      for (std::size_t m = 0; m < one.metrics.size(); ++m)
        for (std::size_t s = 0; s < one.metrics[m].size(); ++s)
          same = same && one.metrics[m][s].value == many.metrics[m][s].value &&
                 one.metrics[m][s].reasons == many.metrics[m][s].reasons &&
                 one.metrics[m][s].class_rank == many.metrics[m][s].class_rank;
      CHECK(same);
    }
  }
}
