#include "viewer/report/report_tables.hpp"

#include <algorithm>
#include <map>

#include "core/analysis/clear_fall.hpp"
#include "core/analysis/outfalls.hpp"
#include "core/base/text.hpp"
#include "core/scoring/score_note.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/report/chart_figure.hpp"
#include "viewer/report/report_words.hpp"

namespace brookmark::viewer {

namespace {

std::string code_of(const ReportFacts& facts, core::SiteIndex site) {
  return std::string(facts.snapshot.sites.code[site.value()]);
}

TableCell class_cell_of(const ReportFacts& facts, int rank) {
  if (rank == 0) return {"–"};
  return {std::string(core::class_name(facts.metric, rank)), class_badge(facts.metric, rank)};
}

// The site in the middle: its class, and its value.
TableCell middle_cell(const ReportFacts& facts, const core::CatchmentAssessment& known) {
  if (!known.median_value) return {"–"};
  TableCell cell = class_cell_of(facts, known.median_rank);
  const std::string value = value_in_words(facts.metric, *known.median_value);
  cell.text = known.median_rank > 0 ? cell.text + ", " + value : value;
  return cell;
}

std::string value_of(const ReportFacts& facts, const core::SampleScore& score) {
  return score.has_value ? value_in_words(facts.metric, score.value) : "–";
}

void cut(TableBlock& table) {
  if (table.rows.size() <= kMostTableRows) return;
  table.caption +=
      " (the first " + std::to_string(kMostTableRows) + " of " + std::to_string(table.rows.size()) + ")";
  table.rows.resize(kMostTableRows, {});
}

std::string metres(double m) {
  return core::format_fixed(m, 0) + "\u00A0m";  // never parted
}

}  // namespace

TableBlock sites_table(const ReportFacts& facts) {
  TableBlock table{"Every site, " + known_in_words(facts),
                   {"Site", "Name", "Water", facts.metric.title, "Class", "Sample of",
                    "Nearest outfall in use above", "Note"},
                   {8, 16, 15, 8, 13, 10, 13, 20},
                   {}};
  table.row_heads = true;
  table.numeric = {false, false, false, true};
  const core::SiteColumns& sites = facts.snapshot.sites;
  for (const core::SiteIndex site : facts.sites) {
    const std::size_t s = site.value();
    const core::SiteAssessment& known = facts.known(site);
    std::string water(sites.water[s]);
    if (sites.kind[s] != core::WaterKind::kUnknown)
      water += (water.empty() ? "" : ", ") + std::string(core::water_kind_name(sites.kind[s]));
    const core::SiteExposure& exposure = facts.exposure[s];
    std::string outfall = exposure.exposure ? "none" : "–";
    if (exposure.nearest && exposure.nearest_m)
      outfall = facts.snapshot.outfalls[exposure.nearest->value()].code + ", " + metres(*exposure.nearest_m);
    std::string note = core::assessment_note(facts.snapshot, facts.handed.scores, facts.assessment, site);
    if (facts.handed.shared.places()[s].blurred) core::append_note(note, "its place is told only roughly");
    if (sites.status[s] == core::SiteStatus::kRetired) core::append_note(note, "given up");
    table.rows.push_back({code_of(facts, site), std::string(sites.name[s]), water,
                          known.has_value ? value_in_words(facts.metric, known.value) : "–",
                          class_cell_of(facts, known.class_rank),
                          known.sample.has_value()
                              ? core::format_date(facts.snapshot.samples.date[known.sample.value()])
                              : "–",
                          outfall, note});
  }
  cut(table);
  return table;
}

TableBlock samples_table(const ReportFacts& facts, std::vector<std::string>& notes) {
  TableBlock table{
      "Every sample by the " + facts.metric.title,
      {"Sample", "Site", "Date", "Kind", facts.metric.title, "Class", "Scoring", "Not scoring", "Note"},
      {14, 7, 10, 9, 8, 14, 7, 8, 24},
      {}};
  table.row_heads = true;
  table.numeric = {false, false, false, false, true, false, true, true};
  const core::SampleColumns& samples = facts.snapshot.samples;
  for (const core::SiteIndex site : facts.sites) {
    const auto [begin, end] = facts.snapshot.samples_of(site);
    for (std::size_t s = begin.value(); s < end.value(); ++s) {
      const core::SampleScore& score = facts.handed.scores.metrics[facts.assessment.metric][s];
      table.rows.push_back(
          {std::string(samples.code[s]), code_of(facts, site), core::format_date(samples.date[s]),
           core::sample_kind_name(samples.kind[s]), value_of(facts, score),
           class_cell_of(facts, score.in_scope ? score.class_rank : 0), std::to_string(score.scoring_taxa),
           std::to_string(score.unscored_taxa),
           core::score_note(score, *facts.handed.method, facts.snapshot.sites.kind[site.value()])});
    }
  }
  cut(table);
  std::map<std::string, std::size_t> times;
  for (const auto& row : table.rows) ++times[row.back().text];
  for (auto& row : table.rows) {
    std::string& note = row.back().text;
    if (note.empty() || times[note] < 2) continue;
    auto at = std::find(notes.begin(), notes.end(), note);
    if (at == notes.end()) at = notes.insert(notes.end(), note);
    note = "note " + std::to_string(at - notes.begin() + 1);
  }
  return table;
}

TableBlock parts_table(const ReportFacts& facts) {
  TableBlock table{
      "Sub-catchments, worst first by their worst site",
      {"Sub-catchment", "Sites assessed", "Worst class", "Site in the middle", "Channel known", "Why"},
      {18, 8, 15, 13, 12, 36},
      {}};
  table.row_heads = true;
  for (std::size_t i = 0; i < facts.parts.size(); ++i) {
    const core::CatchmentIndex part = facts.parts[i];
    const core::CatchmentAssessment& a = facts.assessment.catchments[part.value()];
    const core::ChannelShares channel = a.channel.value_or(core::ChannelShares{});
    std::string known = "no channel";
    if (channel.total_m() > 0)
      known = core::format_fixed(channel.measured_m, 0) + " of " + metres(channel.total_m());
    table.rows.push_back({catchment_title(facts.snapshot, part),
                          std::to_string(a.assessed_sites) + " of " + std::to_string(a.sites),
                          class_cell_of(facts, a.worst_rank), middle_cell(facts, a), known,
                          as_sentence(facts.why[i])});
  }
  cut(table);
  return table;
}

TableBlock falls_table(const ReportFacts& facts) {
  TableBlock table{
      "Stretches between neighbours with a worse value below: the clear ones first, then worst first",
      {"From", "To", "Compared", "Above", "Below", "Fall", "95 % interval", "Length", "Clearly worse since",
       "What enters"},
      {7, 7, 11, 8, 8, 7, 12, 9, 13, 26},
      {}};
  table.numeric = {false, false, false, true, true, true, true, true};
  const int decimals = core::shown_decimals(facts.metric);
  for (const core::Drop& fall : facts.falls) {
    const core::SamplePair& pair = *fall.newest();
    const auto& scores = facts.handed.scores.metrics[facts.assessment.metric];
    std::string interval = "–";
    if (fall.confidence)
      interval = core::format_fixed(fall.confidence->low, decimals + 1) + " to " +
                 core::format_fixed(fall.confidence->high, decimals + 1);
    const std::string enters = core::outfalls_text(facts.snapshot, fall);
    std::string since = core::kNotClear;
    if (fall.since)
      since = fall.worse_in_a_row == 1 ? "at the last comparison" : core::format_date(*fall.since);
    table.rows.push_back(
        {code_of(facts, fall.up), code_of(facts, fall.down),
         core::format_date(facts.snapshot.samples.date[pair.down.value()]),
         value_of(facts, scores[pair.up.value()]), value_of(facts, scores[pair.down.value()]),
         pair.fall ? core::format_fixed(*pair.fall, decimals) : "–", interval, metres(fall.stretch.length_m),
         since, enters.empty() ? "nothing in the survey" : enters});
  }
  cut(table);
  return table;
}

TableBlock trends_table(const ReportFacts& facts) {
  TableBlock table{"What the " + facts.metric.title + " did over the years",
                   {"Site", "Values", "From", "To", "Answer", "Change a year", "Interval", "p"},
                   {9, 7, 11, 11, 26, 11, 16, 9},
                   {}};
  table.row_heads = true;
  table.numeric = {false, true, false, false, false, true, true, true};
  for (const core::TrendRow& row : facts.trends) {
    std::string change = "–", interval = "–", p = "–";
    if (row.test && row.test->slope) change = core::format_fixed(*row.test->slope, 2);
    if (row.test && row.test->slope_low && row.test->slope_high)
      interval =
          core::format_fixed(*row.test->slope_low, 2) + " to " + core::format_fixed(*row.test->slope_high, 2);
    if (row.test) p = row.test->best_p() < 0.001 ? "< 0.001" : core::format_fixed(row.test->best_p(), 3);
    table.rows.push_back({row.place, std::to_string(row.n), row.first ? core::format_date(*row.first) : "–",
                          row.last ? core::format_date(*row.last) : "–",
                          row.words + (row.test           ? ""
                                       : row.note.empty() ? ""
                                                          : ": " + row.note),
                          change, interval, p});
  }
  cut(table);
  return table;
}

TableBlock outfalls_table(const ReportFacts& facts) {
  TableBlock table{
      "Outfalls", {"Outfall", "Name", "Kind", "In use", "On this day"}, {10, 26, 18, 34, 12}, {}};
  table.row_heads = true;
  for (const core::OutfallIndex index : facts.outfalls) {
    const core::Outfall& outfall = facts.snapshot.outfalls[index.value()];
    const std::string days = core::days_of_use(outfall);
    table.rows.push_back({outfall.code, outfall.name, core::outfall_kind_name(outfall.kind),
                          days.empty() ? "no day is known" : days,
                          core::in_use(outfall, facts.assessment.until()) ? "in use" : "not in use"});
  }
  cut(table);
  return table;
}

TableBlock classes_table(const ReportFacts& facts) {
  TableBlock table{"Classes of the " + facts.metric.title,
                   {"Class", facts.metric.unit.empty() ? "Value" : "Value, " + facts.metric.unit,
                    "How it is known", "Source"},
                   {16, 14, 18, 52},
                   {}};
  table.row_heads = true;
  for (const core::ClassBand& band : facts.metric.bands)
    table.rows.push_back({TableCell(band.name, class_badge(facts.metric, band.rank)), limits_in_words(band),
                          confirmed_in_words(band.confirmed),
                          core::source_text(band.source_key, band.source_detail)});
  return table;
}

TableBlock statements_table(const ReportFacts& facts) {
  TableBlock table{"What the method says of itself, and where that is from",
                   {"What", "As stated", "How it is known", "Source"},
                   {14, 24, 16, 46},
                   {}};
  table.row_heads = true;
  for (const core::MethodStatement& said : facts.handed.method->statements) {
    if (said.source_key.empty()) continue;
    table.rows.push_back({said.key, said.value, said.confirmed ? confirmed_in_words(*said.confirmed) : "–",
                          core::source_text(said.source_key, said.source_detail)});
  }
  return table;
}

TableBlock reasons_table(const ReportFacts& facts, core::SampleIndex sample, std::size_t most_rows) {
  TableBlock table{
      "Why: what was found in sample " + std::string(facts.snapshot.samples.code[sample.value()]),
      {"Written as", "Value", "Counts", "Why"},
      {30, 8, 8, 54},
      {}};
  table.row_heads = true;
  table.numeric = {false, true};
  std::vector<core::RecordPart> parts =
      core::explain_sample(facts.snapshot, *facts.handed.method, facts.metric, sample);
  std::stable_sort(parts.begin(), parts.end(), [](const core::RecordPart& a, const core::RecordPart& b) {
    return a.contributes != b.contributes ? a.contributes : a.value.value_or(-1) > b.value.value_or(-1);
  });
  for (const core::RecordPart& part : parts) {
    if (table.rows.size() == most_rows) {
      table.caption +=
          " (" + std::to_string(most_rows) + " of " + count_of(parts.size(), "record", "records") + ")";
      break;
    }
    const std::size_t r = part.record.value();
    std::string name(facts.snapshot.records.verbatim_name[r]);
    const std::string quantity(facts.snapshot.records.verbatim_quantity[r]);
    if (!quantity.empty()) name += ", " + quantity;
    table.rows.push_back({name, part.value ? core::format_number(*part.value) : "–",
                          part.contributes ? "yes" : "no", part.why});
  }
  return table;
}

TableBlock evidence_table(const ReportFacts& facts, const core::StillReading& reading) {
  TableBlock table{"Why: what the animals of sample " +
                       std::string(facts.snapshot.samples.code[reading.sample.value()]) + " point to",
                   {"Looked at", "Found", "Points", "Known"},
                   {20, 48, 18, 14},
                   {}};
  table.row_heads = true;
  for (const core::Evidence& piece : reading.evidence) {
    const std::string strength = core::strength_word(piece.strength);
    table.rows.push_back(
        {piece.item, piece.finding,
         std::string(core::pointing_words(piece.pointing)) + (strength.empty() ? "" : ", " + strength),
         confirmed_in_words(piece.confirmed)});
  }
  return table;
}

TableBlock confidence_table(const ReportFacts& facts, std::vector<std::string>& notes) {
  TableBlock table{
      "How sure each class is",
      {"Site", facts.metric.title, "95 % interval", "Class", "Likeliest class", "Its probability", "Note"},
      {12, 10, 16, 20, 20, 12, 10},
      {}};
  table.row_heads = true;
  table.numeric = {false, true, true, false, false, true};
  for (const core::SiteIndex site : facts.sites) {
    const core::SiteAssessment& known = facts.known(site);
    if (!known.sample.has_value() || facts.assessment.confidence.size() <= site.value()) continue;
    const core::SampleConfidence& sure = facts.assessment.confidence[site.value()];
    const std::string interval = interval_words(facts, sure), text = core::confidence_text(sure);
    std::string note;
    if (!text.empty()) {
      auto at = std::find(notes.begin(), notes.end(), text);
      if (at == notes.end()) at = notes.insert(notes.end(), text);
      note = std::to_string(at - notes.begin() + 1);
    }
    table.rows.push_back(
        {code_of(facts, site), known.has_value ? value_in_words(facts.metric, known.value) : "–",
         interval.empty() ? "–" : interval, class_cell_of(facts, known.class_rank),
         class_cell_of(facts, sure.likeliest_rank),
         sure.likeliest_rank > 0 ? class_probability_words(sure, sure.likeliest_rank) : "–", note});
  }
  cut(table);
  return table;
}

}  // namespace brookmark::viewer
