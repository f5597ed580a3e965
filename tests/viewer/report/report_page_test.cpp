// The page of a report: well-formed, in order, readable by those who do not see it, and made of the survey's own words.
#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/store/survey_file.hpp"
#include "tests/support/secret_survey.hpp"
#include "tests/viewer/cli/run_cli.hpp"
#include "tests/viewer/report/read_page.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/report/html_internal.hpp"

using namespace brookmark::test;
using brookmark::viewer::as_sentence;
using brookmark::viewer::html_escaped;

namespace {

std::string page_of(const std::vector<std::string>& more = {}, const std::string& survey = demo()) {
  const TemporaryFolder folder;
  const std::string file = (folder / "r.html").string();
  std::vector<std::string> words{"report", survey, file};
  words.insert(words.end(), more.begin(), more.end());
  run_well(words);
  return read_text(file);
}

void check_page(const std::string& html) {
  const Page page(html);
  int level = 0;
  std::set<std::string> ids;
  for (const Element& e : page.elements) {
    CAPTURE(e.name);
    CAPTURE(e.text);
    if (e.name.size() == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6') {
      const int now = e.name[1] - '0';
      CHECK(now <= level + 1);  // no level is skipped on the way down
      CHECK_FALSE(e.text.empty());
      level = now;
    }
    if (e.name == "th") CHECK(e.attributes.count("scope") == 1);
    if (const auto id = e.attributes.find("id"); id != e.attributes.end()) {
      const bool once = ids.insert(id->second).second;
      CHECK_MESSAGE(once, "id twice: " << id->second);
    }
    // Nothing is fetched, nothing runs.
    CHECK(e.name != "script");
    CHECK(e.name != "img");
    CHECK(e.name != "link");
    for (const auto& [name, value] : e.attributes) {
      CHECK_FALSE(name.rfind("on", 0) == 0);
      if (name == "href" || name == "src" || name == "xlink:href") CHECK(value.rfind('#', 0) == 0);
    }
  }
  CHECK(page.all("h1").size() == 1);
  CHECK(page.all("main").size() == 1);
  CHECK(page.all("html").front()->attributes.at("lang") == "en");
  CHECK_FALSE(page.all("title").front()->text.empty());
  CHECK(says(html, "name=\"viewport\""));
  // Every drawing says what it shows, or is a sign beside words.
  for (const Element* svg : page.all("svg")) {
    const auto hidden = svg->attributes.find("aria-hidden");
    if (hidden != svg->attributes.end()) continue;
    CHECK(svg->attributes.at("role") == "img");
    const std::string by = svg->attributes.at("aria-labelledby");
    const std::size_t blank = by.find(' ');
    REQUIRE(blank != std::string::npos);
    for (const std::string& id : {by.substr(0, blank), by.substr(blank + 1)}) {
      const auto found = std::find_if(page.elements.begin(), page.elements.end(), [&](const Element& e) {
        const auto own = e.attributes.find("id");
        return own != e.attributes.end() && own->second == id;
      });
      REQUIRE(found != page.elements.end());
      CHECK(found->text.size() > 3);
    }
  }
  // Every reference inside the page leads somewhere.
  for (const Element& e : page.elements)
    for (const char* name : {"href", "xlink:href"})
      if (const auto link = e.attributes.find(name); link != e.attributes.end())
        CHECK(ids.count(link->second.substr(1)) == 1);
}

}  // namespace

TEST_CASE(
    "the page of a survey, a catchment and a site is well-formed, in order and says what its drawings show") {
  check_page(page_of());
  check_page(page_of({"--catchment", "C4"}));
  check_page(page_of({"--site", "Q04"}));
  check_page(page_of({"--site", "N02"}));
  check_page(page_of({"--method", "ept-richness"}));  // no classes
}

