#include <algorithm>

#include "core/base/text.hpp"
#include "core/design/spot_cautions_internal.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/hygiene/survey_waters.hpp"

namespace brookmark::core {
namespace {

std::string said(const Snapshot& snapshot, const BodyRisk& risk) {
  const WaterRisk& row = snapshot.risks[risk.row];
  return row.target + " " + risk_status_name(row.status) + " since " + plain_day(row.since);
}

// A place inside a water, so that the channels that enter and leave it are found; its shore where none is found.
LonLat inside_water(const Water& water, LonLat shore) {
  for (const Polygon& polygon : water.shape) {
    const Line& ring = polygon.rings.front();
    for (std::size_t gap = ring.size() / 2; gap >= 2; --gap)
      for (std::size_t i = 0; i + gap < ring.size(); ++i) {
        const LonLat middle{(ring[i].lon + ring[i + gap].lon) / 2, (ring[i].lat + ring[i + gap].lat) / 2};
        if (contains(water.shape, middle)) return middle;
      }
  }
  return shore;
}

// The waters of a survey with each suggestion as a water of its own beside them: it takes from all above and gives to none.
class RisksAtSpots {
 public:
  RisksAtSpots(const std::vector<Suggestion>& list, const DesignSource& source)
      : source_(source),
        first_(source.snapshot.sites.size()),
        with_spots_(survey_with(list, source)),
        waters_(with_spots_, &source.network) {}

  std::string caution(const Suggestion& suggestion, std::size_t row) const {
    const Date day = source_.day;
    std::vector<std::string> words;
    const std::vector<BodyIndex> own = own_waters(suggestion);
    for (const BodyIndex body : own)
      for (const RiskStatus worst : {RiskStatus::kConfirmed, RiskStatus::kSuspected})
        for (const BodyRisk& risk : waters_.risks(body, day))
          if (risk.status == worst) words.push_back(waters_.name(body) + ": " + said(source_.snapshot, risk));
    const BodyIndex here = waters_.of(SiteIndex(first_ + row));
    for (const RiskAbove& above : waters_.risks_above(here, day)) {
      if (std::find(own.begin(), own.end(), above.source) != own.end()) continue;
      words.push_back(plain_distance(above.way->distance_m()) + " below " + waters_.name(above.source) +
                      ": " + said(source_.snapshot, above.risk) + " there");
    }
    if (words.empty()) return {};
    return joined(words, ", ") + ": go there last and clean after";
  }

 private:
  static Snapshot survey_with(const std::vector<Suggestion>& list, const DesignSource& source) {
    Snapshot survey;
    survey.sites = source.snapshot.sites;
    survey.waters = source.snapshot.waters;
    survey.risks = source.snapshot.risks;
    SiteColumns& sites = survey.sites;
    for (const Suggestion& one : list) {
      sites.key.append("");
      sites.code.append(one.code);
      sites.water.append("");
      sites.kind.push_back(one.spot.edge == Spot::kOffChannel ? one.kind : WaterKind::kStream);
      sites.position.push_back(
          one.spot.water.has_value()
              ? inside_water(source.snapshot.waters[one.spot.water.value()], one.spot.position)
              : one.spot.position);
    }
    return survey;
  }

  // The water by its name, and those of the sites that lie in its shape.
  std::vector<BodyIndex> own_waters(const Suggestion& suggestion) const {
    std::vector<BodyIndex> own;
    const auto add = [&](BodyIndex body) {
      if (std::find(own.begin(), own.end(), body) == own.end()) own.push_back(body);
    };
    if (const std::string folded = fold_name(suggestion.place); !folded.empty())
      for (std::size_t s = 0; s < first_; ++s)
        if (fold_name(source_.snapshot.sites.water[s]) == folded) {
          add(waters_.of(SiteIndex(s)));
          break;
        }
    if (suggestion.spot.water.has_value()) {
      const Water& water = source_.snapshot.waters[suggestion.spot.water.value()];
      for (std::size_t s = 0; s < first_; ++s)
        if (const LonLat place = source_.snapshot.sites.position[s];
            is_placed(place) && contains(water.shape, place))
          add(waters_.of(SiteIndex(s)));
    }
    return own;
  }

  const DesignSource& source_;
  std::size_t first_;
  Snapshot with_spots_;
  SurveyWaters waters_;
};

}  // namespace

void add_cautions(Suggestions& suggestions, const DesignSource& source) {
  std::optional<RisksAtSpots> risks;
  if (!source.snapshot.risks.empty() && !suggestions.list.empty()) risks.emplace(suggestions.list, source);
  for (std::size_t i = 0; i < suggestions.list.size(); ++i) {
    Suggestion& one = suggestions.list[i];
    one.reminder = kSpotReminder;
    if (risks) one.caution = risks->caution(one, i);
    if (!one.caution.empty()) {
      append_note(one.reason, one.caution);
      one.reminder += " " + plain_sentence(one.caution);
    }
    if (one.sewage_above)
      one.reminder += " " + one.sewage_above->code + " lets in sewage " +
                      plain_distance(one.sewage_above->distance_m) + " above" + kSewageWords;
  }
}

}  // namespace brookmark::core
