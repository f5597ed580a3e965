// What makes a method usable as a whole: its parts must fit one another, the checklist and the abundance
// schemes.
#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/method_file_internal.hpp"
#include "core/taxa/checklist.hpp"
#include "core/taxa/traits.hpp"

namespace brookmark::core {

bool uses_codes(FormulaKind formula) {
  return formula == FormulaKind::kGroupCodeWeights || formula == FormulaKind::kMeanCodeWeight;
}

bool any_metric(const Method& method, bool (*uses)(FormulaKind)) {
  return std::any_of(method.metrics.begin(), method.metrics.end(),
                     [&](const Metric& m) { return uses(m.formula); });
}

namespace {

bool uses_units(FormulaKind formula) {
  return !uses_set(formula);
}
bool uses_scores(FormulaKind formula) {
  return formula == FormulaKind::kSumOfScores || formula == FormulaKind::kMeanScore ||
         formula == FormulaKind::kWeightedMean;
}
bool is_share(FormulaKind formula) {
  return formula == FormulaKind::kTaxaShare || formula == FormulaKind::kAnimalShare;
}
bool uses_groups(FormulaKind formula) {
  return uses_codes(formula) || formula == FormulaKind::kGroupWeights;
}

bool has_formula(const Method& method, FormulaKind formula) {
  return std::any_of(method.metrics.begin(), method.metrics.end(),
                     [&](const Metric& m) { return m.formula == formula; });
}

// Complains at the line that names the formula: that is where the need comes from.
[[noreturn]] void fail_at_formula(const MethodDraft& draft, bool (*uses)(FormulaKind),
                                  const std::string& sentence) {
  const auto metric = std::find_if(draft.method.metrics.begin(), draft.method.metrics.end(),
                                   [&](const Metric& m) { return uses(m.formula); });
  draft.tables.at("method").fail(draft.descriptor_rows.at(metric->id + ".formula"), "value", sentence);
}

std::string near_names(const std::string& name) {
  std::string text;
  const auto near = checklist().propose(name, 3);
  for (std::size_t i = 0; i < near.size(); ++i)
    text += (i == 0 ? "; did you mean \"" : i + 1 == near.size() ? "\" or \"" : "\", \"") + near[i].name;
  return text.empty() ? "; write an accepted name" : text + "\"?";
}

void check_name(const std::string& name, const MethodTable& table, std::size_t row, std::string_view column) {
  const ChecklistEntry* entry = checklist().find(name);
  if (entry == nullptr) {
    table.fail(row, column, "the checklist has no taxon \"" + name + "\"" + near_names(name));
  }
  if (entry->name != name)
    table.fail(row, column,
               "\"" + name + "\" is another name of \"" + entry->name + "\"; write the accepted name");
}

void check_units(const MethodDraft& draft, MethodFaults& faults) {
  const Method& method = draft.method;
  const auto found = draft.tables.find("scores");
  const bool sound = draft.sound.contains("method");
  if (sound && !any_metric(method, uses_units)) return;
  if (draft.unreadable.contains("scores")) return;
  if (found == draft.tables.end() || (method.units.empty() && draft.sound.contains("scores"))) {
    faults.guard([&] {
      if (sound)
        fail_at_formula(draft, uses_units,
                        "this formula needs a score table; add " + method.id + ".scores.csv with its lines");
    });
    return;
  }
  const MethodTable& table = found->second;
  std::set<std::string> taken;
  for (std::size_t u = 0; u < method.units.size(); ++u) {
    const ScoreUnit& unit = method.units[u];
    const std::size_t row = draft.unit_rows[u];
    for (const std::string& member : unit.members)
      faults.guard([&] {
        check_name(member, table, row, "members");
        if (!taken.insert(member).second)
          table.fail(row, "members",
                     "\"" + member + "\" belongs to two lines; a taxon can score in one only");
      });
    for (const std::string& name : unit.except) faults.guard([&] { check_name(name, table, row, "except"); });
    faults.guard([&] {
      if (sound && any_metric(method, uses_scores) && table.cell(row, "score").empty())
        table.fail(row, "score", "the line has no score");
      if (sound && any_metric(method, uses_groups) && unit.group.empty())
        table.fail(row, "group", "the line names no group");
    });
  }
}

void check_group_codes(const MethodDraft& draft, MethodFaults& faults) {
  const Method& method = draft.method;
  if (method.abundance_scheme.empty())
    fail_at_formula(draft, uses_codes, "a formula with abundance codes needs a line abundance_scheme");
  const auto has_weight = [&](const std::string& group, const std::string& code) {
    return std::any_of(method.weights.begin(), method.weights.end(),
                       [&](const GroupWeight& w) { return w.group == group && w.code == code; });
  };
  std::set<std::string> codes;
  for (const AbundanceClass& c : abundance_classes())
    if (c.scheme == method.abundance_scheme) codes.insert(c.code);
  for (std::size_t w = 0; w < method.weights.size(); ++w)
    faults.guard([&] {
      if (!method.weights[w].code.empty() && !codes.contains(method.weights[w].code))
        draft.tables.at("weights").fail(
            draft.weight_rows[w], "code",
            "the scheme \"" + method.abundance_scheme + "\" has no code \"" + method.weights[w].code + "\"");
    });
  for (std::size_t u = 0; u < method.units.size(); ++u)
    for (const std::string& code : codes)
      faults.guard([&] {
        if (!has_weight(method.units[u].group, code))
          draft.tables.at("scores").fail(draft.unit_rows[u], "group",
                                         "the weights table has no line for the group \"" +
                                             method.units[u].group + "\" and the code \"" + code + "\"");
      });
}

void check_groups(const MethodDraft& draft, MethodFaults& faults) {
  const Method& method = draft.method;
  if (!any_metric(method, uses_groups)) return;
  if (!draft.tables.contains("weights") || method.weights.empty())
    fail_at_formula(draft, uses_groups,
                    "this formula needs group weights; add " + method.id + ".weights.csv with its lines");
  const MethodTable& table = draft.tables.at("weights");
  for (std::size_t w = 0; w < method.weights.size(); ++w) {
    const GroupWeight& weight = method.weights[w];
    faults.guard([&] {
      if (std::none_of(method.units.begin(), method.units.end(),
                       [&](const ScoreUnit& u) { return u.group == weight.group; }))
        table.fail(draft.weight_rows[w], "group",
                   "no line of the score table is in the group \"" + weight.group + "\"");
    });
  }
  if (any_metric(method, uses_codes)) check_group_codes(draft, faults);
  if (has_formula(method, FormulaKind::kGroupWeights))
    for (std::size_t u = 0; u < method.units.size(); ++u)
      faults.guard([&] {
        if (std::none_of(method.weights.begin(), method.weights.end(), [&](const GroupWeight& w) {
              return w.code.empty() && w.group == method.units[u].group;
            }))
          draft.tables.at("scores").fail(draft.unit_rows[u], "group",
                                         "the weights table has no line for the group \"" +
                                             method.units[u].group + "\" with an empty code");
      });
}

// A band as whole steps of the metric's rounding: everything from `first` up to and with `last`.
struct Steps {
  double first, last;
};

Steps steps_of(const ClassBand& band, int decimals) {
  const double scale = std::pow(10.0, decimals), infinity = std::numeric_limits<double>::infinity();
  // Limits have six decimals at most, so a millionth of a step is noise of the multiplication.
  Steps steps{-infinity, infinity};
  if (band.lower) {
    const double at = *band.lower * scale, whole = std::ceil(at - 1e-6);
    steps.first = band.lower_open && std::abs(whole - at) < 1e-6 ? whole + 1 : whole;
  }
  if (band.upper) {
    const double at = *band.upper * scale, whole = std::floor(at + 1e-6);
    steps.last = band.upper_open && std::abs(whole - at) < 1e-6 ? whole - 1 : whole;
  }
  return steps;
}

// Two neighbours must meet: every rounded value between their outer ends lies in exactly one of them.
void check_neighbours(const ClassBand& low, const ClassBand& high, const Metric& metric,
                      const MethodTable& table, std::size_t row) {
  const std::string names = "\"" + low.name + "\" and \"" + high.name + "\"";
  int meeting = 0;  // -1 overlap, 1 gap
  if (!low.upper || !high.lower) {
    meeting = -1;
  } else if (metric.decimals) {
    const double last = steps_of(low, *metric.decimals).last, first = steps_of(high, *metric.decimals).first;
    meeting = first <= last ? -1 : first > last + 1 ? 1 : 0;
  } else if (*high.lower == *low.upper) {
    meeting = !low.upper_open && !high.lower_open ? -1 : low.upper_open && high.lower_open ? 1 : 0;
  } else {
    meeting = *high.lower < *low.upper ? -1 : 1;
  }
  if (meeting < 0)
    table.fail(
        row, "lower",
        "the classes " + names + " overlap, or do not run from best to worst; a value may fit one only");
  if (meeting > 0)
    table.fail(row, "lower",
               "there is a gap between the classes " + names +
                   (metric.decimals ? " after rounding to " + std::to_string(*metric.decimals) + " decimals"
                                    : std::string("; set NAME.decimals if the source rounds first")));
}

void check_band(const Metric& metric, std::size_t b, const MethodTable& table, std::size_t row) {
  const ClassBand& band = metric.bands[b];
  if (band.lower && band.upper && *band.lower > *band.upper)
    table.fail(row, "lower", "the lower limit of \"" + band.name + "\" is above its upper limit");
  const bool empty =
      metric.decimals
          ? steps_of(band, *metric.decimals).first > steps_of(band, *metric.decimals).last
          : band.lower && band.upper && *band.lower == *band.upper && (band.lower_open || band.upper_open);
  if (empty) table.fail(row, "lower", "no value can fall into the class \"" + band.name + "\"");
  if (b == 0) return;
  const ClassBand& better = metric.bands[b - 1];
  if (metric.higher_is_better)
    check_neighbours(band, better, metric, table, row);
  else
    check_neighbours(better, band, metric, table, row);
}

void check_bands(const MethodDraft& draft, MethodFaults& faults) {
  for (std::size_t m = 0; m < draft.method.metrics.size(); ++m)
    for (std::size_t b = 0; b < draft.method.metrics[m].bands.size(); ++b)
      faults.guard(
          [&] { check_band(draft.method.metrics[m], b, draft.tables.at("bands"), draft.band_rows[m][b]); });
}

void check_set_part(const std::string& part, const MethodTable& table, std::size_t row) {
  const std::string_view trait = trait_in_set(part);
  if (trait.empty())
    check_name(part, table, row, "value");
  else if (!traits().knows(trait))
    table.fail(row, "value",
               "no trait is called \"" + std::string(trait) + "\"; see core/reference/traits.csv");
}

// Whether the metric may have this line at all.
void check_set_line(const Metric& metric, std::string_view field, const MethodTable& table, std::size_t row) {
  if (!uses_set(metric.formula))
    table.fail(row, "key",
               "only a metric with the formula richness, dominance or a share has a set or a level");
  if (field == "of" && !is_share(metric.formula))
    table.fail(row, "key", "only a share is a share \"of\" something");
  if (field == "level" && metric.formula == FormulaKind::kAnimalShare)
    table.fail(row, "key", "a share of animals counts animals, not taxa: it has no level");
}

void check_sets(const MethodDraft& draft, MethodFaults& faults) {
  const MethodTable& table = draft.tables.at("method");
  for (const Metric& metric : draft.method.metrics) {
    if (is_share(metric.formula) && !draft.descriptor_rows.contains(metric.id + ".set"))
      faults.guard([&] {
        table.fail(draft.descriptor_rows.at(metric.id + ".formula"), "value",
                   "a share needs a line " + metric.id + ".set: what is counted");
      });
    for (const char* field : {"set", "of", "level"}) {
      const auto row = draft.descriptor_rows.find(metric.id + "." + field);
      if (row == draft.descriptor_rows.end()) continue;
      faults.guard([&] { check_set_line(metric, field, table, row->second); });
      if (std::string_view(field) == "level") continue;
      for (const std::string& part : std::string_view(field) == "of" ? metric.base : metric.set)
        faults.guard([&] { check_set_part(part, table, row->second); });
    }
  }
}

}  // namespace

void check_method(const MethodDraft& draft, MethodFaults& faults) {
  const auto sound = [&](std::initializer_list<const char*> tables) {
    return std::all_of(tables.begin(), tables.end(), [&](const char* name) {
      return draft.sound.contains(name) ||
             (draft.tables.count(name) == 0 && std::string_view(name) != "method");
    });
  };
  if (sound({"method"})) check_sets(draft, faults);
  check_units(draft, faults);
  if (sound({"method", "scores", "weights"})) faults.guard([&] { check_groups(draft, faults); });
  if (sound({"method", "bands"})) check_bands(draft, faults);
}

}  // namespace brookmark::core
