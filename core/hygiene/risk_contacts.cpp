// What of a risk outlasts the word on it: kit that was used before a water was cleared, and waters that were entered with
// kit from a water at risk, with those below them.
#include <algorithm>
#include <map>

#include "core/base/text.hpp"
#include "core/hygiene/survey_waters.hpp"
#include "core/hygiene/tracing.hpp"

namespace brookmark::core {

namespace {

std::string organism_of(const WaterRisk& risk) {
  const auto target = find_target(risk.target);
  return target ? target_at(*target).id : fold_name(risk.target);
}

Date day_of(const Snapshot& snapshot, const KitStay& stay) {
  return stay.use ? snapshot.kit_uses[*stay.use].when.date : snapshot.holdings[*stay.holding].since;
}

}  // namespace

std::vector<BodyRisk> SurveyWaters::cleared_since(BodyIndex body, Date day, Date used) const {
  std::map<std::string, BodyRisk> last;
  std::vector<BodyRisk> cleared;
  for (const std::size_t r : risk_rows_[body.value()]) {
    const WaterRisk& risk = snapshot_.risks[r];
    if (risk.since > day) break;
    const BodyRisk now{r, find_target(risk.target), risk.status};
    const auto [known, fresh] = last.emplace(organism_of(risk), now);
    if (fresh) continue;
    if (now.status == RiskStatus::kCleared && known->second.status != RiskStatus::kCleared &&
        risk.since > used)
      cleared.push_back(known->second);
    known->second = now;
  }
  return cleared;
}

std::pair<std::size_t, std::size_t> SurveyWaters::spell(BodyIndex body, Date day, Date used) const {
  std::size_t cleared = cleared_since(body, day, used).size();
  if (flow_)
    for (const Source& source : sources_above(body)) cleared += cleared_since(source.body, day, used).size();
  const auto& brought = contacts(body, day);
  return {cleared, static_cast<std::size_t>(
                       std::count_if(brought.begin(), brought.end(),
                                     [&](const RiskByContact& contact) { return contact.since <= used; }))};
}

const std::vector<RiskByContact>& SurveyWaters::contacts(BodyIndex body, Date day) const {
  if (!contacts_ || contacts_->first != day) contacts_.emplace(day, all_contacts(day));
  return contacts_->second[body.value()];
}

std::vector<std::vector<RiskByContact>> SurveyWaters::all_contacts(Date day) const {
  std::vector<std::vector<RiskByContact>> brought(names_.size());
  std::optional<KitHistory> history;
  for (std::size_t b = 0; b < names_.size(); ++b) {
    const BodyIndex source(b);
    for (const BodyRisk& risk : risks(source, day)) {
      if (risk.status == RiskStatus::kCleared) continue;
      const auto told = told_of(snapshot_, *this, source, snapshot_.risks[risk.row].target);
      if (!told) continue;
      if (!history) history.emplace(snapshot_, *this);
      TraceQuery query = told->query;
      query.until = day;
      const auto has_word = [&](BodyIndex body, Date since) {
        const auto own = risks(body, day);
        return std::any_of(own.begin(), own.end(), [&](const BodyRisk& said) {
          const WaterRisk& row = snapshot_.risks[said.row];
          return organism_of(row) == organism_of(snapshot_.risks[risk.row]) &&
                 (said.status != RiskStatus::kCleared || row.since >= since);
        });
      };
      std::vector<bool> known(names_.size(), false);
      known[b] = true;
      for (const WaterBelow& below_source : below(source)) known[below_source.body.value()] = true;
      std::vector<RiskByContact> entered;
      for (const TracedWater& water : trace_contacts(snapshot_, *this, *history, query)) {
        const Date since = day_of(snapshot_, water.chain.back().in);
        known[water.body.value()] = true;
        if (has_word(water.body, since)) continue;
        entered.push_back({source, risk, since, water.words, water.body, nullptr});
        brought[water.body.value()].push_back(entered.back());
      }
      // By the earliest entry above.
      for (const RiskByContact& contact : entered)
        for (const WaterBelow& lower : below(contact.entered)) {
          if (known[lower.body.value()] || has_word(lower.body, contact.since)) continue;
          known[lower.body.value()] = true;
          brought[lower.body.value()].push_back(contact);
          brought[lower.body.value()].back().way = &lower;
        }
    }
  }
  return brought;
}

}  // namespace brookmark::core
