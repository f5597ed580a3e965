// Random samples scored a second time, slowly and written differently: sets and maps of names, straight from
// the checklist and the method, with exact fractions instead of doubles where it matters.
#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <numeric>
#include <optional>
#include <random>
#include <set>

#include "core/reference/reference.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;  // the field sheet's words
namespace core = brookmark::core;

namespace {

std::vector<std::string> line_up(const std::string& name) {  // the name, then its parents
  std::vector<std::string> line;
  for (const core::ChecklistEntry* e = core::checklist().find(name);
       e != nullptr && e->name == (line.empty() ? name : e->name);
       e = e->parent.empty() ? nullptr : core::checklist().find(e->parent))
    line.push_back(e->name);
  return line;
}

const core::ScoreUnit* unit_for(const core::Method& method, const std::string& name) {
  for (const std::string& up : line_up(name))
    for (const core::ScoreUnit& unit : method.units)
      if (std::count(unit.members.begin(), unit.members.end(), up) > 0) return &unit;
  return nullptr;
}

bool there(const Found& f) {
  return f.quantity != QuantityKind::kAbsent && f.min > 0;
}

struct Slow {
  std::optional<double> value;
  std::size_t scoring = 0, unscored = 0;
};

Slow slow_units(const core::Method& method, const core::Metric& metric, const std::vector<Found>& sheet) {
  std::map<std::string, std::vector<Found>> by_unit;
  std::set<std::string> all, taken;
  for (const Found& f : sheet) {
    if (!there(f)) continue;
    all.insert(f.name);
    const core::ScoreUnit* unit = unit_for(method, f.name);
    if (unit == nullptr) continue;
    if (unit->stage && f.stage != LifeStage::kUnknown && f.stage != *unit->stage) continue;
    by_unit[unit->name].push_back(f);
    taken.insert(f.name);
  }
  Slow slow{std::nullopt, by_unit.size(), all.size() - taken.size()};
  if (by_unit.empty()) return slow;
  long double sum = 0, weights = 0;
  for (const auto& [name, records] : by_unit) {
    const core::ScoreUnit& unit = *std::find_if(method.units.begin(), method.units.end(),
                                                [&](const auto& u) { return u.name == name; });
    const auto weight = [&](const std::string& code) {
      for (const core::GroupWeight& w : method.weights)
        if (w.group == unit.group && w.code == code) return w.weight;
      return -1e9;
    };
    switch (metric.formula) {
      case core::FormulaKind::kSumOfScores:
        sum += unit.score;
        weights = 1;
        break;
      case core::FormulaKind::kMeanScore:
        sum += unit.score;
        weights += 1;
        break;
      case core::FormulaKind::kGroupWeights:
        sum += weight("");
        weights = 1;
        break;
      case core::FormulaKind::kWeightedMean:
        for (const Found& f : records) {
          if (f.quantity != QuantityKind::kCount) return slow;
          sum += static_cast<long double>(f.min) * unit.score;
          weights += static_cast<long double>(f.min);
        }
        break;
      case core::FormulaKind::kGroupCodeWeights: {
        long double low = 0, high = 0;
        for (const Found& f : records) {
          low += static_cast<long double>(f.min);
          high += f.max == RecordColumns::kOpen ? 1e30L : static_cast<long double>(f.max);
        }
        std::string code;
        for (const core::AbundanceClass& c : core::abundance_classes())
          if (c.scheme == method.abundance_scheme && low >= static_cast<long double>(c.min_count) &&
              (c.max_count < 0 || high <= static_cast<long double>(c.max_count)))
            code = c.code;
        if (code.empty()) return slow;
        sum += weight(code);
        weights = 1;
        break;
      }
      case core::FormulaKind::kRichness:
        break;
    }
  }
  slow.value = static_cast<double>(sum / weights);
  return slow;
}

Slow slow_richness(const core::Metric& metric, const std::vector<Found>& sheet) {
  const auto inside = [&](const std::string& name) {
    if (metric.set.empty()) return true;
    for (const std::string& up : line_up(name))
      if (std::count(metric.set.begin(), metric.set.end(), up) > 0) return true;
    return false;
  };
  std::set<std::string> all, counted, lost;
  bool unsure = false;
  for (const Found& f : sheet)
    if (there(f)) all.insert(f.name);
  for (const std::string& name : all) {
    const auto line = line_up(name);
    if (!inside(name) || line.empty()) {
      lost.insert(name);
      unsure = unsure || line.empty();
      for (const std::string& member : metric.set) {
        const auto above = line_up(member);
        unsure = unsure || std::count(above.begin(), above.end(), name) > 0;
      }
    } else if (metric.level) {
      const auto at = std::find_if(line.begin(), line.end(), [&](const std::string& up) {
        return core::checklist().find(up)->rank == *metric.level;
      });
      if (at != line.end()) {
        counted.insert(*at);
      } else {
        lost.insert(name);
        unsure = true;
      }
    } else {
      const bool covered = std::any_of(all.begin(), all.end(), [&](const std::string& other) {
        const auto up = line_up(other);
        return other != name && std::count(up.begin(), up.end(), name) > 0;
      });
      if (!covered) counted.insert(name);
    }
  }
  Slow slow{static_cast<double>(counted.size()), counted.size(), lost.size()};
  if (counted.empty() && unsure) slow.value.reset();
  return slow;
}

std::vector<Found> random_sheet(std::mt19937& random, const std::vector<std::string>& names) {
  const auto upto = [&](int most) { return std::uniform_int_distribution<int>(0, most)(random); };
  std::vector<Found> sheet;
  const int style = upto(3);  // mostly counted, all counted, letters, anything
  const int most = 1 + upto(14);
  for (int i = 0; i < most; ++i) {
    // Few names, near one another in the tree, so that doubles, composites and coarser names are common.
    const std::size_t start = static_cast<std::size_t>(upto(static_cast<int>(names.size()) - 1));
    Found f = n(names[start], upto(5) == 0 ? upto(400) : 1 + upto(20));
    if (style == 2 || (style == 3 && upto(2) == 0)) {
      static constexpr std::int64_t limits[][2] = {
          {1, 9}, {10, 99}, {100, 999}, {100, RecordColumns::kOpen}, {5, 20}};
      const auto& limit = limits[upto(4)];
      f = letter(f.name, limit[0], limit[1]);
    }
    if (style != 1 && upto(15) == 0) f = present(f.name);
    if (upto(9) == 0) f = absent(f.name);
    f.stage = upto(4) == 0 ? (upto(1) == 0 ? LifeStage::kAdult : LifeStage::kLarva) : LifeStage::kUnknown;
    sheet.push_back(f);
    if (upto(2) == 0) {  // its parent beside it
      const auto line = line_up(f.name);
      if (line.size() > 1) sheet.push_back({line[1], f.quantity, f.min, f.max, f.stage});
    }
  }
  return sheet;
}

}  // namespace

