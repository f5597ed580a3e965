// Diversity and similarity as a user asks for them: columns, values, reasons, refusals.
#include <doctest/doctest.h>

#include <cstdlib>
#include <set>

#include "core/base/text.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

// A survey of one site, its samples, and a table of records.
std::string survey_with(const TemporaryFolder& folder, const std::set<std::string>& samples,
                        const std::filesystem::path& records) {
  const std::string survey = (folder / "s.brook").string();
  run_well({"new", survey, "--title", "Counts"});
  write_text(folder / "sites.csv", "site,kind\nS1,stream\n");
  std::string text = "sample,site,date\n";
  for (const std::string& sample : samples) text += sample + ",S1,2024-05-03\n";
  write_text(folder / "samples.csv", text);
  run_well({"import", survey, "sites", (folder / "sites.csv").string()});
  run_well({"import", survey, "samples", (folder / "samples.csv").string()});
  run_well({"import", survey, "records", records.string()});
  return survey;
}

std::string survey_of(const TemporaryFolder& folder, const std::set<std::string>& samples,
                      const std::string& records) {
  write_text(folder / "records.csv", records);
  return survey_with(folder, samples, folder / "records.csv");
}

std::map<std::string, std::map<std::string, std::string>> by_sample(const core::Table& table) {
  std::map<std::string, std::map<std::string, std::string>> rows;
  for (const core::TableRow& row : table.rows)
    for (const std::string& column : table.columns)
      rows[cell(table, row, "sample")][column] = cell(table, row, column);
  return rows;
}

}  // namespace

TEST_CASE("diversity has the columns it promises, first and in their order, one row a sample") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "demo.brook").string();
  run_well({"demo", survey});
  const core::Table table = run_well({"diversity", survey, "--format", "csv"}).table();
  const std::vector<std::string> promised{"sample",     "richness",        "individuals", "shannon",
                                          "simpson",    "inverse_simpson", "pielou",      "rarefied",
                                          "rarefied_n", "chao1",           "chao1_se",    "coverage"};
  REQUIRE(table.columns.size() > promised.size());
  for (std::size_t i = 0; i < promised.size(); ++i) CHECK(table.columns[i] == promised[i]);
  std::set<std::string> seen;
  for (const core::TableRow& row : table.rows) {
    CHECK(seen.insert(cell(table, row, "sample")).second);
    for (const std::string& column : table.columns) {
      CHECK_FALSE(says(cell(table, row, column), "nan"));
      CHECK_FALSE(says(cell(table, row, column), "inf"));
      // Whatever is missing has its reason beside it.
      if (column != "note" && cell(table, row, column).empty()) CHECK_FALSE(cell(table, row, "note").empty());
    }
  }
  const core::Table scores =
      run_well({"score", survey, "--method", "ept-richness", "--format", "csv"}).table();
  CHECK(table.rows.size() == scores.rows.size());
}

TEST_CASE("imported counts give the values computed elsewhere, to nine digits") {
  const core::Table wanted = core::read_csv_file(reference("diversity/ref_alpha_vegan.csv"));
  for (const auto& [dataset, file] : std::map<std::string, std::string>{{"dune", "vegan_dune_counts.csv"},
                                                                        {"BCI", "vegan_BCI_counts.csv"}}) {
    std::set<std::string> samples;
    std::string n;
    for (const core::TableRow& row : wanted.rows)
      if (cell(wanted, row, "dataset") == dataset) {
        samples.insert(cell(wanted, row, "sample"));
        n = cell(wanted, row, "rarefy_n");
      }
    const TemporaryFolder folder;
    const std::string survey = survey_with(folder, samples, reference("diversity/" + file));
    const auto rows = by_sample(run_well({"diversity", survey, "--at-count", n, "--format", "csv"}).table());
    REQUIRE(rows.size() == samples.size());
    for (const core::TableRow& row : wanted.rows) {
      if (cell(wanted, row, "dataset") != dataset) continue;
      const auto& found = rows.at(cell(wanted, row, "sample"));
      for (const auto& [column, theirs] :
           std::map<std::string, std::string>{{"richness", "S"},
                                              {"individuals", "N"},
                                              {"shannon", "shannon_ln"},
                                              {"simpson", "simpson_1_D"},
                                              {"inverse_simpson", "inverse_simpson"},
                                              {"pielou", "pielou"},
                                              {"rarefied", "rarefied_S"},
                                              {"rarefied_n", "rarefy_n"},
                                              {"rarefied_se", "rarefied_se"},
                                              {"chao1", "chao1"},
                                              {"chao1_se", "chao1_se"},
                                              {"margalef", "margalef"},
                                              {"berger_parker", "berger_parker"},
                                              {"hill1", "hill1"},
                                              {"hill2", "inverse_simpson"}}) {
        CAPTURE(cell(wanted, row, "sample"));
        CAPTURE(column);
        const auto value = core::parse_number(found.at(column));
        REQUIRE(value.has_value());
        CHECK(near_relative(*value, *core::parse_number(cell(wanted, row, theirs)),
                            1e-9));  // printed to ten digits
      }
    }
  }
}

