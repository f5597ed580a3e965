#include <memory>
#include <ostream>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/method.hpp"
#include "core/scoring/sample_diversity.hpp"
#include "core/scoring/similarity.hpp"
#include "viewer/cli/commands.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

constexpr int kDigits = 12;  // nobody reads as many; other programs may compare to nine

struct DiversityCommand {
  std::string until, rank, chao1;
  std::optional<std::int64_t> at_count;
};

struct SimilarityCommand {
  std::string until, rank, site, between;
};

std::optional<core::Rank> choose_rank(const std::string& word) {
  if (word.empty()) return std::nullopt;
  const auto rank = core::parse_rank(word);
  if (!rank || *rank == core::Rank::kInformal)
    throw Error(ErrorCode::kBadInput,
                "\"" + word +
                    "\" is not a rank; choose one of species, genus, subfamily, family, superfamily, "
                    "suborder, order, subclass, class, phylum, kingdom");
  return rank;
}

// From the columns of DiversityTable: the contract's first, then what explains them.
constexpr core::DiversityMetric kMore[] = {
    core::DiversityMetric::kRarefiedError, core::DiversityMetric::kChao1Low,
    core::DiversityMetric::kChao1High,     core::DiversityMetric::kMargalef,
    core::DiversityMetric::kBergerParker,  core::DiversityMetric::kHill1,
    core::DiversityMetric::kHill2};

Cell metric_cell(const core::DiversityTable& table, core::SampleIndex sample, core::DiversityMetric metric) {
  const auto value = core::value_of(table, sample, metric);
  return value ? significant(*value, kDigits) : Cell{};
}

std::string how_to(const DiversityCommand& command, const core::Snapshot& snapshot,
                   const core::DiversityTable& table) {
  if (table.rarefied_n == 0) return "no sample has two counted animals, so none is rarefied";
  std::string said = "rarefied to " + std::to_string(table.rarefied_n) + " animals";
  if (!command.at_count)
    said += ", those of sample " + std::string(snapshot.samples.code[table.smallest.value()]) +
            " (--at-count chooses another number)";
  return said;
}

int run_diversity(const std::filesystem::path& survey, const DiversityCommand& command,
                  const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  core::DiversityOptions options;
  options.rank = choose_rank(command.rank);
  options.at_count = command.at_count;
  options.period = choose_date(command.until, newest_day(snapshot));
  if (!command.chao1.empty()) options.chao1 = core::parse_chao1_form(command.chao1).value();
  const core::DiversityTable table = core::diversity_of_samples(snapshot, options);

  using M = core::DiversityMetric;
  Rows rows{{"sample", "richness", "individuals", "shannon", "simpson", "inverse_simpson", "pielou",
             "rarefied", "rarefied_n", "chao1", "chao1_se", "coverage"},
            {}};
  for (const M metric : kMore) rows.columns.emplace_back(core::diversity_metric_name(metric));
  for (const char* column : {"chao1_by", "level", "site", "date", "note"}) rows.columns.emplace_back(column);
  for (std::size_t i = 0; i < snapshot.samples.size(); ++i) {
    const core::SampleIndex sample(i);
    if (!core::in_period(*options.period, snapshot, sample)) continue;
    const auto cell = [&](M metric) { return metric_cell(table, sample, metric); };
    std::vector<Cell> row{text(snapshot.samples.code[i]),
                          cell(M::kRichness),
                          cell(M::kIndividuals),
                          cell(M::kShannon),
                          cell(M::kSimpson),
                          cell(M::kInverseSimpson),
                          cell(M::kPielou),
                          cell(M::kRarefied),
                          table.rarefied_n == 0 ? Cell{} : Cell{table.rarefied_n},
                          cell(M::kChao1),
                          cell(M::kChao1Error),
                          cell(M::kCoverage)};
    for (const M metric : kMore) row.push_back(cell(metric));
    row.push_back(text(core::chao1_form_name(options.chao1)));
    row.push_back(text(options.rank ? core::rank_name(*options.rank) : "as named"));
    row.push_back(text(snapshot.sites.code[snapshot.samples.site[i].value()]));
    row.push_back(text(core::format_date(snapshot.samples.date[i])));
    row.push_back(text_or_empty(core::diversity_note(snapshot, table, sample)));
    rows.add(std::move(row));
  }
  console.rows(rows);
  if (rows.rows.empty()) {
    console.err << "there is no sample to count\n";
    return kAnswerIsNo;
  }
  console.err << how_to(command, snapshot, table) << "; chao1_se: " << core::chao1_error_words(options.chao1)
              << '\n';
  return kDone;
}

core::SampleIndex sample_called(const core::Snapshot& snapshot, const std::string& code,
                                const std::filesystem::path& survey) {
  const auto index = snapshot.find_sample(code);
  if (!index)
    throw Error(ErrorCode::kNotFound, "there is no sample \"" + code + "\"; `brookmark diversity` lists them",
                survey.string());
  return *index;
}

