// The PDF of a report, looked at by poppler-utils and qpdf.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "core/base/text.hpp"
#include "tests/viewer/cli/run_cli.hpp"
#include "tests/viewer/report/public_tools.hpp"
#include "viewer/report/document.hpp"

using namespace brookmark::test;

namespace {

struct Written {
  TemporaryFolder folder;
  std::string file = (folder / "r.pdf").string();
  explicit Written(const std::vector<std::string>& more = {}) {
    std::vector<std::string> words{"report", demo(), file};
    words.insert(words.end(), more.begin(), more.end());
    run_well(words);
  }
  std::string info(const std::string& what) const {
    const std::string said = tool("pdfinfo " + quoted(file)).text;
    const std::size_t at = said.find(what + ":");
    REQUIRE(at != std::string::npos);
    const std::size_t begin = said.find_first_not_of(' ', at + what.size() + 1);
    return said.substr(begin, said.find('\n', begin) - begin);
  }
};

}  // namespace

TEST_CASE("a PDF report is sound, has real text, and every font is embedded as a part") {
  const Written w;
  const Said check = tool("qpdf --check " + quoted(w.file));
  CAPTURE(check.text);
  CHECK(check.code == 0);
  const Said text = tool("pdftotext -layout " + quoted(w.file) + " -");
  REQUIRE(text.code == 0);
  for (const char* words : {"Report on Quarrendel Brook (invented)", "The worst stretches, and why",
                            "Seriously polluted", "OUT-2 storm sewage", "recalled from memory",
                            "It does not say that water is safe to drink", "Q04-2025-10"})
    CHECK_MESSAGE(says(text.text, words), words);
  const Said fonts = tool("pdffonts " + quoted(w.file));
  REQUIRE(fonts.code == 0);
  const auto lines = brookmark::core::split(fonts.text, '\n');
  REQUIRE(lines.size() >= 4);
  std::size_t seen = 0;
  const std::size_t emb = lines[0].find("emb"), sub = lines[0].find("sub"), uni = lines[0].find("uni");
  for (std::size_t i = 2; i < lines.size(); ++i) {
    if (lines[i].size() < uni + 3) continue;
    ++seen;
    CAPTURE(lines[i]);
    CHECK(lines[i].substr(emb, 3) == "yes");
    CHECK(lines[i].substr(sub, 3) == "yes");
    CHECK(lines[i].substr(uni, 3) == "yes");  // words can be copied out and read aloud
  }
  CHECK(seen >= 2);
}

TEST_CASE("a PDF report names itself and leads to its headings by bookmarks") {
  const Written w;
  CHECK(w.info("Title") == "Report on Quarrendel Brook (invented)");
  CHECK(says(w.info("Subject"), "BMWP score and ASPT"));
  const Said outlines = tool("qpdf --json --json-key=outlines " + quoted(w.file));
  REQUIRE(outlines.code == 0);
  const auto read = nlohmann::json::parse(outlines.text);
  REQUIRE(read["outlines"].size() == 1);
  const auto& whole = read["outlines"][0];
  CHECK(whole["title"] == "Report on Quarrendel Brook (invented)");
  std::vector<std::string> titles;
  int page = 0;
  for (const auto& kid : whole["kids"]) {
    titles.push_back(kid["title"]);
    const int on = kid["destpageposfrom1"];
    CHECK(on >= page);  // in the order of the pages
    page = on;
  }
  CHECK(titles.front() == "In short");
  CHECK(std::find(titles.begin(), titles.end(), "Method and source") != titles.end());
  CHECK(std::find(titles.begin(), titles.end(), "What this does not say") != titles.end());
  // Each bookmark leads to the page on which its heading stands.
  for (const auto& kid : whole["kids"]) {
    const std::string number = std::to_string(static_cast<int>(kid["destpageposfrom1"]));
    const Said text = tool("pdftotext -f " + number + " -l " + number + " " + quoted(w.file) + " -");
    CHECK(says(text.text, std::string(kid["title"])));
  }
}

TEST_CASE(
    "on paper no table ends a page with its title or head alone, and no page begins with one stray row") {
  const TemporaryFolder folder;
  const std::string file = (folder / "t.pdf").string();
  for (int above = 30; above < 75; ++above) {
    brookmark::viewer::Document document;
    document.title = "T";
    document.date = "2025-06-10";
    for (int i = 0; i < above; ++i) document.add(brookmark::viewer::TextBlock{"line"});
    brookmark::viewer::TableBlock table{"Title of it", {"Head of it", "b"}, {}, {}};
    for (int i = 0; i < 4; ++i) table.rows.push_back({"row" + std::to_string(i), "x"});
    document.add(table);
    document.add(brookmark::viewer::ListBlock{{"item0", "item1", "item2"}});
    document.may_shrink = false;
    write_text(file, brookmark::viewer::to_pdf(document));
    CAPTURE(above);
    const auto pages = brookmark::core::split(tool("pdftotext -layout " + quoted(file) + " -").text, '\f');
    for (std::size_t p = 0; p + 1 < pages.size(); ++p) {
      const bool title_alone = says(pages[p], "Title of it") && !says(pages[p], "row0");
      CHECK_FALSE(title_alone);
      const bool last_row_alone = says(pages[p], "row3") && !says(pages[p], "row2");
      CHECK_FALSE(last_row_alone);
      const bool last_item_alone = says(pages[p], "item2") && !says(pages[p], "item1");
      CHECK_FALSE(last_item_alone);
      const bool first_item_alone = says(pages[p], "item0") && !says(pages[p], "item1");
      CHECK_FALSE(first_item_alone);
    }
  }
}

TEST_CASE("a watercourse and the catchment named after it stand once on a map") {
  const Written w({"--site", "Q04"});
  const std::string text = tool("pdftotext " + quoted(w.file) + " -").text;
  const std::size_t first = text.find("Pellow Drain");
  REQUIRE(first != std::string::npos);
  CHECK(text.find("Pellow Drain", first + 1) == std::string::npos);
}

TEST_CASE("the card of every site is one page") {
  for (const char* site : {"Q04", "Q01", "N01", "N03", "D01", "S02", "M01", "E01"}) {
    CAPTURE(site);
    const Written w({"--site", site});
    CHECK(w.info("Pages") == "1");
    CHECK(says(w.info("Title"), site));
  }
}

TEST_CASE("with a fixed clock the same survey gives the same bytes, whatever was drawn before") {
  setenv("SOURCE_DATE_EPOCH", "1717243200", 1);
  const Written one, other({"--site", "Q04"}), again;
  CHECK(read_text(one.file) == read_text(again.file));
  CHECK(says(tool("pdfinfo -isodates " + quoted(one.file)).text, "2024-06-01"));
  const TemporaryFolder folder;
  run_well({"report", demo(), (folder / "a.html").string()});
  run_well({"report", demo(), (folder / "c.html").string(), "--site", "Q04"});
  run_well({"report", demo(), (folder / "b.html").string()});
  CHECK(read_text(folder / "a.html") == read_text(folder / "b.html"));
  unsetenv("SOURCE_DATE_EPOCH");
}