TEST_CASE("the standard error of Chao1 is named and can be chosen") {
  const TemporaryFolder folder;
  // Five taxa, two found once and two twice, nine animals.
  const std::string survey = survey_of(
      folder, {"A"},
      "sample,taxon,count\nA,Baetidae,3\nA,Asellidae,2\nA,Gammaridae,2\nA,Perlidae,1\nA,Tipulidae,1\n");
  const auto ask = [&](const std::string& form) {
    const Answer answer = run_well({"diversity", survey, "--chao1", form, "--format", "csv"});
    return std::pair{by_sample(answer.table()).at("A"), answer.err};
  };
  const auto [usual, usual_words] = ask("bias-corrected");
  // f1 = 2, f2 = 2: 5 + 2 / (2 * 3).
  CHECK(near(core::parse_number(usual.at("chao1")).value(), 5 + 1.0 / 3, 1e-10));
  CHECK(usual.at("chao1_by") == "bias-corrected");
  CHECK(says(usual_words, "delta method"));
  const auto [classic, classic_words] = ask("classic");
  // 5 + 8/9 * 2^2 / (2 * 2) = 5.888...
  CHECK(near(core::parse_number(classic.at("chao1")).value(), 5 + 8.0 / 9, 1e-10));
  CHECK(says(classic_words, "Chao 1987, classic"));
  CHECK(run({"diversity", survey, "--chao1", "best"}).code == 2);
}

TEST_CASE("a sample with only unlisted names, a taxon listed twice and a thousand million animals") {
  const TemporaryFolder folder;
  const std::string survey = survey_of(folder, {"A", "B", "C"},
                                       "sample,taxon,count\nA,glass worm,3\nA,little red thing,2\n"
                                       "B,Baetidae,4\nB,Asellidae,1\nB,Baetidae,5\n"
                                       "C,Baetidae,1000000000\nC,Asellidae,1000000000\n");
  auto rows = by_sample(run_well({"diversity", survey, "--format", "csv"}).table());
  CHECK(rows["A"]["richness"] == "2");
  CHECK(rows["A"]["individuals"] == "5");
  CHECK(rows["B"]["richness"] == "2");
  CHECK(rows["B"]["individuals"] == "10");
  CHECK(rows["C"]["individuals"] == "2000000000");
  CHECK(rows["C"]["simpson"] == "0.5");
  // Ten of them, each of either kind with even chances: 2 - 2 / 2^10, to a few in a thousand million.
  CHECK(near(core::parse_number(rows["C"]["rarefied"]).value(), 2 - 2.0 / 1024, 1e-9));
}

TEST_CASE("a negative share of the catch is refused before anything is counted") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  run_well({"new", survey, "--title", "Counts"});
  write_text(folder / "sites.csv", "site,kind\nS1,stream\n");
  write_text(folder / "samples.csv", "sample,site,date,subsample\nA,S1,2024-05-03,-0.25\n");
  run_well({"import", survey, "sites", (folder / "sites.csv").string()});
  const Answer refused = run({"import", survey, "samples", (folder / "samples.csv").string()});
  CHECK(refused.code == 2);
  CHECK(says(refused.err, "-0.25"));
  CHECK(run({"diversity", survey}).code == 1);
}

