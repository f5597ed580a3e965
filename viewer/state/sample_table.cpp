#include "viewer/state/sample_table.hpp"

#include <algorithm>
#include <utility>

#include "core/base/csv.hpp"
#include "core/base/formula_cell.hpp"
#include "core/base/text.hpp"
#include "core/scoring/score_note.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

class SampleFilter {
 public:
  SampleFilter(const core::Snapshot& snapshot, const SampleQuestion& question)
      : s_(snapshot), question_(question), wanted_(core::fold_name(question.choice.filter)) {
    if (wanted_.empty()) return;
    maybe_day_ = std::any_of(wanted_.begin(), wanted_.end(), [](char c) { return c >= '0' && c <= '9'; });
    // What belongs to a site is looked at once a site.
    const core::SiteColumns& sites = s_.sites;
    for (std::size_t i = 0; i < sites.size(); ++i)
      site_has_.push_back(has(sites.code[i]) || has(sites.name[i]) || has(sites.water[i]));
  }

  bool passes(core::SampleIndex sample) const {
    const std::size_t i = sample.value();
    const core::SiteIndex site = s_.samples.site[i];
    if (question_.choice.in_period && question_.period && !core::in_period(*question_.period, s_, sample))
      return false;
    if (question_.choice.selection_only && question_.selection &&
        !std::binary_search(question_.selection->begin(), question_.selection->end(), site))
      return false;
    if (wanted_.empty()) return true;
    return site_has_[site.value()] || has(s_.samples.code[i]) || has(s_.samples.protocol[i]) ||
           (maybe_day_ && is_of_day(s_.samples.date[i]));
  }

 private:
  // As 2024-05-03, 3 May 2024 or 3 September 2024, whole or in part.
  bool is_of_day(core::Date date) const {
    return core::format_date(date).find(question_.choice.filter) != std::string::npos ||
           has(short_date(date)) || has(date_in_words(date));
  }
  bool has(std::string_view words) const { return core::fold_name(words).find(wanted_) != std::string::npos; }

  const core::Snapshot& s_;
  const SampleQuestion& question_;
  std::string wanted_;
  bool maybe_day_ = false;
  std::vector<bool> site_has_;
};

// By a key that can be compared; those without one stand last in both directions.
template <class Key>
void sort_by(std::vector<core::SampleIndex>& rows, bool descending, const Key& key) {
  using Value = decltype(key(core::SampleIndex(0)));
  std::vector<std::pair<Value, core::SampleIndex>> keyed;
  keyed.reserve(rows.size());
  for (const core::SampleIndex row : rows) keyed.emplace_back(key(row), row);
  std::stable_sort(keyed.begin(), keyed.end(), [descending](const auto& a, const auto& b) {
    if (a.first.has_value() != b.first.has_value()) return a.first.has_value();
    if (!a.first.has_value()) return false;
    return descending ? *b.first < *a.first : *a.first < *b.first;
  });
  for (std::size_t i = 0; i < rows.size(); ++i) rows[i] = keyed[i].second;
}

template <class T>
std::optional<T> known(T value) {
  return std::optional<T>(value);
}

}  // namespace

std::vector<core::SampleIndex> order_samples(const core::Snapshot& s, const core::ScoreTable& scores,
                                             const SampleQuestion& question) {
  const SampleFilter filter(s, question);
  std::vector<core::SampleIndex> rows;
  for (std::size_t i = 0; i < s.samples.size(); ++i)
    if (filter.passes(core::SampleIndex(i))) rows.emplace_back(i);
  const auto& score = scores.metrics[question.metric];
  const bool down = question.choice.descending;
  const auto site_of = [&](core::SampleIndex r) { return s.samples.site[r.value()].value(); };
  switch (question.choice.sort) {
    case TableColumn::kSample:
      sort_by(rows, down, [&](core::SampleIndex r) { return known(s.samples.code[r.value()]); });
      break;
    case TableColumn::kSite:  // sites stand by code
      sort_by(rows, down, [&](core::SampleIndex r) { return known(s.samples.site[r.value()]); });
      break;
    case TableColumn::kWater:
      sort_by(rows, down, [&](core::SampleIndex r) {
        const std::string_view water = s.sites.water[site_of(r)];
        return water.empty() ? std::optional<std::string_view>() : known(water);
      });
      break;
    case TableColumn::kDate:
      sort_by(rows, down, [&](core::SampleIndex r) { return known(s.samples.date[r.value()]); });
      break;
    case TableColumn::kKind:
      sort_by(rows, down, [&](core::SampleIndex r) { return known(s.samples.kind[r.value()]); });
      break;
    case TableColumn::kValue:
      sort_by(rows, down, [&](core::SampleIndex r) {
        const core::SampleScore& one = score[r.value()];
        return one.has_value ? known(one.value) : std::optional<double>();
      });
      break;
    case TableColumn::kClass:
      sort_by(rows, down, [&](core::SampleIndex r) {
        const core::SampleScore& one = score[r.value()];
        return one.in_scope && one.class_rank != 0 ? known(one.class_rank) : std::optional<std::uint8_t>();
      });
      break;
    case TableColumn::kTaxa:
      sort_by(rows, down, [&](core::SampleIndex r) { return known(score[r.value()].scoring_taxa); });
      break;
    case TableColumn::kNote:
      sort_by(rows, down, [&](core::SampleIndex r) { return known(score[r.value()].reasons); });
      break;
  }
  return rows;
}

