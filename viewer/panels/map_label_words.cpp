// What is written beside the marks of sites and outfalls.
#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {

namespace {

// In three figures, for there is little room.
std::string value_on_map(const core::Metric& metric, double value) {
  const double size = std::abs(value);
  const int most = size >= 99.95 ? 0 : size >= 9.995 ? 1 : 2;
  return core::format_fixed(value, std::min(most, core::shown_decimals(metric)));
}

}  // namespace

std::string site_label_words(const Ui& ui, const Ageing& ageing, std::size_t i, bool with_name) {
  const core::SiteColumns& sites = ui.snapshot().sites;
  std::string words(sites.code[i]);
  if (with_name && !sites.name[i].empty() && sites.name[i] != sites.code[i])
    words += "  " + std::string(sites.name[i]);
  if (!ui.assessment) return words;
  // Under a metric without classes a value that does not fit into its mark stands beside it.
  const core::SiteAssessment& known = ui.assessment->sites[i];
  const core::Metric& metric = ui.assessment->metric_info();
  if (standing_of(known, metric) == Standing::kValue && site_mark(known, metric).first >= kSignCount)
    words += " \u00B7 " + value_on_map(metric, known.value);
  const core::SampleIndex sample = known.sample.has_value() ? known.sample : known.newest_sample;
  if (sample.has_value() && ageing.is_faded(i, known))
    words +=
        " \u00B7 " + std::to_string(core::year_month_day(ui.snapshot().samples.date[sample.value()]).year);
  return words;
}

std::vector<OutfallWords> outfall_label_words(const Ui& ui, std::size_t i) {
  const core::Outfall& outfall = ui.snapshot().outfalls[i];
  std::vector<OutfallWords> forms;
  for (const core::ChannelDistance& d : ui.state.query.distances) {
    if (!ui.state.query_is_shown() || d.target != i || !d.distance_m) continue;
    const char* sign = d.relation == core::Relation::kUpstream     ? "  \u2191 "
                       : d.relation == core::Relation::kDownstream ? "  \u2193 "
                                                                   : "  \u2194 ";
    forms.push_back(
        {outfall.code + sign + distance_in_words(*d.distance_m), ui.theme.strong, ui.theme.ink.query});
  }
  if (ui.state.layers[Layer::kLabels]) {
    const std::string use = use_in_words(outfall, ui.state.date);
    if (!use.empty() && forms.empty())
      forms.push_back({outfall.code + " \u00B7 " + use, ui.theme.small, ui.theme.ink.outfall});
    if (forms.empty() || use.empty())
      forms.push_back({outfall.code, ui.theme.small, ui.theme.ink.outfall});
    else
      forms.push_back({outfall.code, ui.theme.small, ui.theme.ink.muted});
  }
  forms.push_back({"", ui.theme.small, ui.theme.ink.outfall});
  return forms;
}

}  // namespace brookmark::viewer
