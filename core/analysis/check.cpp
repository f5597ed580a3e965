#include "core/analysis/check.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <tuple>

#include "core/analysis/catchments.hpp"
#include "core/base/text.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

namespace {

// What a field measurement can be, and what it usually is. Outside `possible` the value is a mistake;
// outside `usual` it is out of line: it may be true, and should be looked at again. Common practice, no
// source.
struct Limits {
  const char* quantity;  // in the sentence
  const char* names;     // folded names, separated by '|'
  const char* unit;      // plain unit; "" where the quantity has none
  double possible_min, possible_max;
  double usual_min, usual_max;
};

constexpr double kAny = 1e300;  // no limit
constexpr const char* kOxygenNames =
    "oxygen|dissolved oxygen|o2|do|oxyg|oxygen saturation|dissolved oxygen saturation|oxygen concentration|"
    "saturation";

constexpr std::array<Limits, 5> kLimits{{
    {"pH", "ph|ph value", "", 0, 14, 0, 14},
    {"water temperature", "temperature|water temperature|temp|water temp", "degc", -kAny, kAny, -1, 40},
    {"dissolved oxygen", kOxygenNames, "mg/l", 0, kAny, 0, 25},
    {"oxygen saturation", kOxygenNames, "%", 0, kAny, 20, 200},
    {"conductivity", "conductivity|cond|electrical conductivity|specific conductance|ec", "us/cm", 0, kAny, 0,
     100'000},
}};

struct PlainUnit {
  const char* written;
  const char* plain;
  double factor;
};
// Written without spaces, in lower case, with the micro sign as u.
constexpr std::array<PlainUnit, 24> kUnits{{{"degc", "degc", 1},
                                            {"\u00b0c", "degc", 1},
                                            {"c", "degc", 1},
                                            {"celsius", "degc", 1},
                                            {"cel", "degc", 1},
                                            {"\u2103", "degc", 1},
                                            {"mg/l", "mg/l", 1},
                                            {"mgl-1", "mg/l", 1},
                                            {"ppm", "mg/l", 1},
                                            {"mg/lo2", "mg/l", 1},
                                            {"mgo2/l", "mg/l", 1},
                                            {"%", "%", 1},
                                            {"percent", "%", 1},
                                            {"%sat", "%", 1},
                                            {"%saturation", "%", 1},
                                            {"us/cm", "us/cm", 1},
                                            {"uscm-1", "us/cm", 1},
                                            {"ms/m", "us/cm", 10},
                                            {"ms/cm", "us/cm", 1000},
                                            {"s/m", "us/cm", 10'000},
                                            {"ph", "", 1},
                                            {"phunits", "", 1},
                                            {"-", "", 1},
                                            {"", "", 1}}};

std::string plain_spelling(std::string_view unit) {
  std::string plain = to_lower_ascii(unit);
  std::erase(plain, ' ');
  for (const std::string_view micro : {"\u00b5", "\u03bc"})
    for (auto at = plain.find(micro); at != std::string::npos; at = plain.find(micro))
      plain.replace(at, 2, "u");
  return plain;
}

bool in_list(std::string_view list, std::string_view word) {
  while (!list.empty()) {
    const auto end = list.find('|');
    if (list.substr(0, end) == word) return true;
    list = end == std::string_view::npos ? std::string_view{} : list.substr(end + 1);
  }
  return false;
}

class Checker {
 public:
  Checker(const Snapshot& survey, const ChannelNetwork& network, Date today)
      : survey_(survey), network_(network), today_(today) {}

  std::vector<Finding> run() {
    dates();
    measurements();
    blanks();
    samples();
    taxa();
    positions();
    catchments();
    channels();
    reaches();
    sites();
    std::stable_sort(findings_.begin(), findings_.end(),
                     [](const Finding& a, const Finding& b) { return a.severity > b.severity; });
    return std::move(findings_);
  }

 private:
  void find(Severity severity, std::string what, std::string where, std::string text) {
    findings_.push_back({severity, std::move(what), std::move(where), std::move(text)});
  }
  std::string site(std::size_t i) const { return "site " + std::string(survey_.sites.code[i]); }
  std::string sample(std::size_t i) const { return "sample " + std::string(survey_.samples.code[i]); }
  std::string visit(std::size_t i) const {
    return "visit to " + site(survey_.visits.site[i].value()) + " on " +
           format_date(survey_.visits.start[i].date);
  }
  std::size_t record_count(std::size_t sample) const {
    return survey_.samples.record_begin[sample + 1] - survey_.samples.record_begin[sample];
  }

  void dates() {
    for (std::size_t v = 0; v < survey_.visits.size(); ++v)
      if (survey_.visits.start[v].date > today_)
        find(Severity::kError, "date in the future", visit(v),
             "This visit is dated after today (" + format_date(today_) + "); correct its date.");
  }

  void measurements() {
    const MeasurementColumns& all = survey_.measurements;
    for (std::size_t m = 0; m < all.size(); ++m)
      if (all.value[m] && !all.below_detection[m]) measurement(m, *all.value[m]);
  }

  void measurement(std::size_t m, double value) {
    const MeasurementColumns& all = survey_.measurements;
    const std::string name = fold_name(all.quantity[m]);
    const std::string unit = plain_spelling(all.unit[m]);
    const auto known =
        std::find_if(kUnits.begin(), kUnits.end(), [&](const PlainUnit& u) { return unit == u.written; });
    if (known == kUnits.end()) return;  // a unit that is not known here cannot be judged
    const double plain = value * known->factor;
    for (const Limits& limits : kLimits) {
      if (std::string_view(limits.unit) != known->plain || !in_list(limits.names, name)) continue;
      const std::string where =
          all.sample[m].has_value() ? sample(all.sample[m].value()) : visit(all.visit[m].value());
      const std::string said = std::string(all.quantity[m]) + " " + std::string(all.verbatim_value[m]) +
                               (all.unit[m].empty() ? "" : " " + std::string(all.unit[m]));
      if (plain < limits.possible_min || plain > limits.possible_max)
        find(Severity::kError, "impossible measurement", where,
             said + " is not possible for " + limits.quantity + "; correct the value or its unit.");
      else if (plain < limits.usual_min || plain > limits.usual_max)
        find(Severity::kWarning, "measurement out of line", where,
             said + " is out of line for " + limits.quantity + " (usually " +
                 format_number(limits.usual_min) + " to " + format_number(limits.usual_max) +
                 (*limits.unit ? " " : "") + limits.unit +
                 "); look at the field sheet again. It is kept as it is.");
      return;
    }
  }

  void blanks() {
    for (std::size_t s = 0; s < survey_.samples.size(); ++s) {
      if (survey_.samples.kind[s] != SampleKind::kBlank) continue;
      std::size_t animals = 0;
      for (std::size_t r = survey_.samples.record_begin[s]; r < survey_.samples.record_begin[s + 1]; ++r)
        animals += survey_.records.quantity[r] != QuantityKind::kAbsent ? 1 : 0;
      if (animals > 0)
        find(Severity::kWarning, "animals in a blank", sample(s),
             "This blank has " + std::to_string(animals) + (animals == 1 ? " record" : " records") +
                 " of animals: something was carried over. Doubt the samples taken with the same kit that "
                 "day.");
    }
  }

  void samples() {
    for (std::size_t s = 0; s < survey_.samples.size(); ++s) {
      if (record_count(s) == 0 && survey_.samples.kind[s] != SampleKind::kBlank)
        find(Severity::kWarning, "sample without records", sample(s),
             "This sample has no records. If nothing was found, that is not recorded; if something was, "
             "import it.");
      repeated_taxa(s);
    }
  }

  void repeated_taxa(std::size_t s) {
    std::map<std::pair<std::size_t, LifeStage>, std::size_t> times;
    for (std::size_t r = survey_.samples.record_begin[s]; r < survey_.samples.record_begin[s + 1]; ++r)
      ++times[{survey_.records.taxon[r].value(), survey_.records.stage[r]}];
    for (const auto& [what, count] : times) {
      if (count < 2) continue;
      const std::string name(survey_.taxa.name[what.first]);
      find(Severity::kWarning, "taxon twice in one sample", sample(s),
           name +
               (what.second == LifeStage::kUnknown ? ""
                                                   : std::string(" (") + life_stage_name(what.second) + ")") +
               " stands " + std::to_string(count) +
               " times in this sample. If they are the same animals, keep one record.");
    }
  }

  void taxa() {
    std::vector<std::size_t> records(survey_.taxa.size(), 0);
    std::vector<std::size_t> first(survey_.taxa.size(), 0);
    for (std::size_t r = 0; r < survey_.records.size(); ++r) {
      const std::size_t taxon = survey_.records.taxon[r].value();
      if (records[taxon]++ == 0) first[taxon] = r;
    }
    for (std::size_t t = 0; t < survey_.taxa.size(); ++t) {
      if (survey_.taxa.listed[t] || records[t] == 0) continue;
      const std::string name(survey_.taxa.name[t]);
      std::string text = "\"" + name + "\" is not in the checklist (" + std::to_string(records[t]) +
                         (records[t] == 1 ? " record" : " records") + ", first in " +
                         sample(survey_.records.sample[first[t]].value()) + ").";
      const TaxonIndex parent = survey_.taxa.parent[t];
      if (parent.has_value()) {
        text +=
            " It is placed under " + std::string(survey_.taxa.name[parent.value()]) + " and counts with it.";
        find(Severity::kNote, "unlisted name", "taxon " + name, std::move(text));
        continue;
      }
      text += " It counts as a taxon and never scores.";
      const auto proposals = checklist().propose(name);
      for (std::size_t i = 0; i < proposals.size(); ++i)
        text += (i == 0                      ? " Did you mean "
                 : i + 1 == proposals.size() ? " or "
                                             : ", ") +
                proposals[i].name + (i + 1 == proposals.size() ? "?" : "");
      find(Severity::kWarning, "unlisted name", "taxon " + name, std::move(text));
    }
  }

  void positions() {
    for (std::size_t i = 0; i < survey_.sites.size(); ++i)
      if (!is_placed(survey_.sites.position[i]))
        find(Severity::kWarning, "site without a position", site(i),
             "This site is scored and listed, but it is not on the map and has no distances; note its "
             "position.");
  }

  void catchments() {
    if (survey_.catchments.empty()) return;
    const CatchmentNesting nesting = nest_catchments(survey_);
    for (std::size_t i = 0; i < survey_.sites.size(); ++i)
      if (is_placed(survey_.sites.position[i]) && !nesting.site_smallest[i].has_value())
        find(Severity::kWarning, "site outside every catchment", site(i),
             "This site lies in none of the survey's catchments; check its position.");
  }

  void channels() {
    if (network_.edges().empty()) return;
    const std::string within =
        " m; distances along the channel cannot be given for it. Check the position, or draw "
        "the missing watercourse.";
    const std::string reach_m = format_number(network_.options().max_snap_m);
    for (std::size_t i = 0; i < survey_.sites.size(); ++i)
      if (is_placed(survey_.sites.position[i]) && flow_of(survey_.sites.kind[i]) != Flow::kStill &&
          !network_.snap(survey_.sites.position[i]))
        find(Severity::kWarning, "site off every channel", site(i),
             "No watercourse lies within " + reach_m + within);
    for (const Outfall& outfall : survey_.outfalls)
      if (!network_.snap(outfall.position))
        find(Severity::kWarning, "outfall off every channel", "outfall " + outfall.code,
             "No watercourse lies within " + reach_m + within);
  }

  void reaches() {
    if (survey_.reaches.size() < 2) return;
    const RiverGraph& graph = network_.graph();
    const auto edges = network_.edges();
    std::vector<bool> joined(survey_.reaches.size(), false);
    std::vector<bool> drawn(survey_.reaches.size(), false);
    std::vector<std::set<std::size_t>> at_node(graph.node_count());
    for (std::size_t e = 0; e < edges.size(); ++e) {
      drawn[edges[e].reach.value()] = true;
      at_node[graph.edges()[e].from].insert(edges[e].reach.value());
      at_node[graph.edges()[e].to].insert(edges[e].reach.value());
    }
    for (const auto& meeting : at_node)
      if (meeting.size() > 1)
        for (const std::size_t reach : meeting) joined[reach] = true;
    for (std::size_t i = 0; i < survey_.reaches.size(); ++i)
      if (drawn[i] && !joined[i]) {
        const std::string name = survey_.reaches[i].name;
        find(Severity::kWarning, "reach joined to nothing",
             "reach " + (name.empty() ? std::to_string(i + 1) : name),
             "No other reach meets this one within " + format_number(network_.options().join_tolerance_m) +
                 " m; draw it up to its neighbour if they meet.");
      }
  }

  void sites() {
    for (std::size_t i = 0; i < survey_.sites.size(); ++i) {
      const auto [begin, end] = survey_.samples_of(SiteIndex(i));
      if (begin == end && survey_.sites.status[i] != SiteStatus::kProposed)
        find(Severity::kNote, "site without samples", site(i), "No sample has been taken at this site yet.");
    }
  }

  const Snapshot& survey_;
  const ChannelNetwork& network_;
  Date today_;
  std::vector<Finding> findings_;
};

}  // namespace

std::vector<Finding> check_survey(const Snapshot& snapshot, const ChannelNetwork& network, Date today) {
  return Checker(snapshot, network, today).run();
}

}  // namespace brookmark::core