std::vector<std::pair<core::SampleIndex, core::SampleIndex>> chosen_pairs(
    const core::Snapshot& snapshot, const SimilarityCommand& command, const std::filesystem::path& survey) {
  if (!command.between.empty()) {
    // A code may hold a comma: every way to part the text is tried.
    for (std::size_t comma = command.between.find(','); comma != std::string::npos;
         comma = command.between.find(',', comma + 1)) {
      const auto a = snapshot.find_sample(command.between.substr(0, comma));
      const auto b = snapshot.find_sample(command.between.substr(comma + 1));
      if (a && b) return {{*a, *b}};
    }
    const std::size_t comma = command.between.find(',');
    if (comma == std::string::npos)
      throw Error(ErrorCode::kBadInput, "--between wants two samples' codes with a comma between them: A,B");
    return {{sample_called(snapshot, command.between.substr(0, comma), survey),
             sample_called(snapshot, command.between.substr(comma + 1), survey)}};
  }
  std::optional<core::SiteIndex> site;
  if (!command.site.empty()) {
    site = snapshot.find_site(command.site);
    if (!site)
      throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\"", survey.string());
  }
  return core::sample_pairs(snapshot, site, choose_date(command.until, newest_day(snapshot)));
}

int run_similarity(const std::filesystem::path& survey, const SimilarityCommand& command,
                   const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const auto rank = choose_rank(command.rank);
  const auto pairs = chosen_pairs(snapshot, command, survey);
  Rows rows{{"sample_a", "sample_b", "site_a", "site_b", "date_a", "date_b", "taxa_a", "taxa_b", "shared",
             "bray_curtis_similarity", "sorensen_similarity", "bray_curtis_dissimilarity",
             "sorensen_dissimilarity", "level", "note"},
            {}};
  const auto less = [](const std::optional<double>& similarity) {
    return similarity ? significant(1 - *similarity, kDigits) : Cell{};
  };
  const auto given = [](const std::optional<double>& similarity) {
    return similarity ? significant(*similarity, kDigits) : Cell{};
  };
  for (const core::SampleSimilarity& pair : core::similarity_of(snapshot, pairs, rank)) {
    const std::size_t a = pair.a.value(), b = pair.b.value();
    rows.add({text(snapshot.samples.code[a]), text(snapshot.samples.code[b]),
              text(snapshot.sites.code[snapshot.samples.site[a].value()]),
              text(snapshot.sites.code[snapshot.samples.site[b].value()]),
              text(core::format_date(snapshot.samples.date[a])),
              text(core::format_date(snapshot.samples.date[b])), whole(pair.taxa_a), whole(pair.taxa_b),
              whole(pair.shared), given(pair.bray_curtis), given(pair.sorensen), less(pair.bray_curtis),
              less(pair.sorensen), text(rank ? core::rank_name(*rank) : "as named"),
              text_or_empty(pair.note)});
  }
  console.rows(rows);
  if (rows.rows.empty()) console.err << "there are no two samples to compare\n";
  return rows.rows.empty() ? kAnswerIsNo : kDone;
}

// What the columns are, from the table that comes with the program.
std::string formulas_footer() {
  const core::Table table =
      core::read_csv(core::reference_file("diversity_metrics.csv"), "diversity_metrics.csv");
  const auto column = [&](const char* name) { return *table.find(name); };
  std::string all =
      "p: share of a taxon in the animals; x: animals of a taxon; N: all animals; S: taxa; f1, f2: taxa with "
      "one "
      "animal, with two.\nAn empty cell has a reason in the note. Columns, their sources and how those were "
      "confirmed:\n";
  for (const core::TableRow& row : table.rows)
    all += "  " + row.cells[column("metric")] + ": " + row.cells[column("title")] + ": " +
           row.cells[column("formula")] + " [" +
           core::source_text(row.cells[column("source_key")], row.cells[column("source_detail")]) + "; " +
           row.cells[column("confirmed")] + "]\n";
  return all;
}

}  // namespace

void add_diversity_verbs(Verbs& verbs) {
  const auto diversity = std::make_shared<DiversityCommand>();
  verbs
      .add_for_survey(
          "diversity", "richness, Shannon, Simpson, Pielou, rarefied, Chao1, coverage a sample",
          [diversity](const auto& survey, const Console& c) { return run_diversity(survey, *diversity, c); })
      .option("--until", diversity->until,
              "only samples up to this date, YYYY-MM-DD; default: the newest sample's")
      .whole("--at-count", diversity->at_count, 1, 1'000'000'000'000,
             "animals to rarefy to; default: those of the smallest sample of at least ten, or of two where "
             "none has "
             "ten")
      .option("--rank", diversity->rank,
              "count at this rank: species, genus, family, order ...; default: as named")
      .option(
          "--chao1", diversity->chao1,
          "bias-corrected (default; standard error by the delta method), bias-corrected-two-case, or classic "
          "(standard errors of Chao 1987)")
      .choices({core::chao1_form_name(core::Chao1Form::kBiasCorrected),
                core::chao1_form_name(core::Chao1Form::kBiasCorrectedTwoCase),
                core::chao1_form_name(core::Chao1Form::kClassic)})
      .with_format()
      .footer(formulas_footer);

  const auto similarity = std::make_shared<SimilarityCommand>();
  verbs
      .add_for_survey("similarity", "how alike two samples are: Bray-Curtis and Sorensen, one row a pair",
                      [similarity](const auto& survey, const Console& c) {
                        return run_similarity(survey, *similarity, c);
                      })
      .option("--between", similarity->between, "two samples' codes, A,B; default: every two samples")
      .option("--site", similarity->site, "only pairs of samples of this site")
      .option("--until", similarity->until,
              "only samples up to this date, YYYY-MM-DD; default: the newest sample's")
      .option("--rank", similarity->rank,
              "compare at this rank: species, genus, family, order ...; default: as named")
      .with_format()
      .footer(formulas_footer);
}

}  // namespace brookmark::viewer