TEST_CASE("each sample stands in the report with the value and class that `score` gives it") {
  const std::string html = page_of();
  const Page page(html);
  std::map<std::string, std::vector<std::string>> reported;
  for (const auto& row : page.table("Every sample")) reported[row[0]] = row;
  const auto scored =
      run_well({"score", demo(), "--method", "bmwp-a", "--metric", "bmwp", "--format", "csv"}).table();
  CHECK(scored.rows.size() > 300);
  std::size_t compared = 0, numbered = 0;
  for (const auto& row : scored.rows) {
    if (cell(scored, row, "metric") != "bmwp") continue;
    const std::string sample = cell(scored, row, "sample");
    CAPTURE(sample);
    REQUIRE(reported.count(sample) == 1);
    const std::vector<std::string>& told = reported[sample];
    const std::string value = cell(scored, row, "value"), name = cell(scored, row, "class");
    CHECK(told[4] == (value.empty() ? "–" : value));
    CHECK(told[5] == (name.empty() ? "–" : " " + name));
    std::string note = told[8];
    if (note.rfind("note ", 0) == 0) {  // one of the numbered notes under the table, the last of its number
      const std::string item = "<li>N" + note.substr(1) + ": ";
      const std::size_t at = html.rfind(item);
      REQUIRE(at != std::string::npos);
      note = html.substr(at + item.size(), html.find("</li>", at) - at - item.size());
      const std::string meant = html_escaped(as_sentence(cell(scored, row, "note")));
      CHECK(note == meant);
      ++numbered;
    } else {
      CHECK(note == cell(scored, row, "note"));
    }
    ++compared;
  }
  CHECK(compared == reported.size());
  CHECK(numbered > 10);
}

TEST_CASE("sub-catchments and falls stand in the order and with the numbers of their verbs") {
  const std::string html = page_of({"--until", "2024-06-30"});
  const Page page(html);
  const auto parts = run_well({"catchments", demo(), "--until", "2024-06-30", "--format", "csv"}).table();
  const auto told = page.table("Sub-catchments, worst first");
  REQUIRE(told.size() == parts.rows.size());
  for (std::size_t i = 0; i < told.size(); ++i) {
    CHECK(told[i][0] ==
          cell(parts, parts.rows[i], "name") + " (" + cell(parts, parts.rows[i], "catchment") + ")");
    CHECK(told[i][1] ==
          cell(parts, parts.rows[i], "assessed_sites") + " of " + cell(parts, parts.rows[i], "sites"));
    CHECK(told[i][2] == " " + cell(parts, parts.rows[i], "worst_class"));
    CHECK(says(told[i][5], cell(parts, parts.rows[i], "driver")));
  }
  auto drops = run_well({"drops", demo(), "--until", "2024-06-30", "--format", "csv"}).table();
  std::stable_partition(drops.rows.begin(), drops.rows.end(),
                        [&](const auto& row) { return !cell(drops, row, "since").empty(); });
  const auto falls = page.table("Stretches between neighbours");
  REQUIRE(falls.size() == drops.rows.size());
  REQUIRE_FALSE(falls.empty());
  for (std::size_t i = 0; i < falls.size(); ++i) {
    CHECK(falls[i][0] == cell(drops, drops.rows[i], "upstream_site"));
    CHECK(falls[i][1] == cell(drops, drops.rows[i], "downstream_site"));
    CHECK(falls[i][3] == cell(drops, drops.rows[i], "value_up"));
    CHECK(falls[i][4] == cell(drops, drops.rows[i], "value_down"));
    CHECK(falls[i][5] == cell(drops, drops.rows[i], "fall"));
    const std::string low = cell(drops, drops.rows[i], "low");
    CHECK(falls[i][6] == (low.empty() ? "–" : low + " to " + cell(drops, drops.rows[i], "high")));
    const std::string since = cell(drops, drops.rows[i], "since");
    CHECK(falls[i][8] == (since.empty()                                         ? "not clearly different"
                          : cell(drops, drops.rows[i], "worse_in_a_row") == "1" ? "at the last comparison"
                                                                                : since));
  }
}

TEST_CASE("a worse value that is not clearly different is told as worse nowhere in a report") {
  const auto drops = run_well({"drops", demo(), "--format", "csv"}).table();
  std::size_t clear = 0;
  std::string hair;  // the lower site of the one that is not
  for (const auto& row : drops.rows) {
    if (!cell(drops, row, "since").empty()) {
      ++clear;
      continue;
    }
    hair = cell(drops, row, "downstream_site");
    CHECK(std::stod(cell(drops, row, "low")) <= 0);  // the demo's: one class, the interval reaches 0
  }
  REQUIRE(hair == "T02");
  const std::string html = page_of();
  const Page page(html);
  const std::string body = page.all("body").front()->text;
  CHECK(says(body, std::to_string(clear) + " are clearly worse below; 1 has a worse value below that is not "
                                           "clearly different"));
  CHECK(says(body, "not clearly different from T01 above it"));
  CHECK_FALSE(says(body, "worse than T01"));
  for (const Element* heading : page.all("h3")) CHECK_FALSE(says(heading->text, "T02"));
  CHECK(says(page_of({"--site", "T02"}),
             "not clearly different: no class is lost, and the interval reaches 0"));
  const auto parts = run_well({"catchments", demo(), "--format", "csv"}).table();
  for (const auto& row : parts.rows) CHECK_FALSE(says(cell(parts, row, "driver"), "worse than T01"));
}

