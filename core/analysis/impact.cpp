#include "core/analysis/impact.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include "core/analysis/outfalls.hpp"
#include "core/analysis/survey_trends.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

struct DayValue {
  Date date;
  std::string way;
  double value = 0;
  bool used = false;
};

std::vector<DayValue> days_of(const SiteValues& values, SiteIndex site) {
  std::map<std::pair<Date, std::string>, std::vector<double>> days;
  for (const SiteValue& one : values.values)
    if (one.site == site) days[{one.date, one.way}].push_back(one.value);
  std::vector<DayValue> out;
  for (auto& [key, several] : days) {
    std::sort(several.begin(), several.end());
    const double middle = (several[(several.size() - 1) / 2] + several[several.size() / 2]) / 2;
    out.push_back({key.first, key.second, middle});
  }
  return out;
}

std::vector<ImpactPair> form_pairs(std::vector<DayValue> control, std::vector<DayValue> impact,
                                   const ImpactOptions& options) {
  struct Candidate {
    int apart;
    std::size_t impact, control;
  };
  std::vector<Candidate> candidates;
  for (std::size_t i = 0; i < impact.size(); ++i)
    for (std::size_t c = 0; c < control.size(); ++c) {
      const int apart = std::abs(impact[i].date.days - control[c].date.days);
      const bool same_side = (impact[i].date < options.event) == (control[c].date < options.event);
      if (apart <= options.most_days_apart && same_side && impact[i].way == control[c].way &&
          season_number(impact[i].date) == season_number(control[c].date))
        candidates.push_back({apart, i, c});
    }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.apart < b.apart; });
  std::vector<ImpactPair> pairs;
  for (const Candidate& one : candidates) {
    DayValue &below = impact[one.impact], &above = control[one.control];
    if (below.used || above.used) continue;
    below.used = above.used = true;
    pairs.push_back(
        {above.date, below.date, above.value, below.value, below.way, !(below.date < options.event)});
  }
  std::sort(pairs.begin(), pairs.end(), [](const ImpactPair& a, const ImpactPair& b) {
    return std::tie(a.impact_date, a.way) < std::tie(b.impact_date, b.way);
  });
  return pairs;
}

std::string pairs_text(std::size_t count) {
  return std::to_string(count) + (count == 1 ? " pair" : " pairs");
}

double mean(const std::vector<double>& values) {
  double sum = 0;
  for (const double value : values) sum += value;
  return sum / static_cast<double>(values.size());
}

// C(a + b, a) as a double: only compared with small numbers.
double arrangements(std::size_t a, std::size_t b) {
  double count = 1;
  for (std::size_t i = 1; i <= a; ++i) count = count * static_cast<double>(b + i) / static_cast<double>(i);
  return count;
}

void compare(Impact& result, const ImpactOptions& options) {
  std::set<std::string> ways_before, ways_after;
  for (const ImpactPair& pair : result.pairs) (pair.after ? ways_after : ways_before).insert(pair.way);
  std::vector<double> before, after;
  std::size_t other_way = 0;
  for (const ImpactPair& pair : result.pairs) {
    const bool one_sided = ways_before.empty() || ways_after.empty();  // then the way is not what is missing
    if (!one_sided && (!ways_before.contains(pair.way) || !ways_after.contains(pair.way)))
      ++other_way;
    else
      (pair.after ? after : before).push_back(pair.difference());
  }
  const double count = arrangements(before.size(), after.size());
  if (2 / count <= kTrendLevel) {
    result.change = permute_groups(before, after, options.permutation);
  } else {
    result.change_why_not =
        pairs_text(before.size()) + " before and " + pairs_text(after.size()) + " after are too few: " +
        (before.empty() || after.empty()
             ? "without pairs on both sides of the event there is nothing to compare"
             : "the smallest p they allow is " + format_fixed(std::min(1.0, 2 / count), 3) +
                   "; 4 and 4, or 3 and 5, are the fewest that serve");
  }
  if (other_way > 0)
    append_note(result.note, pairs_text(other_way) +
                                 " taken in a way that is not there both before and after " +
                                 (other_way == 1 ? "does" : "do") + " not enter the change");
}

void test_after(Impact& result, const ImpactOptions& options) {
  std::vector<double> after;
  for (const ImpactPair& pair : result.pairs)
    if (pair.after) after.push_back(pair.difference());
  const double smallest = std::min(1.0, 2 / std::exp2(static_cast<double>(after.size())));
  if (!after.empty() && smallest <= kTrendLevel)
    result.against_none = permute_signs(after, options.permutation);
  else
    result.against_none_why_not = pairs_text(after.size()) +
                                  " after the event are too few: the smallest p they allow is " +
                                  format_fixed(smallest, 3) + "; 6 are the fewest that serve";
}

std::string p_text(double p) {
  return p < 0.001 ? "p < 0.001" : "p = " + format_fixed(p, 3);
}