TEST_CASE("random samples score the same as by a slow scorer of sets and maps, for every method") {
  std::vector<std::string> names = {"wriggly thing", "grey blob"};
  for (const core::ChecklistEntry& entry : core::checklist().entries()) names.push_back(entry.name);
  std::mt19937 random(20240503);
  std::vector<std::vector<Found>> sheets;
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  for (int i = 0; i < 3000; ++i) {
    sheets.push_back(random_sheet(random, names));
    b.sample(site, "2024-05-03", sheets.back());
  }
  for (const core::Method& method : core::shipped_methods()) {
    const core::ScoreTable table = core::score_samples(b.snapshot(), method);
    for (std::size_t m = 0; m < method.metrics.size(); ++m) {
      const core::Metric& metric = method.metrics[m];
      std::size_t with_value = 0;
      for (std::size_t s = 0; s < sheets.size(); ++s) {
        const core::SampleScore& fast = table.metrics[m][s];
        const Slow slow = metric.formula == core::FormulaKind::kRichness
                              ? slow_richness(metric, sheets[s])
                              : slow_units(method, metric, sheets[s]);
        const bool any = std::any_of(sheets[s].begin(), sheets[s].end(), there);
        const bool wants_value = any && slow.value.has_value();
        with_value += wants_value ? 1 : 0;
        INFO(method.id, " ", metric.id, " sample ", s);
        if (fast.has_value != wants_value) FAIL_CHECK("value given or not");
        // A long double sum of up to 30 terms, divided once, against an exact sum divided once.
        if (wants_value && !near(fast.value, *slow.value, 1e-12 * std::max(1.0, *slow.value)))
          FAIL_CHECK(fast.value, " wanted ", *slow.value);
        if (any && fast.scoring_taxa != slow.scoring)
          FAIL_CHECK("scoring ", fast.scoring_taxa, " wanted ", slow.scoring);
        if (any && fast.unscored_taxa != slow.unscored)
          FAIL_CHECK("unscored ", fast.unscored_taxa, " wanted ", slow.unscored);
        const core::ClassBand* band =
            wants_value && fast.in_scope ? core::class_of(metric, fast.value) : nullptr;
        if (fast.class_rank != (band == nullptr ? 0 : band->rank)) FAIL_CHECK("class");
      }
      CHECK(with_value > 200);  // the sheets do reach the formula
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