TEST_CASE("one comparison is no `since`") {
  const auto drops = run_well({"drops", demo(), "--format", "csv"}).table();
  bool once = false;
  for (const auto& row : drops.rows)
    if (cell(drops, row, "downstream_site") == "P02") once = cell(drops, row, "worse_in_a_row") == "1";
  REQUIRE(once);
  const std::string html = page_of({"--site", "P02"});
  CHECK(says(html, "Clearly worse below at the last comparison, 5 October 2025"));
  CHECK_FALSE(says(html, "worse below since"));
  CHECK(says(page_of({"--site", "Q04"}), "Clearly worse below since 25 April 2022"));
}

TEST_CASE("a probability that is cut off is told as at most that, and one-sided bars are told to be") {
  const std::string html = page_of();
  const Page page(html);
  std::size_t cut = 0;
  for (const auto& row : page.table("How sure each class is")) {
    CHECK(row[5] != "0.950");
    CHECK(row[5] != "1.000");
    if (row[5] == "at most 0.95") ++cut;
  }
  CHECK(cut > 5);
  CHECK(says(html, "probability that it is worse below above 0.999"));
  // A sum of scores only loses by drawing again; a mean goes both ways.
  CHECK(says(html, "one-sided: from below up to the value"));
  CHECK_FALSE(says(page_of({"--method", "bmwp-a", "--metric", "aspt"}), "one-sided: from below"));
}

TEST_CASE("text and chart of a card name the same outfalls, each with its distance") {
  const auto upstream = run_well({"upstream", demo(), "--site", "Q04", "--format", "csv"}).table();
  std::size_t outfalls = 0;
  const std::string html = page_of({"--site", "Q04"});
  for (const auto& row : upstream.rows)
    if (cell(upstream, row, "what") == "outfall") {
      ++outfalls;
      CHECK(says(html, cell(upstream, row, "code") + " "));
    }
  REQUIRE(outfalls == 2);
  CHECK(says(html, "2 outfalls above along the channel, 1 in use on 4 October 2025"));
  CHECK(says(html, "OUT-2 storm sewage, 117 m above: in use since 1 January 1998, before the first sample"));
  const std::string trade = html.substr(html.find("OUT-1 trade discharge, "));
  CHECK(says(trade.substr(0, 120), " m above: in use from 1 January 1990 to 31 December 2021"));
  const std::string caption = Page(html).all("figcaption").front()->text;
  CHECK(says(caption, "OUT-1 trade discharge, "));
  CHECK(says(caption, " m above, in use until 31 December 2021"));
}

TEST_CASE(
    "the card of a site told roughly says that its outfalls are not told, not that it has no position") {
  const TemporaryFolder folder;
  const std::string file = (folder / "c.html").string();
  const std::string survey = (folder / "s.brook").string();
  secret_survey(survey);
  run_well({"report", survey, file, "--site", "Q02"});
  const std::string html = read_text(file);
  CHECK(says(html, "Outfalls above: not told, since the place of this site is told only roughly."));
  CHECK_FALSE(says(html, "no position"));
}

TEST_CASE("the report of a catchment speaks of the sites inside it and of no others") {
  const auto parts = run_well({"catchments", demo(), "--format", "csv"}).table();
  for (const char* code : {"C0", "C3", "C3a", "C4"}) {
    CAPTURE(code);
    const std::string html = page_of({"--catchment", code});
    const Page page(html);
    const auto sites = page.table("Every site");
    for (const auto& row : parts.rows)
      if (cell(parts, row, "catchment") == code)
        CHECK(std::to_string(sites.size()) == cell(parts, row, "sites"));
    std::set<std::string> inside;
    for (const auto& row : sites) inside.insert(row[0]);
    for (const auto& row : page.table("Every sample")) CHECK(inside.count(row[1]) == 1);
    for (const auto& row : page.table("Stretches between neighbours")) CHECK(inside.count(row[1]) == 1);
  }
}