TEST_CASE("letters and presence leave only the richness, and it says why") {
  const TemporaryFolder folder;
  const std::string survey =
      survey_of(folder, {"A"}, "sample,taxon,count\nA,Baetidae,3\nA,Asellidae,\nA,Gammaridae,2\n");
  auto row = by_sample(run_well({"diversity", survey, "--format", "csv"}).table())["A"];
  CHECK(row["richness"] == "3");
  for (const char* column : {"individuals", "shannon", "simpson", "inverse_simpson", "pielou", "rarefied",
                             "chao1", "chao1_se", "coverage", "rarefied_se", "margalef", "hill1"})
    CHECK(row[column] == "");
  CHECK(says(row["note"], "not counts"));
  const Answer json = run_well({"diversity", survey, "--format", "json"});
  CHECK(says(json.out, "\"shannon\":null"));
  CHECK(says(json.out, "\"richness\":3"));
}

TEST_CASE("diversity at a rank, at a number of animals, and up to a date") {
  const TemporaryFolder folder;
  const std::string survey =
      survey_of(folder, {"A"}, "sample,taxon,count\nA,Baetis rhodani,3\nA,Baetis,2\nA,Gammaridae,2\n");
  const auto row = [&](std::vector<std::string> words) {
    words.insert(words.begin(), {"diversity", survey});
    words.insert(words.end(), {"--format", "csv"});
    return by_sample(run_well(words).table())["A"];
  };
  CHECK(row({"--rank", "family"})["individuals"] == "7");
  CHECK(row({"--rank", "family"})["level"] == "family");
  CHECK(row({"--at-count", "2"})["rarefied_n"] == "2");
  CHECK(run({"diversity", survey, "--rank", "tribe of some kind"}).code == 2);
  CHECK(run({"diversity", survey, "--at-count", "0"}).code == 2);
  CHECK(run({"diversity", survey, "--until", "2023-01-01"}).code == 1);
  CHECK(run({"diversity", survey, "--until", "yesterday"}).code == 2);
}

TEST_CASE("similarity: by hand, in both directions, and with reasons") {
  const TemporaryFolder folder;
  const std::string survey =
      survey_of(folder, {"A", "B", "C", "D"},
                "sample,taxon,count\nA,Baetidae,6\nA,Asellidae,4\nB,Baetidae,2\nB,Gammaridae,8\n"
                "C,Baetidae,\nD,Tipulidae,5\n");
  const auto between = [&](const std::string& pair) {
    const core::Table table = run_well({"similarity", survey, "--between", pair, "--format", "csv"}).table();
    REQUIRE(table.rows.size() == 1);
    std::map<std::string, std::string> row;
    for (const std::string& column : table.columns) row[column] = cell(table, table.rows[0], column);
    return row;
  };
  auto ab = between("A,B"), ba = between("B,A"), aa = between("A,A"), ad = between("A,D"),
       ac = between("A,C");
  CHECK(ab["bray_curtis_similarity"] == "0.2");  // 2 * 2 / 20
  CHECK(ab["bray_curtis_dissimilarity"] == "0.8");
  CHECK(ab["sorensen_similarity"] == "0.5");  // 2 * 1 / 4
  CHECK(ab["shared"] == "1");
  CHECK(ba["bray_curtis_similarity"] == ab["bray_curtis_similarity"]);
  CHECK(ba["sorensen_similarity"] == ab["sorensen_similarity"]);
  CHECK(aa["bray_curtis_similarity"] == "1");
  CHECK(aa["sorensen_similarity"] == "1");
  CHECK(ad["bray_curtis_similarity"] == "0");
  CHECK(ad["sorensen_similarity"] == "0");
  CHECK(ac["bray_curtis_similarity"] == "");
  CHECK(ac["sorensen_similarity"] == "0.666666666667");
  CHECK(says(ac["note"], "no Bray-Curtis: C: not every taxon has a count"));

  CHECK(run_well({"similarity", survey, "--format", "csv"}).table().rows.size() == 6);
  CHECK(run_well({"similarity", survey, "--site", "S1", "--format", "csv"}).table().rows.size() == 6);
  CHECK(run({"similarity", survey, "--site", "S9"}).code == 2);
  CHECK(run({"similarity", survey, "--between", "A"}).code == 2);
  CHECK(run({"similarity", survey, "--between", "A,Z"}).code == 2);
  CHECK(run({"similarity", survey, "--until", "2020-01-01"}).code == 1);
}

TEST_CASE("the help tells every formula with its source and how it was confirmed") {
  for (const char* verb : {"diversity", "similarity"}) {
    const Answer help = run({verb, "--help"});
    CHECK(help.code == 0);
    CHECK(says(help.out, "Hurlbert 1971"));
    CHECK(says(help.out, "memory]"));
  }
}