std::string change_words(const Impact& result, const SiteValues& values, Date event) {
  if (!result.change) return "no answer";
  const PermutationResult& change = *result.change;
  if (change.p >= kTrendLevel) return "no change of the difference shown";
  const bool up = change.statistic > 0;
  std::string words = std::string("the difference is ") + (up ? "higher" : "lower") + " after " +
                      format_date(event) + " than before";
  if (values.higher_is_better)
    words += *values.higher_is_better == up ? ", for the better" : ", for the worse";
  return words + " (" + p_text(change.p) + "); that it changed on that day is not shown";
}

// How the control lies to the impact site, by channel; empty where it lies upstream.
std::string control_setting(const Snapshot& snapshot, const ChannelNetwork& network, SiteIndex control,
                            SiteIndex impact) {
  const SiteColumns& sites = snapshot.sites;
  const std::string above(sites.code[control.value()]), below(sites.code[impact.value()]);
  const auto limit_m = [&](SiteIndex site) {
    return snap_limit_m(sites.kind[site.value()], network.options());
  };
  const LonLat from = sites.position[impact.value()], to = sites.position[control.value()];
  for (const SiteIndex site : {control, impact}) {
    const LonLat place = sites.position[site.value()];
    if (!is_placed(place) || !network.snap(place, limit_m(site)))
      return "it is not known whether " + above + " lies upstream of " + below + ": " +
             std::string(sites.code[site.value()]) +
             (is_placed(place) ? " is on no channel" : " has no position");
  }
  switch (distances_to(network, from, std::span(&to, 1), Direction::kAny, limit_m(impact)).front().relation) {
    case Relation::kUpstream:
      return "";
    case Relation::kDownstream:
      return above + " lies downstream of " + below + ": control and impact seem to be reversed";
    case Relation::kViaConfluence:
      return above + " does not lie upstream of " + below + " but on another branch";
    case Relation::kUnconnected:
    case Relation::kOffChannel:
      break;
  }
  return "no channel joins " + above + " and " + below + ", so " + above + " may be on another water";
}

}  // namespace

Impact assess_impact(const SiteValues& values, SiteIndex control, SiteIndex impact,
                     const ImpactOptions& options) {
  if (control == impact)
    throw Error(ErrorCode::kBadUse,
                "control and impact are the same site; a control lies where the event does not reach");
  if (options.most_days_apart < 0) throw Error(ErrorCode::kBadUse, "days apart cannot be below 0");
  const std::vector<DayValue> above = days_of(values, control), below = days_of(values, impact);
  Impact result;
  result.pairs = form_pairs(above, below, options);
  std::vector<double> before, after;
  for (const ImpactPair& pair : result.pairs) (pair.after ? after : before).push_back(pair.difference());
  result.before = before.size();
  result.after = after.size();
  if (!before.empty()) result.mean_before = mean(before);
  if (!after.empty()) result.mean_after = mean(after);
  compare(result, options);
  test_after(result, options);
  result.words = change_words(result, values, options.event);

  const std::size_t alone = above.size() + below.size() - 2 * result.pairs.size();
  if (alone > 0)
    append_note(result.note, std::to_string(alone) + (alone == 1 ? " day" : " days") +
                                 " at one site without the other within " +
                                 std::to_string(options.most_days_apart) +
                                 " days, in the same season, side of the event and " + values.way_word);
  std::size_t below_detection = 0;
  for (const LeftOut& out : values.left_out)
    below_detection += out.below_detection && (out.site == control || out.site == impact) ? 1 : 0;
  if (below_detection > 0)
    append_note(result.note, std::to_string(below_detection) +
                                 " values below detection are left out, which may hide a change");
  if (result.change)
    append_note(
        result.note,
        "p holds for independent pairs; samples of one site follow each other and are not independent, "
        "so p may be too small");
  std::map<int, int> in_season;
  for (const ImpactPair& pair : result.pairs) ++in_season[season_number(pair.impact_date)];
  if (std::any_of(in_season.begin(), in_season.end(), [](const auto& one) { return one.second > 1; }))
    append_note(result.note,
                "some seasons have several pairs; they count as independent, which makes p too small");
  return result;
}

std::string impact_setting(const Snapshot& snapshot, const ChannelNetwork& network, SiteIndex control,
                           SiteIndex impact, OutfallIndex outfall) {
  std::string note = control_setting(snapshot, network, control, impact);
  if (!outfall.has_value()) return note;
  const std::string& code = snapshot.outfalls[outfall.value()].code;
  const auto relation = [&](SiteIndex site) {
    if (!is_placed(snapshot.sites.position[site.value()])) return Relation::kOffChannel;
    for (const ChannelDistance& one : outfalls_from_site(snapshot, network, site))
      if (one.target == outfall.value()) return one.relation;
    return Relation::kUnconnected;
  };
  const std::string above(snapshot.sites.code[control.value()]), below(snapshot.sites.code[impact.value()]);
  if (relation(impact) != Relation::kUpstream)
    append_note(note, "by channel " + code + " does not drain to " + below + " (" +
                          relation_name(relation(impact)) + ")");
  if (relation(control) == Relation::kUpstream)
    append_note(note, code + " drains to " + above + " too, so that is no control");
  return note;
}

}  // namespace brookmark::core