const char* table_column_name(TableColumn column) {
  static constexpr const char* kNames[kTableColumnCount] = {"sample", "site",  "water",        "date", "kind",
                                                            "value",  "class", "scoring_taxa", "note"};
  return kNames[static_cast<std::size_t>(column)];
}

std::string sample_cell(const core::Snapshot& s, const core::ScoreTable& scores, std::size_t metric,
                        core::SampleIndex sample, TableColumn column) {
  const std::size_t i = sample.value(), site = s.samples.site[i].value();
  const core::Metric& info = scores.method->metrics[metric];
  const core::SampleScore& score = scores.metrics[metric][i];
  switch (column) {
    case TableColumn::kSample:
      return std::string(s.samples.code[i]);
    case TableColumn::kSite:
      return std::string(s.sites.code[site]);
    case TableColumn::kWater:
      return std::string(s.sites.water[site]);
    case TableColumn::kDate:
      return core::format_date(s.samples.date[i]);
    case TableColumn::kKind:
      return core::sample_kind_name(s.samples.kind[i]);
    case TableColumn::kValue:
      return score.has_value ? core::format_fixed(score.value, core::shown_decimals(info)) : "";
    case TableColumn::kClass:
      // A class outside the method's scope does not hold, and is not shown as if it did.
      return score.in_scope ? std::string(core::class_name(info, score.class_rank)) : "";
    case TableColumn::kTaxa:
      return std::to_string(score.scoring_taxa);
    case TableColumn::kNote:
      break;
  }
  return core::score_note(score, *scores.method, s.sites.kind[site]);
}

std::string shown_cell(const core::Snapshot& s, const core::ScoreTable& scores, std::size_t metric,
                       core::SampleIndex sample, TableColumn column) {
  const core::SampleScore& score = scores.metrics[metric][sample.value()];
  if (column == TableColumn::kDate) return short_date(s.samples.date[sample.value()]);
  if (column == TableColumn::kClass && score.has_value && !score.in_scope) return "outside scope";
  return sample_cell(s, scores, metric, sample, column);
}

std::string samples_as_csv(const core::Snapshot& s, const core::ScoreTable& scores, std::size_t metric,
                           std::span<const core::SampleIndex> rows) {
  std::string text;
  for (std::size_t c = 0; c < kTableColumnCount; ++c) {
    text += table_column_name(static_cast<TableColumn>(c));
    text += ',';
  }
  text += "in_scope,method,metric,confirmed\r\n";
  const std::string tail = core::csv_cell(scores.method->id) + "," +
                           core::csv_cell(scores.method->metrics[metric].id) + "," +
                           core::confirmed_name(scores.method->confirmed) + "\r\n";
  for (const core::SampleIndex row : rows) {
    for (std::size_t c = 0; c < kTableColumnCount; ++c) {
      text += core::csv_cell(
          core::not_a_formula(sample_cell(s, scores, metric, row, static_cast<TableColumn>(c))));
      text += ',';
    }
    const core::SampleScore& score = scores.metrics[metric][row.value()];
    text += !score.has_value ? "," : score.in_scope ? "yes," : "no,";
    text += tail;
  }
  return text;
}

}  // namespace brookmark::viewer