TEST_CASE("what was recalled from memory is said to be so, beside the method and beside each limit that is") {
  const std::string html = page_of();
  const Page page(html);
  CHECK(says(html, "Some of its values were recalled from memory"));
  const auto classes = page.table("Classes of the");
  const auto method = run_well({"methods", "bmwp-a", "--format", "csv"}).table();
  std::size_t at = 0;
  for (const auto& row : method.rows) {
    if (cell(method, row, "part") != "class" || cell(method, row, "detail") != "bmwp") continue;
    REQUIRE(at < classes.size());
    CHECK(classes[at][0] == " " + cell(method, row, "name"));
    const std::string confirmed = cell(method, row, "confirmed");
    CHECK(classes[at][2] == (confirmed == "document"    ? "read in the publication"
                             : confirmed == "secondary" ? "read in a text that quotes it"
                                                        : "recalled from memory"));
    CHECK(classes[at][3] == cell(method, row, "source"));
    ++at;
  }
  CHECK(at == classes.size());
}

TEST_CASE("how sure a site is and what its years show is what `score --confidence` and `trend` say") {
  const std::string html = page_of();
  const Page page(html);
  const auto trend = run_well({"trend", demo(), "--of", "bmwp", "--site", "Q04", "--format", "csv"}).table();
  bool found = false;
  for (const auto& row : page.table("What the BMWP score did"))
    if (row[0] == "Q04") {
      found = true;
      CHECK(row[1] == cell(trend, trend.rows[0], "n"));
      CHECK(row[4] == cell(trend, trend.rows[0], "answer"));
    }
  CHECK(found);
  const auto sure =
      run_well({"score", demo(), "--method", "bmwp-a", "--confidence", "--metric", "bmwp", "--format", "csv"})
          .table();
  std::map<std::string, std::string> interval;  // of the newest sample, which stands last
  for (const auto& row : sure.rows)
    if (!cell(sure, row, "value").empty())
      interval[cell(sure, row, "site")] =
          cell(sure, row, "low").empty() ? "–" : cell(sure, row, "low") + " to " + cell(sure, row, "high");
  const auto rows = page.table("How sure each class is");
  CHECK(rows.size() > 20);
  for (const auto& row : rows) {
    CAPTURE(row[0]);
    if (row[0] == "N01" || row[0] == "N03") continue;  // two samples of one day there
    CHECK(row[2] == interval[row[0]]);
  }
}

TEST_CASE("words of a stranger stay words: nothing in a name, note or animal becomes a part of the page") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "h.brook").string();
  const std::string evil = "<script>alert('x')</script>\" onload=\"x & <b>&amp;";
  run_well({"new", survey, "--title", evil});
  write_text(folder / "sites.csv",
             "code,name,lon,lat,kind,water,note\nS1,\"<img src=x onerror=alert(1)>\",-30,50,stream,"
             "\"<svg/onload=1>&\",\"</td></table><h1>\"\nS2,\"]]>&lt;\",-30,50.01,stream,,\n");
  write_text(folder / "samples.csv", "sample,site,date\n\"a<b\",S1,2024-05-01\nb,S2,2024-05-01\n");
  write_text(folder / "records.csv",
             "sample,name,count\n\"a<b\",\"<i>worm</i> & \"\"co\"\"\",3\n\"a<b\",Baetidae,4\nb,Baetidae,2\n");
  run_well({"import", survey, "sites", (folder / "sites.csv").string()});
  run_well({"import", survey, "samples", (folder / "samples.csv").string()});
  run_well({"import", survey, "records", (folder / "records.csv").string()});
  for (const std::vector<std::string>& more : {std::vector<std::string>{}, {"--site", "S1"}}) {
    const std::string html = page_of(more, survey);
    check_page(html);
    const Page page(html);
    CHECK(page.all("b").empty());
    CHECK(page.all("i").empty());
    CHECK(says(page.all("body").front()->text, "<img src=x onerror=alert(1)>"));
    if (more.empty()) CHECK(says(page.all("h1").front()->text, evil));
  }
}

TEST_CASE("the report says once what its intervals cover, and in which order its falls stand") {
  const std::string html = page_of();
  const auto count = [&](const std::string& words) {
    std::size_t found = 0;
    for (std::size_t at = html.find(words); at != std::string::npos; at = html.find(words, at + 1)) ++found;
    return found;
  };
  CHECK(count("ounting error only") == 1);
  CHECK(count("What the intervals and probabilities of these falls cover: Counting error only") == 1);
  CHECK(count("hat is said of the falls under &quot;The worst stretches, and why&quot; holds here too") > 0);
  CHECK(says(html,
             "The clear ones stand first, however large the others are; of each the worst first: by the "
             "classes lost, "
             "then by how far the value falls."));
}
